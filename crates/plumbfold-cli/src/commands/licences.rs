use crate::error::Error;
use crate::options::Global;
use crate::system::System;

/// The licences of the program and of the letters in its pictures
///
/// Plumbfold is licensed under either of two licences, at your option. The
/// letters in pictures and pages are a part of Inter, under a licence of their
/// own.
///
/// Examples:
///   plumbfold licences | less
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Licences {}

const PARTS: [(&str, &str); 3] = [
    ("Plumbfold: MIT", include_str!("../../../../LICENSE-MIT")),
    ("or Apache 2.0", include_str!("../../../../LICENSE-APACHE")),
    ("Letters: Inter", include_str!("../../../plumbfold-draw/fonts/OFL.txt")),
];

impl Licences {
    /// Prints them.
    pub fn run(&self, _: &Global, system: &mut System) -> Result<(), Error> {
        for (what, text) in PARTS {
            system.answer(&format!("{what}\n\n{text}\n"))?;
        }
        Ok(())
    }
}

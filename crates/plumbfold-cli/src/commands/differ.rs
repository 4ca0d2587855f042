use std::path::{Path, PathBuf};

use plumbfold::plane::deviation::deviation;
use plumbfold_draw::deviation::{self as drawn, Balances};
use plumbfold_draw::style::Look;
use plumbfold_view::differ as view;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::options::Global;
use crate::picture;
use crate::report::{differ as report, json::tell};
use crate::system::System;

/// Show where a plane as folded differs from its design
///
/// A folded design against the outline of a copy of it, traced from a photo or
/// measured by ruler: how far their edges part and where, so that folding
/// errors show, and what that does to balance and area. Both are laid flat
/// first and laid on one another as well as they go; dihedral and the mouth of
/// the keel do not count.
///
/// Examples:
///   plumbfold differ designs/halyard.plane traced.plane
///   plumbfold differ designs/halyard.plane traced.plane -o differ.png
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Differ {
    /// The design
    design: PathBuf,
    /// The copy, as `trace` or `outline` write it
    traced: PathBuf,
    /// Draw both outlines over each other, .svg or .png
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
}

impl Differ {
    /// Compares.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let mut read = |path: &Path| DesignFile::open(path, global, system)?.balance(system);
        let (design, other) = (read(&self.design)?, read(&self.traced)?);
        let found = deviation(&design.airframe, &other.airframe)
            .map_err(|e| Error::input(e.to_string()))?;
        let answer = view::Differ::new(&design, &other, &found);
        if let Some(path) = &self.output {
            let balances = Balances {
                design_m: design.mass.behind_nose_m(),
                other_m: other.mass.behind_nose_m(),
            };
            let title = format!("{} as it was folded", answer.design);
            let note = report::summary(&answer);
            let look = Look::light("differ");
            let svg = drawn::deviation(&look, &title, &note, &found, balances);
            picture::write(system, path, &svg)?;
            system.message(&format!("{} drawn\n", path.display()));
        }
        tell(&answer, || report::to_text(&answer), global, system)
    }
}

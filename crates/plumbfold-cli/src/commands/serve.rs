use std::path::PathBuf;

use plumbfold_view::serving::Serving;

use crate::error::Error;
use crate::options::Global;
use crate::report::json;
use crate::system::System;
use crate::web::{self, Bench, DesignFolder};

/// Open the bench: a page on this machine where a plane is designed by looking
///
/// Sheet, folds, balance, throw and remedies as one live picture. Only this machine can reach it,
/// and only who knows the address it shows, which is another one each time; only the designs of one
/// folder are read, and they are written only when you save. Ctrl-C ends it.
///
/// Examples:
///   plumbfold serve
///   plumbfold serve designs/halyard.plane
///   plumbfold serve designs --port 8123 --no-open
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Serve {
    /// A design, or a folder of designs
    #[arg(default_value = ".")]
    path: PathBuf,
    /// Do not open the browser
    #[arg(long)]
    no_open: bool,
    /// Port to listen on; otherwise one that is the folder's own, or any that is free
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    port: u16,
}

impl Serve {
    /// Serves until Ctrl-C.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let bench = Bench::new(DesignFolder::open(&self.path)?);
        let mut told = Ok(());
        let ready = |address: &str| {
            told = if global.json {
                json::answer(system, &Serving { address: address.to_owned() })
            } else {
                system.answer(&format!("{address}\n"))
            };
            if !self.no_open && open::that_detached(address).is_err() {
                system.message("no browser could be opened; open the address above yourself\n");
            }
        };
        web::serve(bench, self.port, ready).map_err(|e| {
            let port =
                if self.port == 0 { String::new() } else { format!(" on port {}", self.port) };
            Error::input(format!("cannot listen{port}: {e}"))
                .hint("leave out --port to take a free one")
        })?;
        told
    }
}

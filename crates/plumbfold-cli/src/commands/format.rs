use std::path::{Path, PathBuf};

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::options::Global;
use crate::system::{Overwrite, System};

/// Write a design the usual way: spacing, words, units; comments stay
///
/// Examples:
///   plumbfold format my.plane              print it
///   plumbfold format --write my.plane      change the file
///   plumbfold format --check *.plane       only name the files that would change (exit 3)
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Format {
    /// Designs; `-` is standard input
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Change the files in place
    #[arg(long, conflicts_with = "check")]
    write: bool,
    /// Change nothing; name the files that are not in the usual form
    #[arg(long)]
    check: bool,
}

impl Format {
    /// Prints, writes or compares.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let mut unusual = 0;
        for path in &self.files {
            if self.write && path == Path::new("-") {
                return Err(Error::usage("standard input cannot be written to"));
            }
            let file = DesignFile::open(path, global, system)?;
            let text = file.formatted(system)?;
            let name = &file.source.name;
            if !self.write && !self.check {
                system.answer(&text)?;
            } else if text != file.source.text {
                unusual += 1;
                if self.check {
                    system.message(&format!("{name} is not in the usual form\n"));
                } else {
                    let text = file.source.form.dress(&text);
                    system.write(path, text.as_bytes(), Overwrite::Yes)?;
                    system.message(&format!("{name} rewritten\n"));
                }
            }
        }
        match unusual {
            0 => Ok(()),
            _ if self.write => Ok(()),
            n => Err(Error::check(format!("{n} of {} files would change", self.files.len()))
                .hint("plumbfold format --write changes them")),
        }
    }
}

use std::path::{Path, PathBuf};

use plumbfold_view::many as view;
use plumbfold_view::mistake::Mistake;
use plumbfold_view::numbers::Plane;
use plumbfold_view::picture::compared;
use serde_json::Value;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::picture;
use crate::report::compare;
use crate::report::csv::Csv;
use crate::report::json;
use crate::system::{Overwrite, System};

/// Put planes side by side: sizes, balance, glide, verdict
///
/// Folded designs and planes given by their outline. Each is thrown as its text
/// says unless told otherwise. A file with mistakes gets its message and the
/// others are compared all the same.
///
/// Examples:
///   plumbfold compare designs/*.plane
///   plumbfold compare old.plane new.plane -o both.svg
///   plumbfold compare designs/*.plane --speed 4 --csv fleet.csv
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Compare {
    /// Designs; `-` is standard input
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Draw area ahead, and balance against neutral point, into this file, .svg or .png
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Write the numbers for a spreadsheet; `-` is standard output, in place of the table
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    csv: Option<PathBuf>,
    #[command(flatten)]
    flight: FlightOptions,
}

/// A plane and the file it came from.
struct Found {
    file: String,
    plane: Plane,
}

impl Compare {
    /// Folds and flies them all; shows, draws and writes what was asked for.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let (mut found, mut errors) = (Vec::new(), Vec::new());
        for path in &self.files {
            match self.one(path, global, system) {
                Ok(one) => found.push(one),
                Err(e) => {
                    system.message(&e.to_text());
                    errors.extend(e.into_mistakes());
                }
            }
        }
        self.show(&found, errors, global, system)?;
        let wrong = self.files.len() - found.len();
        if wrong == 0 {
            return Ok(());
        }
        let all = self.files.len();
        Err(Error::input(format!("{wrong} of {all} designs have mistakes")).answered())
    }

    fn one(&self, path: &Path, global: &Global, system: &mut System) -> Result<Found, Error> {
        let file = DesignFile::open(path, global, system)?;
        let plane = Plane::new(file.analyse(&self.flight, system)?);
        Ok(Found { file: file.source.name, plane })
    }

    fn show(
        &self,
        found: &[Found],
        errors: Vec<Mistake>,
        global: &Global,
        system: &mut System,
    ) -> Result<(), Error> {
        if global.json {
            let planes = found.iter().map(Found::compared).collect();
            json::answer(system, &view::Compare { planes, errors })?;
        }
        if found.is_empty() {
            return Ok(());
        }
        let names = names(found);
        let planes: Vec<(String, Plane)> =
            names.into_iter().zip(found.iter().map(|f| f.plane.clone())).collect();
        if let Some(path) = &self.output {
            picture::write(system, path, &compared(&planes))?;
            system.message(&format!("{} drawn\n", path.display()));
        }
        match self.csv.as_deref() {
            Some(path) if path == Path::new("-") => return system.answer(&csv(found)),
            Some(path) => {
                system.write(path, csv(found).as_bytes(), Overwrite::Never)?;
                system.message(&format!("{} written\n", path.display()));
            }
            None => {}
        }
        if global.json {
            return Ok(());
        }
        system.report(&compare::to_text(&planes))
    }
}

impl Found {
    fn compared(&self) -> view::Compared {
        let (name, numbers) = (self.plane.airframe.name.clone(), self.plane.numbers.clone());
        view::Compared { file: self.file.clone(), name, numbers }
    }
}

/// Names of the planes; where two have the same, those of their files.
fn names(found: &[Found]) -> Vec<String> {
    let name = |f: &Found| f.plane.airframe.name.clone();
    let twice = |f: &Found| found.iter().filter(|o| name(o) == name(f)).count() > 1;
    let own = |f: &Found| if twice(f) { f.file.clone() } else { name(f) };
    found.iter().map(own).collect()
}

fn csv(found: &[Found]) -> String {
    let mut csv = Csv::new(&["file".to_owned(), "name".to_owned()]);
    for f in found {
        let first = [f.file.clone(), f.plane.airframe.name.clone()].map(Value::from);
        csv.row(first.to_vec(), Ok(&f.plane.numbers));
    }
    csv.finish()
}

use std::path::{Path, PathBuf};

use plumbfold::pipeline::Analysed;
use plumbfold_view::many::{Checked, CheckedMany};

use crate::design_file::DesignFile;
use crate::drawing::{self, What};
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::picture;
use crate::report::balance;
use crate::report::json;
use crate::report::verdict;
use crate::system::System;

/// The main job: fold a design, say where it balances and how it flies, draw it
///
/// One screen for each design: the balance point, the share of wing area ahead of it beside the
/// usual band, the mean aerodynamic chord (MAC), the layers, and the verdict on the throw it is
/// meant for. The pictures go to `out/`; where a
/// fold cannot be made, a picture of the place.
///
/// Examples:
///   plumbfold check designs/halyard.plane
///   plumbfold check designs/*.plane --no-pictures
///   plumbfold check my.plane --set "tip=30 mm" --out tip30
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Check {
    /// Designs; `-` is standard input
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Where the pictures go; pictures made before are replaced, other files never
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Draw nothing
    #[arg(long)]
    no_pictures: bool,
    #[command(flatten)]
    flight: FlightOptions,
}

/// Pictures of the report, in the order they are named.
const PICTURES: [What; 8] = [
    What::Sheet,
    What::Steps,
    What::Folded,
    What::Pose,
    What::Split,
    What::Throw,
    What::Curves,
    What::Bands,
];

impl Check {
    /// Reports on each file; a file with mistakes does not hide the others.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        if let [file] = &self.files[..] {
            let (checked, text) = self.one(file, global, system)?;
            return if global.json { json::answer(system, &checked) } else { system.answer(&text) };
        }
        let mut all = CheckedMany::default();
        for path in &self.files {
            match self.one(path, global, system) {
                Ok((checked, text)) => {
                    if !global.json {
                        system.answer(&format!("{text}\n"))?;
                    }
                    all.planes.push(checked);
                }
                Err(e) => {
                    system.message(&e.to_text());
                    all.errors.extend(e.into_mistakes());
                }
            }
        }
        if global.json {
            json::answer(system, &all)?;
        }
        let wrong = self.files.len() - all.planes.len();
        if wrong == 0 {
            return Ok(());
        }
        Err(Error::input(format!("{wrong} of {} designs have mistakes", self.files.len()))
            .answered())
    }

    fn one(
        &self,
        path: &Path,
        global: &Global,
        system: &mut System,
    ) -> Result<(Checked, String), Error> {
        let pictures_to = (!self.no_pictures).then_some(self.out.as_path());
        let file = DesignFile::open(path, global, system)?.draw_mistakes_to(pictures_to);
        let plane = file.analyse(&self.flight, system)?;
        let pictures = self.draw(&file, &plane, system)?;
        let warnings = file.mistakes(plane.balanced.source.warnings());
        let checked = Checked::new(&file.source.name, &plane, warnings, pictures);
        let report = balance::to_text(&plane.balanced, &checked.balance).gap();
        let behind_nose_mm = checked.balance.cg.behind_nose_mm;
        let mut report = verdict::add(report, &checked.in_the_air, behind_nose_mm);
        if !checked.pictures.is_empty() {
            report = report.row("pictures", &checked.pictures.join(", "));
        }
        Ok((checked, report.finish()))
    }

    /// Draws the pictures and gives their paths.
    fn draw(
        &self,
        file: &DesignFile,
        plane: &Analysed,
        system: &System,
    ) -> Result<Vec<String>, Error> {
        let mut paths = Vec::new();
        for what in PICTURES.iter().filter(|_| !self.no_pictures) {
            let Some(drawn) = what.of_plane(&file.source, plane)? else { continue };
            let path = drawing::default_path(&self.out, &file.source, *what);
            picture::write(system, &path, &drawn, false)?;
            paths.push(path.display().to_string());
        }
        Ok(paths)
    }
}

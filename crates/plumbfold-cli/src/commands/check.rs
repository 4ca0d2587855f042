use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use plumbfold::pipeline::Analysed;
use plumbfold::verdict::reasons::Reasons;
use plumbfold_view::many::{Checked, CheckedMany};

use crate::design_file::DesignFile;
use crate::drawing::{self, What};
use crate::error::{Error, Kind};
use crate::flight_options::FlightOptions;
use crate::interrupt;
use crate::options::Global;
use crate::picture;
use crate::report::{Amount, Rows, json, page};
use crate::system::System;

/// The main job: fold a design, say what it does and why, where it balances, and draw it
///
/// One page for each design: the verdict on the throw it is meant for and its
/// cause, where it balances against the band in which it glides, and what else
/// it can take. The pictures go to `out/`; where a fold cannot be made, a
/// picture of the place.
///
/// Examples:
///   plumbfold check designs/halyard.plane
///   plumbfold check designs/*.plane --brief
///   plumbfold check my.plane --watch                        (again whenever it is saved)
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
    /// One line for each design, without pictures
    #[arg(long, conflicts_with_all = ["full", "json"])]
    brief: bool,
    /// Tell all there is: chords, every steady glide, backward and upside down too
    #[arg(long)]
    full: bool,
    /// Again whenever a file is saved, until Ctrl-C
    #[arg(long, conflicts_with = "json")]
    watch: bool,
    #[command(flatten)]
    flight: FlightOptions,
}

/// How often files are looked at for changes.
const LOOKED_AT_EVERY: Duration = Duration::from_millis(300);

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

/// What was found of one file.
struct Found {
    checked: Checked,
    report: Rows,
}

impl Check {
    /// Reports on each file, once or whenever one is saved.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        if !self.watch {
            return self.once(global, system);
        }
        interrupt::listen();
        let saved = || -> Vec<Option<SystemTime>> {
            let modified = |p: &PathBuf| p.metadata().and_then(|m| m.modified()).ok();
            self.files.iter().map(modified).collect()
        };
        loop {
            let before = saved();
            if let Err(e) = self.once(global, system) {
                system.message(&e.to_text());
            }
            system.message("waiting for the next save; Ctrl-C ends it\n");
            // Editors write in several goes, or put a new file in the place of the old: it is saved
            // when it is there and changes no more.
            let mut now = saved();
            loop {
                if interrupt::asked() {
                    return Ok(());
                }
                std::thread::sleep(LOOKED_AT_EVERY);
                let then = saved();
                if then == now && then != before && !then.contains(&None) {
                    break;
                }
                now = then;
            }
        }
    }

    /// Reports on each file; a file with mistakes does not hide the others.
    fn once(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        if self.brief {
            return self.each(system, &mut |check, path, system| {
                let file = DesignFile::open(path, global, system)?;
                let plane = file.analyse(&check.flight, system)?;
                let balance = plumbfold_view::balance::Balance::new(&plane.balanced);
                let headline = plumbfold_view::numbers::Numbers::new(&plane).verdict();
                system.answer(&page::brief(&file.source.name, &headline, &balance))
            });
        }
        if let [file] = &self.files[..] {
            let Found { checked, report } = self.one(file, global, system)?;
            return match global.json {
                true => json::answer(system, &checked),
                false => system.report(&report),
            };
        }
        let mut all = CheckedMany::default();
        let mut planes = Vec::new();
        let done = self.each(system, &mut |check, path, system| {
            let Found { checked, report } = check.one(path, global, system)?;
            if !global.json {
                system.report(&report.gap())?;
            }
            planes.push(checked);
            Ok(())
        });
        all.planes = planes;
        match done {
            Err(e) if global.json => {
                all.errors = e.mistakes;
                json::answer(system, &all)?;
                Err(Error::input(e.message).answered())
            }
            Err(e) => Err(e),
            Ok(()) if global.json => json::answer(system, &all),
            Ok(()) => Ok(()),
        }
    }

    /// Does something with each file; what is wrong with some is told and the others go on.
    fn each(
        &self,
        system: &mut System,
        one: &mut dyn FnMut(&Self, &Path, &mut System) -> Result<(), Error>,
    ) -> Result<(), Error> {
        let mut mistakes = Vec::new();
        let mut wrong = 0;
        for path in &self.files {
            if let Err(e) = one(self, path, system) {
                if let [_] = &self.files[..] {
                    return Err(e);
                }
                wrong += 1;
                system.message(&e.to_text());
                mistakes.extend(e.into_mistakes());
            }
        }
        if wrong == 0 {
            return Ok(());
        }
        let message = format!("{wrong} of {} designs have mistakes", self.files.len());
        Err(Error { mistakes, ..Error::input(message) })
    }

    fn one(&self, path: &Path, global: &Global, system: &mut System) -> Result<Found, Error> {
        let pictures_to = (!self.no_pictures).then_some(self.out.as_path());
        let file = DesignFile::open(path, global, system)?.draw_mistakes_to(pictures_to);
        let (plane, reasons) = file.explained(&self.flight, system)?;
        let pictures = self.draw(&file, &plane, &reasons, system)?;
        let warnings = file.mistakes(plane.balanced.source.warnings());
        let checked = Checked::new(&file.source.name, &plane, &reasons, warnings, pictures);
        let amount = if self.full { Amount::Full } else { Amount::Page };
        let mut report = page::page(&plane.balanced, &checked.balance, &checked.in_the_air, amount);
        if let [first, ..] = &checked.pictures[..] {
            let dir = Path::new(first).parent().unwrap_or(Path::new(".")).display();
            let stem = file.source.stem();
            let pictures = match amount {
                Amount::Full => checked.pictures.join(", "),
                Amount::Page => format!("{} in {dir}/{stem}-*.svg", checked.pictures.len()),
            };
            report = report.row("pictures", &pictures);
        }
        Ok(Found { checked, report })
    }

    /// Draws the pictures and gives their paths. A folder that cannot be written to costs the
    /// pictures, not the report.
    fn draw(
        &self,
        file: &DesignFile,
        plane: &Analysed,
        reasons: &Reasons,
        system: &mut System,
    ) -> Result<Vec<String>, Error> {
        let mut paths = Vec::new();
        for what in PICTURES.iter().filter(|_| !self.no_pictures) {
            let Some(drawn) = what.of_plane(&file.source, plane, reasons)? else { continue };
            let path = drawing::default_path(&self.out, &file.source, *what);
            match picture::write(system, &path, &drawn) {
                Ok(()) => paths.push(path.display().to_string()),
                Err(e) if e.kind == Kind::Io => {
                    system.message(&format!("no pictures: {}\n", e.message));
                    break;
                }
                Err(e) => return Err(e),
            }
        }
        Ok(paths)
    }
}

mod aim;

use std::path::{Path, PathBuf};

use plumbfold::study::remedy::aim::Target;
use plumbfold::study::remedy::{Mended, Remedy, State};
use plumbfold_draw::style::Look;
use serde::Serialize;

use crate::design_file::DesignFile;
use crate::drawing;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::picture;
use crate::progress;
use crate::report::state::{Shown, says};
use crate::report::{Rows, json};
use crate::world::{Overwrite, World};

/// What to change so that it flies
///
/// Tries the moves a folder knows (the throw, bent edges, every let within its range, tape and
/// clips, the point folded back, a band folded down first), each for the smallest amount that
/// makes the plane glide with margin, by folding and flying it again. The least disturbing comes
/// first. Nothing is written unless asked.
///
/// With `--to` it solves a let for a wanted share of the wing area ahead of the balance point, or
/// for a balance point behind the nose, instead: each let in turn, or the one named. A let without
/// a range is tried from nothing to twice its value.
///
/// Examples:
///   plumbfold mend my.plane
///   plumbfold mend my.plane --speed 5 --out out      (with pictures)
///   plumbfold mend my.plane --apply 1 -o mended.plane
///   plumbfold mend my.plane --apply 2 --write        (the old text is kept as my.plane.orig)
///   plumbfold mend my.plane --to 25%
///   plumbfold mend my.plane --to "62 mm" --let tip --apply 1 -o mended.plane
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Mend {
    /// Design; `-` is standard input
    file: PathBuf,
    /// Make this remedy (its number in the list)
    #[arg(long, value_name = "K")]
    apply: Option<usize>,
    /// File for the mended text; standard output without
    #[arg(short, long, value_name = "FILE", requires = "apply")]
    output: Option<PathBuf>,
    /// Change the design itself and keep the old text beside it
    #[arg(long, requires = "apply", conflicts_with = "output")]
    write: bool,
    /// Wanted share of the wing area ahead (`25%`) or balance point behind the nose (`62 mm`)
    #[arg(long, value_name = "SHARE|LENGTH", value_parser = aim::target, allow_hyphen_values = true)]
    to: Option<Target>,
    /// The let to solve for it; each in turn without
    #[arg(long = "let", value_name = "NAME", requires = "to")]
    solved_let: Option<String>,
    /// Draw each remedy before and after into this directory
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    #[command(flatten)]
    flight: FlightOptions,
}

#[derive(Serialize)]
struct ShownRemedy {
    kind: &'static str,
    change: String,
    #[serde(rename = "let", skip_serializing_if = "Option::is_none")]
    changed_let: Option<String>,
    from: f64,
    to: f64,
    unit: &'static str,
    behaviour: &'static str,
    sure: bool,
    disturbance: f64,
    after: Shown,
    #[serde(skip_serializing_if = "Option::is_none")]
    picture: Option<String>,
}

#[derive(Serialize)]
struct ShownTried {
    kind: &'static str,
    what: String,
    behaviour: Option<&'static str>,
    gliding_share: f64,
}

#[derive(Serialize)]
struct Answer {
    before: Shown,
    remedies: Vec<ShownRemedy>,
    tried: Vec<ShownTried>,
    /// Every move was tried.
    complete: bool,
}

impl Mend {
    /// Looks for remedies; shows or makes one.
    pub fn run(&self, global: &Global, world: &mut World) -> Result<(), Error> {
        let file = DesignFile::open(&self.file, global, world)?;
        if let Some(target) = self.to {
            return self.aim(target, &file, global, world);
        }
        let bar = progress::bar("moves flown");
        let mended = file.mend(&self.flight, world, &progress::until_interrupted(&bar));
        bar.finish_and_clear();
        let mended = mended?;
        if let Some(k) = self.apply {
            return self.make(k, &mended.remedies.iter().collect::<Vec<_>>(), world);
        }
        let pictures = self.draw(&file, &mended, world)?;
        if global.json {
            json::answer(world, &Answer::new(&mended, &pictures))?;
        } else {
            world.answer(&report(&file.source.name, &mended, &pictures))?;
        }
        if mended.stopped {
            return Err(Error::stopped("not every move was tried"));
        }
        Ok(())
    }

    /// Draws each remedy and gives the paths of the pictures.
    fn draw(
        &self,
        file: &DesignFile,
        mended: &Mended,
        world: &mut World,
    ) -> Result<Vec<String>, Error> {
        let Some(dir) = &self.out else { return Ok(Vec::new()) };
        let before = file.analyse(&self.flight, world)?;
        let mut paths = Vec::new();
        for (k, remedy) in mended.remedies.iter().enumerate() {
            let after = file.analyse_changed(&remedy.text, &self.flight, world)?;
            let name = format!("{}-remedy-{}.svg", file.source.stem(), k + 1);
            let path = dir.join(name);
            let look = Look::light("remedy");
            let svg = drawing::before_after(&look, &remedy.sentence, &before, &after);
            picture::write(world, &path, &svg, false)?;
            paths.push(path.display().to_string());
        }
        Ok(paths)
    }

    fn aim(
        &self,
        target: Target,
        file: &DesignFile,
        global: &Global,
        world: &mut World,
    ) -> Result<(), Error> {
        let aimed = file.aim(&self.flight, world, target, self.solved_let.as_deref())?;
        match self.apply {
            Some(k) => self.make(k, &aim::remedies(&aimed), world),
            None if global.json => json::answer(world, &aim::Answer::new(&aimed)),
            None => world.answer(&aim::report(&file.source.name, &aimed)),
        }
    }

    fn make(&self, k: usize, remedies: &[&Remedy], world: &mut World) -> Result<(), Error> {
        let Some(remedy) = k.checked_sub(1).and_then(|i| remedies.get(i)) else {
            let n = remedies.len();
            return Err(Error::usage(format!("there are {n} remedies, so there is no number {k}")));
        };
        if self.write {
            let mut kept = self.file.clone().into_os_string();
            kept.push(".orig");
            let kept = PathBuf::from(kept);
            let old = world.read_design(&self.file)?.text;
            world.write(&kept, old.as_bytes(), Overwrite::Never)?;
            world.write(&self.file, remedy.text.as_bytes(), Overwrite::Yes)?;
            world.message(&format!(
                "{}\n{} changed; the old text is {}\n",
                remedy.sentence,
                self.file.display(),
                kept.display()
            ));
            return Ok(());
        }
        match &self.output {
            Some(path) if path != Path::new("-") => {
                world.write(path, remedy.text.as_bytes(), Overwrite::Never)?;
                world.message(&format!("{}\n{} written\n", remedy.sentence, path.display()));
                Ok(())
            }
            _ => world.answer(&remedy.text),
        }
    }
}

impl Answer {
    fn new(m: &Mended, pictures: &[String]) -> Self {
        let picture = |k: usize| pictures.get(k).cloned();
        let remedies = m.remedies.iter().enumerate();
        Self {
            complete: !m.stopped,
            before: Shown::new(&m.before),
            remedies: remedies.map(|(k, r)| ShownRemedy::new(r, picture(k))).collect(),
            tried: m
                .tried
                .iter()
                .map(|t| ShownTried {
                    kind: t.kind,
                    what: t.what.clone(),
                    behaviour: t.behaviour.map(|b| b.code()),
                    gliding_share: t.share,
                })
                .collect(),
        }
    }
}

impl ShownRemedy {
    fn new(r: &Remedy, picture: Option<String>) -> Self {
        Self {
            kind: r.kind,
            change: r.sentence.clone(),
            changed_let: r.changed_let.clone(),
            from: r.from,
            to: r.to,
            unit: r.unit,
            behaviour: r.after.behaviour.code(),
            sure: r.sure,
            disturbance: r.disturbance,
            after: Shown::new(&r.after),
            picture,
        }
    }
}

/// What else a remedy does.
fn side_effects(b: &State, r: &Remedy) -> Vec<String> {
    let a = &r.after;
    let mut side = vec![format!("flies {:.1} m", a.distance_m)];
    if (a.wing_loading_n_m2 - b.wing_loading_n_m2).abs() > 0.01 * b.wing_loading_n_m2 {
        side.push(format!(
            "wing loading {:.2} instead of {:.2} N/m2",
            a.wing_loading_n_m2, b.wing_loading_n_m2
        ));
    }
    if a.crease_layers_max != b.crease_layers_max {
        side.push(format!(
            "{} layers round the worst crease instead of {}",
            a.crease_layers_max, b.crease_layers_max
        ));
    }
    if !r.sure {
        side.push("near an edge: a little off and it does something else".to_owned());
    }
    side
}

fn report(name: &str, m: &Mended, pictures: &[String]) -> String {
    let b = &m.before;
    let mut rows = Rows::titled(&format!("Remedies for {name}")).row("now", &says(b)).gap();
    for (k, r) in m.remedies.iter().enumerate() {
        rows = rows.strong_row(&format!("{}", k + 1), &r.sentence).row("", &says(&r.after));
        let mut side = side_effects(b, r);
        if let Some(better) = k.checked_sub(1).map(|i| &m.remedies[i]).filter(|o| r.ties_with(o)) {
            let [this, that] = [r, better].map(|r| r.after.glide_probability * 100.0);
            side.push(format!(
                "as small a change as {k}, and after it as it glides in {this:.0} % against {that:.0} %"
            ));
        }
        rows = rows.row("", &side.join("; "));
        if let Some(path) = pictures.get(k) {
            rows = rows.row("", &format!("picture {path}"));
        }
    }
    if m.remedies.is_empty() {
        let nothing = match (m.sound, m.stopped) {
            (true, _) => "It glides with margin as it is: nothing to mend.",
            (_, true) => "Nothing found before it was stopped.",
            _ => "Nothing within the ranges makes it glide with margin.",
        };
        rows = rows.paragraph(nothing);
    }
    let close =
        m.tried.iter().filter(|t| t.share > 0.0).take(4).map(|t| {
            format!("{} (glides in {:.0} % of its flights at best)", t.what, t.share * 100.0)
        });
    let close: Vec<String> = close.collect();
    if !close.is_empty() {
        rows = rows.row("also tried", &close.join("; "));
    }
    if !m.remedies.is_empty() {
        rows = rows.gap().paragraph("plumbfold mend FILE --apply 1 -o NEW.plane makes the first.");
    }
    rows.finish()
}

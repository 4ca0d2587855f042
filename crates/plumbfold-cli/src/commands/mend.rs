mod aim;

use std::path::{Path, PathBuf};

use plumbfold::study::remedy::aim::Target;
use plumbfold::study::remedy::{Mended, Remedy};
use plumbfold_draw::style::Look;
use plumbfold_view::mend as view;
use plumbfold_view::numbers::Numbers;
use plumbfold_view::picture::in_the_air::before_after;
use plumbfold_view::said::{count, how_often, of_the_time};

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::picture;
use crate::progress;
use crate::report::state::says;
use crate::report::{Rows, json::tell};
use crate::system::{self, Overwrite, System};

/// What to change so that it flies
///
/// Tries the moves a folder knows (the throw, bent edges, every let within its
/// range, tape and clips, the point folded back, a band folded down first),
/// each for the smallest amount a hand can make that lets the plane glide three
/// times in four, by folding and flying it again. Only what makes it glide
/// clearly more often is told; what achieves the most for what it costs comes
/// first. Nothing is written unless asked.
///
/// With `--to` it solves a let for a wanted share of the wing area ahead of the
/// balance point, or for a balance point behind the nose, instead: each let in
/// turn, or the one named. A let without a range is tried from nothing to twice
/// its value.
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

impl Mend {
    /// Looks for remedies; shows or makes one.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        if self.write && self.file == Path::new("-") {
            return Err(Error::usage("standard input cannot be written to")
                .hint("leave out --write: the mended text goes to standard output"));
        }
        let file = DesignFile::open(&self.file, global, system)?;
        if let Some(target) = self.to {
            return self.aim(target, &file, global, system);
        }
        let bar = progress::bar("moves flown");
        let mended = file.mend(&self.flight, system, &progress::until_interrupted(&bar));
        bar.finish_and_clear();
        let mended = mended?;
        if let Some(k) = self.apply {
            return self.make(k, &mended.remedies.iter().collect::<Vec<_>>(), system);
        }
        let pictures = self.draw(&file, &mended, system)?;
        let answer = view::Mend::new(&mended, &pictures);
        tell(&answer, || report(&file.source.name, &answer), global, system)?;
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
        system: &mut System,
    ) -> Result<Vec<String>, Error> {
        let Some(dir) = &self.out else { return Ok(Vec::new()) };
        let mut paths = Vec::new();
        for (k, remedy) in mended.remedies.iter().enumerate() {
            let name = format!("{}-remedy-{}.svg", file.source.stem(), k + 1);
            let path = dir.join(name);
            let look = Look::light("remedy");
            let svg = before_after(&look, &remedy.sentence, &mended.before, &remedy.after);
            picture::write(system, &path, &svg)?;
            paths.push(path.display().to_string());
        }
        Ok(paths)
    }

    fn aim(
        &self,
        target: Target,
        file: &DesignFile,
        global: &Global,
        system: &mut System,
    ) -> Result<(), Error> {
        let aimed = file.aim(&self.flight, system, target, self.solved_let.as_deref())?;
        match self.apply {
            Some(k) => self.make(k, &aim::remedies(&aimed), system),
            None => {
                let answer = view::Aim::new(&aimed);
                tell(&answer, || aim::report(&file.source.name, &answer), global, system)
            }
        }
    }

    fn make(&self, k: usize, remedies: &[&Remedy], system: &mut System) -> Result<(), Error> {
        let Some(remedy) = k.checked_sub(1).and_then(|i| remedies.get(i)) else {
            let n = remedies.len();
            return Err(Error::usage(format!("there are {n} remedies, so there is no number {k}")));
        };
        if self.write {
            let mut kept = self.file.clone().into_os_string();
            kept.push(".orig");
            let kept = PathBuf::from(kept);
            let old = system.read_design(&self.file)?;
            system.write(&kept, old.form.dress(&old.text).as_bytes(), Overwrite::Never)?;
            let mended = old.form.dress(&remedy.text);
            system.write(&self.file, mended.as_bytes(), Overwrite::Yes)?;
            system.message(&format!(
                "{}\n{} changed; the old text is {}\n",
                remedy.sentence,
                self.file.display(),
                kept.display()
            ));
            return Ok(());
        }
        match &self.output {
            Some(path) if path != Path::new("-") => {
                system.write(path, remedy.text.as_bytes(), Overwrite::Never)?;
                system.message(&format!("{}\n{} written\n", remedy.sentence, path.display()));
                Ok(())
            }
            _ => system.answer(&remedy.text),
        }
    }
}

/// What else a remedy does.
fn side_effects(b: &Numbers, r: &view::Remedy) -> Vec<String> {
    let a = &r.after;
    let mut side = vec![format!("thrown exactly so it flies {:.1} m", a.distance_m)];
    let [now, then] = [b, a].map(Numbers::wing_loading_g_dm2);
    if (then - now).abs() > 0.01 * now {
        side.push(format!("wing loading {then:.2} instead of {now:.2} g/dm2"));
    }
    if let (Some(now), Some(then)) = (b.layers_at_crease_max, a.layers_at_crease_max)
        && then != now
    {
        side.push(format!("{then} layers round the worst crease instead of {now}"));
    }
    side
}

fn report(name: &str, m: &view::Mend) -> Rows {
    let b = &m.before;
    let mut rows = Rows::titled(&format!("Remedies for {name}")).row("now", &says(b)).gap();
    let mut undone = false;
    for (k, r) in m.remedies.iter().enumerate() {
        if r.undoes && !undone {
            rows = rows.paragraph("Taking back what the text states:");
            undone = true;
        } else if !r.undoes && undone {
            rows = rows.gap().paragraph("Or:");
            undone = false;
        }
        let [now, then] = [b, &r.after].map(|n| of_the_time(n.glide_probability));
        let chance = format!("it glides {now} now, {then} then");
        rows = rows
            .strong_row(&format!("{}", k + 1), &r.change)
            .row("", &chance)
            .row("", &says(&r.after))
            .row("", &side_effects(b, r).join("; "));
        if let Some(path) = &r.picture {
            rows = rows.row("", &format!("picture {path}"));
        }
    }
    if m.remedies.is_empty() {
        let nothing = match (m.sound, m.complete) {
            (true, _) => "It glides and is on no edge: nothing to mend.",
            (_, false) => "Nothing found before it was stopped.",
            _ => "No single change within the ranges makes it glide clearly more often.",
        };
        rows = rows.paragraph(nothing);
    }
    let close: Vec<String> = m
        .tried
        .iter()
        .filter(|t| t.glide_probability > b.glide_probability)
        .map(|t| format!("{} ({})", t.what, how_often(t.glide_probability)))
        .collect();
    if !close.is_empty() {
        let close = format!("{}; in brackets how often it glides then, at best", close.join("; "));
        rows = rows.gap().row("also tried", &close);
    }
    if m.tried_in_part > 0 {
        let moves = count(m.tried_in_part, "move was", "moves were");
        rows = rows.gap().row(
            "left out",
            &format!("{moves} tried only in part: flights this long take much work"),
        );
    }
    if !m.remedies.is_empty() {
        rows = rows.gap().paragraph(&make(name));
    }
    rows
}

/// How the first is made: what was typed, and more.
fn make(name: &str) -> String {
    let stem = Path::new(name).file_stem().unwrap_or_default().to_string_lossy();
    let stem = stem.replace(char::is_whitespace, "-");
    format!("{} --apply 1 -o {stem}-mended.plane makes the first.", system::typed())
}

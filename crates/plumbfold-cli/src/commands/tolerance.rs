use std::path::PathBuf;

use plumbfold::design::ast::Unit;
use plumbfold::study::tolerance::{DRAWS, DRAWS_MAX, Hands, Keep, Tolerance as Tried, advice};
use plumbfold::verdict::Behaviour;
use plumbfold_draw::series::{distances, sensitivities};
use plumbfold_draw::style::Look;
use plumbfold_view::tolerance as view;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::{FlightOptions, between};
use crate::options::Global;
use crate::picture;
use crate::report::table::Table;
use crate::report::{Rows, json};
use crate::system::System;

/// Have many hands fold and throw a design: how often it glides, which fold matters most
///
/// Each plane has every crease a little beside its mark, paper a little heavier or lighter,
/// trailing edges not quite flat and not quite alike, and is thrown a little differently. Then
/// each fold alone is placed further and further off, to say how exactly it must be placed. What
/// is not known of the model itself is left out: `check` says how sure that is. Creases of
/// collapses are taken as exact.
///
/// What matters is told as shares of the scatter (sensitivity indices: Saltelli et al. 2010,
/// Jansen 1999), each by itself and with all it works together with.
///
/// Examples:
///   plumbfold tolerance designs/marlinspike.plane
///   plumbfold tolerance designs/scow.plane --hands 10000 --crease "0.5 mm" --out out
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Tolerance {
    /// Design; `-` is standard input
    file: PathBuf,
    /// Planes folded and thrown, about
    #[arg(long, value_name = "N", default_value_t = DRAWS as u32,
          value_parser = clap::value_parser!(u32).range(1..=DRAWS_MAX as i64))]
    hands: u32,
    /// How far the ends of a crease come to lie beside their marks (one standard deviation), mm
    #[arg(long, value_name = "LENGTH", value_parser = crease)]
    crease: Option<f64>,
    /// Draw the distances and what matters into this directory
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    #[command(flatten)]
    flight: FlightOptions,
}

/// Carelessness has an end, m.
const CREASE_MAX_M: f64 = 3e-3;

fn crease(text: &str) -> Result<f64, String> {
    between(text, Unit::Mm, [0.0, CREASE_MAX_M])
}

impl Tolerance {
    /// Folds, throws, counts; shows and draws.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let file = DesignFile::open(&self.file, global, system)?;
        let plane = file.balance(system)?;
        let hands =
            Hands { crease_m: self.crease.unwrap_or(Hands::CAREFUL.crease_m), ..Hands::CAREFUL };
        let throw = self.flight.change().apply(plane.throw.into());
        let conditions = self.flight.conditions()?;
        let draws = self.hands as usize;
        let tried = file.tolerance(&plane, &throw, &conditions, &hands, draws, system)?;
        let keeps = if tried.stopped { Vec::new() } else { advice(&plane, &throw, &conditions) };
        let pictures = self.draw(&file, &tried, system)?;
        if global.json {
            json::answer(system, &view::Tolerance::new(&tried, &keeps, pictures))?;
        } else {
            system.answer(&report(&file.name(), &hands, &tried, &keeps, &pictures))?;
        }
        if tried.stopped {
            return Err(Error::stopped("fewer planes were folded than asked for"));
        }
        Ok(())
    }

    fn draw(
        &self,
        file: &DesignFile,
        tried: &Tried,
        system: &System,
    ) -> Result<Vec<String>, Error> {
        let Some(dir) = &self.out else { return Ok(Vec::new()) };
        let name = file.name();
        let (glided, others): (Vec<_>, Vec<_>) = tried.outcomes.iter().partition(|o| o.glides());
        let metres = |all: Vec<plumbfold::study::tolerance::Outcome>| -> Vec<f64> {
            all.iter().map(|o| o.distance_m).collect()
        };
        let words: Vec<String> = tried.cares.iter().map(|c| c.what.words()).collect();
        let rows: Vec<(&str, f64, f64)> = words
            .iter()
            .zip(&tried.cares)
            .map(|(w, c)| (w.as_str(), c.distance[0], c.distance[1]))
            .collect();
        let pictures = [
            (
                "distances",
                distances(&Look::light("distances"), &name, &metres(glided), &metres(others)),
            ),
            ("matters", sensitivities(&Look::light("matters"), &name, &rows)),
        ];
        let mut paths = Vec::new();
        for (what, svg) in pictures {
            let path = dir.join(format!("{}-{what}.svg", file.source.stem()));
            picture::write(system, &path, &svg, false)?;
            paths.push(path.display().to_string());
        }
        Ok(paths)
    }
}

/// Shares smaller than this are not worth a word.
const NAMED: f64 = 0.01;
/// Letters of the longest bar.
const BAR: f64 = 40.0;
/// Rows of the histogram.
const BINS: usize = 10;

fn report(name: &str, hands: &Hands, t: &Tried, keeps: &[Keep], pictures: &[String]) -> String {
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    let mut others: Vec<(f64, String)> = Behaviour::EVERY
        .into_iter()
        .filter(|&b| b != Behaviour::Glides)
        .map(|b| (t.share(|o| o.behaviour == Some(b)), b.words().to_owned()))
        .collect();
    others.push((t.share(|o| o.behaviour.is_none()), "does not come together".to_owned()));
    others.retain(|o| o.0 >= NAMED);
    others.sort_by(|a, b| b.0.total_cmp(&a.0));
    let others: Vec<String> =
        others.iter().map(|(share, words)| format!("{words} {}", percent(*share))).collect();
    let mut rows = Rows::titled(&format!("{name} in {} pairs of hands", t.outcomes.len()))
        .row(
            "hands",
            &format!(
                "creases {:.1} mm beside their marks, paper {:.0} %, edges {:.2} mm, throws {:.0} % and {:.0} degrees (one standard deviation each)",
                hands.crease_m * 1e3,
                hands.grammage * 100.0,
                hands.warp_m * 1e3,
                hands.speed * 100.0,
                hands.elevation_rad.to_degrees()
            ),
        )
        .strong_row("glides", &percent(t.share(|o| o.glides())));
    if !others.is_empty() {
        rows = rows.row("otherwise", &others.join(", "));
    }
    let at = |share| t.distance_m(share);
    rows = rows
        .row(
            "distance",
            &format!(
                "half of them {:.1} to {:.1} m, nine in ten {:.1} to {:.1} m",
                at(0.25),
                at(0.75),
                at(0.05),
                at(0.95)
            ),
        )
        .drawn(&histogram(t))
        .gap();
    let mut table = Table::new([
        vec![
            "what matters".into(),
            "to the distance".into(),
            String::new(),
            "to the glide".into(),
            "keep within".into(),
        ],
        vec![String::new(), "alone".into(), "in all".into(), "in all".into(), String::new()],
    ]);
    for c in &t.cares {
        let share = |v: f64| format!("{:.2}", v.max(0.0));
        let keep = keeps.iter().find(|k| k.what == c.what);
        table.row(vec![
            c.what.words(),
            share(c.distance[0]),
            share(c.distance[1]),
            share(c.glide[1]),
            keep.map_or(String::new(), kept),
        ]);
    }
    rows = rows.lines(table.lines());
    if keeps.is_empty() && !t.stopped {
        rows = rows.gap().paragraph("It does not glide as meant, so there is no saying how exactly to fold it: `plumbfold mend` first.");
    }
    if !pictures.is_empty() {
        rows = rows.gap().row("pictures", &pictures.join(", "));
    }
    rows.finish()
}

fn kept(k: &Keep) -> String {
    match k.beyond {
        None => "no matter".to_owned(),
        Some((b, off_m)) => {
            format!("{} mm: {} at {} mm", k.within_m * 1e3, b.words(), off_m * 1e3)
        }
    }
}

/// Distances in rows of equal width.
fn histogram(t: &Tried) -> Vec<String> {
    let far = t.outcomes.iter().map(|o| o.distance_m).fold(0.0, f64::max);
    if far <= 0.0 {
        return Vec::new();
    }
    let width = far / BINS as f64;
    let mut counts = [[0usize; 2]; BINS];
    for o in &t.outcomes {
        let bin = ((o.distance_m / width) as usize).min(BINS - 1);
        counts[bin][usize::from(!o.glides())] += 1;
    }
    let most = counts.iter().map(|c| c[0] + c[1]).max().unwrap_or(1).max(1) as f64;
    let letters = |n: usize| (n as f64 / most * BAR).round() as usize;
    let row = |(k, c): (usize, &[usize; 2])| {
        let (glided, all) = (letters(c[0]), letters(c[0] + c[1]));
        let bar = "█".repeat(glided) + &"░".repeat(all - glided);
        format!("{:5.1} m {bar}", (k as f64 + 0.5) * width)
    };
    let mut rows: Vec<String> = counts.iter().enumerate().map(row).collect();
    rows.push("        █ glided, ░ did something else".to_owned());
    rows
}

use std::path::PathBuf;

use plumbfold::design::ast::Unit;
use plumbfold::study::tolerance::{DRAWS, DRAWS_MAX, Skill, Tolerance as Tried, advice};
use plumbfold_draw::series::{distances, sensitivities};
use plumbfold_draw::style::Look;
use plumbfold_view::said::{count, of_the_time, per_cent};
use plumbfold_view::tolerance as view;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::{FlightOptions, between};
use crate::options::Global;
use crate::picture;
use crate::report::table::Table;
use crate::report::{Rows, json::tell};
use crate::system::System;

/// Fold and throw a design thousands of times with a hand's slips: which fold matters most
///
/// Each plane has every crease a little beside its mark, paper a little heavier
/// or lighter, trailing edges not quite flat and not quite alike, and is thrown
/// a little differently. Then each fold alone is placed further and further
/// off, to say how exactly it must be placed. What is not known of the air is
/// left out, as it is the same for every plane of a design: `check` draws that
/// too, and its figure stands beside. Creases of collapses are taken as exact.
///
/// What matters is told as shares of the scatter (sensitivity indices: Saltelli
/// et al. 2010, Jansen 1999), each by itself and with all it works together
/// with.
///
/// Examples:
///   plumbfold tolerance designs/marlinspike.plane
///   plumbfold tolerance designs/scow.plane --planes 10000 --crease "0.5 mm" --out out
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Tolerance {
    /// Design; `-` is standard input
    file: PathBuf,
    /// Planes folded and thrown, about
    #[arg(long, value_name = "N", default_value_t = DRAWS as u32,
          value_parser = clap::value_parser!(u32).range(1..=DRAWS_MAX as i64))]
    planes: u32,
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
        let skill =
            Skill { crease_m: self.crease.unwrap_or(Skill::CAREFUL.crease_m), ..Skill::CAREFUL };
        let throw = self.flight.change().apply(plane.throw.into());
        let conditions = file.conditions(&self.flight, system)?;
        let draws = self.planes as usize;
        let tried = file.tolerance(&plane, &throw, &conditions, &skill, draws, system)?;
        let keeps = if tried.stopped { Vec::new() } else { advice(&plane, &throw, &conditions) };
        let checked = file.analyse(&self.flight, system)?.verdict.probability;
        let pictures = self.draw(&file, &tried, system)?;
        let answer = view::Tolerance::new(&tried, &skill, &keeps, &checked, pictures);
        tell(&answer, || report(&file.name(), &answer), global, system)?;
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
            picture::write(system, &path, &svg)?;
            paths.push(path.display().to_string());
        }
        Ok(paths)
    }
}

/// Shares smaller than this are not worth a word.
const NAMED: f64 = 0.01;
/// Letters of the longest bar.
const BAR: f64 = 40.0;

fn report(name: &str, t: &view::Tolerance) -> Rows {
    let mut others: Vec<(f64, &str)> = t
        .behaviours
        .iter()
        .filter(|b| b.behaviour.words() != "glides")
        .map(|b| (b.share, b.behaviour.words()))
        .collect();
    others.push((t.not_folded_share, "does not come together"));
    others.retain(|o| o.0 >= NAMED);
    others.sort_by(|a, b| b.0.total_cmp(&a.0));
    let others: Vec<String> =
        others.iter().map(|(share, words)| format!("{words} {}", per_cent(*share))).collect();
    let s = &t.slips;
    let mut rows = Rows::titled(&format!("{name}, folded and thrown {}", count(t.planes, "time", "times")))
        .row(
            "each time",
            &format!(
                "creases {:.1} mm beside their marks, paper {:.0} %, edges {:.2} mm, throws {:.0} % and {:.0} degrees (one standard deviation each)",
                s.crease_mm,
                s.grammage_fraction * 100.0,
                s.edges_mm,
                s.speed_fraction * 100.0,
                s.elevation_deg
            ),
        )
        .strong_row("glides", &of_the_time(t.glide_share))
        .row("", &t.check.said);
    if !others.is_empty() {
        rows = rows.row("otherwise", &others.join(", "));
    }
    let d = &t.distance_m;
    rows = rows
        .row(
            "distance",
            &format!(
                "half of them {:.1} to {:.1} m, nine in ten {:.1} to {:.1} m",
                d.p25, d.p75, d.p05, d.p95
            ),
        )
        .drawn(&histogram(&t.distances))
        .gap();
    let words = |all: &[&str]| -> Vec<String> { all.iter().map(|w| (*w).to_owned()).collect() };
    let mut table = Table::new([
        words(&["what matters", "to the distance", "", "to the glide", "keep within"]),
        words(&["", "alone", "in all", "in all", ""]),
    ]);
    for m in &t.matters {
        let share = |v: f64| format!("{:.2}", v.max(0.0));
        let keep = t.keep.iter().find(|k| k.what == m.what);
        table.row(vec![
            m.what.clone(),
            share(m.distance_alone),
            share(m.distance_total),
            share(m.glide_total),
            keep.map_or(String::new(), kept),
        ]);
    }
    rows = rows.table(table);
    if t.shortened {
        rows = rows.row("", "flights here are long: fewer planes were folded than asked for");
    }
    if t.keep.is_empty() && (t.complete || t.shortened) {
        rows = rows.gap().paragraph(
            "Thrown exactly so it does not glide, so there is no saying how exactly to fold it: \
             `plumbfold mend` first.",
        );
    }
    if !t.pictures.is_empty() {
        rows = rows.gap().row("pictures", &t.pictures.join(", "));
    }
    rows
}

fn kept(k: &view::KeepWithin) -> String {
    match k.beyond.zip(k.beyond_mm) {
        None => "no matter".to_owned(),
        Some((b, off)) => format!("{} mm: {} at {off} mm", k.within_mm, b.0.code()),
    }
}

/// Distances in rows of equal width.
fn histogram(bins: &[view::Bin]) -> Vec<String> {
    if bins.is_empty() {
        return Vec::new();
    }
    let most = bins.iter().map(|b| b.glided + b.others).max().unwrap_or(1).max(1) as f64;
    let letters = |n: usize| (n as f64 / most * BAR).round() as usize;
    let row = |b: &view::Bin| {
        let (glided, all) = (letters(b.glided), letters(b.glided + b.others));
        let bar = "█".repeat(glided) + &"░".repeat(all.saturating_sub(glided));
        format!("{:5.1} m {bar}", b.at_m)
    };
    let mut rows: Vec<String> = bins.iter().map(row).collect();
    rows.push("        █ glided, ░ did something else".to_owned());
    rows
}

//! Every throw of a few planes, each plane a row that reads downwards in the order thrown.

use plumbfold::verdict::Behaviour;

use crate::behaviour::{dress, key_of};
use crate::chart::{Axis, BELOW, Chart};
use crate::frame::{self, Sample};
use crate::style::{Hatch, Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Rect};
use crate::text::{Text, shorten};

/// The throws of one plane.
#[derive(Clone, Debug)]
pub struct Row<'a> {
    /// What they are called.
    pub name: &'a str,
    /// What was measured and what it did, in the order thrown.
    pub throws: &'a [(f64, Option<Behaviour>)],
    /// Mean of what was measured, with its interval.
    pub mean: Option<(f64, [f64; 2])>,
}

/// Width of the field of throws and of the names beside it, mm.
const PLOT: f64 = 130.0;
const NAMES: f64 = 42.0;
/// Height of a row, mm, and most rows drawn.
const ROW: f64 = 17.0;
const ROWS_MAX: usize = 40;
/// Most throws drawn in a row: more lie on each other.
const THROWS_MAX: usize = 3000;

/// Rows of throws over one axis. `measure` names what was measured, with its unit.
pub fn throws(look: &Look, title: &str, measure: &str, rows: &[Row<'_>]) -> String {
    let rows = &rows[..rows.len().min(ROWS_MAX)];
    let all = rows.iter().flat_map(|r| r.throws.iter().map(|t| t.0));
    let x = Axis::over(measure, all);
    let seen = key_of(rows.iter().flat_map(|r| r.throws.iter().filter_map(|t| t.1)));
    // Dots are too small for a pattern: here the letter alone tells what shares a ground.
    let plain = |sample| match sample {
        Sample::Patch(ink, _, letter) => Sample::Patch(ink, Hatch::None, letter),
        other => other,
    };
    let mut items: Vec<_> = seen.into_iter().map(|(s, words)| (plain(s), words)).collect();
    items.push((Sample::Line(MEAN), "mean, with its 95 % interval"));
    let width = PLOT + NAMES;
    let field = ROW * rows.len().max(1) as f64;
    let content = [width, field + BELOW + 4.0 + frame::key_height(&items, width)];
    let note = "every throw; each row reads downwards in the order thrown";
    let (mut c, area) = frame::start(look, title, note, note, content);
    let chart = Chart {
        area: Rect::new(area.x + NAMES, area.y, PLOT, field),
        x,
        y: Axis::between("", 0.0, 1.0),
    };
    chart.x_axis(&mut c, true);
    for (k, row) in rows.iter().enumerate() {
        let top = area.y + ROW * k as f64;
        let foot = Path::segment([area.x, top + ROW], [area.x + width, top + ROW]);
        c.path(&foot, Paint::stroke(Stroke::GRID));
        let name = shorten(row.name, Text::LABEL, NAMES - 3.0);
        c.text([area.x, top + ROW / 2.0 - 1.0], &name, Text::LABEL);
        let count = match row.throws.len() {
            1 => "1 throw".to_owned(),
            n if n > THROWS_MAX => format!("{n} throws, {THROWS_MAX} drawn"),
            n => format!("{n} throws"),
        };
        c.text([area.x, top + ROW / 2.0 + 3.4], &count, Text::SMALL);
        c.group("throws", |c| one(c, &chart, row, top));
    }
    frame::key(&mut c, [area.x, area.y + field + BELOW + 4.0], width, &items);
    c.finish()
}

/// Radius of a throw, mm, and where its letter may stand beside it, the best first.
const DOT: f64 = 1.1;
const BESIDE: [[f64; 2]; 6] =
    [[2.4, 0.0], [-2.4, 0.0], [0.0, -2.5], [0.0, 2.5], [2.1, -2.1], [2.1, 2.1]];

const MEAN: Stroke = Stroke::solid(Ink::Move, weight::HEAVY);

fn one(c: &mut Canvas<'_>, chart: &Chart, row: &Row<'_>, top: f64) {
    let inner = ROW - 5.0;
    let last = row.throws.len().min(THROWS_MAX).saturating_sub(1).max(1) as f64;
    let step = row.throws.len().div_ceil(THROWS_MAX).max(1);
    if let Some((mean, [low, high])) = row.mean {
        let at = |v: f64| chart.at([v.clamp(chart.x.range[0], chart.x.range[1]), 0.0])[0];
        let (x, a, b) = (at(mean), at(low), at(high));
        let band = Rect::new(a, top + 1.0, (b - a).max(0.05), ROW - 2.0);
        c.path(&Path::rect(band), Paint::veil(Ink::Move, 0.18));
        let line = Path::segment([x, top + 1.0], [x, top + ROW - 1.0]);
        c.path(&line, Paint::stroke(MEAN));
    }
    let mut dots = Vec::new();
    for (i, (value, did)) in row.throws.iter().step_by(step).enumerate() {
        if value.is_finite() {
            let x = chart.at([*value, 0.0])[0];
            dots.push(([x, top + 2.5 + inner * (i as f64 / last).min(1.0)], *did));
        }
    }
    for (at, did) in &dots {
        let ink = did.map_or(Ink::Ground, |b| dress(b).0);
        let rim = Stroke::solid(Ink::Text, weight::HAIR);
        c.named_path("throw", &Path::circle(*at, DOT), Paint::both(ink, rim));
    }
    let mut letters: Vec<[f64; 2]> = Vec::new();
    for (dot, did) in &dots {
        // What glides needs no letter; the others share grounds, and are told apart by it.
        let Some(did) = did.filter(|d| *d != Behaviour::Glides) else { continue };
        let clear = |at: &[f64; 2], of: &[f64; 2], far: f64| {
            (at[0] - of[0]).abs() > far || (at[1] - of[1]).abs() > far
        };
        let free = |at: &[f64; 2]| {
            letters.iter().all(|l| clear(at, l, 2.3)) && dots.iter().all(|d| clear(at, &d.0, 2.0))
        };
        if let Some(at) = BESIDE.map(|[x, y]| [dot[0] + x, dot[1] + y]).into_iter().find(free) {
            c.text(at, dress(did).2, Text::SMALL.level().centred());
            letters.push(at);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_throw_is_drawn_whatever_was_measured() {
        let look = Look::light("throws");
        let some = [(5.0, Some(Behaviour::Glides)), (5.5, None), (3.0, Some(Behaviour::Stalls))];
        let rows = [
            Row { name: "Scow & co", throws: &some, mean: Some((4.5, [3.0, 6.0])) },
            Row { name: "", throws: &[], mean: None },
        ];
        let svg = throws(&look, "Results", "distance, m", &rows);
        assert_eq!(svg.matches("class=\"throw\"").count(), 3);
        assert!(svg.contains("Scow &amp; co") && svg.contains("climbs and stalls"));
        // The letter of the stall stands beside its dot, as in the key.
        assert_eq!(svg.matches(">S<").count(), 2);
        // Dots have no patterns, so their key has none either.
        assert!(!svg.contains("<pattern"));
        // A letter gives way to the dots beside it.
        let porpoises = Some(Behaviour::Porpoises);
        let mut near = vec![(1.0, None); 13];
        (near[6], near[7], near[12]) = ((5.0, porpoises), (5.12, None), (9.0, None));
        let rows = [Row { name: "x", throws: &near, mean: None }];
        let svg = throws(&look, "Results", "distance, m", &rows);
        let letter = svg.split("<text x=\"").find(|t| t.contains(">P<")).expect("its letter");
        let x: f64 = letter.split('"').next().unwrap().parse().unwrap();
        assert!(x < 114.0, "left of the dot at 114.0: {x}");
        let many = vec![(1.0, None); 100_000];
        let svg = throws(
            &look,
            "Results",
            "distance, m",
            &[Row { name: "x", throws: &many, mean: None }],
        );
        assert!(svg.matches("class=\"throw\"").count() <= THROWS_MAX);
        assert!(throws(&look, "Results", "m", &[]).contains("</svg>"));
    }
}

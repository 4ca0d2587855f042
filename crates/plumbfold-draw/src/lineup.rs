//! Planes under one another: each from above, what it does, its share of area ahead beside the
//! usual, its balance point against its neutral point.

use plumbfold::verdict::Behaviour;

use crate::behaviour::key_of;
use crate::chart::{Axis, BELOW, Chart};
use crate::compare::{Margin, margin_key, margin_mark, share_key, share_mark, usual_bands};
use crate::frame;
use crate::multiples::{Flock, Plane, badge};
use crate::style::{Look, Stroke};
use crate::svg::{Canvas, Paint, Path, Rect};
use crate::text::{Text, shorten, wrap};

/// One plane.
#[derive(Clone, Copy, Debug)]
pub struct Entry<'a> {
    /// Name.
    pub name: &'a str,
    /// The plane.
    pub plane: Plane<'a>,
    /// What it does.
    pub behaviour: Behaviour,
    /// A number beside that: how sure it is.
    pub sure: &'a str,
    /// Share of the wing area ahead of the balance point.
    pub share: f64,
    /// Balance point in fractions of the mean aerodynamic chord.
    pub cg: f64,
    /// Neutral point, the same.
    pub neutral: f64,
}

const PLANE: f64 = 16.0;
const NAMES: f64 = 43.0;
const PLOT: f64 = 64.0;
const GAP: f64 = 14.0;
const ROW: f64 = 15.0;
/// Room over the charts for what they show.
const TOP: f64 = 5.0;

/// One row for each.
pub fn lineup(look: &Look, title: &str, entries: &[Entry<'_>]) -> String {
    let n = entries.len().max(1);
    let flock = Flock::new(entries.iter().map(|e| Some(e.plane)), [PLANE, ROW - 2.5]);
    let left = PLANE + 4.0 + NAMES;
    let width = left + 2.0 * PLOT + GAP + 10.0;
    let height = n as f64 * ROW;
    let items: Vec<_> = key_of(entries.iter().map(|e| e.behaviour))
        .into_iter()
        .chain(share_key())
        .chain(margin_key())
        .collect();
    let foot = TOP + height + BELOW + 4.0;
    let content = [width, foot + frame::key_height(&items, width)];
    let note = "area ahead of the balance point, and balance point against neutral point";
    let (mut c, area) = frame::start(look, title, note, note, content);
    let top = area.y + TOP;
    let per_cent = |label: &str, values: Vec<f64>, always: [f64; 2]| {
        Axis::over(label, values.into_iter().map(|v| v * 100.0).chain(always))
    };
    let shares = Chart {
        area: Rect::new(area.x + left, top, PLOT, height),
        x: per_cent("% of the wing area", entries.iter().map(|e| e.share).collect(), [15.0, 33.0]),
        y: Axis::between("", 0.0, n as f64),
    };
    let places = entries.iter().flat_map(|e| [e.cg, e.neutral]).collect();
    let margins = Chart {
        area: Rect::new(area.x + left + PLOT + GAP, top, PLOT, height),
        x: per_cent("% of the mean aerodynamic chord", places, [10.0, 40.0]),
        y: Axis::between("", 0.0, n as f64),
    };
    for (chart, says) in [(&shares, "wing area ahead"), (&margins, "balance and neutral point")] {
        chart.x_axis(&mut c, true);
        let at = [chart.area.x, chart.area.y - 1.8];
        c.text(at, says, Text::SMALL.strong());
    }
    usual_bands(&mut c, &shares);
    for (i, e) in entries.iter().enumerate() {
        let y = top + i as f64 * ROW;
        if i > 0 {
            let rule = Path::segment([area.x, y], [margins.area.right(), y]);
            c.path(&rule, Paint::stroke(Stroke::GRID));
        }
        flock.draw(&mut c, i, Rect::new(area.x, y + 1.25, PLANE, ROW - 2.5));
        words(&mut c, e, area.x + PLANE + 4.0, y);
        share_mark(&mut c, &shares, y + ROW / 2.0, e.share);
        let margin = Margin { name: e.name, cg: e.cg, neutral: e.neutral };
        margin_mark(&mut c, &margins, y + ROW / 2.0, &margin);
    }
    frame::key(&mut c, [area.x, area.y + foot], width, &items);
    c.finish()
}

fn words(c: &mut Canvas<'_>, e: &Entry<'_>, x: f64, y: f64) {
    let style = Text::LABEL.strong();
    c.text([x, y + ROW / 2.0 - 1.4], &shorten(e.name, style, NAMES - 2.0), style);
    badge(c, [x + 2.2, y + ROW / 2.0 + 3.4], e.behaviour);
    let small = Text::SMALL.level();
    // What is on an edge is told whole: "on an edge: glides or dives" takes two lines.
    let mut lines = wrap(e.sure, small, NAMES - 8.0);
    let rest = lines.split_off(lines.len().min(1)).join(" ");
    lines.extend((!rest.is_empty()).then(|| shorten(&rest, small, NAMES - 8.0)));
    let first = y + ROW / 2.0 + if lines.len() > 1 { 2.2 } else { 3.4 };
    for (k, line) in lines.iter().enumerate() {
        c.text([x + 6.2, first + 3.1 * k as f64], line, small);
    }
}

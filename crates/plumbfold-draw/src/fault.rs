//! The model before a step that cannot be done, with the place marked.

use plumbfold::fold::error::Evidence;
use plumbfold::fold::state::Folded;
use plumbfold::numeric::geom::{TableLine, TablePoint};

use crate::fit::Fit;
use crate::frame::{self, Sample};
use crate::labels::{Labels, round_about};
use crate::paper::{bounds, lay};
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Anchor, Text, wrap};

/// What to mark on the model.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Marked {
    /// Outlines of layers that tear, cross or are in the way.
    pub layers: Vec<Vec<TablePoint>>,
    /// Edges where the paper would tear or cross.
    pub edges: Vec<[TablePoint; 2]>,
    /// Lines to choose from, in the order the message lists them.
    pub lines: Vec<TableLine>,
    /// Places, with a word each.
    pub places: Vec<(TablePoint, String)>,
}

impl From<Evidence> for Marked {
    fn from(e: Evidence) -> Self {
        Self {
            layers: e.polygons,
            edges: e.pieces,
            lines: e.lines,
            places: e.points.into_iter().map(|p| (p, String::new())).collect(),
        }
    }
}

/// The model before the failing step. `says` is the message.
pub fn fault(look: &Look, step: &str, model: &Folded, marked: &Marked, says: &str) -> String {
    let side = if look.standalone { 96.0 } else { 64.0 };
    const AIR: f64 = 9.0;
    let b = bounds(model);
    let fit_size = Fit::extent(&b, crate::fit::Size::Within([side, side]));
    let items: Vec<(Sample, &str)> = [
        (!marked.layers.is_empty(), Sample::Marked, "layers concerned"),
        (!marked.edges.is_empty(), Sample::Line(EDGE), "where it fails"),
        (!marked.lines.is_empty(), Sample::Line(CHOICE), "lines to choose from"),
    ]
    .into_iter()
    .filter_map(|(wanted, sample, label)| wanted.then_some((sample, label)))
    .collect();
    // A page says it beside the picture.
    let (least, said) = if look.standalone { (110.0, says) } else { (64.0, "") };
    let width = (fit_size[0] + 2.0 * AIR).max(least);
    let message = wrap(said, Text::LABEL, width);
    let message_top = fit_size[1] + 2.0 * AIR + 4.0;
    let key_top = message_top + message.len() as f64 * 4.8 + 3.0;
    let content = [width, key_top + frame::key_height(&items, width)];
    let (mut c, area) = frame::start(look, step, "cannot be done", says, content);
    let into = Rect::new(area.x, area.y + AIR, width, fit_size[1]);
    let fit = Fit::centred(&b, Fit::scale_of(&b, crate::fit::Size::Within(fit_size)), into);
    lay(&mut c, model, &fit);
    c.group("marked", |c| {
        for layer in &marked.layers {
            let shape = fit.polygon(layer.iter().map(|p| [p.x, p.y]));
            frame::marked(c, &shape);
        }
        for [p, q] in &marked.edges {
            let line = Path::segment(fit.at([p.x, p.y]), fit.at([q.x, q.y]));
            c.path(&line, Paint::stroke(Stroke::solid(Ink::Plain, EDGE.width + 0.9)));
            c.named_path("failing-edge", &line, Paint::stroke(EDGE));
        }
    });
    let frame_of_model =
        Rect::new(into.centre()[0] - fit_size[0] / 2.0, into.y, fit_size[0], fit_size[1]);
    let mut labels = Labels::default();
    choices(&mut c, marked, &fit, frame_of_model.inset(-AIR * 0.6), &mut labels);
    for (p, word) in &marked.places {
        let at = fit.at([p.x, p.y]);
        let dot = Path::circle(at, 1.1);
        c.path(&dot, Paint::both(Ink::Plain, Stroke::solid(Ink::Alarm, weight::BOLD)));
        let style = Text::SMALL.strong().in_ink(Ink::Text).level().halo();
        labels.write(&mut c, word, style, &round_about(at, 2.6), true);
    }
    for (i, line) in message.iter().enumerate() {
        c.text([area.x, area.y + message_top + 3.3 + i as f64 * 4.8], line, Text::LABEL);
    }
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}

const EDGE: Stroke = Stroke::solid(Ink::Alarm, weight::HEAVY);
const CHOICE: Stroke = Stroke::dashed(Ink::Move, weight::BOLD, &[2.1, 1.05]);

/// Candidate lines across the model, numbered at both ends.
fn choices(c: &mut Canvas<'_>, marked: &Marked, fit: &Fit, within: Rect, labels: &mut Labels) {
    for (i, line) in marked.lines.iter().enumerate() {
        let at = fit.at([line.at.x, line.at.y]);
        let dir = [line.dir.x, -line.dir.y];
        let Some((a, b)) = across(at, dir, within) else { continue };
        c.named_path("choice", &Path::segment(a, b), Paint::stroke(CHOICE));
        let number = (i + 1).to_string();
        for (end, k) in [(a, -3.0), (b, 3.0)] {
            let p = [end[0] + dir[0] * k, end[1] + dir[1] * k];
            let style = Text::LABEL.strong().in_ink(Ink::Move).centred().halo();
            let places: Vec<(Pt, Anchor)> = [0.0, 4.0, -4.0, 8.0, -8.0]
                .map(|s| ([p[0] - dir[1] * s, p[1] + dir[0] * s], Anchor::Middle))
                .to_vec();
            labels.write(c, &number, style, &places, true);
        }
    }
}

/// The part of an endless line inside a rectangle.
fn across(at: Pt, dir: Pt, r: Rect) -> Option<(Pt, Pt)> {
    let (mut t0, mut t1) = (f64::MIN, f64::MAX);
    for (p, d, lo, hi) in [(at[0], dir[0], r.x, r.right()), (at[1], dir[1], r.y, r.bottom())] {
        if d.abs() < 1e-12 {
            if p < lo || p > hi {
                return None;
            }
            continue;
        }
        let (a, b) = ((lo - p) / d, (hi - p) / d);
        (t0, t1) = (t0.max(a.min(b)), t1.min(a.max(b)));
    }
    let place = |t: f64| [at[0] + dir[0] * t, at[1] + dir[1] * t];
    (t0 < t1).then(|| (place(t0), place(t1)))
}

//! A fold too small to be seen, shown larger.

use plumbfold::fold::state::Folded;

use super::{StepShown, draw_folds, draw_moves, draw_places, draw_tucked, ends_of};
use crate::fit::{Bounds, Fit};
use crate::paper::{bounds, lay_apart};
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};

/// A fold that moves less paper than this share of the picture is shown larger.
const SMALL_SHARE: f64 = 0.12;

/// Room for a letter beside its place, of the part that is shown.
const LETTER_SHARE: f64 = 0.1;

/// Part of the model round a fold too small to be seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Detail(Bounds);

impl Detail {
    /// Where the fold is; none where it is large enough to be seen.
    pub fn of(shown: &StepShown<'_>) -> Option<Self> {
        let whole = bounds(shown.before);
        let way = shown.moves.ways.first().map(|way| {
            let [a, b] = way.map(|p| [p.x, p.y]);
            (a, b)
        });
        let fold = shown.folds.first();
        let (from, to) = fold.and_then(|f| ends_of(shown.before, f)).or(way)?;
        let length = (to[0] - from[0]).hypot(to[1] - from[1]);
        if length / 2.0 > SMALL_SHARE * whole.width().max(whole.height()) {
            return None;
        }
        let middle = [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0];
        // Room for three times the way the paper goes.
        let half = 1.5 * length;
        let [low, high] = [-half, half].map(|out| middle.map(|m| m + out));
        // What the words speak of is in sight; where that is nearly all, nothing is gained.
        let creases = shown.moves.creases.iter().flat_map(|(ends, _)| ends);
        let told = shown.places.iter().map(|(_, p)| p).chain(creases);
        let rim = 0.15 * length;
        let told = told.flat_map(|p| [[p.x - rim, p.y - rim], [p.x + rim, p.y + rim]]);
        let part = Bounds { low, high }.and(Bounds::of(told.chain([low, high])));
        // Letters stand a little outside of their places.
        let room = LETTER_SHARE * part.width().max(part.height());
        let lettered = shown.places.iter().map(|(_, p)| p);
        let lettered = lettered.flat_map(|p| [[p.x - room, p.y - room], [p.x + room, p.y + room]]);
        let part = part.and(Bounds::of(lettered.chain([part.low, part.high])));
        let large = part.width().max(part.height()) > 0.6 * whole.width().max(whole.height());
        (!large).then_some(Self(part))
    }

    /// The whole model before the step, with a frame round the part that is shown larger.
    pub fn place(&self, look: &Look, shown: &StepShown<'_>, size: Pt) -> String {
        let title = format!("Where step {} is done", shown.number);
        let mut c = Canvas::new(look, size, &title, "");
        let (whole, frame) = (bounds(shown.before), c.frame());
        let fit = Fit::within(&whole.and(self.0), frame.inset(1.0));
        lay_apart(&mut c, shown.before, &fit, shown.apart);
        let [p, q] = [self.0.low, self.0.high].map(|p| fit.at(p));
        let part = Rect::new(p[0], q[1], q[0] - p[0], p[1] - q[1]);
        c.named_path(
            "part",
            &Path::rect(part),
            Paint::stroke(Stroke::solid(Ink::Move, weight::LINE)),
        );
        c.finish()
    }

    /// The part before the step, with what is done to it.
    pub fn before(&self, look: &Look, shown: &StepShown<'_>, size: Pt) -> String {
        let title = format!("Step {}, enlarged", shown.number);
        self.framed(look, &title, &shown.says, size, |c, fit| {
            lay_apart(c, shown.before, fit, shown.apart);
            draw_folds(c, shown, fit);
            draw_moves(c, shown, fit);
            draw_places(c, shown, fit);
        })
    }

    /// The part after the step.
    pub fn after(&self, look: &Look, shown: &StepShown<'_>, after: &Folded, size: Pt) -> String {
        let title = format!("After step {}, enlarged", shown.number);
        self.framed(look, &title, "", size, |c, fit| {
            lay_apart(c, after, fit, shown.apart);
            draw_tucked(c, shown, fit);
        })
    }

    fn framed(
        &self,
        look: &Look,
        title: &str,
        says: &str,
        size: Pt,
        draw: impl FnOnce(&mut Canvas<'_>, &Fit),
    ) -> String {
        let mut c = Canvas::new(look, size, title, says);
        let frame = c.frame().inset(0.5);
        let fit = Fit::within(&self.0, frame);
        c.clipped("detail", frame, |c| draw(c, &fit));
        c.path(&Path::rect(frame), Paint::stroke(Stroke::solid(Ink::Move, weight::LINE)));
        c.finish()
    }
}

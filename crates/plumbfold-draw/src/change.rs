//! One plane before and after a change: the wing with both shares of its area, and both flights.

use plumbfold::flight::throw::Sample as Moment;
use plumbfold::plane::planform::Planform;

use crate::arrows;
use crate::cells::corners;
use crate::chart::BELOW;
use crate::compare::{flight, side_view};
use crate::fit::{Bounds, Fit, Size};
use crate::frame::{self, Sample};
use crate::split;
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Pt, Rect};
use crate::text::{Text, mm, percent, shorten};

/// A plane on one side of a change.
#[derive(Clone, Copy, Debug)]
pub struct Side<'a> {
    /// Its wing.
    pub planform: &'a Planform,
    /// Balance point behind the nose, m.
    pub cg_behind_nose_m: f64,
    /// Neutral point behind the nose, m.
    pub neutral_behind_nose_m: f64,
    /// Its flight.
    pub flight: &'a [Moment],
    /// What it does, in a few words.
    pub says: &'a str,
}

/// Room for a wing, mm.
const WING: Pt = [62.0, 50.0];
const GAP: f64 = 22.0;
const WORDS: f64 = 16.0;
const PATHS_MOST: f64 = 40.0;
const BEFORE: Stroke = Stroke::dashed(Ink::Soft, weight::BOLD, &[1.4, 1.0]);
const AFTER: Stroke = Stroke::solid(Ink::Text, weight::HEAVY);

/// The wings beside each other at one scale, the flights over each other below.
pub fn before_after(
    look: &Look,
    name: &str,
    says: &str,
    before: Side<'_>,
    after: Side<'_>,
) -> String {
    let width = 2.0 * WING[0] + GAP;
    let [left, top] = frame::origin(look);
    let paths_top = top + WING[1] + WORDS + 2.0;
    let flights = [before, after].map(|s| s.flight);
    let chart = side_view(flights.into_iter(), [left, paths_top], [width, PATHS_MOST]);
    let items = [
        (Sample::Balance, "balance point"),
        (Sample::Neutral, "neutral point"),
        (Sample::Line(BEFORE), "flight before"),
        (Sample::Line(AFTER), "flight after"),
    ];
    let foot = paths_top + chart.area.h + BELOW + 2.0;
    let content = [width, foot - top + frame::key_height(&items, width)];
    let description = format!("Before: {}. After: {}.", spoken(&before), spoken(&after));
    let (mut c, area) = frame::start(look, name, says, &description, content);
    let bounds = [before, after].map(|s| bounds(&s));
    let scale =
        bounds.map(|b| Fit::scale_of(&b, Size::Within(WING))).into_iter().fold(f64::MAX, f64::min);
    for (k, side) in [before, after].into_iter().enumerate() {
        let into = Rect::new(area.x + k as f64 * (WING[0] + GAP), area.y, WING[0], WING[1]);
        let fit = Fit::centred(&bounds[k], scale, into);
        wing(&mut c, &side, &fit);
        words(&mut c, ["before", "after"][k], &side, [into.centre()[0], into.bottom() + 5.0]);
    }
    let y = area.y + WING[1] / 2.0;
    let x = area.x + WING[0];
    arrows::straight(&mut c, [x + 6.0, y], [x + GAP - 6.0, y], Ink::Move);
    chart.axes(&mut c);
    flight(&mut c, &chart, before.flight, BEFORE, 1);
    flight(&mut c, &chart, after.flight, AFTER, 0);
    frame::key(&mut c, [area.x, foot], width, &items);
    c.finish()
}

fn bounds(side: &Side<'_>) -> Bounds {
    let wing = Bounds::of(side.planform.slabs.pieces.iter().flat_map(corners));
    wing.and(Bounds { low: [0.0, -side.cg_behind_nose_m], high: [0.0, 0.0] })
}

fn wing(c: &mut Canvas<'_>, side: &Side<'_>, fit: &Fit) {
    split::wing(c, side.planform, side.cg_behind_nose_m, fit);
    frame::neutral_mark(c, fit.at([0.0, -side.neutral_behind_nose_m]), 1.7);
    frame::balance_mark(c, fit.at([0.0, -side.cg_behind_nose_m]), 2.2);
}

fn words(c: &mut Canvas<'_>, when: &str, side: &Side<'_>, at: Pt) {
    let strong = Text::LABEL.in_ink(Ink::Text).strong().middle();
    let room = WING[0] + GAP - 3.0;
    c.text(at, &shorten(&format!("{when}: {}", side.says), strong, room), strong);
    let small = Text::SMALL.middle();
    c.text([at[0], at[1] + 4.6], &shorten(&numbers(side), small, room), small);
}

fn numbers(side: &Side<'_>) -> String {
    let share = side.planform.fraction_ahead(side.cg_behind_nose_m);
    format!("balance {} behind the nose, {} ahead", mm(side.cg_behind_nose_m), percent(share))
}

fn spoken(side: &Side<'_>) -> String {
    format!("{}, {} of the wing area", side.says, numbers(side))
}

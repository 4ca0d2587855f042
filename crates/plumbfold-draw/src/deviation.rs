//! A plane as it was folded over its design: both outlines laid flat, and where they part.

use plumbfold::numeric::slabs::Slabs;
use plumbfold::plane::deviation::Deviation;

use crate::cells::{border, corners};
use crate::fit::{Bounds, Fit, Size};
use crate::frame::{self, Sample};
use crate::style::{Hatch, Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Rect};
use crate::text::Text;

const DESIGN: Stroke = Stroke::solid(Ink::Text, weight::LINE);
const OTHER: Stroke = Stroke::dashed(Ink::Alarm, weight::BOLD, &[2.0, 0.9]);
/// Largest outline on the canvas, mm; the numbers stand around it.
const ROOM: [f64; 2] = [156.0, 196.0];
/// Places are marked from this distance on, m.
const WORTH_M: f64 = 0.3e-3;

/// Balance points behind the nose, m: of the design, and of the other in its own distances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balances {
    /// The design's.
    pub design_m: f64,
    /// The other's.
    pub other_m: f64,
}

/// Draws both outlines, the design filled, with the distance written where they part most.
pub fn deviation(look: &Look, name: &str, note: &str, d: &Deviation, balances: Balances) -> String {
    let of = |s: &Slabs| Bounds::of(s.pieces.iter().flat_map(corners));
    let all = of(&d.design).and(of(&d.other)).and(Bounds { low: [0.0; 2], high: [0.0; 2] });
    let extent = Fit::extent(&all, Size::Within(ROOM));
    let items = [
        (Sample::Line(DESIGN), "the design"),
        (Sample::Line(OTHER), "as it was folded"),
        (Sample::Balance, "balance of the design"),
        (Sample::Patch(Ink::Alarm, Hatch::None, ""), "balance as folded"),
    ];
    let width = (extent[0] + 24.0).max(110.0);
    let key_top = extent[1] + 12.0;
    let content = [width, key_top + frame::key_height(&items, width)];
    let (mut c, area) = frame::start(look, name, note, note, content);
    let into = Rect::new(area.x + (width - extent[0]) / 2.0, area.y + 6.0, extent[0], extent[1]);
    let fit = Fit::centred(&all, Fit::scale_of(&all, Size::Within(extent)), into);
    let paper = d.design.pieces.iter().fold(Path::new(), |p, t| p.and(&fit.polygon(corners(t))));
    c.named_path("design-area", &paper, Paint::fill(Ink::Plain));
    rim(&mut c, &d.design, &fit, "design", DESIGN);
    rim(&mut c, &d.other, &fit, "other", OTHER);
    for p in d.places.iter().filter(|p| p.outside_m.abs() > WORTH_M) {
        let at = fit.at([p.right_m, -p.behind_nose_m]);
        c.path(&Path::circle(at, 1.6), Paint::stroke(Stroke::solid(Ink::Alarm, weight::LINE)));
        let side = if p.right_m >= 0.0 { 1.0 } else { -1.0 };
        let style = Text::SMALL.in_ink(Ink::Text).strong().level().halo();
        let style = if side < 0.0 { style.end() } else { style };
        let says = format!("{:+.1}", p.outside_m * 1e3).replace('-', "\u{2212}");
        c.text([at[0] + side * 2.6, at[1]], &says, style);
    }
    frame::balance_mark(&mut c, fit.at([0.0, -balances.design_m]), 2.2);
    let folded = Path::circle(fit.at([0.0, d.forward_m - balances.other_m]), 1.3);
    c.path(&folded, Paint::both(Ink::Alarm, Stroke::solid(Ink::Ground, weight::LINE)));
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}

fn rim(c: &mut Canvas<'_>, slabs: &Slabs, fit: &Fit, class: &str, stroke: Stroke) {
    let lines = border(&slabs.pieces)
        .into_iter()
        .fold(Path::new(), |path, (a, b)| path.and(&Path::segment(fit.at(a), fit.at(b))));
    c.named_path(class, &lines, Paint::stroke(stroke));
}

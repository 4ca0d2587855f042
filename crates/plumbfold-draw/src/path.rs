//! A throw from the side and from above, with the plane drawn along it at equal times.

mod glyph;

use glyph::{Glyph, LENGTH};
use nalgebra::Vector3;
use plumbfold::flight::rigid::Motion;
use plumbfold::flight::throw::{Hall, Sample};
use plumbfold::plane::airframe::Airframe;

use crate::chart::Axis;
use crate::fit::{Bounds, Fit};
use crate::frame;
use crate::labels::Labels;
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Anchor, Text, decimals};

/// Something to point out on a path.
#[derive(Clone, Debug, PartialEq)]
pub struct Remark<'a> {
    /// When, s.
    pub t_s: f64,
    /// What, in a few words.
    pub says: &'a str,
}

/// What [`throw`] shows.
#[derive(Clone, Debug, PartialEq)]
pub struct ThrowPicture<'a> {
    /// The flight, sampled closely enough for straight lines between samples.
    pub flight: &'a [Sample],
    /// The plane, for its shape; balance point in the datum frame.
    pub airframe: &'a Airframe,
    /// Balance point in the datum frame, m.
    pub cg: Vector3<f64>,
    /// The room: walls and ceiling are drawn where the picture reaches them.
    pub hall: &'a Hall,
    /// What to point out.
    pub remarks: &'a [Remark<'a>],
    /// What it does, in a sentence.
    pub says: &'a str,
    /// Width and height of a frame that the picture fills, mm; without, as large as on paper.
    pub frame: Option<Pt>,
}

/// Widest and tallest drawing of a path on paper, mm.
const ON_PAPER: Pt = [170.0, 66.0];
/// The same on a page, whose window shows it smaller: letters stay legible.
const ON_PAGE: Pt = [112.0, 42.0];
/// Room for the scale of heights, mm.
const LEFT: f64 = 13.0;
/// Stature of the figure that stands for the thrower, m.
const PERSON_M: f64 = 1.7;

/// Where everything of a throw picture stands.
struct Stage {
    glyph: Glyph,
    /// How many times its size the plane is drawn.
    enlarged: f64,
    scale: f64,
    content: Pt,
    side: Bounds,
    side_area: Rect,
    side_fit: Fit,
    /// None in a frame too low for it.
    plan: Option<(Rect, Fit)>,
}

/// Between the side view and the view from above, mm.
const BETWEEN: f64 = 20.0;
/// Beneath the view from above, mm.
const BELOW: f64 = 9.0;
/// Room for the thrower behind the plane that leaves the hand, m.
const BEHIND_M: f64 = 0.65;
/// A frame lower than this holds the side view only, however little the plane takes, mm.
const LOW: f64 = 70.0;

impl Stage {
    /// Both views where the frame has room for them, else the side view only.
    fn of(p: &ThrowPicture<'_>, look: &Look) -> Self {
        let Some([_, h]) = p.frame else { return Self::laid(p, look, true) };
        let both = Some(Self::laid(p, look, true)).filter(|_| h >= LOW);
        let room = h - 2.0 * frame::origin(look)[1];
        both.filter(|s| s.content[1] <= room + 0.1).unwrap_or_else(|| Self::laid(p, look, false))
    }

    fn laid(p: &ThrowPicture<'_>, look: &Look, both: bool) -> Self {
        let [x, y] = frame::origin(look);
        let [width, height] = if look.standalone { ON_PAPER } else { ON_PAGE };
        let glyph = Glyph::of(p.airframe, p.cg);
        // In a frame both views, and what stands between and beneath them, share its height.
        let sideways = p.flight.iter().map(|m| m.motion.position.y.abs()).fold(0.0, f64::max);
        let [width, height, views] = match p.frame {
            None => [width, height, 1.0],
            Some([w, h]) if !both => [w - 2.0 * x, (h - 2.0 * y - BELOW).max(15.0), 0.0],
            Some([w, h]) => {
                let plan = (1.15 * glyph.size[1] / glyph.size[0] * LENGTH).clamp(10.0, h / 3.0);
                [w - 2.0 * x, (h - 2.0 * y - BETWEEN - BELOW - plan).max(15.0), 2.0 * sideways]
            }
        };
        let floor = Bounds { low: [-0.5, 0.0], high: [0.5, PERSON_M + 0.1] };
        let places = p.flight.iter().map(|m| [m.motion.position.x, m.motion.position.z]);
        let side = reaching(p.hall, Bounds::of(places).and(floor));
        let tall = side.height() + if p.frame.is_some() { views } else { 0.0 };
        let scale = ((width - LEFT) / side.width()).min(height / tall);
        // Then room for the plane itself at both ends.
        let enlarged = glyph.enlarged(scale);
        let half = glyph.size.map(|s| s / 2.0 * enlarged);
        let low = [side.low[0].min(-half[0] - BEHIND_M), 0.0];
        let mut side = Bounds { low, high: [side.high[0] + half[0], side.high[1]] };
        let scale = scale.min((width - LEFT) / side.width());
        if p.frame.is_some() {
            // The floor goes on to the end of the frame.
            side.high[0] = side.high[0].max(side.low[0] + (width - LEFT) / scale);
        }
        let across = (sideways + half[1] * 1.15).max(0.2);
        let across =
            p.hall.half_width_m.filter(|w| *w < NEAR * across).map_or(across, |w| w * 1.05);
        let (w, h) = (side.width() * scale, side.height() * scale);
        let plan_h = (2.0 * across * scale).clamp(10.0, height);
        let plan = Bounds { low: [side.low[0], -across], high: [side.high[0], across] };
        let side_area = Rect::new(x + LEFT, y, w, h);
        let plan_area = Rect::new(x + LEFT, y + h + BETWEEN, w, plan_h);
        let tall = if both { h + BETWEEN + plan_h } else { h };
        Self {
            glyph,
            enlarged,
            scale,
            content: [(w + LEFT).max(0.7 * width), tall + BELOW],
            side,
            side_area,
            side_fit: Fit::centred(&side, scale, side_area),
            plan: both.then(|| (plan_area, Fit::centred(&plan, scale, plan_area))),
        }
    }
}

/// Side view and, beneath it at the same scale, the view from above.
pub fn throw(look: &Look, name: &str, p: &ThrowPicture<'_>) -> String {
    let stage = Stage::of(p, look);
    let note = p.says;
    let description = format!("{note}. Side view above, view from above beneath, at one scale.");
    let (mut c, area) = frame::start(look, name, note, &description, stage.content);
    let length = stage.glyph.size[0] * stage.enlarged * stage.scale;
    let times = equal_times(p.flight, stage.scale, length);
    from_the_side(&mut c, p, &stage, &times, area);
    let Some((plan_area, plan_fit)) = &stage.plan else { return c.finish() };
    from_above(&mut c, p, &stage, (*plan_area, plan_fit), &times);
    if stage.enlarged > 1.05 {
        let note = format!(
            "plane drawn {} times its size, every {} s",
            decimals(stage.enlarged, 1),
            decimals(interval(&times), 2)
        );
        c.text([plan_area.x, plan_area.bottom() + 5.0], &note, Text::SMALL);
    }
    c.finish()
}

fn from_the_side(
    c: &mut Canvas<'_>,
    p: &ThrowPicture<'_>,
    stage: &Stage,
    times: &[Sample],
    area: Rect,
) {
    let fit = &stage.side_fit;
    let hand = p.flight.first().map(|m| m.motion.position.z);
    hall(c, &stage.side, hand, fit, stage.side_area);
    walls(c, p.hall, fit, stage.side_area);
    person(c, fit, p.flight.first(), stage.glyph.size[0] / 2.0 * stage.enlarged);
    let within = Rect::new(area.x + LEFT, area.y - 4.0, area.w - LEFT, stage.side_area.h + 4.0);
    let mut labels = Labels::within(within);
    trace(c, p, fit, |v| [v.x, v.z], Some(&mut labels));
    c.group("along", |c| {
        for m in times {
            stage.glyph.draw(c, m, stage.enlarged, fit, |v| [v.x, v.z], |v| v.y);
        }
    });
    for m in times {
        let [x, y] = fit.at([m.motion.position.x, m.motion.position.z]);
        labels.keep_clear(Rect::new(x - 2.5, y - 1.8, 5.0, 3.6));
    }
    remarks(c, p, fit, &mut labels);
    ticks(c, times, fit, &mut labels);
}

fn from_above(
    c: &mut Canvas<'_>,
    p: &ThrowPicture<'_>,
    stage: &Stage,
    (area, fit): (Rect, &Fit),
    times: &[Sample],
) {
    c.clipped("plan", area, |c| {
        c.path(&Path::rect(area), Paint::veil(Ink::Hair, 0.22));
        let y = fit.at([0.0, 0.0])[1];
        let dashes = Stroke::dashed(Ink::Soft, weight::HAIR, &[3.0, 1.0, 0.6, 1.0]);
        c.path(&Path::segment([area.x, y], [area.right(), y]), Paint::stroke(dashes));
        let wall = Stroke::solid(Ink::Text, weight::BOLD);
        for at in p.hall.half_width_m.into_iter().flat_map(|w| [w, -w]) {
            let y = fit.at([0.0, at])[1];
            c.path(&Path::segment([area.x, y], [area.right(), y]), Paint::stroke(wall));
        }
        if let Some(length) = p.hall.length_m {
            let x = fit.at([length, 0.0])[0];
            c.path(&Path::segment([x, area.y], [x, area.bottom()]), Paint::stroke(wall));
        }
        trace(c, p, fit, |v| [v.x, v.y], None);
        for m in times {
            stage.glyph.draw(c, m, stage.enlarged, fit, |v| [v.x, v.y], |v| v.z);
        }
    });
    c.text([area.x, area.y - 2.0], "from above", Text::SMALL);
}

fn interval(times: &[Sample]) -> f64 {
    match times {
        [a, b, ..] => b.t_s - a.t_s,
        _ => 0.0,
    }
}

/// Floor, heights and distances.
fn hall(c: &mut Canvas<'_>, side: &Bounds, hand: Option<f64>, fit: &Fit, area: Rect) {
    c.group("hall", |c| {
        let ground = fit.at([0.0, 0.0])[1];
        let (heights, places) =
            Axis::between("", 0.0, side.high[1]).ticks((area.h / 12.0).clamp(2.0, 6.0) as usize);
        for z in heights {
            let y = fit.at([0.0, z])[1];
            if z > 1e-9 {
                c.path(&Path::segment([area.x, y], [area.right(), y]), Paint::stroke(Stroke::GRID));
            }
            let label = format!("{} m", decimals(z, places));
            if hand.is_none_or(|hand| (fit.at([0.0, hand])[1] - y).abs() > 3.6) {
                c.text([area.x - 1.8, y], &label, Text::SMALL.end().level());
            }
        }
        if let Some(hand) = hand {
            let y = fit.at([0.0, hand])[1];
            let tick = Path::segment([area.x - 1.0, y], [area.x + 1.6, y]);
            c.path(&tick, Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
            let style = Text::SMALL.in_ink(Ink::Text).strong().end().level();
            c.text([area.x - 1.8, y], &format!("{} m", decimals(hand, 1)), style);
        }
        let line = Path::segment([area.x, ground], [area.right(), ground]);
        c.named_path("floor", &line, Paint::stroke(Stroke::solid(Ink::Text, weight::BOLD)));
        let (marks, places) =
            Axis::between("", 0.0, side.high[0]).ticks((area.w / 18.0).clamp(2.0, 10.0) as usize);
        for x in marks {
            let at = fit.at([x, 0.0]);
            c.path(&Path::segment(at, [at[0], ground + 1.3]), Paint::stroke(Stroke::AXIS));
            let label = format!("{} m", decimals(x, places));
            c.text([at[0], ground + 5.0], &label, Text::SMALL.middle());
        }
    });
}

/// A wall no further off than so many times the way flown is shown.
const NEAR: f64 = 1.3;

/// What is shown, and the far wall and the ceiling if they are near.
fn reaching(hall: &Hall, side: Bounds) -> Bounds {
    let [x, z] = side.high;
    let wall = hall.length_m.filter(|l| *l < NEAR * x).unwrap_or(x);
    let ceiling = hall.ceiling_m.filter(|c| *c < NEAR * z).unwrap_or(z);
    Bounds { low: side.low, high: [x.max(wall), z.max(ceiling)] }
}

fn walls(c: &mut Canvas<'_>, hall: &Hall, fit: &Fit, area: Rect) {
    let line = || Paint::stroke(Stroke::solid(Ink::Text, weight::BOLD));
    let end = hall.length_m.map(|l| fit.at([l, 0.0])).filter(|at| at[0] <= area.right() + 0.1);
    let right = end.map_or(area.right(), |at| at[0]);
    let top = hall.ceiling_m.map(|h| fit.at([0.0, h])[1]).filter(|y| *y >= area.y - 0.1);
    if let Some(y) = top {
        c.named_path("ceiling", &Path::segment([area.x, y], [right, y]), line());
    }
    if let Some([x, floor]) = end {
        c.named_path("far-wall", &Path::segment([x, top.unwrap_or(area.y)], [x, floor]), line());
    }
}

/// A plain figure that throws, for the scale; it holds the plane, which is drawn larger than it is,
/// by its tail, so that the plane stands before its face and not in it.
fn person(c: &mut Canvas<'_>, fit: &Fit, first: Option<&Sample>, half_plane_m: f64) {
    let hand = first.map_or([0.0, 1.5], |m| [m.motion.position.x, m.motion.position.z]);
    let hand = [hand[0] - half_plane_m, hand[1]];
    let at = |p: Pt| fit.at([hand[0] - 0.35 + p[0], p[1] * PERSON_M]);
    let limb = |width_m: f64| Stroke::solid(Ink::Hair, width_m * fit.scale);
    c.group("person", |c| {
        let legs =
            [[[-0.17, 0.02], [-0.09, 0.26], [0.0, 0.5]], [[0.13, 0.02], [0.1, 0.26], [0.0, 0.5]]];
        for leg in legs {
            c.path(&Path::polyline(leg.map(at)), Paint::stroke(limb(0.1)));
        }
        let trunk = Path::segment(at([0.0, 0.52]), at([0.02, 0.77]));
        c.path(&trunk, Paint::stroke(limb(0.19)));
        let far_arm = [[0.01, 0.8], [-0.13, 0.66], [-0.07, 0.53]];
        c.path(&Path::polyline(far_arm.map(at)), Paint::stroke(limb(0.07)));
        // A hand far from any shoulder stands on a balcony or a stool: no arm then.
        if (0.9..2.2).contains(&hand[1]) {
            let arm = Path::segment(at([0.03, 0.8]), fit.at([hand[0] - 0.06, hand[1] - 0.02]));
            c.path(&arm, Paint::stroke(limb(0.07)));
        }
        c.path(&Path::circle(at([0.05, 0.925]), 0.115 * fit.scale), Paint::fill(Ink::Hair));
    });
}

fn trace(
    c: &mut Canvas<'_>,
    p: &ThrowPicture<'_>,
    fit: &Fit,
    flat: impl Fn(&Vector3<f64>) -> Pt,
    labels: Option<&mut Labels>,
) {
    let places: Vec<Pt> = p.flight.iter().map(|m| fit.at(flat(&m.motion.position))).collect();
    // Places closer than a tenth of a millimetre add nothing but bytes.
    let mut kept: Vec<Pt> = Vec::new();
    for q in places {
        if kept.last().is_none_or(|k| (q[0] - k[0]).hypot(q[1] - k[1]) > 0.1) {
            kept.push(q);
        }
    }
    let line = Path::polyline(kept.iter().copied());
    c.named_path("flight-path", &line, Paint::stroke(Stroke::solid(Ink::Move, weight::LINE)));
    if let Some(labels) = labels {
        for w in kept.windows(2) {
            labels.keep_clear_along(w[0], w[1]);
        }
    }
}

/// Moments at equal times, at most as many as stand clear of one another.
fn equal_times(flight: &[Sample], scale: f64, glyph: f64) -> Vec<Sample> {
    let (Some(first), Some(last)) = (flight.first(), flight.last()) else { return Vec::new() };
    let way: f64 =
        flight.windows(2).map(|w| (w[1].motion.position - w[0].motion.position).norm()).sum();
    let most = (way * scale / (glyph * 1.35)).clamp(3.0, 24.0);
    let step = [0.05, 0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0]
        .into_iter()
        .find(|s| (last.t_s - first.t_s) / s <= most)
        .unwrap_or(60.0);
    let n = ((last.t_s - first.t_s) / step).floor() as usize;
    (0..=n).map(|k| moment_at(flight, first.t_s + k as f64 * step)).collect()
}

/// Between two moments.
fn moment_at(flight: &[Sample], t: f64) -> Sample {
    let k = flight.partition_point(|m| m.t_s < t).clamp(1, flight.len().max(2) - 1);
    let (Some(a), Some(b)) = (flight.get(k - 1), flight.get(k)) else { return flight[0] };
    let u = ((t - a.t_s) / (b.t_s - a.t_s).max(1e-12)).clamp(0.0, 1.0);
    let motion = Motion {
        position: a.motion.position.lerp(&b.motion.position, u),
        attitude: a.motion.attitude.nlerp(&b.motion.attitude, u),
        ..a.motion
    };
    Sample { t_s: t, motion, ..*a }
}

fn remarks(c: &mut Canvas<'_>, p: &ThrowPicture<'_>, fit: &Fit, labels: &mut Labels) {
    c.group("remarks", |c| {
        for remark in p.remarks {
            if p.flight.len() < 2 {
                return;
            }
            let m = moment_at(p.flight, remark.t_s);
            let at = fit.at([m.motion.position.x, m.motion.position.z]);
            let style = Text::SMALL.in_ink(Ink::Alarm).strong().halo();
            let places: Vec<(Pt, Anchor)> = [7.0, 11.0, 15.0, 20.0]
                .into_iter()
                .flat_map(|d| {
                    [
                        ([at[0], at[1] - d], Anchor::Middle),
                        ([at[0] + d * 0.6, at[1] - d], Anchor::Start),
                        ([at[0], at[1] + d + 2.0], Anchor::Middle),
                        ([at[0] - d * 0.6, at[1] - d], Anchor::End),
                        ([at[0] - d * 0.6, at[1] + d + 2.0], Anchor::End),
                    ]
                })
                .collect();
            if let Some((place, style)) = labels.find(remark.says, style, &places) {
                let b = style.bounds(place, remark.says);
                let foot =
                    [at[0].clamp(b.x, b.right()), if place[1] < at[1] { b.bottom() } else { b.y }];
                let line = Path::segment(at, foot);
                c.path(&line, Paint::stroke(Stroke::solid(Ink::Alarm, weight::THIN)));
                c.text(place, remark.says, style);
            }
            c.path(
                &Path::circle(at, 0.9),
                Paint::both(Ink::Ground, Stroke::solid(Ink::Alarm, weight::LINE)),
            );
        }
    });
}

/// Whole seconds beside the planes drawn at them.
fn ticks(c: &mut Canvas<'_>, times: &[Sample], fit: &Fit, labels: &mut Labels) {
    c.group("times", |c| {
        for m in times.iter().filter(|m| m.t_s > 0.0) {
            let whole = (m.t_s - m.t_s.round()).abs() < 1e-6;
            if !whole {
                continue;
            }
            let at = fit.at([m.motion.position.x, m.motion.position.z]);
            let places = [4.5, 7.0, 9.5].map(|d| ([at[0], at[1] + d + 1.5], Anchor::Middle));
            let label = format!("{} s", decimals(m.t_s, 0));
            labels.write(c, &label, Text::SMALL.halo(), &places, false);
        }
    });
}

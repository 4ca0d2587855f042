//! The last page: the finished plane, its balance and trim, and the cautions.

use nalgebra::{Point3, Vector3};
use plumbfold::pipeline::Balanced;
use plumbfold::plane::airframe::{Airframe, Panel, PanelKind, PointMass, TrimSurface};
use plumbfold_draw::fit::Size;
use plumbfold_draw::pose;
use plumbfold_draw::style::Look;
use plumbfold_draw::text::decimals;
use plumbfold_draw::units::Units;

use super::Lesson;
use crate::leaf::{BODY, Flow, Leaf, height_of, list_height};
use crate::page::{Paper, look};
use crate::surface::bends;

/// What everybody who throws must know.
pub const CAUTIONS: [&str; 6] = [
    "A thrown plane has a point. Throw only where nobody stands in front, never at people or \
     animals, and never at the height of eyes across a room with others in it.",
    "Eyes first: in a crowd one throws at a time, from a line, and all fetch their planes \
     together. Wear eye protection for fast or heavy-nosed planes.",
    "Clips, staples and other weights make a plane hit harder: leave them out around small \
     children, and pick up what falls.",
    "Scissors and knives are for those who may use them: on a mat, cutting away from your hand.",
    "Stay away from roads, stairs, power lines, open fires and windows: nobody climbs after a \
     paper plane.",
    "The rules of the place and the adults in charge come first, and decide what is thrown where.",
];

/// Over the cautions.
pub const SAFE: &str = "So that nobody gets hurt";
const READY: &str = "Ready to fly";
/// Size of its headings, mm.
const HEADING: f64 = 6.0;
/// Height of the pictures, least and most, mm.
const PICTURES: [f64; 2] = [60.0, 150.0];

pub fn pages(lesson: &Lesson<'_>, paper: Paper, id: &str) -> Vec<Leaf> {
    let mut leaf = Leaf::new(paper, id);
    let area = leaf.area();
    let plane = lesson.plane;
    let items = last_touches(plane, lesson.units);
    let cautions = CAUTIONS.map(str::to_owned);
    let y = leaf.heading([area.x, area.y], area.w, READY, HEADING);
    // The pictures take what the words leave.
    let words = list_height(&items, area.w, BODY) + list_height(&cautions, area.w, BODY);
    let free = (area.bottom() - y - words - 3.0 * HEADING).clamp(PICTURES[0], PICTURES[1]);
    let look = Look { units: lesson.units, ..look(&leaf.next_id()) };
    let draw = |height| {
        let room = Size::Within([area.w - 8.0, height]);
        pose::pose(&look, &plane.airframe, Some(plane.mass.cg_m), room)
    };
    // Their frame comes on top of the room they are given.
    let svg = draw(free);
    let frame = (height_of(&svg) - free).max(0.0);
    let svg = if frame > 0.0 { draw(free - frame) } else { svg };
    let y = leaf.picture(svg, [area.x - 4.0, y]) + 2.0;
    let mut flow = Flow::below(leaf, y, paper, id);
    flow.list(&items, BODY);
    flow.y += 3.0;
    flow.heading(SAFE, HEADING);
    flow.list(&cautions, BODY);
    flow.finish()
}

/// Nearer to the keel line than this a weight sits on it, m.
const PLACE_M: f64 = 1e-3;

/// Weights that are put on the plane. That which stands for the measured balance of a plane given by
/// its outline comes before them, and is none.
pub fn weights(plane: &Balanced) -> &[PointMass] {
    let (all, put_on) = (&plane.airframe.point_masses, plane.source.design().ballast.len());
    &all[all.len().saturating_sub(put_on)..]
}

/// What a weight is called by who puts it on.
pub fn thing(mass: &PointMass) -> String {
    match mass.name.as_str() {
        "clip" => "paper clip".to_owned(),
        "tape" => "piece of tape".to_owned(),
        "glue" => "drop of glue".to_owned(),
        other => other.to_owned(),
    }
}

/// A length that no hand keeps truer than to a millimetre.
fn whole(length_m: f64, units: Units) -> String {
    match units {
        Units::Mm => units.length((length_m * 1e3).round() * 1e-3),
        Units::Inch => units.length(length_m),
    }
}

/// How the wings stand, in measures a hand can check.
fn opened(plane: &Airframe, units: Units) -> Vec<String> {
    // Flatter than this is level, rad.
    const LEVEL: f64 = 0.5e-2;
    let right = |kind: PanelKind| {
        let panels = plane.panels.iter().filter(move |p| p.kind == kind);
        panels.map(|p| (p, reach(p))).filter(|(_, [root, tip])| *root > -PLACE_M && *tip > PLACE_M)
    };
    let innermost = right(PanelKind::Wing).min_by(|a, b| a.1[0].total_cmp(&b.1[0]));
    let Some((wing, [root, tip])) = innermost else { return Vec::new() };
    let mut words = "Open the wings; seen from behind, both sides are alike.".to_owned();
    let half_gap = right(PanelKind::Keel).map(|(_, reach)| reach[1]).fold(0.0, f64::max);
    if half_gap > 0.0 {
        let gap = units.length(2.0 * half_gap);
        words += &format!(" At the widest the halves of the keel stand {gap} apart.");
    }
    let slope = rise(wing);
    if slope.abs() > LEVEL {
        let way = if slope > 0.0 { "higher" } else { "lower" };
        let by = whole((slope.tan() * (tip - root)).abs(), units);
        words += &format!(" Each tip is {by} {way} than the root of its wing.");
    }
    let mut out = vec![words];
    let outermost = right(PanelKind::Fin).max_by(|a, b| a.1[0].total_cmp(&b.1[0]));
    if let Some((fin, _)) = outermost.filter(|(_, [inner, _])| *inner > root) {
        let angle = decimals((rise(fin) - slope).to_degrees().abs(), 0);
        let way = if rise(fin) > 0.0 { "up" } else { "down" };
        out.push(format!("Bend the outer flaps {way}, {angle}° from the wing."));
    }
    out
}

/// Least and greatest distance of a panel to the right of the middle, m.
fn reach(panel: &Panel) -> [f64; 2] {
    let corners = panel.laminae.iter().flat_map(|l| &l.polygon);
    let y = corners.map(|&[u, v]| (panel.placement * Point3::new(u, v, 0.0)).y);
    y.fold([f64::MAX, f64::MIN], |[low, high], y| [low.min(y), high.max(y)])
}

/// How steeply a panel of the right-hand side rises outwards, rad.
fn rise(panel: &Panel) -> f64 {
    let across = panel.placement.rotation * Vector3::y();
    let out = across.y.signum();
    (-across.z * out).atan2(across.y * out)
}

/// A bend of less is stroked in, m.
const LITTLE_M: f64 = 1.2e-3;

/// What would be told as no bend at all, m.
const HAIR_M: f64 = 0.05e-3;

/// What is done to the folded plane before it is thrown.
pub fn last_touches(plane: &Balanced, units: Units) -> Vec<String> {
    let mm = |length_m: f64| units.length(length_m);
    let mut out = opened(&plane.airframe, units);
    for trim in bends(&plane.airframe.trims) {
        let (edge, way) = match (trim.surface, trim.deflection_m > 0.0) {
            (TrimSurface::Elevator, up) => {
                ("the rear edges of both wings", if up { "up" } else { "down" })
            }
            (TrimSurface::LeftWing, up) => {
                ("the rear edge of the left wing", if up { "up" } else { "down" })
            }
            (TrimSurface::RightWing, up) => {
                ("the rear edge of the right wing", if up { "up" } else { "down" })
            }
            (TrimSurface::Rudder, right) => (
                "the upright rear edge, of keel or fin,",
                if right { "to the right" } else { "to the left" },
            ),
        };
        let little = match trim.deflection_m.abs() {
            by if by <= LITTLE_M => " That is very little: stroke it between finger and thumb.",
            _ => "",
        };
        let by = match trim.deflection_m.abs() {
            least if least < HAIR_M => format!("by less than {}", mm(2.0 * HAIR_M)),
            by => format!("by {}", mm(by)),
        };
        let depth = mm(trim.depth_m);
        out.push(format!("Bend {edge} {way} {by}, over the last {depth}.{little}"));
    }
    for mass in weights(plane) {
        let (up, aside) = (-mass.at.z, mass.at.y);
        let above = match up {
            up if up > PLACE_M => format!(", {} up from the bottom edge of the keel", mm(up)),
            up if up < -PLACE_M => format!(", {} below the bottom edge of the keel", mm(-up)),
            _ => String::new(),
        };
        let side = match aside {
            y if y > PLACE_M => format!(", {} to the right", mm(y)),
            y if y < -PLACE_M => format!(", {} to the left", mm(-y)),
            _ => String::new(),
        };
        out.push(format!(
            "Put the {} ({} g) on, {} behind the nose{above}{side}.",
            thing(mass),
            decimals(mass.mass_kg * 1e3, 2),
            mm(-mass.at.x)
        ));
    }
    if let (false, Some(last)) = (weights(plane).is_empty(), out.last_mut()) {
        *last += match weights(plane).len() {
            1 => " It makes the plane hit harder: ",
            _ => " They make the plane hit harder: ",
        };
        *last += "wear eye protection, and leave weights out around small children.";
    }
    out.push(format!(
        "It should balance on two fingertips {} behind the nose.",
        whole(plane.mass.behind_nose_m(), units)
    ));
    let throw = &plane.throw;
    let pitch = throw.elevation_rad.to_degrees();
    let way = match () {
        () if pitch.abs() < 0.5 => "level".to_owned(),
        () if pitch > 0.0 => format!("{}° upwards", decimals(pitch, 0)),
        () => format!("{}° downwards", decimals(-pitch, 0)),
    };
    let bank = throw.bank_rad.to_degrees();
    let bank = match if bank > 0.0 { "right" } else { "left" } {
        side if bank.abs() >= 0.5 => {
            format!(", the {side} wing {}° low", decimals(bank.abs(), 0))
        }
        _ => String::new(),
    };
    let height = units.far(throw.height_m);
    let hand = match throw.speed_m_s {
        v if v < 3.1 => "a gentle push",
        v if v < 4.5 => "an easy throw",
        v if v < 7.0 => "a firm throw",
        _ => "a hard throw",
    };
    let speed = units.speed(throw.speed_m_s);
    let usual = match plane.source.design().throw {
        Some(_) => "",
        None => " The design names no throw: this is the usual one.",
    };
    out.push(format!(
        "Throw it {way}{bank}, from {height} above the floor, with {hand} ({speed}).{usual}"
    ));
    out
}

//! The posed plane from above, from behind, from the side, and at an angle.

use nalgebra::{Point3, Vector3};
use plumbfold::plane::airframe::{Airframe, PanelKind};

use crate::fit::{Bounds, Fit, Size};
use crate::frame;
use crate::space::{Scene, View};
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::Text;

/// Three views at one scale and one at an angle. `cg` is the balance point in the datum frame, m.
pub fn pose(look: &Look, airframe: &Airframe, cg: Option<Vector3<f64>>, size: Size) -> String {
    const GAP: f64 = 16.0;
    const LEFT: f64 = 8.0;
    const CAPTION: f64 = 8.0;
    const DIMENSION: f64 = 6.0;
    // Least width of a view, mm.
    const LEAST: f64 = 24.0;
    let scene = Scene::of(airframe);
    let [top, behind, side] =
        [View::above(), View::behind(), View::side()].map(|v| (v, scene.bounds(&v)));
    let (span, length, height) = (top.1.width(), top.1.height(), behind.1.height());
    let whole = Bounds { low: [0.0; 2], high: [span + length, length + height] };
    let scale = match size {
        Size::Full => 1e3,
        Size::Within([w, h]) => {
            let (free_w, free_h) = (w - GAP - LEFT, h - GAP - 2.0 * CAPTION - DIMENSION);
            let free_w = free_w.max(LEAST + 20.0);
            let scale = Fit::scale_of(&whole, Size::Within([free_w, free_h.max(20.0)]));
            // What is narrower than its caption leaves less to the other.
            let beside = |own: f64, other: f64| match own * scale < LEAST {
                true => (free_w - LEAST) / other.max(1e-6),
                false => scale,
            };
            scale.min(beside(span, length)).min(beside(length, span))
        }
    };
    let (w0, h0) = ((span * scale).max(LEAST), (length * scale).max(LEAST));
    let (w1, h1) = ((length * scale).max(LEAST), (height * scale).max(4.0));
    let content = [LEFT + w0 + GAP + w1, h0 + CAPTION + GAP + h1 + CAPTION + DIMENSION];
    let told = |length_m: f64| look.units.length(length_m);
    // The span is that of the wings: tips that are turned up may lean out beyond it.
    let tips = wing_tips(airframe).unwrap_or([behind.1.low[0], behind.1.high[0]]);
    let across = tips[1] - tips[0];
    // As everywhere: layers are drawn where they are, and the outermost may lie a hair beyond.
    let long = told(airframe.length_m());
    let note = format!("posed: span {}, length {long}, height {}", told(across), told(height));
    let description = "Four views of the posed plane: from above with the nose at the top, from \
                       behind, from the right with the nose on the right, and at an angle.";
    let (mut c, area) = frame::start(look, &airframe.name, &note, description, content);
    let (x0, x1) = (area.x + LEFT, area.x + LEFT + w0 + GAP);
    let (y0, y1) = (area.y, area.y + h0 + CAPTION + GAP);

    let rect = Rect::new(x0, y0, w0, h0);
    let fit = orthographic(&mut c, &scene, airframe, cg, &top, scale, rect);
    let corner = |p: Pt| fit.at(p);
    frame::dimension(&mut c, corner(top.1.low), corner([top.1.low[0], top.1.high[1]]), 5.0, &long);
    caption(&mut c, rect, 0.0, "from above");

    let rect = Rect::new(x0, y1, w0, h1);
    let fit = orthographic(&mut c, &scene, airframe, cg, &behind, scale, rect);
    let [left, right] = tips.map(|y| fit.at([y, behind.1.low[1]]));
    frame::dimension(&mut c, right, left, 4.5, &told(across));
    caption(&mut c, rect, DIMENSION, "from behind");

    let rect = Rect::new(x1, y1, w1, h1);
    orthographic(&mut c, &scene, airframe, cg, &side, scale, rect);
    caption(&mut c, rect, DIMENSION, "from the right");

    let rect = Rect::new(x1, y0, w1, h0);
    oblique(&mut c, &scene, View::oblique(0.55, 0.5), rect.inset(1.0));
    caption(&mut c, rect, 0.0, "at an angle");
    c.finish()
}

/// Where the wings end to the left and to the right, m.
fn wing_tips(airframe: &Airframe) -> Option<[f64; 2]> {
    let wings = airframe.panels.iter().filter(|p| p.kind == PanelKind::Wing);
    let y = wings.flat_map(|p| {
        let corners = p.laminae.iter().flat_map(|l| &l.polygon);
        corners.map(|&[u, v]| (p.placement * Point3::new(u, v, 0.0)).y)
    });
    let (low, high) = y.fold((f64::MAX, f64::MIN), |(a, b), y| (a.min(y), b.max(y)));
    (low < high).then_some([low, high])
}

/// One view alone, for turning by hand: `azimuth` from the right-hand side towards the nose and
/// `elevation` above the level, rad.
pub fn turned(
    look: &Look,
    airframe: &Airframe,
    azimuth_rad: f64,
    elevation_rad: f64,
    size: Pt,
) -> String {
    let description = "The posed plane seen at an angle.";
    let mut c = Canvas::new(look, size, &airframe.name, description);
    let scene = Scene::of(airframe);
    let into = c.frame().inset(3.0);
    // One scale for all directions, so that the plane does not breathe while it is turned.
    let reach = [View::above(), View::side(), View::behind()].iter().fold(0.0, |most: f64, v| {
        let b = scene.bounds(v);
        most.max(b.width().hypot(b.height()))
    });
    let view = View::oblique(azimuth_rad, elevation_rad);
    let scale = into.w.min(into.h * 1.35) / reach.max(1e-6);
    let fit = Fit::centred(&scene.bounds(&view), scale, into);
    scene.draw(&mut c, &view, &fit);
    c.finish()
}

fn oblique(c: &mut Canvas<'_>, scene: &Scene, view: View, into: Rect) {
    let fit = Fit::within(&scene.bounds(&view), into);
    scene.draw(c, &view, &fit);
}

fn orthographic(
    c: &mut Canvas<'_>,
    scene: &Scene,
    airframe: &Airframe,
    cg: Option<Vector3<f64>>,
    (view, bounds): &(View, Bounds),
    scale: f64,
    into: Rect,
) -> Fit {
    let fit = Fit::centred(bounds, scale, into);
    scene.draw(c, view, &fit);
    for mass in &airframe.point_masses {
        let [x, y] = fit.at(view.project(&Point3::from(mass.at)));
        let shape = Path::rect(Rect::new(x - 0.8, y - 0.8, 1.6, 1.6));
        c.named_path(
            "ballast",
            &shape,
            Paint::both(Ink::Edge, Stroke::solid(Ink::Plain, weight::LINE)),
        );
    }
    if let Some(cg) = cg {
        frame::balance_mark(c, fit.at(view.project(&Point3::from(cg))), 1.7);
    }
    fit
}

fn caption(c: &mut Canvas<'_>, under: Rect, room: f64, content: &str) {
    let at = [under.x + under.w / 2.0, under.bottom() + room + 5.0];
    c.text(at, content, Text::SMALL.middle());
}

//! Small planes in rows at one scale, so that the eye compares sizes.

use nalgebra::{Point3, Vector3};
use plumbfold::plane::airframe::Airframe;
use plumbfold::verdict::Behaviour;

use crate::behaviour::{dress, key_of};
use crate::fit::{Bounds, Fit, Size};
use crate::frame::{self, letter_on};
use crate::space::{Scene, View};
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Text, shorten};

/// A plane with its balance point in the datum frame, m.
#[derive(Clone, Copy, Debug)]
pub struct Plane<'a> {
    /// Panels.
    pub airframe: &'a Airframe,
    /// Balance point.
    pub cg: Vector3<f64>,
}

/// Planes from above, nose at the top, at the largest scale at which each fits.
pub(crate) struct Flock {
    planes: Vec<Option<(Scene, Bounds, Vector3<f64>)>>,
    scale: f64,
}

impl Flock {
    /// Of these planes, each within a cell.
    pub(crate) fn new<'a>(planes: impl Iterator<Item = Option<Plane<'a>>>, cell: Pt) -> Self {
        let seen = |p: Plane<'_>| {
            let scene = Scene::of(p.airframe);
            let bounds = scene.bounds(&View::above());
            (scene, bounds, p.cg)
        };
        let planes: Vec<_> = planes.map(|p| p.map(seen)).collect();
        let scales = planes.iter().flatten().map(|p| Fit::scale_of(&p.1, Size::Within(cell)));
        let scale = scales.fold(f64::MAX, f64::min);
        Self { planes, scale }
    }

    /// Height of the tallest, mm.
    pub(crate) fn height(&self) -> f64 {
        self.planes.iter().flatten().map(|p| p.1.height() * self.scale).fold(0.0, f64::max)
    }

    /// Draws one; a cross on its way through where there is none.
    pub(crate) fn draw(&self, c: &mut Canvas<'_>, number: usize, into: Rect) {
        let Some(Some((scene, bounds, cg))) = self.planes.get(number) else {
            let r = into.w.min(into.h) * 0.18;
            let [x, y] = into.centre();
            let cross = Path::segment([x - r, y - r], [x + r, y + r])
                .and(&Path::segment([x - r, y + r], [x + r, y - r]));
            c.path(&cross, Paint::stroke(Stroke::solid(Ink::Soft, weight::LINE)));
            return;
        };
        let fit = Fit::centred(bounds, self.scale, into);
        scene.draw(c, &View::above(), &fit);
        let mark = (into.w * 0.055).clamp(0.8, 1.6);
        frame::balance_mark(c, fit.at(View::above().project(&Point3::from(*cg))), mark);
    }
}

/// One cell of [`multiples`].
#[derive(Clone, Debug)]
pub struct Multiple<'a> {
    /// None where it cannot be folded.
    pub plane: Option<Plane<'a>>,
    /// What it does, where it was flown.
    pub behaviour: Option<Behaviour>,
    /// The first line is strong.
    pub words: Vec<String>,
}

/// Rows of planes with a few words under each.
pub fn multiples(
    look: &Look,
    title: &str,
    note: &str,
    items: &[Multiple<'_>],
    columns: usize,
) -> String {
    const CELL: f64 = 31.0;
    const GAP: f64 = 7.0;
    const LINE: f64 = 3.8;
    let columns = columns.clamp(1, 20).min(items.len().max(1));
    let flock = Flock::new(items.iter().map(|i| i.plane), [CELL; 2]);
    let height = flock.height().max(12.0);
    let lines = items.iter().map(|i| i.words.len()).max().unwrap_or(0);
    let pitch = [CELL + GAP, height + 5.0 + lines as f64 * LINE + GAP];
    let rows = items.len().div_ceil(columns).max(1);
    let key = key_of(items.iter().filter_map(|i| i.behaviour));
    let width = (columns as f64 * pitch[0] - GAP).max(80.0);
    let foot = rows as f64 * pitch[1];
    let content = [width, foot + frame::key_height(&key, width)];
    let (mut c, area) = frame::start(look, title, note, note, content);
    for (i, item) in items.iter().enumerate() {
        let at =
            [area.x + (i % columns) as f64 * pitch[0], area.y + (i / columns) as f64 * pitch[1]];
        let into = Rect::new(at[0], at[1], CELL, height);
        flock.draw(&mut c, i, into);
        if let Some(behaviour) = item.behaviour {
            badge(&mut c, [into.x + 2.2, into.y + 2.2], behaviour);
        }
        for (k, line) in item.words.iter().enumerate() {
            let style = if k == 0 { Text::SMALL.in_ink(Ink::Text).strong() } else { Text::SMALL };
            let p = [into.centre()[0], into.bottom() + 5.0 + k as f64 * LINE];
            c.text(p, &shorten(line, style, CELL + GAP - 1.0), style.middle());
        }
    }
    frame::key(&mut c, [area.x, area.y + foot], width, &key);
    c.finish()
}

/// What a plane does, as a patch with its letter.
pub(crate) fn badge(c: &mut Canvas<'_>, at: Pt, behaviour: Behaviour) {
    let (ink, hatch, letter) = dress(behaviour);
    let r = Path::rect(Rect::new(at[0] - 2.2, at[1] - 2.2, 4.4, 4.4));
    c.path(&r, Paint::fill(ink));
    c.pattern(&r, hatch, Ink::Soft);
    c.path(&r, Paint::stroke(Stroke::solid(Ink::Soft, weight::HAIR)));
    letter_on(c, at, letter, ink);
}

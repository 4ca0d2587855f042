//! A traced plane drawn over its photo.

use plumbfold_draw::photo::{self, Marks, Photo};
use plumbfold_draw::style::Look;
use plumbfold_trace::ask::{Ask, Balanced, Spot};
use plumbfold_trace::polygon::{Pt, below, edges};
use plumbfold_trace::view::View;
use plumbfold_trace::{Seen, Traced};

use crate::balance_point::Uncertain;
use crate::said::fixed;

/// Distance of the measures along the sheet, mm.
const TICK_MM: f64 = 50.0;
/// Remarks that put the outline or its size in doubt.
const DOUBTS: [&str; 6] =
    ["faint", "asymmetric", "shadow-or-plane", "sheet-size", "edges-unseen", "marks-differ"];
/// Length of a tick, mm.
const TICK_LENGTH_MM: f64 = 4.0;

/// Sheet, outline, symmetry, balance and what was measured by hand over the photo (any size of it,
/// as JPEG).
pub fn traced(look: &Look, name: &str, t: &Traced, ask: &Ask, jpeg: &[u8]) -> String {
    let note = match (&t.balance, t.ahead.map(Uncertain::from)) {
        (Some(b), Some(ahead)) => format!(
            "balances {} mm behind the nose, {} % of the area ahead, give or take {}",
            fixed(b.at.y, 1),
            fixed(100.0 * ahead.value, 1),
            fixed(50.0 * (ahead.high - ahead.low), 1)
        ),
        _ => format!("{} cm2; balance not measured", fixed(t.area.value / 100.0, 1)),
    };
    // A picture goes its own way: it says that there is something to look at.
    let doubt = t.remarks.iter().any(|r| DOUBTS.contains(&r.code));
    let note = if doubt { format!("{note}; in doubt: look at the outline") } else { note };
    let marks = marks(t, ask);
    photo::traced(look, name, &note, Photo { jpeg, size: t.photo }, &marks)
}

/// How far the measuring of a photo went, drawn over it, and why no farther.
pub fn unfinished(look: &Look, name: &str, why: &str, seen: &Seen, photo: Photo<'_>) -> String {
    photo::traced(look, name, why, photo, &reached(seen))
}

/// What was found of a photo that could not be measured, in its dots.
pub fn reached(seen: &Seen) -> Marks {
    let dots = |points: &Vec<Pt>| points.iter().map(|&p| p.into()).collect::<Vec<[f64; 2]>>();
    Marks {
        sheet: dots(&seen.sheet),
        guessed: seen.guessed,
        pieces: seen.pieces.iter().map(dots).collect(),
        outline: dots(&seen.outline),
        points: dots(&seen.outline),
        ..Marks::default()
    }
}

/// What is drawn over the photo, in its dots.
pub fn marks(t: &Traced, ask: &Ask) -> Marks {
    let dot = |p: Pt| {
        let d = t.view.dot(p);
        [d.x, d.y]
    };
    let bent = |p: &[Pt]| bent(&t.view, p);
    let [nose, tail] = t.axis;
    let back = (tail - nose).normalize();
    // From the plane's frame to the sheet: the first corner off the axis says which side is right.
    let right = nalgebra::Vector2::new(back.y, -back.x);
    let side = if ask.underside { -1.0 } else { 1.0 };
    let place = |p: Pt| nose + right * (side * p.x) + back * p.y;
    let balance = t.balance.as_ref().map(|b| {
        let xs = || below(&t.corners, b.at.y).into_iter().filter(|p| (p.y - b.at.y).abs() < 1e-6);
        let low = xs().map(|p| p.x).fold(b.at.x, f64::min);
        let high = xs().map(|p| p.x).fold(b.at.x, f64::max);
        let end = |x: f64| dot(place(Pt::new(x, b.at.y)));
        (dot(place(b.at)), [end(low), end(high)])
    });
    let ahead = t.balance.as_ref().map_or_else(Vec::new, |b| {
        let part: Vec<Pt> = below(&t.corners, b.at.y).into_iter().map(place).collect();
        bent(&part)
    });
    let spot = |s: Spot| match s {
        Spot::Photo(p) => [p.x, p.y],
        Spot::Sheet(p) => dot(p),
    };
    let (mut sheet, mut ticks) = (border(&t.view, t.sheet_mm), Vec::new());
    if let Some([w, h]) = t.sheet_mm {
        let steps =
            |length: f64| (0..).map(|i| f64::from(i) * TICK_MM).take_while(move |&v| v < length);
        for x in steps(w) {
            let out = Pt::new(x, -TICK_LENGTH_MM);
            ticks.push((dot(Pt::new(x, 0.0)), dot(out), format!("{x:.0}")));
        }
        for y in steps(h).skip(1) {
            let out = Pt::new(-TICK_LENGTH_MM, y);
            ticks.push((dot(Pt::new(0.0, y)), dot(out), format!("{y:.0}")));
        }
    } else if t.reference_dots.len() == 2 {
        sheet = t.reference_dots.iter().map(|p| [p.x, p.y]).collect();
    }
    Marks {
        sheet,
        ticks,
        outline: bent(&t.on_sheet),
        ahead,
        points: t.on_sheet.iter().map(|&p| dot(p)).collect(),
        axis: Some([dot(nose), dot(tail)]),
        balance,
        lines: ask
            .balance
            .iter()
            .filter_map(|b| match b {
                Balanced::Line(a, b) | Balanced::Plumb(a, b) => Some([spot(*a), spot(*b)]),
                _ => None,
            })
            .collect(),
        ..Marks::default()
    }
}

/// The border of the sheet in dots; nothing where there is no sheet.
pub fn border(view: &View, sheet_mm: Option<[f64; 2]>) -> Vec<[f64; 2]> {
    sheet_mm.map_or_else(Vec::new, |[w, h]| {
        bent(view, &[Pt::new(0.0, 0.0), Pt::new(w, 0.0), Pt::new(w, h), Pt::new(0.0, h)])
    })
}

/// A closed line on the sheet in dots. The lens bends straight edges: each is drawn in short
/// stretches.
fn bent(view: &View, line: &[Pt]) -> Vec<[f64; 2]> {
    edges(line)
        .flat_map(|(a, b)| (0..6).map(move |i| a + (b - a) * (f64::from(i) / 6.0)))
        .map(|p| view.dot(p).into())
        .collect()
}

//! Lift, drag and centre of pressure against incidence.

use crate::chart::{Axis, BELOW, Chart, LEFT};
use crate::frame::{self, Sample};
use crate::labels::Labels;
use crate::style::{Ink, Look, SERIES, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Anchor, Text, decimals, mm};

/// Forces at one incidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PolarPoint {
    /// Incidence, rad.
    pub alpha_rad: f64,
    /// Lift coefficient.
    pub cl: f64,
    /// Drag coefficient.
    pub cd: f64,
    /// Centre of pressure behind the nose, m; not finite where the normal force is about zero.
    pub cp_behind_nose_m: f64,
}

/// What [`curves`] shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Curves<'a> {
    /// By growing incidence.
    pub polar: &'a [PolarPoint],
    /// Balance point behind the nose, m.
    pub cg_behind_nose_m: f64,
    /// Incidences of steady glides, rad.
    pub trims: &'a [f64],
    /// From the nose to the tail, m: limits of the lower chart.
    pub length_m: f64,
}

/// Two charts one above the other: coefficients, and the centre of pressure travelling aft past
/// the balance point.
pub fn curves(look: &Look, name: &str, curves: &Curves<'_>) -> String {
    const WIDTH: f64 = 132.0;
    const UPPER: f64 = 56.0;
    const LOWER: f64 = 50.0;
    let items = [
        (Sample::Line(SERIES[0]), "lift coefficient"),
        (Sample::Line(SERIES[1]), "drag coefficient"),
        (Sample::Line(SERIES[2]), "centre of pressure"),
        (Sample::Balance, "balance point"),
    ];
    let gap = 9.0;
    let key_top = UPPER + gap + LOWER + BELOW + 4.0;
    let width = WIDTH + LEFT;
    let content = [width, key_top + frame::key_height(&items, width)];
    let note = match curves.trims.iter().find(|&&a| rights_itself(curves, a)) {
        Some(alpha) => format!(
            "glides steadily at {}° incidence, where the air's force acts at the balance point",
            decimals(alpha.to_degrees(), 1)
        ),
        None => "no incidence at which the air's force holds the nose steady".to_owned(),
    };
    let (mut c, area) = frame::start(look, name, &note, &note, content);
    let degrees: Vec<f64> = curves.polar.iter().map(|p| p.alpha_rad.to_degrees()).collect();
    let (first, last) = (degrees.first().copied(), degrees.last().copied());
    let x = Axis::between("incidence, degrees", first.unwrap_or(0.0), last.unwrap_or(1.0));
    let all = curves.polar.iter().flat_map(|p| [p.cl, p.cd]);
    let upper = Chart {
        area: Rect::new(area.x + LEFT, area.y, WIDTH, UPPER),
        x: Axis { label: String::new(), ..x.clone() },
        y: Axis::over("coefficient", all),
    };
    upper.axes(&mut c);
    let series = |f: fn(&PolarPoint) -> f64| -> Vec<Pt> {
        curves.polar.iter().map(|p| [p.alpha_rad.to_degrees(), f(p)]).collect()
    };
    upper.line(&mut c, &series(|p| p.cl), SERIES[0]);
    upper.line(&mut c, &series(|p| p.cd), SERIES[1]);

    let lower = Chart {
        area: Rect::new(area.x + LEFT, area.y + UPPER + gap, WIDTH, LOWER),
        x,
        y: Axis::downwards("behind the nose, mm", curves.length_m * 1e3),
    };
    pressure(&mut c, &lower, curves);
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}

fn pressure(c: &mut Canvas<'_>, chart: &Chart, curves: &Curves<'_>) {
    chart.axes(c);
    let r = chart.area;
    let cp: Vec<Pt> =
        curves.polar.iter().map(|p| [p.alpha_rad.to_degrees(), p.cp_behind_nose_m * 1e3]).collect();
    // Near zero lift the centre of pressure runs off to either side: the line is broken there.
    let length = curves.length_m * 1e3;
    let cp: Vec<Pt> = (0..cp.len())
        .map(|i| {
            let [x, y] = cp[i];
            let leaps = i > 0 && (cp[i - 1][1] - y).abs() > 0.3 * length;
            let on = (0.0..=length).contains(&y) && !leaps;
            [x, if on { y } else { f64::NAN }]
        })
        .collect();
    chart.line(c, &cp, SERIES[2]);
    let cg = curves.cg_behind_nose_m * 1e3;
    let y = chart.at([0.0, cg])[1];
    let line = Path::segment([r.x, y], [r.right(), y]);
    c.named_path("balance-line", &line, Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
    frame::balance_mark(c, [r.x + 3.5, y], 2.0);
    let mut labels = Labels::within(r);
    for p in cp.iter().filter(|p| p[1].is_finite()) {
        let [px, py] = chart.at(*p);
        labels.keep_clear(Rect::new(px - 0.6, py - 0.6, 1.2, 1.2));
    }
    let label = format!("balances at {}", mm(curves.cg_behind_nose_m));
    let places = [
        ([r.right() - 2.0, y - 1.6], Anchor::End),
        ([r.x + 8.0, y - 1.6], Anchor::Start),
        ([r.right() - 2.0, y + 4.0], Anchor::End),
        ([r.x + 8.0, y + 4.0], Anchor::Start),
    ];
    labels.write(c, &label, Text::SMALL.in_ink(Ink::Text).halo(), &places, true);
    for alpha in curves.trims {
        let stable = rights_itself(curves, *alpha);
        let [x, _] = chart.at([alpha.to_degrees(), 0.0]);
        if !(r.x..=r.right()).contains(&x) {
            continue;
        }
        let ring = Path::circle([x, y], 1.7);
        let ink = if stable { Ink::Text } else { Ink::Ground };
        c.path(&ring, Paint::both(ink, Stroke::solid(Ink::Text, weight::LINE)));
        let word = if stable { "steady glide" } else { "tips away" };
        let places = [
            ([x + 2.4, y + 4.4], Anchor::Start),
            ([x - 2.4, y + 4.4], Anchor::End),
            ([x + 2.4, y - 2.6], Anchor::Start),
            ([x - 2.4, y - 2.6], Anchor::End),
        ];
        labels.write(c, word, Text::SMALL.in_ink(Ink::Text).halo(), &places, true);
    }
}

/// Does the air turn the nose back when it strays from this incidence? It does where the moment
/// of the normal force about the balance point grows nose-down with incidence.
fn rights_itself(curves: &Curves<'_>, alpha_rad: f64) -> bool {
    let nose_down = |p: &PolarPoint| {
        let normal = p.cl * p.alpha_rad.cos() + p.cd * p.alpha_rad.sin();
        normal * (p.cp_behind_nose_m - curves.cg_behind_nose_m)
    };
    let above = curves.polar.partition_point(|p| p.alpha_rad <= alpha_rad);
    let pair =
        above.checked_sub(1).and_then(|i| Some((curves.polar.get(i)?, curves.polar.get(above)?)));
    pair.is_some_and(|(a, b)| nose_down(b) > nose_down(a))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_force_that_moves_aft_with_incidence_holds_the_nose() {
        let polar = |aft: f64| -> Vec<PolarPoint> {
            (0..20)
                .map(|k| {
                    let alpha_rad = f64::from(k) * 0.02;
                    let cp_behind_nose_m = 0.05 + aft * (alpha_rad - 0.15);
                    PolarPoint { alpha_rad, cl: 2.0 * alpha_rad, cd: 0.03, cp_behind_nose_m }
                })
                .collect()
        };
        for (aft, steady) in [(0.05, true), (-0.05, false)] {
            let polar = polar(aft);
            let c = Curves { polar: &polar, cg_behind_nose_m: 0.05, trims: &[0.15], length_m: 0.2 };
            assert_eq!(rights_itself(&c, 0.15), steady);
            assert!(!rights_itself(&c, 9.0) && !rights_itself(&c, -1.0), "outside the polar");
        }
    }
}

//! A filmed path from the side, with the path that was predicted over it.

use crate::chart::{Axis, BELOW, Chart, LEFT};
use crate::frame::{self, Sample};
use crate::style::{Ink, Look, SERIES};
use crate::svg::{Paint, Path, Pt, Rect};

/// Largest drawing of the path, mm.
const ROOM: Pt = [160.0, 80.0];
/// Most points drawn: more lie on each other.
const POINTS_MAX: usize = 2000;

/// Filmed points and the predicted line, forward and up in m, at one scale both ways as far as that
/// leaves the path high enough to read.
pub fn filmed(look: &Look, title: &str, note: &str, points: &[Pt], predicted: &[Pt]) -> String {
    let all = || points.iter().chain(predicted);
    let x = Axis::over("forward, m", all().map(|p| p[0]).chain([0.0]));
    let z = Axis::over("height, m", all().map(|p| p[1]).chain([0.0]));
    let span = |a: &Axis| a.range[1] - a.range[0];
    let height = (ROOM[0] * span(&z) / span(&x)).clamp(30.0, ROOM[1]);
    let mut items = vec![(Sample::Dot(Ink::One), "filmed")];
    if !predicted.is_empty() {
        items.push((Sample::Line(SERIES[1]), "predicted for this release"));
    }
    let width = ROOM[0] + LEFT;
    let content = [width, height + BELOW + 4.0 + frame::key_height(&items, width)];
    let (mut c, area) = frame::start(look, title, note, note, content);
    let chart = Chart { area: Rect::new(area.x + LEFT, area.y, ROOM[0], height), x, y: z };
    chart.y_axis(&mut c);
    chart.x_axis(&mut c, true);
    let step = points.len().div_ceil(POINTS_MAX).max(1);
    c.group("filmed", |c| {
        for p in points.iter().step_by(step).filter(|p| p[0].is_finite() && p[1].is_finite()) {
            let dot = Path::circle(chart.at(*p), 0.7);
            c.named_path("point", &dot, Paint::fill(Ink::One));
        }
    });
    if !predicted.is_empty() {
        chart.line(&mut c, predicted, SERIES[1]);
    }
    frame::key(&mut c, [area.x, area.y + height + BELOW + 4.0], width, &items);
    c.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_are_drawn_under_the_predicted_line() {
        let look = Look::light("filmed");
        let path: Vec<Pt> =
            (0..50).map(|k| [0.1 * f64::from(k), 2.0 - 0.03 * f64::from(k)]).collect();
        let svg = filmed(&look, "Halyard", "a note", &path, &path[..20]);
        assert_eq!(svg.matches("class=\"point\"").count(), 50);
        assert!(svg.contains("predicted for this release"));
        let alone = filmed(&look, "Halyard", "a note", &path, &[]);
        assert!(!alone.contains("predicted"));
        assert!(filmed(&look, "", "", &[[f64::NAN, 1.0]], &[]).contains("</svg>"));
    }
}

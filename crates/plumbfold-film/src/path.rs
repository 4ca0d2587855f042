//! What was seen, in metres: a path as [`plumbfold_stats::track`] takes it.

use plumbfold_stats::track::{Begun, Point, begun};
use plumbfold_trace::polygon::Pt;

use crate::follow::Seen;
use crate::ground::{Ground, slopes};

/// The path, turned so that it goes forward and begins at zero, and how it was turned. A film played
/// `slowed` times slower than it was taken shows times as much longer.
pub fn path(seen: &[Seen], ground: &Ground, slowed: f64) -> (Vec<Point>, Begun) {
    let place = |s: &Seen| {
        let at = ground.metres(s.at);
        Point { t_s: s.t_s / slowed, x_m: at.x, z_m: at.y, pitch_rad: None }
    };
    let mut points: Vec<Point> = seen.iter().map(place).collect();
    let begun = begun(&mut points);
    for (point, seen) in points.iter_mut().zip(seen) {
        let nose = seen.nose.map(|nose| slopes(ground, seen.at) * nose);
        point.pitch_rad = nose.map(|n| n.y.atan2(begun.way * n.x));
    }
    (points, begun)
}

/// A path in dots of the picture it was filmed in.
pub fn in_picture(line: &[[f64; 2]], begun: &Begun, ground: &Ground) -> Vec<Pt> {
    line.iter().map(|&[x, z]| ground.dot(Pt::new(begun.x_m + begun.way * x, z))).collect()
}

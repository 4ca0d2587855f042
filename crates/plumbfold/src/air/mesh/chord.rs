//! Where vortices stand along a chord.

use std::f64::consts::PI;

/// Where the vortices and the control points of a chord lie, in chords from the leading edge: close
/// together at both edges as the square roots of the load there want (Lan, J. Aircraft 11(9), 1974,
/// exact in two dimensions); a single one at the quarter, its control at the three-quarter point.
pub fn chord_points(n: usize) -> Vec<[f64; 2]> {
    if n == 1 {
        return vec![[0.25, 0.75]];
    }
    let at = |angle: f64| 0.5 * (1.0 - angle.cos());
    let step = PI / n as f64;
    (0..n).map(|k| [at((k as f64 + 0.5) * step), at((k as f64 + 1.0) * step)]).collect()
}

/// Front and rear end of the part of the chord that each vortex stands for, in chords.
pub fn chord_cells(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let from = |j: usize| if j == 0 { 0.0 } else { points[j][0] };
    let to = |j: usize| points.get(j + 1).map_or(1.0, |p| p[0]);
    (0..points.len()).map(|j| [from(j), to(j)]).collect()
}

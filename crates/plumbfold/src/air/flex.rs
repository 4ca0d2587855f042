//! How far wings bend under their load: a wing is a plate of paper held along its crease.
//!
//! ```text
//!     crease (held)  ________________          y outwards from the crease, x forward,
//!                   |   layers       \         w(x, y) along the upper normal
//!                   |_________________\  tip
//! ```
//!
//! The shape is sought among w = y^2 (1, y .. y^4) x (1, x, x^2) so that bending energy less the work
//! of the load is least (Ritz 1909; Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells,
//! 2nd ed. 1959, section 82). The load is that of the strips in straight flight, less the weight
//! that the wing's own paper has in the plane's acceleration: weight and inertia in one, because
//! what is felt on board is the force of the air over the mass.
//!
//! **Where it holds.** Rises that are small against the span (a tenth); layers that slide on each
//! other, as pressed folds do away from their creases, so that stiffnesses add; a crease at the
//! root that keeps its angle. Paper is stiffer along its grain than across it by about two to one,
//! and a sheet does not say which way it runs: the mean of both is used, and a wing may rise by a
//! factor of root two more or less. What the bent shape does to the load is left out: in a glide
//! the lift is the weight however it is spread.

use super::strips::StripBasis;
use crate::numeric::slabs::{Slabs, XY};
use crate::plane::airframe::{Airframe, Lamina, Panel, PanelKind};
use nalgebra::{SMatrix, SVector, Vector3};

/// Young's modulus of printing paper, mean of both directions, Pa: tensile tests of a sheet of
/// 0.11 mm (Scientific Reports 4, 6275, 2014, table 2: 2.92 GPa); bending resistances that mills
/// state for 80 g/m2 give the same mean (from memory).
pub const PAPER_MODULUS_PA: f64 = 2.9e9;
/// Poisson's ratio of paper, mean of both directions (about 0.3; from memory).
pub const PAPER_POISSON: f64 = 0.3;
/// Strips whose normal leans less than this from a panel's lie on it (cosine of 2 degrees).
const ON_PANEL: f64 = 0.9994;

/// Shapes forward, and in all: five powers outwards.
const FORWARD: usize = 3;
/// See [`FORWARD`].
const SHAPES: usize = 5 * FORWARD;
type Row = SVector<f64, SHAPES>;

/// One wing.
#[derive(Clone, Debug, PartialEq)]
struct Wing {
    normal: Vector3<f64>,
    /// From work to amplitudes, m/J.
    compliance: SMatrix<f64, SHAPES, SHAPES>,
    /// Mass by shape, kg.
    mass: Row,
    /// Strips on it: which, the shapes at mid-chord and their slopes forward, 1/m.
    strips: Vec<(usize, Row, Row)>,
    /// The shapes at the middle of the tip.
    tip: Row,
}

/// The wings of a plane that bend.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Flexing {
    wings: Vec<Wing>,
}

/// A panel's own axes and extent.
struct Frame<'a> {
    panel: &'a Panel,
    /// Forward, outward, up.
    axes: [Vector3<f64>; 3],
    origin: Vector3<f64>,
    /// Place of the crease along the outward axis, and span from there, m.
    root: [f64; 2],
    /// Middle and half of the reach forward, m.
    chord: [f64; 2],
}

impl<'a> Frame<'a> {
    fn of(panel: &'a Panel) -> Option<Self> {
        let n = panel.placement.rotation * Vector3::z();
        let up = n * -n.z.signum();
        let e = (Vector3::x() - up * up.x).try_normalize(0.3)?;
        let origin = panel.placement.translation.vector;
        let s = e.cross(&up);
        let mut frame =
            Self { panel, axes: [e, s, up], origin, root: [0.0, 1.0], chord: [0.0, 1.0] };
        let places =
            |f: &Self| -> Vec<XY> { f.layers().iter().flat_map(|l| l.0.clone()).collect() };
        // Outwards is away from the plane of symmetry.
        let middle = |f: &Self| {
            let all = places(f);
            all.iter().map(|p| (f.origin + f.axes[0] * p.x + f.axes[1] * p.y).y).sum::<f64>()
        };
        if middle(&frame) * frame.axes[1].y < 0.0 {
            frame.axes[1] = -frame.axes[1];
        }
        let reach = |value: fn(&XY) -> f64| {
            let all = places(&frame);
            let fold = |[a, b]: [f64; 2], x: f64| [a.min(x), b.max(x)];
            all.iter().map(value).fold([f64::MAX, f64::MIN], fold)
        };
        let (x, y) = (reach(|p| p.x), reach(|p| p.y));
        frame.root = [y[0], y[1] - y[0]];
        frame.chord = [(x[0] + x[1]) / 2.0, (x[1] - x[0]) / 2.0];
        (frame.root[1] > 0.0 && frame.chord[1] > 0.0).then_some(frame)
    }

    /// Outlines in own axes, bending stiffness, N m, and mass per area, kg/m2, of the layers.
    fn layers(&self) -> Vec<(Vec<XY>, f64, f64)> {
        let turn = self.panel.placement.rotation;
        let (u, v) = (turn * Vector3::x(), turn * Vector3::y());
        let of = |l: &Lamina| {
            let at = |&[a, b]: &[f64; 2]| {
                let p = u * a + v * b;
                XY { x: p.dot(&self.axes[0]), y: p.dot(&self.axes[1]) }
            };
            let stiffness = PAPER_MODULUS_PA * l.thickness_m.powi(3)
                / (12.0 * (1.0 - PAPER_POISSON * PAPER_POISSON));
            (l.polygon.iter().map(at).collect(), stiffness, l.areal_mass_kg_m2)
        };
        self.panel.laminae.iter().map(of).collect()
    }

    /// Shapes and their derivatives at a place: w, w_x, w_xx, w_yy, w_xy.
    fn shapes(&self, p: &XY) -> [Row; 5] {
        let [long, half] = [self.root[1], self.chord[1]];
        let (t, x) = ((p.y - self.root[0]) / long, (p.x - self.chord[0]) / half);
        let power = |base: f64, n: usize, d: usize| -> f64 {
            let factor: f64 = (0..d).map(|k| n as f64 - k as f64).product();
            if n < d { 0.0 } else { factor * base.powi((n - d) as i32) }
        };
        let row = |dx: usize, dy: usize| {
            Row::from_fn(|k, _| {
                let (i, j) = (k / FORWARD + 2, k % FORWARD);
                power(t, i, dy) / long.powi(dy as i32) * power(x, j, dx) / half.powi(dx as i32)
            })
        };
        [row(0, 0), row(1, 0), row(2, 0), row(0, 2), row(1, 1)]
    }

    fn wing(&self, strips: &[StripBasis]) -> Option<Wing> {
        let mut stiffness = SMatrix::<f64, SHAPES, SHAPES>::zeros();
        let mut mass = Row::zeros();
        for (outline, bending, areal) in self.layers() {
            for t in &Slabs::of_union(vec![outline]).pieces {
                for (a, wa) in GAUSS {
                    let y = t.y[0] + a * (t.y[1] - t.y[0]);
                    let at = |e: [f64; 2]| e[0] + a * (e[1] - e[0]);
                    let (rear, front) = (at(t.rear), at(t.front));
                    for (b, wb) in GAUSS {
                        let da = wa * wb * (t.y[1] - t.y[0]) * (front - rear);
                        let place = XY { x: rear + b * (front - rear), y };
                        let [w, _, xx, yy, xy] = self.shapes(&place);
                        let nu = PAPER_POISSON;
                        stiffness += (xx * (xx + yy * nu).transpose()
                            + yy * (yy + xx * nu).transpose()
                            + xy * xy.transpose() * (2.0 * (1.0 - nu)))
                            * (bending * da);
                        mass += w * (areal * da);
                    }
                }
            }
        }
        let compliance = stiffness.cholesky()?.inverse();
        let [e, s, up] = self.axes;
        let place = |p: &Vector3<f64>| {
            let d = p - self.origin;
            XY { x: d.dot(&e), y: d.dot(&s) }
        };
        let on =
            |b: &&(usize, &StripBasis)| b.1.axes[2].dot(&up) > ON_PANEL && b.1.middle.y * s.y > 0.0;
        let all: Vec<(usize, &StripBasis)> = strips.iter().enumerate().collect();
        let strips = all.iter().filter(on).map(|(i, b)| {
            let mut at = place(&b.middle);
            at.y = at.y.max(self.root[0]);
            let [w, slope, ..] = self.shapes(&at);
            (*i, w, slope)
        });
        let end = self.root[0] + self.root[1];
        let tip: Vec<f64> = self
            .layers()
            .iter()
            .flat_map(|l| l.0.clone())
            .filter(|p| end - p.y < 0.02 * self.root[1])
            .map(|p| p.x)
            .collect();
        let x = tip.iter().sum::<f64>() / tip.len().max(1) as f64;
        let tip = self.shapes(&XY { x, y: end })[0];
        Some(Wing { normal: up, compliance, mass, strips: strips.collect(), tip })
    }
}

/// Gauss's five points and weights on a unit stretch: exact to the ninth power.
const GAUSS: [(f64, f64); 5] = [
    (0.046_910_077_030_668, 0.118_463_442_528_094_5),
    (0.230_765_344_947_158_4, 0.239_314_335_249_683_2),
    (0.5, 0.284_444_444_444_444_4),
    (0.769_234_655_052_841_6, 0.239_314_335_249_683_2),
    (0.953_089_922_969_332, 0.118_463_442_528_094_5),
];

impl Flexing {
    /// Of an airframe in air axes and its strips; a few tenths of a millisecond.
    pub fn of(airframe: &Airframe, strips: &[StripBasis]) -> Self {
        let wings = airframe.panels.iter().filter(|p| p.kind == PanelKind::Wing);
        Self { wings: wings.filter_map(|p| Frame::of(p)?.wing(strips)).collect() }
    }

    /// How far the wing tips rise above where they are without load, m, mean of the wings: under
    /// the normal force, N, and nose-up couple about mid-chord, N m, of each strip, while the
    /// plane feels `force` over its mass, m/s2. None for a plane without wings that bend.
    pub fn tip_rise_m(&self, loads: &[[f64; 2]], felt_m_s2: &Vector3<f64>) -> Option<f64> {
        let rise = |wing: &Wing| {
            let mut work = wing.mass * -felt_m_s2.dot(&wing.normal);
            for (i, w, slope) in &wing.strips {
                let [normal, couple] = loads.get(*i).copied().unwrap_or_default();
                work += w * normal + slope * couple;
            }
            wing.tip.dot(&(wing.compliance * work))
        };
        let count = self.wings.len();
        (count > 0).then(|| self.wings.iter().map(rise).sum::<f64>() / count as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::shapes::{level, panel};

    /// Rise over that of q L^4 / D of a cantilever of that chord and length under an even load.
    fn even_load(chord: f64, length: f64) -> f64 {
        let outline = [[0.0, 0.0], [chord, 0.0], [chord, -length], [0.0, -length]];
        let sheet = panel("wing", PanelKind::Wing, level(0.0, Vector3::zeros()), &outline);
        let (t, areal) = (sheet.laminae[0].thickness_m, sheet.laminae[0].areal_mass_kg_m2);
        let airframe = crate::air::shapes::airframe("sheet", vec![sheet]);
        let felt = Vector3::new(0.0, 0.0, 9.81);
        let rise = Flexing::of(&airframe, &[]).tip_rise_m(&[], &felt).unwrap();
        let d = PAPER_MODULUS_PA * t.powi(3) / (12.0 * (1.0 - PAPER_POISSON.powi(2)));
        rise * d / (areal * 9.81 * length.powi(4))
    }

    #[test]
    fn a_narrow_strip_bends_as_a_cantilever() {
        // q L^4 / 8 E I (any textbook of strength), which is 1/8 (1 - nu^2) of q L^4 / D; the
        // crease keeps the root from curling across, so it bends a little less.
        let expected = 1.0 / (8.0 * (1.0 - PAPER_POISSON.powi(2)));
        assert!((even_load(0.005, 0.1) / expected - 1.0).abs() < 0.04, "{}", even_load(0.005, 0.1));
    }

    #[test]
    fn a_square_plate_held_along_one_edge_bends_as_tabled() {
        // 0.129 q a^4 / D at the middle of the free edge for a Poisson's ratio of 0.3 (Timoshenko &
        // Woinowsky-Krieger, from memory); a very wide one bends to a cylinder, 1/8.
        assert!((even_load(0.1, 0.1) / 0.129 - 1.0).abs() < 0.02, "{}", even_load(0.1, 0.1));
        assert!((even_load(1.0, 0.1) / 0.125 - 1.0).abs() < 0.03, "{}", even_load(1.0, 0.1));
    }

    #[test]
    fn loose_layers_add_their_stiffness_and_their_weight() {
        let outline = [[0.0, 0.0], [0.1, 0.0], [0.1, -0.1], [0.0, -0.1]];
        let rise = |layers: usize| {
            let mut sheet = panel("wing", PanelKind::Wing, level(0.0, Vector3::zeros()), &outline);
            sheet.laminae = vec![sheet.laminae[0].clone(); layers];
            let airframe = crate::air::shapes::airframe("sheet", vec![sheet]);
            Flexing::of(&airframe, &[]).tip_rise_m(&[], &Vector3::new(0.0, 0.0, -9.81)).unwrap()
        };
        // Hanging under its own weight, one layer or four: the droop of a sheet.
        assert!((rise(4) / rise(1) - 1.0).abs() < 1e-9);
        assert!(rise(1) < 0.0);
    }
}

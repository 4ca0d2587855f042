//! The axes the air counts in: x forward in the plane of the wings.
//!
//! ```text
//!        wing, seen from the side                 datum x: along the keel's lower edge
//!   x  <------------------------------.           air x:   in the plane of the wings
//!   datum x <--.__  keel               |
//!                  `----.____          |          the two differ by the angle between the
//!                            `-------.__|          wing crease and the keel's lower edge
//! ```
//!
//! A wing crease that is not parallel to the keel's lower edge sets the wings at an angle to the
//! datum. What the stream meets is the wings, so incidence, level throws and the lattice's strips
//! are counted from them: the datum is turned about y until the mean normal of the wings has no
//! x component. Origin and y stay.

use crate::numeric::slabs::{Slabs, XY};
use crate::plane::airframe::{Airframe, PanelKind};
use nalgebra::{Isometry3, Matrix3, UnitQuaternion, Vector3};

/// The turn from datum axes to air axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirAxes {
    turn: UnitQuaternion<f64>,
}

impl AirAxes {
    /// From the wings of an airframe; the datum's own where it has none. A wing counts by its area
    /// and less the steeper it stands (cos 2x of its tilt x, nothing from 45 degrees on, where it
    /// is no wing), so that no panel leaves the mean with a jump.
    pub fn of(airframe: &Airframe) -> Self {
        let mut sum = Vector3::zeros();
        for p in airframe.panels.iter().filter(|p| p.kind == PanelKind::Wing) {
            let n = p.placement.rotation * Vector3::z();
            let up = n * -n.z.signum();
            let outlines =
                p.laminae.iter().map(|l| l.polygon.iter().map(|&[x, y]| XY { x, y }).collect());
            sum +=
                up * Slabs::of_union(outlines.collect()).area() * (2.0 * n.z * n.z - 1.0).max(0.0);
        }
        let angle = if sum.z < 0.0 { f64::atan2(-sum.x, -sum.z) } else { 0.0 };
        Self { turn: UnitQuaternion::from_axis_angle(&Vector3::y_axis(), -angle) }
    }

    /// A place or direction of the datum frame in air axes.
    pub fn vector(&self, datum: &Vector3<f64>) -> Vector3<f64> {
        self.turn * datum
    }

    /// A place or direction of the air axes in the datum frame.
    pub fn to_datum(&self, air: &Vector3<f64>) -> Vector3<f64> {
        self.turn.inverse() * air
    }

    /// An inertia in datum axes in air axes.
    pub fn tensor(&self, datum: &Matrix3<f64>) -> Matrix3<f64> {
        let turn = self.turn.to_rotation_matrix().into_inner();
        turn * datum * turn.transpose()
    }

    /// An airframe with its datum turned to air axes.
    pub fn airframe(&self, datum: &Airframe) -> Airframe {
        let turn = Isometry3::from_parts(nalgebra::Translation3::identity(), self.turn);
        let mut turned = datum.clone();
        for p in &mut turned.panels {
            p.placement = turn * p.placement;
        }
        for m in &mut turned.point_masses {
            m.at = self.vector(&m.at);
        }
        turned
    }

    /// How far air x points above datum x, rad.
    pub fn above_datum_rad(&self) -> f64 {
        let x = self.to_datum(&Vector3::x());
        f64::atan2(-x.z, x.x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::shapes::Halves;

    #[test]
    fn wings_set_at_an_angle_carry_the_axis_with_them() {
        let plain = Halves { dihedral_rad: 0.2, ..Halves::delta(1.0) }.airframe("d");
        assert!(AirAxes::of(&plain).above_datum_rad().abs() < 1e-12);
        for angle in [-0.2, 0.1] {
            let nose_up = UnitQuaternion::from_axis_angle(&Vector3::y_axis(), angle);
            let mut tilted = plain.clone();
            for p in &mut tilted.panels {
                p.placement = Isometry3::from_parts(Vector3::zeros().into(), nose_up) * p.placement;
            }
            let axes = AirAxes::of(&tilted);
            assert!((axes.above_datum_rad() - angle).abs() < 1e-12);
            let back = axes.airframe(&tilted);
            for (p, q) in back.panels.iter().zip(&plain.panels) {
                assert!((p.placement.rotation.angle_to(&q.placement.rotation)).abs() < 1e-7);
            }
        }
    }
}

//! The waist of the program: a posed plane as flat panels of paper in space, with nothing
//! symbolic left. Folding and outlines both end here; balance, aerodynamics, flight and drawing
//! all start here and know nothing of paper folding.
//!
//! **Datum frame** (metres), the axes of flight dynamics:
//! ```text
//!            x forward (nose)
//!                 ^
//!                 |        origin: level with the foremost point of the plane, on the plane of
//!                 |        symmetry, at the bottom of the keel (for a flat plane: at the
//!        o--------+----->  y to the right wing      underside of the lowest layer)
//!        z down (into the page)
//! ```
//! so a place `behind the nose` is `-x`, and `above the keel` is `-z`. The **body frame** has the
//! same axes with its origin at the centre of gravity: body = datum - cg.

use nalgebra::{Isometry3, Matrix3, Point3, Rotation3, UnitQuaternion, Vector3};

/// One layer of paper in a panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Lamina {
    /// Convex outline in panel coordinates (u, v), anticlockwise seen from +w, m.
    pub polygon: Vec<[f64; 2]>,
    /// Height of the layer's middle surface along w, m.
    pub height_m: f64,
    /// Mass per area, kg/m2.
    pub areal_mass_kg_m2: f64,
    /// Thickness, m.
    pub thickness_m: f64,
}

/// What a panel is for; decided by its attitude, not by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PanelKind {
    /// Within 45 degrees of level: carries the plane, counts in the planform.
    Wing,
    /// Steeper, and below or at the wing root: keel.
    Keel,
    /// Steeper, and outboard: winglet or fin.
    Fin,
}

/// A rigid flat piece of the plane, usually of several layers.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Name of the crease that hinges it to its inboard neighbour, or "body".
    pub name: String,
    /// What it is for.
    pub kind: PanelKind,
    /// Panel coordinates (u, v, w) to the datum frame. u lies along datum x for every panel hinged
    /// along the flight direction; +w is the upper (or, for keels and fins, outer) side.
    pub placement: Isometry3<f64>,
    /// Layers.
    pub laminae: Vec<Lamina>,
}

/// A clip, piece of tape, staple or blob of glue.
#[derive(Clone, Debug, PartialEq)]
pub struct PointMass {
    /// What it is.
    pub name: String,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Where, datum frame, m.
    pub at: Vector3<f64>,
}

/// Which trailing edge is bent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TrimSurface {
    /// Both wings' trailing edges.
    Elevator,
    /// Left wing only.
    LeftWing,
    /// Right wing only.
    RightWing,
    /// Trailing edges of keel or fins.
    Rudder,
}

/// A bend along a trailing edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrimBend {
    /// Which edge.
    pub surface: TrimSurface,
    /// How far the edge moves, m. Wings: positive up. Rudder: positive to the right (yaws right).
    pub deflection_m: f64,
    /// How far ahead of the edge the bend begins, m.
    pub depth_m: f64,
}

/// What was measured on a real plane and replaces what the paper would give.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredBalance {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Balance point behind the nose, m.
    pub behind_nose_m: f64,
    /// Height above the keel line, m, if it was measured.
    pub above_keel_m: Option<f64>,
}

impl MeasuredBalance {
    /// The same plane with something put on it after it was measured.
    pub fn with(&self, added: &PointMass) -> Self {
        let mass_kg = self.mass_kg + added.mass_kg;
        let mean = |own: f64, its: f64| (self.mass_kg * own + added.mass_kg * its) / mass_kg;
        Self {
            mass_kg,
            behind_nose_m: mean(self.behind_nose_m, -added.at.x),
            above_keel_m: self.above_keel_m.map(|own| mean(own, -added.at.z)),
        }
    }
}

/// A posed plane, fully resolved.
#[derive(Clone, Debug, PartialEq)]
pub struct Airframe {
    /// Name of the plane.
    pub name: String,
    /// Panels.
    pub panels: Vec<Panel>,
    /// Added masses.
    pub point_masses: Vec<PointMass>,
    /// Trailing-edge bends.
    pub trims: Vec<TrimBend>,
    /// For planes given by outline.
    pub measured: Option<MeasuredBalance>,
    /// The largest number of layers a single crease bends (1 for an outline).
    pub crease_layers_max: usize,
}

impl Airframe {
    /// From the nose to the last of the tail, m.
    pub fn length_m(&self) -> f64 {
        let behind = self.panels.iter().flat_map(|p| {
            let corners = p.laminae.iter().flat_map(|l| &l.polygon);
            corners.map(|&[u, v]| -(p.placement * Point3::new(u, v, 0.0)).x)
        });
        behind.fold(0.0, f64::max)
    }

    /// The plane whose one half (`side` +1 right, -1 left) is this one's and whose other half is
    /// the mirror image of that. Panels that cross the plane of symmetry stay as they are.
    pub fn mirrored(&self, side: f64) -> Self {
        let mut panels = Vec::with_capacity(self.panels.len());
        for panel in &self.panels {
            let [low, high] = panel.span_m().map(|y| y * side);
            let (low, high) = (low.min(high), low.max(high));
            if low < -CROSSING_M && high > CROSSING_M {
                panels.push(panel.clone());
            } else if low + high > 0.0 {
                panels.push(panel.clone());
                panels.push(panel.mirror());
            }
        }
        let wing = if side > 0.0 { TrimSurface::RightWing } else { TrimSurface::LeftWing };
        let trims = self.trims.iter().filter_map(|t| match t.surface {
            TrimSurface::Elevator | TrimSurface::Rudder => Some(*t),
            one => (one == wing).then_some(TrimBend { surface: TrimSurface::Elevator, ..*t }),
        });
        Self { panels, trims: trims.collect(), ..self.clone() }
    }
}

/// A panel reaches across the plane of symmetry if it does by more than this, m: the two halves of
/// a closed keel touch.
const CROSSING_M: f64 = 0.003;

impl Panel {
    /// Least and greatest y of its corners, m.
    fn span_m(&self) -> [f64; 2] {
        let corners = self.laminae.iter().flat_map(|l| &l.polygon);
        let y = corners.map(|&[u, v]| (self.placement * Point3::new(u, v, 0.0)).y);
        let [low, high] = y.fold([f64::MAX, f64::MIN], |[a, b], y| [a.min(y), b.max(y)]);
        [low, high]
    }

    /// Its image in the plane of symmetry: y of the datum frame and v of the panel change sign.
    fn mirror(&self) -> Self {
        let flip = Matrix3::from_diagonal(&Vector3::new(1.0, -1.0, 1.0));
        let turn = flip * self.placement.rotation.to_rotation_matrix().matrix() * flip;
        let shift = flip * self.placement.translation.vector;
        let laminae = self.laminae.iter().map(|l| Lamina {
            polygon: l.polygon.iter().rev().map(|&[u, v]| [u, -v]).collect(),
            ..*l
        });
        Self {
            placement: Isometry3::from_parts(
                shift.into(),
                UnitQuaternion::from_rotation_matrix(&Rotation3::from_matrix_unchecked(turn)),
            ),
            laminae: laminae.collect(),
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_put_on_a_measured_plane_moves_its_balance_by_its_weight() {
        let measured =
            MeasuredBalance { mass_kg: 0.010, behind_nose_m: 0.100, above_keel_m: Some(0.020) };
        let at = nalgebra::Vector3::new(-0.040, 0.0, -0.005);
        let clip = PointMass { name: "clip".into(), mass_kg: 0.002, at };
        let with = measured.with(&clip);
        assert!((with.mass_kg - 0.012).abs() < 1e-15);
        // (10 g x 100 mm + 2 g x 40 mm) / 12 g, and (10 x 20 + 2 x 5) / 12.
        assert!((with.behind_nose_m - 0.090).abs() < 1e-15);
        assert!((with.above_keel_m.unwrap() - 0.0175).abs() < 1e-15);
        let unmeasured = MeasuredBalance { above_keel_m: None, ..measured };
        assert_eq!(unmeasured.with(&clip).above_keel_m, None);
    }
}

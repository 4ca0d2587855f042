//! Plain airframes for checks: rectangles, deltas and swept wings of one sheet.

use crate::plane::airframe::{Airframe, Lamina, Panel, PanelKind};
use nalgebra::{Isometry3, Point3, Translation3, UnitQuaternion, Vector3};

/// Thickness, m, and mass per area, kg/m2, of the sheet the shapes are cut from: office paper.
const SHEET: (f64, f64) = (1e-4, 0.08);

/// A panel with one layer of sheet. `outline` (u, v), m, anticlockwise seen from +w.
pub fn panel(
    name: &str,
    kind: PanelKind,
    placement: Isometry3<f64>,
    outline: &[[f64; 2]],
) -> Panel {
    let lamina = Lamina {
        polygon: outline.to_vec(),
        height_m: 0.0,
        areal_mass_kg_m2: SHEET.1,
        thickness_m: SHEET.0,
    };
    Panel { name: name.into(), kind, placement, laminae: vec![lamina] }
}

/// Panel coordinates to datum: u forward, v to the right, w up, turned about the forward axis so
/// that a right wing (`angle` positive) rises, then shifted.
pub fn level(angle_rad: f64, at: Vector3<f64>) -> Isometry3<f64> {
    // u -> x, v -> y, w -> -z is a left-handed triple; outlines use v to the left instead.
    let flat = UnitQuaternion::from_axis_angle(&Vector3::x_axis(), std::f64::consts::PI);
    let roll = UnitQuaternion::from_axis_angle(&Vector3::x_axis(), -angle_rad);
    Isometry3::from_parts(Translation3::from(at), roll * flat)
}

/// An airframe of the given panels.
pub fn airframe(name: &str, panels: Vec<Panel>) -> Airframe {
    Airframe {
        name: name.into(),
        panels,
        point_masses: vec![],
        trims: vec![],
        measured: None,
        crease_layers_max: 1,
    }
}

/// A wing of two halves with straight edges, root chord along the middle line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Halves {
    /// Chord at the middle, m.
    pub root_m: f64,
    /// Chord at the tip, m.
    pub tip_m: f64,
    /// Span when flat, m.
    pub span_m: f64,
    /// How far the tip's leading edge lies behind the root's, m.
    pub tip_behind_m: f64,
    /// Angle of each half above level, rad.
    pub dihedral_rad: f64,
}

impl Halves {
    /// A flat rectangle of chord 1.
    pub const fn rectangle(aspect: f64) -> Self {
        Self { root_m: 1.0, tip_m: 1.0, span_m: aspect, tip_behind_m: 0.0, dihedral_rad: 0.0 }
    }
    /// A flat delta of root chord 1, unswept trailing edge.
    pub const fn delta(aspect: f64) -> Self {
        Self { root_m: 1.0, tip_m: 0.0, span_m: aspect / 2.0, tip_behind_m: 1.0, dihedral_rad: 0.0 }
    }
    /// The same at another size.
    pub fn scaled(self, k: f64) -> Self {
        Self {
            root_m: k * self.root_m,
            tip_m: k * self.tip_m,
            span_m: k * self.span_m,
            tip_behind_m: k * self.tip_behind_m,
            ..self
        }
    }
    /// The two panels.
    pub fn panels(&self) -> Vec<Panel> {
        let half = self.span_m / 2.0;
        let mut corners = vec![[0.0, 0.0], [-self.tip_behind_m, half]];
        if self.tip_m > 0.0 {
            corners.push([-self.tip_behind_m - self.tip_m, half]);
        }
        corners.push([-self.root_m, 0.0]);
        // v runs to the left: the right wing's outline has negative v.
        let left = corners.clone();
        let right: Vec<[f64; 2]> = corners.iter().rev().map(|&[u, v]| [u, -v]).collect();
        let origin = Vector3::zeros();
        vec![
            panel("left", PanelKind::Wing, level(-self.dihedral_rad, origin), &left),
            panel("right", PanelKind::Wing, level(self.dihedral_rad, origin), &right),
        ]
    }
    /// As an airframe.
    pub fn airframe(&self, name: &str) -> Airframe {
        airframe(name, self.panels())
    }
}

/// A plate in the plane of symmetry from `top_m` to `bottom_m` (z, down) and `front_m` to `rear_m` (x).
pub fn upright(name: &str, kind: PanelKind, x: [f64; 2], z: [f64; 2], y_m: f64) -> Panel {
    // u -> x, v -> z, w -> -y.
    let turn = UnitQuaternion::from_axis_angle(&Vector3::x_axis(), std::f64::consts::FRAC_PI_2);
    let at = Isometry3::from_parts(Translation3::new(0.0, y_m, 0.0), turn);
    debug_assert!((at * Point3::new(0.0, 1.0, 0.0) - Point3::new(0.0, y_m, 1.0)).norm() < 1e-12);
    panel(name, kind, at, &[[x[1], z[0]], [x[0], z[0]], [x[0], z[1]], [x[1], z[1]]])
}

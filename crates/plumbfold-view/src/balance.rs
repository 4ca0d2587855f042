//! Where a plane balances: the answer of `balance`, and the first part of `check` and `outline`.

use plumbfold::pipeline::{Balanced, FoldOutcome};
use schemars::JsonSchema;
use serde::Serialize;

/// Where a plane balances.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Balance {
    /// Name of the plane.
    pub name: String,
    /// Mass with tape, clips and glue, g.
    pub mass_g: f64,
    /// Balance point.
    pub cg: Place,
    /// The wing seen from above.
    pub planform: Planform,
    /// Share of the wing area ahead of the balance point, 0 to 1; 0.23 to 0.27 is the rule of thumb.
    pub area_ahead_fraction: f64,
    /// Balance point behind the leading edge of the mean aerodynamic chord, as a fraction of it.
    pub cg_mac_fraction: f64,
    /// A quarter of the wing area lies ahead of this place, mm behind the nose.
    pub quarter_area_behind_nose_mm: f64,
    /// Moments of inertia about the balance point.
    pub inertia_g_mm2: Inertia,
    /// Layers of paper; null for a plane given by its outline.
    pub layers: Option<Layers>,
}

/// Centre of gravity.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Place {
    /// Distance behind the nose along the keel, mm.
    pub behind_nose_mm: f64,
    /// Height above the keel line, mm, up positive.
    pub above_keel_mm: f64,
}

/// The wing seen from above.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Planform {
    /// Area of both wings and what lies between them, mm2.
    pub area_mm2: f64,
    /// Span, mm.
    pub span_mm: f64,
    /// Span squared over area.
    pub aspect_ratio: f64,
    /// Area over span, mm.
    pub mean_chord_mm: f64,
    /// Mean aerodynamic chord (MAC), mm.
    pub mac_mm: f64,
    /// Leading edge of the MAC behind the nose, mm.
    pub mac_le_behind_nose_mm: f64,
}

/// Moments of inertia about the centre of gravity in body axes: x forward, y to the right,
/// z down.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Inertia {
    /// Roll, g mm2.
    pub xx: f64,
    /// Pitch, g mm2.
    pub yy: f64,
    /// Yaw, g mm2.
    pub zz: f64,
    /// Product of inertia, the integral of x z dm, g mm2.
    pub xz: f64,
}

/// Layers of paper.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Layers {
    /// Layers at the thickest place.
    pub max: usize,
    /// Most layers that one crease bends.
    pub at_crease_max: usize,
}

impl Layers {
    /// Of a folded model.
    pub fn new(f: &FoldOutcome) -> Self {
        Self { max: f.layers_max(), at_crease_max: f.crease_layers_max() }
    }
}

impl Balance {
    /// From SI and radians to the units of people.
    pub fn new(b: &Balanced) -> Self {
        let (m, p) = (&b.mass, &b.planform);
        let [mm, mm2, g_mm2] = [1e3, 1e6, 1e9];
        let i = &m.inertia_kg_m2;
        Self {
            name: b.airframe.name.clone(),
            mass_g: m.mass_kg * 1e3,
            cg: Place {
                behind_nose_mm: m.behind_nose_m() * mm,
                above_keel_mm: m.above_keel_m() * mm,
            },
            planform: Planform {
                area_mm2: p.area_m2 * mm2,
                span_mm: p.span_m * mm,
                aspect_ratio: p.aspect_ratio,
                mean_chord_mm: p.mean_chord_m * mm,
                mac_mm: p.mac_m * mm,
                mac_le_behind_nose_mm: p.mac_le_behind_nose_m * mm,
            },
            area_ahead_fraction: b.area_ahead_fraction,
            cg_mac_fraction: b.cg_mac_fraction,
            quarter_area_behind_nose_mm: p.quarter_area_behind_nose_m * mm,
            inertia_g_mm2: Inertia {
                xx: i.m11 * g_mm2,
                yy: i.m22 * g_mm2,
                zz: i.m33 * g_mm2,
                xz: -i.m13 * g_mm2,
            },
            layers: b.source.folded().map(Layers::new),
        }
    }
}

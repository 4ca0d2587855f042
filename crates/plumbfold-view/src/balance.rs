//! Answer of `balance`, and the first part of `check`.

use plumbfold::pipeline::{Balanced, FoldOutcome};
use serde::Serialize;

/// Where a plane balances.
#[derive(Serialize)]
pub struct Balance {
    pub name: String,
    pub mass_g: f64,
    pub cg: Place,
    pub planform: Planform,
    pub area_ahead_fraction: f64,
    pub cg_mac_fraction: f64,
    pub quarter_area_behind_nose_mm: f64,
    pub inertia_g_mm2: Inertia,
    pub layers: Layers,
}

/// Centre of gravity.
#[derive(Serialize)]
pub struct Place {
    pub behind_nose_mm: f64,
    pub above_keel_mm: f64,
}

/// The wing seen from above.
#[derive(Serialize)]
pub struct Planform {
    pub area_mm2: f64,
    pub span_mm: f64,
    pub aspect_ratio: f64,
    pub mean_chord_mm: f64,
    pub mac_mm: f64,
    pub mac_le_behind_nose_mm: f64,
}

/// Moments of inertia about the centre of gravity, body axes; `xz` is the product of inertia
/// (the integral of x z dm).
#[derive(Serialize)]
pub struct Inertia {
    pub xx: f64,
    pub yy: f64,
    pub zz: f64,
    pub xz: f64,
}

/// Layers of paper.
#[derive(Serialize)]
pub struct Layers {
    /// Thickest place.
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
    /// From SI and radians to the units of the contract.
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
            layers: Layers::new(&b.folded),
        }
    }
}

//! Answer of `aero`.

use plumbfold::air;
use plumbfold::plane::planform::Planform;
use plumbfold::verdict::aircraft::Aircraft;
use serde::Serialize;

/// The forces of the air on a plane in straight flight.
#[derive(Serialize)]
pub struct Aero {
    pub name: String,
    pub speed_mps: f64,
    pub air_density_kg_m3: f64,
    pub cl_alpha_per_rad: f64,
    pub neutral_point_behind_nose_mm: f64,
    pub neutral_point_mac_fraction: f64,
    pub static_margin_mac_fraction: f64,
    /// What the coefficients are made with.
    pub reference: Reference,
    pub polar: Vec<PolarPoint>,
    pub derivatives: Derivatives,
}

/// Lengths and area of the coefficients.
#[derive(Serialize)]
pub struct Reference {
    pub area_mm2: f64,
    pub chord_mm: f64,
    pub span_mm: f64,
}

/// One incidence.
#[derive(Serialize)]
pub struct PolarPoint {
    pub alpha_deg: f64,
    pub cl: f64,
    pub cd: f64,
    /// Pitching moment about the centre of gravity.
    pub cm: f64,
    /// Null where there is next to no force.
    pub cp_behind_nose_mm: Option<f64>,
}

/// Per radian, rates made dimensionless the usual way (qc/2V, pb/2V, rb/2V), body axes.
#[derive(Serialize)]
pub struct Derivatives {
    pub cl_q: f64,
    pub cm_q: f64,
    pub cy_beta: f64,
    pub cl_beta: f64,
    pub cn_beta: f64,
    pub cl_p: f64,
    pub cn_p: f64,
    pub cl_r: f64,
    pub cn_r: f64,
}

impl Aero {
    /// From SI.
    pub fn new(name: &str, aircraft: &Aircraft, planform: &Planform, speed: f64, air: f64) -> Self {
        let a = &aircraft.aero;
        let point = |p: &air::PolarPoint| PolarPoint {
            alpha_deg: p.alpha_rad.to_degrees(),
            cl: p.cl,
            cd: p.cd,
            cm: p.cm,
            cp_behind_nose_mm: p.cp_behind_nose_m.map(|x| x * 1e3),
        };
        let d = &a.derivatives;
        Self {
            name: name.to_owned(),
            speed_mps: speed,
            air_density_kg_m3: air,
            cl_alpha_per_rad: a.cl_alpha,
            neutral_point_behind_nose_mm: a.neutral_point_behind_nose_m * 1e3,
            neutral_point_mac_fraction: planform.mac_fraction(a.neutral_point_behind_nose_m),
            static_margin_mac_fraction: a.static_margin,
            reference: Reference {
                area_mm2: a.reference.area_m2 * 1e6,
                chord_mm: a.reference.chord_m * 1e3,
                span_mm: a.reference.span_m * 1e3,
            },
            polar: a.polar.iter().map(point).collect(),
            derivatives: Derivatives {
                cl_q: d.cl_q,
                cm_q: d.cm_q,
                cy_beta: d.cy_beta,
                cl_beta: d.cl_beta,
                cn_beta: d.cn_beta,
                cl_p: d.cl_p,
                cn_p: d.cn_p,
                cl_r: d.cl_r,
                cn_r: d.cn_r,
            },
        }
    }
}

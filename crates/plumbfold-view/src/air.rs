//! What the air does to a plane in straight flight: the answer of `aero`, a part of `outline`.

use plumbfold::air;
use plumbfold::pipeline::Balanced;
use plumbfold::verdict::aircraft::Aircraft;
use schemars::JsonSchema;
use serde::Serialize;

/// The answer of `aero`.
#[derive(Serialize, JsonSchema)]
pub struct Aero {
    /// Name of the plane.
    pub name: String,
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub air: Air,
}

/// The forces of the air on a plane in straight flight.
#[derive(Serialize, JsonSchema)]
pub struct Air {
    /// Speed through the air, m/s.
    pub speed_mps: f64,
    /// Density of the air, kg/m3.
    pub air_density_kg_m3: f64,
    /// Slope of lift against incidence at small incidence, per radian.
    pub cl_alpha_per_rad: f64,
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub stability: Stability,
    /// What the coefficients are made with.
    pub reference: Reference,
    /// Coefficients at incidences in growing order.
    pub polar: Vec<PolarPoint>,
    /// Derivatives of turning and sideslip.
    pub derivatives: Derivatives,
}

/// Stability in pitch at small incidence.
#[derive(Serialize, JsonSchema)]
pub struct Stability {
    /// Neutral point behind the nose, mm.
    pub neutral_point_behind_nose_mm: f64,
    /// Neutral point behind the leading edge of the mean aerodynamic chord, as a fraction of it.
    pub neutral_point_mac_fraction: f64,
    /// Neutral point behind the balance point, as a fraction of the mean aerodynamic chord;
    /// positive is stable.
    pub static_margin_mac_fraction: f64,
}

/// Lengths and area of the coefficients.
#[derive(Serialize, JsonSchema)]
pub struct Reference {
    /// Area, mm2.
    pub area_mm2: f64,
    /// Chord, mm.
    pub chord_mm: f64,
    /// Span, mm.
    pub span_mm: f64,
}

/// One incidence.
#[derive(Serialize, JsonSchema)]
pub struct PolarPoint {
    /// Incidence, degrees, nose up positive.
    pub alpha_deg: f64,
    /// Lift coefficient, up positive.
    pub cl: f64,
    /// Drag coefficient, backwards positive.
    pub cd: f64,
    /// Pitching moment coefficient about the balance point, nose up positive.
    pub cm: f64,
    /// Centre of pressure behind the nose, mm; null where there is next to no force.
    pub cp_behind_nose_mm: Option<f64>,
}

/// Derivatives at small incidence, per radian; rates are made dimensionless as q c / 2 V,
/// p b / 2 V and r b / 2 V. Body axes: x forward, y to the right, z down.
#[derive(Serialize, JsonSchema)]
pub struct Derivatives {
    /// Lift by pitch rate, nose up positive.
    pub cl_q: f64,
    /// Pitching moment by pitch rate; negative damps.
    pub cm_q: f64,
    /// Side force, to the right positive, by sideslip (wind from the right positive).
    pub cy_beta: f64,
    /// Rolling moment, right wing down positive, by sideslip; negative rolls out of the slip.
    pub cl_beta: f64,
    /// Yawing moment, nose to the right positive, by sideslip; positive turns into the wind.
    pub cn_beta: f64,
    /// Rolling moment by roll rate; negative damps.
    pub cl_p: f64,
    /// Yawing moment by roll rate.
    pub cn_p: f64,
    /// Rolling moment by yaw rate.
    pub cl_r: f64,
    /// Yawing moment by yaw rate; negative damps.
    pub cn_r: f64,
}

impl Stability {
    /// From SI.
    pub fn new(aircraft: &Aircraft, plane: &Balanced) -> Self {
        let a = &aircraft.aero;
        Self {
            neutral_point_behind_nose_mm: a.neutral_point_behind_nose_m * 1e3,
            neutral_point_mac_fraction: plane.planform.mac_fraction(a.neutral_point_behind_nose_m),
            static_margin_mac_fraction: a.static_margin,
        }
    }
}

impl Air {
    /// From SI; speed in m/s, density of the air in kg/m3.
    pub fn new(aircraft: &Aircraft, plane: &Balanced, speed: f64, density: f64) -> Self {
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
            speed_mps: speed,
            air_density_kg_m3: density,
            cl_alpha_per_rad: a.cl_alpha,
            stability: Stability::new(aircraft, plane),
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

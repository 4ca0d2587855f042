//! The numbers by which planes are compared, of one analysed plane.

use crate::flight::modes::settled;
use crate::pipeline::Analysed;
use crate::plane::airframe::Airframe;
use crate::verdict::Behaviour;
use nalgebra::Vector3;

/// Share of the wing area ahead of the balance point of planes that fly well, and how far the
/// odd ones among them stray. Common practice, no source.
pub const USUAL_AREA_AHEAD: [f64; 2] = [0.23, 0.27];
/// See [`USUAL_AREA_AHEAD`].
pub const ODD_AREA_AHEAD: [f64; 2] = [0.19, 0.29];

/// Where a share of area ahead lies against [`USUAL_AREA_AHEAD`] and [`ODD_AREA_AHEAD`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Usual {
    /// Less than even the odd ones.
    FarLess,
    /// Less than usual.
    Less,
    /// As usual.
    Within,
    /// More than usual.
    More,
    /// More than even the odd ones.
    FarMore,
}

impl Usual {
    /// Of a share of the wing area.
    pub fn of(share: f64) -> Self {
        match share {
            s if s < ODD_AREA_AHEAD[0] => Self::FarLess,
            s if s < USUAL_AREA_AHEAD[0] => Self::Less,
            s if s <= USUAL_AREA_AHEAD[1] => Self::Within,
            s if s <= ODD_AREA_AHEAD[1] => Self::More,
            _ => Self::FarMore,
        }
    }

    /// The words other programs read.
    pub const fn code(self) -> &'static str {
        match self {
            Self::FarLess => "far less than usual",
            Self::Less => "less than usual",
            Self::Within => "usual",
            Self::More => "more than usual",
            Self::FarMore => "far more than usual",
        }
    }
}

/// One plane in numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// The posed plane.
    pub airframe: Airframe,
    /// Its centre of gravity, datum frame, m.
    pub cg_m: Vector3<f64>,
    /// What the folds made of the sheet; none for a plane given by its outline.
    pub folded: Option<Folds>,
    /// Span, m.
    pub span_m: f64,
    /// From the nose to the last of the tail, m.
    pub length_m: f64,
    /// Wing area, m2.
    pub area_m2: f64,
    /// span^2 / area.
    pub aspect_ratio: f64,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Weight per wing area, N/m2.
    pub wing_loading_n_m2: f64,
    /// Balance point behind the nose, m.
    pub behind_nose_m: f64,
    /// Share of the wing area ahead of it.
    pub area_ahead_fraction: f64,
    /// Balance point in fractions of the mean aerodynamic chord.
    pub cg_mac_fraction: f64,
    /// Neutral point behind the nose, m.
    pub neutral_behind_nose_m: f64,
    /// Neutral point in fractions of the mean aerodynamic chord.
    pub neutral_mac_fraction: f64,
    /// The difference of the two.
    pub static_margin: f64,
    /// The glide it settles to, if there is one.
    pub glide: Option<Steady>,
    /// Speed of the throw, m/s.
    pub throw_speed_m_s: f64,
    /// Length of the flight, m.
    pub distance_m: f64,
    /// Its time, s.
    pub time_aloft_s: f64,
    /// What it does.
    pub behaviour: Behaviour,
    /// Probability of that.
    pub probability: f64,
    /// Probability of a glide.
    pub glide_probability: f64,
}

/// What folding made of a sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Folds {
    /// Width and length of the sheet, m.
    pub sheet_m: [f64; 2],
    /// Steps of the instructions.
    pub steps: usize,
    /// Layers at the thickest place.
    pub layers_max: usize,
    /// Layers round the worst crease.
    pub crease_layers_max: usize,
}

/// A steady glide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steady {
    /// Trim speed, m/s.
    pub speed_m_s: f64,
    /// Sink, m/s.
    pub sink_m_s: f64,
    /// Distance over height lost.
    pub lift_to_drag: f64,
}

impl Summary {
    /// Of an analysed plane.
    pub fn of(a: &Analysed) -> Self {
        let b = &a.balanced;
        let f = &b.folded;
        let neutral_behind_nose_m = a.aircraft.aero.neutral_point_behind_nose_m;
        let behaviour = a.verdict.finding.behaviour;
        Self {
            airframe: b.airframe.clone(),
            cg_m: b.mass.cg_m,
            folded: f.design.outline.is_none().then(|| Folds {
                sheet_m: [f.stock.width_m, f.stock.length_m],
                steps: f.run.steps.len(),
                layers_max: f.layers_max(),
                crease_layers_max: f.crease_layers_max(),
            }),
            span_m: b.planform.span_m,
            length_m: b.airframe.length_m(),
            area_m2: b.planform.area_m2,
            aspect_ratio: b.planform.aspect_ratio,
            mass_kg: b.mass.mass_kg,
            wing_loading_n_m2: b.wing_loading_n_m2(),
            behind_nose_m: b.mass.behind_nose_m(),
            area_ahead_fraction: b.area_ahead_fraction,
            cg_mac_fraction: b.cg_mac_fraction,
            neutral_behind_nose_m,
            neutral_mac_fraction: b.planform.mac_fraction(neutral_behind_nose_m),
            static_margin: a.aircraft.aero.static_margin,
            glide: settled(&a.glides).map(|g| Steady {
                speed_m_s: g.trim.speed_m_s,
                sink_m_s: g.trim.sink_m_s,
                lift_to_drag: g.trim.lift_to_drag,
            }),
            throw_speed_m_s: a.throw.speed_m_s,
            distance_m: a.verdict.flight.distance_m,
            time_aloft_s: a.verdict.flight.time_aloft_s,
            behaviour,
            probability: a.verdict.probability.of(behaviour),
            glide_probability: a.verdict.probability.of(Behaviour::Glides),
        }
    }
}

//! One plane in numbers, under one set of names wherever planes are compared: with another, with
//! itself before a change, and along a series.

use nalgebra::Vector3;
use plumbfold::flight::modes::settled;
use plumbfold::pipeline::Analysed;
use plumbfold::plane::airframe::{Airframe, TrimSurface};
use plumbfold::study::usual::Usual;
use schemars::{JsonSchema, schema_for};
use serde::Serialize;

use crate::behaviour::{Behaviour, headline};
use crate::said::{NEARLY_ALWAYS, per_cent};

/// A plane in numbers.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Numbers {
    /// Width of the sheet, mm; null for a plane given by its outline.
    pub sheet_width_mm: Option<f64>,
    /// Length of the sheet, mm; null for a plane given by its outline.
    pub sheet_length_mm: Option<f64>,
    /// Span, mm.
    pub span_mm: f64,
    /// Length from the nose to the last of the tail, mm.
    pub length_mm: f64,
    /// Wing area, mm2.
    pub area_mm2: f64,
    /// Span squared over area.
    pub aspect_ratio: f64,
    /// Mass, g.
    pub mass_g: f64,
    /// Weight per wing area, N/m2.
    pub wing_loading_n_m2: f64,
    /// Balance point behind the nose, mm.
    pub cg_behind_nose_mm: f64,
    /// Balance point behind the foremost place of the wing seen from above, mm: the same for a
    /// folded plane and for one that was traced, whose keel may reach further forward unseen.
    pub cg_behind_wing_nose_mm: f64,
    /// Share of the wing area ahead of the balance point, 0 to 1.
    pub area_ahead_fraction: f64,
    /// Balance point behind the leading edge of the mean aerodynamic chord, as a fraction of it.
    pub cg_mac_fraction: f64,
    /// Neutral point behind the nose, mm, at small incidence.
    pub neutral_point_behind_nose_mm: f64,
    /// Neutral point behind the leading edge of the mean aerodynamic chord, as a fraction of it.
    pub neutral_point_mac_fraction: f64,
    /// Neutral point behind the balance point, as a fraction of the mean aerodynamic chord;
    /// positive is stable.
    pub static_margin_mac_fraction: f64,
    /// Speed of the glide it settles to, m/s; null without one.
    pub trim_speed_mps: Option<f64>,
    /// Rate of descent of that glide, m/s, down positive; null without one.
    pub sink_mps: Option<f64>,
    /// Metres flown for each metre of height in that glide; null without one.
    pub lift_to_drag: Option<f64>,
    /// How far the trailing edges of both wings are bent up, mm; a traced plane shows none until its
    /// text says so.
    pub edges_up_mm: f64,
    /// Speed of the throw, m/s.
    pub throw_speed_mps: f64,
    /// Height of the hand, m.
    pub throw_height_m: f64,
    /// Length of the flight over the floor, thrown exactly so, m.
    pub distance_m: f64,
    /// Time of that flight, s.
    pub time_aloft_s: f64,
    /// Steps of the instructions, repeats written out; null for a plane given by its outline.
    pub steps: Option<usize>,
    /// Layers at the thickest place; null for a plane given by its outline.
    pub layers_max: Option<usize>,
    /// Most layers that one crease bends; null for a plane given by its outline.
    pub layers_at_crease_max: Option<usize>,
    /// Where the share of area ahead lies against the usual 0.23 to 0.27: `far less than usual`,
    /// `less than usual`, `usual`, `more than usual` or `far more than usual`.
    pub area_ahead_is: &'static str,
    /// What it most often does at its throw.
    pub behaviour: Behaviour,
    /// Probability of that, 0 to 1.
    pub probability: f64,
    /// What it does next often, where it is on the edge between the two; null elsewhere.
    pub or: Option<Behaviour>,
    /// Probability of that; null elsewhere.
    pub or_probability: Option<f64>,
    /// Probability of a glide, 0 to 1.
    pub glide_probability: f64,
}

impl Numbers {
    /// From SI.
    pub fn new(a: &Analysed) -> Self {
        let b = &a.balanced;
        let folded = b.source.folded();
        let glide = settled(&a.glides).map(|g| &g.trim);
        let neutral_behind_nose_m = a.aircraft.aero.neutral_point_behind_nose_m;
        let headline = a.verdict.headline();
        Self {
            sheet_width_mm: folded.map(|f| f.stock.width_m * 1e3),
            sheet_length_mm: folded.map(|f| f.stock.length_m * 1e3),
            span_mm: b.planform.span_m * 1e3,
            length_mm: b.airframe.length_m() * 1e3,
            area_mm2: b.planform.area_m2 * 1e6,
            aspect_ratio: b.planform.aspect_ratio,
            mass_g: b.mass.mass_kg * 1e3,
            wing_loading_n_m2: b.wing_loading_n_m2(),
            cg_behind_nose_mm: b.mass.behind_nose_m() * 1e3,
            cg_behind_wing_nose_mm: (b.mass.behind_nose_m() - b.planform.place_of_fraction(0.0))
                * 1e3,
            area_ahead_fraction: b.area_ahead_fraction,
            cg_mac_fraction: b.cg_mac_fraction,
            neutral_point_behind_nose_mm: neutral_behind_nose_m * 1e3,
            neutral_point_mac_fraction: b.planform.mac_fraction(neutral_behind_nose_m),
            static_margin_mac_fraction: a.aircraft.aero.static_margin,
            trim_speed_mps: glide.map(|t| t.speed_m_s),
            sink_mps: glide.map(|t| t.sink_m_s),
            lift_to_drag: glide.map(|t| t.lift_to_drag),
            edges_up_mm: edges_up_m(&b.airframe) * 1e3,
            throw_speed_mps: a.throw.speed_m_s,
            throw_height_m: a.throw.height_m,
            distance_m: a.verdict.flight.distance_m,
            time_aloft_s: a.verdict.flight.time_aloft_s,
            steps: folded.map(|f| f.run.steps.len()),
            layers_max: folded.map(|f| f.layers_max()),
            layers_at_crease_max: folded.map(|f| f.crease_layers_max()),
            area_ahead_is: Usual::of(b.area_ahead_fraction).code(),
            behaviour: Behaviour(headline.behaviour),
            probability: headline.share,
            or: headline.or.map(Behaviour),
            or_probability: headline.or.map(|or| a.verdict.probability.of(or)),
            glide_probability: a.glide_probability(),
        }
    }

    /// Mass per wing area, g/dm2, as modellers say it.
    pub fn wing_loading_g_dm2(&self) -> f64 {
        self.mass_g / (self.area_mm2 * 1e-4)
    }

    /// What it most often does and how sure that is, in words.
    pub fn verdict(&self) -> String {
        headline(self.behaviour, self.probability, self.or.zip(self.or_probability))
    }

    /// The same in a column of a table: `glides 82 %`, `glides 52 % or dives 28 %`.
    pub fn verdict_in_short(&self) -> String {
        let one = |b: Behaviour, p: f64| format!("{} {}", b.0.code(), per_cent(p));
        match self.or.zip(self.or_probability) {
            Some((or, p)) => format!("{} or {}", one(self.behaviour, self.probability), one(or, p)),
            None if self.probability > NEARLY_ALWAYS => {
                format!("nearly always {}", self.behaviour.0.code())
            }
            None => one(self.behaviour, self.probability),
        }
    }

    /// The names of the numbers, in order.
    pub fn keys() -> Vec<String> {
        let schema = schema_for!(Self);
        let properties = schema.get("properties").and_then(|p| p.as_object());
        properties.map_or_else(Vec::new, |p| p.keys().cloned().collect())
    }
}

/// How far the trailing edges of both wings are bent up, m; one wing's bend counts half.
fn edges_up_m(airframe: &Airframe) -> f64 {
    let up = airframe.trims.iter().map(|t| match t.surface {
        TrimSurface::Elevator => t.deflection_m,
        TrimSurface::LeftWing | TrimSurface::RightWing => t.deflection_m / 2.0,
        TrimSurface::Rudder => 0.0,
    });
    // A sum of nothing is minus nothing.
    up.sum::<f64>() + 0.0
}

/// A plane that was flown, for tables and pictures of many.
#[derive(Clone, Debug)]
pub struct Plane {
    /// Its numbers.
    pub numbers: Numbers,
    /// The posed plane.
    pub airframe: Airframe,
    /// Its centre of gravity, datum frame, m.
    pub cg_m: Vector3<f64>,
}

impl Plane {
    /// Of an analysed plane.
    pub fn new(a: Analysed) -> Self {
        let (numbers, cg_m) = (Numbers::new(&a), a.balanced.mass.cg_m);
        Self { numbers, airframe: a.balanced.airframe, cg_m }
    }
}

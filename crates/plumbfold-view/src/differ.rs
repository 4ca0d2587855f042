//! Where a plane as it was folded differs from its design: the answer of `differ`.

use plumbfold::pipeline::Balanced;
use plumbfold::plane::airframe::{Airframe, TrimBend, TrimSurface};
use plumbfold::plane::deviation::{Deviation, Place};
use schemars::JsonSchema;
use serde::Serialize;

use crate::said::short;

/// How a plane differs from its design.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Differ {
    /// Name of the design.
    pub design: String,
    /// Name of the plane held against it.
    pub other: String,
    /// The outlines, laid on one another.
    pub outline: Outline,
    /// Mass, g; of the design, of the other, and how much heavier it is.
    pub mass_g: Change,
    /// Balance behind the nose of the design, mm, the outlines laid on one another: the nose of a keel
    /// seen from above may be missing in a photo.
    pub balance_behind_nose_mm: Change,
    /// How far the nose of the other plane, from which its own numbers are told, lies behind that of
    /// the design, mm.
    pub nose_behind_mm: f64,
    /// Share of the wing area ahead of the balance point, 0 to 1.
    pub area_ahead_fraction: Change,
    /// Area of the wings laid flat, mm2.
    pub area_mm2: Change,
    /// Span of the wings laid flat, mm.
    pub span_mm: Change,
    /// Trailing edges that one of them bends otherwise than the other. No photo shows a bend, so a
    /// traced plane has none until its text says so.
    pub bends: Vec<Bend>,
}

/// A trailing edge bent otherwise.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Bend {
    /// Which edge: `elevator`, `left wing`, `right wing` or `rudder`.
    pub edge: &'static str,
    /// How far it is bent, mm: wings up, a rudder to the right.
    pub bent_mm: Change,
    /// The line that bends the other plane as its design is bent.
    pub line: String,
}

/// A number of the design and of the other plane.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Change {
    /// Of the design.
    pub design: f64,
    /// Of the other plane.
    pub other: f64,
    /// The other less the design.
    pub more: f64,
}

/// Outlines compared.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Outline {
    /// Mean distance, mm.
    pub mean_mm: f64,
    /// Root mean square distance, mm.
    pub rms_mm: f64,
    /// Largest distance, mm.
    pub max_mm: f64,
    /// How far the other plane's wing reaches ahead of the design's, mm, once the outlines lie best
    /// on one another.
    pub reaches_ahead_mm: f64,
    /// The farthest places, farthest first.
    pub places: Vec<Spot>,
}

/// A place where they differ.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Spot {
    /// Right of the middle, mm.
    pub right_mm: f64,
    /// Behind the nose of the design, mm.
    pub behind_nose_mm: f64,
    /// How far it lies outside the design's outline, mm; negative inside.
    pub outside_mm: f64,
}

impl Differ {
    /// In the units of people.
    pub fn new(design: &Balanced, other: &Balanced, d: &Deviation) -> Self {
        let change = |a: f64, b: f64| Change { design: a, other: b, more: b - a };
        let spot = |p: &Place| Spot {
            right_mm: p.right_m * 1e3,
            behind_nose_mm: p.behind_nose_m * 1e3,
            outside_mm: p.outside_m * 1e3,
        };
        Self {
            design: design.airframe.name.clone(),
            other: other.airframe.name.clone(),
            outline: Outline {
                mean_mm: d.mean_m * 1e3,
                rms_mm: d.rms_m * 1e3,
                max_mm: d.places.first().map_or(0.0, |p| p.outside_m.abs() * 1e3),
                reaches_ahead_mm: d.reaches_ahead_m * 1e3,
                places: d.places.iter().map(spot).collect(),
            },
            mass_g: change(design.mass.mass_kg * 1e3, other.mass.mass_kg * 1e3),
            balance_behind_nose_mm: change(
                design.mass.behind_nose_m() * 1e3,
                (other.mass.behind_nose_m() - d.forward_m) * 1e3,
            ),
            nose_behind_mm: -d.forward_m * 1e3,
            area_ahead_fraction: change(design.area_ahead_fraction, other.area_ahead_fraction),
            area_mm2: change(d.design.area() * 1e6, d.other.area() * 1e6),
            span_mm: change(d.design.extent() * 1e3, d.other.extent() * 1e3),
            bends: bends(&design.airframe, &other.airframe),
        }
    }
}

/// Less than this no eye tells between two bends, mm.
const ALIKE_MM: f64 = 0.05;

fn bends(design: &Airframe, other: &Airframe) -> Vec<Bend> {
    let edges = [
        (TrimSurface::Elevator, "elevator", ["up", "down"]),
        (TrimSurface::LeftWing, "left wing", ["up", "down"]),
        (TrimSurface::RightWing, "right wing", ["up", "down"]),
        (TrimSurface::Rudder, "rudder", ["right", "left"]),
    ];
    let bend = |(surface, edge, [on, back]): (TrimSurface, &'static str, [&str; 2])| {
        let of = |a: &Airframe| {
            let same = a.trims.iter().filter(move |t| t.surface == surface).copied();
            same.reduce(|a, b| TrimBend { deflection_m: a.deflection_m + b.deflection_m, ..a })
        };
        let (here, there) = (of(design), of(other));
        let mm = |t: Option<TrimBend>| t.map_or(0.0, |t| t.deflection_m * 1e3);
        let (a, b) = (mm(here), mm(there));
        let depth = here.or(there)?.depth_m * 1e3;
        let way = if a < 0.0 { back } else { on };
        let line = format!("trim {edge} {way} {} mm, {} mm deep", short(a.abs()), short(depth));
        let bent_mm = Change { design: a, other: b, more: b - a };
        ((b - a).abs() >= ALIKE_MM).then_some(Bend { edge, bent_mm, line })
    };
    edges.into_iter().filter_map(bend).collect()
}

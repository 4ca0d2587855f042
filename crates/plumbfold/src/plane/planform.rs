//! Airframe to planform: the wing as seen from above, and the numbers a folder finds today with
//! squared paper.

use crate::numeric::slabs::{Slabs, XY};
use crate::plane::airframe::{Airframe, PanelKind};
use nalgebra::Point3;

/// The wing seen from above. `x` is forward of the nose datum (so behind the nose is `-x`).
#[derive(Clone, Debug, PartialEq)]
pub struct Planform {
    /// The union of the lifting panels.
    pub slabs: Slabs,
    /// Area, m2.
    pub area_m2: f64,
    /// Span, m.
    pub span_m: f64,
    /// span^2 / area.
    pub aspect_ratio: f64,
    /// area / span, m.
    pub mean_chord_m: f64,
    /// Mean aerodynamic chord, integral of c^2 dy / area, m.
    pub mac_m: f64,
    /// Leading edge of the mean aerodynamic chord behind the nose, m: the area-weighted mean of
    /// the leading edge.
    pub mac_le_behind_nose_m: f64,
    /// Sweep of the quarter-chord line, area-weighted mean over both wings, rad, positive aft.
    pub quarter_chord_sweep_rad: f64,
    /// The place behind the nose ahead of which 25 % of the area lies, m.
    pub quarter_area_behind_nose_m: f64,
}

/// What stops a plane from having a planform.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PlanformError {
    /// No panel lies within 45 degrees of level.
    #[error("no part of the plane lies within 45 degrees of level: it has no wing")]
    NoWing,
}

impl Planform {
    /// Fraction of the area that lies ahead of a place behind the nose.
    pub fn fraction_ahead(&self, behind_nose_m: f64) -> f64 {
        self.slabs.area_beyond(-behind_nose_m) / self.area_m2
    }
    /// A place behind the nose in fractions of the mean aerodynamic chord.
    pub fn mac_fraction(&self, behind_nose_m: f64) -> f64 {
        (behind_nose_m - self.mac_le_behind_nose_m) / self.mac_m
    }
    /// The place behind the nose ahead of which the given fraction of the area lies, m.
    pub fn place_of_fraction(&self, fraction: f64) -> f64 {
        -self.slabs.place_of_area(fraction * self.area_m2)
    }
}

/// Area, m2, and span, m, of wings and fins seen from above: of a tip that is turned up, what is
/// left of it as it turns, so that nothing jumps where it stops counting as wing.
pub fn seen_from_above(airframe: &Airframe) -> (f64, f64) {
    let slabs = shadow(airframe, |kind| kind != PanelKind::Keel);
    (slabs.area(), slabs.extent())
}

/// Union of panels of some kinds, projected on the level plane.
fn shadow(airframe: &Airframe, counts: impl Fn(PanelKind) -> bool) -> Slabs {
    let polygons: Vec<Vec<XY>> = airframe
        .panels
        .iter()
        .filter(|p| counts(p.kind))
        .flat_map(|p| {
            let (turn, shift) =
                (p.placement.rotation.to_rotation_matrix(), p.placement.translation);
            let level = move |&[u, v]: &[f64; 2]| {
                let q = turn * Point3::new(u, v, 0.0);
                XY { x: q.x + shift.x, y: q.y + shift.y }
            };
            p.laminae.iter().map(move |l| l.polygon.iter().map(&level).collect())
        })
        .collect();
    Slabs::of_union(polygons)
}

/// Planform of the lifting panels (those within 45 degrees of level), projected on the level
/// plane. Mean aerodynamic chord as in Yates 1952 (integral definitions, as used by NACA).
///
/// # Errors
/// [`PlanformError::NoWing`] when there is no such panel or its area is nothing.
pub fn planform(airframe: &Airframe) -> Result<Planform, PlanformError> {
    let slabs = shadow(airframe, |kind| kind == PanelKind::Wing);
    let area_m2 = slabs.area();
    if !(area_m2 > 1e-9 && area_m2.is_finite()) {
        return Err(PlanformError::NoWing);
    }
    let span_m = slabs.extent();
    let [c2, le_c, sweep_c] = slabs.chord_integrals();
    let mut planform = Planform {
        area_m2,
        span_m,
        aspect_ratio: span_m * span_m / area_m2,
        mean_chord_m: area_m2 / span_m,
        mac_m: c2 / area_m2,
        mac_le_behind_nose_m: -le_c / area_m2,
        quarter_chord_sweep_rad: (sweep_c / area_m2).atan(),
        quarter_area_behind_nose_m: 0.0,
        slabs,
    };
    planform.quarter_area_behind_nose_m = planform.place_of_fraction(0.25);
    Ok(planform)
}

#[cfg(test)]
mod tests;

//! From a posed plane to its coefficients and to strips that fly.

mod guard;
mod half;

use super::flex::Flexing;
use super::mesh::MeshSize;
use super::plate;
use super::strips::{Adjustments, StripBasis, StripFrame, StripModel};
use super::surfaces::{Surface, surfaces};
use super::{AeroError, AirAxes, AirLoads};
use crate::air::Air;
use crate::plane::airframe::Airframe;
use crate::plane::planform::{PlanformError, planform, seen_from_above};
use nalgebra::Vector3;

use half::{Half, basis};

/// How to go about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Lattice.
    pub mesh: MeshSize,
    /// How far ahead of the trailing edge the extra bends of [`Adjustments`] begin, m.
    pub bend_depth_m: f64,
    /// Incidence at which the derivatives that change with lift are given, rad.
    pub derivatives_at_rad: f64,
}

impl Options {
    /// Ordinary mesh, bends 10 mm deep, derivatives at no incidence.
    pub const ORDINARY: Self =
        Self { mesh: MeshSize::ORDINARY, bend_depth_m: 0.010, derivatives_at_rad: 0.0 };
}

/// Lengths and area the coefficients are made with: the chord of the planform; area and span with
/// what fins add to them, seen from above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reference {
    /// Area, m2.
    pub area_m2: f64,
    /// Mean aerodynamic chord, m.
    pub chord_m: f64,
    /// Span, m.
    pub span_m: f64,
    /// Leading edge of the mean aerodynamic chord behind the nose, m.
    pub chord_le_behind_nose_m: f64,
}

/// One incidence of the polar, about the centre of gravity, in straight flight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PolarPoint {
    /// Incidence, rad.
    pub alpha_rad: f64,
    /// Lift coefficient.
    pub cl: f64,
    /// Drag coefficient.
    pub cd: f64,
    /// Pitching moment coefficient about the centre of gravity.
    pub cm: f64,
    /// Where the normal force acts, behind the nose, m; none where there is next to no force.
    pub cp_behind_nose_m: Option<f64>,
    /// Where a small change of it acts, m; none where it does not grow with incidence.
    pub neutral_point_behind_nose_m: Option<f64>,
}

/// Derivatives about the centre of gravity in body axes: per rad of incidence or sideslip, per
/// q c/2V, and per p b/2V, r b/2V.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
#[allow(missing_docs, reason = "the usual symbols")]
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

/// Edge suction of the wing at unit incidence, in coefficients.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeVortices {
    /// Leading edges, if all their suction turned into vortex lift.
    pub leading: f64,
    /// Side edges.
    pub side: f64,
    /// Where the side vortices act, behind their strip's leading edge in chords.
    pub side_at: f64,
}

/// The aerodynamics of a plane.
#[derive(Clone, Debug, PartialEq)]
pub struct Aero {
    /// Reference lengths.
    pub reference: Reference,
    /// Lift slope at small incidence, per rad.
    pub cl_alpha: f64,
    /// Lift at no incidence.
    pub cl0: f64,
    /// Moment at no lift, from steps and bends together.
    pub cm0: f64,
    /// Part of it from steps of raised layers.
    pub cm0_steps: f64,
    /// Neutral point at small incidence behind the nose, m.
    pub neutral_point_behind_nose_m: f64,
    /// (neutral point - centre of gravity) / mean aerodynamic chord.
    pub static_margin: f64,
    /// Vortices of the wing's edges.
    pub vortices: EdgeVortices,
    /// Induced drag factor: drag of the wake over lift coefficient squared.
    pub induced: f64,
    /// Spanwise load at unit incidence: (y m, circulation over speed m), left to right, wing only.
    pub span_load: Vec<[f64; 2]>,
    /// -10 to 90 degrees, one a degree.
    pub polar: Vec<PolarPoint>,
    /// Derivatives at [`Options::derivatives_at_rad`].
    pub derivatives: Derivatives,
    /// The plane as designed.
    pub strips: StripModel,
    /// What [`Aero::adjusted`] builds on.
    pub solved: Solved,
    speed_m_s: f64,
}

/// Analyses a plane.
///
/// `cg` in the datum frame, m; `speed_m_s` sets the Reynolds number of the polar.
///
/// # Errors
/// [`AeroError`]: no wing, folded shut, speed or air not positive, or a lattice that can't be solved.
pub fn analyse(
    airframe: &Airframe,
    cg: Vector3<f64>,
    air: &Air,
    speed_m_s: f64,
    options: &Options,
) -> Result<Aero, AeroError> {
    for (what, value) in [("the speed", speed_m_s), ("the density of the air", air.density_kg_m3)] {
        if !(value > 0.0 && value.is_finite()) {
            return Err(AeroError::NotPositive { what, value });
        }
    }
    if !cg.iter().all(|c| c.is_finite()) {
        return Err(AeroError::NoBalance);
    }
    let (solved, reference, forward) = solve(airframe, AirAxes::of(airframe), air, options)?;
    let mut aero = Aero {
        reference,
        cl_alpha: 0.0,
        cl0: 0.0,
        cm0: 0.0,
        cm0_steps: 0.0,
        neutral_point_behind_nose_m: 0.0,
        static_margin: 0.0,
        vortices: forward.vortices(&reference),
        induced: forward.induced(&reference),
        span_load: forward.span_load(),
        polar: vec![],
        derivatives: Derivatives::default(),
        strips: solved.adjusted(&Adjustments::at(cg)),
        solved,
        speed_m_s,
    };
    aero.fill(cg);
    aero.check()?;
    let point = |degrees: i32| {
        let alpha = f64::from(degrees).to_radians();
        let neutral_point_behind_nose_m = aero.neutral_point_at(&aero.strips, alpha);
        PolarPoint { neutral_point_behind_nose_m, ..aero.at(&aero.strips, alpha) }
    };
    aero.polar = (-10..=90).map(point).collect();
    aero.derivatives = aero.derivatives_at(&aero.strips, options.derivatives_at_rad);
    Ok(aero)
}

/// What flies, without the numbers people read.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// The axes the strips, and the bodies made of them, are given in.
    pub axes: AirAxes,
    basis: Vec<StripBasis>,
    frame: StripFrame,
}

impl Solved {
    /// The strips of the plane with something different; the lattice is not solved again.
    pub fn adjusted(&self, adjust: &Adjustments) -> StripModel {
        let cg = self.axes.vector(&adjust.cg);
        StripModel::new(&self.basis, &self.frame, &Adjustments { cg, ..*adjust })
    }
}

/// Solves each half of a plane as if the other were its mirror image: for planes whose halves
/// differ by no more than a hand's error. What one half then does to the other is wrong by a share
/// of that difference only, and the two lattices meet in the plane of symmetry without a jump,
/// which one lattice of both unequal halves does not.
///
/// # Errors
/// As [`analyse`].
pub fn solve_halves(
    airframe: &Airframe,
    air: &Air,
    options: &Options,
) -> Result<Solved, AeroError> {
    let axes = AirAxes::of(airframe);
    let half = |side| solve(&airframe.mirrored(side), axes, air, options);
    let ((right, ..), (left, ..)) = (half(1.0)?, half(-1.0)?);
    let mut basis: Vec<StripBasis> =
        right.basis.into_iter().filter(|b| b.middle.y > -CENTRAL_M).collect();
    basis.extend(left.basis.into_iter().filter(|b| b.middle.y <= -CENTRAL_M));
    let reference = [0, 1].map(|k| (right.frame.reference[k] + left.frame.reference[k]) / 2.0);
    let added_mass = (right.frame.added_mass + left.frame.added_mass) / 2.0;
    Ok(Solved { axes, basis, frame: StripFrame { reference, added_mass, ..right.frame } })
}

/// Strips nearer to the plane of symmetry than this stand in it, m.
const CENTRAL_M: f64 = 1e-6;

fn solve(
    airframe: &Airframe,
    axes: AirAxes,
    air: &Air,
    options: &Options,
) -> Result<(Solved, Reference, Half), AeroError> {
    let turned = axes.airframe(airframe);
    let ahead = surfaces(&turned)?;
    // Coefficients are made with the planform that the balance is told with, and what turned-up
    // tips add to its area and span.
    let plan = planform(airframe).map_err(|PlanformError::NoWing| AeroError::NoWing)?;
    let (area_m2, span_m) = seen_from_above(airframe);
    let reference = Reference {
        area_m2,
        chord_m: plan.mac_m,
        span_m,
        chord_le_behind_nose_m: plan.mac_le_behind_nose_m,
    };
    let astern: Vec<Surface> = ahead.iter().map(Surface::reversed).collect();
    let forward = Half::new(&ahead, &airframe.trims, options, false)?;
    let backward = Half::new(&astern, &airframe.trims, options, true)?;
    let basis = basis(&ahead, &forward, &backward, &reference, air);
    let frame = StripFrame {
        reference: [reference.area_m2, reference.chord_m],
        broadside: plate::broadside_drag(span_m * span_m / area_m2),
        added_mass: forward.added_mass,
        air: *air,
    };
    Ok((Solved { axes, basis, frame }, reference, forward))
}

impl Aero {
    /// The plane with something different; the lattice is not solved again.
    pub fn adjusted(&self, adjust: &Adjustments) -> StripModel {
        self.solved.adjusted(adjust)
    }

    /// Coefficients in straight flight at an incidence.
    pub fn at(&self, strips: &StripModel, alpha_rad: f64) -> PolarPoint {
        let (sin, cos) = alpha_rad.sin_cos();
        let v = Vector3::new(cos, 0.0, sin) * self.speed_m_s;
        let (f, m) = strips.loads(&v, &Vector3::zeros());
        let q = 0.5
            * self.solved.frame.air.density_kg_m3
            * self.speed_m_s.powi(2)
            * self.reference.area_m2;
        let normal = -f.z / q;
        // Below a thousandth the place of the force is a quotient of rounding and camber.
        let cp = (normal.abs() > 1e-3)
            .then(|| -self.solved.axes.to_datum(&strips.cg()).x - m.y / (q * normal));
        PolarPoint {
            alpha_rad,
            cl: (f.x * sin - f.z * cos) / q,
            cd: (-f.x * cos - f.z * sin) / q,
            cm: m.y / (q * self.reference.chord_m),
            cp_behind_nose_m: cp,
            neutral_point_behind_nose_m: None,
        }
    }

    /// (Neutral point - centre of gravity) / mean aerodynamic chord for small changes about an
    /// incidence: what decides whether a glide there holds (the slope of the moment coefficient
    /// against that of the normal force with its sign changed; Etkin & Reid, Dynamics of Flight,
    /// 1996, section 2.3). None where the normal force does not
    /// change with incidence, as in the middle of a stall.
    pub fn static_margin_at(&self, strips: &StripModel, alpha_rad: f64) -> Option<f64> {
        let h = 1e-3;
        let [a, b] = [alpha_rad + h, alpha_rad - h].map(|x| {
            let p = self.at(strips, x);
            (p.cl * x.cos() + p.cd * x.sin(), p.cm)
        });
        let slope = (a.0 - b.0) / (2.0 * h);
        (slope > 0.1 * self.cl_alpha).then(|| -(a.1 - b.1) / (2.0 * h) / slope)
    }

    /// How the wings of the analysed airframe bend.
    pub fn flexing(&self, airframe: &Airframe) -> Flexing {
        Flexing::of(&self.solved.axes.airframe(airframe), &self.solved.basis)
    }

    /// How far the wing tips rise in straight flight at an incidence and speed above where they are
    /// without load, m; see [`Flexing`] for where that holds.
    pub fn tip_rise_m(
        &self,
        flexing: &Flexing,
        (alpha_rad, speed_m_s): (f64, f64),
        mass_kg: f64,
    ) -> Option<f64> {
        let (sin, cos) = alpha_rad.sin_cos();
        let v = Vector3::new(cos, 0.0, sin) * speed_m_s;
        let (force, _) = self.strips.loads(&v, &Vector3::zeros());
        flexing.tip_rise_m(&self.strips.strip_loads(&v), &(force / mass_kg))
    }

    /// The neutral point behind the nose, m, likewise.
    pub fn neutral_point_at(&self, strips: &StripModel, alpha_rad: f64) -> Option<f64> {
        let behind = -self.solved.axes.to_datum(&strips.cg()).x;
        let margin = self.static_margin_at(strips, alpha_rad)?;
        Some(behind + margin * self.reference.chord_m)
    }

    /// Derivatives about the centre of gravity at an incidence, by central differences.
    pub fn derivatives_at(&self, strips: &StripModel, alpha_rad: f64) -> Derivatives {
        let speed = self.speed_m_s;
        let Reference { area_m2, chord_m, span_m, .. } = self.reference;
        let q = 0.5 * self.solved.frame.air.density_kg_m3 * speed * speed * area_m2;
        let (sin, cos) = alpha_rad.sin_cos();
        // Small enough that no kink of the law lies between, large enough against rounding.
        let h = 1e-4;
        let slope = |beta: f64, rate: Vector3<f64>| {
            let load = |k: f64| {
                let v = Vector3::new(cos, k * beta, sin) * speed;
                strips.loads(&v, &(rate * k))
            };
            let (a, b) = (load(h), load(-h));
            ((a.0 - b.0) / (2.0 * h * q), (a.1 - b.1) / (2.0 * h * q))
        };
        let zero = Vector3::zeros();
        let (fb, mb) = slope(1.0, zero);
        let (fq, mq) = slope(0.0, Vector3::y() * (2.0 * speed / chord_m));
        let (_, mp) = slope(0.0, Vector3::x() * (2.0 * speed / span_m));
        let (_, mr) = slope(0.0, Vector3::z() * (2.0 * speed / span_m));
        Derivatives {
            cl_q: fq.x * sin - fq.z * cos,
            cm_q: mq.y / chord_m,
            cy_beta: fb.y,
            cl_beta: mb.x / span_m,
            cn_beta: mb.z / span_m,
            cl_p: mp.x / span_m,
            cn_p: mp.z / span_m,
            cl_r: mr.x / span_m,
            cn_r: mr.z / span_m,
        }
    }

    /// Lift slope, neutral point and moment at no lift: friction, which turns a hundredth of
    /// itself into lift, is left out so that they are those of the lattice.
    fn fill(&mut self, cg: Vector3<f64>) {
        let smooth = Adjustments { friction_scale: 0.0, ..Adjustments::at(cg) };
        let plane = self.adjusted(&smooth);
        // The vortex terms are quadratic, so a central difference at no incidence leaves them out.
        let h = 1e-5;
        let [a, b] = [h, -h].map(|x| self.at(&plane, x));
        self.cl_alpha = (a.cl - b.cl) / (2.0 * h);
        self.static_margin = -(a.cm - b.cm) / (a.cl - b.cl);
        self.neutral_point_behind_nose_m = -cg.x + self.static_margin * self.reference.chord_m;
        let no_lift_moment = |plane: &StripModel| {
            let p = self.at(plane, 0.0);
            p.cm + self.static_margin * p.cl
        };
        let flat = self.adjusted(&Adjustments { step_scale: 0.0, ..smooth });
        let (cm0, without_steps) = (no_lift_moment(&plane), no_lift_moment(&flat));
        self.cl0 = self.at(&plane, 0.0).cl;
        self.cm0 = cm0;
        self.cm0_steps = cm0 - without_steps;
    }
}

//! The plane in a stream from one side: its lattice, and what strips take from it.

use super::{EdgeVortices, Reference};
use crate::air::added_mass::added_mass;
use crate::air::aside::aside;
use crate::air::camber::{self, SHAPES};
use crate::air::induced::InducedFlow;
use crate::air::lattice::{Lattice, MOTIONS, Slopes};
use crate::air::mesh::{Carrier, Mesh, Run};
use crate::air::plate::{self, StallWindow};
use crate::air::plates::Side;
use crate::air::strips::{Attached, StripBasis};
use crate::air::suction::{Suction, suction};
use crate::air::surfaces::Surface;
use crate::air::{AeroError, Air};
use crate::plane::airframe::{PanelKind, TrimBend};
use nalgebra::{Matrix6, Vector3};
use std::array::from_fn;

/// One direction of flight, solved.
pub(super) struct Half {
    lattice: Lattice,
    shapes: Vec<Slopes>,
    suction: Vec<Suction>,
    stall: StallWindow,
    /// Added mass about the origin for unit density.
    pub(super) added_mass: Matrix6<f64>,
    /// What carries the load of each strip.
    carriers: Vec<Vec<Carrier>>,
    /// The stream from aside at the legs of each strip.
    aside: Vec<[[f64; 6]; 2]>,
}

impl Half {
    pub(super) fn new(
        surfaces: &[Surface],
        trims: &[TrimBend],
        options: &super::Options,
        reversed: bool,
    ) -> Result<Self, AeroError> {
        let mesh = Mesh::new(surfaces, options.mesh)?;
        let shapes = camber::slopes(surfaces, &mesh, trims, options.bend_depth_m, reversed);
        let lattice = Lattice::solve(&mesh, &shapes)?;
        let flow = InducedFlow::of(&lattice);
        let suction = suction(&lattice, &flow);
        let aside = aside(&lattice, &flow);
        let stall = stall_window(&lattice);
        let mut carriers = vec![Vec::new(); lattice.strips.len()];
        for c in &lattice.carriers {
            carriers[c.strip].push(*c);
        }
        // Flying tail first a plane carries the same air.
        let added_mass = if reversed { Matrix6::zeros() } else { added_mass(&mesh)? };
        Ok(Self { lattice, shapes, suction, stall, added_mass, carriers, aside })
    }

    pub(super) fn vortices(&self, reference: &Reference) -> EdgeVortices {
        let (mut leading, mut side, mut at) = (0.0, 0.0, 0.0);
        let wing = self.lattice.strips.iter().zip(&self.suction);
        for (s, k) in wing.filter(|(s, _)| s.kind == PanelKind::Wing) {
            leading += 2.0 * k.thrust_m2.max(0.0) / cosine(s.edge_slopes[0]);
            side += 2.0 * k.side_m2;
            at += 2.0 * k.side_m2 * k.side_at;
        }
        let area = reference.area_m2;
        EdgeVortices {
            leading: leading / area,
            side: side / area,
            side_at: if side > 0.0 { at / side } else { 0.0 },
        }
    }

    pub(super) fn induced(&self, reference: &Reference) -> f64 {
        let g = self.lattice.circulations(&[0.0, 0.0, 1.0]);
        let lift = -2.0 * self.lattice.loads(&g, &Vector3::zeros()).0.z / reference.area_m2;
        2.0 * self.lattice.wake_drag(&g) / reference.area_m2 / (lift * lift)
    }

    pub(super) fn span_load(&self) -> Vec<[f64; 2]> {
        let g = self.lattice.circulations(&[0.0, 0.0, 1.0]);
        let of_run = |r: &Run| {
            let front = &self.lattice.strips[r.strips.start];
            let load = g[r.panels.clone()].iter().sum();
            (front.kind == PanelKind::Wing).then_some([front.middle.y, load])
        };
        let wing = self.lattice.runs.iter().filter_map(of_run);
        let mut load: Vec<[f64; 2]> = wing.collect();
        load.sort_by(|a, b| a[0].total_cmp(&b[0]));
        load
    }
}

fn cosine(slope: f64) -> f64 {
    1.0 / (1.0 + slope * slope).sqrt()
}

/// Stall window from the aspect ratio and the mean leading-edge sweep of the wing.
fn stall_window(lattice: &Lattice) -> StallWindow {
    let (mut span, mut area, mut sweep, mut share) = (0.0, 0.0, 0.0, 0.0);
    for s in lattice.strips.iter().filter(|s| s.kind == PanelKind::Wing) {
        // A tip that is turned up leaves the wing without a jump.
        let level = (2.0 * s.n.z * s.n.z - 1.0).max(0.0);
        let angle = s.sweep_rad();
        area += level * s.area_m2;
        sweep += level * s.area_m2 * angle;
        share += level * s.area_m2 * plate::leading_edge_share(angle);
        if s.leads {
            span += level * s.width_m;
        }
    }
    let area = area.max(f64::MIN_POSITIVE);
    let aspect = span * span / area;
    StallWindow::blunt(aspect).towards(StallWindow::swept(sweep / area), share / area)
}

pub(super) fn basis(
    surfaces: &[Surface],
    forward: &Half,
    backward: &Half,
    reference: &Reference,
    air: &Air,
) -> Vec<StripBasis> {
    let slope = 2.0 * std::f64::consts::PI;
    let lift = forward.lattice.circulations(&[0.0, 0.0, 1.0]);
    let lift_slope = -2.0 * forward.lattice.loads(&lift, &Vector3::zeros()).0.z / reference.area_m2;
    let bubble = plate::BUBBLE_TRAVEL * (lift_slope / slope).powi(2);
    let astern = matching(forward, backward);
    forward
        .lattice
        .strips
        .iter()
        .enumerate()
        .map(|(i, s)| {
            let keel = surfaces[s.surface].side == Side::Centre && s.kind != PanelKind::Wing;
            let reynolds_per_speed = s.chord_m / air.kinematic_viscosity_m2_s();
            let sides = if keel { plate::KEEL_SIDES } else { 1.0 };
            StripBasis {
                middle: s.middle,
                axes: [s.e, s.s, s.n],
                chord_m: s.chord_m,
                area_m2: s.area_m2,
                friction: 2.0 * plate::BLASIUS / reynolds_per_speed.sqrt()
                    * plate::CREASE_ALLOWANCE
                    * sides,
                edge_drag: plate::STEP_BASE_DRAG * camber::step_heights_m(&surfaces[s.surface], s)
                    / s.chord_m,
                attached: [
                    attached(forward, i, 1.0, bubble),
                    attached(backward, astern[i], -1.0, bubble),
                ],
            }
        })
        .collect()
}

/// For each strip of the forward lattice the one of the reversed lattice in the same place.
fn matching(forward: &Half, backward: &Half) -> Vec<usize> {
    let place = |v: &Vector3<f64>| Vector3::new(-v.x, v.y, v.z);
    forward
        .lattice
        .strips
        .iter()
        .map(|s| {
            let distance =
                |k: &usize| (backward.lattice.strips[*k].middle - place(&s.middle)).norm();
            (0..backward.lattice.strips.len())
                .min_by(|a, b| distance(a).total_cmp(&distance(b)))
                .unwrap_or(0)
        })
        .collect()
}

/// Coefficients of one strip. `direction` is -1 for the reversed lattice, whose forward axis,
/// pitch and yaw run the other way.
fn attached(half: &Half, i: usize, direction: f64, bubble: f64) -> Attached {
    let lattice = &half.lattice;
    let s = &lattice.strips[i];
    let carriers = &half.carriers[i];
    let column = |k: usize| -> [f64; 2] {
        let (mut wash, mut moment) = (0.0, 0.0);
        for c in carriers {
            let push = -Vector3::x().cross(&c.along).dot(&s.n) * lattice.circulation[(c.panel, k)];
            let arm = (c.at - s.middle).dot(&s.e);
            wash += 2.0 * push / s.area_m2;
            moment += 2.0 * push * arm / (s.area_m2 * s.chord_m);
        }
        [wash, direction * moment]
    };
    let signs = [direction, 1.0, 1.0, 1.0, direction, direction];
    let motions: Vec<[f64; 2]> = (0..MOTIONS).map(|k| column(k).map(|x| signs[k] * x)).collect();
    let effect = |k: usize| if k == 0 { 1.0 } else { plate::BEND_EFFECTIVENESS };
    let shapes: Vec<[f64; 2]> =
        (0..SHAPES.len()).map(|k| column(MOTIONS + k).map(|x| direction * effect(k) * x)).collect();
    // Bends, then the unit bends: all shapes but the steps, whose drag is that of their bases.
    let mut tilt = [[0.0; 11]; 4];
    for (row, slopes) in tilt.iter_mut().zip(&half.shapes[1..]) {
        for c in carriers {
            let slope = direction * slopes.of_panel(c.panel);
            let push = -Vector3::x().cross(&c.along).dot(&s.n) * 2.0 * slope / s.area_m2;
            for (k, x) in row.iter_mut().enumerate() {
                let scale = if k < MOTIONS { signs[k] } else { direction * effect(k - MOTIONS) };
                *x += push * scale * lattice.circulation[(c.panel, k)];
            }
        }
    }
    let pick = |c: usize| {
        let mut row = [0.0; 6];
        for k in 0..MOTIONS {
            row[k] = motions[k][c];
        }
        // The first two shapes are the plane's own.
        row[0] += shapes[0][c] + shapes[1][c];
        row
    };
    let share = plate::leading_edge_share(s.sweep_rad());
    let k = &half.suction[i];
    let leading = share * 2.0 * k.thrust_m2.max(0.0) / cosine(s.edge_slopes[0]) / s.area_m2;
    let side = 2.0 * k.side_m2 / s.area_m2;
    let total = leading + side;
    let arm = if total > 0.0 { (0.5 * leading + (0.5 - k.side_at) * side) / total } else { 0.0 };
    Attached {
        wash: pick(0),
        moment: pick(1),
        shape_wash: shapes.iter().map(|x| x[0]).collect(),
        shape_moment: shapes.iter().map(|x| x[1]).collect(),
        tilt,
        vortex: [total, direction * arm],
        bubble: -direction * bubble * (1.0 - share),
        aside: half.aside[i].map(|row| from_fn(|k| signs[k] * row[k])),
        edge_slope: s.edge_slopes[1],
        stall: half.stall,
    }
}

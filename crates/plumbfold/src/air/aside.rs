//! The stream that trailing legs meet from aside.
//!
//! A leg of circulation g in a stream t across it is pushed with density times g t for each length
//! (Kutta-Joukowski). The two legs of a strip carry the same circulation, so in one stream they make
//! a rolling couple. At a crease or a root the legs of the plates that meet there cancel: what
//! remains is no couple but a force.

use super::induced::{InducedFlow, is_keel, loading_motion, neighbour};
use super::lattice::Lattice;
use super::mesh::{Run, Strip, as_one};
use nalgebra::Vector3;
use std::array::from_fn;

/// Most that vortices take of a unit stream.
const MOST_TAKEN: f64 = 1.0;

/// For every strip the stream along its span at its legs per unit of the motions u v w p q r: the
/// mean of both ends, and the difference in chords per width; an end that is a corner with another
/// plate counts nothing. What the vortices take of the stream is asked for a keel only: along wings it is a few
/// hundredths, and beside flaps pressed nearly flat it is the mesh that would answer.
pub fn aside(lattice: &Lattice, flow: &InducedFlow) -> Vec<[[f64; 6]; 2]> {
    let held = &lattice.runs[..lattice.held_runs];
    let mut all = vec![[[0.0; 6]; 2]; lattice.strips.len()];
    let still = [[0.0; 6]; 2];
    for (i, run) in held.iter().enumerate() {
        let keel = is_keel(lattice, run);
        let ends = if keel { [0, 1].map(|end| induced(lattice, flow, i, end)) } else { still };
        for strip in run.strips.clone() {
            all[strip] = of_strip(&lattice.strips[strip], &ends, kept(lattice, held, i), keel);
        }
    }
    // The left half of a symmetric plane is the image of the right.
    for (i, run) in lattice.runs[held.len()..].iter().enumerate() {
        let [first, last] = kept(lattice, held, i);
        for strip in run.strips.clone() {
            all[strip] = of_strip(&lattice.strips[strip], &still, [last, first], false);
        }
    }
    all
}

/// How far the leg at each end of a run pushes it: a free edge, or how much the plate goes on.
fn kept(lattice: &Lattice, held: &[Run], i: usize) -> [f64; 2] {
    let normal = |r: &Run| lattice.strips[r.strips.start].n;
    let goes_on = |o: &Run| as_one(&normal(o), &normal(&held[i]));
    [0, 1].map(|end| match held[i].free[end] {
        true => 1.0,
        false => neighbour(held, i, end).map_or(0.0, goes_on),
    })
}

/// Induced flow along the span at the legs at one end of a keel's run, weighted by what they carry
/// when the plate is loaded; nothing where the flow could not be asked.
fn induced(lattice: &Lattice, flow: &InducedFlow, i: usize, end: usize) -> [f64; 6] {
    let run = &lattice.runs[i];
    let [side, up] = loading_motion(&lattice.strips[run.strips.start].n);
    let (mut carried, mut whole) = (0.0, 0.0);
    let mut sum = [0.0; 6];
    for (leg, j) in flow.legs[i][end].iter().zip(run.panels.clone()) {
        carried += side * lattice.circulation[(j, 1)] + up * lattice.circulation[(j, 2)];
        let weight = carried.abs() * leg.along.norm();
        whole += weight;
        for (s, v) in sum.iter_mut().zip(&leg.across) {
            *s += v * weight;
        }
    }
    sum.map(|v| v / whole.max(f64::MIN_POSITIVE))
}

/// On a wing only sideways motions make a force: what dihedral takes of a stream from below ends at
/// the root.
fn of_strip(s: &Strip, ends: &[[f64; 6]; 2], kept: [f64; 2], keel: bool) -> [[f64; 6]; 2] {
    let forces = |motion: usize| keel || motion % 2 == 1;
    let stream = |end: usize| -> [f64; 6] {
        let at = s.middle + s.s * (s.width_m / 2.0 * if end == 0 { -1.0 } else { 1.0 });
        from_fn(|m| {
            let share = if forces(m) { kept[end] } else { 1.0 };
            let unit = Vector3::ith(m % 3, 1.0);
            let brought = if m < 3 { unit } else { unit.cross(&at) };
            let taken = ends[end][m].clamp(-MOST_TAKEN, MOST_TAKEN);
            share * (s.s.dot(&brought) - taken)
        })
    };
    let [first, last] = [stream(0), stream(1)];
    let wide = s.chord_m / s.width_m.max(f64::MIN_POSITIVE);
    let difference = |m: usize| if forces(m) { (last[m] - first[m]) * wide } else { 0.0 };
    [from_fn(|m| (first[m] + last[m]) / 2.0), from_fn(difference)]
}

//! Plates at any incidence against wind tunnels, hand-launched plates and closed forms.

use super::{NU_SCALE_M, plane, row, speed_for};
use crate::air::Air;
use crate::air::plate;
use crate::air::shapes::Halves;
use crate::validation::Mark::{FromMemory, SecondHand, Seen};
use crate::validation::Tolerance::{Absolute, AtMost, Relative};
use crate::validation::ValidationRow;
use nalgebra::Vector3;
use std::f64::consts::PI;

/// Lift of sharp deltas to 25 degrees.
pub fn sharp_deltas() -> Vec<ValidationRow> {
    const DATA: [(f64, &[(f64, f64)]); 3] = [
        (0.5, &[(4.0, 0.080), (10.0, 0.232), (15.0, 0.384), (19.9, 0.586), (25.0, 0.708)]),
        (
            1.0,
            &[
                (5.07, 0.128),
                (10.09, 0.305),
                (14.36, 0.464),
                (20.06, 0.708),
                (20.53, 0.735),
                (25.1, 0.916),
            ],
        ),
        (
            2.0,
            &[
                (2.95, 0.098),
                (5.99, 0.245),
                (9.00, 0.387),
                (12.1, 0.555),
                (15.5, 0.719),
                (18.4, 0.885),
                (21.4, 0.989),
                (24.5, 1.099),
            ],
        ),
    ];
    let source = ("Polhamus, NASA TN D-3767, 1966, fig. 12", Seen);
    let g = "Plates at any incidence";
    let mut rows = vec![];
    for (a, points) in DATA {
        // The tunnel's Reynolds number, a million and more, makes friction negligible there too.
        let aero = plane(&Halves::delta(a).airframe("d"), Vector3::zeros(), speed_for(2e6, 1.0));
        let (mut square, mut sum) = (0.0, 0.0);
        for &(alpha, cl) in points {
            let ours = aero.at(&aero.strips, alpha.to_radians()).cl;
            let case = format!("sharp delta, aspect {a}, CL at {alpha:.1} deg");
            rows.push(row(g, case, source, cl, ours, Relative(0.10)));
            square += (ours - cl).powi(2);
            sum += cl;
        }
        let n = points.len() as f64;
        let case = format!("sharp delta, aspect {a}, rms error of CL over mean CL, at most");
        rows.push(row(g, case, source, 0.10, (square / n).sqrt() / (sum / n), AtMost));
    }
    rows
}

/// Flat square plate at low Reynolds number.
pub fn low_aspect_plate() -> Vec<ValidationRow> {
    const DATA: [(f64, f64, f64); 8] = [
        (3.0, 0.075, 0.02),
        (6.0, 0.15, 0.03),
        (8.0, 0.20, 0.04),
        (10.0, 0.25, 0.06),
        (15.0, 0.50, 0.15),
        (20.0, 0.70, 0.28),
        (25.0, 0.85, 0.42),
        (28.0, 0.80, 0.48),
    ];
    let source = (
        "Pelletier & Mueller, J. Aircraft 37(5), 2000 (semispan aspect 0.5), read off to 0.05",
        SecondHand,
    );
    let g = "Plates at any incidence";
    let square = Halves::rectangle(1.0).scaled(NU_SCALE_M);
    let aero =
        plane(&square.airframe("square"), Vector3::zeros(), speed_for(140_000.0, NU_SCALE_M));
    let (mut lift, mut drag) = (0.0, 0.0);
    for (alpha, cl, cd) in DATA {
        let p = aero.at(&aero.strips, alpha.to_radians());
        lift += (p.cl - cl).powi(2) / DATA.len() as f64;
        drag += (p.cd - cd).powi(2) / DATA.len() as f64;
    }
    let ananda = (
        "Ananda, Sukumar & Selig, Aerosp. Sci. Technol. 42, 2015: span efficiency of flat plates",
        SecondHand,
    );
    let mut rows = vec![
        row(
            g,
            "flat square, rms error of CL over 3 to 28 deg, at most".into(),
            source,
            0.05,
            lift.sqrt(),
            AtMost,
        ),
        row(
            g,
            "flat square, rms error of CD over 3 to 28 deg, at most".into(),
            source,
            0.04,
            drag.sqrt(),
            AtMost,
        ),
    ];
    for (a, efficiency) in [(2.0, 0.39), (3.0, 0.34), (6.0, 0.22)] {
        let chord = 0.089;
        let wing = Halves::rectangle(a).scaled(chord);
        let aero = plane(&wing.airframe("plate"), Vector3::zeros(), speed_for(1e5, chord));
        // Slope of CD against CL squared between 2 and 6 degrees.
        let [p, q] = [2f64, 6.0].map(|d| aero.at(&aero.strips, d.to_radians()));
        let e = (q.cl * q.cl - p.cl * p.cl) / (PI * a * (q.cd - p.cd));
        rows.push(row(
            g,
            format!("flat plate, aspect {a}, span efficiency"),
            ananda,
            efficiency,
            e,
            Relative(0.12),
        ));
    }
    rows
}

/// Lanchester's ballasted plate, 8 x 2 inches, 5 g, 15 ft/s, 47 ft from 7.5 ft.
pub fn weighted_plate() -> Vec<ValidationRow> {
    let source = ("Lanchester, Aerodynamics, 1907, art. 245", Seen);
    let inch = 0.0254;
    let wing = Halves {
        root_m: 2.0 * inch,
        tip_m: 2.0 * inch,
        span_m: 8.0 * inch,
        ..Halves::rectangle(4.0)
    };
    let speed = 15.0 * 0.3048;
    let aero = plane(&wing.airframe("plate"), Vector3::zeros(), speed);
    let q = 0.5 * Air::indoors().density_kg_m3 * speed * speed * aero.reference.area_m2;
    let weight = 0.005 * 9.80665;
    // Incidence at which lift and drag together carry the weight.
    let carried = |alpha: f64| {
        let p = aero.at(&aero.strips, alpha);
        q * p.cl.hypot(p.cd)
    };
    let (mut lo, mut hi) = (0.0, 0.2);
    for _ in 0..60 {
        let mid = (lo + hi) / 2.0;
        if carried(mid) < weight { lo = mid } else { hi = mid }
    }
    let p = aero.at(&aero.strips, lo);
    vec![row(
        "Plates at any incidence",
        "ballasted plate 8 x 2 in, lift to drag".into(),
        source,
        47.0 / 7.5,
        p.cl / p.cd,
        Relative(0.15),
    )]
}

/// Broadside drag, free-streamline pressure, friction.
pub fn closed_forms() -> Vec<ValidationRow> {
    let g = "Plates at any incidence";
    let hoerner = ("Hoerner, Fluid-Dynamic Drag, 1965, ch. 3", FromMemory);
    let rayleigh = ("Rayleigh 1876; Lamb, Hydrodynamics, art. 77", FromMemory);
    let blasius = ("Blasius 1908; Cengel & Cimbala, Fluid Mechanics, table 10-4", SecondHand);
    let mut rows = vec![];
    for (a, cd) in [(1.0, 1.18), (5.0, 1.20), (10.0, 1.30), (20.0, 1.50)] {
        let ours = plate::broadside_drag(a);
        rows.push(row(
            g,
            format!("plate broadside on, aspect {a}, CD"),
            hoerner,
            cd,
            ours,
            Relative(0.04),
        ));
    }
    let square = plane(&Halves::rectangle(1.0).airframe("square"), Vector3::zeros(), 5.0);
    let book = ("Matthews, Aeronautical Engineer's Data Book, 2002, p. 95", Seen);
    let ours = square.at(&square.strips, PI / 2.0).cd;
    rows.push(row(
        g,
        "square broadside on, CD of the flying strips".into(),
        book,
        1.17,
        ours,
        Relative(0.04),
    ));
    for (alpha, cp) in [
        (0.0, 0.3125),
        (10.0, 0.3375),
        (20.0, 0.361),
        (30.0, 0.383),
        (45.0, 0.415),
        (60.0, 0.444),
        (90.0, 0.5),
    ] {
        let (s, c) = f64::to_radians(alpha).sin_cos();
        let ours = 0.5 - plate::free_streamline_arm(c, s);
        rows.push(row(
            g,
            format!("free-streamline plate, {alpha} deg, x_cp/c"),
            rayleigh,
            cp,
            ours,
            Absolute(6e-4),
        ));
    }
    let ours = plate::free_streamline_normal(1.0);
    rows.push(row(
        g,
        "free-streamline plate broadside on, CN".into(),
        rayleigh,
        0.88,
        ours,
        Absolute(5e-4),
    ));
    let late = square.at(&square.strips, 60f64.to_radians()).cp_behind_nose_m.unwrap_or(f64::NAN);
    rows.push(row(
        g,
        "square at 60 deg, x_cp/c of the flying strips".into(),
        rayleigh,
        0.444,
        late,
        Absolute(0.005),
    ));
    for (re, cf) in [(1e4, 0.0266), (3e4, 0.0153), (6e4, 0.0108), (1e5, 0.0084)] {
        let wing = Halves::rectangle(4.0).scaled(0.1);
        let aero = plane(&wing.airframe("plate"), Vector3::zeros(), speed_for(re, 0.1));
        let ours = aero.at(&aero.strips, 0.0).cd / plate::CREASE_ALLOWANCE;
        rows.push(row(
            g,
            format!("friction of both sides at Re {re:.0}, without creases"),
            blasius,
            cf,
            ours,
            Relative(0.01),
        ));
    }
    rows
}

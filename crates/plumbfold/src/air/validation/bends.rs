//! Bends, steps and sideslip against thin-aerofoil and strip theory.

use super::{plane, row};
use crate::air::camber;
use crate::air::lattice::{Lattice, MOTIONS};
use crate::air::mesh::{Mesh, MeshSize};
use crate::air::shapes::Halves;
use crate::air::surfaces::surfaces;
use crate::plane::airframe::{Airframe, TrimBend, TrimSurface};
use crate::validation::Mark::{Computed, FromMemory};
use crate::validation::Tolerance::{Absolute, Relative};
use crate::validation::ValidationRow;
use nalgebra::Vector3;

/// Trailing-edge bends against thin-aerofoil theory, on a wing without ends.
pub fn bends() -> Vec<ValidationRow> {
    const TABLE: [(f64, f64, f64); 6] = [
        (0.05, 1.774, -0.414),
        (0.10, 2.487, -0.540),
        (0.15, 3.019, -0.607),
        (0.20, 3.455, -0.640),
        (0.25, 3.826, -0.650),
        (0.30, 4.152, -0.642),
    ];
    let source =
        ("Glauert, The Elements of Aerofoil and Airscrew Theory, 1926, ch. 11", FromMemory);
    let g = "Steps and bends";
    TABLE
        .iter()
        .flat_map(|&(e, cl, cm)| {
            let wing = Halves::rectangle(2000.0).airframe("flap");
            let bend =
                TrimBend { surface: TrimSurface::Elevator, deflection_m: 0.1 * e, depth_m: e };
            let [l, m] = section(&wing, &[bend], camber::Shape::Bends).map(|x| x / -0.1);
            let case = |what: &str| {
                format!("bend of the last {:.0} % of the chord, {what} per rad", 100.0 * e)
            };
            [
                row(g, case("cl"), source, cl, l, Relative(0.02)),
                row(g, case("cm about c/4"), source, cm, m, Absolute(0.06)),
            ]
        })
        .collect()
}

/// Lift and moment about the quarter chord of the middle of a long wing, from one shape.
fn section(airframe: &Airframe, trims: &[TrimBend], shape: camber::Shape) -> [f64; 2] {
    let surfaces = surfaces(airframe).expect("a wing");
    let mesh = Mesh::new(&surfaces, MeshSize { chordwise: 6, spanwise: 20, tip_inset: true })
        .expect("small");
    let slopes = camber::slopes(&surfaces, &mesh, trims, 0.1, false);
    let lattice = Lattice::solve(&mesh, &slopes).expect("flat");
    let column = MOTIONS + camber::SHAPES.iter().position(|s| *s == shape).unwrap_or(0);
    let run = &lattice.runs[mesh.runs.len() / 3];
    let middle = &lattice.strips[run.strips.start];
    let chord = middle.chord_m;
    let mut sum = [0.0; 2];
    for j in run.panels.clone() {
        let lift = 2.0 * lattice.circulation[(j, column)] / chord;
        let arm = (lattice.panels[j].vortex.a - middle.middle).dot(&middle.e) / chord - 0.25;
        sum = [sum[0] + lift, sum[1] + lift * arm];
    }
    sum
}

/// A raised leading edge under a long wing, against the closed form of thin-aerofoil theory.
pub fn steps() -> Vec<ValidationRow> {
    let g = "Steps and bends";
    let source =
        ("Glauert 1926, ch. 7, for a jump of the mean line spread over the bubble", Computed);
    let (chord, height, width) = (0.140, 0.0017, 0.020);
    let wing = stepped(chord, 2000.0 * chord, height, width);
    let [l, m] = section(&wing, &[], camber::Shape::Steps);
    // A ramp of rise h/2 over 7 h behind the step, integrated over its length (midpoint rule).
    let n = 2000;
    let (a, b) = (width / chord, (width + 7.0 * height) / chord);
    let (mut cl, mut cm) = (0.0, 0.0);
    for k in 0..n {
        let x = a + (b - a) * (k as f64 + 0.5) / n as f64;
        let cos = 1.0 - 2.0 * x;
        let sin = (1.0 - cos * cos).sqrt();
        let jump = height / 2.0 / chord / n as f64;
        cl -= 4.0 * jump * (1.0 - cos) / sin;
        cm += jump * (2.0 * cos * cos - 1.0 - cos) / sin;
    }
    let airframe = stepped(chord, 1.5 * chord, height, width);
    let whole = plane(&airframe, Vector3::new(-0.035, 0.0, 0.0), 5.0).cm0_steps;
    let rough = (
        "bubble pressure of a backward-facing step, order of magnitude: 0.006 nose-down for 1.7 mm on 140 mm",
        FromMemory,
    );
    vec![
        row(
            g,
            "step of 1.7 mm under 140 mm, two dimensions, cl".into(),
            source,
            cl,
            l,
            Relative(0.15),
        ),
        row(
            g,
            "step of 1.7 mm under 140 mm, two dimensions, cm about c/4".into(),
            source,
            cm,
            m,
            Relative(0.15),
        ),
        row(
            g,
            "step of 1.7 mm under 140 mm, aspect 1.5, Cm0".into(),
            rough,
            -0.006,
            whole,
            Relative(0.5),
        ),
    ]
}

/// A rectangle with its leading edge thickened on the underside.
pub fn stepped(chord_m: f64, span_m: f64, height_m: f64, width_m: f64) -> Airframe {
    let mut airframe = Halves { root_m: chord_m, tip_m: chord_m, span_m, ..Halves::rectangle(1.0) }
        .airframe("step");
    for panel in &mut airframe.panels {
        let sheet = panel.laminae[0].clone();
        let mut roll = sheet.clone();
        for corner in &mut roll.polygon {
            corner[0] = corner[0].max(-width_m);
        }
        roll.thickness_m = height_m;
        roll.height_m = sheet.height_m - sheet.thickness_m / 2.0 - height_m / 2.0;
        panel.laminae.push(roll);
    }
    airframe
}

/// Sideslip: lift makes a flat wing roll away from the slip, dihedral too, and a fin behind the
/// balance point turns the nose into it.
pub fn sideslip() -> Vec<ValidationRow> {
    let g = "Sideslip";
    let toll =
        ("Toll & Queijo, NACA TN 1581, 1948: Clbeta/CL = 0.05 - (0.71 taper + 0.29)/A", FromMemory);
    let strip = ("strip theory: -CLalpha G/4 for a long rectangle", FromMemory);
    let mut rows = vec![];
    for a in [2.0, 4.0] {
        let aero =
            plane(&Halves::rectangle(a).airframe("flat"), Vector3::new(-0.25, 0.0, 0.0), 5.0);
        // Small incidence, where the vortices don't count yet.
        let alpha = 0.01;
        let d = aero.derivatives_at(&aero.strips, alpha);
        let cl = aero.at(&aero.strips, alpha).cl;
        rows.push(row(
            g,
            format!("flat rectangle, aspect {a}, Clbeta/CL per rad"),
            toll,
            0.05 - 1.0 / a,
            d.cl_beta / cl,
            Relative(0.25),
        ));
    }
    let dihedral = 0.1;
    let long = Halves { dihedral_rad: dihedral, ..Halves::rectangle(60.0) };
    let aero = plane(&long.airframe("long"), Vector3::new(-0.25, 0.0, 0.0), 5.0);
    let d = aero.derivatives_at(&aero.strips, 0.0);
    rows.push(row(
        g,
        "long rectangle, dihedral 0.1 rad, Clbeta".into(),
        strip,
        -aero.cl_alpha * dihedral / 4.0,
        d.cl_beta,
        Relative(0.06),
    ));
    rows
}

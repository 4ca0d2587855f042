//! The vortex lattice against lifting-surface theory: lift slope, centre, damping, edge suction.

use super::{plane, row};
use crate::air::lattice::{Lattice, MOTIONS};
use crate::air::mesh::{Mesh, MeshSize};
use crate::air::shapes::{self, Halves};
use crate::air::surfaces::surfaces;
use crate::plane::airframe::{Airframe, PanelKind};
use crate::validation::Mark::{self, Computed, FromMemory};
use crate::validation::Tolerance::{Absolute, Relative};
use crate::validation::ValidationRow;
use nalgebra::Vector3;
use std::f64::consts::PI;

/// What a lattice says of a wing without camber.
#[derive(Clone, Copy, Debug)]
struct Linear {
    cl_alpha: f64,
    x_ac: f64,
    induced: f64,
    cl_q: f64,
    cm_q: f64,
    cl_p: f64,
}

/// Coefficients on area, chord `mac` and span; pitching about and moments about the aerodynamic
/// centre.
fn linear(halves: &Halves, size: MeshSize) -> Linear {
    let airframe = halves.airframe("check");
    let lattice = solve(&airframe, size);
    let area = (halves.root_m + halves.tip_m) / 2.0 * halves.span_m;
    let taper = halves.tip_m / halves.root_m;
    let mac = 2.0 / 3.0 * halves.root_m * (1.0 + taper + taper * taper) / (1.0 + taper);
    let load = |motion: [f64; MOTIONS], about: &Vector3<f64>| {
        lattice.loads(&lattice.circulations(&motion), about)
    };
    let origin = Vector3::zeros();
    let (f, m) = load([0.0, 0.0, 1.0, 0.0, 0.0, 0.0], &origin);
    let x_ac = m.y / f.z;
    let ac = Vector3::new(-x_ac, 0.0, 0.0);
    // Turning about the aerodynamic centre moves the origin by -q x ac.
    let q = 2.0 / mac;
    let (fq, mq) = load([0.0, 0.0, q * ac.x, 0.0, q, 0.0], &ac);
    let p = 2.0 / halves.span_m;
    let (_, mp) = load([0.0, 0.0, 0.0, p, 0.0, 0.0], &ac);
    let cl_alpha = -2.0 * f.z / area;
    let wake = lattice.wake_drag(&lattice.circulations(&[0.0, 0.0, 1.0]));
    let aspect = halves.span_m * halves.span_m / area;
    Linear {
        cl_alpha,
        x_ac: x_ac / halves.root_m,
        induced: 2.0 * wake / area * PI * aspect / (cl_alpha * cl_alpha),
        cl_q: -2.0 * fq.z / area,
        cm_q: 2.0 * mq.y / (area * mac),
        cl_p: 2.0 * mp.x / (area * halves.span_m),
    }
}

fn solve(airframe: &Airframe, size: MeshSize) -> Lattice {
    let surfaces = surfaces(airframe).expect("the shapes of the checks have a wing");
    let mesh = Mesh::new(&surfaces, size).expect("the meshes of the checks are small");
    Lattice::solve(&mesh, &[]).expect("a flat wing has a solution")
}

const fn size(chordwise: usize, spanwise: usize) -> MeshSize {
    MeshSize { chordwise, spanwise, tip_inset: true }
}

/// Two meshes a factor of two apart, extrapolated with second order (Richardson 1911).
fn extrapolated(halves: &Halves) -> Linear {
    let (a, b) = (linear(halves, size(8, 12)), linear(halves, size(16, 24)));
    let x = |a: f64, b: f64| b + (b - a) / 3.0;
    Linear {
        cl_alpha: x(a.cl_alpha, b.cl_alpha),
        x_ac: x(a.x_ac, b.x_ac),
        induced: x(a.induced, b.induced),
        cl_q: x(a.cl_q, b.cl_q),
        cm_q: x(a.cm_q, b.cm_q),
        cl_p: x(a.cl_p, b.cl_p),
    }
}

/// The textbook lattice worked by hand: aspect ratio 5, sweep 45 degrees, four panels a side.
pub fn textbook_lattice() -> Vec<ValidationRow> {
    let source = ("Bertin & Smith, Aerodynamics for Engineers, 1979, example 6.2", FromMemory);
    let wing = Halves { span_m: 5.0, tip_behind_m: 2.5, ..Halves::rectangle(5.0) };
    let lattice =
        solve(&wing.airframe("swept"), MeshSize { chordwise: 1, spanwise: 4, tip_inset: false });
    let g = lattice.circulations(&[0.0, 0.0, 1.0]);
    let mut rows: Vec<ValidationRow> = [0.02730, 0.02873, 0.02864, 0.02496]
        .iter()
        .zip(&g)
        .enumerate()
        .map(|(i, (&expected, g))| {
            let ours = g / (4.0 * PI * 5.0);
            let case = format!("aspect 5, sweep 45 deg, strength of panel {}", i + 1);
            row("Vortex lattice", case, source, expected, ours, Relative(1e-3))
        })
        .collect();
    let lift = -2.0 * lattice.loads(&g, &Vector3::zeros()).0.z / 5.0;
    let case = "aspect 5, sweep 45 deg, CLalpha per rad".into();
    rows.push(row("Vortex lattice", case, source, 3.4442, lift, Absolute(1e-3)));
    rows
}

/// (aspect, CLalpha, x_ac, induced, CLq, Cmq, Clp, Kv leading, Kv side, x side)
type WingRow = (f64, f64, f64, f64, f64, f64, f64, f64, f64, f64);
const RECTANGLES: [WingRow; 6] = [
    (0.5, 0.7735, 0.1099, 1.000, 1.207, -0.464, -0.0491, 0.393, 2.56, 0.56),
    (1.0, 1.4602, 0.1667, 1.000, 1.947, -0.607, -0.0979, 0.782, 2.12, 0.58),
    (1.5, 2.0218, 0.1943, 1.000, 2.472, -0.664, -0.1451, 1.154, 1.79, 0.59),
    (2.0, 2.4744, 0.2094, 1.001, 2.877, -0.694, -0.1897, 1.499, 1.54, 0.60),
    (3.0, 3.1451, 0.2246, 1.003, 3.465, -0.723, -0.2691, 2.093, 1.18, 0.60),
    (4.0, 3.6121, 0.2319, 1.006, 3.873, -0.738, -0.3360, 2.567, 0.95, 0.60),
];
/// (aspect, CLalpha, x_ac in root chords, Kv leading, [CLq, Cmq, Clp])
type DeltaRow = (f64, f64, f64, f64, Option<[f64; 3]>);
#[allow(clippy::approx_constant, reason = "a suction coefficient that happens to be near pi")]
const DELTAS: [DeltaRow; 5] = [
    (0.25, 0.372, 0.650, 3.14, None),
    (0.5, 0.708, 0.637, 3.10, Some([0.673, -0.236, -0.0459])),
    (1.0, 1.293, 0.617, 3.12, Some([1.203, -0.395, -0.0862])),
    (2.0, 2.200, 0.590, 3.18, Some([2.015, -0.596, -0.1528])),
    (3.0, 2.859, 0.574, 3.27, Some([2.617, -0.716, -0.2043])),
];
const TABLE: (&str, Mark) =
    ("lifting-surface theory, an independent lattice extrapolated to no panel size", Computed);

/// Rectangles: lift slope, aerodynamic centre, induced drag, and the order of convergence.
pub fn rectangles() -> Vec<ValidationRow> {
    let g = "Vortex lattice";
    let tuck = ("Tuck, J. Austral. Math. Soc. B 35, 1993: 1.460227", FromMemory);
    let mut rows = vec![];
    for (a, cl, x, induced, ..) in RECTANGLES {
        let ours = extrapolated(&Halves::rectangle(a));
        let case = |what: &str| format!("rectangle, aspect {a}, {what}");
        rows.push(row(g, case("CLalpha per rad"), TABLE, cl, ours.cl_alpha, Relative(0.01)));
        rows.push(row(g, case("x_ac/c"), TABLE, x, ours.x_ac, Relative(0.01)));
        rows.push(row(g, case("CDi pi A/CL2"), TABLE, induced, ours.induced, Relative(0.01)));
        if a == 1.0 {
            let case = "square, CLalpha per rad".into();
            rows.push(row(g, case, tuck, 1.460227, ours.cl_alpha, Relative(5e-4)));
        }
    }
    let square = |n: usize| linear(&Halves::rectangle(1.0), size(4 * n, 6 * n)).cl_alpha;
    let [a, b, c] = [1, 2, 4].map(square);
    let order = ((b - a) / (c - b)).log2();
    let source =
        ("tip inset: second order across the span, Hough, J. Aircraft 10(5), 1973", FromMemory);
    rows.push(row(
        g,
        "square, order of convergence of CLalpha".into(),
        source,
        2.0,
        order,
        Absolute(0.3),
    ));
    let ordinary = linear(&Halves::rectangle(1.0), MeshSize::ORDINARY).cl_alpha;
    rows.push(row(
        g,
        "square, ordinary mesh, CLalpha per rad".into(),
        tuck,
        1.460227,
        ordinary,
        Relative(0.01),
    ));
    // What flies is this mesh; a neutral point too far aft is the unsafe side.
    for (aspect, expected) in [(0.25, 0.0616), (0.5, 0.1099), (1.0, 0.1667), (2.0, 0.2094)] {
        rows.push(row(
            g,
            format!("rectangle, aspect {aspect}, x_ac/c of the mesh that flies"),
            TABLE,
            expected,
            linear(&Halves::rectangle(aspect), MeshSize::ORDINARY).x_ac,
            Relative(0.015),
        ));
    }
    let circle: Vec<[f64; 2]> = (0..180)
        .map(|k| (k as f64 + 0.5) * PI / 90.0)
        .map(|t| [0.5 * t.cos() - 0.5, 0.5 * t.sin()])
        .collect();
    let disc =
        shapes::panel("disc", PanelKind::Wing, shapes::level(0.0, Vector3::zeros()), &circle);
    let lattice = solve(&shapes::airframe("disc", vec![disc]), size(16, 24));
    let load = lattice.loads(&lattice.circulations(&[0.0, 0.0, 1.0]), &Vector3::zeros());
    let jordan = ("Jordan 1973, exact solution for the circular wing", FromMemory);
    let lift = -2.0 * load.0.z / (PI / 4.0);
    rows.push(row(g, "circle, CLalpha per rad".into(), jordan, 1.790023, lift, Relative(0.01)));
    rows
}

/// Deltas: lift slope and aerodynamic centre.
pub fn deltas() -> Vec<ValidationRow> {
    let g = "Vortex lattice";
    DELTAS
        .iter()
        .flat_map(|&(a, cl, x, ..)| {
            let ours = extrapolated(&Halves::delta(a));
            [
                row(
                    g,
                    format!("delta, aspect {a}, CLalpha per rad"),
                    TABLE,
                    cl,
                    ours.cl_alpha,
                    Relative(0.01),
                ),
                row(
                    g,
                    format!("delta, aspect {a}, x_ac/root"),
                    TABLE,
                    x,
                    ours.x_ac,
                    Relative(0.01),
                ),
            ]
        })
        .collect()
}

/// Slender wings, Helmbold's formula, and wings without end.
pub fn limits() -> Vec<ValidationRow> {
    let g = "Vortex lattice";
    let jones = ("Jones, NACA Rep. 835, 1946: pi A/2", FromMemory);
    let helmbold = ("Helmbold 1942: 2 pi A/(2 + sqrt(4 + A2))", FromMemory);
    let strip = ("strip theory: -CLalpha/6", FromMemory);
    let slender = linear(&Halves::rectangle(0.1), size(32, 12));
    let mut rows = vec![row(
        g,
        "slender rectangle, aspect 0.1, CLalpha per rad".into(),
        jones,
        PI * 0.1 / 2.0,
        slender.cl_alpha,
        Relative(0.01),
    )];
    let delta = linear(&Halves::delta(0.05), size(24, 12));
    rows.push(row(
        g,
        "slender delta, aspect 0.05, CLalpha per rad".into(),
        jones,
        PI * 0.05 / 2.0,
        delta.cl_alpha,
        Relative(0.02),
    ));
    rows.push(row(
        g,
        "slender delta, aspect 0.05, x_ac/root".into(),
        jones,
        2.0 / 3.0,
        delta.x_ac,
        Relative(0.02),
    ));
    for (a, tolerance) in [(0.5, 0.002), (1.0, 0.02), (2.0, 0.06), (8.0, 0.075)] {
        let ours = linear(&Halves::rectangle(a), size(8, 24)).cl_alpha;
        let formula = 2.0 * PI * a / (2.0 + (4.0 + a * a).sqrt());
        rows.push(row(
            g,
            format!("rectangle, aspect {a}, Helmbold's CLalpha"),
            helmbold,
            formula,
            ours,
            Relative(tolerance),
        ));
    }
    let long = linear(&Halves::rectangle(2000.0), size(8, 40));
    let thin = ("thin aerofoil theory", FromMemory);
    rows.push(row(
        g,
        "aspect 2000, CLalpha per rad".into(),
        thin,
        2.0 * PI,
        long.cl_alpha,
        Relative(0.01),
    ));
    rows.push(row(g, "aspect 2000, CLq".into(), thin, 2.0 * PI, long.cl_q, Relative(0.02)));
    rows.push(row(g, "aspect 2000, Cmq".into(), thin, -PI / 4.0, long.cm_q, Relative(0.03)));
    rows.push(row(
        g,
        "aspect 2000, Clp".into(),
        strip,
        -long.cl_alpha / 6.0,
        long.cl_p,
        Relative(0.02),
    ));
    rows
}

/// Damping in pitch and roll, from the lattice and from the strips of the ordinary mesh.
pub fn rotary() -> Vec<ValidationRow> {
    let g = "Rotary derivatives";
    let mut rows = vec![];
    let mut wing = |name: &str, halves: Halves, [clq, cmq, clp]: [f64; 3]| {
        let ours = extrapolated(&halves);
        let case = |what: &str| format!("{name}, {what}");
        rows.push(row(g, case("CLq"), TABLE, clq, ours.cl_q, Relative(0.05)));
        rows.push(row(g, case("Cmq"), TABLE, cmq, ours.cm_q, Relative(0.05)));
        rows.push(row(g, case("Clp"), TABLE, clp, ours.cl_p, Relative(0.05)));
        let cg = Vector3::new(-ours.x_ac * halves.root_m, 0.0, 0.0);
        let strips = plane(&halves.airframe("strips"), cg, 5.0);
        let d = strips.derivatives_at(&strips.strips, 0.0);
        rows.push(row(g, case("CLq of the flying strips"), TABLE, clq, d.cl_q, Relative(0.06)));
        rows.push(row(g, case("Cmq of the flying strips"), TABLE, cmq, d.cm_q, Relative(0.06)));
        rows.push(row(g, case("Clp of the flying strips"), TABLE, clp, d.cl_p, Relative(0.06)));
    };
    for (a, _, _, _, clq, cmq, clp, ..) in RECTANGLES {
        wing(&format!("rectangle, aspect {a}"), Halves::rectangle(a), [clq, cmq, clp]);
    }
    for (a, _, _, _, rates) in DELTAS {
        if let Some(rates) = rates {
            wing(&format!("delta, aspect {a}"), Halves::delta(a), rates);
        }
    }
    rows
}

/// Suction of side and leading edges.
pub fn edge_vortices() -> Vec<ValidationRow> {
    let g = "Edge vortices";
    let mut rows = vec![];
    for (a, .., leading, side, at) in RECTANGLES {
        let v = plane(&Halves::rectangle(a).airframe("r"), Vector3::zeros(), 5.0).vortices;
        let case = |what: &str| format!("rectangle, aspect {a}, {what}");
        rows.push(row(g, case("Kv leading edge"), TABLE, leading, v.leading, Relative(0.02)));
        rows.push(row(g, case("Kv side edges"), TABLE, side, v.side, Relative(0.02)));
        rows.push(row(g, case("x of the side edges' lift"), TABLE, at, v.side_at, Absolute(0.02)));
    }
    for (a, _, _, leading, _) in DELTAS {
        let v = plane(&Halves::delta(a).airframe("d"), Vector3::zeros(), 5.0).vortices;
        let case = format!("delta, aspect {a}, Kv leading edge");
        rows.push(row(g, case, TABLE, leading, v.leading, Relative(0.05)));
    }
    rows
}

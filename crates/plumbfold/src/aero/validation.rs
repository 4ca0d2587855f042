//! The aerodynamics against published cases. Each function returns rows for the validation page;
//! the tests assert on the same rows.

use super::analyse::{Aero, Options, analyse};
use super::lattice::{Lattice, MOTIONS};
use super::mesh::{Mesh, MeshSize};
use super::sections::surfaces;
use super::shapes::{self, Halves};
use super::{camber, plate};
use crate::air::{Air, saturation_pressure_pa};
use crate::airframe::{Airframe, PanelKind, TrimBend, TrimSurface};
use crate::validation::{Mark, Tolerance, ValidationRow};
use nalgebra::Vector3;
use std::f64::consts::PI;

use Mark::{Computed, FromMemory, SecondHand, Seen};
use Tolerance::{Absolute, AtMost, Relative};

/// Cases of [`rows`] that do not hold, with what we know about why. The tests fail when any other
/// row fails, and when one of these begins to hold.
pub const SHORTFALLS: &[(&str, &str)] = &[
    (
        "sharp delta, aspect 0.5, CL at 4.0 deg",
        "the measured lift there is a fifth above the suction analogy itself, which meets the \
         other points; an offset of half a degree in the measurement would explain it",
    ),
    (
        "sharp delta, aspect 2, CL at 3.0 deg",
        "the measured lift there is below the linear lift of every lifting-surface theory; an \
         offset of half a degree in the measurement would explain it",
    ),
];

/// All rows of the aerodynamics.
pub fn rows() -> Vec<ValidationRow> {
    [
        air(),
        textbook_lattice(),
        rectangles(),
        deltas(),
        limits(),
        rotary(),
        edge_vortices(),
        sharp_deltas(),
        low_aspect_plate(),
        weighted_plate(),
        closed_forms(),
        bends(),
        steps(),
        sideslip(),
    ]
    .concat()
}

const NU_SCALE_M: f64 = 0.2;

fn row(
    group: &'static str,
    case: String,
    source: (&'static str, Mark),
    expected: f64,
    computed: f64,
    tolerance: Tolerance,
) -> ValidationRow {
    ValidationRow::new(group, case, source, expected, computed, tolerance)
}

/// Air: standard atmosphere, viscosity, moist air.
pub fn air() -> Vec<ValidationRow> {
    const ISO: (&str, Mark) = ("ISO 2533:1975, table 5", FromMemory);
    const SEA: (&str, Mark) = ("ISO 2533:1975, table 1", SecondHand);
    const WATER: (&str, Mark) = ("IAPWS-95 saturation pressure, Wagner & Pruss 2002", FromMemory);
    const MOIST: (&str, Mark) = ("CIPM-2007, Picard et al., Metrologia 45, 2008", FromMemory);
    let at = |h: f64| Air::at_altitude_m(h).expect("the heights lie inside the range");
    let moist = |t: f64, h: f64| Air::new(t, 101_325.0, h).expect("inside the range");
    let g = "Air";
    let mut rows = vec![];
    let mut add = |case: &str, source, expected, computed, tolerance| {
        rows.push(row(g, case.into(), source, expected, computed, tolerance));
    };
    add("density at sea level, kg/m3", SEA, 1.225, at(0.0).density_kg_m3, Relative(1e-4));
    add("viscosity at sea level, Pa s", SEA, 1.789e-5, at(0.0).viscosity_pa_s, Relative(5e-4));
    add(
        "kinematic viscosity at sea level, m2/s",
        SEA,
        1.4607e-5,
        at(0.0).kinematic_viscosity_m2_s(),
        Relative(1e-4),
    );
    add("temperature at 1000 m, K", ISO, 281.651, at(1000.0).temperature_k, Absolute(5e-4));
    add("pressure at 1000 m, Pa", ISO, 89_876.0, at(1000.0).pressure_pa, Relative(1e-4));
    add("density at 1000 m, kg/m3", ISO, 1.1117, at(1000.0).density_kg_m3, Relative(1e-4));
    add("pressure at 5000 m, Pa", ISO, 54_048.0, at(5000.0).pressure_pa, Relative(1e-4));
    add("density at 5000 m, kg/m3", ISO, 0.73643, at(5000.0).density_kg_m3, Relative(1e-4));
    let dry = [(10.0, 1.2466, 1.765e-5), (20.0, 1.2041, 1.813e-5), (30.0, 1.1644, 1.861e-5)];
    for (t, density, viscosity) in dry {
        let a = moist(t + 273.15, 0.0);
        let source = ("ideal gas and Sutherland's law (US Standard Atmosphere 1976)", Computed);
        rows.push(row(
            g,
            format!("dry air at {t} C, kg/m3"),
            source,
            density,
            a.density_kg_m3,
            Relative(1e-4),
        ));
        rows.push(row(
            g,
            format!("dry air at {t} C, Pa s"),
            source,
            viscosity,
            a.viscosity_pa_s,
            Relative(5e-4),
        ));
    }
    for (t, pa) in [(0.0, 611.2), (20.0, 2339.3), (30.0, 4247.0)] {
        let ours = saturation_pressure_pa(t + 273.15);
        rows.push(row(
            g,
            format!("water vapour, saturated, {t} C, Pa"),
            WATER,
            pa,
            ours,
            Relative(0.004),
        ));
    }
    let half = moist(293.15, 0.5).density_kg_m3;
    rows.push(row(
        g,
        "air at 20 C, half saturated, kg/m3".into(),
        MOIST,
        1.1992,
        half,
        Relative(5e-4),
    ));
    rows
}

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
        ("tip inset and 1/4-3/4 rule: second order, Hough, J. Aircraft 10(5), 1973", FromMemory);
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

fn plane(airframe: &Airframe, cg: Vector3<f64>, speed: f64) -> Aero {
    analyse(airframe, cg, &Air::indoors(), speed, &Options::ORDINARY)
        .expect("the shapes of the checks can be analysed")
}

/// Speed, m/s, at which a chord has the given Reynolds number in the hall.
fn speed_for(reynolds: f64, chord_m: f64) -> f64 {
    reynolds * Air::indoors().kinematic_viscosity_m2_s() / chord_m
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
    let mesh = Mesh::new(&surfaces, size(6, 20)).expect("small");
    let slopes = camber::slopes(&surfaces, &mesh, trims, 0.1, false);
    let lattice = Lattice::solve(&mesh, &slopes).expect("flat");
    let column = MOTIONS + camber::SHAPES.iter().position(|s| *s == shape).unwrap_or(0);
    let middle = &lattice.strips[mesh.strips.len() / 3];
    let chord = middle.chord_m;
    let mut sum = [0.0; 2];
    for j in middle.first..middle.first + lattice.chordwise {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::validation::failures;

    #[test]
    fn every_published_case_holds_but_the_known_shortfalls() {
        let rows = rows();
        let known = |r: &ValidationRow| SHORTFALLS.iter().any(|s| s.0 == r.case);
        let (known, others): (Vec<_>, Vec<_>) = rows.into_iter().partition(|r| known(r));
        assert_eq!(known.len(), SHORTFALLS.len(), "a shortfall names no row");
        let fails = failures(&others);
        assert!(fails.is_empty(), "{fails}");
        let mended: String = known.iter().filter(|r| r.pass).map(|r| r.case.as_str()).collect();
        assert!(mended.is_empty(), "holds now, take it off the list: {mended}");
    }
}

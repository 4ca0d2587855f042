//! A search that attacks the model of the air: random gliders that can be folded, each flown once.
//! Whatever it finds becomes a text in `testdata/air`.
//!
//! The test tries a few; `PLUMBFOLD_ATTACK=5000 cargo test --release attack` tries as many as asked.

use plumbfold::air::AeroError;
use plumbfold::flight::throw::{Hall, fly};
use plumbfold::pipeline::{self, Settings};
use plumbfold::verdict::aircraft::{Aircraft, Conditions};
use plumbfold::verdict::uncertainty::Perturbation;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use std::f64::consts::PI;
use std::time::{Duration, Instant};

/// Planes tried in an ordinary run of the tests: a few seconds.
const ORDINARY: usize = 60;

/// A random design; `hair` is added to its keel, m, and to its dihedral, rad.
fn design(seed: u64, hair: f64) -> String {
    let mut rng = Pcg64::seed_from_u64(seed);
    let mut pick = |n: usize| rng.random_range(0..n);
    let nose = pick(5);
    let (blunt, rolls, tapered, tips, trim) = (pick(3), pick(4), pick(4), pick(4), pick(3));
    let mut size = |least: f64, most: f64| least + (most - least) * rng.random::<f64>();
    let mut steps = vec!["crease left edge onto right edge, call it centre".to_owned()];
    if rolls > 0 && nose != 3 {
        let width = size(8.0, 16.0);
        steps.push(format!(
            "valley parallel to top edge, {width:.2} mm from it, moving top edge, call it roll0"
        ));
    }
    match nose {
        0 => {
            let down = size(110.0, 200.0);
            steps.push(format!(
                "valley through (105 mm, 280 mm) and (0 mm, {down:.2} mm), \
                 moving (0 mm, 275 mm), both sides, call it slant"
            ));
        }
        1 | 2 if rolls == 0 => {
            steps.push(
                "valley top left corner onto centre, hinged at top middle, both sides, \
                 call it shoulder"
                    .into(),
            );
            if nose == 2 {
                steps.push("valley shoulder onto centre, both sides, call it blade".into());
            }
        }
        3 => steps.push("waterbomb base on top square".into()),
        _ => {}
    }
    if blunt == 0 && nose < 3 && rolls == 0 {
        let back = size(10.0, 60.0);
        steps.push(format!("valley (105 mm, 297 mm) back by {back:.2} mm along centre"));
    }
    steps.push("mountain along centre".into());
    let keel = size(12.0, 34.0) + 1e3 * hair;
    steps.push(if tapered == 0 && rolls == 0 && blunt != 0 {
        format!(
            "valley near half through ({:.4} mm, 0 mm) and (105 mm, 297 mm), both sides, \
             call it wing",
            105.0 + 1.5 * keel
        )
    } else {
        format!(
            "valley near half parallel to centre, {keel:.4} mm from it, both sides, call it wing"
        )
    });
    let (open, dihedral) = (size(2.0, 12.0), size(0.0, 14.0) + hair.to_degrees());
    let mut pose = format!("pose centre opens {open:.2} deg, wing dihedral {dihedral:.4} deg");
    if tips < 2 {
        let width = size(8.0, 22.0);
        let slant = if tips == 0 { size(2.0, 14.0) } else { 0.0 };
        steps.push(format!(
            "crease flap at (210 mm, 20 mm) through ({:.2} mm, 1 mm) and ({:.2} mm, 61 mm), \
             moving (210 mm, 20 mm), both sides, call it winglet",
            210.0 - width,
            210.0 - width - slant
        ));
        pose += &format!(", winglet up {:.2} deg", size(5.0, 90.0));
    }
    let mut text =
        format!("plane Case\nsheet A4 upright, 80 g/m2\n\n{}\n\n{pose}\n", steps.join("\n"));
    if trim == 0 {
        text += &format!("trim elevator up {:.2} mm, 10 mm deep\n", size(0.2, 2.0));
    }
    text + "throw 4 m/s, level, from 1.6 m\n"
}

/// What can be asked of one plane.
enum Answer {
    /// It cannot be folded or posed so.
    NotFolded,
    /// The model says that it has no answer.
    NotJudged,
    /// It flies.
    Flies(Box<Aircraft>),
}

fn ask(text: &str) -> Answer {
    let conditions = Conditions::default();
    let Ok(plane) = pipeline::balance(text, &Settings::default()) else { return Answer::NotFolded };
    match Aircraft::new(&plane.airframe, &plane.mass, &conditions.air, 4.0) {
        Ok(aircraft) => Answer::Flies(Box::new(aircraft)),
        Err(AeroError::TooFine { .. }) => panic!("too fine\n{text}"),
        Err(_) => Answer::NotJudged,
    }
}

/// What is wrong with a plane's answer, if anything is.
fn fault(text: &str, nearly: &str) -> Option<String> {
    let Answer::Flies(aircraft) = ask(text) else { return None };
    let aero = &aircraft.aero;
    let aspect = aero.reference.span_m.powi(2) / aero.reference.area_m2;
    // Helmbold's lift slope and a side-edge vortex of pi, which no measured plate exceeds.
    let slope = 2.0 * PI * aspect / (2.0 + (4.0 + aspect * aspect).sqrt());
    for p in aero.polar.iter().filter(|p| (0.05..0.5).contains(&p.alpha_rad)) {
        let (s, c) = p.alpha_rad.sin_cos();
        let plate = c * (slope * s * c + PI * s * s);
        if (p.cl - aero.cl0).abs() > 1.6 * plate + 0.05 {
            return Some(format!("lift {:.3} where a plate has {plate:.3}", p.cl));
        }
    }
    if let Answer::Flies(other) = ask(nearly) {
        let change = |f: fn(&Aircraft) -> f64| (f(&other) - f(&aircraft)).abs();
        let jumps = [
            ("lift slope", change(|a| a.aero.cl_alpha), 0.03 * slope),
            ("static margin", change(|a| a.aero.static_margin), 0.02),
            ("moment", change(|a| a.aero.cm0), 0.003),
            ("weathercock", change(|a| a.aero.derivatives.cn_beta), 0.03),
        ];
        if let Some((what, by, _)) = jumps.iter().find(|j| j.1 > j.2) {
            return Some(format!("{what} jumps by {by:.4}"));
        }
    }
    let body = aircraft.perturbed(&Perturbation::NONE).ok()?;
    let throw = plumbfold::flight::throw::Throw::straight(4.0, 0.0, 1.6);
    match fly(&body, &throw, &Hall::default(), 0.02) {
        Ok(flight) if flight.distance_m > 60.0 => Some(format!("flies {} m", flight.distance_m)),
        Ok(_) => None,
        Err(e) => Some(e.to_string()),
    }
}

#[test]
fn random_gliders_neither_lift_too_much_nor_gain_energy_nor_jump_nor_take_long() {
    let count = std::env::var("PLUMBFOLD_ATTACK").ok().and_then(|n| n.parse().ok());
    let (mut judged, mut not_judged, mut faults) = (0, 0, Vec::new());
    for seed in 0..count.unwrap_or(ORDINARY) as u64 {
        let text = design(seed, 0.0);
        let start = Instant::now();
        match ask(&text) {
            Answer::NotFolded => continue,
            Answer::NotJudged => not_judged += 1,
            Answer::Flies(_) => judged += 1,
        }
        if let Some(what) = fault(&text, &design(seed, 1e-6)) {
            faults.push(format!("{seed}: {what}\n{text}"));
        }
        // Three analyses and a throw, in a program that is not optimised for speed.
        if start.elapsed() > Duration::from_secs(3) {
            faults.push(format!("{seed}: takes {:?}\n{text}", start.elapsed()));
        }
    }
    assert!(faults.is_empty(), "{} of {judged}\n{}", faults.len(), faults.join("\n"));
    assert!(judged > 4 * not_judged, "{not_judged} of {judged} cannot be judged");
}

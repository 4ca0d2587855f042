//! Throws: one against SciPy on the same equations, how many a second, and both cores.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use plumbfold::air::Air;
use plumbfold::air::{AirLoads, Options, StripModel, analyse, mesh::MeshSize};
use plumbfold::flight::envelope::envelope;
use plumbfold::flight::rigid::Body;
use plumbfold::flight::throw::{Hall, Throw, fly};
use plumbfold::verdict::aircraft::Aircraft;
use plumbfold::verdict::{Path as Flown, judge, uncertainty::Perturbation};
use serde_json::{Value, json};

use crate::table::{Row, seconds};
use crate::text_to_balance::balance;

/// Between samples, s.
const EVERY_S: f64 = 0.02;

/// The promises.
pub fn rows(root: &Path) -> Vec<Row> {
    let file = root.join("../testdata/designs/leading-roll.plane");
    let text = std::fs::read_to_string(file).expect("the leading roll");
    let plane = balance(&text);
    // Twenty strips a side.
    let options =
        Options { mesh: MeshSize { spanwise: 20, ..MeshSize::ORDINARY }, ..Options::ORDINARY };
    let air = Air::indoors();
    let aero = analyse(&plane.airframe, plane.mass.cg_m, &air, 4.0, &options).expect("a wing");
    let body = Body::new(plane.mass.mass_kg, plane.mass.inertia_kg_m2, aero.strips.clone());
    let body = body.expect("a plane");
    let throw = Throw { bank_rad: 0.05, ..Throw::straight(3.8, 0.0, 1.6) };
    let ours = fly(&body, &throw, &Hall::default(), EVERY_S).expect("a flight");
    let theirs = scipy(root, &body, &throw);
    if let Some(theirs) = &theirs {
        for (key, ours) in [("time_aloft_s", ours.time_aloft_s), ("distance_m", ours.distance_m)] {
            let theirs = theirs[key].as_f64().expect("a number from the reference");
            assert!((ours - theirs).abs() < 2e-3 * theirs, "{key}: {ours} here, {theirs} there");
        }
    }
    let theirs = theirs.and_then(|t| t["seconds"].as_f64());
    let one =
        seconds(|| judge(&Flown::new(&fly(&body, &throw, &Hall::default(), EVERY_S).unwrap())));
    let text_to_verdict = seconds(|| {
        let plane = balance(&text);
        let aircraft = Aircraft::new(&plane.airframe, &plane.mass, &air, 4.0).expect("a wing");
        let body = aircraft.perturbed(&Perturbation::NONE).expect("a plane");
        let flight = fly(&body, &throw, &Hall::default(), EVERY_S).expect("a flight");
        (judge(&Flown::new(&flight)), aircraft.glides())
    });
    let (alone, both) = (map(&body, 1), map(&body, 2));
    let row = |what: String, measured, unit, limit, reference| Row {
        what,
        measured,
        unit,
        limit,
        reference,
    };
    vec![
        row(
            format!("a throw of {:.1} s, {} strips", ours.time_aloft_s, aero.strips.len()),
            one * 1e3,
            "ms",
            Some(1.0),
            theirs.map(|s| (s * 1e3, 100.0)),
        ),
        row(
            "text to verdict without uncertainty".into(),
            text_to_verdict * 1e3,
            "ms",
            Some(20.0),
            None,
        ),
        row("map of throws, both cores, share of one".into(), both / alone, "", Some(0.6), None),
    ]
}

/// Seconds for a map on so many threads.
fn map(body: &Body<StripModel>, threads: usize) -> f64 {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
    let speeds: Vec<f64> = (0..20).map(|i| 2.0 + 0.3 * f64::from(i)).collect();
    let elevations: Vec<f64> = (0..20).map(|i| -0.3 + 0.05 * f64::from(i)).collect();
    let throw = Throw::straight(4.0, 0.0, 1.6);
    seconds(|| {
        pool.install(|| {
            envelope(body, &throw, &Hall::default(), (&speeds, &elevations), |f| f.distance_m)
        })
    })
}

/// The same throw by the plain reference, or `None` (said on standard error) where it cannot run.
fn scipy(root: &Path, body: &Body<StripModel>, throw: &Throw) -> Option<Value> {
    let strips = body.air();
    let text = format!("{strips:?}");
    let number = |name: &str| -> Option<f64> {
        let from = text.rfind(&format!("{name}: "))? + name.len() + 2;
        text[from..].split([',', ' ', '}']).next()?.parse().ok()
    };
    let state = throw.release().expect("a throw").to_state();
    let given = json!({
        "strips": text,
        "mass_kg": body.mass_kg(),
        "inertia": body.inertia_kg_m2().transpose().as_slice(),
        "added_mass": strips.added_mass().transpose().as_slice(),
        "broadside": number("broadside")?,
        "pitch": number("pitch")?,
        "state": state.as_slice(),
    });
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let child = Command::new(python)
        .arg(root.join("reference/throw_plainly.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn();
    let answer = child.ok().and_then(|mut child| {
        child.stdin.take()?.write_all(given.to_string().as_bytes()).ok()?;
        let out = child.wait_with_output().ok().filter(|o| o.status.success())?;
        serde_json::from_slice(&out.stdout).ok()
    });
    if answer.is_none() {
        eprintln!("throw_plainly.py was not run: it needs Python with numpy and scipy");
    }
    answer
}

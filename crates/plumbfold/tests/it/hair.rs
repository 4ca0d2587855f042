//! What the air says of a plane moves smoothly with every let: nothing jumps when paper moves by a
//! hair, and the mesh that flies says what finer ones say.

use crate::shipped::designs;
use plumbfold::air::{self, Aero, Options};
use plumbfold::design::dial::Dial;
use plumbfold::pipeline::{Balanced, Settings, balance, read};
use plumbfold::verdict::aircraft::Conditions;
use rand::{RngExt, SeedableRng};

const TAPERED_KEEL: &str = include_str!("../../../../testdata/air/tapered-keel.plane");

/// Numbers of the air with how much each may change at once (chosen: half a per cent of a lift
/// slope, a tenth of a millimetre to a quarter of a neutral point, a tenth of a keel's yaw).
const NUMBERS: [(&str, f64); 6] = [
    ("lift slope", 0.008),
    ("static margin", 0.0015),
    ("side force", 0.005),
    ("dihedral effect", 0.002),
    ("weathercock", 0.003),
    ("roll damping", 0.002),
];

fn aero(plane: &Balanced, options: &Options) -> Aero {
    let air = Conditions::default().air;
    air::analyse(&plane.airframe, plane.mass.cg_m, &air, 4.0, options).unwrap()
}

fn numbers(a: &Aero) -> [f64; 6] {
    let d = a.derivatives;
    [a.cl_alpha, a.static_margin, d.cy_beta, d.cl_beta, d.cn_beta, d.cl_p]
}

fn at(text: &str, dials: &[Dial], values: &[f64]) -> [f64; 6] {
    let sets = dials.iter().zip(values).map(|(d, &v)| (d.name.clone(), d.exactly(v)));
    let settings = Settings { sets: sets.collect(), ..Settings::default() };
    numbers(&aero(&balance(text, &settings).unwrap(), &Options::ORDINARY))
}

/// Steps between two settings of the lets, and bisects the steps that change much: a jump is a
/// change that stays when the step shrinks to a thousandth of a millimetre.
fn walk(name: &str, text: &str, dials: &[Dial], [from, to]: [&[f64]; 2], steps: usize) {
    let place =
        |t: f64| -> Vec<f64> { from.iter().zip(to).map(|(a, b)| a + (b - a) * t).collect() };
    let there = |t: f64| at(text, dials, &place(t));
    let apart = |a: &[f64; 6], b: &[f64; 6]| {
        let each = a.iter().zip(b).zip(NUMBERS);
        each.map(|((a, b), (_, most))| (a - b).abs() / most).fold(0.0, f64::max)
    };
    let mut last = there(0.0);
    for k in 0..steps {
        let [mut low, mut high] = [k, k + 1].map(|k| k as f64 / steps as f64);
        let (mut a, mut b) = (last, there(high));
        last = b;
        while apart(&a, &b) > 1.0 && high - low > 1e-4 {
            let middle = (low + high) / 2.0;
            let m = there(middle);
            if apart(&a, &m) > apart(&m, &b) {
                (high, b) = (middle, m)
            } else {
                (low, a) = (middle, m)
            }
        }
        let what = NUMBERS.map(|n| n.0);
        assert!(
            apart(&a, &b) <= 1.0,
            "{name}: {what:?} jump from {a:?} to {b:?} at {:?}",
            place(low)
        );
    }
}

/// The lets that are lengths or angles, and where they stand.
fn dials(text: &str) -> (Vec<Dial>, Vec<f64>) {
    let reading = read(text, &Settings::default());
    let all = Dial::all(&reading.design, &reading.values.unwrap());
    let dials: Vec<Dial> = all.into_iter().filter(|d| !d.whole).collect();
    let now = dials.iter().map(|d| d.value).collect();
    (dials, now)
}

fn walk_every_let(steps: usize) {
    let texts = designs().into_iter().chain([("tapered keel".into(), TAPERED_KEEL.into())]);
    for (name, text) in texts {
        let (dials, now) = dials(&text);
        for (i, dial) in dials.iter().enumerate() {
            let [low, high] = dial.ends.map(|end| {
                let mut there = now.clone();
                there[i] = end;
                there
            });
            walk(&format!("{name} {}", dial.name), &text, &dials, [&low, &high], steps);
        }
    }
}

#[test]
fn nothing_that_the_air_says_jumps_when_a_let_moves_by_a_hair() {
    walk_every_let(5);
}

#[test]
#[ignore = "some minutes"]
fn nothing_jumps_anywhere_between_the_ends_of_the_lets() {
    walk_every_let(60);
    let mut rng = rand_pcg::Pcg64::seed_from_u64(1);
    for (name, text) in designs() {
        let (dials, _) = dials(&text);
        for _ in 0..6 {
            let mut anywhere = || -> Vec<f64> {
                let place = |d: &Dial| d.ends[0] + (d.ends[1] - d.ends[0]) * rng.random::<f64>();
                dials.iter().map(place).collect()
            };
            let (from, to) = (anywhere(), anywhere());
            walk(&name, &text, &dials, [&from, &to], 40);
        }
    }
}

#[test]
fn the_mesh_that_flies_says_what_a_finer_one_says() {
    let fine = Options {
        mesh: air::mesh::MeshSize { spanwise: 30, ..Options::ORDINARY.mesh },
        ..Options::ORDINARY
    };
    for (name, text) in designs() {
        let plane = balance(&text, &Settings::default()).unwrap();
        let [ours, finer] = [Options::ORDINARY, fine].map(|o| numbers(&aero(&plane, &o)));
        // A hundredth of the lift, half a per cent of the chord.
        assert!((ours[0] / finer[0] - 1.0).abs() < 0.012, "{name}: {ours:?} {finer:?}");
        assert!((ours[1] - finer[1]).abs() < 0.004, "{name}: {ours:?} {finer:?}");
    }
}

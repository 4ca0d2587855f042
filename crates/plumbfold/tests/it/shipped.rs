//! The shipped planes.

use plumbfold::design::dial::Dial;
use plumbfold::fold::checks::check_all;
use plumbfold::pipeline::{Settings, balance, fold, read};
use rand::{RngExt, SeedableRng};

/// Name and text of each, in alphabetical order.
pub fn designs() -> Vec<(String, String)> {
    let dir = format!("{}/../../designs", env!("CARGO_MANIFEST_DIR"));
    let mut found: Vec<(String, String)> = std::fs::read_dir(dir)
        .expect("the designs are shipped")
        .map(|entry| entry.expect("a readable directory").path())
        .filter(|path| path.extension().is_some_and(|e| e == "plane"))
        .map(|path| {
            let name = path.file_stem().expect("a file has a name").to_string_lossy();
            (name.into_owned(), std::fs::read_to_string(&path).expect("a readable design"))
        })
        .collect();
    found.sort();
    assert_eq!(found.len(), 10);
    found
}

#[test]
fn every_rule_is_kept_at_every_step() {
    for (name, text) in designs() {
        let run = fold(&text, &Settings::default()).expect("it folds").run;
        for (i, step) in run.steps.iter().enumerate() {
            assert_eq!(check_all(&step.after), [], "{name}, step {}", i + 1);
        }
    }
}

/// Wing area, mm2, and where it balances, mm behind the nose and above the keel.
fn at(text: &str, dials: &[Dial], values: &[f64]) -> [f64; 3] {
    let sets = dials.iter().zip(values).map(|(d, &v)| (d.name.clone(), d.exactly(v)));
    let settings = Settings { sets: sets.collect(), ..Settings::default() };
    let plane = balance(text, &settings).unwrap_or_else(|problems| {
        panic!("{:?} is refused inside its ranges: {:?}", settings.sets, problems.diagnostics)
    });
    let (behind, above) = (plane.mass.behind_nose_m(), plane.mass.above_keel_m());
    [plane.planform.area_m2 * 1e6, behind * 1e3, above * 1e3]
}

/// Steps between two settings of the lets, and bisects the steps that change much: a jump is a
/// change that stays when the step shrinks.
fn walk(name: &str, text: &str, dials: &[Dial], [from, to]: [&[f64]; 2], steps: usize) {
    // Explained: a strip narrower than three millimetres goes with the paper it hangs on, which is
    // up to a third of a per cent of a small wing. Chosen above that, and below any flap.
    const AREA_MM2: f64 = 30.0;
    const BALANCE_MM: f64 = 0.1;
    let place =
        |t: f64| -> Vec<f64> { from.iter().zip(to).map(|(a, b)| a + (b - a) * t).collect() };
    let there = |t: f64| at(text, dials, &place(t));
    let apart = |a: [f64; 3], b: [f64; 3]| {
        let each = [AREA_MM2, BALANCE_MM, BALANCE_MM].into_iter().zip(a.into_iter().zip(b));
        each.map(|(most, (a, b))| (a - b).abs() / most).fold(0.0, f64::max)
    };
    let mut last = there(0.0);
    for k in 0..steps {
        let [mut low, mut high] = [k, k + 1].map(|k| k as f64 / steps as f64);
        let (mut a, mut b) = (last, there(high));
        last = b;
        while apart(a, b) > 1.0 && high - low > 1e-6 {
            let middle = (low + high) / 2.0;
            let m = there(middle);
            if apart(a, m) > apart(m, b) { (high, b) = (middle, m) } else { (low, a) = (middle, m) }
        }
        assert!(apart(a, b) <= 1.0, "{name} jumps from {a:?} to {b:?} at {:?}", place(low));
    }
}

#[test]
fn every_let_walks_its_whole_range_without_a_jump() {
    let mut rng = rand_pcg::Pcg64::seed_from_u64(1);
    for (name, text) in designs() {
        let reading = read(&text, &Settings::default());
        let values = reading.values.expect("a shipped design has values");
        let all = Dial::all(&reading.design, &values);
        for whole in all.iter().filter(|d| d.whole) {
            (whole.ends[0] as i32..=whole.ends[1] as i32).for_each(|n| {
                at(&text, std::slice::from_ref(whole), &[f64::from(n)]);
            });
        }
        let dials: Vec<Dial> = all.into_iter().filter(|d| !d.whole).collect();
        let now: Vec<f64> = dials.iter().map(|d| d.value).collect();
        for (i, dial) in dials.iter().enumerate() {
            let [low, high] = dial.ends.map(|end| {
                let mut there = now.clone();
                there[i] = end;
                there
            });
            walk(&name, &text, &dials, [&low, &high], 16);
        }
        for _ in 0..6 {
            let mut anywhere = || -> Vec<f64> {
                dials
                    .iter()
                    .map(|d| d.ends[0] + (d.ends[1] - d.ends[0]) * rng.random::<f64>())
                    .collect()
            };
            let (from, to) = (anywhere(), anywhere());
            walk(&name, &text, &dials, [&from, &to], 8);
        }
    }
}

//! The certified values of NIST's Statistical Reference Datasets (National Institute of Standards
//! and Technology, itl.nist.gov/div898/strd; the files in `testdata/nist` are the certified ones of
//! nonlinear regression as published).

use std::path::Path;

use plumbfold_stats::least_squares::{Fit, fit};
use plumbfold_stats::sample::{Line, Summary};

struct Set {
    starts: [Vec<f64>; 2],
    certified: Vec<f64>,
    sds: Vec<f64>,
    rss: f64,
    rows: Vec<Vec<f64>>,
}

fn read(name: &str) -> Set {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../../testdata/nist");
    let text = std::fs::read_to_string(Path::new(root).join(format!("{name}.dat"))).expect(name);
    let mut set = Set {
        starts: [Vec::new(), Vec::new()],
        certified: Vec::new(),
        sds: Vec::new(),
        rss: f64::NAN,
        rows: Vec::new(),
    };
    let mut data = false;
    for line in text.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        let number = |w: &str| w.parse::<f64>().ok();
        if data {
            let row: Vec<f64> = words.iter().filter_map(|w| number(w)).collect();
            if row.len() >= 2 {
                set.rows.push(row);
            }
        } else if line.starts_with("Residual Sum of Squares") {
            set.rss = number(words[words.len() - 1]).expect("a sum");
        } else if let Some((name, rest)) = line.split_once('=')
            && name.trim().starts_with('b')
            && name.trim()[1..].parse::<usize>().is_ok()
        {
            let four: Vec<f64> = rest.split_whitespace().filter_map(number).collect();
            if let [a, b, c, sd] = four[..] {
                set.starts[0].push(a);
                set.starts[1].push(b);
                set.certified.push(c);
                set.sds.push(sd);
            }
        } else if line.starts_with("Data:") && words.contains(&"y") && !line.contains("Response") {
            data = true;
        }
    }
    assert!(!set.certified.is_empty() && set.rss.is_finite() && !set.rows.is_empty(), "{name}");
    set
}

type Model = fn(&[f64], &[f64]) -> f64;

fn gauss(b: &[f64], x: f64) -> f64 {
    b[0] * (-b[1] * x).exp()
        + b[2] * (-(x - b[3]).powi(2) / (b[4] * b[4])).exp()
        + b[5] * (-(x - b[6]).powi(2) / (b[7] * b[7])).exp()
}

fn lanczos(b: &[f64], x: f64) -> f64 {
    b[0] * (-b[1] * x).exp() + b[2] * (-b[3] * x).exp() + b[4] * (-b[5] * x).exp()
}

fn ratio(top: &[f64], bottom: &[f64], x: f64) -> f64 {
    let sum = |c: &[f64]| c.iter().rev().fold(0.0, |s, c| s * x + c);
    sum(top) / (1.0 + x * sum(bottom))
}

/// Sets with their models; how many digits are asked from the first start and from the second. The
/// first is far off on purpose: where no digits are asked from it, a fit may fail, but must not
/// succeed at a wrong place.
const SETS: [(&str, Model, [i32; 2]); 25] = [
    ("Misra1a", |b, x| b[0] * (1.0 - (-b[1] * x[0]).exp()), [6, 6]),
    ("Chwirut2", |b, x| (-b[0] * x[0]).exp() / (b[1] + b[2] * x[0]), [6, 6]),
    ("Chwirut1", |b, x| (-b[0] * x[0]).exp() / (b[1] + b[2] * x[0]), [6, 6]),
    ("Lanczos3", |b, x| lanczos(b, x[0]), [5, 5]),
    ("Gauss1", |b, x| gauss(b, x[0]), [6, 6]),
    ("Gauss2", |b, x| gauss(b, x[0]), [6, 6]),
    ("DanWood", |b, x| b[0] * x[0].powf(b[1]), [6, 6]),
    ("Misra1b", |b, x| b[0] * (1.0 - (1.0 + b[1] * x[0] / 2.0).powi(-2)), [6, 6]),
    ("Kirby2", |b, x| ratio(&b[..3], &b[3..], x[0]), [6, 6]),
    ("Hahn1", |b, x| ratio(&b[..4], &b[4..], x[0]), [6, 6]),
    // Fitted to the logarithm, as NIST does.
    ("Nelson", |b, x| b[0] - b[1] * x[0] * (-b[2] * x[1]).exp(), [6, 6]),
    ("MGH17", |b, x| b[0] + b[1] * (-x[0] * b[3]).exp() + b[2] * (-x[0] * b[4]).exp(), [0, 6]),
    ("Lanczos2", |b, x| lanczos(b, x[0]), [5, 5]),
    ("Gauss3", |b, x| gauss(b, x[0]), [6, 6]),
    ("Misra1c", |b, x| b[0] * (1.0 - (1.0 + 2.0 * b[1] * x[0]).powf(-0.5)), [6, 6]),
    ("Misra1d", |b, x| b[0] * b[1] * x[0] / (1.0 + b[1] * x[0]), [6, 6]),
    (
        "Roszman1",
        |b, x| b[0] - b[1] * x[0] - (b[2] / (x[0] - b[3])).atan() / std::f64::consts::PI,
        [6, 6],
    ),
    (
        "ENSO",
        |b, x| {
            let turn = std::f64::consts::TAU * x[0];
            b[0] + b[1] * (turn / 12.0).cos()
                + b[2] * (turn / 12.0).sin()
                + b[4] * (turn / b[3]).cos()
                + b[5] * (turn / b[3]).sin()
                + b[7] * (turn / b[6]).cos()
                + b[8] * (turn / b[6]).sin()
        },
        [5, 5],
    ),
    (
        "MGH09",
        |b, x| b[0] * (x[0] * x[0] + x[0] * b[1]) / (x[0] * x[0] + x[0] * b[2] + b[3]),
        [0, 5],
    ),
    ("Thurber", |b, x| ratio(&b[..4], &b[4..], x[0]), [0, 6]),
    ("BoxBOD", |b, x| b[0] * (1.0 - (-b[1] * x[0]).exp()), [0, 6]),
    ("Rat42", |b, x| b[0] / (1.0 + (b[1] - b[2] * x[0]).exp()), [6, 6]),
    ("MGH10", |b, x| b[0] * (b[1] / (x[0] + b[2])).exp(), [0, 5]),
    ("Eckerle4", |b, x| b[0] / b[1] * (-0.5 * ((x[0] - b[2]) / b[1]).powi(2)).exp(), [0, 6]),
    ("Rat43", |b, x| b[0] / (1.0 + (b[1] - b[2] * x[0]).exp()).powf(1.0 / b[3]), [0, 6]),
];

fn fitted(name: &str, set: &Set, model: Model, start: &[f64]) -> Result<Fit, String> {
    let seen = |y: f64| if name == "Nelson" { y.ln() } else { y };
    let residuals = |at: &[f64], out: &mut [f64]| {
        for (row, out) in set.rows.iter().zip(out) {
            *out = seen(row[0]) - model(at, &row[1..]);
        }
    };
    fit(start, set.rows.len(), &residuals).map_err(|e| e.to_string())
}

/// Digits in which numbers agree, the worst of them.
fn digits(got: &[f64], want: &[f64]) -> f64 {
    got.iter()
        .zip(want)
        .map(|(g, w)| -((g - w).abs() / w.abs()).max(1e-16).log10())
        .fold(16.0, f64::min)
}

#[test]
fn nonlinear_fits_give_the_certified_values() {
    let mut short = Vec::new();
    for (name, model, asked) in SETS {
        let set = read(name);
        for (start, asked) in set.starts.iter().zip(asked) {
            match fitted(name, &set, model, start) {
                Ok(fit) => {
                    let own = digits(&fit.at, &set.certified);
                    let sum = digits(&[fit.rss], &[set.rss]);
                    let sds: Vec<f64> = (0..fit.at.len()).map(|k| fit.sd(k)).collect();
                    let sd = digits(&sds, &set.sds);
                    let wrong_place = asked == 0 && own < 3.0;
                    if wrong_place || own < f64::from(asked) || sd < f64::from(asked.min(4)) {
                        short.push(format!("{name}: {own:.1} digits, sum {sum:.1}, sd {sd:.1}"));
                    }
                }
                Err(e) if asked > 0 => short.push(format!("{name}: {e}")),
                Err(_) => {}
            }
        }
    }
    assert!(short.is_empty(), "{short:#?}");
}

/// StRD linear regression, Norris: certified values.
#[test]
fn a_straight_line_gives_norris_certified_values() {
    let data: [[f64; 2]; 36] = [
        [0.1, 0.2],
        [338.8, 337.4],
        [118.1, 118.2],
        [888.0, 884.6],
        [9.2, 10.1],
        [228.1, 226.5],
        [668.5, 666.3],
        [998.5, 996.3],
        [449.1, 448.6],
        [778.9, 777.0],
        [559.2, 558.2],
        [0.3, 0.4],
        [0.1, 0.6],
        [778.1, 775.5],
        [668.8, 666.9],
        [339.3, 338.0],
        [448.9, 447.5],
        [10.8, 11.6],
        [557.7, 556.0],
        [228.3, 228.1],
        [998.0, 995.8],
        [888.8, 887.6],
        [119.6, 120.2],
        [0.3, 0.3],
        [0.6, 0.3],
        [557.6, 556.8],
        [339.3, 339.1],
        [888.0, 887.2],
        [998.5, 999.0],
        [778.9, 779.0],
        [10.2, 11.1],
        [117.6, 118.3],
        [228.9, 229.2],
        [668.4, 669.1],
        [449.2, 448.9],
        [0.2, 0.5],
    ];
    let [y, x] = [0, 1].map(|k| data.iter().map(|r| r[k]).collect::<Vec<f64>>());
    // The file gives y first; 0.1 belongs to x = 0.2.
    let line = Line::through(&x, &y).unwrap();
    let want = [
        -0.262_323_073_774_029,
        1.002_116_818_020_45,
        0.232_818_234_301_152,
        0.429_796_848_199_937e-3,
        0.884_796_396_144_373,
    ];
    let got = [line.start, line.slope, line.start_sd, line.slope_sd, line.rest_sd];
    assert!(digits(&got, &want) > 9.0, "{got:?}");
}

/// StRD univariate: NumAcc1 (mean 10000002, deviation 1), NumAcc2 (1.2, 0.1), NumAcc3 (1000000.2,
/// 0.1) and NumAcc4 (10000000.2, 0.1), whose data follow from their description.
#[test]
fn means_and_deviations_survive_large_numbers() {
    let ringing = |base: f64| -> Vec<f64> {
        let first = std::iter::once(base + 0.2);
        first.chain((0..1000).map(|k| base + if k % 2 == 0 { 0.1 } else { 0.3 })).collect()
    };
    let one = Summary::of(&[10_000_001.0, 10_000_003.0, 10_000_002.0]).unwrap();
    assert_eq!((one.mean, one.sd), (10_000_002.0, Some(1.0)));
    for (base, least) in [(1.0, 13.0), (1_000_000.0, 9.0), (10_000_000.0, 8.0)] {
        let s = Summary::of(&ringing(base)).unwrap();
        assert!(digits(&[s.mean], &[base + 0.2]) > 13.0);
        assert!(digits(&[s.sd.unwrap()], &[0.1]) > least, "{base}: {:?}", s.sd);
    }
}

//! Statistics against published examples, and against scipy and statsmodels (their numbers stand in
//! `testdata/statistics/reference.json` with the versions; `reference.py` beside it makes them).

use plumbfold_stats::compare::{Welch, permuted, ranks, throws_to_settle};
use plumbfold_stats::distribution::power;
use plumbfold_stats::sample::{Line, Summary};
use serde_json::Value;

fn reference() -> Value {
    let text = include_str!("../../../../testdata/statistics/reference.json");
    serde_json::from_str(text).expect("JSON")
}

fn numbers(v: &Value) -> Vec<f64> {
    v.as_array().expect("a list").iter().map(|n| n.as_f64().expect("a number")).collect()
}

fn close(what: &str, got: f64, want: &Value, relative: f64) {
    let want = want.as_f64().expect("a number");
    assert!((got - want).abs() <= relative * want.abs().max(1e-12), "{what}: {got} for {want}");
}

/// Lanchester, Aerodynamics, 1907, section 243: seven launches of one model by hand.
const LAUNCHES_FT: [f64; 7] = [37.0, 40.0, 34.0, 35.0, 37.0, 32.0, 36.0];

#[test]
fn lanchesters_seven_launches_go_35_9_feet_and_scatter_by_7_per_cent() {
    let s = Summary::of(&LAUNCHES_FT).unwrap();
    assert!((s.mean - 35.9).abs() < 0.05, "{}", s.mean);
    assert!((s.sd_fraction.unwrap() - 0.07).abs() < 0.005, "{:?}", s.sd_fraction);
    let times = Summary::of(&[3.2, 3.2, 3.2, 3.0, 3.2, 2.8, 3.2]).unwrap();
    assert!((times.mean - 3.11).abs() < 0.005 && (times.sd.unwrap() - 0.16).abs() < 0.005);
    // Half-widths in standard deviations for seven: 0.925 of the mean's interval (t table).
    let [low, high] = s.mean_interval.unwrap();
    assert!(((high - low) / 2.0 / s.sd.unwrap() - 0.925).abs() < 0.001);
    let [low, high] = s.sd_interval.unwrap();
    assert!(
        (low / s.sd.unwrap() - 0.64).abs() < 0.005 && (high / s.sd.unwrap() - 2.20).abs() < 0.005
    );
}

#[test]
fn tests_of_two_samples_agree_with_scipy() {
    let reference = reference();
    for (name, want) in reference["compared"].as_object().expect("samples") {
        let (a, b) = (numbers(&want["a"]), numbers(&want["b"]));
        let welch = Welch::new(&a, &b).unwrap();
        close(name, welch.t, &want["welch_t"], 1e-10);
        close(name, welch.freedom, &want["welch_freedom"], 1e-10);
        close(name, welch.p, &want["welch_p"], 1e-8);
        close(name, welch.interval[0], &want["welch_interval"][0], 1e-8);
        close(name, welch.interval[1], &want["welch_interval"][1], 1e-8);
        let (u, p) = ranks(&a, &b).unwrap();
        close(name, u, &want["rank_u"], 1e-12);
        close(name, p, &want["rank_p"], 1e-8);
        if let Some(exact) = want.get("permuted_p") {
            let side = |s: &[f64], is_b: bool| -> Vec<(usize, bool, f64)> {
                s.iter().map(|v| (0, is_b, *v)).collect()
            };
            let all = [side(&a, false), side(&b, true)].concat();
            let p = permuted(&all, 1);
            assert!(p.exact);
            close(name, p.p, exact, 1e-12);
        }
    }
}

#[test]
fn drawn_orders_give_nearly_the_p_of_all_orders_and_the_seed_decides_the_rest() {
    // 12 against 12: 2.7 million orders, too many for all; normal theory is then near.
    let a: Vec<f64> = (0..12).map(|k| 5.0 + f64::from(k * 7 % 12) * 0.1).collect();
    let b: Vec<f64> = a.iter().map(|v| v + 0.3).collect();
    let all: Vec<(usize, bool, f64)> =
        a.iter().map(|v| (0, false, *v)).chain(b.iter().map(|v| (0, true, *v))).collect();
    let drawn = permuted(&all, 5);
    assert!(!drawn.exact && drawn == permuted(&all, 5));
    let welch = Welch::new(&a, &b).unwrap();
    assert!((drawn.p - welch.p).abs() < 0.01, "{} {}", drawn.p, welch.p);
}

#[test]
fn exchanging_within_sessions_takes_out_what_the_sessions_do() {
    // The second session is 5 m longer for both; within each b goes 0.5 m further.
    let mut all = Vec::new();
    for session in 0..2 {
        for k in 0..5 {
            let base = 5.0 + 5.0 * session as f64 + 0.1 * f64::from(k);
            all.push((session, false, base));
            all.push((session, true, base + 0.5));
        }
    }
    let within = permuted(&all, 1);
    let mixed: Vec<_> = all.iter().map(|t| (0, t.1, t.2)).collect();
    let mixed = permuted(&mixed, 1);
    assert!(within.p < 0.005 && mixed.p > 0.5, "{} {}", within.p, mixed.p);
}

#[test]
fn summaries_and_lines_agree_with_scipy() {
    let reference = reference();
    let want = &reference["described"];
    let s = Summary::of(&numbers(&want["values"])).unwrap();
    close("mean", s.mean, &want["mean"], 1e-12);
    close("median", s.median, &want["median"], 1e-12);
    close("sd", s.sd.unwrap(), &want["sd"], 1e-12);
    for k in 0..2 {
        close("mean interval", s.mean_interval.unwrap()[k], &want["mean_interval"][k], 1e-8);
        close("sd interval", s.sd_interval.unwrap()[k], &want["sd_interval"][k], 1e-7);
    }
    let want = &reference["line"];
    let y = numbers(&want["values"]);
    let x: Vec<f64> = (1..=y.len()).map(|k| k as f64).collect();
    let line = Line::through(&x, &y).unwrap();
    close("slope", line.slope, &want["slope"], 1e-10);
    close("start", line.start, &want["start"], 1e-10);
    close("slope sd", line.slope_sd, &want["slope_sd"], 1e-10);
}

#[test]
fn power_agrees_with_statsmodels() {
    for row in reference()["power"].as_array().expect("rows") {
        let [d, n] = ["effect", "each"].map(|k| row[k].as_f64().expect("a number"));
        let got = power(d * (n / 2.0).sqrt(), 2.0 * n - 2.0, 0.05);
        close(&row.to_string(), got, &row["power"], 1e-6);
    }
}

/// Conover, Practical Nonparametric Statistics, 1999, section 3.2: for ten values the 2nd and the
/// 9th hold the median with 97.9 %; the binomial of 10 has P(X <= 1) = 0.0107, P(X <= 2) = 0.0547.
#[test]
fn the_median_lies_between_order_statistics() {
    let ten: Vec<f64> = (1..=10).map(f64::from).collect();
    assert_eq!(Summary::of(&ten).unwrap().median_interval, Some([2.0, 9.0]));
    assert_eq!(Summary::of(&ten[..5]).unwrap().median_interval, None);
    assert_eq!(Summary::of(&ten[..6]).unwrap().median_interval, Some([1.0, 6.0]));
}

#[test]
fn what_says_nothing_gives_nothing() {
    assert!(Summary::of(&[]).is_none() && Summary::of(&[f64::NAN]).is_none());
    let one = Summary::of(&[3.0]).unwrap();
    assert_eq!((one.count, one.sd, one.mean_interval), (1, None, None));
    assert!(Welch::new(&[1.0], &[2.0, 3.0]).is_none());
    assert!(Welch::new(&[1.0, 1.0], &[2.0, 2.0]).is_none());
    assert!(throws_to_settle(&[1.0, 1.0], &[2.0, 2.0], 0.05).is_none());
    assert!(throws_to_settle(&[1.0, 2.0], &[1.0, 2.0], 0.05).is_none(), "no difference at all");
}

/// One standard deviation takes 17 of each (Cohen, Statistical Power Analysis, 1988, table 2.4.1:
/// d = 1.0, power 0.80, two-sided 5 %: n = 17).
#[test]
fn throws_that_settle_a_difference_are_those_of_cohens_table() {
    let a: Vec<f64> = (0..40).map(|k| if k % 2 == 0 { -1.0 } else { 1.0 }).collect();
    let sd = Summary::of(&a).unwrap().sd.unwrap();
    let b: Vec<f64> = a.iter().map(|v| v + sd).collect();
    assert_eq!(throws_to_settle(&a, &b, 0.05), Some(17));
}

/// Over many pairs of sessions in which nothing was changed, one in twenty is called real.
#[test]
fn luck_passes_for_real_once_in_twenty() {
    use plumbfold::numeric::sample::Draws;
    let draws = Draws::new(400, 16, 3);
    let real = (0..400)
        .filter(|&i| {
            let z = draws.normal(i);
            let all: Vec<_> =
                z.iter().enumerate().map(|(k, z)| (0, k % 2 == 0, 10.0 + z)).collect();
            permuted(&all, i as u64).p < 0.05
        })
        .count();
    // 20 of 400 are due; 8 to 34 in all but one such test in a thousand (binomial).
    assert!((8..=34).contains(&real), "{real} of 400");
}

//! Solving a let of the three fixtures for a wanted balance, against the closed forms: the value
//! that was planted in the formula comes back to 1e-4 mm, whatever the design says now.

use crate::closed_form::{
    Balance, band_and_tip_balance, corner_dart_balance, leading_roll_balance,
};
use plumbfold::design::dial::Dial;
use plumbfold::pipeline::{Settings, read};
use plumbfold::study::remedy::aim::level::Reach;
use plumbfold::study::remedy::aim::{Target, solve};

/// To which a planted let comes back, mm.
const PLANTED: f64 = 1e-4;

fn solved(fixture: &str, name: &str, target: Target) -> Reach {
    let path = format!("{}/../../testdata/designs/{fixture}.plane", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("the fixture is shipped");
    let settings = Settings::default();
    let r = read(&text, &settings);
    let values = r.values.expect("the fixture has no mistakes");
    let dial = Dial::named(name, &r.design, &values).expect("the fixture has this let");
    solve(&text, &settings, &dial, target)
}

fn area(b: &Balance) -> Target {
    Target::AreaAhead(b.share)
}

fn point(b: &Balance) -> Target {
    Target::BehindNose(b.behind_nose_mm * 1e-3)
}

/// The planted value is among the places, and by the formula every place where it holds (`holds`)
/// balances as wanted.
#[track_caller]
fn comes_back(
    fixture: &str,
    name: &str,
    planted: f64,
    target: fn(&Balance) -> Target,
    formula: impl Fn(f64) -> Balance,
    holds: impl Fn(f64) -> bool,
) {
    assert!(holds(planted));
    let wanted = target(&formula(planted));
    let found = solved(fixture, name, wanted);
    let hit = found.places.iter().any(|v| (v - planted).abs() <= PLANTED);
    assert!(hit, "{fixture} {name} = {planted} for {wanted:?}: {found:?}");
    for place in found.places.iter().copied().filter(|&v| holds(v)) {
        let there = target(&formula(place)).wanted();
        let off = (there - wanted.wanted()).abs();
        assert!(off <= wanted.slack(), "{fixture} {name} = {place}: {there} for {wanted:?}");
    }
}

#[test]
fn the_turns_of_a_leading_roll_come_back_from_share_and_from_balance_point() {
    for turns in 0..=6 {
        for target in [area, point] {
            let wanted = target(&leading_roll_balance(279.4, turns));
            assert_eq!(solved("leading-roll", "turns", wanted).places, [f64::from(turns)]);
        }
    }
}

#[test]
fn the_sheet_of_a_leading_roll_comes_back_from_its_balance_point() {
    for length in [60.0, 123.456, 279.4, 500.0, 999.0] {
        comes_back(
            "leading-roll",
            "length",
            length,
            point,
            |v| leading_roll_balance(v, 3),
            |_| true,
        );
    }
}

#[test]
fn a_count_that_jumps_over_the_share_names_the_nearest_turn() {
    // Between two turns (31.25 %) and three (28.125 %), nearer to two.
    let found = solved("leading-roll", "turns", Target::AreaAhead(0.30));
    assert!(found.places.is_empty() && found.passes && found.moves);
    let (at, share) = found.nearest.expect("it folds");
    assert!(at == 2.0 && (share - 0.3125).abs() < 1e-9, "{at} {share}");
}

#[test]
fn nothing_of_a_leading_roll_but_its_turns_moves_the_share() {
    for name in ["length", "width", "keel"] {
        assert!(!solved("leading-roll", name, Target::AreaAhead(0.25)).moves, "{name}");
    }
}

/// A sheet long enough for the slanted edge of the dart to end on its side.
fn dart_holds(width: f64, length: f64) -> bool {
    width / 2.0 / (std::f64::consts::PI / 8.0).tan() <= length
}

#[test]
fn the_sheet_and_the_keel_of_a_corner_dart_come_back() {
    const DART: &str = "corner-dart";
    for keel in [6.0, 20.0, 33.3333, 60.0] {
        let formula = |v| corner_dart_balance(210.0, 297.0, v);
        comes_back(DART, "keel", keel, area, formula, |_| true);
    }
    for target in [area, point] {
        for length in [260.0, 297.0, 340.125, 700.0] {
            let formula = |v| corner_dart_balance(210.0, v, 20.0);
            comes_back(DART, "length", length, target, formula, |v| dart_holds(210.0, v));
        }
        for width in [90.0, 150.5, 210.0, 245.0] {
            let formula = |v| corner_dart_balance(v, 297.0, 20.0);
            comes_back(DART, "width", width, target, formula, |v| dart_holds(v, 297.0));
        }
    }
}

#[test]
fn the_band_and_the_tip_of_a_band_and_tip_come_back() {
    const DELTA: &str = "band-and-tip";
    for target in [area, point] {
        for band in [3.0, 17.25, 30.0, 51.0, 80.0] {
            // A band of more than half the sheet stands out behind.
            let formula = |v| band_and_tip_balance(210.0, 297.0, v, 24.0);
            comes_back(DELTA, "band", band, target, formula, |v| v <= 297.0 / 2.0);
        }
        for tip in [2.0, 12.5, 24.0, 77.7777, 90.0] {
            // The point is folded back before the wing has its full width.
            let formula = |v| band_and_tip_balance(210.0, 297.0, 30.0, v);
            comes_back(DELTA, "tip", tip, target, formula, |v| v <= 210.0);
        }
    }
}

#[test]
fn out_of_reach_says_the_nearest_and_where() {
    // However long the sheet, a rolled leading edge of three turns has 28.125 % ahead; the point
    // of a longer sheet lies further back, up to the end of the range.
    let found = solved("leading-roll", "length", Target::BehindNose(0.2));
    let (at, gives) = found.nearest.expect("it folds");
    let wanted = leading_roll_balance(1000.0, 3).behind_nose_mm * 1e-3;
    assert!(found.places.is_empty() && at == 1000.0, "{found:?}");
    assert!((gives - wanted).abs() < 1e-9, "{gives} {wanted}");
}

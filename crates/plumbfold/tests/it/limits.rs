//! The corners of what a text and a throw may say: every one gets an answer, in bounded work.

use plumbfold::flight::throw::{FLIGHT_ACCURACY, HEIGHT_MAX_M, SPEED_MAX_M_S};
use plumbfold::{Conditions, Settings, ThrowChange, analyse};

/// A dart, every fold a share of the sheet.
fn dart(side_mm: f64, grammage: f64) -> String {
    let thickness = (grammage * 1.3e-3).clamp(0.01, 1.0);
    let keel = side_mm * 0.1;
    format!(
        "plane Corner\nsheet {side_mm} mm by {} mm, {grammage} g/m2, thickness {thickness} mm\n\
         crease left edge onto right edge, call it centre\n\
         valley top left corner onto centre, hinged at top middle, both sides, call it shoulder\n\
         mountain along centre\n\
         valley near half parallel to centre, {keel} mm from it, both sides, call it wing\n\
         pose centre opens 6 deg, wing dihedral 4 deg\nthrow 3 m/s, level, from 1.6 m\n",
        side_mm * 1.4
    )
}

/// A sheet with one crease, unweighted: it flutters or tumbles as it comes down.
fn flat(side_mm: f64, grammage: f64) -> String {
    format!(
        "plane Corner\nsheet {side_mm} mm by {side_mm} mm, {grammage} g/m2, thickness 0.1 mm\n\
         crease left edge onto right edge, call it centre\npose flat\n\
         throw 3 m/s, level, from 1.6 m\n"
    )
}

#[test]
fn every_corner_of_the_documented_limits_gets_a_verdict_in_bounded_work() {
    let conditions = Conditions { draws: 12, ..Conditions::default() };
    for (side_mm, grammage) in [(20.0, 20.0), (20.0, 400.0), (1400.0, 20.0), (1400.0, 400.0)] {
        for text in [dart(side_mm, grammage), flat(side_mm, grammage)] {
            for (speed, height) in [(0.2, 0.05), (0.2, HEIGHT_MAX_M), (SPEED_MAX_M_S, HEIGHT_MAX_M)]
            {
                let change = ThrowChange {
                    speed_m_s: Some(speed),
                    height_m: Some(height),
                    ..ThrowChange::default()
                };
                let case = format!("{side_mm} mm, {grammage} g/m2, {speed} m/s, {height} m");
                let plane = analyse(&text, &Settings::default(), &change, &conditions)
                    .unwrap_or_else(|e| panic!("{case}\n{text}\n{e}"));
                let p = &plane.verdict.probability;
                assert!(p.steps <= p.draws * FLIGHT_ACCURACY.steps_max, "{case}: {}", p.steps);
                assert_eq!(p.unknown, 0.0, "{case}");
            }
        }
    }
}

#[test]
fn a_text_may_say_every_throw_that_can_be_flown() {
    for (throw, fine) in [
        ("throw 50 m/s, level, from 100 m", true),
        ("throw 51 m/s, level, from 1 m", false),
        ("throw 5 m/s, level, from 101 m", false),
    ] {
        let text = dart(210.0, 80.0).replace("throw 3 m/s, level, from 1.6 m", throw);
        let conditions = Conditions { draws: 1, ..Conditions::default() };
        let plane = analyse(&text, &Settings::default(), &ThrowChange::default(), &conditions);
        match plane {
            Ok(_) => assert!(fine, "{throw}"),
            Err(e) => {
                assert!(!fine, "{throw}: {e}");
                assert_eq!(e.diagnostics[0].code, "out-of-range", "{throw}: told with its place");
            }
        }
    }
}

#[test]
fn what_was_not_looked_at_for_want_of_time_is_told_and_no_band_is_made_of_it() {
    let conditions = Conditions::default();
    let change = ThrowChange { height_m: Some(HEIGHT_MAX_M), ..ThrowChange::default() };
    let plane = analyse(&flat(40.0, 80.0), &Settings::default(), &change, &conditions).unwrap();
    let reasons = plane.reasons(&conditions);
    assert!(!reasons.left_out.is_empty(), "{reasons:?}");
    assert!(reasons.bend.is_none() && !reasons.cause.contains("no balance"), "{}", reasons.cause);
}

#[test]
fn a_throw_that_meets_the_ceiling_at_once_has_shown_no_glide() {
    use plumbfold::flight::throw::Hall;
    let hall = Hall { ceiling_m: Some(1.7), ..Hall::default() };
    let conditions = Conditions { draws: 24, hall, ..Conditions::default() };
    let change =
        ThrowChange { speed_m_s: Some(6.0), elevation_rad: Some(0.8), ..ThrowChange::default() };
    let text = dart(210.0, 80.0);
    let met = analyse(&text, &Settings::default(), &change, &conditions);
    let shown = met.map(|a| a.glide_probability());
    assert!(shown.as_ref().is_err() || *shown.as_ref().unwrap() < 0.1, "{shown:?}");
    let open = Conditions { hall: Hall::default(), ..conditions };
    analyse(&text, &Settings::default(), &ThrowChange::default(), &open).unwrap();
}

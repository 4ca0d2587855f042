use super::assess::{Question, assess};
use super::reasons::{Reasons, Sought, reasons};
use super::uncertainty::{Perturbation, Uncertainty, probabilities};
use super::*;
use crate::flight::plate::Plate;
use crate::flight::rigid::{Body, FlightError};
use crate::flight::throw::{Hall, Throw, fly};

const HALL: Hall = Hall::OPEN;

fn plate(balance_mm: f64) -> Plate {
    Plate { balance_m: balance_mm * 1e-3, ..Plate::default() }
}

fn flown(plate: Plate, throw: &Throw) -> Finding {
    judge(&Path::new(&fly(&plate.body(), throw, &HALL, 0.02).unwrap()))
}

fn level(speed: f64) -> Throw {
    Throw::straight(speed, 0.0, 1.7)
}

#[test]
fn moving_the_balance_back_goes_through_the_behaviours_in_order() {
    let seen: Vec<Behaviour> =
        (10..=80).step_by(5).map(|mm| flown(plate(f64::from(mm)), &level(4.0)).behaviour).collect();
    let first = |b| seen.iter().position(|&s| s == b);
    let (dive, glide) = (first(Behaviour::Dives), first(Behaviour::Glides));
    let stall = first(Behaviour::Stalls);
    let drop = seen.iter().position(|s| matches!(s, Behaviour::Leaf | Behaviour::Tumbles));
    assert!(dive < glide && glide < stall && stall < drop, "{seen:?}");
    assert!(dive == Some(0) && drop.is_some(), "{seen:?}");
}

#[test]
fn an_unweighted_card_tumbles_or_flutters() {
    let f = flown(plate(70.0), &Throw::straight(3.0, 0.0, 3.0));
    assert!(matches!(f.behaviour, Behaviour::Tumbles | Behaviour::Leaf), "{f:?}");
}

#[test]
fn a_twisted_plate_turns() {
    let twisted = Plate { roll: 0.01, cm0: 0.01, ..plate(33.0) };
    let f = flown(twisted, &level(4.0));
    assert!(matches!(f.behaviour, Behaviour::Banks | Behaviour::Spirals), "{f:?}");
    assert!(f.evidence[0].value > 0.0, "to the right: {f:?}");
    let left = flown(Plate { roll: -0.01, ..twisted }, &level(4.0));
    assert_eq!(left.behaviour, f.behaviour);
    assert!((left.evidence[0].value + f.evidence[0].value).abs() < 1e-6);
}

fn model(base: Plate) -> impl Fn(&Perturbation) -> Result<Body<Plate>, FlightError> + Sync {
    move |p| {
        Ok(Plate {
            balance_m: base.balance_m + p.balance_aft_m,
            cm0: base.cm0 + 20.0 * p.bend_m,
            roll: base.roll - 10.0 * p.twist_m,
        }
        .body())
    }
}

#[test]
fn probabilities_sum_to_one_and_do_not_depend_on_threads() {
    let throw = level(4.0);
    let ask = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            probabilities(&model(plate(40.0)), &throw, &HALL, &Uncertainty::CAREFUL, (60, 1))
        })
        .unwrap()
    };
    let one = ask(1);
    assert_eq!(one, ask(2));
    assert_eq!(one, ask(5));
    assert!((one.each.iter().map(|e| e.1).sum::<f64>() - 1.0).abs() < 1e-12);
    let sure = probabilities(&model(plate(40.0)), &throw, &HALL, &Uncertainty::NONE, (20, 1));
    let sure = sure.unwrap();
    assert_eq!(sure.likeliest(), (flown(plate(40.0), &throw).behaviour, 1.0));
}

/// What is not known of balance and air; a plate has nothing that would right a bank.
const STRAIGHT: Uncertainty = Uncertainty { twist_m: 0.0, bank_rad: 0.0, ..Uncertainty::CAREFUL };

fn explained(plate: Plate, throw: &Throw) -> (super::assess::Verdict, Reasons) {
    let (hall, uncertainty, draws) = (&HALL, &STRAIGHT, (100, 1));
    let verdict = assess(&model(plate), &Question { throw, hall, uncertainty, draws }).unwrap();
    let balance_behind_nose_m = plate.balance_m;
    let sought = Sought { throw, hall, balance_behind_nose_m, bends: &[], uncertainty, draws };
    let reasons = reasons(&model(plate), &verdict, &sought);
    (verdict, reasons)
}

#[test]
fn the_cause_names_the_side_and_the_size() {
    let throw = level(4.0);
    let (stalls, tail_heavy) = explained(plate(55.0), &throw);
    let band = tail_heavy.balance.expect("some balance point glides");
    assert!(stalls.headline().behaviour != Behaviour::Glides);
    assert!(band.high < 0.055, "{band:?}");
    let said = |r: &Reasons, either: [&str; 2]| either.iter().any(|w| r.cause.contains(w));
    assert!(said(&tail_heavy, ["too far back", "too hard"]), "{}", tail_heavy.cause);
    let (_, nose_heavy) = explained(plate(12.0), &throw);
    assert!(said(&nose_heavy, ["too far forward", "too gently"]), "{}", nose_heavy.cause);
    assert!(nose_heavy.bend.is_some_and(|b| b.low > 0.0), "the edge wants bending up");
    let (glides, good) = explained(plate((band.low + band.high) * 500.0), &throw);
    assert_eq!(glides.headline().behaviour, Behaviour::Glides);
    assert!(good.speed.is_some_and(|s| s.holds(4.0)));
}

#[test]
fn a_throw_that_does_it_is_the_cause() {
    let band = explained(plate(55.0), &level(4.0)).1.balance.expect("some balance point glides");
    let good = plate((band.low + band.high) * 500.0);
    let (verdict, r) = explained(good, &Throw { elevation_rad: 1.0, ..level(4.0) });
    assert_ne!(verdict.headline().behaviour, Behaviour::Glides);
    assert_eq!(r.undisturbed, Some(Behaviour::Glides));
    assert!(r.cause.starts_with("the steep throw does that"), "{}", r.cause);
    let (_, level) = explained(good, &level(4.0));
    assert_eq!(level.undisturbed, None);
}

/// Band, headline and cause come from the same draws.
#[test]
fn a_plane_lies_in_its_band_exactly_when_gliding_is_the_likeliest() {
    let throw = level(4.0);
    for mm in [14.0, 20.0, 26.0, 32.0, 38.0, 44.0, 50.0] {
        let (verdict, r) = explained(plate(mm), &throw);
        let glides = verdict.headline().behaviour == Behaviour::Glides;
        for (band, at) in [(r.balance, mm * 1e-3), (r.bend, 0.0), (r.speed, 4.0)] {
            assert_eq!(band.is_some_and(|b| b.holds(at)), glides, "{mm} {band:?}");
        }
        assert!(!(glides && r.cause.contains(" too ")), "{mm}: {}", r.cause);
        assert!(glides || !r.cause.contains("suits"), "{mm}: {}", r.cause);
    }
}

#[test]
fn every_behaviour_has_one_rule_and_a_reason() {
    for b in Behaviour::EVERY {
        assert_eq!(ALL.iter().filter(|r| r.behaviour == b).count(), 1, "{b:?}");
    }
    assert!(ALL.iter().all(|r| r.reason.ends_with('.')));
}

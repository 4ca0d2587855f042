//! Facts of the trade, asked blind (common practice, no source). No constant of the program was
//! tuned to them; what does not come out is reported as such.

use rayon::prelude::*;

use crate::flight::rigid::FlightError;
use crate::flight::throw::{Hall, Throw, fly};

use super::aircraft::Aircraft;
use super::uncertainty::{JUDGED_EVERY_S, Perturbation, Probabilities, Uncertainty, probabilities};
use super::{Behaviour, Path, judge};

/// Gentle to firm throws, m/s.
pub const GENTLE_TO_FIRM_M_S: [f64; 6] = [2.5, 3.0, 3.5, 4.0, 4.5, 5.0];
/// Height of a shoulder, m.
pub const SHOULDER_M: f64 = 1.5;
/// Flights at each speed behind a share, and their seed.
const DRAWS: (usize, u64) = (60, 20);
/// A behaviour this probable lies within the stated uncertainty (one standard deviation on one
/// side of a normal spread leaves 16 % beyond it).
const WITHIN: f64 = 0.16;

/// How a fact came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Agreement {
    /// The behaviour observed is the likeliest.
    Likeliest,
    /// Another is likelier, but it lies within the stated uncertainty.
    WithinUncertainty,
    /// Neither.
    No,
}

/// One plane of a series, what is known of it and what we say.
#[derive(Clone, Debug, PartialEq)]
pub struct Observed {
    /// What is known, in the trade's words.
    pub fact: &'static str,
    /// The behaviours that count as that.
    pub expected: &'static [Behaviour],
    /// What we say, over all throws.
    pub probability: Probabilities,
    /// Probability of the expected behaviours together.
    pub expected_probability: f64,
    /// How it came out.
    pub agreement: Agreement,
}

/// What is known of the leading-edge roll with 0 to 4 turns, thrown gently to firmly from the
/// shoulder.
pub const LEADING_ROLL: [(&str, &[Behaviour]); 5] = [
    ("0 turns: never gains forward way and drops", &[Behaviour::Leaf, Behaviour::Tumbles]),
    ("1 turn: never gains forward way and drops", &[Behaviour::Leaf, Behaviour::Tumbles]),
    ("2 turns: flies, but tends to climb and stall", &[Behaviour::Stalls, Behaviour::Porpoises]),
    ("3 turns: glides best", &[Behaviour::Glides]),
    ("4 turns: tends to dive", &[Behaviour::Dives]),
];

/// Uncertainty of the plane and the throw as far as it matters to pitch: the facts do not speak of
/// turning, so twist and bank are left out.
pub fn in_pitch(uncertainty: &Uncertainty) -> Uncertainty {
    Uncertainty { twist_m: 0.0, bank_rad: 0.0, ..*uncertainty }
}

/// Flies the planes of the series at every speed, level from the shoulder.
///
/// # Errors
/// A plane that cannot be flown.
pub fn leading_roll(series: &[Aircraft; 5]) -> Result<Vec<Observed>, FlightError> {
    let one = |(plane, (fact, expected)): (&Aircraft, (&'static str, &'static [Behaviour]))| {
        let probability = over_throws(plane, &GENTLE_TO_FIRM_M_S)?;
        let expected_probability = expected.iter().map(|&b| probability.of(b)).sum();
        let (likeliest, _) = probability.likeliest();
        let agreement = if expected.contains(&likeliest) {
            Agreement::Likeliest
        } else if expected_probability >= WITHIN {
            Agreement::WithinUncertainty
        } else {
            Agreement::No
        };
        Ok(Observed { fact, expected, probability, expected_probability, agreement })
    };
    series.iter().zip(LEADING_ROLL).map(one).collect()
}

/// Probabilities averaged over throws of several speeds, level from the shoulder.
///
/// # Errors
/// A plane that cannot be flown.
pub fn over_throws(plane: &Aircraft, speeds_m_s: &[f64]) -> Result<Probabilities, FlightError> {
    let unknown = in_pitch(&Uncertainty::CAREFUL);
    let mut sum = Behaviour::EVERY.map(|b| (b, 0.0));
    for &speed in speeds_m_s {
        let throw = Throw::straight(speed, 0.0, SHOULDER_M);
        let p = probabilities(&|p: &Perturbation| plane.body(p), &throw, &Hall::default(), &unknown, DRAWS)?;
        for (s, e) in sum.iter_mut().zip(p.each) {
            s.1 += e.1 / speeds_m_s.len() as f64;
        }
    }
    Ok(Probabilities { each: sum, draws: DRAWS.0 * speeds_m_s.len() })
}

/// What a plane does as designed, balanced and bent a little differently, at a level throw from
/// the shoulder; `None` when it cannot be flown.
pub fn behaves(
    plane: &Aircraft,
    (balance_aft_m, bend_m): (f64, f64),
    speed_m_s: f64,
) -> Option<Behaviour> {
    let p = Perturbation { balance_aft_m, bend_m, ..Perturbation::NONE };
    let throw = Throw::straight(speed_m_s, 0.0, SHOULDER_M);
    let flight = fly(&plane.body(&p).ok()?, &throw, &Hall::default(), JUDGED_EVERY_S).ok()?;
    Some(judge(&Path::new(&flight)).behaviour)
}

/// A balance point at which a gentle throw does one thing and a firm one another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Changes {
    /// Balance point aft of the plane's own, m.
    pub balance_aft_m: f64,
    /// The gentle throw, m/s.
    pub gentle_m_s: f64,
    /// The firm throw, m/s.
    pub firm_m_s: f64,
}

/// Looks for a balance point at which a throw does `gentle` and a harder one does `firm`.
pub fn throw_changes(plane: &Aircraft, gentle: Behaviour, firm: Behaviour) -> Option<Changes> {
    let at = |mm: i32| {
        let balance_aft_m = f64::from(mm) * 1e-3;
        let seen: Vec<_> = (4..=16)
            .map(|i| f64::from(i) * 0.5)
            .map(|v| (v, behaves(plane, (balance_aft_m, 0.0), v)))
            .collect();
        let (gentle_m_s, _) = *seen.iter().find(|(_, b)| *b == Some(gentle))?;
        let (firm_m_s, _) = *seen.iter().find(|(v, b)| *v > gentle_m_s && *b == Some(firm))?;
        Some(Changes { balance_aft_m, gentle_m_s, firm_m_s })
    };
    // From the plane's own balance point outwards.
    let order: Vec<i32> = (0..=20).flat_map(|k| [k, -k]).collect();
    order.par_iter().find_map_first(|&mm| at(mm))
}

/// A slight dive and the bend of the trailing edges that cures it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cured {
    /// Balance point aft of the plane's own at which it dives, m.
    pub balance_aft_m: f64,
    /// How far both edges are bent up, m.
    pub bend_m: f64,
}

/// Moves the balance point forward until the plane just dives at a speed, then bends the trailing
/// edges up until it glides.
pub fn dive_cured_by_bending(plane: &Aircraft, speed_m_s: f64) -> Option<Cured> {
    let does = |mm: i32, bend_m: f64| behaves(plane, (f64::from(mm) * 1e-3, bend_m), speed_m_s);
    let mm = (-40..=20).rev().find(|&mm| {
        does(mm, 0.0) == Some(Behaviour::Dives) && does(mm + 1, 0.0) == Some(Behaviour::Glides)
    })?;
    let bend_m = (1..=40).map(|k| f64::from(k) * 5e-5).find(|&b| does(mm, b) == Some(Behaviour::Glides))?;
    Some(Cured { balance_aft_m: f64::from(mm) * 1e-3, bend_m })
}

/// The balance point that glides best.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BestBalance {
    /// Behind the nose, m.
    pub behind_nose_m: f64,
    /// Distance flown there on average, m.
    pub distance_m: f64,
}

/// Balance point with the longest glide on average over some level throws from the shoulder, the
/// plane otherwise as it is; a throw that does not end in a glide counts as no distance.
pub fn best_balance(plane: &Aircraft, speeds_m_s: &[f64]) -> Option<BestBalance> {
    let own = plane.mass.behind_nose_m();
    let le = plane.aero.reference.chord_le_behind_nose_m;
    let chord = plane.aero.reference.chord_m;
    let mean = |behind_nose_m: f64| {
        let p = Perturbation { balance_aft_m: behind_nose_m - own, ..Perturbation::NONE };
        let body = plane.body(&p).ok()?;
        let mut sum = 0.0;
        for &v in speeds_m_s {
            let throw = Throw::straight(v, 0.0, SHOULDER_M);
            let flight = fly(&body, &throw, &Hall::default(), JUDGED_EVERY_S).ok()?;
            if judge(&Path::new(&flight)).behaviour == Behaviour::Glides {
                sum += flight.distance_m / speeds_m_s.len() as f64;
            }
        }
        Some(BestBalance { behind_nose_m, distance_m: sum })
    };
    let places: Vec<f64> = (0..=120).map(|i| le + chord * f64::from(i) / 200.0).collect();
    let flown: Vec<Option<BestBalance>> = places.par_iter().map(|&x| mean(x)).collect();
    flown.into_iter().flatten().filter(|b| b.distance_m > 0.0).max_by(|a, b| {
        a.distance_m.total_cmp(&b.distance_m)
    })
}

use super::trial::PROBES;
use super::*;
use std::sync::LazyLock;

const DRAWS: f64 = 48.0;

/// A throw of 4.5 m/s made gentler by up to 2 m/s, in steps of a hand of 0.315 m/s.
fn gentler(amounts: Amounts) -> Move<'static> {
    Move {
        kind: "throw",
        what: String::new(),
        changed_let: None,
        unit: "m/s",
        from: 4.5,
        sign: -1.0,
        decimals: 2,
        amounts,
        hand_step: 0.315,
        charge: 0.5,
        edits: Box::new(|to| {
            let speed = Some(number(to, Unit::MPerS));
            vec![Edit::Throw { speed, elevation: None, height: None, bank: None }]
        }),
        say: Box::new(|to| format!("Throw at {to} m/s.")),
    }
}

/// It glides always once the amount is enough, and half the time before.
fn glides_from(enough: f64) -> impl Fn(f64) -> Option<Trial> {
    move |amount| {
        let share = if amount >= enough { 1.0 } else { 24.0 / DRAWS };
        let behaviour = Behaviour::Glides;
        Some(Trial { behaviour, gliding: PROBES, probability: Some(share) })
    }
}

#[test]
fn the_number_told_is_the_number_written() {
    let m = gentler(Amounts::Listed(vec![2.0535]));
    assert_eq!(m.to(2.0535), 2.45);
    assert_eq!(m.said(2.0535), "Throw at 2.45 m/s.");
    assert_eq!(m.edited("plane A\n", 2.0535).unwrap(), "plane A\nthrow 2.45 m/s\n");
    assert!((m.disturbance(2.0535) - (0.5 + 2.05 / 0.315)).abs() < 1e-9);
}

#[test]
fn an_amount_is_the_least_that_is_enough_rounded_up_to_what_a_hand_sets() {
    let scan: Vec<f64> = (1..=8).map(|k| 0.25 * f64::from(k)).collect();
    for enough in [0.1, 0.77, 1.0, 1.26] {
        let solved = solve(&gentler(Amounts::Continuous(scan.clone())), glides_from(enough));
        let (amount, trial) = solved.found.unwrap();
        let ticks = amount / 0.0315;
        assert!(trial.sure() && (ticks - ticks.round()).abs() < 1e-9, "{enough}: {amount}");
        // Five halvings of a scan step, and a tick.
        let most = enough + 0.25 / 32.0 + 0.0315;
        assert!((enough..=most).contains(&amount), "{enough}: {amount}");
    }
}

#[test]
fn counts_are_not_halved() {
    let solved = solve(&gentler(Amounts::Listed(vec![0.5, 1.0, 1.5])), glides_from(0.6));
    assert_eq!(solved.found.map(|f| f.0), Some(1.0));
}

#[test]
fn an_amount_that_is_never_enough_is_the_best_there_is() {
    let solved = solve(&gentler(Amounts::Listed(vec![0.5, 1.0])), |amount| {
        let behaviour = if amount > 0.7 { Behaviour::Glides } else { Behaviour::Dives };
        // Thirty-one throws of forty-eight are less than two in three.
        Some(Trial { behaviour, gliding: 8, probability: Some(31.0 / DRAWS) })
    });
    assert!(solved.found.is_none());
    assert_eq!(solved.best.map(|b| b.0), Some(1.0));
}

/// A real plane, for numbers that do not matter here.
static PLANE: LazyLock<Analysed> = LazyLock::new(|| {
    let text = include_str!("../../../../../designs/halyard.plane");
    let conditions = Conditions { draws: 1, ..Conditions::default() };
    pipeline::analyse(text, &Settings::default(), &ThrowChange::default(), &conditions).unwrap()
});

fn plane(behaviour: Behaviour, glide_probability: f64) -> Analysed {
    let mut plane = PLANE.clone();
    plane.verdict.finding.behaviour = behaviour;
    for (b, p) in &mut plane.verdict.probability.each {
        *p = if *b == Behaviour::Glides { glide_probability } else { 0.0 };
    }
    plane
}

fn remedy(sure: bool, disturbance: f64, glide_probability: f64) -> Remedy {
    let after = plane(Behaviour::Glides, glide_probability);
    Remedy {
        kind: "trim",
        sentence: String::new(),
        changed_let: None,
        from: 0.0,
        to: 1.0,
        unit: "mm",
        disturbance,
        after,
        sure,
        text: String::new(),
    }
}

#[test]
fn sure_remedies_come_first_then_small_ones_then_those_that_glide_more() {
    let order = [
        remedy(true, 1.0, 0.9),
        // Alike in size to half a step of a hand: the surer one came first.
        remedy(true, 0.9, 0.8),
        remedy(true, 1.4, 1.0),
        remedy(false, 0.1, 0.6),
    ];
    for (i, a) in order.iter().enumerate() {
        for (k, b) in order.iter().enumerate() {
            assert_eq!(a.before(b), i.cmp(&k), "{i} {k}");
        }
    }
    assert!(order[0].ties_with(&order[1]));
    assert!(!order[0].ties_with(&order[2]) && !order[0].ties_with(&order[3]));
}

#[test]
fn a_remedy_glides_and_more_surely_than_before() {
    let before = remedy(true, 1.0, 0.5).after;
    assert!(remedy(true, 1.0, 0.51).improves_on(&before));
    assert!(!remedy(true, 1.0, 0.5).improves_on(&before));
    let diving = plane(Behaviour::Dives, 0.5);
    assert!(remedy(true, 1.0, 0.4).improves_on(&diving));
    let mut dives = remedy(true, 1.0, 0.9);
    dives.after = plane(Behaviour::Dives, 0.9);
    assert!(!dives.improves_on(&diving));
}

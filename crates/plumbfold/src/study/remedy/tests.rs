use super::moves::Amounts;
use super::*;
use crate::verdict::headline::Seen;
use std::sync::LazyLock;

/// Counted in two hundred flights.
fn counted(glides: usize) -> Probabilities {
    let flown = |b, n| std::iter::repeat_n(Seen { behaviour: Some(b), steps: 1 }, n);
    let flown: Vec<Seen> =
        flown(Behaviour::Glides, glides).chain(flown(Behaviour::Dives, 200 - glides)).collect();
    Probabilities::counted(&flown)
}

/// A throw of 4.5 m/s made gentler by up to 2 m/s, in steps of a hand of 0.315 m/s.
fn gentler(amounts: Amounts) -> Move<'static> {
    Move {
        kind: "throw",
        what: String::new(),
        changed_let: None,
        unit: "m/s",
        from: 4.5,
        sign: -1.0,
        grid: 0.5,
        amounts,
        hand_step: 0.315,
        charge: 0.5,
        undoes: false,
        edits: Box::new(|to| {
            let speed = Some(number(to, Unit::MPerS));
            vec![Edit::Throw { speed, elevation: None, height: None, bank: None }]
        }),
        say: Box::new(|to| format!("Throw at {to} m/s.")),
    }
}

/// It glides always once the amount is enough, and half the time before.
fn glides_from(m: &Move<'_>, enough: f64) -> impl Fn(f64) -> Option<Trial> {
    move |amount| {
        let made = m.from - m.to(amount);
        Some(Trial { probability: counted(if made >= enough { 200 } else { 100 }) })
    }
}

#[test]
fn the_number_told_is_the_number_written() {
    let m = gentler(Amounts::Continuous(vec![2.5]));
    assert_eq!(m.to(2.0535), 2.0);
    assert_eq!(m.said(2.0535), "Throw at 2 m/s.");
    assert_eq!(m.edited("plane A\n", 2.0535).unwrap(), "plane A\nthrow 2 m/s\n");
    assert!((m.disturbance(2.0535) - (0.5 + 2.5 / 0.315)).abs() < 1e-9);
}

#[test]
fn numbers_are_brought_to_the_next_a_hand_can_make_and_never_past_the_end() {
    let mut m = gentler(Amounts::Continuous(vec![1.0, 2.2]));
    assert_eq!([0.0, 0.001, 0.5, 0.51, 2.1, 2.2].map(|a| m.to(a)), [4.5, 4.0, 4.0, 3.5, 2.5, 2.5]);
    m.from = 4.3;
    assert_eq!([0.1, 0.4, 2.2].map(|a| m.to(a)), [4.0, 3.5, 2.5]);
}

#[test]
fn an_amount_is_the_least_a_hand_can_make_that_is_enough() {
    let scan: Vec<f64> = (1..=2).map(|k| 1.25 * f64::from(k)).collect();
    for (enough, least) in [(0.1, 0.5), (0.5, 0.5), (0.77, 1.0), (1.26, 1.5), (2.5, 2.5)] {
        let m = gentler(Amounts::Continuous(scan.clone()));
        let (amount, trial) = solve(&m, glides_from(&m, enough)).0.unwrap();
        assert!(trial.sure());
        assert_eq!(m.from - m.to(amount), least, "{enough}");
    }
}

#[test]
fn counts_are_not_halved() {
    let m = gentler(Amounts::Listed(vec![0.5, 1.0, 1.5]));
    assert_eq!(solve(&m, glides_from(&m, 0.6)).0.map(|f| f.0), Some(1.0));
}

#[test]
fn an_amount_that_is_never_enough_is_the_best_there_is() {
    let m = gentler(Amounts::Listed(vec![0.5, 1.0, 1.5]));
    let of = |amount| if amount == 1.0 { 149 } else { 80 };
    let (amount, trial) =
        solve(&m, |amount| Some(Trial { probability: counted(of(amount)) })).0.unwrap();
    assert!(amount == 1.0 && !trial.sure());
}

/// A real plane, for numbers that do not matter here.
static PLANE: LazyLock<Analysed> = LazyLock::new(|| {
    let text = include_str!("../../../../../designs/halyard.plane");
    let conditions = Conditions { draws: 1, ..Conditions::default() };
    pipeline::analyse(text, &Settings::default(), &ThrowChange::default(), &conditions).unwrap()
});

fn plane(glides: usize) -> Analysed {
    let mut plane = PLANE.clone();
    plane.verdict.probability = counted(glides);
    plane
}

fn remedy(disturbance: f64, glides: usize) -> Remedy {
    Remedy {
        kind: "trim",
        what: String::new(),
        sentence: String::new(),
        changed_let: None,
        from: 0.0,
        to: 1.0,
        unit: "mm",
        disturbance,
        after: plane(glides),
        undoes: false,
        text: String::new(),
    }
}

#[test]
fn a_remedy_is_worth_what_it_achieves_less_what_it_costs() {
    let (small, large) = (remedy(1.0, 160), remedy(4.0, 180));
    assert!(large.worth() > small.worth(), "a tenth more for three steps");
    assert!(remedy(7.0, 180).worth() < small.worth(), "a tenth more for six steps");
}

#[test]
fn a_remedy_glides_and_clearly_more_often_than_before() {
    assert!(!remedy(1.0, 44).helps(&plane(40)), "20 to 22 %");
    assert!(!remedy(1.0, 90).helps(&plane(40)), "45 %: it dives more often than it glides");
    assert!(remedy(1.0, 110).helps(&plane(40)));
    assert!(!remedy(1.0, 190).helps(&plane(176)), "twice the error, but hardly worth doing");
    assert!(remedy(1.0, 200).helps(&plane(176)));
}

#[test]
fn a_plane_on_an_edge_is_not_sound() {
    assert!(sound(&plane(134)) && !sound(&plane(133)) && !sound(&plane(60)));
}

//! Planes folded and thrown many times, each with the slips of a hand.

use plumbfold::pipeline::{self, Balanced, Settings, ThrowChange};
use plumbfold::study::tolerance::{Skill, Tolerance, What, advice, tolerance};
use plumbfold::verdict::Behaviour;
use plumbfold::verdict::aircraft::Conditions;

use super::shipped::designs;

const EXACT: Skill = Skill {
    crease_m: 0.0,
    grammage: 0.0,
    warp_m: 0.0,
    twist_m: 0.0,
    speed: 0.0,
    elevation_rad: 0.0,
    bank_rad: 0.0,
    incidence_rad: 0.0,
};

fn balanced(name: &str) -> Balanced {
    let (_, text) = designs().into_iter().find(|d| d.0.contains(name)).unwrap();
    pipeline::balance(&text, &Settings::default()).unwrap()
}

fn tried(plane: &Balanced, skill: &Skill, draws: usize) -> Tolerance {
    let throw = plane.throw.into();
    tolerance(plane, &throw, &Conditions::default(), skill, draws, &|_, _| true).unwrap()
}

#[test]
fn hands_that_never_miss_make_the_plane_of_the_verdict_every_time() {
    let plane = balanced("marlinspike");
    let meant = pipeline::analyse_balanced(
        plane.clone(),
        &ThrowChange::default(),
        &Conditions { draws: 1, ..Conditions::default() },
    );
    let meant = meant.unwrap().verdict;
    for o in tried(&plane, &EXACT, 30).outcomes {
        assert_eq!(o.behaviour, Some(meant.finding.behaviour));
        assert!((o.distance_m - meant.flight.distance_m).abs() < 1e-3, "{o:?}");
    }
}

/// Small misses do small things: paper that overlaps a crease by a hair cuts nothing in two.
#[test]
fn a_twentieth_of_a_millimetre_never_spoils_a_plane() {
    let hair = Skill { crease_m: 0.05e-3, ..EXACT };
    for name in ["bowline", "cleat", "halyard", "marlinspike", "scow", "tiller"] {
        let t = tried(&balanced(name), &hair, 60);
        assert!(t.share(|o| o.glides()) > 0.97, "{name}: {}", t.share(|o| o.glides()));
    }
}

#[test]
fn careful_hands_fold_nearly_every_plane() {
    for (name, text) in designs() {
        let plane = pipeline::balance(&text, &Settings::default()).unwrap();
        let t = tried(&plane, &Skill::CAREFUL, 60);
        assert!(t.share(|o| o.behaviour.is_none()) < 0.05, "{name}");
    }
}

#[test]
fn the_seed_decides_and_the_threads_do_not() {
    let plane = balanced("tiller");
    let alone = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let a = alone.install(|| tried(&plane, &Skill::CAREFUL, 60));
    assert_eq!(a, tried(&plane, &Skill::CAREFUL, 60));
}

#[test]
fn what_never_scatters_is_never_blamed() {
    let throws = Skill { speed: 0.1, elevation_rad: 0.05, ..EXACT };
    let t = tried(&balanced("marlinspike"), &throws, 200);
    for care in &t.cares {
        if !matches!(care.what, What::Speed | What::Elevation) {
            assert_eq!(care.distance[1], 0.0, "{:?}", care.what);
        }
    }
    assert!(t.cares[0].distance[1] > 0.3, "{:?}", t.cares[0]);
}

#[test]
fn advice_names_what_a_fold_further_off_does() {
    let plane = balanced("cleat");
    let keeps = advice(&plane, &plane.throw.into(), &Conditions::default());
    assert!(!keeps.is_empty());
    for k in &keeps {
        if let Some((behaviour, off_m)) = k.beyond {
            assert!(behaviour != Behaviour::Glides && off_m > k.within_m);
        }
    }
}

//! Small folded planes on which the model of the air once gave absurd answers.

use plumbfold::air::mesh::MeshSize;
use plumbfold::air::{Options, analyse};
use plumbfold::pipeline::{self, Settings, ThrowChange};
use plumbfold::verdict::aircraft::{Aircraft, Conditions};
use std::time::{Duration, Instant};

const TAPERED_KEEL: &str = include_str!("../../../../testdata/air/tapered-keel.plane");
const FLAPS: &str = include_str!("../../../../testdata/air/flaps-over-the-centre.plane");
const ENERGY: &str = include_str!("../../../../testdata/air/energy-from-nothing.plane");
const SLANTED: &str = include_str!("../../../../testdata/air/slanted-winglet.plane");
const UNDER_A_FLAP: &str = include_str!("../../../../testdata/air/winglet-under-a-flap.plane");
const NEVER_LANDS: &str = include_str!("../../../../testdata/air/never-lands.plane");
const TOO_STIFF: &str = include_str!("../../../../testdata/air/too-stiff.plane");
const HEM: &str = include_str!("../../../../testdata/air/hem.plane");
const SLANTED_WINGLET: &str = include_str!("../../../../testdata/air/winglet-along-a-slant.plane");

fn aircraft(text: &str, sets: &[(&str, String)]) -> Aircraft {
    let sets = sets.iter().map(|(n, v)| ((*n).to_owned(), v.clone())).collect();
    let settings = Settings { sets, ..Settings::default() };
    let plane = pipeline::balance(text, &settings).unwrap();
    pipeline::aircraft(&plane, &Conditions::default().air, 4.0).unwrap()
}

fn lift_at(aircraft: &Aircraft, degrees: f64) -> f64 {
    aircraft.aero.at(&aircraft.aero.strips, degrees.to_radians()).cl
}

#[test]
fn a_wing_crease_that_is_not_parallel_to_the_keel_flies_as_its_plates_do() {
    // An independent lattice of the same plates (computed): heel, lift slope, static margin, Cn_beta.
    let expected = [(30.0, 1.33, 0.047, 0.018), (59.0, 0.94, 0.074, 0.094)];
    let found = |heel: f64, mesh: MeshSize| {
        let sets = vec![("heel_depth".to_owned(), format!("{heel} mm"))];
        let settings = Settings { sets, ..Settings::default() };
        let plane = pipeline::balance(TAPERED_KEEL, &settings).unwrap();
        let options = Options { mesh, ..Options::ORDINARY };
        let air = Conditions::default().air;
        let a = analyse(&plane.airframe, plane.mass.cg_m, &air, 4.0, &options).unwrap();
        [a.cl_alpha, a.static_margin, a.derivatives.cn_beta]
    };
    // Its margins are those of a dozen strips to the very tip, from which they fall by a fifth as
    // strips get narrower; the mesh that flies begins near that end (see docs/models.md).
    let flying = MeshSize::ORDINARY;
    let to_the_tip = MeshSize { tip_inset: false, ..flying };
    for (heel, slope, margin, weathercock) in expected {
        let (ours, like) = (found(heel, flying), found(heel, to_the_tip));
        for (o, e) in [(ours[0], slope), (like[1], margin), (ours[2], weathercock)] {
            assert!((o - e).abs() < 0.15 * e + 0.003, "heel {heel}: {ours:?} {like:?}");
        }
        let fine = found(heel, MeshSize { spanwise: 48, ..flying });
        assert!((ours[1] / fine[1] - 1.0).abs() < 0.06, "heel {heel}: {ours:?} {fine:?}");
    }
    let between: Vec<[f64; 3]> =
        (0..=7).map(|k| found(30.0 + 29.0 * f64::from(k) / 7.0, flying)).collect();
    for w in between.windows(2) {
        assert!(w[1][0] < w[0][0] && w[1][1] > w[0][1] && w[1][2] > w[0][2], "{between:?}");
    }
}

#[test]
fn layers_that_stand_off_their_creases_do_not_part_the_wings() {
    // Thickness displaces paper by tenths of a millimetre, and lift by as little.
    let slope = |heel: &str, creep: bool| {
        let sets = vec![("heel_depth".to_owned(), heel.to_owned())];
        let settings = Settings { sets, creep: Some(creep), ..Settings::default() };
        let plane = pipeline::balance(TAPERED_KEEL, &settings).unwrap();
        pipeline::aircraft(&plane, &Conditions::default().air, 4.0).unwrap().aero.cl_alpha
    };
    for heel in ["14 mm", "30 mm", "40 mm", "51.2354 mm", "51.2366 mm", "59 mm"] {
        let (with, without) = (slope(heel, true), slope(heel, false));
        assert!((with / without - 1.0).abs() < 0.01, "heel {heel}: {with} {without}");
    }
}

#[test]
fn flaps_and_winglets_leave_a_plate_with_the_lift_of_a_plate() {
    for (name, text) in [("flaps", FLAPS), ("energy", ENERGY), ("winglet", SLANTED)] {
        let lift = lift_at(&aircraft(text, &[]), 15.0);
        assert!((0.3..0.8).contains(&lift), "{name}: {lift}");
    }
}

#[test]
fn a_winglet_changes_the_lift_smoothly_from_flat_to_upright() {
    for (text, was) in [(SLANTED, "winglet up 80 deg"), (UNDER_A_FLAP, "winglet up 20 deg")] {
        let lift = |degrees: i32| {
            let text = text.replace(was, &format!("winglet up {degrees} deg"));
            lift_at(&aircraft(&text, &[]), 15.0)
        };
        let all: Vec<f64> = (0..=17).map(|k| lift(5 * k)).collect();
        for (k, w) in all.windows(2).enumerate() {
            assert!((w[1] - w[0]).abs() < 0.06, "at {} degrees: {all:?}", 5 * k);
        }
        // Upright they lift no more, and take less than a third of the span's share with them.
        assert!(all.iter().all(|l| (0.65..1.15).contains(&(l / all[0]))), "{all:?}");
    }
}

#[test]
fn upright_winglets_on_a_wing_steady_it_without_carrying_a_gust_for_it() {
    // Two winglets of 7 cm2 beside a wing of 240 cm2 and a keel of 54: strip theory with the lift
    // slope of two dimensions would give 1.8 (computed); low plates have a fifth of that.
    let fender = include_str!("../../../../designs/fender.plane");
    let found = aircraft(fender, &[]).aero.derivatives;
    assert!((-0.5..-0.1).contains(&found.cy_beta), "{found:?}");
}

#[test]
fn a_keel_under_a_lifting_wing_is_pushed_harder_from_aside() {
    // An independent lattice with the forces on all its vortices (computed): side force by sideslip
    // at 8 degrees. What the motion alone brings to the keel's legs makes it 0.28, nothing 0.11.
    let marlinspike = include_str!("../../../../designs/marlinspike.plane");
    let aero = aircraft(marlinspike, &[]).aero;
    let found = aero.derivatives_at(&aero.strips, 8f64.to_radians()).cy_beta;
    assert!((found / -0.24 - 1.0).abs() < 0.15, "{found}");
}

#[test]
fn the_margin_of_a_short_wing_grows_with_incidence() {
    // The centre of pressure of a low plate travels aft with incidence (published plates of aspect
    // ratio 1: from 0.17 to 0.24 chord over 10 degrees), so a plane that is unstable at no
    // incidence glides.
    let scow = include_str!("../../../../designs/scow.plane");
    let plane = aircraft(scow, &[]);
    let at = |degrees: f64| {
        plane.aero.static_margin_at(&plane.aero.strips, degrees.to_radians()).unwrap()
    };
    assert!(plane.aero.static_margin < 0.0 && at(15.0) > 0.0, "{} {}", at(0.0), at(15.0));
    let glides = plane.glides().unwrap();
    let held = glides.iter().find(|g| g.stable && g.trim.alpha_rad > 0.1).unwrap();
    assert!(at(held.trim.alpha_rad.to_degrees()) > 0.0);
}

#[test]
fn every_throw_ends_in_bounded_time() {
    for (name, text) in [("never lands", NEVER_LANDS), ("too stiff", TOO_STIFF), ("energy", ENERGY)]
    {
        let start = Instant::now();
        let conditions = Conditions { draws: 20, ..Conditions::default() };
        let change = ThrowChange::default();
        // A verdict, or the finding that there is none.
        if let Err(p) = pipeline::analyse(text, &Settings::default(), &change, &conditions) {
            assert!(p.diagnostics.iter().all(|d| d.message.contains("cannot be judged")), "{name}");
        }
        assert!(start.elapsed() < Duration::from_secs(10), "{name}: {:?}", start.elapsed());
    }
}

#[test]
fn layers_that_step_up_against_the_trailing_edge_raise_it_by_what_is_there() {
    // A hem ends at the edge itself: its steps turn the nose up a little, each by its own height.
    let moment = |turns: i32| aircraft(HEM, &[("again", turns.to_string())]).aero.cm0_steps;
    let (one, two) = (moment(0), moment(1));
    assert!(one.abs() < 0.004 && two.abs() < 0.006, "{one} {two}");
}

#[test]
fn a_winglet_opens_smoothly_however_its_crease_slants() {
    // One wing crease over the whole chord, slanted by nothing, by less than a hand's error, by less
    // than a strip and by more: what the plane does follows the angle, flat or not, and is never
    // decided by how two edges that lie on one line are rounded.
    for (low, high) in
        [(194.0, 194.0), (194.0, 193.9), (194.0, 192.5), (194.0, 190.0), (188.0, 193.0)]
    {
        let found = |degrees: f64| {
            let text = SLANTED_WINGLET
                .replace("(194 mm, 0 mm)", &format!("({low} mm, 0 mm)"))
                .replace("(190 mm, 297 mm)", &format!("({high} mm, 297 mm)"));
            let aero = aircraft(&text, &[("wl", format!("{degrees} deg"))]).aero;
            let lift = |degrees: f64| aero.at(&aero.strips, degrees.to_radians()).cl;
            let aside = aero.derivatives_at(&aero.strips, 0.14);
            [lift(5.0), lift(15.0), aside.cl_beta, aside.cn_beta]
        };
        let angles =
            (0..=20).map(|k| 0.25 * f64::from(k)).chain((3..=30).map(|k| 2.0 * f64::from(k)));
        let all: Vec<(f64, [f64; 4])> = angles.map(|a| (a, found(a))).collect();
        for w in all.windows(2) {
            let step = w[1].0 - w[0].0;
            for (k, allowed) in [0.002, 0.007, 0.005, 0.003].iter().enumerate() {
                let change = (w[1].1[k] - w[0].1[k]).abs();
                assert!(change < allowed + 0.004 * step, "{low} {high}: {:?} {:?}", w[0], w[1]);
            }
        }
    }
}

#[test]
fn a_slanted_tip_gives_way_smoothly() {
    // The tip's slanted edge grows from 1.5 to 3 mm of width on the way.
    let slope = |k: i32| {
        let heel = format!("{} mm", 14.0 + 0.5 * f64::from(k));
        aircraft(TAPERED_KEEL, &[("heel_depth", heel)]).aero.cl_alpha
    };
    let all: Vec<f64> = (0..=16).map(slope).collect();
    assert!(all.windows(2).all(|w| (0.0..0.01).contains(&(w[0] - w[1]))), "{all:?}");
}

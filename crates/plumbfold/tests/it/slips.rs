//! The shipped planes folded by hands that miss each crease a little.

use plumbfold::fold::checks::{Violation, check_all};
use plumbfold::fold::slip::Slip;
use plumbfold::fold::state::Folded;
use plumbfold::pipeline::{self, Settings};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use super::shipped::designs;

/// How a careful hand misses (chosen: half a millimetre is what one sees against a ruler).
const CAREFUL: Slip = Slip { offset_m: 0.5e-3, turn_rad: 0.3 * std::f64::consts::PI / 180.0 };

/// Normal draws (Box and Muller 1958).
fn slips(count: usize, scale: f64, rng: &mut Pcg64) -> Vec<Slip> {
    let mut normal = || {
        let (u, v): (f64, f64) = (rng.random(), rng.random());
        scale * (-2.0 * (1.0 - u).ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    };
    let slip =
        |_| Slip { offset_m: CAREFUL.offset_m * normal(), turn_rad: CAREFUL.turn_rad * normal() };
    (0..count).map(slip).collect()
}

/// Looks at every rule; where slips are far smaller than a hand's, not at those that say nothing of
/// layers which meet in strips of a few micrometres.
fn look(model: &Folded, scale: f64) {
    let mut broken = check_all(model);
    if scale < 1.0 {
        broken
            .retain(|v| matches!(v, Violation::AreaChanged { .. } | Violation::HingeParted { .. }));
    }
    assert_eq!(broken, []);
}

/// How far the balance point moves behind the nose in some draws, m; planes that cannot be folded
/// so or do not stand as posed are left out.
fn shifts(text: &str, scale: f64, draws: usize, creep: bool) -> Vec<f64> {
    let mut rng = Pcg64::seed_from_u64(7);
    let settings = Settings { creep: Some(creep), ..Settings::default() };
    let exact = pipeline::balance(text, &settings).unwrap();
    let count = exact.source.folded().unwrap().run.passes().len();
    let draw = |_| {
        let slips = slips(count, scale, &mut rng);
        let made = pipeline::balance(text, &Settings { slips, ..settings.clone() }).ok()?;
        // A hand feels where paper would have to pass through a strip of paper, and folds otherwise.
        let crosses = |v: &Violation| matches!(v, Violation::LayersCross { .. });
        if scale == 1.0 && check_all(&made.source.folded().unwrap().run.folded).iter().any(crosses)
        {
            return None;
        }
        for step in &made.source.folded().unwrap().run.steps {
            look(&step.after, scale);
        }
        Some(made.mass.behind_nose_m() - exact.mass.behind_nose_m())
    };
    (0..draws).filter_map(draw).collect()
}

#[test]
fn every_plane_folds_with_a_careful_hand() {
    for (name, text) in designs() {
        let shifts = shifts(&text, 1.0, 200, true);
        assert!(shifts.len() >= 196, "{name}: {} of 200", shifts.len());
        let mean_square = shifts.iter().map(|s| s * s).sum::<f64>() / shifts.len() as f64;
        // The nose is where two edges meet in a point, which multiplies a miss.
        let rms_m = mean_square.sqrt();
        assert!((1e-5..6.0 * CAREFUL.offset_m).contains(&rms_m), "{name}: {rms_m}");
    }
}

#[test]
fn a_hundredth_of_the_slip_moves_the_balance_a_hundredth_as_far() {
    for (name, text) in designs() {
        let [large, small] = [0.1, 0.001].map(|scale| {
            // Without thickness: the bends of slivers that a slip leaves keep their shape, however
            // thin the slivers are, which is a step of up to a tenth of a millimetre.
            let shifts = shifts(&text, scale, 40, false);
            assert!(shifts.len() >= 39, "{name}");
            shifts.iter().map(|s| s.abs()).fold(0.0, f64::max)
        });
        let ratio = large / small;
        assert!((50.0..200.0).contains(&ratio), "{name}: {large} and {small}");
    }
}

#[test]
fn no_slip_is_the_exact_plane() {
    for (name, text) in designs() {
        let exact = pipeline::fold(&text, &Settings::default()).unwrap().run;
        let slips = vec![Slip::default(); exact.passes().len()];
        let still = pipeline::fold(&text, &Settings { slips, ..Settings::default() }).unwrap().run;
        assert_eq!(still.passes(), exact.passes(), "{name}");
        assert_eq!(still.folded.order, exact.folded.order, "{name}");
        assert_eq!(still.folded.hinges.len(), exact.folded.hinges.len(), "{name}");
        for (a, b) in still.folded.faces.iter().zip(&exact.folded.faces) {
            assert!(a.placement.near(&b.placement), "{name}");
        }
    }
}

#[test]
fn a_slip_of_one_crease_is_the_fold_made_beside_it() {
    let text = |by: &str| {
        format!(
            "sheet 200 mm by 300 mm\nvalley parallel to top edge, {by} mm from it, moving top edge, call it hem\n"
        )
    };
    // Half a millimetre towards the paper that moves: a narrower hem.
    let slips = vec![Slip { offset_m: 0.5e-3, turn_rad: 0.0 }];
    let slipped = pipeline::fold(&text("20"), &Settings { slips, ..Settings::default() }).unwrap();
    let meant = pipeline::fold(&text("19.5"), &Settings::default()).unwrap();
    for (a, b) in slipped.run.folded.faces.iter().zip(&meant.run.folded.faces) {
        assert!(a.placement.near(&b.placement));
    }
    assert_eq!(slipped.run.passes()[0].to_string(), "step 1, hem");
}

#[test]
fn the_same_slip_on_both_sides_keeps_a_plane_alike_on_both() {
    let text = "sheet 200 mm by 300 mm\ncrease left edge onto right edge, call it centre\n\
        valley top left corner onto centre, hinged at top middle, both sides, call it shoulder\n";
    let slip = Slip { offset_m: -0.4e-3, turn_rad: 0.01 };
    let slips = vec![Slip::default(), slip, slip];
    let run = pipeline::fold(text, &Settings { slips, ..Settings::default() }).unwrap().run;
    let labels: Vec<String> = run.passes().iter().map(ToString::to_string).collect();
    let sides = ["step 2, shoulder, first side", "step 2, shoulder, other side"];
    assert_eq!(labels[1..], sides);
    let [left, right] = [0.03, 0.17].map(|x| {
        let p = plumbfold::numeric::geom::SheetPoint::new(x, 0.29);
        run.folded.on_table(p).unwrap()
    });
    // The second flap lies on the first, but at mirrored places.
    assert!((left.x + right.x - 0.2).abs() < 1e-9 && (left.y - right.y).abs() < 1e-9);
    assert!((left.y - 0.29).abs() > 1e-3);
}

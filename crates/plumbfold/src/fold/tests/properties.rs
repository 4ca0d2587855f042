//! Random folds keep every rule.

use super::try_fold;
use super::words::assert_mirrored;
use crate::fold::apply::{self, Landing, Move, Plan, Refused, Take};
use crate::fold::checks::{Violation, check_all};
use crate::fold::layout::Layout;
use crate::fold::state::{Crease, Face, Folded};
use crate::numeric::geom::{Placement, TOLERANCE_M, TableLine, TablePoint, Vec2, area, centroid};
use crate::paper::Stock;
use proptest::prelude::*;

fn sheet() -> Folded {
    Folded::new(&Stock::new(0.21, 0.297, 0.08, None).unwrap())
}

/// A fold by numbers: which corner of which face the line passes near, how it misses it, its
/// direction, and what it takes.
#[derive(Clone, Debug)]
struct Throw {
    corner: usize,
    towards: usize,
    miss: f64,
    turn: f64,
    take: u8,
    valley: bool,
}

fn throw(nasty: bool) -> impl Strategy<Value = Throw> {
    // Nasty: lines through corners, along edges, and within a few tolerances of both.
    let near = prop_oneof![
        Just(0.0),
        (-4.0..4.0f64).prop_map(|k| k * TOLERANCE_M),
        Just(1e-7),
        -0.05..0.05f64,
    ];
    let wide = -0.1..0.1f64;
    let miss = if nasty { near.boxed() } else { wide.boxed() };
    let turn = if nasty {
        prop_oneof![Just(0.0), Just(1e-9), Just(-3e-8), 0.0..6.3f64].boxed()
    } else {
        (0.0..6.3f64).boxed()
    };
    (any::<usize>(), any::<usize>(), miss, turn, 0..6u8, any::<bool>()).prop_map(
        |(corner, towards, miss, turn, take, valley)| Throw {
            corner,
            towards,
            miss,
            turn,
            take,
            valley,
        },
    )
}

fn attempt(model: &Folded, throw: &Throw, step: usize) -> Result<apply::Done, Refused> {
    let corners: Vec<TablePoint> =
        (0..model.faces.len()).flat_map(|f| model.table_polygon(f)).collect();
    let at = corners[throw.corner % corners.len()];
    let other = corners[throw.towards % corners.len()];
    let base = (other - at).unit().unwrap_or(Vec2::new(1.0, 0.0));
    let (s, c) = throw.turn.sin_cos();
    let dir = base * c + base.perp() * s;
    let line = TableLine { at: at + dir.perp() * throw.miss, dir };
    let face = throw.corner % model.faces.len();
    let take = match throw.take {
        0 => Take::All,
        1 => Take::Top(1),
        2 => Take::Bottom(2),
        3 => Take::Loose(vec![face]),
        _ => Take::Flap(vec![face]),
    };
    let fold = Move { line, valley: throw.valley, take, landing: Landing::Outermost };
    let plan = Plan::new(model, &Layout::new(model), &fold)?;
    let crease = Crease::made_by(step);
    apply::fold(model, &fold, &plan, Err(crease))
}

fn folds(throws: &[Throw]) -> (Folded, usize) {
    let (mut model, mut made) = (sheet(), 0);
    for (step, throw) in throws.iter().enumerate() {
        match attempt(&model, throw, step) {
            Ok(done) => {
                assert!(done.moved.contains(&true) && done.moved.contains(&false));
                assert!(done.layers_bent >= 1 || !done.bent.is_empty());
                model = done.folded;
                made += 1;
            }
            Err(Refused::Crosses { .. } | Refused::NoPlace) => panic!("outermost folds fit"),
            Err(_) => {}
        }
        if model.faces.len() > 120 {
            break;
        }
    }
    (model, made)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn random_folds_keep_every_rule(throws in prop::collection::vec(throw(false), 1..7)) {
        prop_assert_eq!(check_all(&folds(&throws).0), []);
    }

    /// Here creases miss corners and each other by less than the hinges may part. Rules about
    /// angles and layers say nothing where layers meet in strips as thin as that.
    #[test]
    fn nasty_folds_stay_whole(throws in prop::collection::vec(throw(true), 1..7)) {
        let model = folds(&throws).0;
        let mut broken = check_all(&model);
        let thin = (0..model.faces.len()).any(|f| is_sliver(&model.table_polygon(f)));
        broken.retain(|v| match v {
            Violation::LayersCross { .. } => false,
            Violation::VertexOpen { .. } | Violation::MountainsAndValleys { .. } => !thin,
            _ => true,
        });
        prop_assert_eq!(broken, []);
    }
}

/// Thinner than a micrometre.
fn is_sliver(outline: &[TablePoint]) -> bool {
    let reach = outline.iter().map(|p| p.distance(outline[0])).fold(0.0, f64::max);
    area(outline) < 1e-6 * reach
}

/// A fold of a narrow strip along the left side, not quite upright: its flap stays in its half.
fn strip() -> impl Strategy<Value = String> {
    (5.0..25.0f64, 50.0..250.0f64, -8.0..8.0f64, any::<bool>()).prop_map(|(x, y, deg, valley)| {
        let verb = if valley { "valley" } else { "mountain" };
        format!("{verb} at {deg} deg to centre through ({x} mm, {y} mm), moving left, both sides\n")
    })
}

/// Any fold of all layers through a place of the paper.
fn slant() -> impl Strategy<Value = String> {
    (1.0..199.0f64, 1.0..299.0f64, 0.0..180.0f64, any::<bool>()).prop_map(|(x, y, deg, valley)| {
        let verb = if valley { "valley" } else { "mountain" };
        format!(
            "{verb} at {deg} deg to line from bottom left corner to bottom right corner \
                 through ({x} mm, {y} mm)\n"
        )
    })
}

fn stays_in_its_half(face: &Face) -> bool {
    let left = centroid(&face.polygon).x < 0.1;
    face.polygon
        .iter()
        .map(|&p| face.placement.apply(p).x)
        .all(|x| (x < 0.1 + 1e-9) == left || (x - 0.1).abs() < 1e-9)
}

const SHEET: &str = "sheet 200 mm by 300 mm\ncrease left edge onto right edge, call it centre\n";

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn both_sides_are_mirror_images(
        strips in prop::collection::vec(strip(), 1..4), keel in 5.0..40.0f64, wings in any::<bool>()
    ) {
        let mut text = format!("{SHEET}{}", strips.concat());
        if wings {
            text += &format!("mountain along centre\n\
                valley near half parallel to centre, {keel} mm from it, both sides\n");
        }
        // A strip may have vanished under the one before; then there is nothing to compare. Nor do
        // flaps that meet over the middle lie alike: the second lies on the first.
        let Ok(run) = try_fold(&text, &[]) else { return Ok(()) };
        let open = run.steps.iter().take(1 + strips.len());
        if open.flat_map(|s| &s.after.faces).all(stays_in_its_half) {
            prop_assert_eq!(check_all(&run.folded), []);
            assert_mirrored(&run.folded);
        }
    }

    #[test]
    fn unfolding_restores_the_sheet(slants in prop::collection::vec(slant(), 1..5)) {
        let text = format!("{SHEET}{}", slants.concat());
        let Ok(run) = try_fold(&text, &[]) else { return Ok(()) };
        let opened = try_fold(&format!("{text}{}", "unfold\n".repeat(slants.len())), &[]);
        let opened = opened.map_err(|e| TestCaseError::fail(e.problem.to_string()))?.folded;
        prop_assert_eq!(opened.faces.len(), run.folded.faces.len());
        prop_assert!(opened.faces.iter().all(|f| f.placement.near(&Placement::IDENTITY)));
        prop_assert_eq!(check_all(&opened), []);
    }
}

//! Pictures of designs as the engine folds them.

use plumbfold::pipeline::{self, Settings};
use plumbfold_draw::arrows::FoldArrow;
use plumbfold_draw::style::Look;
use plumbfold_draw::{fault, run, steps};

const LEADING_ROLL: &str = include_str!("../../../../testdata/designs/leading-roll.plane");

#[test]
fn the_steps_of_the_leading_roll_are_drawn_from_its_run() {
    let folded = pipeline::fold(LEADING_ROLL, &Settings::default()).unwrap();
    let shown = run::shown(&folded.run, LEADING_ROLL, &folded.values);
    // One fold in two, three turns of the roll, one fold along the centre, both wings.
    let kinds: Vec<Vec<FoldArrow>> =
        shown.iter().map(|s| s.folds.iter().map(|f| f.kind).collect()).collect();
    use FoldArrow::{Mountain, Valley};
    assert_eq!(
        kinds,
        [
            vec![Valley],
            vec![Valley],
            vec![Valley],
            vec![Valley],
            vec![Mountain],
            vec![Valley, Mountain],
        ]
    );
    assert_eq!(shown[1].says, "valley aft onto leading, call it aft");
    for s in &shown {
        assert!(s.folds.iter().all(|f| !f.moving.is_empty()), "step {} moves nothing", s.number);
    }
    let svg = steps::instructions(&Look::light("s"), "Roll", &shown, &folded.run.folded, 3);
    assert_eq!(svg.matches("class=\"step\"").count(), 6);
}

#[test]
fn a_collapse_shows_the_creases_it_bends_and_both_its_sides() {
    let text = "plane Base\nsheet square 150 mm, 80 g/m2\nwaterbomb base\npose flat\n";
    let folded = pipeline::fold(text, &Settings::default()).unwrap();
    let shown = run::shown(&folded.run, text, &folded.values);
    let moves = &shown.last().unwrap().moves;
    // Common practice, no source: two valley diagonals and one mountain through the middle.
    let length = |state| -> f64 {
        let of_state = moves.creases.iter().filter(|c| c.1 == state);
        of_state.map(|(ends, _)| ends[0].distance(ends[1])).sum::<f64>() * 1e3
    };
    use plumbfold::fold::state::Assignment::{Mountain, Valley};
    assert!((length(Valley) - 2.0 * 150.0 * 2_f64.sqrt()).abs() < 1e-6, "{moves:?}");
    assert!((length(Mountain) - 150.0).abs() < 1e-6, "{moves:?}");
    assert_eq!(moves.ways.len(), 2, "{moves:?}");
}

#[test]
fn an_ambiguous_fold_is_drawn_with_its_choices() {
    let text = "plane P\nsheet square 150 mm, 80 g/m2\n\
                valley bottom left corner onto line from top left corner to bottom right corner, hinged at bottom middle\npose flat\n";
    let error = pipeline::fold(text, &Settings::default()).unwrap_err().fold.unwrap();
    let marked: fault::Marked = error.evidence().into();
    let says = error.problem.to_string();
    let svg = fault::fault(&Look::light("f"), "Step 1", &error.before, &marked, &says);
    assert_eq!(marked.lines.len(), 2, "{error:?}");
    assert_eq!(svg.matches("class=\"choice\"").count(), 2);
}

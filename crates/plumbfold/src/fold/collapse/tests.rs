//! Whole texts with collapses in them, as a designer would write them.

use super::testing::sound;
use crate::fold::error::FoldError;
use crate::fold::exec::FoldRun;
use crate::fold::state::{Assignment, Folded};
use crate::fold::tests::{fold, try_fold};
use crate::numeric::geom::{SheetPoint, TablePoint};

fn folded(text: &str) -> Folded {
    let run: FoldRun = fold(&format!("plane Test\ncreep off\n{text}"), &[]);
    sound(&run.folded);
    (*run.folded).clone()
}

fn refused(text: &str) -> Box<FoldError> {
    let text = format!("plane Test\ncreep off\n{text}");
    let Err(e) = try_fold(&text, &[]) else { panic!("should be refused:\n{text}") };
    e
}

fn lies(model: &Folded, x_mm: f64, y_mm: f64) -> TablePoint {
    model.on_table(SheetPoint::new(x_mm * 1e-3, y_mm * 1e-3)).unwrap()
}

fn at(x_mm: f64, y_mm: f64) -> TablePoint {
    TablePoint::new(x_mm * 1e-3, y_mm * 1e-3)
}

#[test]
fn waterbomb_nose_then_keel() {
    let m = folded(
        "sheet A4 upright, 80 g/m2
         crease left edge onto right edge, call it centre
         waterbomb base of top square, call it base
         mountain along centre
         valley near half parallel to centre, 20 mm from it, both sides, call it wing",
    );
    // Eight layers of the triangle's half lie over the keel; wings as wide as each other.
    assert!(lies(&m, 0.0, 0.0).near(lies(&m, 210.0, 0.0)));
}

#[test]
fn waterbomb_base_on_creases_made_before() {
    let steps = "sheet A4 upright
         crease top left corner onto right edge, hinged at top right corner, call it rising
         crease top right corner onto left edge, hinged at top left corner, call it falling
         ";
    let m = folded(&format!("{steps} waterbomb base of top square"));
    assert!(lies(&m, 0.0, 297.0).near(at(0.0, 87.0)));
    let m = folded(&format!(
        "{steps} mark heart = crossing of rising and falling
         crease perpendicular to left edge through heart, call it level
         collapse rising valley, falling valley, level mountain, holding bottom middle"
    ));
    assert!(lies(&m, 210.0, 297.0).near(at(210.0, 87.0)));
}

#[test]
fn tail_fin() {
    let m = folded(
        "sheet A4 upright
         crease left edge onto right edge, call it centre
         mountain along centre
         mark root = 50 mm along centre from bottom middle
         mark heel = 20 mm along bottom edge from bottom middle
         inside reverse bottom middle through root and heel, call it fin
         valley flap at bottom right corner parallel to line from top middle to root, 24 mm from it, \
           both sides, call it wing",
    );
    assert_eq!(m.faces.len(), 6);
}

#[test]
fn rabbit_ear_of_a_corner() {
    let m = folded(
        "sheet square 200 mm
         crease through top left corner and bottom right corner
         rabbit ear bottom left corner between bottom right corner and top left corner, \\
           towards top left corner, call it ear",
    );
    // The ear lies along the diagonal, a side's length from the corner it points away from.
    let ear = lies(&m, 0.0, 0.0);
    let s = 200.0 * (1.0 - 0.5f64.sqrt());
    assert!(ear.distance(at(s, 200.0 - s)) < 1e-9, "{ear:?}");
}

#[test]
fn squash_and_swivel() {
    let start = "sheet square 200 mm
         valley bottom right corner onto top left corner, call it first
         valley top right corner onto bottom left corner, call it second
         ";
    let m = folded(&format!("{start} squash first onto second, hinged at (100 mm, 100 mm)"));
    // The flap has become a square: its loose corner lies on the far end of the line.
    assert!(lies(&m, 200.0, 200.0).distance(at(0.0, 100.0)) < 0.11);
    // Onto the very line its own hinge lies on, a swivel is a squash.
    let n = folded(&format!("{start} swivel first onto second, hinged at (100 mm, 100 mm)"));
    assert!(lies(&m, 200.0, 200.0).near(lies(&n, 200.0, 200.0)));
    // Onto another line the two halves are unlike, but it lies flat all the same.
    folded(&format!(
        "{start} mark slant = line from (100 mm, 100 mm) to (40 mm, 200 mm)
         swivel first onto slant, hinged at (100 mm, 100 mm)"
    ));
}

#[test]
fn petal_of_a_preliminary_base() {
    // The open sides of the upper square brought to its diagonal crease it at 22.5 deg to them,
    // up to tan 22.5 deg = sqrt 2 - 1 of the folded sides.
    let reach = 100.0 * (2f64.sqrt() - 1.0);
    let m = folded(&format!(
        "sheet square 200 mm
         preliminary base
         petal top right corner through ({reach} mm, 100 mm) and (100 mm, {reach} mm)",
    ));
    let tip = lies(&m, 200.0, 200.0);
    let lifted = 100.0 + reach;
    assert!(tip.distance(at(lifted, lifted)) < 1e-9, "{tip:?}");
}

#[test]
fn open_sink_of_a_waterbomb_base() {
    let m = folded(
        "sheet square 200 mm
         waterbomb base
         open sink (100 mm, 100 mm) through (70 mm, 70 mm) and (130 mm, 70 mm)",
    );
    assert!(lies(&m, 100.0, 100.0).distance(at(100.0, 40.0)) < 1e-9);
}

#[test]
fn closed_sinks_of_a_waterbomb_base() {
    let sunk = |take: usize| {
        folded(&format!(
            "sheet square 200 mm
             waterbomb base
             closed sink (100 mm, 100 mm) through (70 mm, 70 mm) and (130 mm, 70 mm), take {take}",
        ))
    };
    let rim = |m: &Folded| {
        let ranks = m.ranks();
        let line = m.creases.len() - 1;
        let states = m.hinges.iter().filter(|h| h.crease == line).map(|h| m.assignment(h, &ranks));
        let mountains = states.clone().filter(|&a| a == Assignment::Mountain).count();
        (mountains, states.count())
    };
    // The tip lies where an open sink puts it, but round the rim mountains and valleys mix
    // (common practice, no source): somewhere layers go in together.
    let m = sunk(1);
    assert!(lies(&m, 100.0, 100.0).distance(at(100.0, 40.0)) < 1e-9);
    let (mountains, of) = rim(&m);
    assert!(0 < mountains && mountains < of, "{mountains} of {of}");
    // Another pocket is another model.
    assert_ne!(rim(&sunk(2)), (0, 0));
    assert_ne!(sunk(2).order, m.order);
}

#[test]
fn crimp_and_pleat() {
    let m = folded(
        "sheet A4 upright
         pleat top middle between perpendicular to left edge through (0 mm, 150 mm) \\
           and perpendicular to left edge through (0 mm, 170 mm)",
    );
    assert!(lies(&m, 0.0, 297.0).near(at(0.0, 257.0)));
    folded(
        "sheet A4 upright
         crease left edge onto right edge, call it centre
         mountain along centre
         crimp top middle between through (105 mm, 200 mm) and (0 mm, 215 mm) \\
           and through (105 mm, 230 mm) and (0 mm, 260 mm)",
    );
}

#[test]
fn outside_reverse_nose() {
    folded(
        "sheet A4 upright
         crease left edge onto right edge, call it centre
         mountain along centre
         outside reverse top middle through (105 mm, 200 mm) and (0 mm, 150 mm)",
    );
}

#[test]
fn one_side_tucked_under_the_other() {
    // The left side folded past the middle, the right side slid beneath it.
    let m = folded(
        "sheet A4 upright
         valley through (80 mm, 0 mm) and (80 mm, 297 mm), moving left edge
         tuck top right corner under top left corner through (150 mm, 0 mm) and (150 mm, 297 mm)",
    );
    let ranks = m.ranks();
    let rank = |x: f64| ranks[m.faces_at(SheetPoint::new(x, 0.297)).next().unwrap()];
    assert!(rank(0.12) < rank(0.21) && rank(0.21) < rank(0.0));
}

#[test]
fn refusals_say_what_and_where() {
    let start = "sheet A4 upright
         crease top left corner onto right edge, hinged at top right corner, call it rising
         crease top right corner onto left edge, hinged at top left corner, call it falling
         ";
    // Three of the four rays of a crossing: nothing can close, one more crease would.
    let e = refused(&format!(
        "{start} mark heart = crossing of rising and falling
         collapse rising valley, falling from heart to top left corner valley"
    ));
    assert!(e.problem.to_string().contains("tear round a point"), "{}", e.problem);
    assert_eq!(e.evidence().lines.len(), 1, "the crease that would close it");
    assert!(e.diagnostic().help.unwrap().contains("one more crease"));
    // Two creases that cross cannot both fold alone with equal marks.
    let e = refused(&format!("{start} collapse rising valley, falling valley"));
    assert!(e.problem.to_string().contains("differ by two"), "{}", e.problem);
    let e = refused(&format!("{start} waterbomb base"));
    assert!(e.problem.to_string().contains("not square"));
    let e = refused(
        "sheet A4\n inside reverse top left corner through (50 mm, 297 mm) and (0 mm, 250 mm)",
    );
    assert!(e.problem.to_string().contains("folded edge"));
    let e = refused("sheet square 200 mm\n waterbomb base, take 5");
    assert!(e.problem.to_string().contains("only 1"), "{}", e.problem);
    assert!(e.diagnostic().help.is_some());
}

#[test]
fn both_sides_reverse() {
    // Two corners reversed between the layers of a sheet folded in half across.
    let m = folded(
        "sheet A4 upright
         valley top edge onto bottom edge, call it leading
         inside reverse (0 mm, 148.5 mm) through (0 mm, 100 mm) and (40 mm, 148.5 mm), \\
           both sides",
    );
    assert_eq!(m.faces.len(), 6);
}

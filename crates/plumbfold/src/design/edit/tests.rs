use super::*;
use crate::design::arbitrary;
use crate::design::ast::{
    FoldLine, FoldStep, FoldVerb, Layers, MovingRef, Side, Sides, TrimSurfaceName,
};
use crate::design::edit::amount::number;
use proptest::prelude::*;

const TEXT: &str = "plane Scow\nsheet A4, 80 g/m2\n\n  let tip = 24 mm,  from 8 mm to 45 mm   # keep me\n# and me\nvalley top middle back by tip along left edge\n";

fn let_edit(name: &str, value: Expr) -> [Edit; 1] {
    [Edit::Let { name: name.to_owned(), value }]
}

fn mm(value: f64) -> Expr {
    number(value, Unit::Mm)
}

fn trim(surface: TrimSurfaceName, direction: Direction, amount: Expr) -> Trim {
    Trim { surface, direction, amount: amount.into(), depth: None }
}

/// `valley parallel to top edge, 12 mm from it, moving top edge, call it brow`
fn band() -> Step {
    let top = || Spanned::from(LineRef::Edge(Side::Top));
    Step::Fold(Box::new(FoldStep {
        verb: FoldVerb::Valley,
        layers: Layers::Default.into(),
        line: FoldLine::Parallel(top(), mm(12.0).into(), None).into(),
        moving: Some(MovingRef::Line(top()).into()),
        choice: None,
        place: None,
        sides: Sides::One,
        call: Some("brow".to_owned().into()),
    }))
}

#[test]
fn a_let_changes_and_nothing_else() {
    let new = apply(TEXT, &let_edit("tip", mm(12.5))).unwrap();
    assert_eq!(new, TEXT.replace("24 mm", "12.5 mm"));
    let err = apply(TEXT, &let_edit("tipp", mm(1.0))).unwrap_err();
    assert_eq!(err.to_string(), "no let is called `tipp`; did you mean `tip`?");
    assert!(apply(TEXT, &let_edit("tip", mm(f64::NAN))).is_err());
}

#[test]
fn a_let_and_a_pose_are_added_where_they_belong() {
    let (mut said, _) = parse("let keel = 20 mm, from 10 mm to 40 mm  # depth of the keel");
    let keel = said.lets.remove(0).node;
    let new = apply(TEXT, &[Edit::AddLet(keel)]).unwrap();
    let line = "  let keel = 20 mm, from 10 mm to 40 mm  # depth of the keel\n";
    assert_eq!(new, TEXT.replace("# keep me\n", &format!("# keep me\n{line}")));
    let opened = |text: &str| parse(text).0.pose.unwrap().node;
    let pose = opened("pose centre opens 6 deg, wing dihedral 4 deg");
    let new = apply(TEXT, &[Edit::Pose(pose)]).unwrap();
    assert_eq!(new, format!("{TEXT}pose centre opens 6 deg, wing dihedral 4 deg\n"));
    let flat = opened("pose flat");
    assert_eq!(apply(&new, &[Edit::Pose(flat)]).unwrap(), format!("{TEXT}pose flat\n"));
}

#[test]
fn a_step_is_read_and_printed_where_it_goes() {
    let step = read_step(TEXT, 1, "Valley fold  the top edge onto bottom edge").unwrap();
    let new = apply(TEXT, &[Edit::AddSteps { after: 1, steps: vec![step] }]).unwrap();
    assert_eq!(new, format!("{TEXT}valley top edge onto bottom edge\n"));
    assert_eq!(apply(&new, &[Edit::RemoveStep(1)]).unwrap(), TEXT);
    for bad in ["valey x", "unfold # ha", "unfold\nunfold", "throw 3 m/s", "repeat 2 times", ""] {
        assert!(matches!(read_step(TEXT, 0, bad), Err(EditError::DoesNotFit { .. })), "{bad}");
    }
}

#[test]
fn statements_of_the_finished_plane_stand_above_the_throw() {
    let text = "plane A\nsheet A4, 80 g/m2\npose flat   # so\n\nthrow 3 m/s # gently\n";
    let bend = trim(TrimSurfaceName::Elevator, Direction::Up, mm(1.0));
    let new = apply(text, &[Edit::AddTrim(bend)]).unwrap();
    assert_eq!(new, text.replace("# so\n", "# so\ntrim elevator up 1 mm\n"));
    assert_eq!(apply(&new, &[Edit::RemoveTrim(0)]).unwrap(), text);
    assert!(apply(text, &[Edit::RemoveTrim(0)]).is_err());
    let bare = "plane A\nsheet A4, 80 g/m2";
    let speed = Some(number(3.0, Unit::MPerS));
    let throw = Edit::Throw { speed, elevation: None, height: None, bank: None };
    assert_eq!(apply(bare, &[throw]).unwrap(), format!("{bare}\nthrow 3 m/s\n"));
}

#[test]
fn a_throw_changes_only_where_asked() {
    let text =
        "let v = 3 m/s\r\nthrow\tv,  up 10 deg,from 1.6 m , banked 5 deg left \t# so\r\nunfold\r\n";
    let thrown = |speed, elevation, height, bank| {
        let [speed, height] = [(speed, Unit::MPerS), (height, Unit::M)]
            .map(|(v, unit): (Option<f64>, _)| v.map(|v| number(v, unit)));
        let [elevation, bank] =
            [elevation, bank].map(|v: Option<f64>| v.map(|v| number(v, Unit::Deg)));
        apply(text, &[Edit::Throw { speed, elevation, height, bank }]).unwrap()
    };
    assert_eq!(thrown(None, None, None, None), text);
    assert_eq!(thrown(Some(5.0), None, None, None), text.replace("\tv,", "\t5 m/s,"));
    assert_eq!(thrown(None, Some(-5.0), None, None), text.replace("up 10", "down 5"));
    assert_eq!(
        thrown(None, Some(0.0), Some(2.0), Some(3.0)),
        text.replace("up 10 deg", "level").replace("1.6", "2").replace("5 deg left", "3 deg right")
    );
    assert_eq!(thrown(None, None, None, Some(0.0)), text.replace(" , banked 5 deg left", ""));
}

#[test]
fn the_throw_that_is_flown_is_the_one_that_is_written_where_the_text_has_none() {
    let height = Some(number(2.0, Unit::M));
    let throw = Edit::Throw { speed: None, elevation: None, height, bank: None };
    assert_eq!(apply("plane A\n", &[throw]).unwrap(), "plane A\nthrow 4.5 m/s, from 2 m\n");
    assert_eq!(THROW_SPEED_M_S, 4.5);
}

#[test]
fn what_is_called_otherwise_is_found_however_it_is_written() {
    let text = "sheet A4\r\nrepeat 2 times\r\n\tvalley  Top  left\tcorner onto the top   middle # top edge\r\nend\r\n\
                mark nose = 1/3 along \\\r\n  top edge\r\nvalley top middle onto bottom middle\r\n";
    let rename = Edit::Rename {
        after: 3,
        places: vec![
            (PointRef::Corner(Side::Top, Side::Left), "ear".to_owned()),
            (PointRef::EdgeMiddle(Side::Top), "mid".to_owned()),
        ],
        lines: vec![(LineRef::Edge(Side::Top), "brow".to_owned())],
    };
    let marks = ["mark ear = (1 mm, 2 mm)", "mark mid = (3 mm, 2 mm)"]
        .map(|line| read_step("sheet A4", 0, line).unwrap());
    let steps = Edit::AddSteps { after: 0, steps: [vec![band()], marks.to_vec()].concat() };
    let named = text
        .replace("Top  left\tcorner", "ear")
        .replace("top   middle", "mid")
        .replace("  top edge\r\n", "  brow\r\n")
        .replace("valley top middle", "valley mid");
    let head = "valley parallel to top edge, 12 mm from it, moving top edge, call it brow\r\n\
                mark ear = (1 mm, 2 mm)\r\nmark mid = (3 mm, 2 mm)\r\n";
    let new = apply(text, &[steps, rename]).unwrap();
    assert_eq!(new, named.replace("A4\r\n", &format!("A4\r\n{head}")));
}

#[test]
fn names_that_are_taken_are_not_given_again() {
    assert_eq!(free_name("mark Fore = top edge", "fore_edge"), "fore_edge");
    assert_eq!(free_name("mark fore = top edge # fore_2", "fore"), "fore_3");
}

#[test]
fn lines_are_whole_however_they_are_broken_and_end() {
    // Carried over, with a comment, and a last line without an end.
    let text = "sheet A4\r\n  turn \\\r\n over # so\r\n  unfold";
    let one = || Edit::AddSteps { after: 1, steps: vec![Step::TurnOver] };
    assert_eq!(
        apply(text, &[one()]).unwrap(),
        "sheet A4\r\n  turn \\\r\n over # so\r\n  turn over\r\n  unfold"
    );
    let end = Edit::AddSteps { after: 9, steps: vec![Step::TurnOver, Step::Unfold(None)] };
    assert_eq!(apply(text, &[end]).unwrap(), format!("{text}\r\n  turn over\r\n  unfold\r\n"));
    assert_eq!(apply("", &[one()]).unwrap(), "turn over\n");
}

/// A random design as a text that somebody else has laid out.
fn laid_out() -> impl Strategy<Value = String> {
    let gap = prop_oneof![Just(" "), Just("  "), Just("\t"), Just(" \t ")];
    let end = prop_oneof![Just("\n"), Just("\r\n")];
    let comment = prop_oneof![Just(""), Just("# so"), Just("  # top edge, 4 m/s")];
    let margin = prop_oneof![Just(""), Just("  "), Just("\t")];
    (arbitrary::design(), gap, end, comment, margin).prop_map(
        |(design, gap, end, comment, margin)| {
            let canonical = print::print(&design);
            let lines = canonical.lines().map(|line| {
                let carried = line.ends_with('\\') || line.contains('#') || line.is_empty();
                let comment = if carried { "" } else { comment };
                format!("{margin}{}{comment}{end}", line.replace(' ', gap))
            });
            lines.collect()
        },
    )
}

/// Edits that most designs allow, and the piece of the text each may change: an empty one where
/// whole lines come in.
fn edits(design: &Design, value: &Expr) -> Vec<(Edit, Option<Span>)> {
    let some = || Some(value.clone());
    let mut edits = vec![
        (Edit::AddTrim(trim(TrimSurfaceName::Rudder, Direction::Left, value.clone())), None),
        (Edit::AddSteps { after: 1, steps: vec![band(), Step::TurnOver] }, None),
        (Edit::AddSteps { after: 0, steps: vec![band()] }, None),
        (Edit::AddSteps { after: 99, steps: vec![band()] }, None),
    ];
    for l in &design.lets {
        let name = l.node.name.node.clone();
        let span = l.node.value.span.clone();
        edits.push((Edit::Let { name, value: value.clone() }, Some(span)));
    }
    for (index, item) in design.pose.iter().flat_map(|p| p.node.items.iter().enumerate()) {
        let angle = value.clone();
        edits.push((Edit::PoseAngle { index, angle }, Some(item.angle.span.clone())));
    }
    for (index, t) in design.trims.iter().enumerate() {
        let (amount, span) = (value.clone(), t.node.amount.span.clone());
        let direction = t.node.direction;
        edits.push((Edit::Bend { index, direction, amount }, Some(span.clone())));
        let other = match t.node.direction {
            Direction::Left => Direction::Right,
            Direction::Right => Direction::Left,
            Direction::Up => Direction::Down,
            Direction::Down => Direction::Up,
        };
        let amount = value.clone();
        let span = t.span.start..span.end;
        edits.push((Edit::Bend { index, direction: other, amount }, Some(span)));
        edits.push((Edit::RemoveTrim(index), None));
    }
    for (index, b) in design.ballast.iter().enumerate() {
        let span = b.node.mass.span.clone();
        edits.push((Edit::Ballast { index, mass: some(), behind: None }, Some(span)));
        edits.push((Edit::Ballast { index, mass: some(), behind: some() }, Some(b.span.clone())));
        edits.push((Edit::RemoveBallast(index), None));
    }
    let throw = design.throw.as_ref().map(|t| t.span.clone());
    for which in 0..16 {
        let asked = |bit: usize| some().filter(|_| which & bit != 0);
        let [speed, elevation, height, bank] = [1, 2, 4, 8].map(asked);
        edits.push((Edit::Throw { speed, elevation, height, bank }, throw.clone()));
    }
    edits
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]
    #[test]
    fn an_edit_does_what_it_says_and_leaves_the_rest_of_the_text_alone(
        text in laid_out(),
        value in prop_oneof![
            (0u32..50, Just(Unit::Deg)), (1u32..90, Just(Unit::Mm)), (1u32..9, Just(Unit::None))
        ].prop_map(|(n, unit)| number(f64::from(n) - 4.0, unit)),
    ) {
        let (design, mistakes) = parse(&text);
        prop_assert!(mistakes.is_empty(), "{text}\n{mistakes:?}");
        for (edit, place) in edits(&design, &value) {
            let new = apply(&text, std::slice::from_ref(&edit));
            let Ok(new) = new else {
                return Err(TestCaseError::fail(format!("{text}\n{edit:?}\n{new:?}")));
            };
            let mut meant = design.clone();
            edit.on(&mut meant).unwrap();
            prop_assert_eq!(&parse(&new).0, &meant, "{}\n{:?}\n{}", text, edit, new);
            match place {
                Some(place) => {
                    prop_assert!(new.starts_with(&text[..place.start]), "{edit:?}\n{new}");
                    prop_assert!(new.ends_with(&text[place.end..]), "{edit:?}\n{new}");
                }
                // Whole lines come or go: the others stand as they stood, in the same order.
                None => {
                    let (long, short) = if new.len() > text.len() { (&new, &text) } else { (&text, &new) };
                    let mut kept = short.split_inclusive('\n').peekable();
                    for line in long.split_inclusive('\n') {
                        kept.next_if_eq(&line);
                    }
                    prop_assert_eq!(kept.next(), None, "{:?}\n{}\n{}", edit, text, new);
                }
            }
            let crlf = text.contains("\r\n");
            prop_assert!(!crlf || !new.replace("\r\n", "").contains('\n'), "{edit:?}\n{new}");
        }
    }
}

#[test]
fn a_step_changes_places_with_the_next_and_keeps_its_remark() {
    let text = "sheet A4\n\nturn over  # first\n\n  rotate 90 deg\nunfold\n";
    let swapped = apply(text, &[Edit::SwapStep(0)]).unwrap();
    assert_eq!(swapped, "sheet A4\n\nrotate 90 deg  # first\n\n  turn over\nunfold\n");
    assert_eq!(apply(&swapped, &[Edit::SwapStep(0)]).unwrap(), text);
    assert!(apply(text, &[Edit::SwapStep(2)]).is_err());
}

#[test]
fn the_paper_is_said_anew_or_for_the_first_time() {
    let paper = crate::design::begin::the_paper("Letter  sideways, 75 g/m2").unwrap();
    let said = |text: &str| apply(text, &[Edit::Sheet(paper.clone())]).unwrap();
    let anew = said("plane A\nsheet   A4 upright # mine\nturn over\n");
    assert_eq!(anew, "plane A\nsheet Letter sideways, 75 g/m2 # mine\nturn over\n");
    assert_eq!(said("plane A\n"), "plane A\nsheet Letter sideways, 75 g/m2\n");
}

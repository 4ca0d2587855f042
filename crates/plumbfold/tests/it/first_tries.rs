//! Texts as folders write them with only the first page of the language read. Each folds as it
//! stands, or its messages hold the words of a second try that does: the test takes the messages at
//! their word and puts nothing in of its own.

use plumbfold::design::diagnostic::Diagnostic;
use plumbfold::pipeline::{Problems, Settings, balance};

/// What stands between backticks in a message, in order.
fn advised(d: &Diagnostic) -> Vec<&str> {
    let help = d.help.as_deref().unwrap_or_default();
    help.split('`').skip(1).step_by(2).collect()
}

/// First words of lines that fold.
const VERBS: [&str; 10] = [
    "mark", "valley", "mountain", "crease", "tuck", "inside", "outside", "swivel", "squash",
    "unfold",
];

fn lines_of(text: &str, d: &Diagnostic) -> (usize, usize) {
    let start = text[..d.span.start].rfind('\n').map_or(0, |i| i + 1);
    let end = text[d.span.start..].find('\n').map_or(text.len(), |i| d.span.start + i);
    (start, end)
}

/// The texts that one message leads to: a whole line put right, words put right where it points, a
/// line put before another, or a clause added at the end of the line.
fn mended(text: &str, d: &Diagnostic) -> Vec<String> {
    let (start, end) = lines_of(text, d);
    let mut tries = Vec::new();
    for words in advised(d) {
        let first = words.split(' ').next().unwrap_or_default();
        if d.help.as_ref().is_some_and(|h| h.starts_with("put this line before")) {
            let line = text[start..end].to_owned();
            let rest = format!("{}{}", &text[..start], &text[(end + 1).min(text.len())..]);
            let same = |l: &&str| {
                let plain = |l: &str| l.replace([',', ' '], "");
                plain(l) == plain(words)
            };
            if let Some(before) = rest.lines().find(same) {
                tries.push(rest.replacen(before, &format!("{line}\n{before}"), 1));
            }
        } else if d.help.as_ref().is_some_and(|h| h.starts_with("put `")) {
            let [line, before] = advised(d)[..] else { break };
            let rest = text.replacen(&format!("{line}\n"), "", 1);
            tries.push(rest.replacen(before, &format!("{line}\n{before}"), 1));
            break;
        } else if VERBS.contains(&first) {
            tries.push(format!("{}{words}{}", &text[..start], &text[end..]));
        } else if ["take", "moving"].contains(&first) {
            tries.push(format!("{}, {words}{}", &text[..end], &text[end..]));
        } else if words.contains(" opens ") {
            let said = text[start..end].split(&[' ', ','][..]);
            let said = said.skip_while(|w| *w != "opens").nth(1).unwrap_or_default();
            let to = words.split(' ').nth(2).unwrap_or_default();
            let line =
                text[start..end].replacen(&format!("opens {said}"), &format!("opens {to}"), 1);
            tries.push(format!("{}{line}{}", &text[..start], &text[end..]));
        } else {
            tries.push(format!("{}{words}{}", &text[..d.span.start], &text[d.span.end..]));
        }
    }
    tries
}

/// Follows the messages of one run, all of them at once and in every way they offer.
fn second_tries(text: &str, problems: &Problems) -> Vec<String> {
    let mut texts = vec![text.to_owned()];
    // From the end, so that places further up stay where they are.
    let mut messages: Vec<&Diagnostic> =
        problems.diagnostics.iter().filter(|d| d.is_error()).collect();
    messages.sort_by_key(|d| std::cmp::Reverse(d.span.start));
    // Of several messages about one line the last shows it whole.
    messages.dedup_by_key(|d| lines_of(text, d).0);
    for d in messages {
        texts = texts.iter().flat_map(|t| mended(t, d)).collect();
    }
    texts
}

/// Folds within two tries.
fn folds(text: &str) {
    let settings = Settings::default();
    let Err(problems) = balance(text, &settings) else { return };
    let problems = problems.with_advice(text, &settings);
    let tries = second_tries(text, &problems);
    let shown = |p: &Problems| p.diagnostics.iter().map(ToString::to_string).collect::<Vec<_>>();
    let again: Vec<_> =
        tries.iter().map(|t| balance(t, &settings).map_err(|p| shown(&p)).err()).collect();
    let why: Vec<_> = tries.iter().zip(&again).collect();
    assert!(again.contains(&None), "{text}\n{:?}\nthen {why:?}", shown(&problems));
}

const OPEN: &str = "plane T\nsheet A4 upright\ncrease left edge onto right edge, call it centre\n";
const KEEL: &str = "mountain along centre\n\
    valley near half parallel to centre, 20 mm from it, both sides, call it wing\n";
const POSE: &str = "pose centre opens 8 deg, wing dihedral 6 deg\n";

macro_rules! within_two_tries {
    ($($name:ident $lines:expr;)*) => { $(
        #[test]
        fn $name() {
            folds(&$lines);
        }
    )* };
}

within_two_tries! {
    a_dart_folded_in_half_first "sheet A4 upright\n\
        mountain left edge onto right edge, call it centre\n\
        valley near half top edge onto centre, both sides, call it one\n\
        valley near half one onto centre, both sides, call it two\n\
        valley near half two onto centre, both sides, call it three\n\
        pose centre opens 8 deg, three dihedral 6 deg\nthrow 5 m/s\n";
    a_gate_with_its_corners_folded_in "sheet square 180 mm, 80 gsm\n\
        crease left edge to right edge, call it centre\n\
        valley left edge to centre, both sides, call it door\n\
        valley top left corner to centre, both sides\n\
        mountain along centre\n\
        valley near half parallel to centre, 20 mm from it, both sides, call it wing\n\
        pose centre opens 8 deg, wing dihedral 6 deg\nthrow 4 m/s\n";
    a_gate_whose_corners_lie_at_the_middle format!("{OPEN}\
        valley left edge onto centre, both sides, call it door\n\
        valley top left corner onto centre, hinged at top middle, both sides\n{KEEL}{POSE}");
    winglets_beside_a_door format!("{OPEN}\
        valley left edge onto centre, both sides, call it door\n{KEEL}\
        crease near half parallel to door, 8 mm from it, both sides, call it winglet\n\
        pose centre opens 8 deg, wing dihedral 6 deg, winglet up 80 deg\n");
    winglets_beside_an_edge_of_the_other_half format!("{OPEN}\
        valley top edge over by 40 mm, call it front\n\
        valley left end of front onto centre, hinged at middle of front, both sides\n{KEEL}\
        valley near half parallel to left edge, 8 mm from it, both sides, call it winglet\n\
        pose centre opens 8 deg, wing dihedral 6 deg, winglet up 80 deg\n");
    a_tail_reversed_before_the_wings_are_folded format!("{OPEN}\
        valley top edge over by 40 mm, call it front\nmountain along centre\n\
        inside reverse bottom middle through 50 mm along centre from bottom middle \
        and 15 mm along bottom edge from bottom middle, call it tail\n\
        valley near half parallel to centre, 20 mm from it, both sides, call it wing\n\
        pose centre opens 0 deg, wing dihedral 6 deg\n");
    a_reversed_tail_under_a_keel_that_opens format!("{OPEN}\
        valley top edge over by 40 mm, call it front\n{KEEL}\
        inside reverse bottom middle through 50 mm along centre from bottom middle \
        and 15 mm along bottom edge from bottom middle, call it tail\n{POSE}");
    a_tail_that_can_only_go_round_the_outside format!("{OPEN}mountain along centre\n\
        inside reverse top middle through 60 mm along centre from top middle \
        and 100 mm along left edge from top left corner\npose flat\n");
    thirds_of_a_square "sheet square 200 mm\n\
        crease left edge onto right edge, call it centre\n\
        valley bottom right corner onto top middle, call it h\n\
        mark third = crossing of bottom edge and left edge\nunfold\n\
        crease perpendicular to left edge through third\npose flat\n";
    a_pleated_front "sheet A4 sideways, 80 g/m2\n\
        crease left edge onto right edge, call it centre\n\
        valley fold top edge to 1/3 along left edge, call it a\n\
        valley a onto centre\n";
    one_side_of_a_preliminary_base "sheet square 200 mm, 70 g/m2\npreliminary base\n\
        valley top layer left edge onto centre\n";
    corners_tucked_into_a_rolled_edge "sheet A4 upright, 80 g/m2\n\
        crease left edge onto right edge, call it centre\n\
        valley parallel to top edge, 40 mm from it, moving top edge, call it brow\n\
        mountain top layer parallel to brow, 20 mm from it, moving top edge, inside, call it lip\n\
        mark horn = crossing of brow and line from 60 mm along left edge from top left corner to \
        bottom left corner\n\
        mark stem = crossing of brow and centre\n\
        valley horn onto centre, hinged at stem, call it l\nunfold\n\
        tuck horn under top edge horn onto centre, hinged at stem, both sides\npose flat\n";
    a_flap_to_be_squashed "sheet A4 upright\ncrease left edge onto right edge, call it centre\n\
        valley top edge onto right edge, call it diag\nunfold\n\
        valley top edge onto left edge, call it diag2\nunfold\n\
        valley left edge to centre, both sides\n";
    a_collar_swivelled_in format!("{OPEN}\
        valley top left corner onto centre, hinged at top middle, both sides, call it shoulder\n\
        mark elbow = crossing of shoulder and left edge\n\
        crease flap at top left corner at 22.5 deg to centre through top middle, both sides\n\
        swivel shoulder onto centre, hinged at elbow, both sides\npose flat\n");
    the_top_layer_of_several "sheet A4 sideways\n\
        valley left edge onto right edge, call it h1\n\
        valley h1 onto right edge, call it h2\n\
        valley top layer h2 onto right edge\npose flat\n";
    corners_tucked_under_a_point "sheet Letter upright, 20 lb\n\
        crease left edge onto right edge, call it centre\n\
        valley top left corner onto centre, hinged at top middle, both sides, call it shoulder\n\
        valley top middle onto 3/8 along centre, call it brow\n\
        mark horn = crossing of brow and left edge\n\
        mark peak = crossing of brow and centre\n\
        tuck horn under top middle horn onto centre, hinged at peak, both sides, call it cheek\n\
        mountain along centre\n\
        valley near half parallel to centre, 20 mm from it, both sides, call it wing\n\
        pose centre opens 8 deg, wing dihedral 8 deg\n";
    one_layer_where_two_hang_together "sheet A4 sideways\nvalley left edge onto right edge\n\
        mountain top layer parallel to top edge, 30 mm from it, moving top edge\npose flat\n";
    a_flap_held_by_others format!("{OPEN}\
        valley parallel to left edge, 60 mm from it, moving left edge, call it ldoor\n\
        valley parallel to right edge, 80 mm from it, moving right edge, call it rdoor\n\
        valley flap at left middle parallel to left edge, 30 mm from it, moving left edge\n");
    more_layers_than_there_are format!("{OPEN}valley top 5 layers parallel to top edge, 30 mm from it\n");
    a_rib_of_the_half_that_is_not_named format!("{OPEN}\
        crease parallel to left edge, 30 mm from it, call it lrib\n\
        crease parallel to right edge, 30 mm from it, call it rrib\nmountain along centre\n\
        valley near half along lrib, both sides\n");
    a_hem_across_both_halves "sheet A4 upright\n\
        mountain left edge onto right edge, call it centre\n\
        valley near half parallel to centre, 20 mm from it, both sides, call it wing\n\
        valley all layers bottom edge over by 10 mm, call it hem\n\
        pose centre opens 6 deg, wing dihedral 5 deg\n";
    a_hem_over_a_winglet format!("{OPEN}\
        valley left edge over by 12 mm, both sides, call it winglet\n\
        valley bottom edge over by 6 mm, call it hem\n{KEEL}\
        pose centre opens 6 deg, wing dihedral 5 deg, winglet up 80 deg\n");
    winglets_beside_a_door_after_the_wings format!("{OPEN}\
        valley left edge onto centre, both sides, call it door\n\
        valley top left corner of model onto centre, hinged at top middle, both sides\n\
        valley top middle back by 30 mm along centre\nmountain along centre\n\
        valley near half parallel to centre, 25 mm from it, both sides, call it wing\n\
        crease near half parallel to door, 8 mm from it, moving door, both sides, call it winglet\n\
        inside reverse bottom middle through 25 mm along centre from bottom middle \
        and 15 mm along bottom edge from bottom middle\n\
        pose centre opens 6 deg, wing dihedral 5 deg, winglet up 80 deg\n");
    winglets_beside_the_wings "sheet A4 upright\n\
        valley right edge onto left edge, call it spine\n\
        valley near half top right corner onto spine, hinged at top middle, both sides, call it s\n\
        valley near half s onto spine, both sides, call it m\n\
        valley near half parallel to spine, 20 mm from it, both sides, call it wing\n\
        crease near half parallel to wing, 10 mm from it, both sides, call it winglet\n\
        pose spine opens 8 deg, wing dihedral 5 deg\n";
    a_corner_folded_over_by_a_width format!("{OPEN}\
        valley top left corner over by 30 mm, both sides\n{KEEL}{POSE}");
    a_nose_called_the_top_of_the_model format!("{OPEN}\
        valley top left corner onto centre, hinged at top middle, both sides\n\
        valley top of model back by 40 mm along centre\n{KEEL}{POSE}");
}

#[test]
fn advice_does_not_move_what_was_not_named() {
    let deep = KEEL.replace("20 mm", "30 mm");
    let text = format!(
        "{OPEN}valley left edge onto centre, both sides, call it door\n{deep}\
         crease near half parallel to door, 8 mm from it, moving door, both sides\n{POSE}"
    );
    let settings = Settings::default();
    let problems = balance(&text, &settings).map(|_| ()).expect_err("the keel holds it");
    let problems = problems.with_advice(&text, &settings);
    let help = problems.diagnostics[0].help.clone().unwrap_or_default();
    assert!(!help.contains("`crease all layers"), "{help}");
}

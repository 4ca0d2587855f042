//! The first page: the plane, what is needed, how hard it is, what the signs mean.

use plumbfold::fold::state::Assignment;
use plumbfold_draw::arrows::{self, FoldArrow};
use plumbfold_draw::pose;
use plumbfold_draw::steps::{StepShown, Turn};
use plumbfold_draw::style::{Ink, Look, Stroke};
use plumbfold_draw::svg::{Canvas, Paint, Path, Rect};
use plumbfold_draw::text::{Text, decimals};

use super::{Lesson, weights};
use crate::leaf::{BODY, Leaf};
use crate::measures::Measure;
use crate::page::{Paper, look};
use crate::reference::Edge;

/// The page, and where what stands on it ends.
pub fn leaf(lesson: &Lesson<'_>, paper: Paper, id: &str) -> (Leaf, f64) {
    let mut leaf = Leaf::new(paper, id);
    leaf.bookmark(&lesson.name);
    let area = leaf.area();
    let mut y = leaf.heading([area.x, area.y], area.w, &lesson.name, 9.0);
    let picture = [area.w * 0.55, 74.0];
    let svg = pose::turned(&look(&leaf.next_id()), &lesson.plane.airframe, 0.55, 0.5, picture);
    let right = area.x + picture[0] + 4.0;
    leaf.picture(svg, [area.x, y]);
    let width = area.right() - right;
    let mut facts = leaf.heading([right, y + 4.0], width, "You need", 4.4);
    facts = leaf.list([right, facts], width, &needs(lesson), BODY);
    let effort = &lesson.effort;
    facts = leaf.heading([right, facts + 2.5], width, "How hard, how long", 4.4);
    let words = format!(
        "{} ({} of 3), {}. {}",
        capital(effort.difficulty_words()),
        effort.difficulty,
        effort.time(),
        effort.how()
    );
    facts = leaf.paragraph([right, facts], width, &words, BODY);
    y = (y + picture[1]).max(facts) + 4.0;
    y = leaf.heading([area.x, y], area.w, "Lines and arrows", 4.4);
    let high = key_height(lesson);
    leaf.picture(key(lesson, &look(&leaf.next_id()), area.w), [area.x, y]);
    y = leaf.paragraph([area.x, y + high + 1.0], area.w, HOW_IT_IS_DRAWN, BODY) + 4.0;
    y = measures(&mut leaf, lesson, y, area);
    (leaf, y)
}

/// With a capital letter.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map_or(String::new(), |c| c.to_uppercase().collect::<String>() + letters.as_str())
}

/// What must be on the table.
pub fn needs(lesson: &Lesson<'_>) -> Vec<String> {
    let Lesson { folded, plane, .. } = lesson;
    let [w, h] = folded.run.sheet.sheet_m;
    let grammage = decimals(folded.stock.grammage_kg_m2 * 1e3, 0);
    let begin = match folded.design.sheet.as_ref().is_some_and(|s| s.node.printed_down) {
        true => "down",
        false => "up",
    };
    let known = Paper::of([w, h].map(|m| m * 1e3)).map_or("", |p| match p.name {
        "Letter" => "US Letter, ",
        _ => "A4, ",
    });
    let mut out = vec![format!(
        "One sheet of paper, {known}{} wide and {} high, {grammage} g/m²; if it has a printed or \
         coloured side, begin with that side {begin}",
        lesson.units.length(w),
        lesson.units.length(h)
    )];
    if lesson.effort.measures > 0 {
        out.push("A ruler and a pencil".to_owned());
    }
    for mass in weights(plane) {
        out.push(format!("A {} of {} g", mass.name, decimals(mass.mass_kg * 1e3, 2)));
    }
    out.push("A hard table".to_owned());
    out
}

fn is_drawn(shown: &[StepShown<'_>], kind: FoldArrow) -> bool {
    shown.iter().any(|s| {
        let moves = !s.moves.ways.is_empty() && s.moves.arrow == kind;
        s.folds.iter().any(|f| f.kind == kind) || moves
    })
}

/// Arrows of the pictures, each with its name.
fn arrows_used(lesson: &Lesson<'_>) -> Vec<(FoldArrow, &'static str)> {
    let arrows = [
        (FoldArrow::Valley, "fold to the front"),
        (FoldArrow::Mountain, "fold behind"),
        (FoldArrow::Crease, "fold and open again"),
        (FoldArrow::Unfold, "open"),
        (FoldArrow::Tuck, "tuck under"),
        (FoldArrow::Push, "push in here"),
    ];
    arrows.into_iter().filter(|(kind, _)| is_drawn(&lesson.shown, *kind)).collect()
}

fn is_turned_over(lesson: &Lesson<'_>) -> bool {
    lesson.shown.iter().any(|s| s.turn == Some(Turn::Over))
}

/// What the key says in words.
pub const HOW_IT_IS_DRAWN: &str = "\
The printed side of the paper is dotted. Layers are drawn a little apart, so that you can tell \
them; on your paper their edges lie exactly on each other. Letters in circles are the places the \
words speak of.";

fn key_height(lesson: &Lesson<'_>) -> f64 {
    let signs = arrows_used(lesson).len() + usize::from(is_turned_over(lesson));
    5.0 + 11.0 * signs.div_ceil(3) as f64
}

/// Key of the lines and arrows in the pictures, so wide, mm.
pub fn key(lesson: &Lesson<'_>, look: &Look, width: f64) -> String {
    let size = [width, key_height(lesson)];
    let mut c = Canvas::new(look, size, "Key of the lines and arrows in the pictures.", "");
    let area = c.frame();
    signs(&mut c, area, lesson);
    c.finish()
}

/// The signs of the pictures, each with its name (Yoshizawa-Randlett).
fn signs(c: &mut Canvas<'_>, area: Rect, lesson: &Lesson<'_>) {
    let shown = &lesson.shown;
    let drawn = |kind: FoldArrow| is_drawn(shown, kind);
    let bent = |state: Assignment| {
        shown.iter().flat_map(|s| &s.moves.creases).any(|(_, drawn)| *drawn == state)
    };
    let open = shown.iter().any(|s| s.before.hinges.iter().any(|h| !s.before.is_folded(h)));
    let valley = [FoldArrow::Valley, FoldArrow::Crease, FoldArrow::Tuck].into_iter().any(drawn);
    let mountain = drawn(FoldArrow::Mountain) || bent(Assignment::Mountain);
    let column = area.w / 3.0;
    let lines = [
        (valley || bent(Assignment::Valley), Stroke::VALLEY, "valley: fold to the front"),
        (mountain, Stroke::MOUNTAIN, "mountain: fold behind"),
        (open, Stroke::CREASE, "a crease made before"),
    ];
    let used_lines = lines.into_iter().filter(|l| l.0);
    for (i, (_, stroke, label)) in used_lines.enumerate() {
        let (x, y) = (column * i as f64, 3.0);
        c.path(&Path::segment([x, y], [x + 14.0, y]), Paint::stroke(stroke));
        c.text([x + 16.0, y], label, Text::SMALL.in_ink(Ink::Text).level());
    }
    let used = arrows_used(lesson);
    let place = |i: usize| [column * (i % 3) as f64, 12.0 + 11.0 * (i / 3) as f64];
    for (i, &(kind, label)) in used.iter().enumerate() {
        let [x, y] = place(i);
        // The wedge of a push ends where its arrow begins.
        let [from, to] = if kind == FoldArrow::Push { [9.0, 20.0] } else { [0.0, 14.0] };
        let low = if kind == FoldArrow::Push { y } else { y + 1.5 };
        arrows::fold_arrow(c, [x + from, low], [x + to, low], 0.28, kind);
        c.text([x + 16.0, y], label, Text::SMALL.in_ink(Ink::Text).level());
    }
    if !is_turned_over(lesson) {
        return;
    }
    let [x, y] = place(used.len());
    arrows::turn_over(c, [x + 7.0, y]);
    c.text([x + 18.0, y], "turn over, like a page", Text::SMALL.in_ink(Ink::Text).level());
}

/// How lengths are found without a ruler.
fn measures(leaf: &mut Leaf, lesson: &Lesson<'_>, top: f64, area: Rect) -> f64 {
    let ways = without_ruler(lesson);
    if ways.is_empty() {
        return top;
    }
    let mut y = leaf.heading([area.x, top], area.w, "Without a ruler", 4.4);
    let begin = "Before step 1, on the flat sheet. A pinch is a short crease, just at the edge.";
    y = leaf.paragraph([area.x, y], area.w, begin, BODY) + 1.0;
    leaf.list([area.x, y], area.w, &ways, BODY) + 4.0
}

/// How each length is found by folding, where it can be.
pub fn without_ruler(lesson: &Lesson<'_>) -> Vec<String> {
    let mut out = Vec::new();
    let mut ruler = Vec::new();
    for Measure { step, what, recipe, twice } in &lesson.measures {
        let Some(recipe) = recipe else {
            ruler.push(*step);
            continue;
        };
        let off = recipe.error_m * 1e3;
        let near = if off < 0.05 {
            "exactly".to_owned()
        } else {
            format!("within {}", lesson.units.length(recipe.error_m))
        };
        let folds = recipe.folds.join(" ");
        let opposite = if recipe.edge == Edge::Right { "left" } else { "right" };
        let again =
            if *twice { format!(" Do the same at the {opposite} edge.") } else { String::new() };
        out.push(format!("Step {step}, {what}: {folds} That is the place, {near}.{again}"));
    }
    ruler.dedup();
    if let (Some((last, rest)), false) = (ruler.split_last(), out.is_empty()) {
        let rest: Vec<String> = rest.iter().map(usize::to_string).collect();
        let steps = match rest.len() {
            0 => format!("Step {last}"),
            _ => format!("Steps {} and {last}", rest.join(", ")),
        };
        out.push(format!("{steps}: use the ruler."));
    }
    out
}

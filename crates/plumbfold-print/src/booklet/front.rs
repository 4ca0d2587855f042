//! The first page: the plane, what is needed, how hard it is, what the signs mean.

use plumbfold::design::ast::{Expr, Unit};
use plumbfold::design::print::expression;
use plumbfold::fold::state::Assignment;
use plumbfold::pipeline::FoldOutcome;
use plumbfold::plane::airframe::PointMass;
use plumbfold_draw::arrows::{self, FoldArrow};
use plumbfold_draw::pose;
use plumbfold_draw::steps::{StepShown, Turn};
use plumbfold_draw::style::{Ink, Look, Stroke};
use plumbfold_draw::svg::{Canvas, Paint, Path, Rect};
use plumbfold_draw::text::{Text, decimals};

use super::{Lesson, weights};
use crate::leaf::{BODY, Flow, Leaf};
use crate::measures::Measure;
use crate::page::{Paper, look};
use crate::reference::Edge;

/// The first page and, where its lists are long, more; the steps follow where it ends.
pub fn pages(lesson: &Lesson<'_>, paper: Paper, id: &str) -> Flow {
    let mut leaf = Leaf::new(paper, id);
    leaf.bookmark(&lesson.name);
    let area = leaf.area();
    let y = leaf.title([area.x, area.y], area.w, &lesson.name, 9.0);
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
    let y = (y + picture[1]).max(facts) + 4.0;
    let y = leaf.heading([area.x, y], area.w, "Lines and arrows", 4.4);
    let signs = key(lesson, &look(&leaf.next_id()), area.w);
    let y = leaf.picture(signs, [area.x, y]) + 1.0;
    let mut flow = Flow::below(leaf, y, paper, id);
    flow.paragraph(HOW_IT_IS_DRAWN, BODY);
    flow.y += 4.0;
    let ways = without_ruler(lesson);
    if !ways.is_empty() {
        flow.heading("Without a ruler", 4.4);
        flow.paragraph(ON_THE_FLAT_SHEET, BODY);
        flow.y += 1.0;
        flow.list(&ways, BODY);
        flow.y += 4.0;
    }
    flow
}

/// What a pinch is.
pub const ON_THE_FLAT_SHEET: &str =
    "Before step 1, on the flat sheet. A pinch is a short crease, just at the edge.";

/// More weights than this are counted where others are listed one by one.
const WEIGHTS_LISTED: usize = 4;

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
    let begin = match folded.design.sheet.as_ref().is_some_and(|s| s.node.printed_down) {
        true => "down",
        false => "up",
    };
    let known = Paper::of([w, h].map(|m| m * 1e3)).map_or("", |p| match p.name {
        "Letter" => "US Letter, ",
        _ => "A4, ",
    });
    let mut out = vec![format!(
        "One sheet of paper, {known}{} wide and {} high, {}; if it has a printed or \
         coloured side, begin with that side {begin}",
        lesson.units.length(w),
        lesson.units.length(h),
        paper_weight(folded)
    )];
    if lesson.effort.measures > 0 {
        out.push("A ruler and a pencil".to_owned());
    }
    match weights(plane) {
        few if few.len() <= WEIGHTS_LISTED => {
            let each = |m: &PointMass| format!("A {} of {} g", m.name, grams(m.mass_kg));
            out.extend(few.iter().map(each));
        }
        many => {
            let whole = grams(many.iter().map(|m| m.mass_kg).sum());
            out.push(format!("{} weights, {whole} g in all, as the last page says", many.len()));
        }
    }
    if lesson.said.iter().any(|s| s.angles > 0) {
        out.push("A protractor".to_owned());
    }
    out.push("A hard table".to_owned());
    out
}

fn grams(mass_kg: f64) -> String {
    decimals(mass_kg * 1e3, 2)
}

/// How heavy the paper is: as the design has it, and in g/m² where that is another number.
pub fn paper_weight(folded: &FoldOutcome) -> String {
    let grammage = format!("{} g/m²", decimals(folded.stock.grammage_kg_m2 * 1e3, 0));
    let written = folded.design.sheet.as_ref().and_then(|s| s.node.grammage.as_ref());
    match written.map(|e| &e.node) {
        Some(e @ Expr::Number(_, Unit::LbBond)) => {
            format!("{} bond ({grammage})", expression(e))
        }
        _ => grammage,
    }
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

/// Turns of the pictures, each with its name.
fn turns_used(lesson: &Lesson<'_>) -> Vec<(Turn, &'static str)> {
    let turns = || lesson.shown.iter().filter_map(|s| s.turn);
    let over = turns().find(|t| *t == Turn::Over).map(|t| (t, "turn over, like a page"));
    let rotated = turns().find(|t| *t != Turn::Over).map(|t| (t, "turn on the table"));
    over.into_iter().chain(rotated).collect()
}

/// What the key says in words.
pub const HOW_IT_IS_DRAWN: &str = "\
The printed side of the paper is dotted. Layers are drawn a little apart, so that you can tell \
them; on your paper their edges lie exactly on each other. Dots with letters from A on are marks that \
you make, and keep their letters; those from P on are places of one step.";

fn key_height(lesson: &Lesson<'_>) -> f64 {
    let signs = arrows_used(lesson).len() + turns_used(lesson).len();
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
    for (i, (turn, label)) in turns_used(lesson).into_iter().enumerate() {
        let [x, y] = place(used.len() + i);
        match turn {
            Turn::Over => arrows::turn_over(c, [x + 8.0, y]),
            Turn::By(angle) => arrows::rotate(c, [x + 8.0, y], angle),
        }
        c.text([x + 18.0, y], label, Text::SMALL.in_ink(Ink::Text).level());
    }
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

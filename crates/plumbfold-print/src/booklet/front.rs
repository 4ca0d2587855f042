//! The first page: the plane, what is needed, how hard it is, what the signs mean.

use plumbfold_draw::arrows::{self, FoldArrow};
use plumbfold_draw::pose;
use plumbfold_draw::style::{Ink, Stroke};
use plumbfold_draw::svg::{Canvas, Paint, Path, Rect};
use plumbfold_draw::text::{Text, decimals, mm};

use super::Lesson;
use crate::leaf::{BODY, Leaf};
use crate::measures::Measure;
use crate::page::{Paper, look};

pub fn leaf(lesson: &Lesson<'_>, paper: Paper, id: &str) -> Leaf {
    let mut leaf = Leaf::new(paper, id);
    leaf.bookmark(&lesson.name);
    let area = leaf.area();
    let mut y = leaf.heading([area.x, area.y], area.w, &lesson.name, 9.0);
    let picture = [area.w * 0.55, 74.0];
    let look = look(&leaf.next_id());
    let svg = pose::turned(&look, &lesson.plane.airframe, 0.55, 0.5, picture);
    let right = area.x + picture[0] + 4.0;
    leaf.picture(svg, [area.x, y]);
    let width = area.right() - right;
    let mut facts = leaf.heading([right, y + 4.0], width, "You need", 4.4);
    facts = leaf.list([right, facts], width, &needs(lesson), BODY);
    let effort = &lesson.effort;
    facts = leaf.heading([right, facts + 2.5], width, "How hard, how long", 4.4);
    let words = format!(
        "{} ({} of 3), about {} minutes. {}",
        capital(effort.difficulty_words()),
        effort.difficulty,
        effort.minutes(),
        effort.how()
    );
    facts = leaf.paragraph([right, facts], width, &words, BODY);
    y = (y + picture[1]).max(facts) + 4.0;
    y = leaf.heading([area.x, y], area.w, "Lines and arrows", 4.4);
    let key = Rect::new(area.x, y, area.w, 34.0);
    leaf.drawn(
        key,
        "Key of lines and arrows: valley, mountain, crease; fold to the front, fold \
                     behind, fold and open, open, turn over, rotate.",
        signs,
    );
    y = leaf.paragraph(
        [area.x, y + key.h + 1.0],
        area.w,
        "The printed side of the paper is dotted. Layers are drawn a little apart, so that you \
         can tell them; on your paper their edges lie exactly on each other. Letters in circles \
         are the places the words speak of.",
        BODY,
    ) + 4.0;
    measures(&mut leaf, lesson, y, area);
    leaf
}

fn capital(words: &str) -> String {
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
        true => "printed side down",
        false => "printed side up",
    };
    let mut out = vec![format!(
        "One sheet of paper, {} wide and {} high, {grammage} g/m²; begin {begin}, as in the picture",
        mm(w),
        mm(h)
    )];
    if lesson.effort.measures > 0 {
        out.push("A ruler and a pencil".to_owned());
    }
    for mass in &plane.airframe.point_masses {
        out.push(format!("A {} of {} g", mass.name, decimals(mass.mass_kg * 1e3, 2)));
    }
    out.push("A hard table".to_owned());
    out
}

/// The signs of the pictures, each with its name (Yoshizawa-Randlett).
fn signs(c: &mut Canvas<'_>, area: Rect) {
    let column = area.w / 3.0;
    let lines = [
        (Stroke::VALLEY, "valley: fold to the front"),
        (Stroke::MOUNTAIN, "mountain: fold behind"),
        (Stroke::CREASE, "a crease made before"),
    ];
    for (i, (stroke, label)) in lines.into_iter().enumerate() {
        let (x, y) = (column * i as f64, 3.0);
        c.path(&Path::segment([x, y], [x + 14.0, y]), Paint::stroke(stroke));
        c.text([x + 16.0, y], label, Text::SMALL.in_ink(Ink::Text).level());
    }
    let arrows = [
        (FoldArrow::Valley, "fold to the front"),
        (FoldArrow::Mountain, "fold behind"),
        (FoldArrow::Crease, "fold and open again"),
        (FoldArrow::Unfold, "open"),
        (FoldArrow::Tuck, "tuck under"),
    ];
    let place = |i: usize| [column * (i % 3) as f64, 12.0 + 11.0 * (i / 3) as f64];
    for (i, (kind, label)) in arrows.into_iter().enumerate() {
        let [x, y] = place(i);
        arrows::fold_arrow(c, [x, y + 1.5], [x + 14.0, y + 1.5], 0.28, kind);
        c.text([x + 16.0, y], label, Text::SMALL.in_ink(Ink::Text).level());
    }
    let [x, y] = place(5);
    arrows::turn_over(c, [x + 7.0, y]);
    c.text([x + 18.0, y], "turn over, like a page", Text::SMALL.in_ink(Ink::Text).level());
}

/// How lengths are found without a ruler.
fn measures(leaf: &mut Leaf, lesson: &Lesson<'_>, top: f64, area: Rect) {
    let ways = without_ruler(lesson);
    if ways.is_empty() {
        return;
    }
    let mut y = leaf.heading([area.x, top], area.w, "Without a ruler", 4.4);
    let begin = "Before step 1, on the flat sheet. A pinch is a short crease, just at the edge.";
    y = leaf.paragraph([area.x, y], area.w, begin, BODY) + 1.0;
    leaf.list([area.x, y], area.w, &ways, BODY);
}

/// How each length is found by folding, where it can be.
pub fn without_ruler(lesson: &Lesson<'_>) -> Vec<String> {
    let mut out = Vec::new();
    let mut ruler = Vec::new();
    for Measure { step, what, recipe } in &lesson.measures {
        let Some(recipe) = recipe else {
            ruler.push(step.to_string());
            continue;
        };
        let off = recipe.error_m * 1e3;
        let near = if off < 0.05 {
            "exactly".to_owned()
        } else {
            format!("within {} mm", decimals(off, 1))
        };
        let folds = recipe.folds.join(" ");
        out.push(format!("Step {step}, {what}: {folds} That is the place, {near}."));
    }
    if !ruler.is_empty() && !out.is_empty() {
        out.push(format!(
            "Step {}: three folds come no nearer than half a millimetre; use the ruler.",
            ruler.join(", ")
        ));
    }
    out
}

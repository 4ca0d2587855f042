//! The first page: the plane, what is needed, how hard it is, what the signs mean.

use plumbfold::design::ast::{Expr, Unit};
use plumbfold::design::print::expression;
use plumbfold::fold::state::Assignment;
use plumbfold::paper::{NamedSize, named_size};
use plumbfold::pipeline::FoldOutcome;
use plumbfold::plane::airframe::PointMass;
use plumbfold_draw::arrows::{self, FoldArrow};
use plumbfold_draw::pose;
use plumbfold_draw::steps::{StepShown, Turn};
use plumbfold_draw::style::{Ink, Look, Stroke};
use plumbfold_draw::svg::{Canvas, Paint, Path};
use plumbfold_draw::text::{Text, decimals};

use super::{Lesson, thing, weights};
use crate::leaf::{BODY, Flow, Leaf};
use crate::measures::Measure;
use crate::page::{Paper, look, same};
use crate::reference::{Edge, Found};

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
    let begin = if folded.run.sheet.printed_down { "down" } else { "up" };
    let is_own =
        |s: &NamedSize| same([s.short_m, s.long_m].map(|m| m * 1e3), [w, h].map(|m| m * 1e3));
    let known = match ["A3", "A4", "A5", "Letter"].into_iter().filter_map(named_size).find(is_own) {
        Some(NamedSize { name: "Letter", .. }) => "US Letter, ".to_owned(),
        Some(NamedSize { name, .. }) => format!("{name}, "),
        None => String::new(),
    };
    let mut out = vec![format!(
        "One sheet of paper, {known}{} wide and {} high, {}; if it has a printed or \
         coloured side, begin with that side {begin}",
        lesson.units.length(w),
        lesson.units.length(h),
        paper_weight(folded)
    )];
    if lesson.effort.measures > 0 {
        let found = lesson.measures.iter().any(|m| m.recipe.is_some());
        let or = if found { ", or folds instead of the ruler: see below" } else { "" };
        out.push(format!("A ruler and a pencil{or}"));
    }
    match weights(plane) {
        few if few.len() <= WEIGHTS_LISTED => {
            let each = |m: &PointMass| format!("A {} ({} g)", thing(m), grams(m.mass_kg));
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

/// What the key says in words.
pub const HOW_IT_IS_DRAWN: &str = "\
The printed side of the paper is dotted. Layers are drawn a little apart, so that you can tell \
them, and of many only a few; on your paper their edges lie exactly on each other. Dots with letters \
from A on are marks that you make, and keep their letters; those from P on are places of one step.";

/// A sign of the pictures (Yoshizawa-Randlett).
#[derive(Clone, Copy)]
pub enum Sign {
    Line(Stroke),
    Arrow(FoldArrow),
    Repeat,
    Turn(Turn),
}

/// Width and height of a sign, mm.
pub const SIGN: [f64; 2] = [22.0, 11.0];
/// The same of a line.
const LINE: [f64; 2] = [22.0, 6.0];

impl Sign {
    fn size(self) -> [f64; 2] {
        if matches!(self, Self::Line(_)) { LINE } else { SIGN }
    }

    /// Into a place of its size.
    fn draw(self, c: &mut Canvas<'_>, [x, top]: [f64; 2]) {
        let y = top + self.size()[1] / 2.0;
        match self {
            Self::Line(stroke) => {
                c.path(&Path::segment([x + 1.0, y], [x + 19.0, y]), Paint::stroke(stroke));
            }
            Self::Arrow(kind) => {
                // The wedge of a push ends where its arrow begins.
                let (from, to, y) = match kind {
                    FoldArrow::Push => (9.0, 20.0, y),
                    _ => (1.0, 17.0, y + 1.5),
                };
                arrows::fold_arrow(c, [x + from, y], [x + to, y], 0.28, kind);
            }
            Self::Repeat => {
                let [from, to] = [[x + 1.0, y + 1.5], [x + 17.0, y + 1.5]];
                arrows::fold_arrow(c, from, to, 0.28, FoldArrow::Valley);
                arrows::repeat(c, from, to, 0.28);
            }
            Self::Turn(Turn::Over) => arrows::turn_over(c, [x + 9.0, y]),
            Self::Turn(Turn::By(angle)) => arrows::rotate(c, [x + 9.0, y], angle),
        }
    }

    /// As a picture of its own; its name stands beside it.
    pub fn picture(self, look: &Look) -> String {
        let mut c = Canvas::new(look, self.size(), "", "");
        self.draw(&mut c, [0.0, 0.0]);
        c.finish()
    }
}

/// The signs that the pictures use, each with its name: lines first.
pub fn signs(lesson: &Lesson<'_>) -> Vec<(Sign, &'static str)> {
    let shown = &lesson.shown;
    let drawn = |kind: FoldArrow| is_drawn(shown, kind);
    let bent = |state: Assignment| {
        shown.iter().flat_map(|s| &s.moves.creases).any(|(_, drawn)| *drawn == state)
    };
    let open = shown.iter().any(|s| s.before.hinges.iter().any(|h| !s.before.is_folded(h)));
    let valley = [FoldArrow::Valley, FoldArrow::Crease, FoldArrow::Tuck].into_iter().any(drawn);
    let mountain = drawn(FoldArrow::Mountain) || bent(Assignment::Mountain);
    let turn = |wanted: fn(&Turn) -> bool| shown.iter().filter_map(|s| s.turn).find(wanted);
    let line = |used: bool, stroke| used.then_some(Sign::Line(stroke));
    let repeat = shown.iter().any(StepShown::is_repeated_behind).then_some(Sign::Repeat);
    let arrow = |kind| drawn(kind).then_some(Sign::Arrow(kind));
    let all = [
        (line(valley || bent(Assignment::Valley), Stroke::VALLEY), "valley: fold to the front"),
        (line(mountain, Stroke::MOUNTAIN), "mountain: fold behind"),
        (line(open, Stroke::CREASE), "a crease made before"),
        (arrow(FoldArrow::Valley), "fold to the front"),
        (arrow(FoldArrow::Mountain), "fold behind"),
        (arrow(FoldArrow::Crease), "fold and open again"),
        (arrow(FoldArrow::Unfold), "open"),
        (arrow(FoldArrow::Tuck), "tuck under"),
        (arrow(FoldArrow::Push), "push in here"),
        (repeat, "and the same behind"),
        (turn(|t| *t == Turn::Over).map(Sign::Turn), "turn over, like a page"),
        (turn(|t| *t != Turn::Over).map(Sign::Turn), "turn on the table"),
    ];
    all.into_iter().filter_map(|(sign, name)| Some((sign?, name))).collect()
}

/// Signs in a row of the key.
const IN_A_ROW: usize = 3;

/// Key of the lines and arrows in the pictures, so wide, mm.
fn key(lesson: &Lesson<'_>, look: &Look, width: f64) -> String {
    let all = signs(lesson);
    let (lines, others): (Vec<_>, Vec<_>) =
        all.into_iter().partition(|(sign, _)| matches!(sign, Sign::Line(_)));
    let rows: Vec<_> = lines.chunks(IN_A_ROW).chain(others.chunks(IN_A_ROW)).collect();
    let height = |row: &[(Sign, &str)]| row.iter().map(|s| s.0.size()[1]).fold(0.0, f64::max);
    let size = [width, rows.iter().map(|row| height(row)).sum()];
    let mut c = Canvas::new(look, size, "Key of the lines and arrows in the pictures.", "");
    let mut y = 0.0;
    for row in rows {
        for (i, &(sign, name)) in row.iter().enumerate() {
            let x = width / IN_A_ROW as f64 * i as f64;
            sign.draw(&mut c, [x, y]);
            let at = [x + sign.size()[0], y + height(row) / 2.0];
            c.text(at, name, Text::SMALL.in_ink(Ink::Text).level());
        }
        y += height(row);
    }
    c.finish()
}

/// How each length is found by folding, where it can be; nothing where none is.
pub fn without_ruler(lesson: &Lesson<'_>) -> Vec<String> {
    let mut out = Vec::new();
    let mut ruler = Vec::new();
    for measure in &lesson.measures {
        let Measure { step, what, recipe, twice, .. } = measure;
        let Some(recipe) = recipe else {
            ruler.push(*step);
            continue;
        };
        let sign = measure.sign();
        let off = recipe.error_m * 1e3;
        // Never told as less than it is.
        let near = match off {
            o if o < 0.05 => "exactly".to_owned(),
            o => format!("within {}", lesson.units.length((o * 10.0 - 1e-6).ceil() * 1e-4)),
        };
        let folds = recipe.folds.join(" ");
        let again = match recipe.found {
            _ if !twice => "",
            Found::Pinch(Edge::Right) => " Do the same at the left edge.",
            Found::Pinch(Edge::Left) => " Do the same at the right edge.",
            _ => " Do the same with left and right exchanged, for the other half.",
        };
        out.push(format!(
            "Step {step}, {what}: {folds} That is the place, {near}: \
             write {sign} beside it.{again}"
        ));
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

//! One page to pin up beside the line: the plane, its balance, its throw, what to do when it
//! misbehaves, and room for ten throws.

use plumbfold::pipeline::{Analysed, Balanced};
use plumbfold::plane::airframe::TrimSurface;
use plumbfold::verdict::reasons::Reasons;
use plumbfold_draw::fit::Size;
use plumbfold_draw::pose;
use plumbfold_draw::split::{BalanceMarks, split};
use plumbfold_draw::style::{Ink, Stroke, weight};
use plumbfold_draw::svg::{Canvas, Paint, Path, Rect};
use plumbfold_draw::text::{Text, decimals, percent};
use plumbfold_draw::units::Units;
use plumbfold_view::flight::Verdict;
use plumbfold_view::sentences;

use crate::booklet::{last_touches, paper_weight};
use crate::leaf::{BODY, Leaf};
use crate::page::{Page, Paper, look};
use crate::surface::bends;

/// Throws there is room for.
const THROWS: usize = 10;

/// Sizes of what is written, of the usual: smaller where there is more to say.
const SIZES: [f64; 6] = [1.0, 0.96, 0.92, 0.86, 0.8, 0.7];
/// Least height of the table, mm: rows that can be written in.
const TABLE_LEAST: f64 = 58.0;
/// Touches that are listed, the balance and the throw among them.
const TOUCHES: usize = 9;

/// The page.
pub fn page(a: &Analysed, reasons: &Reasons, paper: Paper, units: Units) -> Page {
    let v = Verdict::new(&a.verdict, reasons, &a.balanced);
    let said = Said {
        facts: facts(a, units),
        touches: few(last_touches(&a.balanced, units)),
        verdict: verdict(&v, units),
        remedies: remedies(&v, &a.balanced, units),
    };
    let full = |size: f64| written(a, &said, paper, size);
    let fits = |(leaf, y): &(Leaf, f64)| y + TABLE_LEAST <= leaf.area().bottom();
    let (mut leaf, y) =
        SIZES.iter().map(|&s| full(s)).find(fits).unwrap_or_else(|| full(SIZES[SIZES.len() - 1]));
    let area = leaf.area();
    let free = area.bottom() - y - 1.0;
    let table = Rect::new(area.x, y, area.w, free.clamp(30.0, 66.0));
    leaf.drawn(table, "A table for ten throws: number, distance, time, what it did.", |c, at| {
        throws(c, at, units)
    });
    leaf.finish("Flight card", 1)
}

/// What the page says.
struct Said {
    facts: Vec<String>,
    touches: Vec<String>,
    verdict: Vec<String>,
    remedies: Vec<String>,
}

/// The first and the last of many touches: the balance and the throw end them.
fn few(touches: Vec<String>) -> Vec<String> {
    let left_out = touches.len().saturating_sub(TOUCHES);
    if left_out == 0 {
        return touches;
    }
    let (first, last) = (&touches[..TOUCHES - 2], &touches[touches.len() - 2..]);
    let more = format!("And {left_out} more bends or weights, as the folding steps list them.");
    [first, &[more], last].concat()
}

/// All but the table, and where that begins.
fn written(a: &Analysed, said: &Said, paper: Paper, size: f64) -> (Leaf, f64) {
    let (body, heading) = (BODY.sized(BODY.size * size), 4.4 * size);
    let mut leaf = Leaf::new(paper, "card");
    leaf.bookmark(&a.balanced.airframe.name);
    let area = leaf.area();
    let (left, gap) = (area.w * 0.5, 6.0);
    let right = Rect::new(area.x + left + gap, area.y, area.w - left - gap, area.h);
    let mut y = leaf.title([area.x, area.y], area.w, &a.balanced.airframe.name, 8.0);
    let top = y;

    // Pictures give way before letters do.
    let shrunk = 1.0 - 2.5 * (1.0 - size);
    let room = [left, 50.0 * shrunk];
    let picture = pose::turned(&look(&leaf.next_id()), &a.balanced.airframe, 0.55, 0.5, room);
    leaf.picture(picture, [area.x, y]);
    y += room[1];
    y = leaf.heading([area.x, y], left, "Where it balances", heading);
    let marks = BalanceMarks {
        cg_behind_nose_m: a.balanced.mass.behind_nose_m(),
        neutral_behind_nose_m: Some(a.aircraft.aero.neutral_point_behind_nose_m),
    };
    let room = Size::Within([left - 4.0, 56.0 * shrunk]);
    let name = &a.balanced.airframe.name;
    let svg = split(&look(&leaf.next_id()), name, &a.balanced.planform, marks, room);
    let under_pictures = leaf.picture(svg, [area.x - 6.0, y - 4.0]);

    let mut at = top;
    for (title, items) in [
        ("The plane", &said.facts),
        ("Before the throw", &said.touches),
        ("What it will do", &said.verdict),
    ] {
        at = leaf.heading([right.x, at], right.w, title, heading);
        at = leaf.list([right.x, at], right.w, items, body) + 1.5;
    }

    y = under_pictures.max(at) + 2.0;
    y = leaf.heading([area.x, y], area.w, "When it does something else", heading);
    y = leaf.list([area.x, y], area.w, &said.remedies, body) + 1.5;
    // The warning comes before the throws are counted.
    let caution = "Throw one at a time, from a line, where nobody stands in front: never at people, \
                   animals or at the height of eyes. Local rules and the adults in charge come first.";
    y = leaf.paragraph([area.x, y], area.w, caution, Text { strong: true, ..body }) + 2.0;
    (leaf, y)
}

fn facts(a: &Analysed, units: Units) -> Vec<String> {
    let mm = |length_m: f64| units.length(length_m);
    let plane = &a.balanced;
    let mut out = Vec::new();
    if let Some(folded) = plane.source.folded() {
        let [w, h] = folded.run.sheet.sheet_m;
        out.push(format!("Sheet {} by {}, {}", mm(w), mm(h), paper_weight(folded)));
    }
    out.push(format!(
        "Span {}, length {}, mass {} g",
        mm(plane.planform.span_m),
        mm(plane.airframe.length_m()),
        decimals(plane.mass.mass_kg * 1e3, 1)
    ));
    out.push(format!(
        "Balances {} behind the nose: {} of the wing area lies ahead of that",
        mm(plane.mass.behind_nose_m()),
        percent(plane.area_ahead_fraction)
    ));
    out
}

fn verdict(v: &Verdict, units: Units) -> Vec<String> {
    let mut out = vec![format!("Reckoned, not thrown: {}. {}", v.headline, v.exactly.said())];
    out.extend(sentences::a_little_off(v));
    out.extend(sentences::thrown(v).map(|thrown| format!("It glides {thrown}")));
    out.iter().map(|said| units.told(said)).collect()
}

/// What folders do about each misbehaviour (common practice, no source), with this plane's own
/// range where it is known.
fn remedies(v: &Verdict, plane: &Balanced, units: Units) -> Vec<String> {
    let behind_nose_mm = plane.mass.behind_nose_m() * 1e3;
    let uneven = bends(&plane.airframe.trims).iter().any(|t| t.surface != TrimSurface::Elevator);
    let but = if uneven { ", but for the bends above" } else { "" };
    let glides = |range: Option<String>| {
        range.map_or(String::new(), |range| units.told(&format!(" It glides {range}.")))
    };
    let bent = glides(sentences::bent(v));
    let balanced = glides(sentences::balanced_within(v, behind_nose_mm));
    vec![
        format!(
            "It dives: bend the rear edges of both wings up, a hair at a time, or throw a \
                 little harder.{bent}"
        ),
        format!(
            "It climbs, stops and drops: bend them down a hair, throw more gently and level, \
                 or put weight on the nose.{balanced}"
        ),
        format!("It turns to one side: look along it from behind and make both wings alike{but}."),
        "It flutters down like a leaf: the balance is too far back. Fold more forward or add \
         weight to the nose."
            .to_owned(),
    ]
}

/// A table with a row for each throw.
fn throws(c: &mut Canvas<'_>, area: Rect, units: Units) {
    let distance = match units {
        Units::Mm => "distance, m",
        Units::Inch => "distance, ft",
    };
    let columns = [
        ("throw", 0.0),
        (distance, 0.1),
        ("time, s", 0.28),
        ("what it did, what was changed", 0.42),
    ];
    let row = area.h / (THROWS + 1) as f64;
    let line = Paint::stroke(Stroke::solid(Ink::Soft, weight::HAIR));
    for i in 0..=THROWS + 1 {
        let y = row * i as f64;
        c.path(&Path::segment([0.0, y], [area.w, y]), line);
        if (1..=THROWS).contains(&i) {
            let at = [2.0, y + row / 2.0];
            c.text(at, &i.to_string(), Text::SMALL.in_ink(Ink::Text).level());
        }
    }
    for (label, start) in columns {
        let x = area.w * start;
        c.path(&Path::segment([x, 0.0], [x, area.h]), line);
        c.text([x + 2.0, row / 2.0], label, Text::SMALL.in_ink(Ink::Text).strong().level());
    }
    c.path(&Path::segment([area.w, 0.0], [area.w, area.h]), line);
}

//! The planform cut at the balance point: what a folder does with squared paper.

use plumbfold::numeric::geom::{TableLine, TablePoint, Vec2, clip_left};
use plumbfold::numeric::slabs::{Trapezoid, XY};
use plumbfold::plane::planform::Planform;

use crate::cells::{border, corners};
use crate::fit::{Bounds, Fit, Size};
use crate::frame::{self, Sample};
use crate::style::{Hatch, Ink, Look, Stroke, Theme, weight};
use crate::svg::{Canvas, Paint, Path, Rect};
use crate::text::{Text, percent};

/// Where the plane balances, for [`split`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BalanceMarks {
    /// Balance point behind the nose, m.
    pub cg_behind_nose_m: f64,
    /// Neutral point behind the nose, m, where it is known.
    pub neutral_behind_nose_m: Option<f64>,
}

/// The wing from above, nose at the top, cut at the balance point: both shares of the area, the
/// line with a quarter of the area ahead, and the mean aerodynamic chord.
pub fn split(
    look: &Look,
    name: &str,
    planform: &Planform,
    marks: BalanceMarks,
    size: Size,
) -> String {
    // The nose is the origin of x, forward; y runs to the right wing.
    let pieces = &planform.slabs.pieces;
    let cg = marks.cg_behind_nose_m;
    let outline = Bounds::of(pieces.iter().flat_map(corners));
    let le = planform.mac_le_behind_nose_m;
    let chord = Bounds { low: [0.0, -le - planform.mac_m], high: [0.0, -le] };
    let balance = Bounds { low: [0.0, -cg], high: [0.0, 0.0] };
    let all = outline.and(chord).and(balance);
    let ahead = planform.fraction_ahead(cg);

    const BAR: f64 = 26.0;
    // A page gives the measures beside the picture, where they follow its units.
    let (notes, room) = if look.standalone { (46.0, 9.4) } else { (24.0, 5.4) };
    let extent = match size {
        Size::Full => Fit::extent(&all, size),
        Size::Within([w, h]) => Fit::extent(&all, Size::Within([(w - BAR - notes).max(18.0), h])),
    };
    let items = [
        (Sample::Patch(Ink::Ahead, Hatch::Rising, ""), "area ahead of the balance point"),
        (Sample::Patch(Ink::Behind, Hatch::None, ""), "area behind it"),
    ];
    let width = extent[0] + BAR + notes;
    let key_top = extent[1] + 9.0;
    let content = [width, key_top + frame::key_height(&items, width)];
    let told = |length_m: f64| look.units.length(length_m);
    let note =
        format!("balances {} behind the nose, {} of the wing area ahead", told(cg), percent(ahead));
    let description = format!(
        "{note}. A quarter of the area lies ahead of {}. The mean aerodynamic chord is {} long and \
         begins {} behind the nose; the balance point lies at {} of it.",
        told(planform.quarter_area_behind_nose_m),
        told(planform.mac_m),
        told(le),
        percent(planform.mac_fraction(cg))
    );
    let (mut c, area) = frame::start(look, name, &note, &description, content);
    let into = Rect::new(area.x + BAR, area.y, extent[0], extent[1]);
    let fit = Fit::centred(&all, Fit::scale_of(&all, Size::Within(extent)), into);

    wing(&mut c, planform, cg, &fit);
    nose(&mut c, &outline, &fit);
    let length = if look.standalone { format!(" {}", told(planform.mac_m)) } else { String::new() };
    chord_bar(&mut c, planform, &fit, into.x - 9.0, &length);
    let notes = rules(&mut c, planform, &marks, &fit, into, room);
    share_labels(&mut c, planform, pieces, cg, &fit, &notes);
    if let Some(neutral) = marks.neutral_behind_nose_m {
        frame::neutral_mark(&mut c, fit.at([0.0, -neutral]), 1.9);
    }
    frame::balance_mark(&mut c, fit.at([0.0, -cg]), MARK);
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}

/// The wing in its two shares, drawn for a fit of its slabs.
pub(crate) fn wing(c: &mut Canvas<'_>, planform: &Planform, cg: f64, fit: &Fit) {
    let pieces = &planform.slabs.pieces;
    shares(c, pieces, cg, fit);
    let lines = border(pieces)
        .into_iter()
        .fold(Path::new(), |path, (a, b)| path.and(&Path::segment(fit.at(a), fit.at(b))));
    c.path(&lines, Paint::stroke(Stroke::EDGE.in_ink(Ink::Text)));
}

/// Where the plane begins, if its nose reaches ahead of the wing.
fn nose(c: &mut Canvas<'_>, wing: &Bounds, fit: &Fit) {
    let (tip, root) = (fit.at([0.0, 0.0]), fit.at([0.0, wing.high[1]]));
    if root[1] - tip[1] < 3.0 {
        return;
    }
    let middle = Path::segment(tip, root)
        .and(&Path::segment([tip[0] - 3.0, tip[1]], [tip[0] + 3.0, tip[1]]));
    c.named_path("nose", &middle, Paint::stroke(Stroke::AXIS));
    c.text([tip[0] + 4.4, tip[1]], "nose of the keel", Text::SMALL.level());
}

/// Both parts of the area.
fn shares(c: &mut Canvas<'_>, pieces: &[Trapezoid], cg: f64, fit: &Fit) {
    let cut = TableLine { at: TablePoint::new(0.0, -cg), dir: Vec2::new(1.0, 0.0) };
    let part = |line: &TableLine| {
        pieces.iter().fold(Path::new(), |path, t| {
            let p = corners(t).map(|[x, y]| TablePoint::new(x, y));
            let kept = clip_left(&p, line);
            if kept.len() < 3 {
                return path;
            }
            path.and(&fit.polygon(kept.iter().map(|p| [p.x, p.y])))
        })
    };
    let (ahead, behind) = (part(&cut), part(&cut.reversed()));
    c.named_path("area-behind", &behind, Paint::fill(Ink::Behind));
    c.named_path("area-ahead", &ahead, Paint::fill(Ink::Ahead));
    c.pattern(&ahead, Hatch::Rising, Ink::Edge);
}

/// Mean aerodynamic chord as a bar beside the wing, with its quarter point.
fn chord_bar(c: &mut Canvas<'_>, planform: &Planform, fit: &Fit, x: f64, length: &str) {
    let le = -planform.mac_le_behind_nose_m;
    let place = |t: f64| [x, fit.at([0.0, le - planform.mac_m * t])[1]];
    c.group("mean-aerodynamic-chord", |c| {
        let (a, b) = (place(0.0), place(1.0));
        let bar = Rect::new(x - 1.1, a[1], 2.2, b[1] - a[1]);
        c.path(&Path::rect(bar), Paint::both(Ink::Ground, Stroke::solid(Ink::Text, weight::LINE)));
        let quarter = place(0.25);
        let first = Rect::new(x - 1.1, a[1], 2.2, quarter[1] - a[1]);
        c.named_path("mac", &Path::rect(first), Paint::fill(Ink::Text));
        let tick = Path::segment([x - 2.6, quarter[1]], [x + 2.6, quarter[1]]);
        c.path(&tick, Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
        c.text([x - 3.4, quarter[1]], "¼", Text::LABEL.end().level());
        // Below the letters of the quarter.
        let top = quarter[1] + 2.6;
        let mid = [x - 4.6, (top + b[1]) / 2.0];
        let room = b[1] - top - 0.5;
        let names = ["mean aerodynamic chord", "mean chord", "MAC"];
        let fits = |name: &&str| Text::SMALL.width(&format!("{name}{length}")) < room;
        match names.iter().find(|n| fits(n)) {
            Some(name) => {
                let style = Text::SMALL.in_ink(Ink::Text).middle().turned();
                c.text(mid, &format!("{name}{length}"), style);
            }
            // A page names it beside the picture.
            None if !c.look.standalone => {}
            None => {
                let style = Text::SMALL.in_ink(Ink::Text).middle();
                c.text([x, b[1] + 4.0], &format!("MAC{length}"), style);
            }
        }
    });
}

/// Level lines at the places that matter, each with its note on the right; notes are pushed apart
/// where the places lie close together. Where the notes stand.
fn rules(
    c: &mut Canvas<'_>,
    planform: &Planform,
    marks: &BalanceMarks,
    fit: &Fit,
    into: Rect,
    room: f64,
) -> Rect {
    struct Note {
        y: f64,
        word: &'static str,
        measure: String,
        small: String,
    }
    let told = |length_m: f64| c.look.units.length(length_m);
    let level = |behind: f64| fit.at([0.0, -behind])[1];
    let middle = fit.at([0.0, 0.0])[0];
    let quarter = planform.quarter_area_behind_nose_m;
    let mut notes = vec![
        Note {
            y: level(marks.cg_behind_nose_m),
            word: "balance",
            measure: told(marks.cg_behind_nose_m),
            small: format!("{} of the MAC", percent(planform.mac_fraction(marks.cg_behind_nose_m))),
        },
        Note {
            y: level(quarter),
            word: "quarter area",
            measure: told(quarter),
            small: "25 % of the area ahead".to_owned(),
        },
    ];
    let overhang = 4.0;
    let across = |y: f64| Path::segment([into.x - overhang, y], [into.right() + overhang, y]);
    c.named_path(
        "quarter-area",
        &across(level(quarter)),
        Paint::stroke(Stroke::dashed(Ink::Text, weight::LINE, &[1.4, 1.0])),
    );
    c.named_path(
        "balance-line",
        &across(level(marks.cg_behind_nose_m)),
        Paint::stroke(Stroke::solid(Ink::Text, weight::BOLD)),
    );
    if let Some(neutral) = marks.neutral_behind_nose_m {
        notes.push(Note {
            y: level(neutral),
            word: "neutral point",
            measure: told(neutral),
            small: "ahead of it is stable".to_owned(),
        });
        let y = level(neutral);
        c.path(
            &Path::segment([middle, y], [into.right() + overhang, y]),
            Paint::stroke(Stroke::dashed(Ink::Soft, weight::THIN, &[0.4, 0.8])),
        );
    }
    notes.sort_by(|a, b| a.y.total_cmp(&b.y));
    let wanted: Vec<f64> = notes.iter().map(|n| n.y).collect();
    let places = spread(&wanted, room, into.y + 2.0, into.bottom().max(into.y + 3.0 * room));
    let measured = c.look.standalone;
    let x = into.right() + overhang;
    c.group("notes", |c| {
        for (note, &y) in notes.iter().zip(&places) {
            let leader = Path::polyline([[x, note.y], [x + 3.0, y], [x + 4.5, y]]);
            c.path(&leader, Paint::stroke(Stroke::AXIS));
            let strong = Text::SMALL.in_ink(Ink::Text).strong().level();
            if measured {
                c.text([x + 5.5, y], &format!("{} {}", note.word, note.measure), strong);
                c.text([x + 5.5, y + 3.7], &note.small, Text::SMALL.level());
            } else {
                c.text([x + 5.5, y], note.word, strong);
            }
        }
    });
    // Their lines begin at the places they speak of.
    let heights = || wanted.iter().chain(&places).copied();
    let (top, bottom) = (heights().fold(f64::MAX, f64::min), heights().fold(f64::MIN, f64::max));
    Rect::new(x, top - 2.0, c.size[0] - x, bottom - top + 4.0)
}

/// Sorted places moved as little as it takes to stand `room` apart within limits.
pub fn spread(wanted: &[f64], room: f64, low: f64, high: f64) -> Vec<f64> {
    let mut at: Vec<f64> = wanted.to_vec();
    // Clusters grow until they stand clear; a handful of notes settles in as many rounds.
    for _ in 0..at.len() * 4 {
        for i in 1..at.len() {
            let gap = room - (at[i] - at[i - 1]);
            if gap > 0.0 {
                at[i - 1] -= gap / 2.0;
                at[i] += gap / 2.0;
            }
        }
    }
    let over = at.last().map_or(0.0, |&l| (l - high).max(0.0));
    at.iter_mut().for_each(|y| *y -= over);
    let under = at.first().map_or(0.0, |&f| (low - f).max(0.0));
    at.iter_mut().for_each(|y| *y += under);
    at
}

/// Radius of the mark of the balance point, mm.
const MARK: f64 = 2.4;

/// The two shares, each written where its part is widest along the middle.
fn share_labels(
    c: &mut Canvas<'_>,
    planform: &Planform,
    pieces: &[Trapezoid],
    cg: f64,
    fit: &Fit,
    notes: &Rect,
) {
    let ahead = planform.fraction_ahead(cg);
    // Where along x half of that share lies: inside the part, and where most of it is.
    let middle_of = |share: f64| planform.place_of_fraction(share);
    for (share, behind) in
        [(ahead, middle_of(ahead * 0.62)), (1.0 - ahead, middle_of(ahead + (1.0 - ahead) * 0.5))]
    {
        let half = half_width(pieces, -behind);
        let [middle, y] = fit.at([0.0, -behind]);
        let content = percent(share);
        let letters = if c.look.standalone { Text::TITLE } else { Text::LABEL.strong() };
        let style = letters.centred().in_ink(Ink::Text);
        // On a broad wing beside the middle, where the marks stand.
        let beside = half * fit.scale / 2.0;
        let aside = beside * 2.0 > style.width(&content) + 4.0;
        let x = if aside { middle - beside } else { middle };
        let r = style.bounds([x, y], &content).inset(-1.3);
        let room = half * 2.0 * fit.scale;
        // Never over the mark of the balance point, nor on its line.
        let [_, line] = fit.at([0.0, -cg]);
        let on_mark = !aside && y + r.h / 2.0 > line - MARK && y - r.h / 2.0 < line + MARK;
        if room > r.w * 0.8 && !on_mark {
            c.group("share", |c| {
                c.path(&Path::rect(r), Paint::veil(Ink::Ground, 0.88));
                c.text([x, y], &content, style);
            });
        } else if c.look.theme != Theme::Page {
            // A slim part: beside it. A page has both shares beside the picture.
            let clear = r.h / 2.0 + 0.6;
            let y = if behind < cg { y.min(line - clear) } else { y.max(line + clear) };
            // As wide as the wing is at the line, since the letters stand down to there.
            let half = half.max(half_width(pieces, -cg));
            let letters = letters.level().in_ink(Ink::Text);
            let x = fit.at([half, 0.0])[0] + 2.0;
            // Above the notes, or below them, where it would run into them.
            let y = match x + letters.width(&content) > notes.x - 1.0 {
                true if behind < cg => y.min(notes.y - clear),
                true => y.max(notes.bottom() + clear),
                false => y,
            };
            c.text([x, y], &content, letters);
        }
    }
}

/// Half the width of the wing at a place along x, m.
fn half_width(pieces: &[Trapezoid], x: f64) -> f64 {
    let inside = pieces.iter().flat_map(|t| {
        [0.0, 0.25, 0.5, 0.75, 1.0].map(|u| {
            let y = t.y[0] + (t.y[1] - t.y[0]) * u;
            if t.contains(XY { x, y }) { y } else { 0.0 }
        })
    });
    inside.fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notes_stand_apart_and_stay_in_order() {
        let at = spread(&[10.0, 10.5, 11.0, 40.0], 8.0, 0.0, 100.0);
        assert!(at.windows(2).all(|w| w[1] - w[0] > 7.9), "{at:?}");
        assert!((at[3] - 40.0).abs() < 1.0, "{at:?}");
    }
}

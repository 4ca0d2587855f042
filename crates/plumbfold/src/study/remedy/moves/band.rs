//! A band folded down from the top edge before starting: more layers forward.
//!
//! ```text
//! valley top left corner onto centre, …     ->     valley parallel to top edge, 12 mm from it, …
//!                                                  valley fore_left onto centre, …
//! ```
//!
//! The folds that follow are made from the new top edge, as a folder would.

use super::{Amounts, Move, plain};
use crate::design::edit::replace_spans;
use crate::pipeline::Analysed;

/// Widest band, as a share of the sheet's length.
const REACH: f64 = 0.15;
/// What the top of the sheet is called afterwards. Longer phrases first.
const RENAMED: [(&str, &str); 4] = [
    ("top left corner", "fore_left"),
    ("top right corner", "fore_right"),
    ("top middle", "fore_middle"),
    ("top edge", "fore_edge"),
];

pub(super) fn moves<'a>(text: &'a str, a: &'a Analysed) -> Vec<Move<'a>> {
    let design = &a.balanced.folded.design;
    let (Some(first), Some(last)) = (design.steps.first(), design.steps.last()) else {
        return Vec::new();
    };
    let (start, end) = (first.span.start, last.span.end);
    let length_mm = a.balanced.folded.stock.length_m * 1e3;
    vec![Move {
        kind: "band",
        what: "folding a band down from the top edge before starting".into(),
        changed_let: None,
        unit: "mm",
        amounts: Amounts::up_to(length_mm * REACH, 8),
        hand_step: 2.0,
        charge: 4.0,
        edit: Box::new(move |amount| {
            let band = plain(amount, 2);
            let lines = format!(
                "valley parallel to top edge, {band} mm from it, moving top edge, call it fore_edge\n\
                 mark fore_left = (0 mm, length - {band} mm)\n\
                 mark fore_right = (width, length - {band} mm)\n\
                 mark fore_middle = (width / 2, length - {band} mm)\n"
            );
            let mut edits = vec![(start..start, lines)];
            edits.extend(renamings(text, start, end));
            replace_spans(text, &edits).ok()
        }),
        say: Box::new(|amount| {
            format!(
                "Fold a band of {} mm down from the top edge before you start, and go on from the \
                 new top edge.",
                plain(amount, 1)
            )
        }),
        numbers: Box::new(|amount| (0.0, amount)),
    }]
}

/// Every mention of the top of the sheet in the steps, comments left alone.
fn renamings(text: &str, start: usize, end: usize) -> Vec<(std::ops::Range<usize>, String)> {
    let mut edits = Vec::new();
    let mut at = start;
    while let Some(rest) = text.get(at..end).filter(|r| !r.is_empty()) {
        if rest.starts_with('#') {
            at += rest.find('\n').unwrap_or(rest.len());
            continue;
        }
        if let Some((phrase, name)) = RENAMED.iter().find(|(p, _)| rest.starts_with(p)) {
            edits.push((at..at + phrase.len(), (*name).to_owned()));
            at += phrase.len();
            continue;
        }
        at += rest.chars().next().map_or(1, char::len_utf8);
    }
    edits
}

//! Places measured out before a step.

use plumbfold::design::ast::{MarkTarget, Name, PointRef, Step};
use plumbfold::fold::state::Folded;
use plumbfold::numeric::geom::TablePoint;
use plumbfold_draw::paper::bounds;
use plumbfold_draw::units::Units;

use super::{ON_FOLD_M, Speaker};

/// Of marks just made, which the step itself does not use.
pub(super) fn for_later(marks: &[char], sentences: &[String]) -> Option<String> {
    let used = |letter: &char| sentences.iter().any(|s| s.contains(&format!("({letter})")));
    let later: Vec<String> =
        marks.iter().filter(|l| !used(l)).map(|letter| format!("({letter})")).collect();
    let (last, rest) = later.split_last()?;
    Some(match rest {
        [] => format!("The mark {last} is for a later step."),
        _ => format!("The marks {} and {last} are for a later step.", rest.join(", ")),
    })
}

/// Where a place lies on the model as it is, whatever the paper under it shows: how far from the
/// nearer side and from the nearer end.
pub(super) fn measured(letter: char, at: TablePoint, model: &Folded, units: Units) -> String {
    let (b, mm) = (bounds(model), |length_m: f64| units.length(length_m));
    let lies = match model.hinges.iter().any(|h| model.is_folded(h)) {
        true => "the model",
        false => "the sheet",
    };
    let from = |x: f64, [low, high]: [f64; 2], [near, far]: [&str; 2], [up, down]: [&str; 2]| match (
        x - low,
        high - x,
    ) {
        (d, _) if d.abs() < ON_FOLD_M => format!("at its {near} side"),
        (_, d) if d.abs() < ON_FOLD_M => format!("at its {far} side"),
        (a, b) if (a - b).abs() < ON_FOLD_M => {
            format!("half way between its {near} and its {far} side")
        }
        (a, b) if a < b => format!("{} {up} its {near} side", mm(a)),
        (_, b) => format!("{} {down} its {far} side", mm(b)),
    };
    let across = from(at.x, [b.low[0], b.high[0]], ["left", "right"], ["from"; 2]);
    let up = from(at.y, [b.low[1], b.high[1]], ["lower", "upper"], ["up from", "down from"]);
    format!("To find {letter}, measure on {lies} as it lies now: {across} and {up}.")
}

impl Speaker<'_> {
    /// A place to be measured out before the step.
    pub(super) fn mark(
        &mut self,
        (name, target): (&Name, &MarkTarget),
        step: &Step,
    ) -> Option<String> {
        let MarkTarget::Point(point) = target else { return None };
        let PointRef::Along { by, of, from } = &point.node else { return None };
        let length = self.values.length(by).ok()?;
        self.marked.extend(self.places.on_sheet(point));
        let line = self.places.line(of);
        // An end that the hand cannot reach is none to measure from.
        let (from, length, start) = match from {
            Some(p) if self.places.is_nameless(p) => match self.places.nearest_end(of, p, point) {
                Some((end, length)) => (end, length, None),
                None => (self.places.bare(p), length, Some(self.places.at(p)?)),
            },
            Some(p) => (self.places.bare(p), length, Some(self.places.at(p)?)),
            None => ("its lower end".to_owned(), length, self.places.lower_end(of)),
        };
        // Where the line was folded over itself the ruler shows another length than the flat sheet.
        let at = self.places.at(point)?;
        let as_told = start.is_none_or(|s| (s.distance(at) - length).abs() < ON_FOLD_M);
        let dot = self.places.letter_of_mark(name)?;
        let through = match dot.chars().find(|c| self.turned.contains(c)) {
            None => "",
            Some(_) if self.places.on_an_edge(point) => {
                ", round the edge so that both sides show it"
            }
            Some(_) => ", and another behind it on the other side of the paper",
        };
        let both = match step {
            Step::Fold(fold) => fold.sides.both(),
            _ => false,
        };
        let again = match both && !self.places.in_the_middle(point) {
            true if self.is_folded_in_two() => " Mark the half behind in the same place.",
            true => " Mark the other half of the sheet in the same place.",
            false => "",
        };
        if let (false, Some(letter)) = (as_told, dot.chars().find(|c| c.is_alphabetic())) {
            let told = measured(letter, at, self.places.model(), self.units);
            return Some(format!("{told} Make a small mark there{through}.{again}"));
        }
        Some(format!(
            "Measure {} along {line} from {from} and make a small mark{dot}{through}.{again}",
            self.units.length(length)
        ))
    }
}

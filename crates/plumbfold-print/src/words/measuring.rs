//! Places measured out before a step.

use plumbfold::design::ast::{MarkTarget, Name, PointRef, Step};
use plumbfold::numeric::geom::SheetPoint;
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

/// Where a place of the flat sheet lies.
pub(super) fn measured(letter: char, at: SheetPoint, [w, h]: [f64; 2], units: Units) -> String {
    let mm = |length_m: f64| units.length(length_m);
    let on = |a: f64, b: f64| (a - b).abs() < ON_FOLD_M;
    let across = format!("{} from the left", mm(at.x));
    let up = format!("{} up from the bottom", mm(at.y));
    let place = match () {
        () if on(at.x, 0.0) || on(at.x, w) => up,
        () if on(at.y, 0.0) || on(at.y, h) => across,
        () => format!("{across} and {up}"),
    };
    format!("To find {letter}, measure on the flat sheet, printed side up: {place}.")
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
        let (from, length) = match from {
            Some(p) if self.places.is_nameless(p) => {
                self.places.nearest_end(of, p, point).unwrap_or((self.places.bare(p), length))
            }
            Some(p) => (self.places.bare(p), length),
            None => ("its lower end".to_owned(), length),
        };
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
            true if self.is_folded_in_two() => " Do it on the half behind too.",
            true => " Do it on the other side too.",
            false => "",
        };
        Some(format!(
            "Measure {} along {line} from {from} and make a small mark{dot}{through}.{again}",
            self.units.length(length)
        ))
    }
}

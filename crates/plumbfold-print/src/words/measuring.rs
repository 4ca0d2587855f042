//! Places measured out before a step.

use plumbfold::design::ast::{LineRef, MarkTarget, Name, PointRef, Spanned, Step};
use plumbfold::fold::refs::{LaidLine, Piece};
use plumbfold::fold::state::Folded;
use plumbfold::numeric::geom::TablePoint;
use plumbfold_draw::paper::bounds;
use plumbfold_draw::units::Units;

use super::listed::Later;
use super::places::{Places, SAME_M, ends};
use super::{BESIDE_M, ON_FOLD_M, Speaker};
use crate::guides::layers_at;

/// Of marks just made, which the step itself does not use and a later one does.
pub(super) fn for_later(marks: &[char], later: &Later, sentences: &[String]) -> Option<String> {
    let used = |letter: &char| sentences.iter().any(|s| s.contains(&format!("({letter})")));
    let wanted = marks.iter().filter(|l| !used(l) && later.used.contains(l));
    let later: Vec<String> = wanted.map(|letter| format!("({letter})")).collect();
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

/// Where a ruler is laid.
struct Start {
    /// In words.
    words: String,
    /// Before the step.
    at: TablePoint,
    /// It can be seen, and is what the words call it.
    is_seen: bool,
    /// An end of the line that is not the place the text names: the length is that from here.
    is_near: bool,
}

impl Places<'_> {
    /// Where the ruler is laid on a line for a mark: at the place that the text names, at the end next
    /// to it where nothing shows that place, or at the lower end, which is the left one of a level line.
    fn start(
        &self,
        of: &Spanned<LineRef>,
        from: Option<&Spanned<PointRef>>,
        mark: &Spanned<PointRef>,
    ) -> Option<Start> {
        let laid = self.refs.line(of).ok()?;
        let own = from.filter(|p| !self.is_nameless(p));
        if let Some(p) = own {
            let words = self.bare(p);
            // A corner in the middle of an edge of the model has its like on the other side.
            let vague = ["the mark", "the corner at the"].iter().any(|w| words.starts_with(w));
            let is_told = !vague || matches!(p.node, PointRef::Named(_));
            let at = self.at(p)?;
            let is_seen = is_told && self.is_seen_from(&laid, at, self.at(mark)?);
            return Some(Start { words, at, is_seen, is_near: false });
        }
        let [a, b] = ends(&laid)?;
        let near = match from.and_then(|p| self.at(p)) {
            Some(hidden) if a.distance(hidden) < b.distance(hidden) => a,
            Some(_) => b,
            None if (a.y - b.y).abs() > SAME_M => {
                if a.y < b.y {
                    a
                } else {
                    b
                }
            }
            None => {
                if a.x < b.x {
                    a
                } else {
                    b
                }
            }
        };
        let to = self.at(mark)?;
        let d = near - to;
        let side = match (d.x.abs() > d.y.abs(), d.x > 0.0, d.y > 0.0) {
            (true, true, _) => "right",
            (true, false, _) => "left",
            (false, _, true) => "upper",
            (false, _, false) => "lower",
        };
        let is_near = from.is_some();
        let words = format!("its {side} end");
        Some(Start { words, at: near, is_seen: self.is_seen_from(&laid, near, to), is_near })
    }

    /// Whether no other paper lies over a line where the ruler begins: a little way from there to the
    /// mark, since the end itself may lie on the outline of what covers it.
    fn is_seen_from(&self, laid: &LaidLine, start: TablePoint, mark: TablePoint) -> bool {
        const AWAY_M: f64 = 2e-3;
        let model = self.refs.model;
        let apart = start.distance(mark);
        let at = start.lerp(mark, (AWAY_M / apart.max(AWAY_M)).min(0.5));
        let carries = |p: &&Piece| {
            let [a, b] = p.table;
            (a.distance(at) + at.distance(b) - a.distance(b)).abs() < SAME_M
        };
        let ranks = model.ranks();
        let own = laid.pieces.iter().filter(carries).map(|p| ranks[p.face]).max();
        !layers_at(model, at).any(|rank| Some(rank) > own)
    }
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
        let at = self.places.at(point)?;
        self.marked.extend(self.places.on_sheet(point));
        let line = self.places.line(of);
        let start = self.places.start(of, from.as_deref(), point)?;
        // A share of a line is told by its length; none is told of its very end.
        let apart = start.at.distance(at);
        if apart < BESIDE_M && !self.places.is_nameless(point) {
            self.marked.pop();
            return None;
        }
        let length = self.values.length(by).unwrap_or(apart);
        // Where the line was folded over itself, or the place lies under other paper, the ruler shows
        // something else than the flat sheet.
        let as_told = (start.is_near || (apart - length).abs() < ON_FOLD_M)
            && start.is_seen
            && !self.places.is_covered(point);
        let dot = self.places.letter_of_mark(name)?;
        let through = match dot.chars().find(|c| self.later.turned.contains(c)) {
            None => "",
            Some(_) if self.places.on_an_edge(point) => {
                ", round the edge so that both sides show it"
            }
            Some(_) => ", and another behind it on the other side of the paper",
        };
        let twin = dot.chars().any(|c| self.later.twins.contains(&c));
        let both = match step {
            Step::Fold(fold) => fold.sides.both() || twin,
            _ => twin,
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
        let length = self.units.length(if start.is_near { apart } else { length });
        let from = start.words;
        Some(format!(
            "Measure {length} along {line} from {from} and make a small mark{dot}{through}.{again}"
        ))
    }
}

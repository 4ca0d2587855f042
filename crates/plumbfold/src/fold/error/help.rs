//! How to mend a step that cannot be made.

use super::{FoldError, Problem, crease_of, mm};
use crate::design::print;
use crate::fold::apply::Refused;
use crate::fold::state::{FaceId, Hinge};
use crate::numeric::geom::{TableLine, TablePoint, clip_segment};

impl FoldError {
    /// How to mend it, where that can be said.
    pub(super) fn help(&self) -> Option<String> {
        if self.second_try.is_some() {
            return self.second_try.clone();
        }
        let text = match &self.problem {
            Problem::UnknownName { meant, .. } => {
                let meant = meant.as_ref()?;
                return Some(format!("did you mean `{meant}`?"));
            }
            Problem::WhichStretch { ways, .. } | Problem::EitherSide { ways, .. } => {
                return Some(format!("say which: `{}`", ways.join("`, or `")));
            }
            Problem::WhichCorner { ways } if ways.is_empty() => {
                "say which by the crease or the edge that ends there: `left end of NAME`"
            }
            Problem::WhichCorner { ways } => {
                let ways = ways.iter().map(|p| format!("`{}`", print::place(p)));
                let ways = ways.collect::<Vec<_>>().join(" or ");
                return Some(format!(
                    "say {ways}; the middle of a folded edge is `middle of NAME`, by the name of its \
                     crease"
                ));
            }
            Problem::Fold(Refused::FewerLayers { there, .. }) => {
                return Some(match there {
                    1 => "one layer is `top layer` or `bottom layer`".to_owned(),
                    there => format!("`top {there} layers` or `all layers` takes all of them"),
                });
            }
            Problem::CrossesElsewhere { with } if !with.is_empty() => {
                return Some(format!("on the paper there is `{}`", with.join("`, `")));
            }
            Problem::NotInTwo => {
                "fold it in two first, such as `mountain along centre`, or say which layers: \
                 `top layer`, `flap at P`"
            }
            Problem::NotBeyond => {
                "a line beside another runs between it and the end that moves: name that end by a \
                 place at its tip, such as `top corner of model`"
            }
            Problem::FoldedAlready { .. } => {
                "for the half behind, say `turn over` before this line, or end the first such line \
                 with `both sides`; `moving …` or `towards P` says another side of the line"
            }
            Problem::ThereAlready if self.before.in_halves() => {
                "in a model folded in two its halves lie on each other: bring the edge to the fold by \
                 the name of its crease; for the half behind say `turn over` before this line; a \
                 corner that is there now is `top left corner of model`"
            }
            Problem::ThereAlready => {
                "corners and edges are those of the unfolded sheet; a corner that is there now is \
                 `top left corner of model`, or the end of a crease: `top end of NAME`"
            }
            Problem::EitherWay { .. } => {
                "measure from an end, or along a stretch that begins there: `20 mm along line from \
                 top middle to top left corner`"
            }
            Problem::FoldedIn { .. } => {
                "name the folded edge (`call it NAME` where it is folded, then `NAME over by …`), \
                 `roll` the edge several times, or say `top layer` to fold the edge back alone"
            }
            Problem::NoSuchEnd { level: true } => "say `left end of …` or `right end of …`",
            Problem::NoSuchEnd { level: false } => "say `top end of …` or `bottom end of …`",
            Problem::BrokenLine { .. } => {
                "open the fold that bent it first: `unfold` alone opens the last one"
            }
            Problem::Ambiguous { candidates } => {
                return Some(self.choices(candidates));
            }
            Problem::NoSuchChoice { candidates, .. } => {
                return Some(self.choices(candidates));
            }
            Problem::NoSide { .. } => "say another place after `moving`",
            Problem::Fold(Refused::Tears { faces, edge }) if self.before.in_halves() => {
                return Some(self.torn_across(*faces, *edge));
            }
            Problem::Fold(Refused::Tears { .. }) => {
                "take more layers (`top 2 layers`, `all layers`), or the whole flap: \
                 `flap at P`"
            }
            Problem::Fold(Refused::Held { valley, hangs, .. }) => {
                return Some(held_help(*valley, *hangs).to_owned());
            }
            Problem::Fold(Refused::Joined { .. }) => {
                "let the line run through the foremost end of the centre, or ahead of it; \
                 `all layers` takes both halves to one side"
            }
            Problem::Fold(Refused::NothingMoves) => {
                "check the distance and which side should move (`moving …`)"
            }
            Problem::Fold(Refused::NothingBends) => {
                "check the line, or take other layers: `all layers`, `flap at P`"
            }
            Problem::Fold(Refused::Opens) => {
                "to open it say `unfold NAME`; for the half behind say `turn over` before this line"
            }
            Problem::Fold(Refused::Crosses { .. }) => {
                "let the flap land on top (leave out `inside`, `under`, `over`), or fold the \
                 layer in the way first"
            }
            Problem::NotFree { .. } => "open the fold that covers it first",
            Problem::Collapse(error) => return error.help(),
            Problem::NeverFolded => "say how: `valley along NAME`, or `mountain along NAME`",
            Problem::NothingBehind => "`both sides` makes it on the left and on the right",
            Problem::AnotherMirrored => {
                "measure from a line that both sides share, such as the centre, or write the fold \
                 once for each side"
            }
            Problem::HalvesDiffer => {
                "a fold before this one was made on one side only, or differs from side to side: \
                 look at the steps with `fold`"
            }
            Problem::CoversOther => {
                "make the flaps narrower than half the model, or write the fold once for each side, \
                 with the layers it takes: `top layer`"
            }
            Problem::OwnMirrorImage => {
                "leave out `both sides`; or crease the line it should be mirrored in first, such as \
                 `crease left edge onto right edge`"
            }
            Problem::NoCentre => "leave out `both sides`, and write the fold once for each side",
            Problem::NothingToUnfold => "name the fold to open: `unfold NAME`",
            _ => return None,
        };
        Some(text.to_owned())
    }

    /// What to do about a crease across the line that holds what moves to what stays: more layers
    /// would be those of the other half.
    fn torn_across(&self, [a, b]: [FaceId; 2], edge: [TablePoint; 2]) -> String {
        let on_edge = |h: &&Hinge| {
            let ends = self.before.hinge_on_table(h);
            h.faces.contains(&a) && h.faces.contains(&b) && edge.iter().all(|p| ends.contains(p))
        };
        let joint = self.before.hinges.iter().find(on_edge).map(|h| h.crease);
        let joint = joint.map_or("a crease".to_owned(), |c| crease_of(&self.before, c));
        let half = |f: FaceId| self.before.faces[f].moved_half;
        if half(a) != half(b) {
            return format!(
                "{joint} holds the two halves together across this line: let the line run clear of \
                 it; a trailing edge is bent by `trim elevator up 2 mm, 10 mm deep`, and what crosses \
                 both halves is folded before the model is folded in two"
            );
        }
        format!(
            "{joint} joins them across this line: let the line run clear of it, or fold this line \
             before that one"
        )
    }

    /// The creases that can be meant, each with the number that chooses it and where it runs.
    fn choices(&self, candidates: &[TableLine]) -> String {
        let corners = self.frame();
        let run = |line: &TableLine| {
            let reach = corners[0].distance(corners[2]);
            let middle = line.along(corners[0].lerp(corners[2], 0.5));
            let [a, b] = [middle - reach, middle + reach].map(|s| line.place(s));
            match clip_segment(a, b, &corners) {
                Some((s, t)) => [s, t].map(|s| mm(a.lerp(b, s / a.distance(b)))).join(" to "),
                None => mm(line.at),
            }
        };
        let numbered = candidates.iter().enumerate();
        let numbered = numbered.map(|(i, l)| format!("`take {}` runs from {}", i + 1, run(l)));
        format!("{}; or say `nearest P`", numbered.collect::<Vec<_>>().join(", "))
    }
}

/// Words that would take the paper in the way along, or get it out of the way.
fn held_help(valley: bool, hangs: bool) -> &'static str {
    match (valley, hangs) {
        (_, true) => {
            "`all layers` takes everything beyond the line along; or move the line, or open what \
             lies on it first"
        }
        (true, false) => {
            "`all layers` or more layers (`top 2 layers`) take it along; `inside` folds under it; \
             or open what lies on it first"
        }
        (false, false) => {
            "`all layers` or more layers (`bottom 2 layers`) take it along; `inside` folds in \
             between; or fold it towards you with `valley`"
        }
    }
}

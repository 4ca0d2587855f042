//! How to mend a step that cannot be made.

use super::{FoldError, Problem, mm};
use crate::design::print;
use crate::fold::apply::Refused;
use crate::numeric::geom::{TableLine, clip_segment};

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
            Problem::WhichStretch { ways, .. } => {
                return Some(format!("say which: `{}`", ways.join("`, or `")));
            }
            Problem::WhichCorner { ways } if ways.is_empty() => {
                "say which by the crease or the edge that ends there: `left end of NAME`"
            }
            Problem::WhichCorner { ways } => {
                let ways = ways.iter().map(|p| format!("`{}`", print::place(p)));
                return Some(format!("say {}", ways.collect::<Vec<_>>().join(" or ")));
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
            Problem::OwnMirrorImage => "leave out `both sides`",
            Problem::NoCentre => "leave out `both sides`, and write the fold once for each side",
            Problem::NothingToUnfold => "name the fold to open: `unfold NAME`",
            _ => return None,
        };
        Some(text.to_owned())
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

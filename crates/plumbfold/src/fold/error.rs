//! What can go wrong while a design is folded, with what a picture of the place needs.

mod help;

use std::sync::Arc;

use super::apply::{MAX_LAYERS, Refused};
use super::axis::Axis;
use super::collapse::CollapseError;
use super::layers::LayerError;
use super::layout::Layout;
use super::state::{Crease, CreaseId, Folded};
use crate::design::ast::{PointRef, Span};
use crate::design::diagnostic::Diagnostic;
use crate::design::limits::{MAX_KEPT_FACES, MAX_REPEAT_NESTING, MAX_STEPS};
use crate::numeric::geom::{TableLine, TablePoint};

/// A step that cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("step {step}: {problem}")]
pub struct FoldError {
    /// The step in the text.
    pub step_span: Span,
    /// The words at fault within it.
    pub span: Span,
    /// Which step, counted from 1 as people count them, repeats written out and marks left out.
    pub step: usize,
    /// It was the mirrored half of a `both sides` step: the line it was mirrored in.
    pub mirrored: Option<Axis>,
    /// What is wrong.
    #[source]
    pub problem: Problem,
    /// What would fold instead, where a small change of the words does it.
    pub second_try: Option<String>,
    /// What is wrong further down once that is mended.
    pub then: Option<Box<FoldError>>,
    /// The model before the step.
    pub before: Arc<Folded>,
}

/// What is wrong with a step.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Problem {
    /// A name that nothing bears.
    #[error("nothing is called `{name}` before this step")]
    UnknownName {
        /// As written.
        name: String,
        /// A name like it.
        meant: Option<String>,
    },
    /// A line where a place is due.
    #[error("`{name}` is a line, and a place is needed here")]
    NotAPlace {
        /// As written.
        name: String,
    },
    /// A place where a line is due.
    #[error("`{name}` is a place, and a line is needed here")]
    NotALine {
        /// As written.
        name: String,
    },
    /// A line whose pieces lie apart on the table.
    #[error("this line has been folded apart: its pieces do not lie on one line now")]
    BrokenLine {
        /// The pieces.
        pieces: Vec<[TablePoint; 2]>,
    },
    /// A line that lies in several stretches, any of which may be meant.
    #[error("`{line}` has been folded apart, and lies in {} stretches now", ways.len())]
    WhichStretch {
        /// As written.
        line: String,
        /// How to name each.
        ways: Vec<String>,
        /// The stretches.
        pieces: Vec<[TablePoint; 2]>,
    },
    /// A place that is not on the line it should choose a stretch of.
    #[error("this place is not on `{line}`")]
    NotOnLine {
        /// As written.
        line: String,
    },
    /// A distance from the middle of a line, which may be measured either way.
    #[error("from the middle of `{line}` this may go either way")]
    EitherWay {
        /// As written.
        line: String,
    },
    /// Paper beyond the edge that is to be folded over.
    #[error(
        "`{line}` lies folded in: other paper reaches {:.1} mm beyond it and would be folded over \
         with it", reach_m * 1e3
    )]
    FoldedIn {
        /// As written.
        line: String,
        /// How far the paper reaches, m.
        reach_m: f64,
    },
    /// A line whose ends do not lie apart in the direction asked for.
    #[error("this line has no such end")]
    NoSuchEnd {
        /// Its ends lie beside each other, not one above the other.
        level: bool,
    },
    /// A crease without any hinge left.
    #[error("there is no paper left along this line")]
    EmptyLine,
    /// Two places that are one place now.
    #[error("these two places lie on each other, so they give no line")]
    SamePlace {
        /// Where.
        at: TablePoint,
    },
    /// Lines that do not cross.
    #[error("these two lines do not cross")]
    NoCrossing {
        /// The lines.
        lines: [TableLine; 2],
    },
    /// A place outside the sheet.
    #[error("this place is not on the paper")]
    OffPaper,
    /// A corner of the model where several are as near.
    #[error("several corners of the model lie as far that way")]
    WhichCorner {
        /// Corners that lie that way and can be told apart.
        ways: Vec<PointRef>,
    },
    /// Lines that cross beside the paper.
    #[error("these two lines do not cross on the paper as it lies now")]
    CrossesElsewhere {
        /// Crossings of the first line that are on the paper.
        with: Vec<String>,
    },
    /// What should be brought somewhere lies there already.
    #[error("it lies there already, so nothing has to move")]
    ThereAlready,
    /// The layers named were folded so before, and what was folded would be folded over again.
    #[error(
        "these layers are folded {:.1} mm from this line already, and the fold would lie across \
         what was folded there", beside_m * 1e3
    )]
    FoldedAlready {
        /// How far beside its line the fold is asked for, m.
        beside_m: f64,
    },
    /// The end of a flap lies on the wrong side of the line.
    #[error("the end that should move does not lie beyond this line")]
    NotBeyond,
    /// A half of a model that has none.
    #[error("the model is not folded in two, so it has no near and no far half")]
    NotInTwo,
    /// The operation has no solution.
    #[error("no crease can do that")]
    NoCrease,
    /// The operation has several solutions.
    #[error("{} creases can do that", candidates.len())]
    Ambiguous {
        /// All of them, in the order `take` counts them.
        candidates: Vec<TableLine>,
    },
    /// `take 3` of two.
    #[error("there is no crease number {wanted}: {} can do that", candidates.len())]
    NoSuchChoice {
        /// As written.
        wanted: usize,
        /// All of them.
        candidates: Vec<TableLine>,
    },
    /// A direction along the crease says nothing about which side moves.
    #[error("this does not say which side of the crease moves: it lies along the crease")]
    NoSide {
        /// The crease.
        line: TableLine,
    },
    /// Two sides of a crease, either of which may be meant.
    #[error("either side of this crease may move: they are as large, and not alike")]
    EitherSide {
        /// The crease.
        line: TableLine,
        /// The step for either.
        ways: Vec<String>,
    },
    /// No such number of layers.
    #[error("the number of layers must lie between 1 and {MAX_LAYERS}, not {n}")]
    LayerCount {
        /// As written.
        n: usize,
    },
    /// The fold itself.
    #[error(transparent)]
    Fold(#[from] Refused),
    /// No order of layers.
    #[error(transparent)]
    Layers(#[from] LayerError),
    /// A collapse that cannot be made.
    #[error(transparent)]
    Collapse(#[from] Box<CollapseError>),
    /// Nothing to unfold.
    #[error("there is no fold to open")]
    NothingToUnfold,
    /// A crease that was only creased.
    #[error("this crease has not been folded yet, so there is no way to fold it again")]
    NeverFolded,
    /// A crease that lies flat.
    #[error("this crease lies open already")]
    OpenAlready,
    /// A flap that other paper holds.
    #[error("this fold cannot be opened by itself: other paper holds the flap")]
    NotFree {
        /// Outline of the flap.
        flap: Vec<Vec<TablePoint>>,
    },
    /// A model that is alike about no line.
    #[error("the model is alike about no line now, so it has no other side to do this on")]
    NoCentre,
    /// `repeat behind` of a model that is not folded in two.
    #[error(
        "the model is not folded in two halves that are alike, so there is no half behind to repeat \
         this on"
    )]
    NothingBehind,
    /// A fold of one half of a model whose halves are not alike.
    #[error(
        "the two halves of the model are not alike as they lie now, so this cannot be done on both"
    )]
    HalvesDiffer,
    /// The first half of a step lies over where its mirrored half should be made.
    #[error(
        "what the first side folds over lies on the crease of the other, so the two sides would \
         differ"
    )]
    CoversOther,
    /// A fold that lies right across the middle of the model.
    #[error("this fold is its own mirror image: `both sides` would make it twice over")]
    OwnMirrorImage,
    /// Words that mean another crease at the other side.
    #[error("at the other side these words mean another crease, so the two sides would differ")]
    AnotherMirrored,
    /// Paper folded in ways that have no mirror image.
    #[error("there is no paper in the mirrored place")]
    NoMirrorImage,
    /// Too many steps.
    #[error("the design has more than {MAX_STEPS} steps when its repeats are written out")]
    TooManySteps,
    /// Too much to keep.
    #[error("the models after every step have more than {MAX_KEPT_FACES} faces, all told")]
    TooMuchToKeep,
    /// Too deep.
    #[error("repeats are nested more than {MAX_REPEAT_NESTING} deep")]
    TooDeep,
    /// A quantity that cannot be worked out.
    #[error("{}", .0.message)]
    Quantity(Box<Diagnostic>),
}

/// What to draw beside the message, all in the table frame of [`FoldError::before`].
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Evidence {
    /// Outlines of faces that are in the way.
    pub polygons: Vec<Vec<TablePoint>>,
    /// Creases proposed, in the order `take` counts them.
    pub lines: Vec<TableLine>,
    /// Straight pieces: edges that would tear, pieces of a line folded apart.
    pub pieces: Vec<[TablePoint; 2]>,
    /// Places.
    pub points: Vec<TablePoint>,
}

impl FoldError {
    /// What a picture of the place shows.
    pub fn evidence(&self) -> Evidence {
        let polygons = |faces: &[usize], model: &Folded| {
            faces.iter().map(|&f| model.table_polygon(f)).collect::<Vec<_>>()
        };
        let mut evidence = Evidence::default();
        match &self.problem {
            Problem::BrokenLine { pieces } | Problem::WhichStretch { pieces, .. } => {
                evidence.pieces.clone_from(pieces)
            }
            Problem::SamePlace { at } => evidence.points.push(*at),
            Problem::NoCrossing { lines } => evidence.lines.extend(lines),
            Problem::Ambiguous { candidates } | Problem::NoSuchChoice { candidates, .. } => {
                evidence.lines.clone_from(candidates);
            }
            Problem::NoSide { line } | Problem::EitherSide { line, .. } => {
                evidence.lines.push(*line)
            }
            Problem::NotFree { flap } => evidence.polygons.clone_from(flap),
            Problem::Collapse(error) => {
                let shown = error.evidence().cloned().unwrap_or_default();
                evidence.polygons = shown.faces;
                evidence.pieces = shown.lines;
                evidence.points = shown.points;
                evidence.lines = shown.proposed;
            }
            Problem::Fold(Refused::Tears { faces, edge }) => {
                evidence.polygons = polygons(faces, &self.before);
                evidence.pieces.push(*edge);
            }
            Problem::Fold(Refused::Held { flap, by, .. } | Refused::Joined { flap, by }) => {
                evidence.polygons = polygons(flap, &self.before);
                evidence.polygons.extend(polygons(&[*by], &self.before));
            }
            Problem::Fold(Refused::Crosses { crossing, after }) => {
                evidence.polygons = polygons(&crossing.faces, after);
                evidence.points.push(crossing.place);
            }
            _ => {}
        }
        evidence
    }

    /// Every fault found, as the program and the page report them.
    pub fn diagnostics(&self) -> Vec<Diagnostic> {
        let faults = std::iter::successors(Some(self), |e| e.then.as_deref());
        faults.map(Self::diagnostic).collect()
    }

    /// As the program and the page report it.
    pub fn diagnostic(&self) -> Diagnostic {
        if let Problem::Quantity(inner) = &self.problem {
            return (**inner).clone();
        }
        let mut label = match self.mirrored {
            None => format!("step {} stops here", self.step),
            Some(axis) => format!("the mirrored half of step {}, {axis}, stops here", self.step),
        };
        if let Problem::Fold(Refused::Tears { edge, .. }) = &self.problem {
            label = format!(
                "{label}: the paper holds together from {} to {}",
                mm(edge[0]),
                mm(edge[1])
            );
        }
        if let Problem::Fold(Refused::Held { by, .. }) = &self.problem {
            label = format!("{label}: {} is in the way", paper(&self.before, *by));
        }
        if let Problem::Fold(Refused::Joined { by, .. }) = &self.problem {
            label = format!("{label}: {} holds the halves together", paper(&self.before, *by));
        }
        if let Problem::Fold(Refused::Crosses { crossing, .. }) = &self.problem {
            label = format!("{label}: the layers meet at {}", mm(crossing.place));
        }
        Diagnostic::error(self.code(), self.span.clone(), self.problem.to_string())
            .label(label)
            .maybe_help(self.help())
    }

    fn code(&self) -> &'static str {
        match &self.problem {
            Problem::UnknownName { .. } => "unknown-name",
            Problem::NotAPlace { .. } | Problem::NotALine { .. } => "wrong-kind-of-name",
            Problem::BrokenLine { .. } | Problem::WhichStretch { .. } => "line-folded-apart",
            Problem::NotOnLine { .. } | Problem::NoSuchEnd { .. } | Problem::EitherWay { .. } => {
                "no-such-place"
            }
            Problem::FoldedIn { .. } => "held",
            Problem::EmptyLine | Problem::OffPaper | Problem::CrossesElsewhere { .. } => {
                "off-the-paper"
            }
            Problem::SamePlace { .. } | Problem::NoCrossing { .. } => "no-such-place",
            Problem::ThereAlready
            | Problem::FoldedAlready { .. }
            | Problem::NotBeyond
            | Problem::NoCrease => "no-crease",
            Problem::Ambiguous { .. } | Problem::NoSuchChoice { .. } => "several-creases",
            Problem::NoSide { .. } | Problem::EitherSide { .. } => "no-side",
            Problem::LayerCount { .. } | Problem::NotInTwo => "bad-count",
            Problem::WhichCorner { .. } => "no-such-place",
            Problem::Fold(Refused::FewerLayers { .. }) => "bad-count",
            Problem::Fold(Refused::NothingMoves | Refused::NothingBends) => "misses-the-paper",
            Problem::Fold(Refused::Tears { .. }) => "tears",
            Problem::Fold(Refused::Held { .. } | Refused::Joined { .. }) => "held",
            Problem::Fold(Refused::Crosses { .. } | Refused::NoPlace) => "crosses",
            Problem::Layers(_) => "crosses",
            Problem::Collapse(_) => "collapse",
            Problem::NothingToUnfold
            | Problem::NeverFolded
            | Problem::OpenAlready
            | Problem::NotFree { .. }
            | Problem::Fold(Refused::Opens) => "cannot-unfold",
            Problem::NoMirrorImage
            | Problem::OwnMirrorImage
            | Problem::AnotherMirrored
            | Problem::HalvesDiffer
            | Problem::CoversOther
            | Problem::NoCentre
            | Problem::NothingBehind => "no-mirror-image",
            Problem::TooManySteps
            | Problem::TooMuchToKeep
            | Problem::TooDeep
            | Problem::Fold(Refused::TooManyFaces(_) | Refused::TooManyLayers { .. }) => {
                "too-large"
            }
            Problem::Quantity(_) => "quantity",
        }
    }

    /// Box of the model before the step, for framing a picture.
    pub fn frame(&self) -> [TablePoint; 4] {
        Layout::new(&self.before).model_bounds().corners()
    }
}

fn mm(p: TablePoint) -> String {
    format!("({:.1}, {:.1}) mm", p.x * 1e3, p.y * 1e3)
}

/// What a person would call a face: the flap its latest fold made.
fn paper(model: &Folded, face: usize) -> String {
    let flat = model.hanging_together([face], |_, h| !model.is_folded(h));
    let bounds = model.hinges.iter().filter(|h| model.is_folded(h));
    let bounds = bounds.filter(|h| h.faces.iter().any(|&f| flat[f]));
    let latest = bounds.map(|h| (model.creases[h.crease].step, h.crease)).max();
    latest.map_or("the sheet".to_owned(), |(_, crease)| folded_along(model, crease))
}

/// What a person would call the paper that lies beyond a crease.
pub fn folded_along(model: &Folded, crease: CreaseId) -> String {
    let Crease { name, step, .. } = &model.creases[crease];
    match name {
        Some(name) => format!("the paper folded along `{name}` in step {}", step + 1),
        None => format!("the paper folded in step {}", step + 1),
    }
}

/// What a person would call a crease.
fn crease_of(model: &Folded, crease: CreaseId) -> String {
    let Crease { name, step, .. } = &model.creases[crease];
    match name {
        Some(name) => format!("`{name}`, made in step {},", step + 1),
        None => format!("the crease made in step {}", step + 1),
    }
}

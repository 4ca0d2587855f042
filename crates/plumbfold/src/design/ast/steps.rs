//! Steps of folding, and how they point at paper.

use super::{Expr, Name, Spanned};

/// One line of folding.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// `valley …`, `mountain …`, `crease …`. Boxed, since a step is handed on many times before
    /// it lies in its design.
    Fold(Box<FoldStep>),
    /// `unfold`, `unfold wing`: undo the last fold, or open the folds of that crease.
    Unfold(Option<Name>),
    /// `unfold all`: back to the flat sheet, with all its creases.
    UnfoldAll,
    /// `refold wing`: fold again along the crease, the way it was folded.
    Refold(Name),
    /// `roll top edge 3 times by 15 mm`, `pleat top edge 4 times by 10 mm`
    Roll(Box<Roll>),
    /// `turn over`: left to right, as one turns a page.
    TurnOver,
    /// `rotate 90 deg`: anticlockwise.
    Rotate(Spanned<Expr>),
    /// `mark aft = top edge`, `mark P = crossing of centre and band`
    Mark(Name, MarkTarget),
    /// `repeat turns times` … `end`
    Repeat(Spanned<Expr>, Vec<Spanned<Step>>),
    /// `collapse …`, `inside reverse …`, `squash …` and the rest
    Collapse(Box<CollapseStep>),
}

/// Several folds, one after the other, of a strip along an edge that moves on with every fold.
#[derive(Clone, Debug, PartialEq)]
pub struct Roll {
    /// Which layers move.
    pub layers: Spanned<Layers>,
    /// The edge it begins at.
    pub edge: Spanned<LineRef>,
    /// How many folds.
    pub times: Spanned<Expr>,
    /// Width of the strip.
    pub by: Spanned<Expr>,
    /// Every other fold goes behind.
    pub pleated: bool,
    /// On one side, on both, or on the half behind as well.
    pub sides: Sides,
    /// `call it front`: the last crease.
    pub call: Option<Name>,
}

/// What a `mark` names.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum MarkTarget {
    Point(Spanned<PointRef>),
    Line(Spanned<LineRef>),
}

/// Fold verbs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FoldVerb {
    /// Towards the folder.
    Valley,
    /// Away from the folder.
    Mountain,
    /// Fold and unfold: leaves a crease.
    Crease,
}

/// `valley near half parallel to centre, 22 mm from it  both sides, call it wing`
#[derive(Clone, Debug, PartialEq)]
pub struct FoldStep {
    /// Valley, mountain or crease.
    pub verb: FoldVerb,
    /// Which layers move.
    pub layers: Spanned<Layers>,
    /// Where the crease runs.
    pub line: Spanned<FoldLine>,
    /// `moving bottom edge`: which part moves, where the line does not say it.
    pub moving: Option<Spanned<MovingRef>>,
    /// `take 2`, `nearest top middle`: which of several solutions.
    pub choice: Option<Spanned<Choice>>,
    /// `inside`, `under wing`: where the moved layers go.
    pub place: Option<Spanned<Place>>,
    /// `both sides`, `repeat behind`: then do its mirror image.
    pub sides: Sides,
    /// `call it centre`
    pub call: Option<Name>,
}

impl FoldStep {
    /// A fold of which nothing is said but where it runs.
    pub fn plain(verb: FoldVerb, line: FoldLine) -> Self {
        Self {
            verb,
            layers: Layers::Default.into(),
            line: line.into(),
            moving: None,
            choice: None,
            place: None,
            sides: Sides::One,
            call: None,
        }
    }
}

impl From<FoldStep> for Step {
    fn from(fold: FoldStep) -> Self {
        Self::Fold(Box::new(fold))
    }
}

/// On which sides of the model a step is made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sides {
    /// Once, as written.
    #[default]
    One,
    /// `both sides`: then its mirror image in the model's centre.
    Both,
    /// `repeat behind`: then the same on the other half of a model folded in two.
    Behind,
}

impl Sides {
    /// Whether it is made twice.
    pub fn both(self) -> bool {
        self != Self::One
    }
    /// As written.
    pub fn words(self) -> Option<&'static str> {
        match self {
            Self::One => None,
            Self::Both => Some("both sides"),
            Self::Behind => Some("repeat behind"),
        }
    }
}

/// Which layers a fold takes.
#[derive(Clone, Debug, PartialEq)]
pub enum Layers {
    /// Nothing said. `A onto B` folds take the flap that carries A (and what lies on it);
    /// other folds take all layers.
    Default,
    /// `all layers`
    All,
    /// `top layer`, `top 2 layers`
    Top(Spanned<Expr>),
    /// `bottom layer`, `bottom 2 layers`
    Bottom(Spanned<Expr>),
    /// `near half`: after the model was folded in two, the half towards the folder.
    NearHalf,
    /// `far half`
    FarHalf,
    /// `flap at top left corner`: the flap that carries this place on the paper.
    FlapAt(Spanned<PointRef>),
}

impl Layers {
    /// Whether they are a half of a model folded in two.
    pub fn are_halves(&self) -> bool {
        matches!(self, Self::NearHalf | Self::FarHalf)
    }
}

/// Where the crease runs. (1) to (7) are the Huzita-Justin operations.
#[derive(Clone, Debug, PartialEq)]
pub enum FoldLine {
    /// `along centre`
    Along(Spanned<LineRef>),
    /// (1) `through P and Q`
    Through(Spanned<PointRef>, Spanned<PointRef>),
    /// (2) `P onto Q`
    PointOntoPoint(Spanned<PointRef>, Spanned<PointRef>),
    /// (3) `L onto M`
    LineOntoLine(Spanned<LineRef>, Spanned<LineRef>),
    /// (4) `perpendicular to L through P`
    Perpendicular(Spanned<LineRef>, Spanned<PointRef>),
    /// (5) `P onto L, hinged at Q`
    PointOntoLine {
        /// Point that moves.
        point: Spanned<PointRef>,
        /// Line it comes to lie on.
        onto: Spanned<LineRef>,
        /// Point the crease runs through.
        hinge: Spanned<PointRef>,
    },
    /// (6) `P onto L and Q onto M`
    TwoPointsOntoLines([(Spanned<PointRef>, Spanned<LineRef>); 2]),
    /// (7) `P onto L, perpendicular to M`
    PointOntoLinePerpendicular {
        /// Point that moves.
        point: Spanned<PointRef>,
        /// Line it comes to lie on.
        onto: Spanned<LineRef>,
        /// Line the crease is square to.
        square_to: Spanned<LineRef>,
    },
    /// `parallel to L, 22 mm from it` with an optional `towards P`; without it, on the side
    /// of the paper that moves.
    Parallel(Spanned<LineRef>, Spanned<Expr>, Option<Spanned<PointRef>>),
    /// `L over by 30 mm`: the strip of that width along L is folded over.
    Over(Spanned<LineRef>, Spanned<Expr>),
    /// `in half`, the crease up the page through the middle of the model as it lies; `in half
    /// across`, from left to right.
    InHalf {
        /// From left to right.
        across: bool,
    },
    /// `at 22.5 deg to L through P`: anticlockwise from L as it lies on the table.
    AtAngle(Spanned<Expr>, Spanned<LineRef>, Spanned<PointRef>),
    /// `P back by 24 mm along L`: P comes to lie 24 mm from where it was, along L, towards the
    /// middle of the paper; the crease is square to L, half way.
    Back(Spanned<PointRef>, Spanned<Expr>, Spanned<LineRef>),
}

/// Which part moves.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum MovingRef {
    Point(Spanned<PointRef>),
    Line(Spanned<LineRef>),
    /// Side of the table as the folder sees it now.
    Table(Direction),
}

/// Directions on the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum Direction {
    Left,
    Right,
    Up,
    Down,
}

/// Choice among several solutions of one operation.
#[derive(Clone, Debug, PartialEq)]
pub enum Choice {
    /// `take 2`: the second, in the order the message lists them.
    Take(Spanned<Expr>),
    /// `nearest P`: the crease that passes nearest to P.
    Nearest(Spanned<PointRef>),
}

/// Where moved layers go, when not simply on top (valley) or at the bottom (mountain).
#[derive(Clone, Debug, PartialEq)]
pub enum Place {
    /// `inside`: next to the layers they are hinged to, under whatever covers those.
    Inside,
    /// `under P`: directly beneath the flap that carries P there (tuck, lock).
    Under(Spanned<PointRef>),
    /// `over P`: directly above the flap that carries P there.
    Over(Spanned<PointRef>),
}

/// A place on the paper (it travels with the paper).
#[derive(Clone, Debug, PartialEq)]
pub enum PointRef {
    /// `top left corner`: corners keep the names they have on the unfolded sheet.
    Corner(Side, Side),
    /// `top left corner of model`, `top corner of model`: of the corners of the model as it lies
    /// now, the one nearest to that corner of the box round it, or farthest to that side; on the
    /// uppermost paper there.
    ModelCorner(Side, Option<Side>),
    /// `top middle`: middle of an edge of the sheet.
    EdgeMiddle(Side),
    /// `middle of L`, of a line that is no edge of the sheet.
    MiddleOf(Spanned<LineRef>),
    /// `left end of L`: of its two ends, the one that is more to the left on the unfolded sheet.
    End(Side, Spanned<LineRef>),
    /// `1/3 along L` (from its lower or left end on the sheet), `20 mm along L from P`
    Along {
        /// Fraction (no unit) or distance.
        by: Spanned<Expr>,
        /// Edge or crease.
        of: Spanned<LineRef>,
        /// End it is measured from.
        from: Option<Box<Spanned<PointRef>>>,
    },
    /// `crossing of L and M`, as they lie now.
    Crossing(Spanned<LineRef>, Spanned<LineRef>),
    /// `(20 mm, 35 mm)` in the sheet frame.
    Sheet(Spanned<Expr>, Spanned<Expr>),
    /// Named with `mark`.
    Named(Name),
}

/// A straight line on the paper, as it lies now.
#[derive(Clone, Debug, PartialEq)]
pub enum LineRef {
    /// `top edge`
    Edge(Side),
    /// Named with `call it` or `mark`.
    Named(Name),
    /// `line from P to Q`
    Join(Box<Spanned<PointRef>>, Box<Spanned<PointRef>>),
    /// `left edge at bottom left corner`: of a line folded apart, the stretch with this place.
    At(Box<Spanned<LineRef>>, Box<Spanned<PointRef>>),
}

/// Sides of the unfolded sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum Side {
    Top,
    Bottom,
    Left,
    Right,
}

/// A move in which several creases fold at once.
#[derive(Clone, Debug, PartialEq)]
pub struct CollapseStep {
    /// Which.
    pub kind: CollapseKind,
    /// `call it …`
    pub call: Option<Name>,
    /// `both sides`, `repeat behind`
    pub sides: Sides,
    /// `take 2`, where several layer orders are possible.
    pub choice: Option<Spanned<Choice>>,
}

/// Collapses by name. All are turned into one list of creases with their states, then solved by
/// one mechanism.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "a design has few steps; boxes would only obscure")]
pub enum CollapseKind {
    /// `collapse diagonal valley, cross mountain [, centre flat] [holding P]`: existing creases
    /// fold at once. The general form.
    Creases {
        /// Crease and the state it ends in; a crease may be limited `from P to Q`.
        items: Vec<CollapseItem>,
        /// A place that stays where it is.
        holding: Option<Spanned<PointRef>>,
    },
    /// `inside reverse TIP along LINE`: the flap's end, beyond the line, between its own layers.
    InsideReverse(Reverse),
    /// `outside reverse TIP along LINE`: the flap's end wrapped around its own layers.
    OutsideReverse(Reverse),
    /// `crimp TIP between L1 and L2`: two reverse folds at once.
    Crimp(Spanned<PointRef>, Box<Spanned<FoldLine>>, Box<Spanned<FoldLine>>),
    /// `pleat TIP between L1 and L2`: valley then mountain through the same layers.
    Pleat(Spanned<PointRef>, Box<Spanned<FoldLine>>, Box<Spanned<FoldLine>>),
    /// `squash EDGE onto LINE, hinged at P`: open a flap and flatten it evenly.
    Squash {
        /// Folded edge (spine) of the flap.
        spine: Spanned<LineRef>,
        /// Line the spine comes to lie on.
        onto: Spanned<LineRef>,
        /// Closed point of the flap.
        hinge: Spanned<PointRef>,
    },
    /// `petal TIP along LINE`: a corner of the top layer lifted about the line, the sides of its
    /// flap drawn in.
    Petal(Reverse),
    /// `rabbit ear P between Q and R, towards Q`: a triangular flap's three bisectors, the point
    /// P laid to one side.
    RabbitEar {
        /// The three corners of the triangle; the first becomes the ear.
        corners: [Spanned<PointRef>; 3],
        /// The corner towards which the ear lies.
        towards: Spanned<PointRef>,
    },
    /// `waterbomb base` of a square sheet, `waterbomb base on top square` of a longer one.
    WaterbombBase(Spanned<SquarePart>),
    /// `preliminary base`, `preliminary base on bottom square`
    PreliminaryBase(Spanned<SquarePart>),
    /// `open sink TIP along LINE`: push a closed point inside out.
    OpenSink(Reverse),
    /// `closed sink TIP along LINE`: push a closed point in between its layers, none of them opened.
    ClosedSink(Reverse),
    /// `swivel LINE onto LINE hinged at P`: pull a layer round a point, flattening what rises.
    Swivel {
        /// Edge that moves.
        edge: Spanned<LineRef>,
        /// Line it comes to lie on.
        onto: Spanned<LineRef>,
        /// Point it turns about.
        hinge: Spanned<PointRef>,
    },
    /// `tuck P under Q along LINE`: fold a flap and lock it behind another layer.
    Tuck {
        /// Flap.
        flap: Spanned<PointRef>,
        /// What it goes under.
        under: Spanned<PointRef>,
        /// Crease.
        line: Box<Spanned<FoldLine>>,
    },
}

/// What the creases of a base are called, unless the design has other things so called: the upright
/// one, the level one, the two slanted ones.
pub const BASE_CREASES: [&str; 3] = ["centre", "waist", "diagonal"];

impl CollapseKind {
    /// Whether it is one of the bases, which name their creases.
    pub fn is_base(&self) -> bool {
        matches!(self, Self::WaterbombBase(_) | Self::PreliminaryBase(_))
    }
}

/// One crease of a general collapse.
#[derive(Clone, Debug, PartialEq)]
pub struct CollapseItem {
    /// Which crease.
    pub line: Spanned<LineRef>,
    /// Only the part between these places.
    pub part: Option<(Spanned<PointRef>, Spanned<PointRef>)>,
    /// State it ends in, as seen by the folder now.
    pub state: CreaseState,
}

/// State of a crease in a collapse, as seen by the folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum CreaseState {
    Valley,
    Mountain,
    Flat,
}

/// Arguments of reverse folds and sinks.
#[derive(Clone, Debug, PartialEq)]
pub struct Reverse {
    /// A place on the end that moves.
    pub tip: Spanned<PointRef>,
    /// Where the crease runs.
    pub line: Box<Spanned<FoldLine>>,
}

/// Which square of the sheet a base is folded from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SquarePart {
    /// A square sheet.
    Whole,
    /// The square against the top edge.
    Top,
    /// The square against the bottom edge.
    Bottom,
}

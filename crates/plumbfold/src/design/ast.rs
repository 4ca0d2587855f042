//! What a design text says, before anything is computed. Every node keeps the span of text it
//! came from, so that later stages can point at it and remedies can edit it in place.

use std::fmt;
use std::ops::Range;

/// Byte range in the design text.
pub type Span = Range<usize>;

/// A node and where it stands in the text. Equality and `Debug` ignore the place.
#[derive(Clone)]
pub struct Spanned<T> {
    /// The node.
    pub node: T,
    /// Its text.
    pub span: Span,
}
impl<T: PartialEq> PartialEq for Spanned<T> {
    fn eq(&self, o: &Self) -> bool {
        self.node == o.node
    }
}
impl<T: fmt::Debug> fmt::Debug for Spanned<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.node.fmt(f)
    }
}
/// A name with its place.
pub type Name = Spanned<String>;

/// Units a number can carry in the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// No unit.
    None,
    /// Millimetre.
    Mm,
    /// Centimetre.
    Cm,
    /// Metre.
    M,
    /// Inch.
    Inch,
    /// Degree.
    Deg,
    /// Gram.
    Gram,
    /// Grams per square metre.
    GramPerM2,
    /// Pounds per ream of 500 bond sheets, 17 x 22 in.
    LbBond,
    /// Metres per second.
    MPerS,
}

/// Arithmetic on quantities.
#[derive(Clone, Debug, PartialEq)]
pub enum Expr {
    /// `24 mm`, `3/8 in`, `2`.
    Number(f64, Unit),
    /// A let, or `width` / `length` of the sheet.
    Let(Name),
    /// `-a`.
    Neg(Box<Spanned<Expr>>),
    /// `a + b`, `a - b`, `a * b`, `a / b`.
    Binary(Box<Spanned<Expr>>, BinaryOp, Box<Spanned<Expr>>),
    /// `min(a, b)`, `max(a, b)`, `sqrt(a)`, `tan(a)` and the like.
    Call(Name, Vec<Spanned<Expr>>),
    /// Stands where the text could not be read. The mistake is reported already, so whatever
    /// depends on this value keeps quiet.
    Missing,
}

/// Operators.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum BinaryOp {
    Add,
    Sub,
    Mul,
    Div,
}

/// A whole `.plane` text.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Design {
    /// `plane Halyard`
    pub name: Option<Name>,
    /// `about A steady floater for …` lines, joined.
    pub about: Vec<Name>,
    /// `sheet A4 upright, 80 g/m2`
    pub sheet: Option<Spanned<SheetDecl>>,
    /// `outline (0 mm, 0 mm) (90 mm, 180 mm) (0 mm, 200 mm), mirrored`: a finished plane, instead
    /// of sheet and steps.
    pub outline: Option<Spanned<OutlineDecl>>,
    /// `measured mass 5 g, balance 80 mm`: goes with an outline.
    pub measured: Option<Spanned<Measured>>,
    /// `creep off` / `creep on` (default on): does the thickness of rolled layers move creases?
    pub creep: Option<Spanned<bool>>,
    /// `let tip = 24 mm, from 8 mm to 45 mm`
    pub lets: Vec<Spanned<Let>>,
    /// Steps in order.
    pub steps: Vec<Spanned<Step>>,
    /// `pose …`
    pub pose: Option<Spanned<Pose>>,
    /// `trim …`
    pub trims: Vec<Spanned<Trim>>,
    /// `ballast …`
    pub ballast: Vec<Spanned<Ballast>>,
    /// `throw …`
    pub throw: Option<Spanned<Throw>>,
}

/// Corners of a finished plane lying flat.
#[derive(Clone, Debug, PartialEq)]
pub struct OutlineDecl {
    /// Right of the middle, and behind the nose.
    pub corners: Vec<(Spanned<Expr>, Spanned<Expr>)>,
    /// The corners are those of the right half; the left is its mirror image.
    pub mirrored: bool,
}

/// What was measured on a finished plane.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Mass.
    pub mass: Spanned<Expr>,
    /// Balance point behind the nose.
    pub balance: Spanned<Expr>,
    /// Its height above the keel line.
    pub above: Option<Spanned<Expr>>,
    /// Slope of the wings above level.
    pub dihedral: Option<Spanned<Expr>>,
    /// Depth of the keel.
    pub keel: Option<Spanned<Expr>>,
}

/// `sheet A4 upright, 80 g/m2, thickness 0.1 mm, printed side down`
#[derive(Clone, Debug, PartialEq)]
pub struct SheetDecl {
    /// Size.
    pub size: SheetSize,
    /// `sideways` swaps width and length of a named size; default upright (long edge up).
    pub sideways: bool,
    /// Mass per area (`80 g/m2`, `20 lb`); default 80 g/m2.
    pub grammage: Option<Spanned<Expr>>,
    /// Measured thickness; default from the stock table.
    pub thickness: Option<Spanned<Expr>>,
    /// `printed side down`.
    pub printed_down: bool,
}

/// Size of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub enum SheetSize {
    /// `A4`, `Letter`, …
    Named(Name),
    /// `square 150 mm`
    Square(Spanned<Expr>),
    /// `210 mm by 297 mm` (width by length)
    Custom(Spanned<Expr>, Spanned<Expr>),
}

impl SheetSize {
    /// Its expressions.
    pub fn parts(&self) -> Vec<&Spanned<Expr>> {
        match self {
            Self::Named(_) => Vec::new(),
            Self::Square(side) => vec![side],
            Self::Custom(width, length) => vec![width, length],
        }
    }
}

impl SheetDecl {
    /// Its expressions.
    pub fn parts(&self) -> impl Iterator<Item = &Spanned<Expr>> {
        self.size.parts().into_iter().chain(&self.grammage).chain(&self.thickness)
    }
}

/// `let tip = 24 mm, from 8 mm to 45 mm   # how far the tip comes back`
#[derive(Clone, Debug, PartialEq)]
pub struct Let {
    /// Name.
    pub name: Name,
    /// Value.
    pub value: Spanned<Expr>,
    /// Range within which the fold can be made.
    pub range: Option<(Spanned<Expr>, Spanned<Expr>)>,
    /// The comment at the end of the line.
    pub note: Option<String>,
}

/// One line of folding.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "a design has few steps; boxes would only obscure")]
pub enum Step {
    /// `valley …`, `mountain …`, `crease …`
    Fold(FoldStep),
    /// `unfold`, `unfold wing`: undo the last fold, or open the folds of that crease.
    Unfold(Option<Name>),
    /// `turn over`: left to right, as one turns a page.
    TurnOver,
    /// `rotate 90 deg`: anticlockwise.
    Rotate(Spanned<Expr>),
    /// `mark aft = top edge`, `mark P = crossing of centre and band`
    Mark(Name, MarkTarget),
    /// `repeat turns times` … `end`
    Repeat(Spanned<Expr>, Vec<Spanned<Step>>),
    /// `collapse …`, `inside reverse …`, `squash …` and the rest
    Collapse(CollapseStep),
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
    /// `both sides`: then do its mirror image.
    pub both_sides: bool,
    /// `call it centre`
    pub call: Option<Name>,
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
    /// `top middle`: middle of an edge of the sheet.
    EdgeMiddle(Side),
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
    /// `both sides`
    pub both_sides: bool,
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

/// `pose centre opens 8 deg, wing dihedral 10 deg`; an empty list is `pose flat`.
#[derive(Clone, Debug, PartialEq)]
pub struct Pose {
    /// Hinges opened.
    pub items: Vec<PoseItem>,
}

/// One hinge opened to an angle.
#[derive(Clone, Debug, PartialEq)]
pub struct PoseItem {
    /// Crease by name (both its halves where it was folded on both sides).
    pub crease: Name,
    /// How the angle is measured.
    pub kind: PoseKind,
    /// Angle.
    pub angle: Spanned<Expr>,
}

/// How a pose angle is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PoseKind {
    /// Angle between the two sides of the crease: 0 shut, 180 laid flat. For the centre (keel)
    /// crease this is the angle between the keel's halves.
    Opens,
    /// The outboard part's slope above level, whatever the keel does.
    Dihedral,
    /// The outboard part is bent up from its inboard neighbour's plane.
    Up,
    /// The outboard part is bent down from its inboard neighbour's plane.
    Down,
}

/// `trim elevator up 2 mm, 10 mm deep`
#[derive(Clone, Debug, PartialEq)]
pub struct Trim {
    /// Which edge.
    pub surface: TrimSurfaceName,
    /// Which way.
    pub direction: Direction,
    /// How far the edge moves.
    pub amount: Spanned<Expr>,
    /// How far ahead of the edge the bend begins; default 10 mm.
    pub depth: Option<Spanned<Expr>>,
}

/// Trim edges as the text names them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum TrimSurfaceName {
    Elevator,
    LeftWing,
    RightWing,
    Rudder,
}

/// `ballast clip 0.5 g at 12 mm behind nose, 5 mm above keel`
#[derive(Clone, Debug, PartialEq)]
pub struct Ballast {
    /// `clip`, `tape`, `staple`, `glue`
    pub kind: Name,
    /// Mass.
    pub mass: Spanned<Expr>,
    /// Place.
    pub at: BallastPlace,
}

/// Where ballast sits.
#[derive(Clone, Debug, PartialEq)]
pub enum BallastPlace {
    /// Measured on the finished plane.
    BehindNose {
        /// Behind the nose.
        behind: Spanned<Expr>,
        /// Above the keel line; default 0.
        above: Option<Spanned<Expr>>,
        /// To the right of the plane of symmetry; default 0.
        right: Option<Spanned<Expr>>,
    },
    /// On a place on the paper.
    Paper(Spanned<PointRef>),
}

/// `throw 4 m/s, level, from 1.8 m`; `throw 6 m/s, up 10 deg, from 1.6 m, banked 5 deg right`
#[derive(Clone, Debug, PartialEq)]
pub struct Throw {
    /// Speed.
    pub speed: Spanned<Expr>,
    /// Climb angle of the hand's path; `level` is 0, `down 5 deg` negative.
    pub elevation: Option<Spanned<Expr>>,
    /// Height of the hand; default 1.6 m.
    pub height: Option<Spanned<Expr>>,
    /// Bank at release, positive right wing down.
    pub bank: Option<Spanned<Expr>>,
}

//! What a design text says, before anything is computed. Every node keeps the span of text it
//! came from, so that later stages can point at it and remedies can edit it in place.

mod steps;
mod visit;

use std::fmt;
use std::ops::Range;

pub use steps::*;
pub use visit::Reference;

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
impl<T> From<T> for Spanned<T> {
    /// A node that stands nowhere in a text.
    fn from(node: T) -> Self {
        Self { node, span: 0..0 }
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
    /// Feet per second.
    FtPerS,
    /// Kilometres per hour.
    KmPerH,
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

//! What the words of a step point at: places and lines of the paper, as they lie now.

mod corner;
mod ends;
mod laid;

use super::axis::Axis;
use super::error::Problem;
use super::state::{CreaseId, FaceId, Folded};
use crate::design::ast::{Expr, LineRef, Name, PointRef, Side, Span, Spanned};
use crate::design::diagnostic::{Diagnostic, did_you_mean};
use crate::design::eval::{FractionOrLength, Values};
use crate::design::print;
use crate::numeric::geom::{
    Line, Placement, Point, SheetLine, SheetPoint, TOLERANCE_M, TableLine, TablePoint, Vec2,
};
use ends::Run;

/// Pieces of a line count as one line when they agree to this: each fold since may have snapped a
/// corner once (chosen, a hundred snaps).
pub(super) const STRAIGHT_M: f64 = 100.0 * TOLERANCE_M;
/// In a slipped run the pieces of a line that lay straight may lie this far apart, m (chosen: above
/// what careful hands add up to over a design, below the least band anyone folds).
const SLIPPED_APART_M: f64 = 5e-3;

/// A problem and the words it is about.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The words.
    pub span: Span,
    /// The problem.
    pub problem: Box<Problem>,
}

impl<E: Into<Problem>> From<(&Span, E)> for Fault {
    fn from((span, problem): (&Span, E)) -> Self {
        Self { span: span.clone(), problem: Box::new(problem.into()) }
    }
}

impl From<Diagnostic> for Fault {
    fn from(quantity: Diagnostic) -> Self {
        (&quantity.span.clone(), Problem::Quantity(Box::new(quantity))).into()
    }
}

/// What a name stands for. It travels with the paper.
#[derive(Clone, Debug, PartialEq)]
pub enum Meaning {
    /// Creases: those of the step that gave the name, and those of its mirrored half.
    Creases([Vec<CreaseId>; 2]),
    /// An edge of the sheet.
    Edge(Side),
    /// The line through two places on the paper.
    Join([SheetPoint; 2]),
    /// A place on the paper, and what it is on the mirrored half.
    Place([SheetPoint; 2]),
    /// A place where two lines of the paper crossed on the table: it is marked on either, the
    /// line named first before the other, each with what it is on the mirrored half.
    Crossing([[SheetPoint; 2]; 2]),
}

/// All names given so far; the latest of equal ones counts.
#[derive(Clone, Debug, Default)]
pub struct Names(Vec<(String, Meaning)>);

impl Names {
    /// Gives a name.
    pub fn give(&mut self, name: &str, meaning: Meaning) {
        match self.0.iter_mut().find(|(n, _)| n == name) {
            Some((_, old)) => *old = meaning,
            None => self.0.push((name.to_owned(), meaning)),
        }
    }
    /// Whether something bears this name.
    pub fn bears(&self, name: &str) -> bool {
        self.0.iter().any(|(n, _)| n == name)
    }
    /// Takes a name back.
    pub fn forget(&mut self, name: &str) {
        self.0.retain(|(n, _)| n != name);
    }
    /// Names of lines.
    pub fn of_lines(&self) -> impl Iterator<Item = &str> {
        let line = |m: &Meaning| !matches!(m, Meaning::Place(_) | Meaning::Crossing(_));
        self.0.iter().filter(move |(_, m)| line(m)).map(|(n, _)| n.as_str())
    }
    /// Looks a name up.
    pub fn get(&self, name: &Name) -> Result<&Meaning, Fault> {
        self.0.iter().find(|(n, _)| *n == name.node).map(|(_, m)| m).ok_or_else(|| {
            let meant = did_you_mean(&name.node, self.0.iter().map(|(n, _)| n.as_str()));
            let meant = meant.map(str::to_owned);
            (&name.span, Problem::UnknownName { name: name.node.clone(), meant }).into()
        })
    }
    /// Some hinges of crease `from` belong to crease `to` now: names of the one mean both.
    pub fn share(&mut self, from: CreaseId, to: CreaseId) {
        for (_, meaning) in &mut self.0 {
            if let Meaning::Creases(halves) = meaning {
                for half in halves.iter_mut().filter(|h| h.contains(&from) && !h.contains(&to)) {
                    half.push(to);
                }
            }
        }
    }
}

/// A place: where it lies now and, where it is a place of the paper, which.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// On the table.
    pub table: TablePoint,
    /// On the paper.
    pub sheet: Option<SheetPoint>,
    /// For a crossing of two lines, the place on the other line's paper.
    pub other: Option<SheetPoint>,
}

/// A straight stretch of paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// A face that carries it.
    pub face: FaceId,
    /// On the paper.
    pub sheet: [SheetPoint; 2],
    /// On the table.
    pub table: [TablePoint; 2],
}

/// A line on the table and the paper along it.
#[derive(Clone, Debug, PartialEq)]
pub struct LaidLine {
    /// The line. A folded crease stands out where layers have thickness.
    pub line: TableLine,
    /// The line without standing out: where the places of the paper along it lie.
    pub ideal: TableLine,
    /// The paper along it, each hinge once for either face.
    pub pieces: Vec<Piece>,
}

/// Looks up references in a model. `mirrored` reads every reference in the sheet's upright centre
/// line: left for right.
pub struct Refs<'a> {
    /// The model as it lies now.
    pub model: &'a Folded,
    /// What names stand for.
    pub names: &'a Names,
    /// Values of quantities.
    pub values: &'a Values,
    /// The line in which the mirrored half is read.
    pub axis: Axis,
    /// Read left for right.
    pub mirrored: bool,
    /// In a slipped run, where pieces of one line may lie a little apart.
    pub slipped: bool,
    /// The layers the step names: of a line folded apart it means what they carry.
    pub among: Option<Vec<FaceId>>,
    /// For a step made on one side only, where no mirrored half evens out which of two ways is meant.
    pub one_sided: bool,
    /// Thickness of a layer, m: 0 for the ideal model. Folded edges stand out in proportion.
    pub thickness_m: f64,
}

impl<'a> Refs<'a> {
    /// As written, in the ideal model.
    pub fn new(model: &'a Folded, names: &'a Names, values: &'a Values) -> Self {
        Self {
            model,
            names,
            values,
            axis: Axis::upright(model.sheet_m),
            mirrored: false,
            slipped: false,
            among: None,
            one_sided: false,
            thickness_m: 0.0,
        }
    }

    /// How a face lies on the table, displaced by the thickness of the layers.
    fn placement(&self, face: FaceId) -> Placement {
        let face = &self.model.faces[face];
        match self.thickness_m {
            0.0 => face.placement,
            thickness_m => face.placement.shifted(face.shift * thickness_m),
        }
    }

    fn width(&self) -> f64 {
        self.model.sheet_m[0]
    }
    fn length(&self) -> f64 {
        self.model.sheet_m[1]
    }

    /// A place of the sheet, or its mirror image.
    pub fn mirror(&self, p: SheetPoint) -> SheetPoint {
        if self.mirrored { self.axis.image(p) } else { p }
    }

    /// A marked place; where creases have slipped its mirror image is what was marked as such.
    fn half(&self, halves: &[SheetPoint; 2]) -> SheetPoint {
        if self.slipped { halves[usize::from(self.mirrored)] } else { self.mirror(halves[0]) }
    }

    fn side(&self, side: Side) -> Side {
        if self.mirrored { self.axis.side(side) } else { side }
    }

    fn corner(&self, a: Side, b: Side) -> SheetPoint {
        let x = if [a, b].contains(&Side::Right) { self.width() } else { 0.0 };
        let y = if [a, b].contains(&Side::Top) { self.length() } else { 0.0 };
        self.mirror(SheetPoint::new(x, y))
    }

    /// Where a place of the paper lies.
    pub fn lay(&self, p: SheetPoint, span: &Span) -> Result<Place, Fault> {
        let face = self.model.faces_at(p).next().ok_or((span, Problem::OffPaper))?;
        let table = self.placement(face).apply(p);
        Ok(Place { table, sheet: Some(p), other: None })
    }

    /// Resolves a place.
    pub fn place(&self, r: &Spanned<PointRef>) -> Result<Place, Fault> {
        self.in_half(self.as_written(r)?, &r.span)
    }

    /// A place, or where the half that is named does not carry it, its image there.
    fn in_half(&self, place: Place, span: &Span) -> Result<Place, Fault> {
        let Place { sheet: Some(p), other: None, .. } = place else { return Ok(place) };
        let there = self.in_named_half(p, false);
        if there == p { Ok(place) } else { self.lay(there, span) }
    }

    fn as_written(&self, r: &Spanned<PointRef>) -> Result<Place, Fault> {
        let span = &r.span;
        let on_sheet = match &r.node {
            PointRef::Corner(a, b) => self.corner(*a, *b),
            PointRef::ModelCorner(a, b) => self.corner_of_model(*a, *b, span)?,
            PointRef::EdgeMiddle(side) => {
                let [a, b] = edge_ends(self.side(*side), self.model.sheet_m);
                a.lerp(b, 0.5)
            }
            PointRef::Sheet(x, y) => {
                self.mirror(SheetPoint::new(self.values.length(x)?, self.values.length(y)?))
            }
            PointRef::Named(name) => match self.names.get(name)? {
                Meaning::Place(halves) | Meaning::Crossing([halves, _]) => self.half(halves),
                _ => {
                    let name = name.node.clone();
                    return Err((span, Problem::NotAPlace { name }).into());
                }
            },
            PointRef::Along { by, of, from } => return self.along(by, of, from.as_deref(), span),
            PointRef::MiddleOf(of) => {
                let [a, b] = self.ends_of(of)?;
                a.lerp(b, 0.5)
            }
            PointRef::End(side, of) => self.end(*side, of)?,
            PointRef::Crossing(l, m) => return self.crossing(l, m, span),
        };
        self.lay(on_sheet, span)
    }

    /// A place that must be on the paper.
    pub fn place_on_paper(&self, r: &Spanned<PointRef>) -> Result<(TablePoint, SheetPoint), Fault> {
        let place = self.place(r)?;
        let sheet = place.sheet.ok_or_else(|| (&r.span, self.off_paper(r)))?;
        Ok((place.table, sheet))
    }

    /// The end of a line that lies on this side of the unfolded sheet.
    fn end(&self, side: Side, of: &Spanned<LineRef>) -> Result<SheetPoint, Fault> {
        let (side, runs) = (self.side(side), self.runs_of(of)?);
        let out = |p: SheetPoint| match side {
            Side::Left => -p.x,
            Side::Right => p.x,
            Side::Top => p.y,
            Side::Bottom => -p.y,
        };
        let far = |r: &Run| out(r.ends[0]).max(out(r.ends[1]));
        let apart = |r: &Run| (out(r.ends[0]) - out(r.ends[1])).abs() >= STRAIGHT_M;
        let told: Vec<Run> = runs.iter().filter(|r| apart(r)).copied().collect();
        if told.is_empty() {
            let level = runs.iter().any(|r| r.ends[0].x != r.ends[1].x);
            return Err((&of.span, Problem::NoSuchEnd { level }).into());
        }
        let farthest = told.iter().map(far).fold(f64::NEG_INFINITY, f64::max);
        let told = told.into_iter().filter(|r| far(r) > farthest - STRAIGHT_M).collect();
        let [a, b] = self.one_run(told, of)?;
        Ok(if out(a) > out(b) { a } else { b })
    }

    fn ends_of(&self, of: &Spanned<LineRef>) -> Result<[SheetPoint; 2], Fault> {
        self.one_run(self.runs_of(of)?, of)
    }

    /// A place spoken of together with a line: of a crossing, the mark on that line's paper.
    pub fn place_on(&self, r: &Spanned<PointRef>, line: &Spanned<LineRef>) -> Result<Place, Fault> {
        self.in_half(self.written_on(r, line)?, &r.span)
    }

    fn written_on(&self, r: &Spanned<PointRef>, line: &Spanned<LineRef>) -> Result<Place, Fault> {
        let place = self.as_written(r)?;
        let PointRef::Named(name) = &r.node else { return Ok(place) };
        let Meaning::Crossing(marks) = self.names.get(name)? else { return Ok(place) };
        let pieces = self.paper_along(line)?;
        let on_line = |p: &SheetPoint| pieces.iter().any(|piece| on_segment(*p, piece.sheet));
        let marks = marks.map(|halves| self.half(&halves));
        marks.into_iter().find(on_line).map_or(Ok(place), |p| self.lay(p, &r.span))
    }

    fn along(
        &self,
        by: &Spanned<Expr>,
        of: &Spanned<LineRef>,
        from: Option<&Spanned<PointRef>>,
        span: &Span,
    ) -> Result<Place, Fault> {
        let amount = self.values.fraction_or_length(by)?;
        let pieces = self.paper_along(of)?;
        let [start, end] = self.ends_of(of)?;
        let length = start.distance(end);
        let dir = (end - start).unit().ok_or((&of.span, Problem::EmptyLine))?;
        let on_sheet = match from {
            None => match amount {
                FractionOrLength::LengthM(by) => start + dir * by,
                FractionOrLength::Fraction(t) => start.lerp(end, t),
            },
            Some(from) => {
                let place = self.written_on(from, of)?;
                let sheet = place.sheet.ok_or((&from.span, Problem::OffPaper))?;
                // A place of this line is meant as it lies on the paper; one written through another
                // layer is found on this line where it lies on the table.
                let line = SheetLine { at: start, dir };
                let on_it = |p: SheetPoint| line.side(p).abs() < STRAIGHT_M;
                let runs_along = pieces.iter().filter(|p| p.sheet.into_iter().all(on_it));
                let found = Some(sheet).filter(|&p| on_it(p));
                let found =
                    found.or_else(|| runs_along.into_iter().find_map(|p| on_piece(p, place.table)));
                let sheet = match found {
                    Some(sheet) => sheet,
                    None if self.slipped => sheet,
                    None => {
                        let line = print::line(&of.node);
                        return Err((&from.span, Problem::NotOnLine { line }).into());
                    }
                };
                let at = dir.dot(sheet - start);
                let either = self.one_sided || !self.axis.image(start).near(end);
                if either && (at - length / 2.0).abs() < STRAIGHT_M {
                    let line = print::line(&of.node);
                    return Err((span, Problem::EitherWay { line }).into());
                }
                // Towards the farther end; from the very middle to either side of the model's.
                let sign = if at >= length / 2.0 - TOLERANCE_M { -1.0 } else { 1.0 };
                let distance = match amount {
                    FractionOrLength::LengthM(by) => by,
                    FractionOrLength::Fraction(t) => t * length,
                };
                start + dir * (at + sign * distance)
            }
        };
        self.lay(on_sheet, span)
    }
}

/// The place of the paper on a piece that lies at a place on the table.
pub(super) fn on_piece(piece: &Piece, at: TablePoint) -> Option<SheetPoint> {
    let line = TableLine::through(piece.table[0], piece.table[1])?;
    let (s, length) = (line.along(at), piece.table[0].distance(piece.table[1]));
    let on = line.side(at).abs() < STRAIGHT_M && -STRAIGHT_M < s && s < length + STRAIGHT_M;
    // Snap to the ends, so that a corner stays a corner bit for bit.
    on.then(|| match () {
        () if s.abs() < STRAIGHT_M => piece.sheet[0],
        () if (s - length).abs() < STRAIGHT_M => piece.sheet[1],
        () => piece.sheet[0].lerp(piece.sheet[1], s / length),
    })
}

/// A place of the sheet in words, as near as lines are told apart.
pub(super) fn written(p: SheetPoint) -> String {
    let mm = |m: f64| {
        let digits = format!("{:.4}", m * 1e3);
        digits.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    format!("({} mm, {} mm)", mm(p.x), mm(p.y))
}

/// Mirror image in the sheet's upright centre line.
pub fn mirror_image(p: SheetPoint, width: f64) -> SheetPoint {
    SheetPoint::new(width - p.x, p.y)
}

/// Ends of an edge of the sheet, the lower or left one first.
fn edge_ends(side: Side, [w, l]: [f64; 2]) -> [SheetPoint; 2] {
    let ends = match side {
        Side::Left => [(0.0, 0.0), (0.0, l)],
        Side::Right => [(w, 0.0), (w, l)],
        Side::Bottom => [(0.0, 0.0), (w, 0.0)],
        Side::Top => [(0.0, l), (w, l)],
    };
    ends.map(|(x, y)| SheetPoint::new(x, y))
}

/// How much of a stretch of line lies along another, m; nothing where it lies farther beside it.
pub fn shared_m<F>(a: [Point<F>; 2], b: [Point<F>; 2], apart_m: f64) -> f64 {
    let Some(line) = Line::through(b[0], b[1]) else { return 0.0 };
    if a.iter().any(|&p| line.side(p).abs() >= apart_m) {
        return 0.0;
    }
    let [s, t] = a.map(|p| line.along(p));
    (s.max(t).min(b[0].distance(b[1])) - s.min(t).max(0.0)).max(0.0)
}

/// Where two stretches of line share more than a point.
pub fn stretches_meet(a: [TablePoint; 2], b: [TablePoint; 2]) -> bool {
    shared_m(a, b, STRAIGHT_M) > STRAIGHT_M
}

/// Whether a place lies on a stretch of line.
pub fn on_stretch(p: TablePoint, stretch: [TablePoint; 2]) -> bool {
    let [a, b] = stretch;
    let Some(line) = TableLine::through(a, b) else { return false };
    let s = line.along(p);
    line.side(p).abs() < STRAIGHT_M && -STRAIGHT_M < s && s < a.distance(b) + STRAIGHT_M
}

/// Whether a place of the paper lies on a straight piece of it.
fn on_segment(p: SheetPoint, [a, b]: [SheetPoint; 2]) -> bool {
    let Some(line) = SheetLine::through(a, b) else { return false };
    let s = line.along(p);
    line.side(p).abs() < STRAIGHT_M && -STRAIGHT_M < s && s < a.distance(b) + STRAIGHT_M
}

/// Side of a line a stretch lies on, weighed by length: positive when more of it lies on the left.
pub fn weight_of(stretch: [TablePoint; 2], line: &TableLine) -> f64 {
    let length = stretch[0].distance(stretch[1]);
    let [a, b] = stretch.map(|p| line.side(p));
    if a.abs().max(b.abs()) <= TOLERANCE_M {
        return 0.0;
    }
    if a * b >= 0.0 {
        return length * (a + b).signum();
    }
    length * (a + b) / (a - b).abs()
}

/// A direction on the table.
pub fn direction(d: crate::design::ast::Direction) -> Vec2 {
    use crate::design::ast::Direction;
    match d {
        Direction::Left => Vec2::new(-1.0, 0.0),
        Direction::Right => Vec2::new(1.0, 0.0),
        Direction::Up => Vec2::new(0.0, 1.0),
        Direction::Down => Vec2::new(0.0, -1.0),
    }
}

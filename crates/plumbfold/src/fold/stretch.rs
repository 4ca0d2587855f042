//! Which stretch of a line is meant, where the line has been folded apart.
//!
//! An edge or a crease of the paper may lie in several straight stretches. A step means, in this
//! order: the stretch it names (`left edge at bottom left corner`); what the layers it names
//! carry; the stretch with the place it speaks of; the stretch on the rim of the model, which is
//! the edge a folder sees. Where that leaves more than one the step is refused, never guessed.

use super::error::Problem;
use super::refs::{Fault, LaidLine, Meaning, Piece, Place, Refs, STRAIGHT_M};
use super::refs::{on_piece, on_stretch, written};
use super::state::{CreaseId, FaceId};
use crate::design::ast::{LineRef, PointRef, Side, Spanned};
use crate::design::print;
use crate::numeric::geom::{SheetPoint, TableLine, TablePoint, edges};

/// How far beside a line its rim is looked for, m (chosen: above every tolerance, below any paper).
const BESIDE_M: f64 = 10.0 * STRAIGHT_M;
/// Where along a piece it is looked for (chosen: no symmetric fold hides all of them).
const SAMPLES: [f64; 5] = [0.07, 0.29, 0.5, 0.68, 0.93];

impl Refs<'_> {
    /// Keeps the stretches that the layers named by the step carry, if there are such.
    pub(super) fn keep_named(&self, stretches: &mut Vec<LaidLine>) {
        let Some(among) = &self.among else { return };
        keep(stretches, |l| l.pieces.iter().any(|p| among.contains(&p.face)));
        // Of the one that is left, the layers named; where it is several, all as they are.
        for l in stretches {
            if l.pieces.iter().any(|p| among.contains(&p.face)) {
                l.pieces.retain(|p| among.contains(&p.face));
            }
        }
    }

    /// The stretches of a line; where the half that is named carries none of it, of its mirror image
    /// in that half: either half has a left edge.
    pub(super) fn lines_named(
        &self,
        r: &Spanned<LineRef>,
        moves: bool,
    ) -> Result<Vec<LaidLine>, Fault> {
        let own = self.lines(r)?;
        let Some(half) = self.named_half() else { return Ok(own) };
        let carried = |l: &LaidLine| l.pieces.iter().any(|p| half.contains(&p.face));
        if own.iter().any(carried) {
            return Ok(own);
        }
        let &Refs { axis, slipped, thickness_m, .. } = self;
        let as_written = Refs::new(self.model, self.names, self.values);
        let image = Refs { axis, mirrored: !self.mirrored, slipped, thickness_m, ..as_written };
        let mut images = image.lines(r).unwrap_or_default();
        // On the first side, only where it lies on the line that was named, or must move.
        let lies_on = |l: &LaidLine| {
            let ends = [l.ideal.place(0.0), l.ideal.place(1.0)];
            own.iter().any(|o| ends.iter().all(|&p| o.ideal.side(p).abs() < STRAIGHT_M))
        };
        images.retain(|l| carried(l) && (self.mirrored || moves || lies_on(l)));
        Ok(if images.is_empty() { own } else { images })
    }

    /// A place of the paper; where the half that is named does not carry it, its mirror image in that
    /// half: either half has a top left corner.
    pub fn in_named_half(&self, p: SheetPoint, moves: bool) -> SheetPoint {
        let carried =
            |p| self.named_half().is_none_or(|h| self.model.faces_at(p).any(|f| h.contains(&f)));
        let image = self.axis.image(p);
        if carried(p) || !carried(image) {
            return p;
        }
        // On the first side, only where it lies on the place that was named, or must move.
        let on_it = self.model.on_table(p).zip(self.model.on_table(image));
        let lies_on = on_it.is_some_and(|(a, b)| a.distance(b) < STRAIGHT_M);
        if self.mirrored || moves || lies_on { image } else { p }
    }

    /// The half of a model folded in two that the step names.
    fn named_half(&self) -> Option<&[FaceId]> {
        let among = self.among.as_deref()?;
        let faces = &self.model.faces;
        let half = faces[*among.first()?].moved_half;
        let size = faces.iter().filter(|f| f.moved_half == half).count();
        (size == among.len() && size < faces.len()).then_some(among)
    }

    /// Keeps the stretches with this place on them, if there are such.
    pub(super) fn keep_near(&self, stretches: &mut Vec<LaidLine>, place: Option<TablePoint>) {
        if let Some(place) = place {
            keep(stretches, |l| l.pieces.iter().any(|p| on_stretch(place, p.table)));
        }
    }

    /// Keeps the stretches on the rim of the model, if there are such.
    pub(super) fn keep_rim(&self, stretches: &mut Vec<LaidLine>) {
        keep(stretches, |l| l.pieces.iter().any(|p| self.on_rim(p)));
    }

    /// Where a line lies that something is brought onto: the stretches on the rim, or all of them.
    /// Of a crease made on both sides the one nearer to what is brought, on the paper, is meant.
    pub fn targets(
        &self,
        r: &Spanned<LineRef>,
        from: &[SheetPoint],
    ) -> Result<Vec<LaidLine>, Fault> {
        let mut stretches = match self.meaning(r)? {
            Meaning::Creases([first, other]) if self.is_nearer(&other, &first, from) => {
                self.straight(self.crease_pieces(&other), &other)
            }
            _ => self.lines(r)?,
        };
        if stretches.len() > 1 {
            self.keep_rim(&mut stretches);
        }
        Ok(stretches)
    }

    /// Whether one crease lies nearer to some places of the paper than another does.
    fn is_nearer(&self, one: &[CreaseId], other: &[CreaseId], from: &[SheetPoint]) -> bool {
        let away = |ids: &[CreaseId]| {
            let ends = || self.hinges_of(ids).map(|h| h.ends);
            let nearest =
                |p: &SheetPoint| ends().map(|e| distance_to(*p, e)).fold(f64::INFINITY, f64::min);
            from.iter().map(nearest).sum::<f64>()
        };
        !one.is_empty() && away(one) < away(other) - STRAIGHT_M
    }

    /// Whether this is a folded edge on the rim of a model that is not folded in two.
    pub fn is_folded_rim(&self, r: &Spanned<LineRef>, laid: &LaidLine) -> Result<bool, Fault> {
        let creases = self.creases(r)?;
        let mut hinges = self.hinges_of(&creases).peekable();
        let folded = hinges.peek().is_some() && hinges.all(|h| self.model.is_folded(h));
        let on_rim = || laid.pieces.iter().all(|p| self.on_rim(p));
        Ok(folded && !self.model.in_halves() && on_rim())
    }

    fn on_rim(&self, piece: &Piece) -> bool {
        let [a, b] = piece.table;
        let Some(dir) = (b - a).unit() else { return false };
        let bare = |p: TablePoint| {
            !self.model.faces.iter().any(|f| {
                let p = f.placement.unapply(p);
                edges(&f.polygon).all(|(a, b)| (b - a).cross(p - a) >= 0.0)
            })
        };
        SAMPLES.iter().any(|&t| {
            let (p, out) = (a.lerp(b, t), dir.perp() * BESIDE_M);
            bare(p + out) || bare(p + -out)
        })
    }

    /// The stretch of a line with a place of the paper on it.
    pub(super) fn stretch_at(
        &self,
        line: &Spanned<LineRef>,
        place: &Spanned<PointRef>,
    ) -> Result<Vec<Piece>, Fault> {
        let (at, stretches) = (self.place_on(place, line)?, self.lines(line)?);
        let carries = |l: &&LaidLine| l.pieces.iter().any(|p| on_stretch(at.table, p.table));
        let mut with = stretches.iter().filter(carries);
        match (with.next(), with.next()) {
            (Some(only), None) => Ok(only.pieces.clone()),
            (None, _) => {
                let line = print::line(&line.node);
                Err((&place.span, Problem::NotOnLine { line }).into())
            }
            (Some(_), Some(_)) => Err((&place.span, self.which_stretch(line, &stretches)).into()),
        }
    }

    /// Says that a line lies in several stretches, and how to name each.
    pub(super) fn which_stretch(&self, r: &Spanned<LineRef>, stretches: &[LaidLine]) -> Problem {
        let r = match &r.node {
            LineRef::At(line, _) => line,
            _ => r,
        };
        let line = print::line(&r.node);
        let place = |l: &LaidLine| {
            let known = CORNERS.iter().map(|&(a, b)| PointRef::Corner(a, b));
            let known = known.chain(SIDES.map(PointRef::EdgeMiddle)).filter(|p| {
                let spanned = Spanned { node: p.clone(), span: r.span.clone() };
                let at = self.place(&spanned).ok().map(|p| p.table);
                let on = |l: &LaidLine, at| l.pieces.iter().any(|p| on_stretch(at, p.table));
                at.is_some_and(|at| {
                    on(l, at) && stretches.iter().filter(|o| on(o, at)).count() == 1
                })
            });
            known.map(|p| print::place(&p)).next().or_else(|| {
                let p = l.pieces.first()?;
                let middle = p.sheet[0].lerp(p.sheet[1], 0.5);
                Some(written(middle))
            })
        };
        let ways = stretches.iter().filter_map(|l| Some(format!("{line} at {}", place(l)?)));
        Problem::WhichStretch {
            ways: ways.collect(),
            pieces: stretches.iter().flat_map(|l| &l.pieces).map(|p| p.table).collect(),
            line,
        }
    }

    /// Where two lines cross on the table.
    pub(super) fn crossing(
        &self,
        l: &Spanned<LineRef>,
        m: &Spanned<LineRef>,
        span: &crate::design::ast::Span,
    ) -> Result<Place, Fault> {
        let (ls, ms) = (self.lines(l)?, self.lines(m)?);
        let mut found: Vec<Place> = Vec::new();
        for (a, b) in ls.iter().flat_map(|a| ms.iter().map(move |b| (a, b))) {
            if let Some(place) = on_both(a, b)
                && !found.iter().any(|f| f.table.distance(place.table) < STRAIGHT_M)
            {
                found.push(place);
            }
        }
        // Lines that meet in the paper itself always do: the crossing that a fold made is meant.
        if found.len() > 1 {
            keep(&mut found, |p| match (p.sheet, p.other) {
                (Some(a), Some(b)) => a.distance(b) > STRAIGHT_M,
                _ => true,
            });
        }
        match found.len() {
            1 => return Ok(found[0]),
            0 => {}
            _ => {
                let (r, stretches) = if ls.len() > ms.len() { (l, ls) } else { (m, ms) };
                return Err((&r.span, self.which_stretch(r, &stretches)).into());
            }
        }
        let (l, m) = (self.line(l)?, self.line(m)?);
        let lines = [l.ideal, m.ideal];
        let table = lines[0].crossing(&lines[1]).ok_or((span, Problem::NoCrossing { lines }))?;
        let on_piece = |p: &Piece| on_piece(p, table);
        let sheet = l.pieces.iter().chain(&m.pieces).find_map(on_piece);
        // Off both lines' own paper: whatever lies uppermost there.
        let sheet = sheet.or_else(|| self.uppermost_at(table));
        Ok(Place { table, sheet, other: None })
    }

    /// Why a place is not on the paper: for a crossing, with what its first line does cross.
    pub fn off_paper(&self, r: &Spanned<PointRef>) -> Problem {
        let PointRef::Crossing(..) = &r.node else { return Problem::OffPaper };
        let with = self.other_crossings(r).iter().map(print::place).collect();
        Problem::CrossesElsewhere { with }
    }

    /// Crossings of the first line of a crossing that are on the paper.
    pub fn other_crossings(&self, r: &Spanned<PointRef>) -> Vec<PointRef> {
        let PointRef::Crossing(l, m) = &r.node else { return Vec::new() };
        let at = |node: LineRef| Spanned { node, span: r.span.clone() };
        let named = self
            .names
            .of_lines()
            .map(|n| LineRef::Named(Spanned { node: n.to_owned(), span: r.span.clone() }));
        let all = SIDES.map(LineRef::Edge).into_iter().chain(named);
        let crosses = |other: &Spanned<LineRef>| {
            let (Ok(ls), Ok(ms)) = (self.lines(l), self.lines(other)) else { return false };
            ls.iter().any(|a| ms.iter().any(|b| on_both(a, b).is_some()))
        };
        let others = all.map(at).filter(|o| o.node != l.node && o.node != m.node && crosses(o));
        others.map(|o| PointRef::Crossing(l.clone(), o)).collect()
    }

    fn uppermost_at(&self, table: TablePoint) -> Option<SheetPoint> {
        self.model.order.iter().rev().find_map(|&f| {
            let p = self.model.faces[f].placement.unapply(table);
            self.model.faces_at(p).any(|g| g == f).then_some(p)
        })
    }
}

/// Where two stretches cross on their own paper.
fn on_both(l: &LaidLine, m: &LaidLine) -> Option<Place> {
    let table = TableLine::crossing(&l.ideal, &m.ideal)?;
    let mark = |l: &LaidLine| l.pieces.iter().find_map(|p| on_piece(p, table));
    let (sheet, other) = (mark(l)?, mark(m)?);
    Some(Place { table, sheet: Some(sheet), other: Some(other) })
}

const SIDES: [Side; 4] = [Side::Top, Side::Bottom, Side::Left, Side::Right];
const CORNERS: [(Side, Side); 4] = [
    (Side::Top, Side::Left),
    (Side::Top, Side::Right),
    (Side::Bottom, Side::Left),
    (Side::Bottom, Side::Right),
];

/// Keeps what holds, unless that is nothing.
/// How far a place of the paper is from a stretch of it, m.
fn distance_to(p: SheetPoint, [a, b]: [SheetPoint; 2]) -> f64 {
    let along = b - a;
    let share = (p - a).dot(along) / along.dot(along).max(f64::MIN_POSITIVE);
    p.distance(a.lerp(b, share.clamp(0.0, 1.0)))
}

fn keep<T>(list: &mut Vec<T>, holds: impl Fn(&T) -> bool) {
    if list.iter().any(&holds) {
        list.retain(holds);
    }
}

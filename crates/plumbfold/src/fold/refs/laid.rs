//! Lines as they lie now: their pieces, the straight lines those make, the hinges under them.

use super::{Fault, LaidLine, Meaning, Piece, Place, Refs, SLIPPED_APART_M, STRAIGHT_M, shared_m};
use crate::design::ast::{LineRef, Side, Spanned};
use crate::fold::creep;
use crate::fold::error::Problem;
use crate::fold::state::{CreaseId, FaceId, Hinge};
use crate::numeric::geom::{
    SheetLine, SheetPoint, TOLERANCE_M, TableLine, TablePoint, centroid, clip_segment,
};

impl Refs<'_> {
    /// What a line reference stands for, so that a mark can keep it.
    pub fn meaning(&self, r: &Spanned<LineRef>) -> Result<Meaning, Fault> {
        Ok(match &r.node {
            LineRef::Edge(side) => Meaning::Edge(self.side(*side)),
            LineRef::Named(name) => match self.names.get(name)? {
                Meaning::Place(_) | Meaning::Crossing(_) => {
                    let name = name.node.clone();
                    return Err((&r.span, Problem::NotALine { name }).into());
                }
                Meaning::Edge(side) => Meaning::Edge(self.side(*side)),
                Meaning::Join(ends) => Meaning::Join(ends.map(|p| self.mirror(p))),
                Meaning::Creases([a, b]) if self.mirrored && !b.is_empty() => {
                    Meaning::Creases([b.clone(), a.clone()])
                }
                // A name given on one side only: what lies in its mirror image.
                Meaning::Creases([a, _]) if self.mirrored => {
                    Meaning::Creases([self.images(a), Vec::new()])
                }
                Meaning::Creases(halves) => Meaning::Creases(halves.clone()),
            },
            LineRef::Join(p, q) => {
                Meaning::Join([self.place_on_paper(p)?.1, self.place_on_paper(q)?.1])
            }
            LineRef::At(..) => Meaning::Join(self.ends_of(r)?),
        })
    }

    /// The creases in the mirror image of some; those themselves where there are none, or where they
    /// are their own image.
    pub fn images(&self, ids: &[CreaseId]) -> Vec<CreaseId> {
        let apart = if self.slipped { SLIPPED_APART_M } else { STRAIGHT_M };
        let images: Vec<[SheetPoint; 2]> =
            self.hinges_of(ids).map(|h| h.ends.map(|p| self.axis.image(p))).collect();
        let lies_on = |h: &Hinge| images.iter().any(|&i| shared_m(h.ends, i, apart) > STRAIGHT_M);
        let mut found: Vec<CreaseId> = Vec::new();
        for h in self.model.hinges.iter().filter(|h| lies_on(h)) {
            if ids.contains(&h.crease) {
                return ids.to_vec();
            }
            if !found.contains(&h.crease) {
                found.push(h.crease);
            }
        }
        if found.is_empty() { ids.to_vec() } else { found }
    }

    /// Whether this is an edge of the sheet, or a stretch of one, however it is written.
    pub fn is_edge(&self, r: &Spanned<LineRef>) -> Result<bool, Fault> {
        Ok(match self.meaning(r) {
            Ok(Meaning::Edge(_)) => true,
            Ok(Meaning::Join([p, q])) => {
                let near = |a: f64, b: f64, edge: f64| (a - edge).abs().max((b - edge).abs());
                let [w, l] = self.model.sheet_m;
                let on = |edge: f64, a, b| near(a, b, edge) < STRAIGHT_M;
                on(0.0, p.x, q.x) || on(w, p.x, q.x) || on(0.0, p.y, q.y) || on(l, p.y, q.y)
            }
            Ok(_) => false,
            // A line through places beside the paper.
            Err(_) if matches!(r.node, LineRef::Join(..)) => false,
            Err(fault) => return Err(fault),
        })
    }

    /// Creases a line reference names, if it names creases.
    pub fn creases(&self, r: &Spanned<LineRef>) -> Result<Vec<CreaseId>, Fault> {
        Ok(match self.meaning(r)? {
            Meaning::Creases([these, _]) => these,
            _ => Vec::new(),
        })
    }

    /// The paper along a line, whether or not it still lies straight.
    pub(super) fn pieces(&self, meaning: &Meaning) -> Vec<Piece> {
        match meaning {
            Meaning::Edge(side) => self.edge_pieces(*side),
            Meaning::Creases([ids, _]) => self.crease_pieces(ids),
            Meaning::Join(ends) => self.pieces_between(*ends, None),
            Meaning::Place(_) | Meaning::Crossing(_) => Vec::new(),
        }
    }

    /// The paper along a line, or along the stretch of it that is named.
    pub(super) fn paper_along(&self, r: &Spanned<LineRef>) -> Result<Vec<Piece>, Fault> {
        match &r.node {
            LineRef::At(line, place) => self.stretch_at(line, place),
            _ => Ok(self.pieces(&self.meaning(r)?)),
        }
    }

    /// Resolves a line; where it has been folded apart, the stretch of it that is meant.
    pub fn line(&self, r: &Spanned<LineRef>) -> Result<LaidLine, Fault> {
        self.line_near(r, None)
    }

    /// Resolves a line that moves: the half that is named carries it, or its mirror image.
    pub fn moving_line(&self, r: &Spanned<LineRef>) -> Result<LaidLine, Fault> {
        self.line_meant(r, self.lines_named(r, true)?, None)
    }

    /// Resolves a line that is spoken of together with a place.
    pub fn line_near(
        &self,
        r: &Spanned<LineRef>,
        place: Option<TablePoint>,
    ) -> Result<LaidLine, Fault> {
        self.line_meant(r, self.lines_named(r, false)?, place)
    }

    fn line_meant(
        &self,
        r: &Spanned<LineRef>,
        mut stretches: Vec<LaidLine>,
        place: Option<TablePoint>,
    ) -> Result<LaidLine, Fault> {
        self.keep_named(&mut stretches);
        if stretches.len() > 1 {
            self.keep_near(&mut stretches, place);
            self.keep_rim(&mut stretches);
        }
        // The other half was told which; that this one is its image is looked at when it is folded.
        if stretches.len() > 1 && (self.slipped || self.mirrored) {
            stretches.truncate(1);
        }
        match stretches.pop() {
            Some(only) if stretches.is_empty() => Ok(only),
            Some(last) => {
                stretches.push(last);
                Err((&r.span, self.which_stretch(r, &stretches)).into())
            }
            None => Err((&r.span, Problem::EmptyLine).into()),
        }
    }

    /// Every stretch of a line that lies straight, longest first.
    pub fn lines(&self, r: &Spanned<LineRef>) -> Result<Vec<LaidLine>, Fault> {
        let span = &r.span;
        let join = |p: Place, q: Place| -> Result<Vec<LaidLine>, Fault> {
            let line = TableLine::through(p.table, q.table)
                .ok_or((span, Problem::SamePlace { at: p.table }))?;
            let pieces = match (p.sheet, q.sheet) {
                (Some(p), Some(q)) => {
                    self.pieces_between([p, q], Some(&line).filter(|_| !self.slipped))
                }
                _ => Vec::new(),
            };
            Ok(vec![LaidLine { line, ideal: line, pieces }])
        };
        if let LineRef::Join(p, q) = &r.node {
            // Places off the paper (crossings of long lines) may be joined too.
            return join(self.place(p)?, self.place(q)?);
        }
        if let LineRef::At(line, place) = &r.node {
            return Ok(self.straight(self.stretch_at(line, place)?, &[]));
        }
        let meaning = self.meaning(r)?;
        if let Meaning::Join([p, q]) = meaning {
            return join(self.lay(p, span)?, self.lay(q, span)?);
        }
        let creases = match &meaning {
            Meaning::Creases([ids, _]) => ids.as_slice(),
            _ => &[],
        };
        let stretches = self.straight(self.pieces(&meaning), creases);
        if stretches.is_empty() {
            return Err((span, Problem::EmptyLine).into());
        }
        Ok(stretches)
    }

    /// Sorts paper into the straight stretches in which it lies, longest first.
    pub(in crate::fold) fn straight(
        &self,
        pieces: Vec<Piece>,
        creases: &[CreaseId],
    ) -> Vec<LaidLine> {
        let long = |p: &Piece| p.table[0].distance(p.table[1]);
        let apart = if self.slipped { SLIPPED_APART_M } else { STRAIGHT_M };
        let mut lines: Vec<LaidLine> = Vec::new();
        let longest = pieces.iter().copied().max_by(|a, b| long(a).total_cmp(&long(b)));
        let mut rest = pieces;
        let mut next = longest;
        while let Some(ideal) = next.and_then(|p| TableLine::through(p.table[0], p.table[1])) {
            let on = |p: &Piece| p.table.iter().all(|&q| ideal.side(q).abs() <= apart);
            let pieces: Vec<Piece> = rest.iter().copied().filter(on).collect();
            rest.retain(|p| !on(p));
            lines.push(LaidLine { line: self.stand_out(creases, ideal), ideal, pieces });
            next = rest.iter().copied().max_by(|a, b| long(a).total_cmp(&long(b)));
        }
        lines
    }

    pub(super) fn piece(&self, face: FaceId, sheet: [SheetPoint; 2]) -> Piece {
        let placement = self.placement(face);
        Piece { face, sheet, table: sheet.map(|p| placement.apply(p)) }
    }

    pub(super) fn edge_pieces(&self, side: Side) -> Vec<Piece> {
        let [w, l] = self.model.sheet_m;
        let on_edge = |p: &SheetPoint| match side {
            Side::Left => p.x.abs() <= TOLERANCE_M,
            Side::Right => (p.x - w).abs() <= TOLERANCE_M,
            Side::Bottom => p.y.abs() <= TOLERANCE_M,
            Side::Top => (p.y - l).abs() <= TOLERANCE_M,
        };
        let mut pieces = Vec::new();
        for (face, f) in self.model.faces.iter().enumerate() {
            for i in 0..f.polygon.len() {
                let ends = [f.polygon[i], f.polygon[(i + 1) % f.polygon.len()]];
                if ends.iter().all(on_edge) && !ends[0].near(ends[1]) {
                    pieces.push(self.piece(face, ends));
                }
            }
        }
        pieces
    }

    pub(in crate::fold) fn hinges_of<'b>(
        &'b self,
        ids: &'b [CreaseId],
    ) -> impl Iterator<Item = &'b Hinge> {
        let hinges = self.model.hinges.iter();
        hinges.filter(|h| ids.contains(&h.crease) && !h.ends[0].near(h.ends[1]))
    }

    /// Hinges along a line: those of the creases it names, or those that lie on it on the paper.
    pub fn hinges(&self, r: &Spanned<LineRef>) -> Result<Vec<usize>, Fault> {
        let meaning = self.meaning(r)?;
        let along = |h: &Hinge| match &meaning {
            Meaning::Creases([ids, _]) => ids.contains(&h.crease),
            Meaning::Join([p, q]) => SheetLine::through(*p, *q).is_some_and(|l| {
                let reach = p.distance(*q) + STRAIGHT_M;
                let on = |e: SheetPoint| {
                    l.side(e).abs() < STRAIGHT_M && -STRAIGHT_M < l.along(e) && l.along(e) < reach
                };
                h.ends.into_iter().all(on)
            }),
            Meaning::Edge(_) | Meaning::Place(_) | Meaning::Crossing(_) => false,
        };
        let hinges = &self.model.hinges;
        Ok((0..hinges.len()).filter(|&i| along(&hinges[i])).collect())
    }

    pub(in crate::fold) fn crease_pieces(&self, ids: &[CreaseId]) -> Vec<Piece> {
        self.hinges_of(ids).flat_map(|h| h.faces.map(|f| self.piece(f, h.ends))).collect()
    }

    /// A folded edge lies half way between its two faces, and stands out from there, away from the
    /// paper it bends.
    pub(super) fn stand_out(&self, ids: &[CreaseId], ideal: TableLine) -> TableLine {
        if self.thickness_m == 0.0 {
            return ideal;
        }
        let (mut bulge, mut left, mut right) = (0.0_f64, false, false);
        let (mut length, mut apart) = (0.0, 0.0);
        for h in self.hinges_of(ids).filter(|h| self.model.is_folded(h)) {
            bulge = bulge.max(creep::stand_out(&self.model.creases[h.crease]));
            for face in h.faces {
                let long = h.ends[0].distance(h.ends[1]);
                let middle = self.placement(face).apply(h.ends[0].lerp(h.ends[1], 0.5));
                (length, apart) = (length + long, apart + long * ideal.side(middle));
            }
            let middle = centroid(&self.model.faces[h.faces[0]].polygon);
            let on_left = ideal.side(self.placement(h.faces[0]).apply(middle)) > 0.0;
            left |= on_left;
            right |= !on_left;
        }
        if length == 0.0 {
            return ideal;
        }
        // Bends on both sides meet in the line itself.
        let out = match (left, right) {
            (true, false) => -bulge,
            (false, true) => bulge,
            _ => 0.0,
        };
        let by = apart / length + out * self.thickness_m;
        TableLine { at: ideal.at + ideal.dir.perp() * by, dir: ideal.dir }
    }

    /// Paper along the straight stretch between two places of the sheet, as far as it still lies
    /// on the line, where one is given.
    pub(super) fn pieces_between(
        &self,
        ends: [SheetPoint; 2],
        line: Option<&TableLine>,
    ) -> Vec<Piece> {
        let Some(along) = SheetLine::through(ends[0], ends[1]) else { return Vec::new() };
        let mut pieces = Vec::new();
        for (face, f) in self.model.faces.iter().enumerate() {
            let run = clip_segment(ends[0], ends[1], &f.polygon);
            let run = run.or_else(|| shared_edge(&along, ends, &f.polygon));
            let Some((a, b)) = run else { continue };
            let piece = self.piece(face, [along.place(a), along.place(b)]);
            let lies_on = |l: &TableLine| piece.table.iter().all(|&p| l.side(p).abs() < STRAIGHT_M);
            if line.is_none_or(lies_on) {
                pieces.push(piece);
            }
        }
        pieces
    }
}

/// Stretch of an outline's edge that runs along a line, between two places on it.
fn shared_edge(
    along: &SheetLine,
    ends: [SheetPoint; 2],
    polygon: &[SheetPoint],
) -> Option<(f64, f64)> {
    let reach = along.along(ends[1]);
    (0..polygon.len()).find_map(|i| {
        let edge = [polygon[i], polygon[(i + 1) % polygon.len()]];
        let on = edge.iter().all(|&p| along.side(p).abs() <= TOLERANCE_M);
        let [a, b] = edge.map(|p| along.along(p));
        let (from, to) = (a.min(b).max(0.0), a.max(b).min(reach));
        (on && to - from > TOLERANCE_M).then_some((from, to))
    })
}

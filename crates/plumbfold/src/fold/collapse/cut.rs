//! Creasing some layers of a model without moving them.
//!
//! Faces are convex, so a crease that ends inside a face has to cut it right across. Where other
//! creases meet that end, the surplus pieces can be joined again afterwards:
//!
//! ```text
//!     \   |   /             \   |   /
//!      \  |  /               \  |  /      what the three creases bound is convex, and the
//!  ------ * ------    ->       \|/        surplus beyond their meeting point goes
//!       / | \                   |
//!     /   |   \                 |
//! ```

use super::{Call, CollapseError};
use crate::fold::layout::Layout;
use crate::fold::split::{Sides, split};
use crate::fold::state::{Crease, CreaseId, FaceId, Folded, Hinge};
use crate::numeric::geom::{
    Line, SheetPoint, TOLERANCE_M, TableLine, TablePoint, Vec2, centroid, clip_segment,
};

/// Farther than any sheet reaches, for rays.
pub const FAR_M: f64 = 10.0;

/// A model with new creases, still lying as before.
#[derive(Clone, Debug)]
pub struct Creased {
    /// The model.
    pub model: Folded,
    /// For each face, the face of the model before that it is part of.
    pub origin: Vec<FaceId>,
    /// New creases that do not run right across, and where they are wanted.
    spans: Vec<(CreaseId, [TablePoint; 2])>,
}

impl Creased {
    /// No new crease yet.
    pub fn new(model: &Folded) -> Self {
        let origin = (0..model.faces.len()).collect();
        Self { model: model.clone(), origin, spans: Vec::new() }
    }

    /// Creases layers (told by the face they are part of) along a whole table line.
    ///
    /// # Errors
    /// [`CollapseError::TooManyFaces`].
    pub fn along(
        &mut self,
        line: &TableLine,
        takes_part: impl Fn(FaceId) -> bool,
        call: &Call,
    ) -> Result<(), CollapseError> {
        let origin = self.origin.clone();
        self.cut_faces(line, |f| takes_part(origin[f]), call).map(|_| ())
    }

    /// Creases layers between two places.
    ///
    /// # Errors
    /// [`CollapseError::TooManyFaces`].
    pub fn between(
        &mut self,
        [a, b]: [TablePoint; 2],
        takes_part: impl Fn(FaceId) -> bool,
        call: &Call,
    ) -> Result<(), CollapseError> {
        let Some(line) = Line::through(a, b) else { return Ok(()) };
        let crossed: Vec<bool> = (0..self.model.faces.len())
            .map(|f| clip_segment(a, b, &self.model.table_polygon(f)).is_some())
            .collect();
        let origin = self.origin.clone();
        let crease = self.cut_faces(&line, |f| crossed[f] && takes_part(origin[f]), call)?;
        self.spans.push((crease, [a, b]));
        Ok(())
    }

    /// Creases layers from a place on, in a direction.
    ///
    /// # Errors
    /// [`CollapseError::TooManyFaces`].
    pub fn ray(
        &mut self,
        from: TablePoint,
        dir: Vec2,
        takes_part: impl Fn(FaceId) -> bool,
        call: &Call,
    ) -> Result<(), CollapseError> {
        self.between([from, from + dir * FAR_M], takes_part, call)
    }

    fn cut_faces(
        &mut self,
        line: &TableLine,
        faces: impl Fn(FaceId) -> bool,
        call: &Call,
    ) -> Result<CreaseId, CollapseError> {
        let crease = self.model.creases.len();
        self.model.creases.push(Crease {
            name: call.name.as_deref().map(Into::into),
            mirrored: call.mirrored,
            ..Crease::made_by(call.step)
        });
        let sides = Sides::new(&self.model, &Layout::new(&self.model), line);
        for cut in split(&mut self.model, faces, &sides, crease)? {
            self.origin.push(self.origin[cut.right]);
        }
        Ok(crease)
    }

    /// Joins faces again that were cut beyond the end of a crease, where what is left is convex.
    pub fn tidy(&mut self) {
        self.rejoin_hinges();
        while let Some(joined) = (0..self.model.hinges.len()).find_map(|i| self.joined_across(i)) {
            self.join(joined);
            self.rejoin_hinges();
        }
    }

    /// Middle of a face on the table.
    pub fn middle(&self, face: FaceId) -> TablePoint {
        centroid(&self.model.table_polygon(face))
    }

    /// Hinges that lie between two places on the table, new ones and old ones.
    pub fn hinges_between(
        &self,
        [a, b]: [TablePoint; 2],
        takes_part: impl Fn(FaceId) -> bool,
    ) -> Vec<usize> {
        let on = |h: &Hinge| {
            let ends = self.model.hinge_on_table(h);
            lies_between(ends, [a, b]) && h.faces.iter().all(|&f| takes_part(self.origin[f]))
        };
        (0..self.model.hinges.len()).filter(|&i| on(&self.model.hinges[i])).collect()
    }

    /// Is this hinge the surplus of a crease, and its two faces together convex?
    fn joined_across(&self, hinge: usize) -> Option<Joined> {
        let h = self.model.hinges[hinge];
        let ends = self.model.hinge_on_table(&h);
        let mut own = self.spans.iter().filter(|s| s.0 == h.crease).peekable();
        own.peek()?;
        if own.any(|s| lies_between(ends, s.1)) {
            return None;
        }
        let [a, b] = h.faces;
        let polygon = union(&self.model.faces[a].polygon, &self.model.faces[b].polygon, h.ends)?;
        Some(Joined { hinge, faces: [a, b], polygon })
    }

    fn join(&mut self, Joined { hinge, faces: [a, b], polygon }: Joined) {
        let model = &mut self.model;
        let corners = model.hinges[hinge].ends;
        model.hinges.swap_remove(hinge);
        model.faces[a].polygon = polygon.into();
        for corner in corners {
            drop_straight_corner(model, a, corner);
        }
        // The last face takes the index of the one that goes.
        let last = model.faces.len() - 1;
        model.faces.swap_remove(b);
        self.origin.swap_remove(b);
        model.order.retain(|&f| f != b);
        let renamed = |f: FaceId| if f == b { a } else { f };
        let moved = |f: FaceId| if f == last { b } else { f };
        for h in &mut model.hinges {
            h.faces = h.faces.map(renamed).map(moved);
        }
        model.order.iter_mut().for_each(|f| *f = moved(*f));
    }

    /// Two hinges in one line between the same two faces are one.
    fn rejoin_hinges(&mut self) {
        let mut i = 0;
        while i < self.model.hinges.len() {
            let h = self.model.hinges[i];
            let next = (i + 1..self.model.hinges.len()).find_map(|j| {
                let k = self.model.hinges[j];
                let same = k.crease == h.crease
                    && (k.faces == h.faces || k.faces == [h.faces[1], h.faces[0]]);
                let shared = h.ends.into_iter().find(|p| k.ends.contains(p)).filter(|_| same)?;
                let far = |ends: [SheetPoint; 2]| if ends[0] == shared { ends[1] } else { ends[0] };
                Some((j, shared, [far(h.ends), far(k.ends)]))
            });
            let Some((j, shared, ends)) = next else {
                i += 1;
                continue;
            };
            self.model.hinges[i].ends = ends;
            self.model.hinges.swap_remove(j);
            for f in h.faces {
                self.model.faces[f].polygon.retain(|p| *p != shared);
            }
        }
    }
}

/// Two faces to be one.
struct Joined {
    hinge: usize,
    faces: [FaceId; 2],
    polygon: Vec<SheetPoint>,
}

/// Does a stretch lie on another, end to end?
fn lies_between(stretch: [TablePoint; 2], [a, b]: [TablePoint; 2]) -> bool {
    let Some(line) = Line::through(a, b) else { return false };
    let middle = line.along(stretch[0].lerp(stretch[1], 0.5));
    stretch.iter().all(|&p| line.side(p).abs() <= 2.0 * TOLERANCE_M)
        && (0.0..=a.distance(b)).contains(&middle)
}

/// Both outlines in one, without the edge they share; `None` unless that is convex.
fn union(a: &[SheetPoint], b: &[SheetPoint], edge: [SheetPoint; 2]) -> Option<Vec<SheetPoint>> {
    // Rotated to start behind the edge and to end before it.
    let open = |polygon: &[SheetPoint]| {
        let n = polygon.len();
        let i = (0..n).find(|&i| {
            let e = [polygon[i], polygon[(i + 1) % n]];
            e == edge || e == [edge[1], edge[0]]
        })?;
        Some((0..n).map(|k| polygon[(i + 1 + k) % n]).collect::<Vec<_>>())
    };
    let (mut all, rest) = (open(a)?, open(b)?);
    all.extend(&rest[1..rest.len() - 1]);
    let n = all.len();
    let bulges = |i: usize| {
        let (into, out) = (all[(i + 1) % n] - all[i], all[(i + 2) % n] - all[(i + 1) % n]);
        let straight = into.cross(out).abs() <= TOLERANCE_M * into.norm().max(out.norm());
        if straight { into.dot(out) > 0.0 } else { into.cross(out) > 0.0 }
    };
    (0..n).all(bulges).then_some(all)
}

/// Forgets a corner in the middle of a raw edge that nothing ends at any more.
fn drop_straight_corner(model: &mut Folded, face: FaceId, corner: SheetPoint) {
    if model.hinges.iter().any(|h| h.ends.contains(&corner)) {
        return;
    }
    let polygon = &mut model.faces[face].polygon;
    let n = polygon.len();
    let Some(i) = polygon.iter().position(|&p| p == corner) else { return };
    let (before, after) = (polygon[(i + n - 1) % n], polygon[(i + 1) % n]);
    if Line::through(before, after).is_some_and(|l| l.side(corner).abs() <= TOLERANCE_M) {
        polygon.remove(i);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::collapse::testing::*;
    use crate::numeric::geom::area;

    #[test]
    fn creases_may_end_where_others_meet() {
        let mut creased = Creased::new(&a4());
        let p = |x, y| TablePoint::new(x, y);
        let middle = p(0.1, 0.2);
        for to in [p(0.0, 0.297), p(0.21, 0.297), p(0.12, 0.0)] {
            creased.between([middle, to], |_| true, &call("y")).unwrap();
        }
        creased.tidy();
        let m = &creased.model;
        assert_eq!((m.faces.len(), m.hinges.len(), m.order.len()), (3, 3, 3));
        let total: f64 = m.faces.iter().map(|f| area(&f.polygon)).sum();
        assert!((total - 0.21 * 0.297).abs() < 1e-15);
        let corners: usize = m.faces.iter().map(|f| f.polygon.len()).sum();
        assert_eq!(corners, 3 + 4 + 5 - 1 + 1 - 1);
        for h in &m.hinges {
            for f in h.faces {
                assert!(h.ends.iter().all(|e| m.faces[f].polygon.contains(e)));
            }
        }
    }
}

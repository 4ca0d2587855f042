//! Flat folded model to panels in space: the last hinges are opened to angles.
//!
//! A rigid folding: the posed creases cut the model into rigid stacks (clusters). One cluster, or
//! the pair either side of the keel crease, is placed by symmetry; every other follows through the
//! hinges, and hinges that close a loop are checked. The datum frame is drawn in
//! [`crate::plane::airframe`].

mod alike;
mod clasp;
mod closure;
mod clusters;
mod error;
mod follow;
mod panels;

use crate::design::ast::{PoseKind, Span};
use crate::fold::creep;
use crate::fold::state::{Folded, Hinge};
use crate::numeric::geom::{SheetPoint, TablePoint, Vec2};
use crate::paper::Stock;
use crate::plane::airframe::Panel;
use closure::check_closure;
use clusters::Clusters;
pub use error::{Closes, PoseError};
use follow::{Followed, with_a_way_out};
use nalgebra::{Isometry3, Matrix3, Point3, Rotation3, Translation3, UnitQuaternion, Vector3};
use panels::{build, merge_coplanar};

/// One crease opened to an angle.
#[derive(Clone, Debug, PartialEq)]
pub struct HingeAngle {
    /// Crease by name; both halves of one folded on both sides.
    pub crease: String,
    /// How the angle is measured.
    pub kind: PoseKind,
    /// Angle, rad.
    pub angle_rad: f64,
    /// Where the text says so.
    pub span: Span,
}

/// Panels in space, and the way back from the paper to them.
#[derive(Clone, Debug, PartialEq)]
pub struct Posed {
    /// Rigid panels, in the datum frame.
    pub panels: Vec<Panel>,
    /// Panel of each face of the folded model.
    pub panel_of_face: Vec<usize>,
    /// Index of each face among the laminae of its panel.
    pub lamina_of_face: Vec<usize>,
    /// Table frame (z towards the folder) to datum frame, for each panel.
    pub table_to_datum: Vec<Isometry3<f64>>,
    /// Thickness by which layers are displaced, m; 0 without creep.
    pub thickness_m: f64,
    /// Creases that close only because paper bends.
    pub bent: Vec<Bent>,
}

/// Gap at a loop of hinges that still counts as closed, m: a thousandth of a millimetre, well
/// above rounding and far below the thickness of paper.
const CLOSURE_M: f64 = 1e-6;
/// Directions nearer than this are one direction, rad (rounding, far below what a hand sees).
const STRAIGHT: f64 = 1e-9;
/// A crease whose sides the pose leaves a little apart: the paper bends to close it.
#[derive(Clone, Debug, PartialEq)]
pub struct Bent {
    /// The crease, by name.
    pub crease: String,
    /// How far apart its two sides would stand without bending, m.
    pub gap_m: f64,
    /// Where the text poses it.
    pub span: Span,
}

/// Cosine of 45 degrees: panels nearer to level than this carry the plane.
const LEVEL_COS: f64 = std::f64::consts::FRAC_1_SQRT_2;

const UP: Vector3<f64> = Vector3::new(0.0, 0.0, -1.0);
const FORWARD: Vector3<f64> = Vector3::new(1.0, 0.0, 0.0);
const RIGHT: Vector3<f64> = Vector3::new(0.0, 1.0, 0.0);

/// A cluster placed in space.
#[derive(Clone, Copy, Debug)]
struct Placed {
    /// Table frame to datum frame (before the shift that brings the nose to x = 0).
    to_datum: Isometry3<f64>,
    /// Where u = v = 0 of the panel lies on the table.
    origin: Vec2,
    /// -1 left, +1 right, 0 on the plane of symmetry.
    side: f64,
    /// Layers are counted from the top of the stack down (the far half of a keeled model), so
    /// that both wings come out as mirror images.
    from_top: bool,
    /// Hinges between it and the base.
    depth: usize,
    /// The crease it hangs on.
    crease: usize,
}

impl Placed {
    /// Where a place on the table comes to lie.
    fn at(&self, p: TablePoint) -> Point3<f64> {
        self.to_datum * Point3::new(p.x, p.y, 0.0)
    }

    /// The same motion: two stacks that lie as one.
    fn moves_with(&self, other: &Self) -> bool {
        let apart = self.to_datum.inverse() * other.to_datum;
        self.from_top == other.from_top
            && apart.translation.vector.norm() < CLOSURE_M
            && apart.rotation.angle() < STRAIGHT
    }
}

/// Opens the folded model's last hinges. The ideal model says whether they can open; with `creep`
/// the paper then lies where the thickness of its layers puts it, and turns about its bends.
///
/// # Errors
/// [`PoseError`], with the place in the text.
pub fn pose(
    folded: &Folded,
    stock: &Stock,
    angles: &[HingeAngle],
    creep: bool,
) -> Result<Posed, PoseError> {
    let opened = |what: &Followed<'_>| {
        let mut clusters = what.clusters()?;
        let (folded, angles) = (&*what.folded, &*what.angles);
        let (mut placed, keel) = place(folded, angles, &clusters, 0.0)?;
        let bent = check_closure(folded, angles, &clusters, &placed)?;
        let displaced = creep && folded.faces.iter().any(|f| f.shift != Vec2::default());
        let thickness_m = if displaced { stock.thickness_m } else { 0.0 };
        let ideal = placed.clone();
        if displaced {
            placed = place(folded, angles, &clusters, thickness_m)?.0;
        }
        let kept = merge_coplanar(&mut clusters, &ideal);
        let merged: Vec<Placed> = kept.iter().map(|&c| ideal[c]).collect();
        clasp::check(folded, angles, &clusters, &merged)?;
        let placed: Vec<Placed> = kept.into_iter().map(|c| placed[c]).collect();
        Ok(Posed { bent, ..build(folded, stock, &clusters, &placed, keel, thickness_m) })
    };
    alike::check(folded, angles)?;
    let said = Followed::none(folded, angles);
    match opened(&said) {
        Err(PoseError::Torn { .. }) => {}
        Ok(posed) if !posed.bent.is_empty() => {}
        done => return done,
    }
    // Paper bends, or tears, only where no other crease that opens along would spare it.
    if let Some(followed) = Followed::none(folded, angles).closed() {
        return opened(&followed);
    }
    opened(&said).map_err(|torn| with_a_way_out(torn, &said))
}

/// Places every cluster; tells whether the model is keeled.
fn place(
    folded: &Folded,
    angles: &[HingeAngle],
    clusters: &Clusters,
    thickness_m: f64,
) -> Result<(Vec<Placed>, bool), PoseError> {
    let mut placed: Vec<Option<Placed>> = vec![None; clusters.count];
    let axes = Axes { folded, clusters, thickness_m };
    let keel = place_base(&axes, angles, &mut placed)?;
    // Breadth first over the posed hinges; the list is short, so sweeps until nothing changes do.
    loop {
        let mut changed = false;
        for &(hinge, item) in &clusters.posed {
            let [a, b] = folded.hinges[hinge].faces.map(|f| clusters.of_face[f]);
            let (parent, child) = match (placed[a], placed[b]) {
                (Some(p), None) => (p, 1),
                (None, Some(p)) => (p, 0),
                _ => continue,
            };
            placed[[a, b][child]] = Some(match beside(&axes, &placed, hinge, child, &parent) {
                Some(there) => there,
                None => {
                    let next = place_child(&axes, &angles[item], hinge, child, &parent, keel)?;
                    Placed { crease: folded.hinges[hinge].crease, ..next }
                }
            });
            changed = true;
        }
        if !changed {
            break;
        }
    }
    let placed = placed.into_iter().collect::<Option<_>>().ok_or(PoseError::Loose)?;
    Ok((placed, keel))
}

/// What lies across the same crease from the same stack, if that is placed: all paper on one side
/// of a crease moves as one, so a scrap of the keel that is reached from the wing goes with the keel.
fn beside(
    axes: &Axes<'_>,
    placed: &[Option<Placed>],
    hinge: usize,
    child: usize,
    parent: &Placed,
) -> Option<Placed> {
    let Axes { folded, clusters, .. } = *axes;
    let (at, along, towards) = hinge_on_table(folded, &folded.hinges[hinge]);
    let side = |out: Vec2| out.dot(towards[child]) > 0.0;
    let item = |hinge: usize| clusters.posed.iter().find(|p| p.0 == hinge).map(|p| p.1);
    let others = clusters.posed.iter().filter(|&&(h, i)| h != hinge && Some(i) == item(hinge));
    others.flat_map(|&(h, _)| [(h, 0), (h, 1)]).find_map(|(h, far)| {
        let other = &folded.hinges[h];
        let [there, here] = [far, 1 - far].map(|k| placed[clusters.of_face[other.faces[k]]]);
        let (p, dir, out) = hinge_on_table(folded, other);
        let same_line =
            dir.cross(along).abs() < STRAIGHT && (p - at).cross(along).abs() < CLOSURE_M;
        let same_sides = side(out[far]) && side(out[1 - far]) == side(towards[1 - child]);
        there.filter(|_| same_line && same_sides && here.is_some_and(|h| h.moves_with(parent)))
    })
}

/// Rigid motion that takes the table directions `along` and `out` (square to each other) to the
/// datum directions given, and the table place `at` to `to`.
fn motion(
    along: Vec2,
    out: Vec2,
    along_datum: Vector3<f64>,
    out_datum: Vector3<f64>,
    at: Vec2,
    to: Vector3<f64>,
) -> Isometry3<f64> {
    let normal = out_datum.cross(&along_datum) * out.cross(along).signum();
    let column = |v: Vec2| along_datum * v.dot(along) + out_datum * v.dot(out);
    let m =
        Matrix3::from_columns(&[column(Vec2::new(1.0, 0.0)), column(Vec2::new(0.0, 1.0)), normal]);
    let turn = UnitQuaternion::from_rotation_matrix(&Rotation3::from_matrix_unchecked(m));
    let shift = to - turn * Vector3::new(at.x, at.y, 0.0);
    Isometry3::from_parts(Translation3::from(shift), turn)
}

/// Lines that panels turn about, in paper of some thickness.
struct Axes<'a> {
    folded: &'a Folded,
    clusters: &'a Clusters,
    thickness_m: f64,
}

impl Axes<'_> {
    /// The table line of a posed hinge, as [`hinge_on_table`]: where the bends of its crease lie, on
    /// the average of its layers.
    fn of(&self, hinge: usize) -> (Vec2, Vec2, [Vec2; 2]) {
        let (at, along, towards) = hinge_on_table(self.folded, &self.folded.hinges[hinge]);
        if self.thickness_m == 0.0 {
            return (at, along, towards);
        }
        let hinges = self.clusters.posed.iter().map(|&(h, _)| &self.folded.hinges[h]);
        let crease = self.folded.hinges[hinge].crease;
        let (mut long, mut sum) = (0.0, Vec2::default());
        for h in hinges.filter(|h| h.crease == crease) {
            let length = h.ends[0].distance(h.ends[1]);
            (long, sum) = (long + length, sum + creep::of_hinge(self.folded, h) * length);
        }
        (at + sum * (self.thickness_m / long), along, towards)
    }
}

/// The table line of a hinge: a place on it, its direction (forward, or to the right where it
/// runs across), and the unit direction from it towards each of its two faces.
fn hinge_on_table(folded: &Folded, hinge: &Hinge) -> (Vec2, Vec2, [Vec2; 2]) {
    let [a, b] = folded.hinge_on_table(hinge).map(|p| p.to_vec());
    let dir = (b - a).unit().unwrap_or(Vec2::new(0.0, 1.0));
    let dir = if dir.y < -1e-9 || (dir.y.abs() <= 1e-9 && dir.x < 0.0) { -dir } else { dir };
    let towards = hinge.faces.map(|f| {
        let face = &folded.faces[f];
        let c = face.placement.apply(crate::numeric::geom::centroid(&face.polygon)).to_vec();
        dir.perp() * dir.cross(c - a).signum()
    });
    (a, dir, towards)
}

/// Places the cluster, or the two either side of the keel crease, that symmetry places. Returns
/// whether the model is keeled.
fn place_base(
    axes: &Axes<'_>,
    angles: &[HingeAngle],
    placed: &mut [Option<Placed>],
) -> Result<bool, PoseError> {
    let Axes { folded, clusters, .. } = *axes;
    let rank = folded.ranks();
    if let Some(item) = clusters.keel {
        let angle = &angles[item];
        let half_opening = match angle.kind {
            PoseKind::Opens => angle.angle_rad / 2.0,
            _ => std::f64::consts::FRAC_PI_2 - angle.angle_rad,
        };
        let keel = clusters.keel_hinge(folded, item).ok_or(PoseError::Loose)?;
        let hinge = &folded.hinges[keel];
        let (at, along, towards) = axes.of(keel);
        if along.y.abs() < along.x.abs() - STRAIGHT {
            let (crease, span) = (angle.crease.clone(), angle.span.clone());
            return Err(PoseError::KeelAcross { crease, span });
        }
        let shut = towards[0].dot(towards[1]) > 0.0;
        for k in 0..2 {
            let f = hinge.faces[k];
            let near = rank[f] > rank[hinge.faces[1 - k]];
            // The paper of a shut model lies to the left or right of its keel crease; up is away
            // from the crease, forward is up the table, and right follows: see the module picture.
            let paper = towards[k].x.signum();
            let side = if shut { if near { -paper } else { paper } } else { paper };
            let out = UP * half_opening.cos() + RIGHT * side * half_opening.sin();
            let cluster = clusters.of_face[f];
            if placed[cluster].is_some() {
                return Err(PoseError::Locked {
                    crease: angle.crease.clone(),
                    span: angle.span.clone(),
                });
            }
            placed[cluster] = Some(Placed {
                to_datum: motion(along, towards[k], FORWARD, out, at, FORWARD * at.y),
                origin: at,
                side,
                from_top: shut && !near,
                depth: 0,
                crease: hinge.crease,
            });
        }
        return Ok(true);
    }
    if let Some(&(_, item)) = clusters.posed.iter().find(|(h, item)| {
        let (_, _, towards) = hinge_on_table(folded, &folded.hinges[*h]);
        angles[*item].kind == PoseKind::Dihedral && towards[0].dot(towards[1]) > 0.0
    }) {
        return Err(PoseError::KeelUnsaid { span: angles[item].span.clone() });
    }
    let middle = symmetry_line(folded);
    let base = clusters.largest(folded);
    let at = Vec2::new(middle, 0.0);
    placed[base] = Some(Placed {
        to_datum: motion(
            Vec2::new(0.0, 1.0),
            Vec2::new(1.0, 0.0),
            FORWARD,
            RIGHT,
            at,
            Vector3::zeros(),
        ),
        origin: at,
        side: 0.0,
        from_top: false,
        depth: 0,
        crease: usize::MAX,
    });
    Ok(false)
}

/// Table x of the plane of symmetry of a model that lies flat: the sheet's centre line where that
/// runs straight up the table, else the middle of the outline.
fn symmetry_line(folded: &Folded) -> f64 {
    let x = folded.sheet_m[0] / 2.0;
    let on_centre = folded.faces.iter().filter_map(|f| {
        let (lo, hi) =
            f.polygon.iter().fold((f64::MAX, f64::MIN), |(lo, hi), p| (lo.min(p.x), hi.max(p.x)));
        let upright = f.placement.turn(Vec2::new(0.0, 1.0)).x.abs() < 1e-7;
        (lo - 1e-9 <= x && x <= hi + 1e-9 && upright)
            .then(|| f.placement.apply(SheetPoint::new(x, f.polygon[0].y)).x)
    });
    let mut on_centre: Vec<f64> = on_centre.collect();
    on_centre.sort_by(f64::total_cmp);
    if let (Some(a), Some(b)) = (on_centre.first(), on_centre.last())
        && b - a < 1e-7
    {
        return *a;
    }
    let xs = folded.faces.iter().flat_map(|f| f.polygon.iter().map(|&p| f.placement.apply(p).x));
    let (lo, hi) = xs.fold((f64::MAX, f64::MIN), |(lo, hi), x| (lo.min(x), hi.max(x)));
    (lo + hi) / 2.0
}

/// Places a cluster through a hinge from its placed neighbour.
fn place_child(
    axes: &Axes<'_>,
    angle: &HingeAngle,
    hinge: usize,
    child: usize,
    parent: &Placed,
    keel: bool,
) -> Result<Placed, PoseError> {
    let rank = axes.folded.ranks();
    let (at, along, towards) = axes.of(hinge);
    let hinge = &axes.folded.hinges[hinge];
    let (out_child, out_parent) = (towards[child], towards[1 - child]);
    let turn = parent.to_datum.rotation;
    let lift = |v: Vec2| turn * Vector3::new(v.x, v.y, 0.0);
    let (axis, inward) = (lift(along), lift(out_parent));
    let normal = turn * Vector3::z();
    let to = (parent.to_datum * Point3::new(at.x, at.y, 0.0)).coords;
    let side = if parent.side != 0.0 { parent.side } else { lift(out_child).y.signum() };
    // Which way "up" is on the parent; on an upright one, outward stands for it.
    let up = if normal.z.abs() > 1e-6 {
        normal * -normal.z.signum()
    } else {
        normal * (normal.y * side).signum()
    };
    let above = rank[hinge.faces[child]] > rank[hinge.faces[1 - child]];
    let shut = out_child.dot(out_parent) > 0.0;
    let (s, c) = angle.angle_rad.sin_cos();
    let out = match angle.kind {
        PoseKind::Opens => {
            let opens_to = if !shut {
                up
            } else if above {
                normal
            } else {
                -normal
            };
            inward * c + opens_to * s
        }
        PoseKind::Up => -inward * c + up * s,
        PoseKind::Down => -inward * c - up * s,
        PoseKind::Dihedral => {
            let across = UP.cross(&axis);
            let across = across * (across.y * side).signum() / across.norm().max(1e-12);
            let rise = axis.cross(&across);
            across * c + rise * -rise.z.signum() * s
        }
    };
    if !(keel || parent.depth > 0 || parent.crease == usize::MAX) {
        return Err(PoseError::KeelUnsaid { span: angle.span.clone() });
    }
    Ok(Placed {
        to_datum: motion(along, out_child, axis, out, at, to),
        origin: at,
        side,
        from_top: parent.from_top,
        depth: parent.depth + 1,
        crease: hinge.crease,
    })
}

impl Posed {
    /// Where a place on the paper is in the datum frame, m (on the sheet's middle surface, layer
    /// heights included); `None` off the paper.
    pub fn datum_of(&self, folded: &Folded, at: SheetPoint) -> Option<Vector3<f64>> {
        let f = folded.faces_at(at).next()?;
        let panel = self.panel_of_face[f];
        let face = &folded.faces[f];
        let t = face.placement.apply(at) + face.shift * self.thickness_m;
        let lamina = &self.panels[panel].laminae[self.lamina_of_face[f]];
        let w = self.panels[panel].placement.rotation * Vector3::z();
        let flat = self.table_to_datum[panel] * Point3::new(t.x, t.y, 0.0);
        Some(flat.coords + w * lamina.height_m)
    }
}

#[cfg(test)]
mod tests;

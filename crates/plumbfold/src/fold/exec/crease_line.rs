//! Where the crease of a fold step can run, and which side of it moves.

use crate::design::ast::{Choice, Expr, FoldLine, LineRef, PointRef, Spanned};
use crate::design::diagnostic::Diagnostic;
use crate::fold::axis::Axis;
use crate::fold::error::Problem;
use crate::fold::layout::Layout;
use crate::fold::lines;
use crate::fold::refs::{Fault, LaidLine, Place, Refs, on_stretch};
use crate::fold::refs::{stretches_meet, weight_of};
use crate::fold::state::{CreaseId, Face, FaceId, Folded};
use crate::numeric::geom::{SheetPoint, TableLine, TablePoint, Vec2};

use super::mirror::Mirror;

/// What decides the moving side.
#[derive(Clone, Debug)]
pub enum Mover {
    /// The side with this place.
    Place(TablePoint),
    /// The side with more of these stretches.
    Stretches(Vec<[TablePoint; 2]>),
    /// The side away from this line.
    AwayFrom(TableLine),
    /// The side in this direction of the table.
    Towards(Vec2),
    /// The smaller part of the paper.
    Smaller,
}

impl Mover {
    /// Positive when the left of a line moves, negative for its right, 0 when it does not say.
    pub fn side_of(&self, line: &TableLine) -> f64 {
        let snap = |d: f64| if d.abs() > crate::numeric::geom::TOLERANCE_M { d } else { 0.0 };
        match self {
            Self::Place(p) => snap(line.side(*p)),
            Self::Stretches(all) => snap(all.iter().map(|&s| weight_of(s, line)).sum()),
            Self::AwayFrom(l) => -snap(line.side(l.at)),
            Self::Towards(d) => snap(line.dir.cross(*d)),
            Self::Smaller => 0.0,
        }
    }
}

/// What must land where, to tell likely creases from far-fetched ones.
#[derive(Clone, Debug)]
enum Target {
    Places(Vec<(TablePoint, Vec<[TablePoint; 2]>)>),
    Stretches(Vec<[TablePoint; 2]>, Vec<[TablePoint; 2]>),
}

/// Creases that do what a step asks.
#[derive(Clone, Debug)]
pub struct Asked {
    /// In the order `take` counts them.
    pub lines: Vec<TableLine>,
    /// What decides the moving side.
    pub mover: Mover,
    /// Faces that carry what is brought somewhere.
    pub carried: Option<Vec<FaceId>>,
    /// The existing crease the fold runs along, where it is named.
    pub along: Option<CreaseId>,
    /// All creases that bear its name.
    pub refolded: Vec<CreaseId>,
    /// A parallel prefers the side of its line where the moving part is.
    pub parallel_to: Option<TableLine>,
    target: Option<Target>,
}

impl Asked {
    fn new(lines: Vec<TableLine>, mover: Mover) -> Self {
        let (carried, along, refolded) = (None, None, Vec::new());
        Self { lines, mover, carried, along, refolded, parallel_to: None, target: None }
    }

    /// Does the moved part land on the paper it was brought to, not merely on its line extended?
    pub fn lands_on_paper(&self, crease: &TableLine) -> bool {
        match &self.target {
            None => true,
            Some(Target::Places(places)) => places.iter().all(|(p, onto)| {
                let landed = crease.reflect(*p);
                onto.is_empty() || onto.iter().any(|&s| on_stretch(landed, s))
            }),
            Some(Target::Stretches(these, onto)) => these.iter().any(|s| {
                let landed = s.map(|p| crease.reflect(p));
                onto.is_empty() || onto.iter().any(|&t| stretches_meet(landed, t))
            }),
        }
    }
}

fn stretches(l: &LaidLine) -> Vec<[TablePoint; 2]> {
    l.pieces.iter().map(|p| p.table).collect()
}

fn faces_of_line(l: &LaidLine) -> Vec<FaceId> {
    l.pieces.iter().map(|p| p.face).collect()
}

fn faces_of_place(model: &Folded, p: &Place) -> Vec<FaceId> {
    p.sheet.map(|s| model.faces_at(s).collect()).unwrap_or_default()
}

/// Whether the paper that carries a place goes on from there in a direction of the table.
fn carried_on(model: &Folded, place: &Place, faces: &[FaceId], way: Vec2) -> bool {
    let beside = place.table + way * BESIDE_M;
    let carries = |face: &Face| face.carries(face.placement.unapply(beside));
    faces.iter().any(|&f| carries(&model.faces[f]))
}

/// How far from a place its paper is looked for, m (chosen: above every tolerance, below any paper).
const BESIDE_M: f64 = 1e-4;

/// Resolves a fold line. `mirror` for the mirrored half of a step.
pub fn asked(
    refs: &Refs<'_>,
    line: &Spanned<FoldLine>,
    layout: &Layout,
    mirror: Option<&Mirror>,
) -> Result<Asked, Fault> {
    let mut asked = as_written(refs, line, layout, mirror)?;
    if let Some(mirror) = mirror {
        lines::sort_as_seen(&mut asked.lines, |l| mirror.line_back(l));
    }
    Ok(asked)
}

fn as_written(
    refs: &Refs<'_>,
    line: &Spanned<FoldLine>,
    layout: &Layout,
    mirror: Option<&Mirror>,
) -> Result<Asked, Fault> {
    let fault = |problem: Problem| Fault::from((&line.span, problem));
    let model = refs.model;
    let moving_place = |p: &Spanned<PointRef>| -> Result<(Place, Vec<FaceId>), Fault> {
        let mut place = refs.place(p)?;
        if let Some(sheet) = place.sheet {
            place =
                Place { other: place.other, ..refs.lay(refs.in_named_half(sheet, true), &p.span)? };
        }
        let faces = faces_of_place(model, &place);
        if faces.is_empty() {
            return Err((&p.span, Problem::OffPaper).into());
        }
        Ok((place, faces))
    };
    Ok(match &line.node {
        FoldLine::Along(l) => {
            let laid = refs.line(l)?;
            let refolded = refs.creases(l)?;
            let along = refolded.first().copied();
            Asked { along, refolded, ..Asked::new(vec![laid.line], Mover::Smaller) }
        }
        FoldLine::Through(p, q) => {
            let (p, q) = (refs.place(p)?.table, refs.place(q)?.table);
            let crease = lines::through(p, q).ok_or_else(|| fault(Problem::SamePlace { at: p }))?;
            Asked::new(vec![crease], Mover::Smaller)
        }
        FoldLine::PointOntoPoint(p, q) => {
            let (place, faces) = moving_place(p)?;
            let crease = lines::point_onto_point(place.table, refs.place(q)?.table)
                .ok_or_else(|| fault(Problem::ThereAlready))?;
            let asked = Asked::new(vec![crease], Mover::Place(place.table));
            Asked { carried: Some(faces), ..asked }
        }
        FoldLine::LineOntoLine(l, m) => line_onto_line(refs, l, m, &fault)?,
        FoldLine::Perpendicular(l, p) => {
            let p = refs.place_on(p, l)?;
            let l = refs.line_near(l, Some(p.table))?;
            Asked::new(vec![lines::perpendicular(&l.line, p.table)], Mover::Smaller)
        }
        FoldLine::PointOntoLine { point, onto, hinge } => {
            let (place, faces) = moving_place(point)?;
            let onto = refs.targets(onto, place.sheet.as_slice())?;
            let hinge = refs.place(hinge)?.table;
            let creases =
                onto.iter().flat_map(|onto| lines::point_onto_line(place.table, &onto.line, hinge));
            let creases = lines::sorted(creases);
            let onto = onto.iter().flat_map(stretches).collect();
            let target = Target::Places(vec![(place.table, onto)]);
            Asked {
                carried: Some(faces),
                target: Some(target),
                ..Asked::new(creases, Mover::Place(place.table))
            }
        }
        FoldLine::TwoPointsOntoLines([(p, l), (q, m)]) => {
            let ((p, mut faces), (q, others)) = (moving_place(p)?, moving_place(q)?);
            let (l, m) = (refs.line(l)?, refs.line(m)?);
            let creases = lines::two_points_onto_lines((p.table, &l.line), (q.table, &m.line));
            faces.extend(others);
            let target = Target::Places(vec![(p.table, stretches(&l)), (q.table, stretches(&m))]);
            Asked {
                carried: Some(faces),
                target: Some(target),
                ..Asked::new(creases, Mover::Place(p.table))
            }
        }
        FoldLine::PointOntoLinePerpendicular { point, onto, square_to } => {
            let (place, faces) = moving_place(point)?;
            let (onto, square_to) = (refs.line(onto)?, refs.line(square_to)?);
            let crease = lines::point_onto_line_square_to(place.table, &onto.line, &square_to.line);
            let target = Target::Places(vec![(place.table, stretches(&onto))]);
            let creases = crease.into_iter().collect();
            Asked {
                carried: Some(faces),
                target: Some(target),
                ..Asked::new(creases, Mover::Place(place.table))
            }
        }
        FoldLine::Parallel(l, by, towards) => {
            // Beside an edge, of the sheet or folded, it is the strip along the edge that is folded
            // over; in a model folded in two, beside a fold, the wing.
            let edge = refs.is_edge(l)?;
            let laid = if edge { refs.moving_line(l)? } else { refs.line(l)? };
            let strip = edge || refs.is_folded_rim(l, &laid)?;
            let by = distance(refs, by)?;
            let out = laid.line.dir.perp() * by;
            let mut creases: Vec<TableLine> = [out, -out]
                .map(|v| TableLine { at: laid.line.at + v, dir: laid.line.dir })
                .to_vec();
            if let Some(towards) = towards {
                let side = laid.line.side(refs.place(towards)?.table);
                let said = side.abs() > crate::numeric::geom::TOLERANCE_M;
                creases.retain(|c| said && laid.line.side(c.at) * side > 0.0);
            }
            if out.norm() <= crate::numeric::geom::TOLERANCE_M {
                creases.truncate(1);
            }
            let parallel_to = Some(laid.line);
            let mover = if strip { mover_of_line(&laid) } else { Mover::AwayFrom(laid.line) };
            Asked { parallel_to, ..Asked::new(creases, mover) }
        }
        FoldLine::Over(l, by) => {
            let laid = refs.moving_line(l)?;
            let out = laid.line.dir.perp() * distance(refs, by)?;
            let creases = [out, -out].map(|v| TableLine { at: laid.line.at + v, ..laid.line });
            let parallel_to = Some(laid.line);
            Asked { parallel_to, ..Asked::new(creases.to_vec(), mover_of_line(&laid)) }
        }
        FoldLine::InHalf { across } => {
            let dir = if *across { Vec2::new(1.0, 0.0) } else { Vec2::new(0.0, 1.0) };
            let middle = TableLine { at: layout.model_bounds().middle(), dir };
            let slanted = if *across { None } else { Axis::slanted_half(model) };
            Asked::new(vec![slanted.unwrap_or(middle)], Mover::Smaller)
        }
        FoldLine::AtAngle(angle, l, p) => {
            let p = refs.place_on(p, l)?;
            let laid = refs.line_near(l, Some(p.table))?;
            let angle_rad = refs.values.angle(angle)?;
            let sense = if mirror.is_some_and(Mirror::reverses_angles) { -1.0 } else { 1.0 };
            let (s, c) = (sense * angle_rad).sin_cos();
            let dir = laid.line.dir * c + laid.line.dir.perp() * s;
            Asked::new(vec![TableLine { at: p.table, dir }], Mover::Smaller)
        }
        FoldLine::Back(p, by, l) => {
            let (place, faces) = moving_place(p)?;
            let laid = refs.line_near(l, Some(place.table))?;
            let by = distance(refs, by)?;
            let dir = laid.line.dir;
            // Over the paper that carries it: a tip has some on one side alone.
            let mut ways = vec![dir, -dir];
            // Where creases have slipped a tip is not quite where its place is: what the exact fold did
            // decides.
            ways.retain(|&way| refs.slipped || carried_on(model, &place, &faces, way));
            if ways.is_empty() {
                ways = vec![dir, -dir];
            }
            let crease =
                |dir: Vec2| TableLine { at: place.table + dir * (by / 2.0), dir: dir.perp() };
            let creases = lines::sorted(ways.into_iter().map(crease));
            Asked { carried: Some(faces), ..Asked::new(creases, Mover::Place(place.table)) }
        }
    })
}

fn line_onto_line(
    refs: &Refs<'_>,
    l: &Spanned<LineRef>,
    m: &Spanned<LineRef>,
    fault: &impl Fn(Problem) -> Fault,
) -> Result<Asked, Fault> {
    let l = refs.moving_line(l)?;
    let from: Vec<SheetPoint> = l.pieces.iter().flat_map(|p| p.sheet).collect();
    let m = refs.targets(m, &from)?;
    let creases = lines::sorted(m.iter().flat_map(|m| lines::line_onto_line(&l.line, &m.line)));
    if creases.is_empty() {
        return Err(fault(Problem::ThereAlready));
    }
    let these = stretches(&l);
    let target = Target::Stretches(these.clone(), m.iter().flat_map(stretches).collect());
    let mover = if these.is_empty() { Mover::Place(l.line.at) } else { Mover::Stretches(these) };
    let carried = Some(faces_of_line(&l)).filter(|f| !f.is_empty());
    Ok(Asked { carried, target: Some(target), ..Asked::new(creases, mover) })
}

/// The crease of several that passes nearest to a place.
fn nearest(creases: &[TableLine], p: TablePoint) -> Option<usize> {
    let distance = |l: &TableLine| l.side(p).abs();
    (0..creases.len()).min_by(|&a, &b| distance(&creases[a]).total_cmp(&distance(&creases[b])))
}

/// Which of several creases a step chooses.
pub fn chosen(
    choice: &Spanned<Choice>,
    creases: &[TableLine],
    refs: &Refs<'_>,
) -> Result<usize, Fault> {
    match &choice.node {
        Choice::Nearest(p) => Ok(nearest(creases, refs.place(p)?.table).unwrap_or(0)),
        Choice::Take(n) => {
            let (wanted, candidates) = (refs.values.count(n)?, creases.to_vec());
            if (1..=creases.len()).contains(&wanted) {
                return Ok(wanted - 1);
            }
            Err((&choice.span, Problem::NoSuchChoice { wanted, candidates }).into())
        }
    }
}

/// What `moving X` says.
pub fn mover_of_line(l: &LaidLine) -> Mover {
    let all = stretches(l);
    if all.is_empty() { Mover::Place(l.line.at) } else { Mover::Stretches(all) }
}

/// A length that says how far, m.
fn distance(refs: &Refs<'_>, by: &Spanned<Expr>) -> Result<f64, Fault> {
    let by_m = refs.values.length(by)?;
    if by_m < 0.0 {
        let message = "how far a fold lies from something cannot be less than nothing";
        return Err(Diagnostic::error("out-of-range", by.span.clone(), message)
            .help("leave out the minus, and say the other side with `moving` or `towards`")
            .into());
    }
    Ok(by_m)
}

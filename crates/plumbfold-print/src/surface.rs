//! Places of the finished plane on the sheet it is folded from: where it balances and where its
//! trailing edges are bent, on the side of the paper that stays in sight.

use nalgebra::{Point3, Vector3};
use plumbfold::design::diagnostic::Diagnostic;
use plumbfold::fold::state::{FaceId, Folded};
use plumbfold::numeric::geom::{SheetPoint, Vec2};
use plumbfold::pipeline::{Balanced, FoldOutcome};
use plumbfold::plane::airframe::{PanelKind, TrimBend, TrimSurface};
use plumbfold::plane::pose::Posed;

/// A stretch of line to be drawn on the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its ends on the sheet.
    pub ends: [SheetPoint; 2],
    /// On the printed side; otherwise on the back.
    pub printed: bool,
}

/// A line along which a trailing edge is bent.
#[derive(Clone, Debug, PartialEq)]
pub struct BendMark {
    /// Where.
    pub mark: Mark,
    /// How far the edge moves, m; positive up, or to the right for a rudder.
    pub deflection_m: f64,
    /// Which edge.
    pub surface: TrimSurface,
    /// The edge goes towards the side of the paper that bears the mark, not away from it.
    pub towards: bool,
}

/// How each edge is bent in the end: what bends both wings and what bends one add up where they are
/// as deep.
pub fn bends(trims: &[TrimBend]) -> Vec<TrimBend> {
    use TrimSurface::{Elevator, LeftWing, RightWing};
    let mut out: Vec<TrimBend> = Vec::new();
    for trim in trims {
        let edges = match trim.surface {
            Elevator => vec![LeftWing, RightWing],
            one => vec![one],
        };
        for surface in edges {
            let same =
                |t: &&mut TrimBend| t.surface == surface && (t.depth_m - trim.depth_m).abs() < 1e-9;
            match out.iter_mut().find(same) {
                Some(own) => own.deflection_m += trim.deflection_m,
                None => out.push(TrimBend { surface, ..*trim }),
            }
        }
    }
    out.retain(|t| t.deflection_m.abs() > 1e-9);
    // Told once where both are bent alike.
    let has_twin = |surface: TrimSurface, t: &TrimBend| {
        let alike = |a: f64, b: f64| (a - b).abs() < 1e-9;
        let same =
            |o: &&TrimBend| alike(o.deflection_m, t.deflection_m) && alike(o.depth_m, t.depth_m);
        out.iter().filter(same).any(|o| o.surface == surface)
    };
    let told = |t: &TrimBend| match t.surface {
        RightWing if has_twin(LeftWing, t) => None,
        LeftWing if has_twin(RightWing, t) => Some(TrimBend { surface: Elevator, ..*t }),
        _ => Some(*t),
    };
    out.iter().filter_map(told).collect()
}

/// The posed plane with the way back to its sheet.
pub struct Surface {
    posed: Posed,
    /// Of each face: where the sheet's origin lies in its panel, and the directions of the
    /// sheet's axes there.
    maps: Vec<Map>,
}

/// From the sheet to the coordinates (u, v) of a panel: an isometry, which may turn over.
#[derive(Clone, Copy)]
struct Map {
    origin: Vec2,
    x: Vec2,
    y: Vec2,
    /// The printed side faces +w.
    printed_out: bool,
}

/// A shorter stretch of a bend is a corner that shows through, not an edge to be bent, m.
const LEAST_M: f64 = 5e-3;

type Place = [f64; 2];

impl Surface {
    /// Of a folded design.
    ///
    /// # Errors
    /// A pose that cannot be taken.
    pub fn new(outcome: &FoldOutcome) -> Result<Self, Diagnostic> {
        let (posed, folded) = (outcome.posed()?, &*outcome.run.folded);
        let maps = (0..folded.faces.len()).map(|f| map(folded, &posed, f)).collect();
        Ok(Self { posed, maps })
    }

    fn on_sheet(&self, face: FaceId, [u, v]: Place) -> SheetPoint {
        let map = &self.maps[face];
        let d = Vec2::new(u, v) - map.origin;
        SheetPoint::new(map.x.dot(d), map.y.dot(d))
    }

    fn faces_of(&self, panel: usize) -> impl Iterator<Item = FaceId> + '_ {
        (0..self.maps.len()).filter(move |&f| self.posed.panel_of_face[f] == panel)
    }

    fn outline(&self, face: FaceId) -> &[Place] {
        let panel = &self.posed.panels[self.posed.panel_of_face[face]];
        &panel.laminae[self.posed.lamina_of_face[face]].polygon
    }

    /// The face seen at a place of a panel, from +w or from -w.
    fn outermost(&self, panel: usize, at: Place, from_w: bool) -> Option<FaceId> {
        let height =
            |f: FaceId| self.posed.panels[panel].laminae[self.posed.lamina_of_face[f]].height_m;
        let here = self.faces_of(panel).filter(|&f| inside(self.outline(f), at));
        here.max_by(|&a, &b| {
            let order = height(a).total_cmp(&height(b));
            if from_w { order } else { order.reverse() }
        })
    }

    /// A stretch of line on a panel as it is seen from one side, on the sheet.
    fn seen(&self, panel: usize, [a, b]: [Place; 2], from_w: bool) -> Vec<Mark> {
        let at = |t: f64| [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
        let mut cuts = vec![0.0, 1.0];
        for f in self.faces_of(panel) {
            cuts.extend(crossings(self.outline(f), a, b));
        }
        cuts.sort_by(f64::total_cmp);
        let mut out: Vec<(FaceId, [f64; 2])> = Vec::new();
        for pair in cuts.windows(2).filter(|w| w[1] - w[0] > 1e-9) {
            let face = self.outermost(panel, at((pair[0] + pair[1]) / 2.0), from_w);
            match (face, out.last_mut()) {
                (Some(f), Some((last, range))) if *last == f && range[1] == pair[0] => {
                    range[1] = pair[1];
                }
                (Some(f), _) => out.push((f, [pair[0], pair[1]])),
                (None, _) => {}
            }
        }
        let mark = |(f, range): (FaceId, [f64; 2])| Mark {
            ends: range.map(|t| self.on_sheet(f, at(t))),
            printed: self.maps[f].printed_out == from_w,
        };
        out.into_iter().map(mark).collect()
    }

    /// Where the finished plane balances: across its keel, outside; across the underside of the
    /// wing where there is no keel.
    pub fn balance(&self, plane: &Balanced) -> Vec<Mark> {
        let x = -plane.mass.behind_nose_m();
        let any = |kind| self.posed.panels.iter().any(|p| p.kind == kind);
        let kind = if any(PanelKind::Keel) { PanelKind::Keel } else { PanelKind::Wing };
        let mut out = Vec::new();
        for (i, panel) in self.posed.panels.iter().enumerate().filter(|(_, p)| p.kind == kind) {
            let along = |d: Vector3<f64>| (panel.placement.rotation * d).x;
            let (du, dv) = (along(Vector3::x()), along(Vector3::y()));
            if du.abs() < 0.1 {
                continue;
            }
            let u = |v: f64| (x - panel.placement.translation.x - dv * v) / du;
            const FAR_M: f64 = 3.0;
            let line = [[u(-FAR_M), -FAR_M], [u(FAR_M), FAR_M]];
            out.extend(self.seen(i, line, kind == PanelKind::Keel));
        }
        out
    }

    /// Where trailing edges are bent.
    pub fn bends(&self, trims: &[TrimBend]) -> Vec<BendMark> {
        trims.iter().flat_map(|t| self.bend(t)).collect()
    }

    fn bend(&self, trim: &TrimBend) -> Vec<BendMark> {
        let mut sides: [Vec<(Mark, bool)>; 2] = [Vec::new(), Vec::new()];
        for (i, panel) in self.posed.panels.iter().enumerate() {
            // Backwards, and where the edge goes, in the panel: the datum is x forward, y to the
            // right, z down.
            let into_panel = |d: Vector3<f64>| panel.placement.rotation.inverse() * d;
            let back = into_panel(-Vector3::x());
            let goes = match trim.surface {
                TrimSurface::Rudder => Vector3::y(),
                _ => -Vector3::z(),
            } * trim.deflection_m;
            let towards_w = into_panel(goes).z > 0.0;
            let y = |p: &[Place]| {
                let centre = p.iter().fold([0.0; 2], |s, q| [s[0] + q[0], s[1] + q[1]]);
                let n = p.len().max(1) as f64;
                (panel.placement * Point3::new(centre[0] / n, centre[1] / n, 0.0)).y
            };
            for f in self.faces_of(i) {
                let outline = self.outline(f);
                let wing = panel.kind == PanelKind::Wing;
                let bent = match trim.surface {
                    TrimSurface::Elevator => wing,
                    TrimSurface::LeftWing => wing && y(outline) < 0.0,
                    TrimSurface::RightWing => wing && y(outline) > 0.0,
                    TrimSurface::Rudder => !wing,
                };
                let back = Vec2::new(back.x, back.y).unit();
                let Some(back) = back.filter(|_| bent) else { continue };
                let moved = |p: Place, by: f64| [p[0] + back.x * by, p[1] + back.y * by];
                for edge in trailing_edges(outline, back) {
                    let behind = moved(lerp(edge, 0.5), 1e-4);
                    if self.faces_of(i).any(|g| inside(self.outline(g), behind)) {
                        continue;
                    }
                    let ahead = edge.map(|p| moved(p, -trim.depth_m));
                    for (side, from_w) in sides.iter_mut().zip([true, false]) {
                        let marks = self.seen(i, ahead, from_w);
                        side.extend(marks.into_iter().map(|m| (m, towards_w == from_w)));
                    }
                }
            }
        }
        // On the side of the plane where more of it can be printed on the front of the sheet.
        let length = |m: &Mark| m.ends[0].distance(m.ends[1]);
        let printed = |s: &[(Mark, bool)]| {
            s.iter().map(|(m, _)| m).filter(|m| m.printed).map(length).sum::<f64>()
        };
        let [upper, lower] = sides;
        let best = if printed(&lower) > printed(&upper) + 1e-6 { lower } else { upper };
        let mut out: Vec<BendMark> = Vec::new();
        for (mark, towards) in best.into_iter().filter(|(m, _)| length(m) > LEAST_M) {
            // Layers that end together give the same line.
            let same = |o: &BendMark| {
                let [a, b] = &o.mark.ends;
                let [p, q] = &mark.ends;
                let close = |r: &SheetPoint, s: &SheetPoint| r.distance(*s) < 1e-4;
                (close(a, p) && close(b, q)) || (close(a, q) && close(b, p))
            };
            if !out.iter().any(same) {
                let TrimBend { deflection_m, surface, .. } = *trim;
                out.push(BendMark { mark, deflection_m, surface, towards });
            }
        }
        out
    }
}

fn map(folded: &Folded, posed: &Posed, face: FaceId) -> Map {
    let f = &folded.faces[face];
    let panel = posed.panel_of_face[face];
    let placement = &posed.panels[panel].placement;
    let to_panel = |x: f64, y: f64| {
        let t = f.placement.apply(SheetPoint::new(x, y)) + f.shift * posed.thickness_m;
        placement.inverse() * (posed.table_to_datum[panel] * Point3::new(t.x, t.y, 0.0))
    };
    let [o, x, y] = [to_panel(0.0, 0.0), to_panel(1.0, 0.0), to_panel(0.0, 1.0)];
    let flat = |v: Vector3<f64>| Vec2::new(v.x, v.y);
    let (x, y) = (x - o, y - o);
    Map { origin: flat(o.coords), x: flat(x), y: flat(y), printed_out: x.cross(&y).z > 0.0 }
}

fn lerp([a, b]: [Place; 2], t: f64) -> Place {
    [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]
}

/// Is a place inside a convex anticlockwise outline?
fn inside(outline: &[Place], p: Place) -> bool {
    let n = outline.len();
    n > 2
        && (0..n).all(|i| {
            let (a, b) = (outline[i], outline[(i + 1) % n]);
            (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) >= -1e-9
        })
}

/// Where a stretch of line crosses the edges of an outline, as parts of its length.
fn crossings(outline: &[Place], a: Place, b: Place) -> Vec<f64> {
    let d = [b[0] - a[0], b[1] - a[1]];
    let n = outline.len();
    let side = |p: Place| d[0] * (p[1] - a[1]) - d[1] * (p[0] - a[0]);
    let along = |p: Place| {
        ((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / (d[0] * d[0] + d[1] * d[1]).max(1e-18)
    };
    let mut out = Vec::new();
    for i in 0..n {
        let (p, q) = (outline[i], outline[(i + 1) % n]);
        let (s, t) = (side(p), side(q));
        if s * t <= 0.0 && s != t {
            out.push(along(lerp([p, q], s / (s - t))));
        }
    }
    out.retain(|t| (0.0..=1.0).contains(t));
    out
}

/// Edges of an anticlockwise outline that face backwards.
fn trailing_edges(outline: &[Place], back: Vec2) -> impl Iterator<Item = [Place; 2]> + '_ {
    (0..outline.len()).filter_map(move |i| {
        let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
        let d = [b[0] - a[0], b[1] - a[1]];
        // Steeper than 60 degrees against the flight: a side edge, not a trailing edge.
        let outward = back.dot(Vec2::new(d[1], -d[0])) / d[0].hypot(d[1]).max(1e-12);
        (outward > 0.5).then_some([a, b])
    })
}

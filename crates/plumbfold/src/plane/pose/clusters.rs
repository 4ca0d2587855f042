//! Rigid stacks between the posed creases.

use super::{HingeAngle, PoseError};
use crate::design::ast::PoseKind;
use crate::fold::layout::Layout;
use crate::fold::state::Folded;
use crate::numeric::geom::{self, Point};

/// A strip no wider than this on average, m, and [`HEM_ASPECT`] times as long, is a hem: paper that
/// overlapped a crease by a hand's error and was folded along with the rest. It keeps to the paper
/// it was folded from when that crease is opened. Chosen: twice what a careful hand misses in the
/// worst of cases, and half of the narrowest winglet.
pub(super) const HEM_M: f64 = 0.003;
/// See [`HEM_M`].
const HEM_ASPECT: f64 = 8.0;

/// A hem, or a mere corner of paper.
pub(super) fn is_scrap<F>(polygon: &[Point<F>]) -> bool {
    let pairs =
        polygon.iter().enumerate().flat_map(|(i, p)| polygon[..i].iter().map(|q| p.distance(*q)));
    let length = pairs.fold(0.0, f64::max);
    let width = geom::area(polygon) / length.max(f64::MIN_POSITIVE);
    length < HEM_M || width < HEM_M && length > HEM_ASPECT * width
}

/// The model cut along its posed creases.
pub(super) struct Clusters {
    /// Number of clusters.
    pub count: usize,
    /// Cluster of each face.
    pub of_face: Vec<usize>,
    /// Hinges that are posed, and the index of the angle that poses each.
    pub posed: Vec<(usize, usize)>,
    /// Likewise those whose opening follows from that of the others.
    pub closing: Vec<(usize, usize)>,
    /// The angle that opens the keel, if the model has one.
    pub keel: Option<usize>,
}

impl Clusters {
    pub fn new(folded: &Folded, angles: &[HingeAngle]) -> Result<Self, PoseError> {
        let mut item_of_crease: Vec<Option<usize>> = vec![None; folded.creases.len()];
        for (item, angle) in angles.iter().enumerate() {
            let creases = folded.creases_named(&angle.crease);
            for &c in &creases {
                item_of_crease[c] = Some(item);
            }
            if creases.is_empty() {
                let mut names: Vec<String> = folded
                    .creases
                    .iter()
                    .filter_map(|c| c.name.as_deref())
                    .map(str::to_owned)
                    .collect();
                names.sort();
                names.dedup();
                return Err(PoseError::UnknownCrease {
                    crease: angle.crease.clone(),
                    known: names,
                    span: angle.span.clone(),
                });
            }
        }
        let mut parent: Vec<usize> = (0..folded.faces.len()).collect();
        fn root(parent: &mut [usize], mut k: usize) -> usize {
            while parent[k] != k {
                parent[k] = parent[parent[k]];
                k = parent[k];
            }
            k
        }
        let length = |h: usize| folded.hinges[h].ends[0].distance(folded.hinges[h].ends[1]);
        let longest = |hinges: &mut dyn Iterator<Item = usize>| {
            hinges.max_by(|&a, &b| length(a).total_cmp(&length(b)))
        };
        let mut posed = Vec::new();
        let mut weak = Vec::new();
        for (h, hinge) in folded.hinges.iter().enumerate() {
            if let Some(item) = item_of_crease[hinge.crease] {
                posed.push((h, item));
            } else if length(h) < HEM_M {
                weak.push(h);
            } else {
                let [a, b] = hinge.faces.map(|f| root(&mut parent, f));
                parent[a.max(b)] = a.min(b);
            }
        }
        let mut body = vec![false; folded.faces.len()];
        for f in (0..folded.faces.len()).filter(|&f| !is_scrap(&folded.faces[f].polygon)) {
            body[root(&mut parent, f)] = true;
        }
        // A corner between two creases that both open is no hem, however small.
        let mut opens: Vec<Vec<usize>> = vec![Vec::new(); folded.faces.len()];
        for &(h, item) in &posed {
            for f in folded.hinges[h].faces {
                let items = &mut opens[root(&mut parent, f)];
                if !items.contains(&item) {
                    items.push(item);
                }
            }
        }
        for &(h, _) in &posed {
            let [a, b] = folded.hinges[h].faces.map(|f| root(&mut parent, f));
            let hem = if body[a] { b } else { a };
            if body[a] != body[b] && opens[hem].len() == 1 {
                weak.push(h);
            }
        }
        // Hems keep to their paper and short bits of crease hold, the longest first, unless that
        // would shut a crease that opens: there a corner of a hand's error crumples.
        weak.sort_by(|&a, &b| length(b).total_cmp(&length(a)));
        // A crease opens wherever it joins more than hems; and of each that is posed, and of either
        // side of one folded on both sides, the longest hinge opens whatever the rest does.
        let joined = posed.iter().map(|p| p.0).filter(|&h| {
            let [a, b] = folded.hinges[h].faces.map(|f| root(&mut parent, f));
            body[a] && body[b]
        });
        let joined: Vec<usize> = joined.collect();
        let longest_of_each = (0..angles.len())
            .flat_map(|item| [(item, false), (item, true)])
            .filter_map(|(item, mirrored)| {
                let side = |h: usize| folded.creases[folded.hinges[h].crease].mirrored == mirrored;
                let mut all = posed.iter().filter(|p| p.1 == item && side(p.0)).map(|p| p.0);
                longest(&mut all)
            });
        let main: Vec<usize> = longest_of_each.chain(joined).collect();
        for h in weak {
            let [a, b] = folded.hinges[h].faces.map(|f| root(&mut parent, f));
            let shuts = main.iter().any(|&m| {
                let [c, d] = folded.hinges[m].faces.map(|f| root(&mut parent, f));
                (a, b) == (c, d) || (a, b) == (d, c)
            });
            if !shuts {
                parent[a.max(b)] = a.min(b);
            }
        }
        let mut number = vec![usize::MAX; folded.faces.len()];
        let mut count = 0;
        let mut of_face = vec![0; folded.faces.len()];
        for (f, slot) in of_face.iter_mut().enumerate() {
            let r = root(&mut parent, f);
            if number[r] == usize::MAX {
                number[r] = count;
                count += 1;
            }
            *slot = number[r];
        }
        // A hinge inside one rigid stack cannot turn.
        posed.retain(|&(h, _)| {
            let [a, b] = folded.hinges[h].faces.map(|f| of_face[f]);
            a != b
        });
        for (item, angle) in angles.iter().enumerate() {
            if !posed.iter().any(|p| p.1 == item) {
                let joins = folded.hinges.iter().any(|h| item_of_crease[h.crease] == Some(item));
                let (crease, span) = (angle.crease.clone(), angle.span.clone());
                return Err(if joins {
                    PoseError::Locked { crease, span }
                } else {
                    PoseError::CreaseGone { crease, span }
                });
            }
        }
        let keel = angles.iter().position(|a| {
            matches!(a.kind, PoseKind::Opens | PoseKind::Dihedral)
                && !folded.creases_named(&a.crease).iter().any(|&c| folded.creases[c].mirrored)
        });
        Ok(Self { count, of_face, posed, closing: Vec::new(), keel })
    }

    /// Leaves some hinges to follow.
    pub fn set_closing(&mut self, hinges: &[usize]) {
        self.closing = self.posed.extract_if(.., |p| hinges.contains(&p.0)).collect();
    }

    /// The posed hinges between the same two stacks as one of them.
    pub fn alike<'a>(&'a self, folded: &'a Folded, h: usize) -> impl Iterator<Item = usize> + 'a {
        let stacks = |h: usize| {
            let [a, b] = folded.hinges[h].faces.map(|f| self.of_face[f]);
            (a.min(b), a.max(b))
        };
        self.posed.iter().map(|p| p.0).filter(move |&k| stacks(k) == stacks(h))
    }

    /// The longest hinge of the keel crease: the rest of that crease must agree with it. `None` where
    /// all of it is left to follow.
    pub fn keel_hinge(&self, folded: &Folded, item: usize) -> Option<usize> {
        let length = |h: usize| {
            let [a, b] = folded.hinges[h].ends;
            a.distance(b)
        };
        self.posed
            .iter()
            .filter(|p| p.1 == item)
            .map(|p| p.0)
            .max_by(|&a, &b| length(a).total_cmp(&length(b)))
    }

    /// The cluster with most paper.
    pub fn largest(&self, folded: &Folded) -> usize {
        let mut area = vec![0.0; self.count];
        for (f, face) in folded.faces.iter().enumerate() {
            area[self.of_face[f]] += geom::area(&face.polygon);
        }
        (0..self.count).max_by(|&a, &b| area[a].total_cmp(&area[b])).unwrap_or(0)
    }

    /// Height of the middle of each face's layer above (or, counted from the top, below) the
    /// reference side of its stack, in thicknesses of paper: half, one and a half, and so on,
    /// always resting on the highest layer under any part of it.
    pub fn heights(&self, folded: &Folded, from_top: impl Fn(usize) -> bool) -> Vec<f64> {
        let layout = Layout::new(folded);
        let mut height = vec![0.0f64; folded.faces.len()];
        for cluster in 0..self.count {
            let top = from_top(cluster);
            let mut stack: Vec<usize> =
                folded.order.iter().copied().filter(|&f| self.of_face[f] == cluster).collect();
            if top {
                stack.reverse();
            }
            for (k, &f) in stack.iter().enumerate() {
                // From the nearest layer down, so that few overlaps need to be looked at.
                let level = stack[..k].iter().rev().fold(0.0, |level: f64, &g| {
                    let over = height[g].abs() + 0.5;
                    if over > level && layout.overlap(f, g) { over } else { level }
                });
                height[f] = (level + 0.5) * if top { -1.0 } else { 1.0 };
            }
        }
        height
    }
}

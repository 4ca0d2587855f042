//! The rules on layer orders as clauses over "face a lies below face b".

use super::{Condition, LayerError, MAX_FACES, Question, Rule, StackHinge};
use crate::fold::layout::Box2;
use crate::fold::state::FaceId;
use crate::numeric::geom::{Line, TOLERANCE_M, TableLine, centroid, clip_segment, overlap_convex};

/// A statement about a pair: `TRUE`, `-TRUE`, or plus or minus a variable number plus two;
/// negation is the minus sign.
pub type Term = i32;
/// The statement that always holds.
pub const TRUE: Term = 1;
/// No statement: the faces share no area.
const APART: Term = 0;

/// Clauses over pairs of faces that share area.
pub struct Conditions {
    /// Number of variables. Each is true when its pair lies as preferred; they are numbered in
    /// the order in which the nearest solution settles them.
    pub variables: usize,
    /// Each clause: at least one of its terms holds. An empty one cannot hold.
    pub clauses: Vec<(Vec<Term>, Condition)>,
    /// The preferred order, and the place of each face in it.
    pub preferred: Vec<FaceId>,
    rank: Vec<usize>,
    cells: Vec<Term>,
}

impl Conditions {
    /// All rules; pairs with one rigid label are settled beforehand.
    pub fn new(q: &Question) -> Result<Self, LayerError> {
        Self::build(q, true)
    }

    /// All rules, with every pair left open and each wish a clause of its own, so that a
    /// contradiction can be traced to them.
    pub fn open(q: &Question) -> Result<Self, LayerError> {
        Self::build(q, false)
    }

    fn build(q: &Question, settle: bool) -> Result<Self, LayerError> {
        let n = q.stack.outlines.len();
        if n > MAX_FACES {
            return Err(LayerError::TooMany { faces: n, limit: MAX_FACES });
        }
        let mut rank = vec![0; n];
        q.preferred.iter().enumerate().for_each(|(r, &f)| rank[f] = r);
        let mut c = Self {
            variables: 0,
            clauses: Vec::new(),
            preferred: q.preferred.clone(),
            rank,
            cells: vec![APART; n * n],
        };
        let boxes: Vec<_> = q.stack.outlines.iter().map(|o| Box2::around(o)).collect();
        for (r, &a) in q.preferred.iter().enumerate() {
            for &b in &q.preferred[r + 1..] {
                if !boxes[a].overlaps(&boxes[b])
                    || !overlap_convex(&q.stack.outlines[a], &q.stack.outlines[b])
                {
                    continue;
                }
                let rigid = q.rigid[a] == q.rigid[b];
                let term = if rigid && settle {
                    TRUE
                } else {
                    c.variables += 1;
                    c.variables as Term + 1
                };
                c.cells[a * n + b] = term;
                c.cells[b * n + a] = -term;
                if rigid && !settle {
                    c.wish(Rule::Rigid, [a, b], vec![]);
                }
            }
        }
        for &pair in &q.below {
            c.wish(Rule::Asked, pair, vec![]);
        }
        for &(hinge, mark) in &q.marks {
            if let Some(pair) = q.stack.marked(hinge, mark) {
                c.wish(Rule::Marked, pair, vec![hinge]);
            }
        }
        c.bends(q, &boxes);
        Ok(c)
    }

    /// Does `a` lie below `b`?
    pub fn below(&self, a: FaceId, b: FaceId) -> Term {
        self.cells[a * self.rank.len() + b]
    }

    /// Place of a face in the preferred order.
    pub fn rank(&self, f: FaceId) -> usize {
        self.rank[f]
    }

    fn wish(&mut self, rule: Rule, [lower, upper]: [FaceId; 2], hinges: Vec<usize>) {
        let condition = Condition { rule, faces: vec![lower, upper], hinges };
        self.even(&[-self.below(lower, upper)], condition);
    }

    /// An even number of these terms holds.
    fn even(&mut self, terms: &[Term], condition: Condition) {
        if terms.contains(&APART) {
            return;
        }
        let open: Vec<Term> = terms.iter().copied().filter(|t| t.abs() != TRUE).collect();
        let odd = terms.iter().filter(|&&t| t == TRUE).count() % 2 == 1;
        // Forbid every choice of truth values with the wrong parity.
        for choice in 0..1u32 << open.len() {
            if (choice.count_ones() % 2 == 1) != odd {
                let clause = open.iter().enumerate();
                let clause = clause.map(|(i, &t)| if choice >> i & 1 == 1 { -t } else { t });
                self.clauses.push((clause.collect(), condition.clone()));
            }
        }
    }

    /// Are these terms surely an even number already?
    fn surely_even(terms: &[Term]) -> bool {
        terms.iter().all(|t| t.abs() == TRUE)
            && terms.iter().filter(|&&t| t == TRUE).count() % 2 == 0
    }

    fn bends(&mut self, q: &Question, boxes: &[Box2]) {
        let hinges = &q.stack.hinges;
        let lines: Vec<_> = hinges.iter().map(|h| Line::through(h.ends[0], h.ends[1])).collect();
        let around: Vec<_> = hinges.iter().map(|h| Box2::around(&h.ends)).collect();
        for (i, h) in hinges.iter().enumerate() {
            let Some(line) = lines[i] else { continue };
            let [a, b] = h.faces;
            for (t, outline) in q.stack.outlines.iter().enumerate() {
                let terms = [self.below(a, t), self.below(b, t)];
                if t != a
                    && t != b
                    && around[i].touches(&boxes[t])
                    && !Self::surely_even(&terms)
                    && clip_segment(h.ends[0], h.ends[1], outline).is_some()
                {
                    let rule = if h.folded { Rule::TacoTortilla } else { Rule::TortillaTortilla };
                    self.even(&terms, Condition { rule, faces: vec![a, b, t], hinges: vec![i] });
                }
            }
            for (j, k) in hinges.iter().enumerate().skip(i + 1) {
                if around[i].touches(&around[j])
                    && !k.faces.iter().any(|f| h.faces.contains(f))
                    && coincide(&line, h, k)
                {
                    self.coinciding(q, [i, j], &line);
                }
            }
        }
    }

    /// Two hinges lie on each other.
    fn coinciding(&mut self, q: &Question, hinges: [usize; 2], line: &TableLine) {
        let left = |f: FaceId| line.side(centroid(&q.stack.outlines[f])) > 0.0;
        let [h, k] = hinges.map(|i| q.stack.hinges[i]);
        let [[a, b], [c, d]] = [h.faces, k.faces];
        let (rule, terms) = match (h.folded, k.folded) {
            (true, true) if left(a) == left(c) => (
                Rule::TacoTaco,
                vec![self.below(a, c), self.below(a, d), self.below(b, c), self.below(b, d)],
            ),
            (true, true) => return,
            (true, false) => {
                let c = if left(c) == left(a) { c } else { d };
                (Rule::TacoTortilla, vec![self.below(a, c), self.below(b, c)])
            }
            (false, true) => {
                let a = if left(a) == left(c) { a } else { b };
                (Rule::TacoTortilla, vec![self.below(a, c), self.below(a, d)])
            }
            (false, false) => {
                let (c, d) = if left(c) == left(a) { (c, d) } else { (d, c) };
                (Rule::TortillaTortilla, vec![self.below(a, c), self.below(b, d)])
            }
        };
        let condition = Condition { rule, faces: vec![a, b, c, d], hinges: hinges.to_vec() };
        self.even(&terms, condition);
    }
}

/// Do two hinges share a piece of the first one's line?
pub fn coincide(line: &TableLine, h: &StackHinge, k: &StackHinge) -> bool {
    let span = |h: &StackHinge| {
        let [a, b] = h.ends.map(|p| line.along(p));
        (a.min(b), a.max(b))
    };
    let ((a, b), (c, d)) = (span(h), span(k));
    k.ends.iter().all(|&p| line.side(p).abs() <= 2.0 * TOLERANCE_M)
        && b.min(d) - a.max(c) > 2.0 * TOLERANCE_M
}

//! Asking the satisfiability solver for orders, and for the reason when there is none.

use super::conditions::{Conditions, TRUE, Term};
use super::{Condition, LayerError, MAX_DEAD_ENDS, Question, Rule};
use crate::fold::state::FaceId;
use batsat::{Callbacks, ClauseKind, Lit, Solver, SolverInterface, SolverOpts, Var, lbool};
use std::cmp::Reverse;
use std::collections::{BinaryHeap, VecDeque};

/// Rings forbidden in one round; a handful of rounds settles them all.
const MAX_RINGS_A_ROUND: usize = 2000;
/// When saying why, at most this many conditions are tried for being left out.
const MAX_TRIALS: usize = 300;

/// A solution: a truth value a variable, and a linear order that agrees with it.
pub struct Model {
    values: Vec<bool>,
    pub order: Vec<FaceId>,
}

/// Stops the solver after a set number of dead ends between two orders, so that the time is bounded and the answer
/// the same on every machine.
#[derive(Default)]
struct DeadEnds(u64);

impl Callbacks for DeadEnds {
    fn on_new_clause(&mut self, _: &[Lit], kind: ClauseKind) {
        self.0 += u64::from(kind == ClauseKind::Learnt);
    }
    fn stop(&self) -> bool {
        self.0 >= MAX_DEAD_ENDS
    }
}

/// The solver, loaded with the conditions.
pub struct Search<'a> {
    conditions: &'a Conditions,
    solver: Solver<DeadEnds>,
    variables: Vec<Var>,
    /// With `traced`: one switch a condition, the condition applies while its switch is on.
    switches: Vec<(Lit, Condition)>,
    traced: bool,
}

impl<'a> Search<'a> {
    pub fn new(conditions: &'a Conditions) -> Self {
        Self::load(conditions, false)
    }

    fn load(conditions: &'a Conditions, traced: bool) -> Self {
        let mut solver = Solver::new(SolverOpts::default(), DeadEnds::default());
        let variables =
            (0..conditions.variables).map(|_| solver.new_var(lbool::TRUE, true)).collect();
        let mut s = Self { conditions, solver, variables, switches: Vec::new(), traced };
        for (clause, condition) in &conditions.clauses {
            s.require(clause.iter().copied(), condition);
        }
        s
    }

    fn literal(&self, t: Term) -> Lit {
        Lit::new(self.variables[t.unsigned_abs() as usize - 2], t > 0)
    }

    fn require(&mut self, terms: impl Iterator<Item = Term>, condition: &Condition) {
        let mut clause: Vec<Lit> = terms.map(|t| self.literal(t)).collect();
        if self.traced {
            let switch = match self.switches.last() {
                Some((switch, last)) if last == condition => *switch,
                _ => {
                    let switch = Lit::new(self.solver.new_var_default(), true);
                    self.switches.push((switch, condition.clone()));
                    switch
                }
            };
            clause.push(!switch);
        }
        self.solver.add_clause_reuse(&mut clause);
    }

    /// Some order in which these literals hold; rings are forbidden as they turn up.
    pub fn solve(&mut self, wanted: &[Lit]) -> Result<Option<Model>, LayerError> {
        loop {
            match self.round(wanted)? {
                Round::Found(model) => return Ok(Some(model)),
                Round::Nothing => return Ok(None),
                Round::Rings => {}
            }
        }
    }

    fn round(&mut self, wanted: &[Lit]) -> Result<Round, LayerError> {
        match self.solver.solve_limited(wanted) {
            r if r == lbool::FALSE => return Ok(Round::Nothing),
            r if r == lbool::TRUE => {}
            _ => return Err(LayerError::TooHard { limit: MAX_DEAD_ENDS }),
        }
        let value = |v: &Var| self.solver.value_var(*v) == lbool::TRUE;
        let values: Vec<bool> = self.variables.iter().map(value).collect();
        let rings = match linear_order(self.conditions, &values) {
            Ok(order) => return Ok(Round::Found(Model { values, order })),
            Err(rings) => rings,
        };
        for ring in rings {
            let next = ring.iter().cycle().skip(1);
            let steps = ring.iter().zip(next).map(|(&a, &b)| self.conditions.below(a, b));
            let clause: Vec<Term> = steps.filter(|&t| t != TRUE).map(|t| -t).collect();
            let rule = Rule::Transitivity;
            let condition = Condition { rule, faces: ring, hinges: vec![] };
            self.require(clause.into_iter(), &condition);
        }
        Ok(Round::Rings)
    }

    /// The order nearest to the preferred one. Uses the search up: what it settles stays so.
    pub fn nearest(mut self) -> Result<Option<Model>, LayerError> {
        let Some(mut model) = self.solve(&[])? else { return Ok(None) };
        for v in 0..self.variables.len() {
            let wish = Lit::new(self.variables[v], true);
            let kept = model.values[v] || {
                let better = self.solve(&[wish])?;
                let found = better.is_some();
                model = better.unwrap_or(model);
                found
            };
            self.solver.add_clause_reuse(&mut vec![if kept { wish } else { !wish }]);
        }
        Ok(Some(model))
    }

    /// After a refusal: did this wish take part in it?
    fn needed(&self, l: &Lit) -> bool {
        self.solver.unsat_core_contains_var(l.var())
    }

    /// Do not find this one again. Dead ends are counted anew: the search has got somewhere.
    pub fn exclude(&mut self, model: &Model) {
        self.solver.cb_mut().0 = 0;
        let differ = self.variables.iter().zip(&model.values).map(|(&v, &t)| Lit::new(v, !t));
        let mut clause = differ.collect();
        self.solver.add_clause_reuse(&mut clause);
    }
}

/// What one call of the solver brings.
enum Round {
    Found(Model),
    Nothing,
    /// Rings, forbidden from now on.
    Rings,
}

/// A linear order that agrees with the pairs, taking the lowest in preference wherever there is a
/// choice; or some rings that prevent it.
fn linear_order(c: &Conditions, values: &[bool]) -> Result<Vec<FaceId>, Vec<Vec<FaceId>>> {
    let n = c.preferred.len();
    let holds = |t: Term| match t.unsigned_abs() as usize {
        0 => false,
        1 => t == TRUE,
        v => values[v - 2] == (t > 0),
    };
    let above: Vec<Vec<FaceId>> =
        (0..n).map(|a| (0..n).filter(|&b| holds(c.below(a, b))).collect()).collect();
    let mut waiting_for = vec![0usize; n];
    above.iter().flatten().for_each(|&b| waiting_for[b] += 1);
    let mut ready: BinaryHeap<Reverse<usize>> =
        (0..n).filter(|&f| waiting_for[f] == 0).map(|f| Reverse(c.rank(f))).collect();
    let mut order = Vec::with_capacity(n);
    while let Some(Reverse(rank)) = ready.pop() {
        let a = c.preferred[rank];
        order.push(a);
        for &b in &above[a] {
            waiting_for[b] -= 1;
            if waiting_for[b] == 0 {
                ready.push(Reverse(c.rank(b)));
            }
        }
    }
    if order.len() == n {
        return Ok(order);
    }
    let stuck: Vec<FaceId> = (0..n).filter(|&f| waiting_for[f] > 0).collect();
    let mut rings = Vec::new();
    for &a in &stuck {
        for &b in above[a].iter().filter(|&&b| b > a) {
            rings.extend(
                above[b].iter().filter(|&&k| k > a && holds(c.below(k, a))).map(|&k| vec![a, b, k]),
            );
        }
        if rings.len() > MAX_RINGS_A_ROUND {
            break;
        }
    }
    if rings.is_empty() {
        let shortest = stuck.iter().filter_map(|&f| ring_through(f, &above));
        rings.extend(shortest.min_by_key(Vec::len));
    }
    Err(rings)
}

/// Shortest ring through a face, by breadth-first search.
fn ring_through(start: FaceId, above: &[Vec<FaceId>]) -> Option<Vec<FaceId>> {
    let mut from = vec![None; above.len()];
    let mut queue = VecDeque::from([start]);
    while let Some(a) = queue.pop_front() {
        for &b in &above[a] {
            if b == start {
                let mut ring = vec![a];
                while let Some(p) = from[ring[ring.len() - 1]] {
                    ring.push(p);
                }
                ring.reverse();
                return Some(ring);
            }
            if from[b].is_none() {
                from[b] = Some(a);
                queue.push_back(b);
            }
        }
    }
    None
}

/// A small set of conditions that contradict each other, for a question without an answer.
pub fn explain(q: &Question) -> LayerError {
    try_explain(q).unwrap_or_else(|e| e)
}

fn try_explain(q: &Question) -> Result<LayerError, LayerError> {
    let conditions = Conditions::open(q)?;
    let mut search = Search::load(&conditions, true);
    // Rings add switches, so ask again until the refusal stands with all of them.
    let mut core: Vec<Lit> = loop {
        let on: Vec<Lit> = search.switches.iter().map(|s| s.0).collect();
        if let Round::Nothing = search.round(&on)? {
            break on.into_iter().filter(|l| search.needed(l)).collect();
        }
    };
    // Leave out what is not needed. Rings found on the way only make it say "needed" too often.
    let mut i = 0;
    for _ in 0..MAX_TRIALS {
        if i >= core.len() {
            break;
        }
        let mut fewer = core.clone();
        fewer.remove(i);
        match search.solver.solve_limited(&fewer) {
            r if r == lbool::FALSE => {
                fewer.retain(|l| search.needed(l));
                core = fewer;
            }
            _ => i += 1,
        }
    }
    let named = search.switches.iter().filter(|s| core.contains(&s.0)).map(|s| s.1.clone());
    let mut conditions: Vec<Condition> = Vec::new();
    named.for_each(|c| {
        if !conditions.contains(&c) {
            conditions.push(c);
        }
    });
    // Faces in a ring with no common area could still be woven by hand; a stack they are not.
    let woven = conditions.iter().find(|c| c.rule == Rule::Transitivity && !share_one(q, &c.faces));
    Ok(match woven {
        Some(ring) => LayerError::Woven { ring: ring.faces.clone() },
        None => LayerError::Impossible { conditions },
    })
}

/// Is there a place that lies in all of these faces?
fn share_one(q: &Question, faces: &[FaceId]) -> bool {
    let mut outlines = faces.iter().map(|&f| &q.stack.outlines[f]);
    let Some(first) = outlines.next() else { return false };
    !outlines.fold(first.clone(), |a, b| crate::numeric::geom::intersect_convex(&a, b)).is_empty()
}

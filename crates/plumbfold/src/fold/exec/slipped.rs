//! A fold of a slipped run: the crease of the exact run, missed by a little.

use crate::fold::apply::{Move, Plan, Refused, Take};
use crate::fold::error::Problem;
use crate::fold::layout::Layout;
use crate::fold::refs::Fault;
use crate::fold::slip::{Aim, Slip, nearest};
use crate::fold::state::{Crease, CreaseId, Folded, HINGE_GAP_M, Hinge};
use crate::numeric::geom::TableLine;

use super::crease_line::Asked;
use super::fold_step::{Candidate, Pass, Passed};
use super::mirror::Mirror;

/// A crease gives way by no more than this, m (chosen: ten times what a careful hand misses by).
const GIVES_WAY_M: f64 = 5e-3;
/// Where the moved paper differs from the exact fold's by more than a strip of this width along
/// the whole crease, the fold is another one, m (chosen: twice [`GIVES_WAY_M`]).
const ANOTHER_M: f64 = 2.0 * GIVES_WAY_M;
/// Halvings of [`GIVES_WAY_M`] to find how far a crease gives way: to a tenth of a micrometre.
const HALVINGS: usize = 16;

impl Pass<'_> {
    /// Makes the fold where the hand puts it. A crease that would take along paper which the exact
    /// fold leaves (a corner that reaches over it by a hair, and all that hangs on to it) gives
    /// way towards the moving paper until it does not: a hand feels that.
    pub(super) fn slipped(
        &self,
        aim: &Aim,
        asked: &Asked,
        layout: &Layout,
    ) -> Result<Passed, Fault> {
        let fault = |problem: Problem| Fault::from((&self.step.line.span, problem));
        let refused = |refused: Refused| fault(refused.into());
        let meant = nearest(&aim.line, &asked.lines).ok_or_else(|| fault(Problem::NoCrease))?;
        let (take, landing) = (self.take(Some(asked))?, self.landing()?);
        // Paper that lies on a named flap by no more than a hand's miss comes along.
        let take = match take {
            Take::Flap(faces) => Take::Loose(faces),
            take => take,
        };
        let valley = self.valley();
        let candidate = |line| {
            let (take, landing) = (take.clone(), landing.clone());
            let fold = Move { line, valley, take, landing };
            let plan = Plan::new(self.model, layout, &fold)?;
            Ok(Candidate { line, fold, plan })
        };
        if let Some(along) = asked.along {
            let mut passed =
                self.make(asked, &candidate(meant).map_err(refused)?).map_err(refused)?;
            leave_behind(&mut passed.folded, along, &meant);
            return Ok(passed);
        }
        let reversed = self.mirror.as_ref().is_some_and(Mirror::reverses_angles);
        let sense = if reversed { -1.0 } else { 1.0 };
        let middle = meant.place(meant.along(aim.line.at));
        let attempt = |give_way_m: f64| -> Result<Option<Passed>, Refused> {
            let slip = Slip { offset_m: aim.slip.offset_m + give_way_m, ..aim.slip };
            let passed = self.make(asked, &candidate(slip.miss(&meant, middle, sense))?)?;
            let more_m2 = (passed.moved_m2 - aim.moved_m2).abs();
            Ok((more_m2 <= ANOTHER_M * aim.bent_m).then_some(passed))
        };
        let first = attempt(0.0);
        if let Ok(Some(passed)) = first {
            return Ok(passed);
        }
        let (mut caught, mut clear, mut made) = (0.0, GIVES_WAY_M, None);
        for _ in 0..HALVINGS {
            let tried = if made.is_none() { clear } else { (caught + clear) / 2.0 };
            match attempt(tried) {
                Ok(Some(passed)) => (clear, made) = (tried, Some(passed)),
                _ if made.is_none() => break,
                _ => caught = tried,
            }
        }
        let why = first.err().map_or(Problem::NoCrease, Problem::from);
        made.ok_or_else(|| fault(why))
    }
}

/// Pieces of a crease that have slipped off the line along which it was folded now are only marks
/// in the paper: they go to a crease of their own, without a name.
fn leave_behind(folded: &mut Folded, crease: CreaseId, line: &TableLine) {
    let off = |h: &Hinge| {
        let apart = |p| line.side(p).abs() > HINGE_GAP_M;
        h.crease == crease && folded.hinge_on_table(h).into_iter().any(apart)
    };
    let off: Vec<usize> = (0..folded.hinges.len()).filter(|&h| off(&folded.hinges[h])).collect();
    if !off.is_empty() {
        folded.creases.push(Crease { name: None, layers: 0, ..folded.creases[crease].clone() });
    }
    for h in off {
        folded.hinges[h].crease = folded.creases.len() - 1;
    }
}

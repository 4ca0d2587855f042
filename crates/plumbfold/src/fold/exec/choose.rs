//! Which crease and which side of it a fold means. Nothing is decided that the words and the paper
//! leave open: read in a mirror, the same words mean the mirror image of what they mean here.

use crate::design::ast::{Choice, Direction, Expr, FoldStep, FoldVerb, MovingRef, Step, Unit};
use crate::fold::apply::{Move, Plan, Refused, Take};
use crate::fold::error::Problem;
use crate::fold::layout::Layout;
use crate::fold::refs::{Fault, direction};
use crate::fold::state::HINGE_GAP_M;
use crate::numeric::geom::{TableLine, clip_left};

use super::advice::said;
use super::crease_line::{Asked, Mover, chosen};
use super::fold_step::{Candidate, Pass};
use super::mirror::Mirror;

/// Parts of the paper whose areas differ by less than this share of the sheet are as large (chosen:
/// far above rounding, far below what a hand can see).
const ALIKE: f64 = 1e-9;

impl Pass<'_> {
    /// The one crease meant, of all that do what was asked.
    pub(super) fn choose(&self, asked: &Asked, layout: &Layout) -> Result<Candidate, Fault> {
        let (take, landing) = (self.take(Some(asked))?, self.landing()?);
        let valley = self.valley();
        let moving = self.moving()?;
        let flap = self.flap_place()?;
        let mover = moving.as_ref().unwrap_or(&asked.mover);
        let fault = |problem: Problem| Fault::from((&self.step.line.span, problem));
        let mut refused: Option<Problem> = None;
        let open = |line: TableLine| {
            fault(Problem::EitherSide { line, ways: self.either_side(self.step, &line) })
        };
        // Nothing for a crease that cannot be made; itself for one whose sides are both possible.
        let mut best_way = |line: TableLine| -> Option<Result<Candidate, TableLine>> {
            // Where nothing else decides, the part with the place that names the flap moves.
            let named = flap.as_ref().filter(|flap| flap.side_of(&line) != 0.0);
            let mover = match mover {
                Mover::Smaller => named.unwrap_or(mover),
                decided => decided,
            };
            let oriented = self.orient(line, mover, moving.is_some(), asked);
            let oriented = oriented.map_err(|problem| refused.get_or_insert(problem)).ok()?;
            let mut ways: Vec<Candidate> = Vec::new();
            for way in oriented {
                let (take, landing) = (take.clone(), landing.clone());
                let fold = Move { line: way, valley, take, landing };
                let plan = Plan::new(self.model, layout, &fold);
                match plan.and_then(|plan| self.one_half(plan, &fold.take)) {
                    Ok(plan) => ways.push(Candidate { line, fold, plan }),
                    Err(e) => keep_worse(&mut refused, e.into()),
                }
            }
            self.smaller_part(ways, layout).transpose()
        };
        // Unless told otherwise, one means the crease that lands on paper, if there is just one.
        if self.step.choice.is_none() {
            let mut likely = asked.lines.iter().filter(|l| asked.lands_on_paper(l));
            if let (Some(&line), None) = (likely.next(), likely.next())
                && let Some(meant) = best_way(line)
            {
                return meant.map_err(open);
            }
        }
        let (lines, mut all): (Vec<TableLine>, Vec<Result<Candidate, TableLine>>) =
            asked.lines.iter().filter_map(|&line| Some((line, best_way(line)?))).unzip();
        if all.is_empty() {
            return Err(fault(refused.unwrap_or(Problem::NoCrease)));
        }
        // At the mirrored half, the image of the crease that was made.
        let image = |c: &Candidate| {
            let made = self.mirror.zip(self.first_made);
            made.is_some_and(|(mirror, first)| mirror.are_images(&first, &c.line, HINGE_GAP_M))
        };
        if let Some(i) = all.iter().position(|c| c.as_ref().is_ok_and(image)) {
            return all.swap_remove(i).map_err(open);
        }
        if let Some(choice) = &self.step.choice {
            let taken = chosen(choice, &lines, &self.refs())?;
            return all.swap_remove(taken).map_err(open);
        }
        if let Some(&line) = all.iter().find_map(|c| c.as_ref().err()) {
            return Err(fault(Problem::EitherSide { line, ways: self.each_way(&all) }));
        }
        let mut possible: Vec<Candidate> = all.into_iter().flatten().collect();
        if let (Some(parallel_to), true) = (asked.parallel_to, possible.len() > 1) {
            let side = mover.side_of(&parallel_to);
            possible.retain(|c| side * parallel_to.side(c.line.at) >= 0.0);
            possible = self.least(possible, layout);
            if self.are_the_two_sides(&possible) {
                possible = self.leftmost(possible).into_iter().collect();
            }
            if let [either, _] = possible.as_slice() {
                self.nothing_beyond(asked, either, layout)?;
            }
        }
        let likely: Vec<bool> =
            possible.iter().map(|c| asked.lands_on_paper(&c.fold.line)).collect();
        if possible.len() > 1 && likely.iter().filter(|l| **l).count() == 1 {
            possible =
                possible.into_iter().zip(likely).filter(|(_, l)| *l).map(|(c, _)| c).collect();
        }
        if self.are_the_two_sides(&possible) {
            possible = self.leftmost(possible).into_iter().collect();
        }
        let candidates = possible.iter().map(|c| c.line).collect();
        match possible.pop() {
            Some(only) if possible.is_empty() => Ok(only),
            _ => Err(fault(Problem::Ambiguous { candidates })),
        }
    }

    /// The crease with its moving side on the left; both ways when nothing decides.
    fn orient(
        &self,
        line: TableLine,
        mover: &Mover,
        said: bool,
        asked: &Asked,
    ) -> Result<Vec<TableLine>, Problem> {
        let side = mover.side_of(&line);
        match mover {
            _ if side > 0.0 => Ok(vec![line]),
            _ if side < 0.0 => Ok(vec![line.reversed()]),
            _ if said => Err(Problem::NoSide { line }),
            Mover::Place(_) | Mover::AwayFrom(_) if asked.along.is_none() => {
                Err(Refused::NothingMoves.into())
            }
            _ => Ok(vec![line, line.reversed()]),
        }
    }

    /// Of the two sides of a crease the one where less paper moves; where they are mirror images of
    /// each other, the left one, or the lower of a level crease; the crease where nothing decides.
    fn smaller_part(
        &self,
        ways: Vec<Candidate>,
        layout: &Layout,
    ) -> Result<Option<Candidate>, TableLine> {
        let ways = self.least(ways, layout);
        // A crease is the same whichever side is folded over for it.
        if let [a, b] = ways.as_slice()
            && self.step.verb != FoldVerb::Crease
            && !self.are_images(a, b, layout)
        {
            return Err(a.line);
        }
        Ok(self.leftmost(ways))
    }

    /// The ways that move least paper.
    fn least(&self, ways: Vec<Candidate>, layout: &Layout) -> Vec<Candidate> {
        if ways.len() < 2 {
            return ways;
        }
        let moved: Vec<f64> = ways.iter().map(|c| amounts(c, layout)[0]).collect();
        let least = moved.iter().copied().fold(f64::INFINITY, f64::min) + self.alike_m2();
        ways.into_iter().zip(moved).filter(|(_, m2)| *m2 < least).map(|(c, _)| c).collect()
    }

    /// Whether the two sides of one crease lie alike about it, as far as what moves weighs there.
    fn are_images(&self, a: &Candidate, b: &Candidate, layout: &Layout) -> bool {
        let [a, b] = [a, b].map(|c| amounts(c, layout));
        a.iter().zip(b).all(|(a, b)| (a - b).abs() < self.alike_m2())
    }

    /// Whether two creases are those of the two sides of a step that is made on both.
    fn are_the_two_sides(&self, ways: &[Candidate]) -> bool {
        let ([a, b], true) = (ways, self.step.sides.both()) else { return false };
        let mirror = Mirror::of_face(self.model, self.model.order[0], self.axis);
        mirror.is_some_and(|m| m.are_images(&a.line, &b.line, HINGE_GAP_M))
    }

    /// The way whose moving side lies to the left, or lower where none does.
    fn leftmost(&self, ways: Vec<Candidate>) -> Option<Candidate> {
        let towards = |c: &Candidate| {
            let normal = c.fold.line.dir.perp();
            self.mirror.map_or(normal, |m| m.direction_back(normal))
        };
        ways.into_iter().reduce(|best, way| {
            let (a, b) = (towards(&best), towards(&way));
            let level = (a.x - b.x).abs() < LEVEL;
            let better = if level { b.y < a.y } else { b.x < a.x };
            if better { way } else { best }
        })
    }

    fn alike_m2(&self) -> f64 {
        ALIKE * self.model.sheet_m[0] * self.model.sheet_m[1]
    }

    /// The step for each crease that can be made, and for each side of one whose sides are both
    /// possible.
    fn each_way(&self, all: &[Result<Candidate, TableLine>]) -> Vec<String> {
        let several = all.len() > 1;
        let way = |(k, one): (usize, &Result<Candidate, TableLine>)| {
            let number = Expr::Number((k + 1) as f64, Unit::None);
            let choice = several.then(|| Choice::Take(number.into()).into());
            let step = FoldStep { choice, ..self.step.clone() };
            match one {
                Err(line) => self.either_side(&step, line),
                Ok(_) => vec![said(&Step::from(step))],
            }
        };
        all.iter().enumerate().flat_map(way).collect()
    }

    /// A step with words that say which side of the crease moves, either way.
    fn either_side(&self, step: &FoldStep, line: &TableLine) -> Vec<String> {
        use Direction::{Down, Left, Right, Up};
        let across = |d: &[Direction; 2]| line.dir.cross(direction(d[0])).abs() > LEVEL;
        let sides = Some([Left, Right]).filter(across).unwrap_or([Down, Up]);
        let moving = |side| {
            let moving = Some(MovingRef::Table(side).into());
            Step::from(FoldStep { moving, ..step.clone() })
        };
        sides.map(|side| said(&moving(side))).to_vec()
    }

    /// Where nothing says which side moves, a flap of one half leaves the other half alone.
    fn one_half(&self, plan: Plan, take: &Take) -> Result<Plan, Refused> {
        match take {
            Take::Flap(flap) if self.step.moving.is_none() && self.folded_in_two() => {
                plan.stays_in_its_half(self.model, flap)
            }
            _ => Ok(plan),
        }
    }
}

/// Creases that lean less than this from level (sine) are level.
const LEVEL: f64 = 1e-9;

/// Area, first and second moments of the paper that moves, all layers, m2, m3, m4: along the crease,
/// and across it away from where it lies.
fn amounts(c: &Candidate, layout: &Layout) -> [f64; 6] {
    let mut sum = [0.0; 6];
    for f in (0..layout.len()).filter(|&f| c.plan.moving()[f]) {
        let part = clip_left(layout.outline(f), &c.fold.line);
        let at = |i: usize| [c.line.along(part[i]), c.fold.line.side(part[i])];
        for i in 2..part.len() {
            // Exact for a triangle: mean of its corners, and of their products with each other.
            let [p, q, r] = [at(0), at(i - 1), at(i)];
            let m2 = ((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])).abs() / 2.0;
            let total = [0, 1].map(|k| p[k] + q[k] + r[k]);
            let product = |j: usize, k: usize| {
                (p[j] * p[k] + q[j] * q[k] + r[j] * r[k] + total[j] * total[k]) / 12.0
            };
            let [s, d] = total.map(|t| t / 3.0);
            let of = [1.0, s, d, product(0, 0), product(0, 1), product(1, 1)];
            sum.iter_mut().zip(of).for_each(|(sum, x)| *sum += m2 * x);
        }
    }
    sum
}

/// Where several creases are refused, paper in the way says most, then tearing; missing the paper
/// says least.
fn keep_worse(kept: &mut Option<Problem>, new: Problem) {
    let says = |p: &Problem| match p {
        Problem::Fold(Refused::Held { .. } | Refused::Joined { .. }) => 2,
        Problem::Fold(Refused::Tears { .. }) => 1,
        _ => 0,
    };
    if kept.as_ref().is_none_or(|old| says(&new) > says(old)) {
        *kept = Some(new);
    }
}

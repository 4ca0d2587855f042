//! The sheet at 1:1 with everything a folder wants to see on it.

mod side;
mod tiles;

use plumbfold::design::diagnostic::Diagnostic;
use plumbfold::fold::exec::FoldRun;
use plumbfold::fold::state::Folded;
use plumbfold::pipeline::{Balanced, FoldOutcome};
use plumbfold::plane::assembly;
use plumbfold_draw::paper::{CreaseRun, crease_runs};
use plumbfold_draw::units::Units;

use crate::guides::{self, Guide, layers_at};
use crate::page::{Page, Paper, same};
use crate::surface::{BendMark, Mark, Surface, bends};
pub use side::Side;

/// All that is printed on a sheet.
pub struct Template<'a> {
    /// Name of the plane.
    pub name: String,
    /// The folded model, whose creases they are.
    pub model: &'a Folded,
    /// Its creases, as seen from the printed side.
    pub runs: Vec<CreaseRun>,
    /// Where the finished plane balances.
    pub balance: Vec<Mark>,
    /// Where trailing edges are bent.
    pub bends: Vec<BendMark>,
    /// Where edges come to lie, if that is wanted.
    pub guides: Vec<Guide>,
    /// Some fold is made where the folder sees the back of the sheet.
    pub needs_back: bool,
    /// What its lengths are told in.
    pub units: Units,
}

/// Which sides of the sheet are printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sides {
    /// The back only where a fold or mark is seen on it.
    #[default]
    AsNeeded,
    /// The front alone.
    Front,
    /// Both.
    Both,
}

impl<'a> Template<'a> {
    /// Of a folded and balanced plane.
    ///
    /// # Errors
    /// A pose that cannot be taken.
    pub fn new(
        folded: &'a FoldOutcome,
        plane: &Balanced,
        units: Units,
    ) -> Result<Self, Diagnostic> {
        let surface = Surface::new(folded)?;
        let model = &*folded.run.folded;
        let (balance, bends) =
            (surface.balance(plane), surface.bends(&bends(&plane.airframe.trims)));
        let behind = |printed: &bool| !*printed;
        let needs_back = seen_on_back(&folded.run)
            || balance.iter().map(|m| &m.printed).any(behind)
            || bends.iter().map(|b| &b.mark.printed).any(behind);
        Ok(Self {
            name: assembly::name(&folded.design),
            model,
            runs: crease_runs(model),
            balance,
            bends,
            guides: Vec::new(),
            needs_back,
            units,
        })
    }

    /// With marks that show after each fold whether its edges lie where they should.
    pub fn guided(mut self, run: &FoldRun) -> Self {
        self.guides = guides::of(run);
        self.needs_back |= self.guides.iter().any(|g| g.marks().iter().any(|m| !m.printed));
        self
    }

    /// Width and height of the sheet, mm.
    pub fn sheet_mm(&self) -> [f64; 2] {
        self.model.sheet_m.map(|m| m * 1e3)
    }

    fn sides(&self, sides: Sides) -> Vec<Side> {
        let back = match sides {
            Sides::AsNeeded => self.needs_back,
            Sides::Front => false,
            Sides::Both => true,
        };
        if back { vec![Side::Front, Side::Back] } else { vec![Side::Front] }
    }

    /// The pages to print: on `paper`, or on the sheet itself where none is given. A sheet larger
    /// than the paper is laid out in tiles.
    pub fn pages(&self, paper: Option<Paper>, sides: Sides) -> Vec<Page> {
        let sides = self.sides(sides);
        let Some(paper) = paper.filter(|p| !same(p.size, self.sheet_mm())) else {
            return sides.iter().map(|&side| side::page(self, side)).collect();
        };
        tiles::pages(self, paper, &sides)
    }

    /// One side as a picture of the sheet at 1:1.
    pub fn svg(&self, side: Side) -> String {
        side::page(self, side).svg()
    }
}

/// Whether some fold is made along a line that the folder sees on the back of the sheet.
fn seen_on_back(run: &FoldRun) -> bool {
    run.steps.iter().enumerate().any(|(i, step)| {
        let before = run.before(i);
        let (ranks, creases) = (before.ranks(), step.passes.iter().flat_map(|p| &p.creases));
        let creases: Vec<usize> = creases.copied().collect();
        let own = step.after.hinges.iter().filter(|h| creases.contains(&h.crease));
        own.into_iter().any(|h| {
            let middle = h.ends[0].lerp(h.ends[1], 0.5);
            let Some(carrier) = before.faces_at(middle).next() else { return false };
            if before.faces[carrier].placement.det() > 0.0 {
                return false;
            }
            let at = before.faces[carrier].placement.apply(middle);
            layers_at(before, at).all(|rank| rank <= ranks[carrier])
        })
    })
}

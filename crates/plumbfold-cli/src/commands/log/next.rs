use plumbfold_stats::compare::in_turn;
use plumbfold_view::log::{Sheet, ToThrow};

use crate::error::Error;
use crate::notebook_file::{NotebookOption, mistyped};
use crate::options::Global;
use crate::report::json;
use crate::system::System;

/// What to throw next: a sheet of throws in random order, fair to each plane
///
/// The planes are thrown in turn, in rounds of one throw each with the order drawn anew, so that
/// practice, a tired arm and a draught meet all alike.
///
/// Examples:
///   plumbfold log next halyard@1 halyard@2
///   plumbfold log next halyard scow gaff --throws 5 --seed 7
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Next {
    /// Planes, as in `plumbfold settle`
    #[arg(required = true)]
    planes: Vec<String>,
    /// Throws of each; as many as it takes to settle the difference seen so far without
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=200))]
    throws: Option<u32>,
    /// Seed of the order; another for each sheet
    #[arg(long, value_name = "N")]
    seed: Option<u64>,
}

/// Throws of each plane where nothing is known: a difference of one deviation shows at 17.
const THROWS: usize = 10;
/// More than that in one go tires the arm.
const THROWS_MOST: usize = 20;

impl Next {
    pub fn run(
        &self,
        book: &NotebookOption,
        global: &Global,
        system: &mut System,
    ) -> Result<(), Error> {
        let shelf = match self.throws {
            Some(_) => None,
            None => Some(book.shelf()?),
        };
        let needed = || {
            let [a, b] = &self.planes[..] else { return Ok(None) };
            let Some(shelf) = &shelf else { return Ok(None) };
            let measure = plumbfold_stats::results::Measure::Distance;
            let (a, b) = (shelf.select(a).map_err(mistyped)?, shelf.select(b).map_err(mistyped)?);
            let (va, vb) = (a.values(measure), b.values(measure));
            if va.len() < 2 || vb.len() < 2 {
                return Ok(None);
            }
            let level = plumbfold_stats::compare::LEVEL;
            let all = plumbfold_stats::compare::throws_to_settle(&va, &vb, level);
            Ok(all.map(|n| (n, n.saturating_sub(va.len().min(vb.len())))))
        };
        let (each, why) = match self.throws {
            Some(n) => (n as usize, String::new()),
            None => match needed()? {
                Some((n, more)) if more > 0 => (
                    more.min(THROWS_MOST),
                    format!(
                        " If the difference is as large as it looks, {n} throws of each show it four \
                         times out of five: {more} more."
                    ),
                ),
                _ => (THROWS, String::new()),
            },
        };
        // A sheet that is not asked to be a certain one is a new one each time.
        let seed = self.seed.unwrap_or_else(crate::system::any_number);
        let order = in_turn(self.planes.len(), each, seed);
        let throws: Vec<ToThrow> = order
            .into_iter()
            .enumerate()
            .map(|(n, k)| ToThrow { number: n + 1, plane: self.planes[k].clone() })
            .collect();
        let said = format!(
            "{} throws, {each} of each, in rounds with the order drawn by lot: practice, a tired \
             arm and a draught meet all alike. Nobody stands in front of the thrower.{why}",
            throws.len()
        );
        let sheet = Sheet { said, seed, throws };
        if global.json {
            return json::answer(system, &sheet);
        }
        let mut text = format!("{}\n\n", sheet.said);
        let width = self.planes.iter().map(|p| p.chars().count()).max().unwrap_or(0);
        for t in &sheet.throws {
            text += &format!(
                "{:>4}  {:<width$}   ______ m   ______ s   ______________\n",
                t.number, t.plane
            );
        }
        text += &format!("\n(--seed {seed} prints this sheet again)\n");
        system.answer(&text)
    }
}

use std::path::PathBuf;

use plumbfold::air::Air;
use plumbfold::flight::throw::Hall;
use plumbfold::pipeline::ThrowChange;
use plumbfold_stats::calibration::Model;
use plumbfold_stats::calibration::teach::{Lesson, lessons};
use plumbfold_stats::compare::in_turn;
use plumbfold_stats::record::holding;
use plumbfold_stats::results::{Measure, Shelf};
use plumbfold_stats::typed::alike;
use plumbfold_view::log::{Sheet, ToThrow};
use plumbfold_view::settle::{MANY, Settle};

use super::Call;
use crate::calibrated::of_plane;
use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flown::flown;
use crate::notebook_file::mistyped;
use crate::report::{Rows, json};

/// What to throw next: a sheet of throws in random order, fair to each plane
///
/// The planes are thrown in turn, in rounds of one throw each with the order
/// drawn anew, so that practice, a tired arm and a draught meet all alike.
///
/// Examples:
///   plumbfold log next halyard@1 halyard@2
///   plumbfold log next halyard scow gaff --throws 5 --seed 7
///   plumbfold log next --teach designs/halyard.plane      (which throws say most of it)
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Next {
    /// Planes, as in `plumbfold settle`
    #[arg(required_unless_present = "teach")]
    planes: Vec<String>,
    /// Throws of this design that would teach most about it, for `plumbfold calibrate`
    #[arg(long, value_name = "DESIGN", conflicts_with = "planes")]
    teach: Option<PathBuf>,
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
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        if let Some(path) = &self.teach {
            return self.teach(path, call);
        }
        for (k, plane) in self.planes.iter().enumerate() {
            if self.planes[..k].iter().any(|p| alike(p.trim(), plane.trim())) {
                return Err(Error::usage(format!(
                    "`{plane}` is named twice, and needs another beside it"
                ))
                .hint("name two planes, or two versions, such as halyard@1 halyard@2"));
            }
        }
        let (each, why) = match self.throws {
            Some(n) => (n as usize, String::new()),
            None => self.needed(call)?.unwrap_or((THROWS, String::new())),
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
        show(&Sheet { said, seed, throws }, call)
    }

    /// Throws of each of two planes that settle which flies further, as `settle` says, and why so many.
    fn needed(&self, call: &Call<'_>) -> Result<Option<(usize, String)>, Error> {
        let [a, b] = &self.planes[..] else { return Ok(None) };
        let entries = call.book.entries()?;
        let holding = holding(&entries);
        let shelf = Shelf::new(&holding);
        let (a, b) = (shelf.select(a).map_err(mistyped)?, shelf.select(b).map_err(mistyped)?);
        let settled = Settle::new(&holding, &shelf, [&a, &b], Measure::Distance, 1);
        let Ok((settle, _)) = settled else { return Ok(None) };
        let Some(n) = settle.throws_needed.filter(|n| *n <= MANY) else { return Ok(None) };
        Ok(match settle.more() {
            0 => None,
            more => {
                let part = match more > THROWS_MOST {
                    true => format!(", {THROWS_MOST} of them here: more in one go tire the arm"),
                    false => String::new(),
                };
                let why = format!(
                    " If the difference is as large as it looks, about {n} throws of each show it \
                     four times out of five: {more} more{part}."
                );
                Some((more.min(THROWS_MOST), why))
            }
        })
    }

    /// The two kinds of throw that would teach most, in turn.
    fn teach(&self, path: &std::path::Path, call: &mut Call<'_>) -> Result<(), Error> {
        let file = DesignFile::open(path, call.global, call.system)?;
        let change = ThrowChange::default();
        let flown = flown(&file, &change, &Air::indoors(), Hall::default(), call.system)?;
        let name = file.name();
        let fitted = of_plane(&call.book.entries_if_any()?, &name);
        let each = self.throws.map_or(THROWS, |n| n as usize);
        let seed = self.seed.unwrap_or_else(crate::system::any_number);
        let lessons = lessons(&flown, fitted.as_ref(), each, 1);
        let [speed, elevation] = flown.meant();
        let words = |l: &Lesson| {
            let up = (elevation + l.elevation_rad).to_degrees();
            let slope = if up.abs() < 0.5 { "level".to_owned() } else { format!("{up:.0} deg up") };
            format!("{name} at {:.1} m/s, {slope}", speed * l.speed)
        };
        let best: Vec<String> = lessons.iter().take(2).map(words).collect();
        let known = match fitted {
            Some(_) => "beyond what its calibration knows",
            None => "of plane and hand, of which nothing is fitted yet",
        };
        let bits: Vec<String> =
            lessons.iter().map(|l| format!("{} {:.1}", words(l), l.bits)).collect();
        let said = format!(
            "{each} throws of each kind would teach most {known}. Bits that {each} throws tell: {}. \
             A film of the release tells the hand apart from the plane, which no distance does. \
             Nobody stands in front of the thrower.",
            bits.join("; ")
        );
        let order = in_turn(best.len(), each, seed).into_iter().enumerate();
        let throws =
            order.map(|(n, k)| ToThrow { number: n + 1, plane: best[k].clone() }).collect();
        show(&Sheet { said, seed, throws }, call)
    }
}

/// Prints the sheet.
fn show(sheet: &Sheet, call: &mut Call<'_>) -> Result<(), Error> {
    if call.global.json {
        return json::answer(call.system, sheet);
    }
    let mut rows = Rows::titled("What to throw next").paragraph(&sheet.said).gap();
    let width = sheet.throws.iter().map(|t| t.plane.chars().count()).max().unwrap_or(0);
    let lines: Vec<String> = sheet
        .throws
        .iter()
        .map(|t| {
            let (n, plane) = (t.number, &t.plane);
            format!("{n:>4}  {plane:<width$}   ______ m   ______ s   ______________")
        })
        .collect();
    rows = rows.drawn(&lines).gap();
    call.system.report(&rows.paragraph(&format!("--seed {} prints this sheet again", sheet.seed)))
}

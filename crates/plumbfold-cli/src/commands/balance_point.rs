use std::path::PathBuf;

use plumbfold_trace::ask::{Balanced, Spot};
use plumbfold_trace::balance::{EDGE_SD_MM, Measure, Support, locate};
use plumbfold_trace::polygon::Pt;
use plumbfold_trace::shares::Measured;
use plumbfold_trace::words;
use plumbfold_view::balance_point as view;

use crate::commands::trace::two_supports;
use crate::design_file::DesignFile;
use crate::error::Error;
use crate::measured::within;
use crate::options::Global;
use crate::report::{json::tell, trace as report};
use crate::system::System;

/// Find a balance point from what a hand measured: an edge, a plumb line, a kitchen scale
///
/// Places are in mm on the plane: right of its line of symmetry, then behind
/// the nose (left is less than nothing: `-40,80`). Lay the plane over a
/// straight edge and give two places of that edge; or hang it from a pin and
/// give the pin and another place of the plumb line; or lay it on two supports
/// across the plane and give the mass on each and its place behind the nose.
/// Several are put together by least squares, each as surely as it is known,
/// and it is told when they disagree. With a plane, also the share of its wing
/// ahead of that point.
///
/// Examples:
///   plumbfold balance-point --line "-40,80 40,80.5" --line "-40,60 40,101"
///   plumbfold balance-point --plumb "hang 70,150 through 0,82"
///   plumbfold balance-point found.plane --scale "2.9 g at 40 mm" --scale "2.1 g at 160 mm"
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct BalancePoint {
    /// Plane to tell the share of the wing for
    file: Option<PathBuf>,
    /// Balanced over an edge through two places; may be given several times
    #[arg(long = "line", value_name = "PLACE PLACE", value_parser = words::balance_line, allow_hyphen_values = true)]
    lines: Vec<Balanced>,
    /// Hung from a place, the plumb line through another; may be given several times
    #[arg(long = "plumb", value_name = "hang PLACE through PLACE", value_parser = words::plumb, allow_hyphen_values = true)]
    plumbs: Vec<Balanced>,
    /// Mass on one of two supports and its place behind the nose; given twice
    #[arg(long = "scale", value_name = "MASS at MM", value_parser = words::support, allow_hyphen_values = true)]
    supports: Vec<Support>,
    /// How surely you balance on an edge, mm
    #[arg(long, value_name = "MM", value_parser = within, allow_negative_numbers = true, default_value_t = EDGE_SD_MM)]
    within: f64,
    /// The plane is not symmetric: its balance point may lie anywhere
    #[arg(long)]
    lopsided: bool,
}

impl BalancePoint {
    /// Puts the measurements together.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let place = |s: Spot| -> Pt {
            let (Spot::Photo(p) | Spot::Sheet(p)) = s;
            p
        };
        let mut measures: Vec<Measure> = Vec::new();
        for m in self.lines.iter().chain(&self.plumbs) {
            match *m {
                Balanced::Line(a, b) => {
                    measures.push(Measure::Line { a: place(a), b: place(b), sd_mm: self.within })
                }
                Balanced::Plumb(a, b) => {
                    measures.push(Measure::Plumb { hang: place(a), through: place(b) });
                }
                _ => {}
            }
        }
        match self.supports.as_slice() {
            [] => {}
            [a, b] => measures.push(Measure::Weighed([*a, *b])),
            _ => return Err(two_supports()),
        }
        let found = locate(&measures, !self.lopsided).map_err(|e| {
            let hint = match measures.is_empty() {
                true => "such as --line \"-40,80 40,80.5\"",
                false => "measure across the plane, or give another line that crosses the first",
            };
            Error::input(e.to_string()).hint(hint)
        })?;
        let point = view::BalancePoint::new(&found);
        let share = match &self.file {
            None => None,
            Some(path) => {
                let plane = DesignFile::open(path, global, system)?.balance(system)?;
                let [mm, sd] = [found.at.y, found.sd[1]];
                let share = |behind_mm: f64| plane.planform.fraction_ahead(behind_mm * 1e-3);
                // Half the change over two standard deviations: the wing's edges may be bent.
                let spread = (share(mm + sd) - share(mm - sd)) / 2.0;
                Some(Measured { value: share(mm), sd: spread })
            }
        };
        let answer = view::Answer { point, area_ahead_fraction: share.map(Into::into) };
        tell(&answer, || report::point(&answer), global, system)
    }
}

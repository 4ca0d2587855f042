use plumbfold_stats::record::holding;
use plumbfold_stats::results::{Measure, Shelf};
use plumbfold_view::said::fixed;
use plumbfold_view::settle as view;

use crate::error::Error;
use crate::notebook_file::{NotebookOption, mistyped};
use crate::options::Global;
use crate::report::{Rows, json::tell};
use crate::system::System;

/// Real or luck: does B fly further than A, or did the hand?
///
/// Throws are exchanged between the two at random, within each session, and it
/// is counted how often the means then differ as much (a permutation test).
/// Welch's test and ranks stand beside it. Where both were thrown in some
/// session, only such sessions count. Each look is kept in the notebook: who
/// looks again and again must ask for more.
///
/// Examples:
///   plumbfold settle halyard@1 halyard@2
///   plumbfold settle "halyard:edges flat" "halyard:edges 1 mm up" --time
///   plumbfold settle scow-1 scow-2 --json
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Settle {
    /// A plane (halyard), version (halyard@2), trim (halyard:edges up) or copy
    a: String,
    /// What it is compared with
    b: String,
    /// Compare times aloft in place of distances
    #[arg(long)]
    time: bool,
    /// Seed of the random exchanges
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Do not keep this look in the notebook
    #[arg(long)]
    no_look: bool,
    #[command(flatten)]
    notebook: NotebookOption,
}

impl Settle {
    /// Compares, answers, keeps the look.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let entries = self.notebook.entries()?;
        let holding = holding(&entries);
        let shelf = Shelf::new(&holding);
        let measure = if self.time { Measure::Time } else { Measure::Distance };
        let [a, b] = [&self.a, &self.b].map(|s| shelf.select(s).map_err(mistyped));
        let (a, b) = (a?, b?);
        let (answer, look) = view::Settle::new(&holding, &shelf, [&a, &b], measure, self.seed)
            .map_err(|e| {
                let hint = match e.share {
                    true => "name two versions, as in `plumbfold settle halyard@1 halyard@2`",
                    false => "`plumbfold log next A B` prints what to throw",
                };
                Error::input(e.why).hint(hint)
            })?;
        // A notebook that cannot be written still answers.
        if !self.no_look
            && let Err(e) = self.notebook.append(vec![(None, look.into())])
        {
            system.message(&format!("this look is not kept: {}\n", e.message));
        }
        tell(&answer, || report(&answer, measure), global, system)
    }
}

fn report(s: &view::Settle, measure: Measure) -> Rows {
    let unit = measure.unit();
    let mut rows =
        Rows::titled(&format!("{} against {}", s.a.name, s.b.name)).paragraph(&s.said).gap();
    for (k, warning) in s.warnings.iter().enumerate() {
        rows = rows.row(if k == 0 { "but" } else { "" }, warning);
    }
    if !s.warnings.is_empty() {
        rows = rows.gap();
    }
    for side in [&s.a, &s.b] {
        let t = &side.throws;
        let scatter = t.sd.map_or(String::new(), |sd| format!(", scatter {} {unit}", fixed(sd, 2)));
        let text = format!("{} throws, mean {} {unit}{scatter}", t.count, fixed(t.mean, 2));
        rows = rows.row(&side.name, &text);
    }
    let orders = match (s.exact, s.within_sessions) {
        (true, false) => format!("all {} orders", s.orders),
        (true, true) => format!("all {} orders within sessions", s.orders),
        (false, false) => format!("{} orders drawn", s.orders),
        (false, true) => format!("{} orders within sessions drawn", s.orders),
    };
    rows = rows
        .row("exchanged", &format!("p {} ({orders}); real below {}", shown(s.p), fixed(s.level, 4)))
        .row(
            "Welch",
            &format!(
                "t = {}, {} degrees of freedom, p {}",
                fixed(s.welch_t, 2),
                fixed(s.welch_freedom, 1),
                shown(s.welch_p)
            ),
        );
    if let Some(p) = s.rank_p {
        rows = rows.row("ranks", &format!("p {}", shown(p)));
    }
    if let (Some(g), Some([low, high])) = (s.effect, s.effect_interval) {
        rows = rows.row(
            "size",
            &format!(
                "{} standard deviations of a throw ({} to {})",
                fixed(g, 2),
                fixed(low, 2),
                fixed(high, 2)
            ),
        );
    }
    rows
}

/// A probability as it is printed; none is told as nothing.
fn shown(p: f64) -> String {
    if p < 1e-4 { "< 0.0001".to_owned() } else { format!("= {}", fixed(p, 4)) }
}

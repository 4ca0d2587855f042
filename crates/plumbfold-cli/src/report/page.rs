//! A plane on one page: verdict and cause, then balance, then the rest.

use plumbfold::pipeline::Balanced;
use plumbfold_view::balance::Balance;
use plumbfold_view::flight::InTheAir;

use super::{Amount, Rows, balance, verdict};

/// The page.
pub fn page(plane: &Balanced, b: &Balance, a: &InTheAir, amount: Amount) -> Rows {
    let mut rows = Rows::titled(&b.name);
    if amount == Amount::Full {
        rows = balance::about(rows, plane);
    }
    let rows = verdict::lead(rows.gap(), a).gap();
    let rows = balance::against(rows, b, &a.verdict).gap();
    let rows = verdict::bands(rows, a, amount).gap();
    balance::made(rows, plane, b, amount)
}

/// One line, for loops.
pub fn brief(name: &str, headline: &str, b: &Balance) -> String {
    format!(
        "{name}: {headline}; balances {:.1} mm behind the nose, {:.1} % ahead\n",
        b.cg.behind_nose_mm,
        b.area_ahead_fraction * 100.0
    )
}

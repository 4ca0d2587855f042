//! A plane before or after a change, in one sentence.

use plumbfold_view::numbers::Numbers;
use plumbfold_view::said::fixed;

/// In one sentence.
pub fn says(n: &Numbers) -> String {
    format!(
        "{}; balances {} mm behind the nose, {} % of the wing ahead",
        n.verdict(),
        fixed(n.cg_behind_nose_mm, 1),
        fixed(n.area_ahead_fraction * 100.0, 1)
    )
}

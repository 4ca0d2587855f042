//! Questions that run the whole flow many times: series of a design, what would mend it, how
//! exactly it must be folded, the best values of its lets, and the trade's facts held against it.

pub mod usual;
pub mod series;
pub mod remedy;
pub mod why;
pub mod tolerance;
pub mod best;
pub mod trade_facts;
pub mod raised_edge;

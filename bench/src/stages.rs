//! Where the time of text to balance goes.

use plumbfold::pipeline::{self, Settings};

use crate::table::{Row, seconds};

/// One row a stage, without promises.
pub fn rows(text: &str) -> Vec<Row> {
    let settings = Settings::default();
    let folded = pipeline::source(text, &settings).expect("the bench design folds");
    let read = seconds(|| pipeline::read(text, &settings));
    let fold = seconds(|| pipeline::fold(text, &settings)) - read;
    let copy = seconds(|| folded.clone());
    let rest = seconds(|| pipeline::balance_source(folded.clone())) - copy;
    [("read", read), ("fold", fold), ("pose and balance", rest)]
        .map(|(what, seconds)| Row {
            what: format!("  of which {what}"),
            measured: seconds * 1e6,
            unit: "us",
            limit: None,
            reference: None,
        })
        .into()
}

use std::path::PathBuf;

use plumbfold::study::why::{Symptom, why};
use plumbfold_view::said::of_the_time;
use plumbfold_view::why as view;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::report::{Rows, json::tell};
use crate::system::System;

/// Mine does this: what in the plane or the throw would explain it, each with a test and a cure
///
/// Says first how often the design itself does it, by its text. Then everything
/// that can be amiss (balance, bent edges, the throw) is made worse, one at a
/// time. Told is what makes the plane do what was seen clearly more often, the
/// most probable first, and how often it then does.
///
/// Examples:
///   plumbfold why my.plane --it stalls
///   plumbfold why my.plane --it turns left
///   plumbfold why my.plane --it dives --speed 4
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Why {
    /// Design; `-` is standard input
    file: PathBuf,
    /// What it does: stalls, waves, dives, turns left, turns right, drops or tumbles
    #[arg(long, value_name = "WHAT", required = true, num_args = 1..=2)]
    it: Vec<String>,
    #[command(flatten)]
    flight: FlightOptions,
}

/// Most causes told.
const TOLD: usize = 6;

impl Why {
    /// Flies what is amiss, answers.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let asked = self.it.join(" ");
        let symptom = view::symptom(&asked).ok_or_else(|| {
            let all: Vec<&str> = Symptom::EVERY.iter().map(|s| s.words()).collect();
            Error::usage(format!("`{asked}` is nothing that is known of a plane"))
                .hint(format!("--it takes {}", all.join(", ")))
        })?;
        let file = DesignFile::open(&self.file, global, system)?;
        let (plane, reasons) = file.explained(&self.flight, system)?;
        let found = why(&plane, symptom, &file.conditions(&self.flight, system)?);
        let answer = view::Why::new(&plane, &reasons, &found);
        tell(&answer, || report(&answer), global, system)
    }
}

fn report(w: &view::Why) -> Rows {
    let mut rows = Rows::titled(&format!("{}: it {}", w.name, w.symptom)).paragraph(&w.said).gap();
    for (k, c) in w.causes.iter().take(TOLD).enumerate() {
        rows = rows
            .strong_row(
                &format!("{}", k + 1),
                &format!("{} ({}; then {})", c.what, c.how_likely, of_the_time(c.share)),
            )
            .row("", &format!("test: {}", c.test))
            .row("", &format!("cure: {}", c.cure));
    }
    if w.causes.is_empty() {
        rows = rows.paragraph(
            "Nothing that a hand or a sheet does, up to eight times what is usual, makes this \
             plane do that: look whether it was folded as the text says.",
        );
    }
    rows
}

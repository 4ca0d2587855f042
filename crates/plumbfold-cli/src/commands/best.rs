use std::path::PathBuf;

use plumbfold::numeric::search::Stop;
use plumbfold::study::best::{Best as Found, Wish};
use plumbfold_view::best as view;
use plumbfold_view::numbers::Numbers;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::report::state::says;
use crate::report::{Rows, json};
use crate::system::{Overwrite, System};

/// Look for the best values of some lets, for distance, time in the air, or both
///
/// Searches the whole ranges of the lets by folding and flying some hundred
/// planes, each as hands would fold and throw it a little differently, so that
/// a let that wins on a knife edge loses. A flight that does not end in a glide
/// counts for nothing. The hall stops the flight at its wall and ceiling.
///
/// Examples:
///   plumbfold best designs/halyard.plane --for time --lets brow,reflex
///   plumbfold best designs/scow.plane --for distance --hall-length 12 --hall-height 3 -o far.plane
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Best {
    /// Design; `-` is standard input
    file: PathBuf,
    /// What is wanted
    #[arg(long = "for", value_name = "WISH", default_value = "distance")]
    wish: For,
    /// Lets that may change, at most six; all with a range without
    #[arg(long, value_name = "LETS", value_delimiter = ',')]
    lets: Vec<String>,
    /// File for the best design; `-` is standard output, in place of the report
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    #[command(flatten)]
    flight: FlightOptions,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum For {
    /// To fly far
    Distance,
    /// To stay up long
    Time,
    /// Both alike
    Both,
}

impl From<For> for Wish {
    fn from(f: For) -> Self {
        match f {
            For::Distance => Self::Distance,
            For::Time => Self::Time,
            For::Both => Self::Both,
        }
    }
}

impl Best {
    /// Searches; shows and writes.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let file = DesignFile::open(&self.file, global, system)?;
        let found = file.best(&self.flight, &self.lets, self.wish.into(), system)?;
        let to_answer = self.output.as_deref().is_some_and(|p| p.as_os_str() == "-");
        if let Some(path) = self.output.as_ref().filter(|_| !to_answer) {
            system.write(path, found.text.as_bytes(), Overwrite::Never)?;
            system.message(&format!("{} written\n", path.display()));
        }
        let answer = view::Best::new(&found, self.wish.into());
        if to_answer {
            system.answer(&found.text)?;
        } else if global.json {
            json::answer(system, &answer)?;
        } else {
            system.report(&self.report(&file.name(), &found, &answer))?;
        }
        if found.stop == Stop::Asked {
            return Err(Error::stopped("the best found by then"));
        }
        Ok(())
    }

    fn report(&self, name: &str, found: &Found, answer: &view::Best) -> Rows {
        let what = match self.wish {
            For::Distance => "mean distance of all throws, a throw that does not glide counting 0",
            For::Time => "mean time of all throws, a throw that does not glide counting 0",
            For::Both => "mean of distance and time together",
        };
        let says =
            |s: &Numbers| format!("{}; thrown exactly so it flies {:.1} m", says(s), s.distance_m);
        let mut rows = Rows::titled(&format!("Best {name}")).row("now", &says(&answer.before));
        for t in &found.lets {
            let (to, from) = (t.dial.say(t.to, 1), t.dial.say(t.dial.value, 2));
            let note = t.dial.note.as_deref().map_or(String::new(), |n| format!(" ({n})"));
            let text = if to == from { format!("stays {to}") } else { format!("{to}, not {from}") };
            rows = rows.strong_row(&t.dial.name, &format!("{text}{note}"));
        }
        rows = rows.row("then", &says(&answer.after)).row(
            "score",
            &format!(
                "{:.2} {u} instead of {:.2} {u}: {what}, over {} flights that the search has not \
                 seen",
                found.score[1],
                found.score[0],
                answer.score_flights,
                u = answer.unit
            ),
        );
        let gain = found.score[1] - found.score[0];
        let how_sure = match answer.may_be_luck {
            _ if gain == 0.0 => "nothing was found that is better on those flights".to_owned(),
            luck => format!(
                "{gain:.2} {u} more, give or take {:.2} {u} (twice its standard error): {}",
                2.0 * found.error,
                if luck { "that may be luck" } else { "more than luck" },
                u = answer.unit
            ),
        };
        rows = rows.row("", &how_sure);
        let ended = match found.stop {
            Stop::Converged => "the search has drawn together",
            Stop::Generations => "the search had not quite drawn together",
            Stop::Asked => "the search was stopped",
        };
        rows.row("search", &format!("{} planes folded and flown; {ended}", found.evaluations))
    }
}

//! One let in steps.

use plumbfold::pipeline::{Balanced, Problems, Settings};
use plumbfold::study::series::{Along, VALUES_MAX, variants};
use plumbfold::verdict::Behaviour as Kind;
use plumbfold::verdict::aircraft::Wanted;
use plumbfold_draw::series::{self, Track};
use plumbfold_draw::style::Look;
use serde::{Deserialize, Serialize};

use super::Depth;
use super::analyse::Numbers;
use super::flight::Flown;
use crate::behaviour::Behaviour;

/// What the page asks.
#[derive(Debug, Deserialize)]
pub struct Question {
    text: String,
    /// Name of the let.
    #[serde(rename = "let")]
    name: String,
    /// In the usual unit of the let.
    values: Vec<f64>,
}

/// The answer.
#[derive(Serialize)]
pub struct Answer {
    points: Vec<Point>,
}

#[derive(Serialize)]
struct Point {
    value: f64,
    /// None where the plane cannot be folded so.
    numbers: Option<Numbers>,
    behaviour: Option<Behaviour>,
}

/// Answers a question, as long as that is wanted.
pub fn series(question: &Question, wanted: Wanted<'_>) -> Result<Answer, String> {
    if question.values.len() > VALUES_MAX {
        return Err("too many values in one series".to_owned());
    }
    let said = |p: Problems| p.diagnostics.first().map_or_else(String::new, |d| d.message.clone());
    let settings = Settings::default();
    let along = Along::read(&question.name, &question.text, &settings).map_err(said)?;
    let along = Along { values: question.values.clone(), ..along };
    let look = |b: Balanced| {
        let flown = Flown::new(&b, Depth::Counted, wanted).ok();
        let behaviour = flown.as_ref().map(Flown::behaviour);
        Ok((Numbers::new(&b, flown.as_ref()), behaviour))
    };
    let all =
        variants(&question.text, &settings, &[along], &look, &|_, _| wanted()).map_err(said)?;
    let points = question.values.iter().zip(all).map(|(&value, variant)| match variant.outcome {
        Ok((numbers, behaviour)) => Point { value, numbers: Some(numbers), behaviour },
        Err(_) => Point { value, numbers: None, behaviour: None },
    });
    Ok(Answer { points: points.collect() })
}

/// A chart the page asks for, in the words and units of its reader.
#[derive(Debug, Deserialize)]
pub struct Plot {
    /// The let, with its unit, its values in growing order, and the one the design has now.
    along: String,
    at: Vec<f64>,
    now: f64,
    /// What the plane does at each, where it can be folded so.
    behaviours: Vec<Option<String>>,
    /// The number followed, with its unit, and its values where they are known.
    label: String,
    values: Vec<Option<f64>>,
}

/// The chart.
#[derive(Serialize)]
pub struct Plotted {
    picture: String,
}

/// Draws a series.
pub fn plot(p: &Plot) -> Result<Plotted, &'static str> {
    let n = p.at.len();
    if n > VALUES_MAX || p.values.len() != n || p.behaviours.len() != n {
        return Err("one value and one behaviour belong to each step of a series");
    }
    let named = |code: &String| Kind::EVERY.into_iter().find(|b| b.code() == code);
    let behaviours: Vec<_> = p.behaviours.iter().map(|b| b.as_ref().and_then(named)).collect();
    let values: Vec<f64> = p.values.iter().map(|v| v.unwrap_or(f64::NAN)).collect();
    let shown = series::Series {
        along: &p.along,
        at: &p.at,
        now: Some(p.now),
        planes: &[],
        behaviours: &behaviours,
        numbers: &[],
        numbers_are: "",
        tracks: &[Track { label: &p.label, values: &values, wanted: None }],
    };
    Ok(Plotted { picture: series::series(&Look::page("series"), &p.label, &shown) })
}

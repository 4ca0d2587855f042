//! One let in steps.

use plumbfold::pipeline::{self, Settings};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::analyse::{Depth, Numbers};
use super::change::{self, Change};
use super::flown::{Flown, Plane};

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
    behaviour: Option<&'static str>,
}

/// Most values in one series.
const VALUES_MAX: usize = 60;

/// Answers a question.
pub fn series(question: &Question) -> Result<Answer, String> {
    if question.values.len() > VALUES_MAX {
        return Err("too many values in one series".to_owned());
    }
    let points = question.values.par_iter().map(|&value| {
        let change = Change::Let { name: question.name.clone(), value };
        let text = change::apply(&question.text, &change)?;
        let Ok(b) = pipeline::balance(&text, &Settings::default()) else {
            return Ok(Point { value, numbers: None, behaviour: None });
        };
        let plane = Plane { airframe: &b.airframe, mass: &b.mass, throw: b.throw.into() };
        let flown = Flown::new(&plane, Depth::Quick).ok();
        Ok(Point {
            value,
            behaviour: flown.as_ref().map(Flown::behaviour),
            numbers: Some(Numbers::new(&b, flown.as_ref())),
        })
    });
    let points: Result<Vec<Point>, String> = points.collect();
    Ok(Answer { points: points? })
}

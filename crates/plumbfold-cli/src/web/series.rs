//! One let in steps.

use plumbfold::pipeline::{Balanced, Problems, Settings};
use plumbfold::series::{Along, VALUES_MAX, variants};
use serde::{Deserialize, Serialize};

use super::analyse::{Depth, Numbers};
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

/// Answers a question.
pub fn series(question: &Question) -> Result<Answer, String> {
    if question.values.len() > VALUES_MAX {
        return Err("too many values in one series".to_owned());
    }
    let said = |p: Problems| p.diagnostics.first().map_or_else(String::new, |d| d.message.clone());
    let settings = Settings::default();
    let along = Along::read(&question.name, &question.text, &settings).map_err(said)?;
    let along = Along { values: question.values.clone(), ..along };
    let look = |b: Balanced| {
        let plane = Plane { airframe: &b.airframe, mass: &b.mass, throw: b.throw.into() };
        let flown = Flown::new(&plane, Depth::Quick).ok();
        let behaviour = flown.as_ref().map(Flown::behaviour);
        Ok((Numbers::new(&b, flown.as_ref()), behaviour))
    };
    let all = variants(&question.text, &settings, &[along], &look, &|_, _| {}).map_err(said)?;
    let points = question.values.iter().zip(all).map(|(&value, variant)| match variant.outcome {
        Ok((numbers, behaviour)) => Point { value, numbers: Some(numbers), behaviour },
        Err(_) => Point { value, numbers: None, behaviour: None },
    });
    Ok(Answer { points: points.collect() })
}

//! A photo of a finished plane, traced. The question stands before the photo in one body: its length
//! in four bytes (least first), the question as JSON, then the file as it came from the camera.

use plumbfold::design::defaults::THROW_SPEED_M_S;
use plumbfold::paper::named_size;
use plumbfold::pipeline::{self, Settings};
use plumbfold::verdict::aircraft::Wanted;
use plumbfold_trace::ask::{Ask, Balanced, Edit, Spot};
use plumbfold_trace::error::{ByHand, TraceError};
use plumbfold_trace::ground::Ground;
use plumbfold_trace::photo::Photo;
use plumbfold_trace::polygon::Pt;
use plumbfold_trace::view::Lens;
use plumbfold_trace::{Seen, trace_seen, words};
use plumbfold_view::picture::traced::{border, marks, reached};
use plumbfold_view::trace::{A4_SHEET_G, Told, Trace};
use serde::{Deserialize, Serialize};

use crate::answer::{Answer, with};

/// What the page asks. Places are in dots of the upright photo.
#[derive(Debug, Deserialize)]
struct Question {
    /// Name of the plane.
    name: String,
    /// The sheet it lies on, by its name.
    sheet: String,
    /// Corners of the sheet, in order round it.
    corners: Option<[[f64; 2]; 4]>,
    /// Distortion of the lens, as the sheet alone told it.
    lens: Option<[f64; 2]>,
    /// Corners of the plane, in order round it, drawn by hand.
    outline: Option<Vec<[f64; 2]>>,
    /// Difference of the plane from the paper, L*a*b*.
    threshold: Option<f64>,
    nose: Option<[f64; 2]>,
    /// The line of symmetry, from nose to tail.
    axis: Option<[[f64; 2]; 2]>,
    #[serde(default)]
    edits: Vec<Correction>,
    /// Where edges it was balanced on leave the paper.
    #[serde(default)]
    lines: Vec<[[f64; 2]; 2]>,
    /// Where it hung, and another place of the plumb line.
    #[serde(default)]
    plumbs: Vec<[[f64; 2]; 2]>,
    /// What two supports carry and where they stand, as people say it: `2.9 g at 40 mm`. Two or none.
    #[serde(default)]
    supports: Vec<String>,
    /// Only the sheet is looked for: the first, quick part of the work.
    #[serde(default)]
    sheet_only: bool,
    #[serde(default)]
    underside: bool,
    /// Mass, g; without it that of one sheet of A4.
    mass_g: Option<f64>,
    #[serde(default)]
    dihedral_deg: f64,
    /// Depth of the keel, mm, where it was measured.
    keel_mm: Option<f64>,
    /// Speed of the throw, m/s.
    speed_mps: Option<f64>,
}

/// A correction of the outline as it was found, whose points are counted from 1.
#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Correction {
    Move(usize, [f64; 2]),
    Add(usize, [f64; 2]),
    Drop(usize),
}

/// What was found, and what of it is drawn over the photo, in dots.
#[derive(Serialize)]
struct Found {
    #[serde(flatten)]
    trace: Trace,
    /// Border of the sheet, bent as the lens bends it.
    sheet_dots: Vec<[f64; 2]>,
    outline_dots: Vec<[f64; 2]>,
    /// The part ahead of the balance point.
    ahead_dots: Vec<[f64; 2]>,
    /// The balance point and the ends of the line across the wing through it.
    balance_dots: Option<([f64; 2], [[f64; 2]; 2])>,
}

/// The sheet alone, in dots of the upright photo.
#[derive(Serialize)]
struct Sheet {
    photo_dots: [f64; 2],
    corners: Vec<[f64; 2]>,
    /// Coefficients of the lens that makes its edges straight.
    lens: [f64; 2],
    /// Its border, bent as the lens bends it.
    sheet_dots: Vec<[f64; 2]>,
}

impl Sheet {
    fn new(photo: &Photo, ground: &Ground) -> Self {
        Self {
            photo_dots: photo.size(),
            corners: ground.reference_dots.iter().map(|&p| p.into()).collect(),
            lens: [ground.lens.k1, ground.lens.k2],
            sheet_dots: border(&ground.view, ground.sheet_mm),
        }
    }
}

fn spot([x, y]: [f64; 2]) -> Spot {
    Spot::Photo(Pt::new(x, y))
}

impl Question {
    fn ask(&self) -> Result<Ask, String> {
        let sheet =
            named_size(self.sheet.trim()).ok_or_else(|| format!("`{}` is no sheet", self.sheet))?;
        let mut ask = Ask::of_sheet(sheet.short_m * 1e3, sheet.long_m * 1e3);
        ask.corners = self.corners.map(|c| c.map(|[x, y]| Pt::new(x, y)));
        ask.lens = self.lens.map(|[k1, k2]| Lens { k1, k2 });
        ask.threshold = self.threshold;
        ask.outline =
            self.outline.as_ref().map(|points| points.iter().copied().map(spot).collect());
        if ask.outline.as_ref().is_some_and(|o| !(3..=words::OUTLINE_MAX).contains(&o.len())) {
            return Err("an outline has three corners at least".into());
        }
        ask.nose = self.nose.map(spot);
        ask.axis = self.axis.map(|[nose, tail]| (spot(nose), spot(tail)));
        ask.underside = self.underside;
        let edit = |c: &Correction| match *c {
            Correction::Move(n, at) => Edit::Move(n, spot(at)),
            Correction::Add(n, at) => Edit::Add(n, spot(at)),
            Correction::Drop(n) => Edit::Drop(n),
        };
        ask.edits = self.edits.iter().map(edit).collect();
        let lines = self.lines.iter().map(|[a, b]| Balanced::Line(spot(*a), spot(*b)));
        let plumbs = self.plumbs.iter().map(|[a, b]| Balanced::Plumb(spot(*a), spot(*b)));
        ask.balance = lines.chain(plumbs).collect();
        let supports =
            self.supports.iter().map(|s| words::support(s)).collect::<Result<Vec<_>, _>>()?;
        match supports.as_slice() {
            [] => {}
            [a, b] => ask.balance.push(Balanced::Weighed([*a, *b])),
            _ => return Err("weighing takes two supports".into()),
        }
        Ok(ask)
    }

    fn told(&self) -> Told {
        Told {
            name: self.name.clone(),
            mass_g: self.mass_g.unwrap_or(A4_SHEET_G),
            weighed: self.mass_g.is_some(),
            dihedral_deg: self.dihedral_deg,
            keel_mm: self.keel_mm,
            speed_m_s: self.speed_mps.unwrap_or(THROW_SPEED_M_S),
        }
    }
}

/// Measures the plane in the photo of a body.
pub fn trace(body: &[u8], wanted: Wanted<'_>) -> Answer {
    let Some((question, photo)) = parted(body) else {
        return Answer::message(400, "this question cannot be read: its parts do not fit");
    };
    with(question, |q: Question| {
        let ask = match q.ask() {
            Ok(ask) => ask,
            Err(why) => return Answer::message(422, &why),
        };
        let photo = match Photo::decode(photo) {
            Ok(photo) => photo,
            Err(e) => return Answer::message(422, &said(&e)),
        };
        let mut seen = Seen::default();
        if q.sheet_only {
            return match Ground::seen(&photo, &ask, &mut Vec::new(), &mut seen) {
                Ok(ground) => Answer::json(200, &Sheet::new(&photo, &ground)),
                Err(e) => unfinished(&e, &seen),
            };
        }
        match trace_seen(&photo, &ask, &|_| wanted(), &mut seen) {
            Ok(found) => {
                let told = Trace::new(&q.name, &found, &q.told());
                // What was said of it may not fit what the photo shows.
                match pipeline::balance(&told.text, &Settings::default()) {
                    Ok(_) => {
                        let drawn = marks(&found, &ask);
                        let found = Found {
                            trace: told,
                            sheet_dots: drawn.sheet,
                            outline_dots: drawn.outline,
                            ahead_dots: drawn.ahead,
                            balance_dots: drawn.balance,
                        };
                        Answer::json(200, &found)
                    }
                    Err(problems) => Answer::message(422, &problems.to_string()),
                }
            }
            Err(e) => unfinished(&e, &seen),
        }
    })
}

/// Why a photo cannot be measured, and what was found of it, so that it can be corrected.
fn unfinished(why: &TraceError, seen: &Seen) -> Answer {
    #[derive(Serialize)]
    struct Unfinished {
        message: String,
        /// Corners of the sheet, in dots, found or guessed.
        corners: Vec<[f64; 2]>,
        pieces: Vec<Vec<[f64; 2]>>,
        outline: Vec<[f64; 2]>,
    }
    let reached = reached(seen);
    let message = said(why);
    let (corners, pieces, outline) = (reached.sheet, reached.pieces, reached.outline);
    Answer::json(422, &Unfinished { message, corners, pieces, outline })
}

/// A question and the bytes behind it.
pub fn parted(body: &[u8]) -> Option<(&[u8], &[u8])> {
    let (length, rest) = body.split_first_chunk::<4>()?;
    rest.split_at_checked(u32::from_le_bytes(*length) as usize)
}

/// With what to do about it.
fn said(e: &TraceError) -> String {
    let by_hand = e.by_hand().map(|by_hand| match by_hand {
        ByHand::Corners => "Or drag the blue corners onto those of the sheet",
        ByHand::Outline => "Or press “Outline by hand” and click its corners, one after another",
        ByHand::Axis => "If the outline is right all the same, drag one of its points a little",
        ByHand::Nose => "The nose may be at the other end",
    });
    let capital = |words: &str| {
        let mut letters = words.chars();
        letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect::<String>()
    };
    let help = e.help().map(capital);
    let parts = [Some(e.to_string()), help, by_hand.map(str::to_owned)];
    parts.into_iter().flatten().collect::<Vec<_>>().join(". ")
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;

    fn ask(question: &Value, photo: &[u8]) -> (u16, Value) {
        let question = question.to_string();
        let length = (question.len() as u32).to_le_bytes();
        let body = [&length[..], question.as_bytes(), photo].concat();
        let answer = trace(&body, &|| true);
        (answer.status, serde_json::from_slice(&answer.body).unwrap())
    }
    fn plain() -> Value {
        json!({ "name": "Copy", "sheet": "A4", "speed_mps": 3.0 })
    }

    /// The photo in the docs is rendered: its plane's balance and share are known from its design.
    #[test]
    fn the_photo_of_the_docs_is_measured_as_the_command_line_measures_it() {
        let photo = include_bytes!("../../../docs/pictures/halyard-photo.jpg");
        let mut question = plain();
        question["lines"] = json!([[[860, 428], [873, 749]], [[925, 455], [810, 724]]]);
        question["mass_g"] = json!(4.9);
        question["keel_mm"] = json!(25.0);
        let (status, found) = ask(&question, photo);
        assert_eq!(status, 200, "{found}");
        // The sheet asked for alone is that of the whole answer.
        question["sheet_only"] = json!(true);
        let (_, sheet) = ask(&question, photo);
        question["sheet_only"] = json!(false);
        assert_eq!(sheet["corners"], found["found"]["corners"]);
        assert_eq!(sheet["sheet_dots"], found["sheet_dots"]);
        // With what it told the answer is the same.
        question["corners"] = sheet["corners"].clone();
        question["lens"] = sheet["lens"].clone();
        let (_, again) = ask(&question, photo);
        let areas = [&found, &again].map(|f| f["area_mm2"]["value"].as_f64().unwrap());
        assert!((areas[0] / areas[1] - 1.0).abs() < 1e-4, "{areas:?}");
        question["corners"] = Value::Null;
        let share = found["area_ahead_fraction"]["value"].as_f64().unwrap();
        assert!((0.1..0.5).contains(&share), "{share}");
        assert!(found["text"].as_str().unwrap().contains("measured mass 4.9 g"));
        // Its first corner moved by hand is where it was put.
        let [x, y] = [0, 1].map(|k| found["outline"][0]["in_photo"][k].as_f64().unwrap());
        question["edits"] = json!([{ "move": [1, [x + 3.0, y]] }]);
        let (_, moved) = ask(&question, photo);
        let near = |p: &Value| {
            let at = [0, 1].map(|k| p["in_photo"][k].as_f64().unwrap());
            (at[0] - x - 3.0).hypot(at[1] - y) < 0.5
        };
        assert!(moved["outline"].as_array().unwrap().iter().any(near), "{moved}");
    }

    /// Halyard's copy balances 60.4 mm behind the front of its wing: said by each way alone and by
    /// all together.
    #[test]
    fn plumb_lines_and_scales_find_the_balance_as_edges_do() {
        let photo = include_bytes!("../../../docs/pictures/halyard-photo.jpg");
        let line = json!([[[860, 428], [873, 749]]]);
        // Through the balance point, from two hands' breadths away: of the same pencil dots.
        let plumb = json!([[[777, 475], [957, 708]]]);
        let scales = json!(["3.0 g at 20 mm", "1.9 g at 124 mm"]);
        let at = |sets: &[(&str, &Value)]| {
            let mut question = plain();
            for (key, value) in sets {
                question[*key] = (*value).clone();
            }
            let (status, found) = ask(&question, photo);
            assert_eq!(status, 200, "{found}");
            found["balance"]["behind_nose_mm"]["value"].as_f64().unwrap()
        };
        for sets in [
            &[("lines", &line)][..],
            &[("plumbs", &plumb)],
            &[("supports", &scales)],
            &[("lines", &line), ("plumbs", &plumb), ("supports", &scales)],
        ] {
            let mm = at(sets);
            assert!((mm - 60.4).abs() < 0.6, "{sets:?}: {mm}");
        }
        let mut question = plain();
        question["supports"] = json!(["3.0 g at 20 mm"]);
        assert_eq!(ask(&question, photo).0, 422);
        question["supports"] = json!(["3.0 g", "1 g at 3 mm"]);
        assert_eq!(ask(&question, photo).0, 422);
    }

    #[test]
    fn what_is_no_photo_or_no_sheet_is_said() {
        // What was found until then is there to be corrected.
        let photo = include_bytes!("../../../docs/pictures/halyard-photo.jpg");
        let mut unseen = plain();
        unseen["threshold"] = json!(150.0);
        let (status, said) = ask(&unseen, photo);
        assert!(status == 422 && said["corners"].as_array().unwrap().len() == 4, "{said}");
        let (status, said) = ask(&plain(), b"not a photo");
        assert_eq!(status, 422, "{said}");
        let mut question = plain();
        question["sheet"] = json!("A44");
        let (status, said) = ask(&question, b"");
        assert!(status == 422 && said["message"].as_str().unwrap().contains("A44"), "{said}");
    }
}

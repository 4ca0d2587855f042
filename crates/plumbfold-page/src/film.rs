//! A film of a throw: followed from its pictures, then measured and held against what is predicted. The
//! pictures come as a photo does, behind the question in one body: grey, row by row, one after another.

use plumbfold::air::Air;
use plumbfold::pipeline::{self, Settings};
use plumbfold::plane::assembly;
use plumbfold_draw::style::Look;
use plumbfold_film::film::Film;
use plumbfold_film::follow::{self, Click};
use plumbfold_film::ground::{Ask, Ground, Lie, Marks, Nearer};
use plumbfold_film::path::{in_picture, path};
use plumbfold_film::steady::{STOOD, parts};
use plumbfold_stats::fall::fall;
use plumbfold_stats::track::{Point, Track, analyse, written};
use plumbfold_trace::polygon::Pt;
use plumbfold_view::filmed::{Dropped, Filmed, predicted};
use serde::{Deserialize, Serialize};

use crate::answer::{Answer, with};
use crate::photo::parted;

/// Pictures and clicks on the plane; places are in dots of these pictures.
#[derive(Debug, Deserialize)]
struct Pictures {
    size: [usize; 2],
    times_s: Vec<f64>,
    clicks: Vec<(usize, [f64; 2])>,
}

/// The plane in the pictures.
#[derive(Serialize)]
struct Followed {
    seen: Vec<Seen>,
    /// Where each picture has what stands still in that of the first click: cosine, sine, right, down
    /// (dots); none where the camera stood.
    moved: Vec<[f64; 4]>,
    /// Scatter about a smooth path, dots.
    scatter_dots: f64,
    remarks: Vec<String>,
}

/// The plane in one picture.
#[derive(Debug, Deserialize, Serialize)]
struct Seen {
    picture: usize,
    t_s: f64,
    at: [f64; 2],
    by_hand: bool,
    /// The way to the nose, unit.
    nose: Option<[f64; 2]>,
}

/// The picture shook if it moved farther than this, dots.
const STILL_DOTS: f64 = 1.0;

/// Follows the plane through the pictures of a body.
pub fn followed(body: &[u8]) -> Answer {
    let Some((question, grey)) = parted(body) else {
        return Answer::message(400, "this question cannot be read: its parts do not fit");
    };
    with(question, |q: Pictures| {
        let click = |&(picture, at): &(usize, [f64; 2])| Click { picture, at: Pt::from(at) };
        let clicks: Vec<Click> = q.clicks.iter().map(click).collect();
        let film = Film::new(q.size, &q.times_s, grey);
        match film.and_then(|film| follow::follow(&film, &clicks)) {
            Ok(found) => Answer::json(200, &Followed::new(&found, q.times_s.len())),
            Err(e) => Answer::message(422, &e.to_string()),
        }
    })
}

impl Followed {
    fn new(found: &follow::Followed, pictures: usize) -> Self {
        let mut remarks = Vec::new();
        let n = found.seen.len();
        if n < pictures / 3 {
            remarks.push(format!(
                "it is seen in {n} of {pictures} pictures: click on it where it is lost"
            ));
        }
        let moved: Vec<[f64; 4]> = found.moved.iter().map(parts).collect();
        let shook = moved.iter().any(|m| *m != STOOD);
        if found.adrift > 0 {
            remarks.push(format!(
                "the camera moved too far in {} of {pictures} pictures: keep the same wall in sight, or \
                 lean the camera on something",
                found.adrift
            ));
        } else if found.moved_dots > STILL_DOTS {
            remarks.push(format!(
                "the camera moved, by up to {:.1} dots that could not be taken out: lean it on something, \
                 or what it films seems to move",
                found.moved_dots
            ));
        } else if shook {
            remarks.push("the camera shook or was turned; that is taken out".to_owned());
        }
        let seen = |s: &follow::Seen| Seen {
            picture: s.picture,
            t_s: s.t_s,
            at: [s.at.x, s.at.y],
            by_hand: s.by_hand,
            nose: s.nose.map(|n| [n.x, n.y]),
        };
        let scatter_dots = found.scatter_dots;
        let moved = if shook { moved } else { Vec::new() };
        Self { seen: found.seen.iter().map(seen).collect(), moved, scatter_dots, remarks }
    }
}

/// What is to be made of what was seen. Places are in dots of the film.
#[derive(Debug, Deserialize)]
pub struct Measure {
    size: [f64; 2],
    seen: Vec<Seen>,
    marks: Placed,
    nearer: Flies,
    /// How far off a click may be, dots.
    click_dots: f64,
    /// How many times slower than real the film plays.
    slowed: f64,
    /// It is no plane but something dropped, to check scale and frame rate.
    #[serde(default)]
    dropped: bool,
    /// The design that was thrown.
    text: Option<String>,
}

/// As [`Marks`].
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Placed {
    None {},
    Two { dots: [[f64; 2]; 2], apart_m: f64, lie: Lies },
    Wall { dots: [[f64; 2]; 4], width_m: f64, height_m: f64 },
    Floor { dots: [[f64; 2]; 4], width_m: f64, depth_m: f64 },
}

/// As [`Lie`].
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Lies {
    Level,
    Upright,
    Anyhow,
}

/// As [`Nearer`].
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Flies {
    Same {},
    Before { camera_m: f64, before_m: f64 },
    Own { dots: [[f64; 2]; 2], length_m: f64 },
}

/// What a film says of a plane.
#[derive(Serialize)]
pub struct Measured {
    /// The numbers.
    filmed: Filmed,
    /// The path, with the predicted one over it.
    picture: String,
    /// The predicted path in dots of the film.
    over: Vec<[f64; 2]>,
    /// The path as `plumbfold path` reads it.
    points: String,
    /// How far off scale and level of the film may be (one standard deviation).
    scale_sd_percent: Option<f64>,
    level_sd_deg: Option<f64>,
    /// Why nothing is predicted.
    unpredicted: Option<String>,
    /// What makes the numbers less sure.
    remarks: Vec<String>,
}

/// How many times slower than real a film may play: 1,000 pictures a second shown at 24.
const SLOWED_MAX: f64 = 50.0;
/// Most predicted points that are drawn over the film.
const OVER_MAX: usize = 300;

/// Scale (share) and level (degrees) that are known less surely than that are worth a word, and from
/// where they tell nothing: a glide ratio of 4 is then off by a fifth, or by half.
const WEAK: [f64; 2] = [0.04, 2.5];
const TOO_WEAK: [f64; 2] = [0.15, 7.0];

impl Measure {
    /// How surely the marks tell scale and level; a remark where that is little.
    ///
    /// # Errors
    /// They tell next to nothing.
    fn sure(&self, track: &Track) -> Result<Vec<String>, String> {
        let level = track.level_sd_rad.unwrap_or(0.0).to_degrees();
        let scale = track.scale_sd.unwrap_or(0.0);
        let beyond = |[s, l]: [f64; 2]| scale > s || level > l;
        if !beyond(WEAK) {
            return Ok(Vec::new());
        }
        let mend = match self.marks {
            Placed::Floor { .. } => {
                "take a rectangle as deep as it is wide, large in the picture, its near side just below \
                 the flight, the camera as high as you can hold it; or take marks on a wall"
            }
            Placed::Wall { .. } => "take marks farther from each other, and put them more exactly",
            Placed::Two { .. } | Placed::None {} => {
                "take four marks on a wall, or put these more exactly, in a larger picture"
            }
        };
        let said = format!(
            "these marks tell the scale to {:.0} % and what is level to {level:.1} degrees only (one \
             standard deviation): {mend}",
            scale * 100.0
        );
        if beyond(TOO_WEAK) { Err(said) } else { Ok(vec![said]) }
    }

    fn ask(&self) -> Ask {
        let pt = |p: [f64; 2]| Pt::from(p);
        let marks = match self.marks {
            Placed::None {} => Marks::None,
            Placed::Two { dots, apart_m, ref lie } => {
                let lie = match lie {
                    Lies::Level => Lie::Level,
                    Lies::Upright => Lie::Upright,
                    Lies::Anyhow => Lie::Anyhow,
                };
                Marks::Two { dots: dots.map(pt), apart_m, lie }
            }
            Placed::Wall { dots, width_m, height_m } => {
                Marks::Wall { dots: dots.map(pt), width_m, height_m }
            }
            Placed::Floor { dots, width_m, depth_m } => {
                Marks::Floor { dots: dots.map(pt), width_m, depth_m }
            }
        };
        let nearer = match self.nearer {
            Flies::Same {} => Nearer::Same,
            Flies::Before { camera_m, before_m } => Nearer::Before { camera_m, before_m },
            Flies::Own { dots, length_m } => Nearer::Own { dots: dots.map(pt), length_m },
        };
        Ask { size: self.size, marks, nearer, click_dots: self.click_dots.clamp(0.1, 50.0) }
    }

    /// Measures the path of a plane, or a fall.
    pub fn answer(&self) -> Answer {
        let told = if self.dropped { self.fall() } else { self.path() };
        told.unwrap_or_else(|why| Answer::message(422, &why))
    }

    fn seen(&self) -> Vec<follow::Seen> {
        let seen = |s: &Seen| follow::Seen {
            picture: s.picture,
            t_s: s.t_s,
            at: Pt::from(s.at),
            by_hand: s.by_hand,
            nose: s.nose.map(Into::into),
        };
        self.seen.iter().map(seen).collect()
    }

    /// Whether the numbers mean something.
    fn checked(&self) -> Result<(), String> {
        let goes_on = self.seen.windows(2).all(|w| w[1].t_s > w[0].t_s);
        if self.seen.is_empty() || !goes_on || !self.seen.iter().all(|s| s.t_s.is_finite()) {
            return Err("the times of the pictures do not go on".to_owned());
        }
        if !(1.0 / SLOWED_MAX..=SLOWED_MAX).contains(&self.slowed) {
            return Err(format!("a film plays at most {SLOWED_MAX} times slower or faster"));
        }
        if !self.size.iter().all(|s| (1.0..=20_000.0).contains(s)) {
            return Err("the film has no size".to_owned());
        }
        Ok(())
    }

    /// The same path with each doubt of the ground, one way and the other.
    fn doubted(&self, ask: &Ask, seen: &[follow::Seen]) -> Vec<Vec<Point>> {
        Ground::doubted(ask).iter().map(|g| path(seen, g, self.slowed).0).collect()
    }

    fn fall(&self) -> Result<Answer, String> {
        self.checked()?;
        let (ask, seen) = (self.ask(), self.seen());
        let ground = Ground::new(&ask).map_err(|e| e.to_string())?;
        let (points, _) = path(&seen, &ground, self.slowed);
        let found = fall(&points, &self.doubted(&ask, &seen)).map_err(|e| e.to_string())?;
        Ok(Answer::json(200, &Dropped::new(&found, self.slowed)))
    }

    fn path(&self) -> Result<Answer, String> {
        self.checked()?;
        let (ask, seen) = (self.ask(), self.seen());
        let ground = Ground::new(&ask).map_err(|e| e.to_string())?;
        let (points, begun) = path(&seen, &ground, self.slowed);
        let track = analyse(points).map_err(|e| e.to_string())?;
        let track = track.doubted(&self.doubted(&ask, &seen));
        let remarks = self.sure(&track)?;
        let (line, overlay, unpredicted) = match self.text.as_deref().map(|t| over(t, &track)) {
            None => (Vec::new(), None, None),
            Some(Ok((line, overlay))) => (line, Some(overlay), None),
            Some(Err(why)) => (Vec::new(), None, Some(why)),
        };
        let filmed = Filmed::new(&track, overlay);
        let step = line.len().div_ceil(OVER_MAX).max(1);
        let thin: Vec<[f64; 2]> = line.iter().step_by(step).copied().collect();
        let over = in_picture(&thin, &begun, &ground).iter().map(|p| [p.x, p.y]).collect();
        Ok(Answer::json(
            200,
            &Measured {
                picture: filmed.picture(&Look::page("filmed"), &track, &line),
                filmed,
                over,
                points: written(&track.points),
                scale_sd_percent: track.scale_sd.map(|s| s * 100.0),
                level_sd_deg: track.level_sd_rad.map(f64::to_degrees),
                remarks,
                unpredicted,
            },
        ))
    }
}

/// The flight predicted for a design from the release that was filmed.
fn over(
    text: &str,
    track: &Track,
) -> Result<(Vec<[f64; 2]>, plumbfold_view::filmed::Overlay), String> {
    let settings = Settings::default();
    let plane = pipeline::balance(text, &settings).map_err(|p| p.to_string())?;
    let name = assembly::name(plane.source.design());
    let craft = pipeline::aircraft(&plane, &Air::indoors(), track.speed_m_s.value)
        .map_err(|p| p.to_string())?;
    predicted(&name, &craft, track).map_err(|e| e.to_string())
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;
    use crate::designs::SHIPPED;

    /// A bright bar glides across a grey picture, 30 times a second: 8 dots to the right, 2 down each.
    fn pictures() -> (Value, Vec<u8>) {
        let (w, h, n) = (320, 180, 32);
        let mut grey = vec![90u8; w * h * n];
        for k in 0..n {
            let (x, y) = (20 + 8 * k, 40 + 2 * k);
            for v in y..y + 4 {
                grey[k * w * h + v * w + x..][..16].fill(220);
            }
        }
        let times: Vec<f64> = (0..n).map(|k| k as f64 / 30.0).collect();
        (json!({ "size": [w, h], "times_s": times, "clicks": [[10, [106.0, 61.0]]] }), grey)
    }

    fn ask(question: &Value, grey: &[u8]) -> (u16, Value) {
        let question = question.to_string();
        let length = (question.len() as u32).to_le_bytes();
        let body = [&length[..], question.as_bytes(), grey].concat();
        let answer = followed(&body);
        (answer.status, serde_json::from_slice(&answer.body).unwrap())
    }

    fn measure(question: &Value) -> (u16, Value) {
        let answer = with(question.to_string().as_bytes(), |q: Measure| q.answer());
        (answer.status, serde_json::from_slice(&answer.body).unwrap())
    }

    fn asked(seen: &Value) -> Value {
        json!({
            "size": [320, 180], "seen": seen, "click_dots": 0.5, "slowed": 1.0, "text": SHIPPED[0],
            "marks": { "two": { "dots": [[10, 170], [310, 170]], "apart_m": 3.75, "lie": "level" } },
            "nearer": { "same": {} },
        })
    }

    #[test]
    fn pictures_and_a_click_become_a_path_over_its_prediction() {
        let (question, grey) = pictures();
        let (status, found) = ask(&question, &grey);
        assert_eq!(status, 200, "{found}");
        assert_eq!(found["seen"].as_array().unwrap().len(), 32);
        let (status, told) = measure(&asked(&found["seen"]));
        assert_eq!(status, 200, "{told}");
        let number = |key: &str| told["filmed"][key]["value"].as_f64().unwrap();
        // 8 dots of 12.5 mm each thirtieth of a second, a quarter of that down.
        assert!((number("glide_ratio") - 4.0).abs() < 0.05, "{told}");
        assert!((number("release_speed_mps") - 3.0 * (1.0 + 1.0 / 16f64).sqrt()).abs() < 0.06);
        assert!(told["picture"].as_str().unwrap().contains("predicted for this release"));
        let over = told["over"].as_array().unwrap();
        let first = [0, 1].map(|k| over[0][k].as_f64().unwrap());
        assert!((first[0] - 28.0).abs() < 1.0 && (first[1] - 42.0).abs() < 1.0, "{first:?}");
        assert!(told["points"].as_str().unwrap().starts_with("t_s,x_m,z_m,pitch_rad\n0,0,"));
        // Played four times slower than taken: four times as fast.
        let mut slow = asked(&found["seen"]);
        slow["slowed"] = json!(4.0);
        let (_, slow) = measure(&slow);
        let speed = slow["filmed"]["release_speed_mps"]["value"].as_f64().unwrap();
        assert!((speed / number("release_speed_mps") - 4.0).abs() < 0.01, "{speed}");
        // It glides and does not fall.
        let mut dropped = asked(&found["seen"]);
        dropped["dropped"] = json!(true);
        assert_eq!(measure(&dropped).0, 422);
    }

    #[test]
    fn marks_that_tell_little_are_told_and_those_that_tell_nothing_refused() {
        let (question, grey) = pictures();
        let (_, found) = ask(&question, &grey);
        // Near left, near right, far right, far left; a floor seen from a man's height, and from the floor.
        let with = |dots: [[i32; 2]; 4], depth_m: f64| {
            let mut asked = asked(&found["seen"]);
            asked["marks"] =
                json!({ "floor": { "dots": dots, "width_m": 3.75, "depth_m": depth_m } });
            measure(&asked)
        };
        let (status, deep) = with([[10, 170], [310, 170], [235, 132], [85, 132]], 3.75);
        assert_eq!(status, 200, "{deep}");
        let (status, said) = with([[10, 170], [310, 170], [290, 168], [30, 168]], 0.8);
        assert!(status == 422 && said["message"].as_str().unwrap().contains("on a wall"), "{said}");
    }

    #[test]
    fn nonsense_is_refused_in_a_sentence() {
        let (mut question, grey) = pictures();
        question["clicks"] = json!([[3, [300.0, 20.0]]]);
        let (status, said) = ask(&question, &grey);
        assert!(status == 422 && said["message"].as_str().unwrap().contains("nothing moves"));
        assert_eq!(ask(&question, &grey[1..]).0, 422);
        assert_eq!(followed(b"\x05\0\0\0{").status, 400);
        let seen =
            json!([{ "picture": 0, "t_s": 0.0, "at": [1, 1], "by_hand": false, "nose": null }]);
        for change in [
            json!({ "slowed": 0.0 }),
            json!({ "size": [0, 0] }),
            json!({ "marks": { "none": {} } }),
            json!({ "seen": [] }),
            json!({}),
        ] {
            let mut question = asked(&seen);
            for (key, value) in change.as_object().unwrap() {
                question[key.as_str()] = value.clone();
            }
            assert_eq!(measure(&question).0, 422, "{change}");
        }
    }
}

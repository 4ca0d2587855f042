//! Sentences about a verdict that report and page share: where the plane may balance, how it may be
//! bent and thrown.

use crate::behaviour::Behaviour;
use crate::flight::Verdict;
use crate::said::{beside, fixed};

/// Where it balances and where it may and still most often glide; the plane's own balance point in
/// mm behind the nose.
pub fn balanced(v: &Verdict, behind_nose_mm: f64) -> String {
    let Some(band) = v.glides_balanced_mm else {
        let at = fixed(behind_nose_mm, 1);
        return format!("{at} mm behind the nose; no place near it glides at this throw");
    };
    let [low, high, at] = beside(band, behind_nose_mm, [0, 1]);
    let range = open([&low, &high], v.beyond_balanced, "mm");
    format!("{at} mm behind the nose; at this throw it glides balanced {range}")
}

/// How it may be bent and thrown and still most often glide: what completes `it glides …`.
pub fn bands(v: &Verdict) -> Vec<String> {
    let mut said = Vec::new();
    if let Some(band) = v.glides_bent_mm {
        let [low, high] = band.map(|mm| format!("{}{}", sign(mm), fixed(mm, 1)));
        let range = open([&low, &high], v.beyond_bent, "mm");
        said.push(format!("with the trailing edges bent {range} from where they are"));
    }
    if let Some(band) = v.glides_thrown_mps {
        let [low, high] = band.map(|v| fixed(v, 1));
        let range = open([&low, &high], v.beyond_thrown, "m/s");
        said.push(format!("thrown at {range}"));
    }
    said
}

fn sign(v: f64) -> &'static str {
    if v >= 0.05 { "+" } else { "" }
}

/// `73 to 88 mm`; an end of what was looked at is no edge, and said to be none.
fn open([low, high]: [&str; 2], beyond: [Option<Behaviour>; 2], unit: &str) -> String {
    match beyond {
        [Some(_), Some(_)] => format!("{low} to {high} {unit}"),
        [None, Some(_)] => format!("{low} to {high} {unit} (and perhaps lower)"),
        [Some(_), None] => format!("{low} to {high} {unit} (and perhaps higher)"),
        [None, None] => format!("{low} to {high} {unit} (and perhaps beyond)"),
    }
}

/// What a gentler and a harder throw do, in one sentence without a full stop.
pub fn other_throws(v: &Verdict) -> String {
    let [(slow, a), (fast, b)] =
        [&v.gentler, &v.harder].map(|o| (fixed(o.speed_mps, 1), o.behaviour.words()));
    match (a == b, v.behaviour.words() == a) {
        (true, true) => format!("thrown at {slow} or {fast} m/s it {a}, too"),
        (true, false) => format!("thrown at {slow} or {fast} m/s it {a}"),
        _ => format!("thrown at {slow} m/s it {a}, at {fast} m/s it {b}"),
    }
}

//! Sentences about a verdict that reports, pages and the flight card share: where the plane may
//! balance, how it may be bent and thrown, what it glides like.

use plumbfold::verdict::Behaviour as Kind;

use crate::behaviour::Behaviour;
use crate::flight::{Flight, InTheAir, PathPoint, Room, Throw, Trim, Verdict};
use crate::said::{beside, fixed, per_cent};

/// Where it balances and where it may and still most often glide; the plane's own balance point in
/// mm behind the nose.
pub fn balanced(v: &Verdict, behind_nose_mm: f64) -> String {
    let Some(band) = v.glides_balanced_mm else {
        let at = fixed(behind_nose_mm, 1);
        if v.left_out.contains(&"balance") {
            return format!("{at} mm behind the nose");
        }
        let none = "no place near it makes gliding the likeliest at this throw";
        return match v.exactly.behaviour.0 {
            Kind::Glides => {
                format!("{at} mm behind the nose; {none}, though thrown exactly so it glides")
            }
            _ => format!("{at} mm behind the nose; {none}"),
        };
    };
    let [low, high, at] = beside(band, behind_nose_mm, [0, 1]);
    let range = open([&low, &high], v.beyond_balanced, "mm");
    format!("{at} mm behind the nose; at this throw it glides balanced {range}")
}

/// Where it may balance: what completes `it glides …`.
pub fn balanced_within(v: &Verdict, behind_nose_mm: f64) -> Option<String> {
    let [low, high, _] = beside(v.glides_balanced_mm?, behind_nose_mm, [0, 1]);
    let range = open([&low, &high], v.beyond_balanced, "mm");
    Some(format!("balanced {range} behind the nose"))
}

/// How it may be bent and thrown and still most often glide: what completes `it glides …`.
pub fn bands(v: &Verdict) -> Vec<String> {
    bent(v).into_iter().chain(thrown(v)).collect()
}

/// How it may be bent: what completes `it glides …`.
pub fn bent(v: &Verdict) -> Option<String> {
    let [low, high] = v.glides_bent_mm?.map(|mm| format!("{}{}", sign(mm), fixed(mm, 1)));
    let range = open([&low, &high], v.beyond_bent, "mm");
    Some(format!("with the trailing edges bent {range} from where they are"))
}

/// How it may be thrown: what completes `it glides …`.
pub fn thrown(v: &Verdict) -> Option<String> {
    let [low, high] = v.glides_thrown_mps?.map(|v| fixed(v, 1));
    Some(format!("thrown at {}", open([&low, &high], v.beyond_thrown, "m/s")))
}

/// What of `it glides …` was not looked for, without a full stop.
pub fn left_out(v: &Verdict) -> Option<String> {
    let words = |which: &&str| match *which {
        "balance" => "balance points",
        "bend" => "bends of the trailing edges",
        _ => "speeds",
    };
    let which: Vec<&str> = v.left_out.iter().map(words).collect();
    let which = match &which[..] {
        [] => return None,
        [one] => (*one).to_owned(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    };
    Some(format!("other {which} were not all tried: flights this long take too much work"))
}

/// Where a flight ended that did not come down on the floor, as a sentence.
pub fn ended(flight: &Flight, last: Option<&PathPoint>) -> Option<String> {
    let last = last?;
    let (after, up) = (fixed(last.t_s, 1), fixed(last.z_m, 1));
    let where_it_ends = match flight.end {
        "floor" => return None,
        "far wall" => format!("it meets the far wall after {after} s, {up} m up"),
        "side wall" => {
            let side = if last.y_m > 0.0 { "right" } else { "left" };
            let far = fixed(last.x_m, 1);
            format!("it meets the {side} wall after {after} s, {far} m down the hall and {up} m up")
        }
        "ceiling" => {
            format!("it meets the ceiling after {after} s, {} m down the hall", fixed(last.x_m, 1))
        }
        _ => return Some(format!("It was followed for {after} s and is still {up} m up.")),
    };
    Some(format!("The flight ends there: {where_it_ends}."))
}

/// Walls and moving air, without a full stop; nothing of still air in the open.
pub fn room(room: &Room) -> Option<String> {
    let wall = |at: Option<f64>, what: &str| at.map(|m| format!("{what} {} m", fixed(m, 1)));
    let all = [
        wall(room.far_wall_m, "far wall after"),
        wall(room.side_walls_m, "side walls within"),
        wall(room.ceiling_m, "ceiling at"),
        wind(room),
    ];
    let all: Vec<String> = all.into_iter().flatten().collect();
    (!all.is_empty()).then(|| all.join("; "))
}

fn wind(room: &Room) -> Option<String> {
    let blows = |[along, aside]: [f64; 2]| {
        let from = |v: f64, to: &str, back: &str| {
            let way = if v > 0.0 { to } else { back };
            (v != 0.0).then(|| format!("{} m/s from {way}", fixed(v.abs(), 1)))
        };
        let parts = [from(along, "behind", "ahead"), from(aside, "the left", "the right")];
        parts.into_iter().flatten().collect::<Vec<_>>().join(" and ")
    };
    let steady = blows(room.wind_mps);
    let gusts = room.gusts.iter().map(|g| {
        let [begins, lasts] = [g.begins_s, g.lasts_s].map(|s| fixed(s, 1));
        format!("a gust of {} after {begins} s, {lasts} s long", blows(g.peak_mps))
    });
    let steady = (!steady.is_empty()).then(|| format!("wind {steady}"));
    let all: Vec<String> = steady.into_iter().chain(gusts).collect();
    (!all.is_empty()).then(|| all.join("; "))
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

/// What hands that are a little off get instead of what is thrown exactly so.
pub fn a_little_off(v: &Verdict) -> Option<String> {
    let more = v.behaviour.words();
    (v.exactly.behaviour != v.behaviour)
        .then(|| format!("A little off, as hands are, it more often {more}."))
}

/// How far the tips rise in that glide, and at the speed of the throw where that is more.
pub fn wings_bend(a: &InTheAir) -> Option<String> {
    let glide = a.settles_to.and_then(|i| a.trim.get(i))?.tip_rise_mm?;
    let thrown = a
        .tip_rise_thrown_mm
        .filter(|t| t - glide > 1.0)
        .map_or_else(String::new, |t| format!(", {} mm at the speed of the throw", fixed(t, 0)));
    let grain = "by the grain of the sheet 0.7 to 1.4 times as far; not in the forces";
    Some(format!("tips rise {} mm in that glide{thrown} ({grain})", fixed(glide, 0)))
}

/// How it is thrown: `3.0 m/s, level, from 1.6 m`.
pub fn throw(t: &Throw) -> String {
    let mut said = format!(
        "{} m/s, {}, from {} m",
        fixed(t.speed_mps, 1),
        slope(t.elevation_deg),
        fixed(t.height_m, 1)
    );
    let side = |v: f64| if v > 0.0 { "right" } else { "left" };
    if t.sideslip_deg != 0.0 {
        let (aside, nose) = (fixed(t.sideslip_deg.abs(), 0), side(-t.sideslip_deg));
        said += &format!(", nose {aside} degrees to the {nose} of its way");
    }
    if t.turn_deg_per_s != 0.0 {
        let turn = fixed(t.turn_deg_per_s.abs(), 0);
        said += &format!(", turning {} at {turn} degrees a second", side(t.turn_deg_per_s));
    }
    said
}

fn slope(degrees: f64) -> String {
    match degrees {
        d if d > 0.05 => format!("up {d:.0} degrees"),
        d if d < -0.05 => format!("down {:.0} degrees", -d),
        _ => "level".to_owned(),
    }
}

/// Behaviours other than those of the headline that are likely enough to name.
pub fn others(v: &Verdict) -> Option<String> {
    const NAMED: f64 = 0.05;
    let named = |o: &(Behaviour, f64)| o.1 >= NAMED && Some(o.0) != v.or;
    let others = v.probability.others(v.behaviour).into_iter().filter(named);
    let mut words: Vec<String> =
        others.map(|(b, p)| format!("{} ({})", b.words(), per_cent(p))).collect();
    // Never kept silent, however few.
    if v.probability.unknown > 0.0 {
        words.push(format!("not seen to the end ({})", per_cent(v.probability.unknown)));
    }
    (!words.is_empty()).then(|| words.join(", "))
}

/// Every glide it can hold.
pub fn glides(a: &InTheAir) -> String {
    match a.trim.is_empty() {
        true => "none".to_owned(),
        false => a.trim.iter().map(glide).collect::<Vec<_>>().join("; or "),
    }
}

/// The glide it settles to.
pub fn settles(a: &InTheAir) -> String {
    let glides = a.verdict.behaviour.words() == "glides";
    match (a.settles_to.and_then(|i| a.trim.get(i)), glides) {
        (Some(t), true) if t.stable || t.knocks.contains("hardly seen") => glide(t),
        (Some(t), true) => format!("{}; from this throw it mostly glides all the same", glide(t)),
        (Some(t), false) => format!("{}; this throw does not settle into it", glide(t)),
        (None, true) => "none it would settle to: the flight is over before that shows".to_owned(),
        (None, false) => "none it settles to".to_owned(),
    }
}

fn glide(t: &Trim) -> String {
    let held = if t.inverted { "upside down, " } else { "" };
    // Down at more than 45 degrees: no one calls it a glide.
    let dive = if t.lift_to_drag < 1.0 { "no glide but a dive: " } else { "" };
    let margin = t.static_margin_mac_fraction.map_or_else(String::new, |m| {
        format!("; static margin there {} % of the MAC", fixed(m * 100.0, 0))
    });
    format!(
        "{dive}{held}{} m/s at an incidence of {} degrees, sinking {} m/s, {} m for each metre of height; {}{margin}",
        fixed(t.speed_mps, 1),
        fixed(t.alpha_deg, 1),
        fixed(t.sink_mps, 1),
        fixed(t.lift_to_drag, 1),
        t.knocks
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flight::Gust;

    fn room(wind_mps: [f64; 2], gusts: Vec<Gust>) -> Room {
        Room { far_wall_m: None, side_walls_m: None, ceiling_m: None, wind_mps, gusts }
    }

    #[test]
    fn walls_are_told_where_there_are_any() {
        let hall = Room { far_wall_m: Some(30.0), ..room([0.0, 0.2], vec![]) };
        let said = super::room(&hall).expect("a wall");
        assert_eq!(said, "far wall after 30.0 m; wind 0.2 m/s from the left");
        assert_eq!(super::room(&room([0.0, 0.0], vec![])), None);
    }

    #[test]
    fn wind_is_told_by_where_it_comes_from_and_still_air_not_at_all() {
        assert_eq!(wind(&room([0.0, 0.0], vec![])), None);
        let said = wind(&room([-0.3, 0.2], vec![])).expect("wind");
        assert_eq!(said, "wind 0.3 m/s from ahead and 0.2 m/s from the left");
        let gust = Gust { peak_mps: [1.0, 0.0], begins_s: 0.5, lasts_s: 1.0 };
        let said = wind(&room([0.0, 0.0], vec![gust])).expect("a gust");
        assert_eq!(said, "a gust of 1.0 m/s from behind after 0.5 s, 1.0 s long");
    }

    #[test]
    fn a_flight_that_meets_a_wall_says_which_and_one_that_lands_says_nothing() {
        let last = PathPoint {
            t_s: 1.5,
            x_m: 4.0,
            y_m: -2.0,
            z_m: 0.8,
            speed_mps: 3.0,
            pitch_deg: 0.0,
            bank_deg: 0.0,
            heading_deg: 0.0,
        };
        let flight = |end| Flight {
            distance_m: 4.5,
            time_aloft_s: 1.5,
            max_height_m: 1.8,
            end,
            suspect: false,
        };
        assert_eq!(ended(&flight("floor"), Some(&last)), None);
        let wall = ended(&flight("side wall"), Some(&last)).expect("a wall");
        assert!(wall.contains("meets the left wall after 1.5 s, 4.0 m down the hall"), "{wall}");
        let up = ended(&flight("still up"), Some(&last)).expect("still up");
        assert!(up.contains("followed for 1.5 s") && up.contains("0.8 m up"), "{up}");
    }
}

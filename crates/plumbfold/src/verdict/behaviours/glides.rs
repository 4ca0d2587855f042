use super::super::{Behaviour, Finding, Path};
use super::Rule;
use crate::flight::throw::End;

pub(super) const RULE: Rule = Rule {
    behaviour: Behaviour::Glides,
    reason: "None of the others: it keeps its way, its heading and its speed, and comes down \
             shallower than 1.7 to one.",
    judge: |path| Some(found(path)),
};

/// Over this share of the flight at its end the slope is called that of the glide.
const END_SHARE: f64 = 0.5;

pub(super) fn found(path: &Path) -> Finding {
    let slope = path.descent_rad(END_SHARE);
    let ratio = 1.0 / slope.tan().max(f64::MIN_POSITIVE);
    let (distance, time) = (path.distance_m, path.time_s());
    let still = if path.end == End::StillUp { " and is still up" } else { "" };
    let how = if slope > 0.0 && ratio < 30.0 {
        format!("coming down 1 m in {ratio:.1} m")
    } else {
        "hardly coming down".to_owned()
    };
    Finding::new(
        Behaviour::Glides,
        time / 2.0,
        &[
            ("distance", distance, "m"),
            ("time aloft", time, "s"),
            ("slope over the second half", slope.to_degrees(), "deg"),
        ],
        format!("It glides {distance:.1} m in {time:.1} s{still}, {how}."),
    )
}

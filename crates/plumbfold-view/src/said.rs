//! Numbers and shares as people read them.

pub use plumbfold_draw::units::fixed;

/// Above this share a thing is said to happen nearly always, below the rest hardly ever: neither
/// the flights counted nor the model know it better. Chosen.
pub const NEARLY_ALWAYS: f64 = 0.95;

/// How often something happens: `73 %`, `nearly always`, `hardly ever`. No share is told as
/// certain.
pub fn how_often(share: f64) -> String {
    match share {
        s if s > NEARLY_ALWAYS => "nearly always".to_owned(),
        s if s < 1.0 - NEARLY_ALWAYS => "hardly ever".to_owned(),
        s => per_cent(s),
    }
}

/// `73 % of the time`, `nearly always`
pub fn of_the_time(share: f64) -> String {
    let often = how_often(share);
    if often.ends_with('%') { often + " of the time" } else { often }
}

/// `73 %`
pub fn per_cent(share: f64) -> String {
    format!("{} %", fixed(share * 100.0, 0))
}

/// Two decimals, without noughts at the end.
pub fn short(value: f64) -> String {
    let said = fixed(value, 2);
    said.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A range and a value beside it, with as many decimals as it takes for the rounded value to lie
/// inside the rounded range, or outside, as the value itself does; the least for either are given.
pub fn beside([low, high]: [f64; 2], value: f64, least: [usize; 2]) -> [String; 3] {
    let inside = |low: f64, high: f64, value: f64| low <= value && value <= high;
    let rounded = |more: usize| {
        let [ends, own] = least.map(|d| d + more);
        [fixed(low, ends), fixed(high, ends), fixed(value, own.max(ends))]
    };
    let number = |said: &String| said.parse::<f64>().unwrap_or(f64::NAN);
    let agrees = |said: &[String; 3]| {
        let [l, h, v] = [0, 1, 2].map(|k| number(&said[k]));
        inside(l, h, v) == inside(low, high, value)
    };
    (0..3).map(rounded).find(agrees).unwrap_or_else(|| rounded(3))
}

/// `1 face`, `0 faces`
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// Whether a character turns the direction of writing (Unicode Standard Annex 9, table of explicit
/// directional formatting characters).
pub const fn turns_writing(c: char) -> bool {
    matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_share_is_told_as_certain() {
        let said = [1.0, 0.951, 0.95, 0.5, 0.06, 0.04, 0.0].map(how_often);
        assert_eq!(
            said,
            ["nearly always", "nearly always", "95 %", "50 %", "6 %", "hardly ever", "hardly ever"]
        );
    }

    #[test]
    fn nothing_has_no_sign() {
        assert_eq!([fixed(-0.04, 1), fixed(-0.06, 1), fixed(0.0, 0)], ["0.0", "-0.1", "0"]);
    }

    #[test]
    fn rounded_numbers_do_not_contradict_each_other() {
        let said = |band, at| beside(band, at, [0, 1]);
        assert_eq!(said([73.2, 88.4], 83.5), ["73", "88", "83.5"]);
        assert_eq!(said([73.2, 88.4], 88.45), ["73", "88", "88.5"], "outside");
        assert_eq!(said([73.2, 88.4], 88.2), ["73.2", "88.4", "88.20"], "inside");
        assert_eq!(said([73.6, 88.4], 73.55), ["74", "88", "73.5"]);
    }

    #[test]
    fn one_of_a_thing_is_no_plural() {
        let faces = [0, 1, 2].map(|n| count(n, "face", "faces"));
        assert_eq!(faces, ["0 faces", "1 face", "2 faces"]);
    }
}

//! Lengths and numbers for people: millimetres, or inches for a reader who thinks in them.

/// What lengths are told in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Millimetres, metres, metres per second.
    #[default]
    Mm,
    /// Inches, feet, feet per second.
    Inch,
}

/// A true minus sign.
const MINUS: &str = "−";
/// An inch, m (the international yard and pound agreement, 1959).
const INCH_M: f64 = 25.4e-3;
/// The finest mark of a ruler in inches, of an inch (common practice, no source).
const FINEST: f64 = 32.0;
/// What is shorter is told in thousandths, where it is no mark of a ruler, in.
const SHORT_IN: f64 = 0.125;
/// So near to a mark it is that mark: half of what a line is wide, in.
const ON_MARK_IN: f64 = 0.004;
/// A foot, m (the international yard and pound agreement, 1959).
pub const FOOT_M: f64 = 0.3048;

impl Units {
    /// A length as a ruler shows it: `118 mm` in whole tenths, `4 21/32 in` in thirty-seconds.
    pub fn length(self, length_m: f64) -> String {
        match self {
            Self::Mm => mm(length_m),
            Self::Inch => on_ruler(length_m / INCH_M),
        }
    }

    /// A distance of a hall: `1.6 m`, `5.2 ft`.
    pub fn far(self, metres: f64) -> String {
        match self {
            Self::Mm => format!("{} m", decimals(metres, 1)),
            Self::Inch => format!("{} ft", decimals(metres / FOOT_M, 1)),
        }
    }

    /// A speed: `4.5 m/s`, `14.8 ft/s`.
    pub fn speed(self, m_s: f64) -> String {
        self.far(m_s) + "/s"
    }

    /// A sentence written in millimetres, metres and metres per second.
    pub fn told(self, sentence: &str) -> String {
        match self {
            Self::Mm => sentence.to_owned(),
            Self::Inch => in_inches(sentence),
        }
    }
}

fn on_ruler(length: f64) -> String {
    let beside = (length - (length * FINEST).round() / FINEST).abs();
    let short = length.abs() < SHORT_IN && (beside > ON_MARK_IN || length.abs() < 0.5 / FINEST);
    if !length.is_finite() || short {
        return format!("{} in", decimals(length, 3));
    }
    let marks = (length.abs() * FINEST).round();
    let sign = if length < 0.0 { MINUS } else { "" };
    let (whole, mut part, mut of) = ((marks / FINEST).floor(), marks % FINEST, FINEST);
    while part > 0.0 && part % 2.0 == 0.0 {
        (part, of) = (part / 2.0, of / 2.0);
    }
    match (whole > 0.0, part > 0.0) {
        (_, false) => format!("{sign}{whole} in"),
        (true, true) => format!("{sign}{whole} {part}/{of} in"),
        (false, true) => format!("{sign}{part}/{of} in"),
    }
}

/// Whether a word stays on the line of the one before it: a unit, or the fraction of an inch.
pub(crate) fn belongs(before: &str, word: &str) -> bool {
    let number = before.chars().next_back().is_some_and(|c| c.is_ascii_digit());
    let bare = word.trim_end_matches(['.', ',', ';', ':', ')']);
    let unit = ["mm", "in", "g", "m/s", "ft/s", "m", "ft", "%", "g/m²"].contains(&bare);
    let fraction = bare.split_once('/').is_some_and(|(a, b)| {
        let whole = |n: &str| !n.is_empty() && n.chars().all(|c| c.is_ascii_digit());
        whole(a) && whole(b)
    });
    number && (unit || fraction)
}

/// A length for people: whole tenths of a millimetre, no idle zero.
pub fn mm(length_m: f64) -> String {
    format!("{} mm", decimals(length_m * 1e3, 1))
}

/// A share for people.
pub fn percent(share: f64) -> String {
    format!("{} %", decimals(share * 100.0, 1))
}

/// At most `places` decimals, no idle zeros, a true minus sign; a dash for what is no number.
pub fn decimals(value: f64, places: usize) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    let fixed = format!("{value:.places$}");
    let short = if fixed.contains('.') {
        fixed.trim_end_matches('0').trim_end_matches('.')
    } else {
        &fixed
    };
    if short == "-0" { "0".to_owned() } else { short.replace('-', MINUS) }
}

/// With so many decimals, and no minus before nothing.
pub fn fixed(value: f64, decimals: usize) -> String {
    let said = format!("{value:.decimals$}");
    let nothing = said.trim_start_matches('-').chars().all(|c| matches!(c, '0' | '.'));
    if nothing { said.trim_start_matches('-').to_owned() } else { said }
}

/// What stands between the two numbers of a range, a size or a value and its error.
const BETWEEN: [&str; 4] = ["to", "or", "x", "±"];

/// A sentence with its mm, m and m/s in inches, feet and feet per second (25.4 mm, 0.3048 m: the
/// international yard and pound agreement, 1959); `73 to 88 mm` is two lengths.
pub fn in_inches(sentence: &str) -> String {
    let mut words: Vec<String> = sentence.split(' ').map(str::to_owned).collect();
    for at in 1..words.len() {
        let bare = words[at].trim_end_matches(['.', ',', ';', ':', ')']).to_owned();
        let Some((size, unit, more)) = inches(&bare) else { continue };
        // How far for how much height is the same number in any unit.
        if bare == "m" && (is_slope(&words, at) || at >= 4 && is_slope(&words, at - 3)) {
            words[at] = words[at].replacen('m', "ft", 1);
            continue;
        }
        if bare == "m" && words[at + 1..].starts_with(&EACH.map(str::to_owned)) {
            (words[at], words[at + 3]) =
                ("ft".to_owned(), words[at + 3].replacen("metre", "foot", 1));
            continue;
        }
        let Some(said) = turned(&words[at - 1], size, more) else { continue };
        words[at - 1] = said;
        if at >= 3
            && BETWEEN.contains(&words[at - 2].as_str())
            && let Some(said) = turned(&words[at - 3], size, more)
        {
            words[at - 3] = said;
        }
        words[at] = words[at].replacen(&bare, unit, 1);
    }
    words.join(" ")
}

/// What stands behind the length flown for each metre of height.
const EACH: [&str; 3] = ["for", "each", "metre"];

/// `1 m in 3.5 m`, or the same half turned, by the place of its first unit.
fn is_slope(words: &[String], at: usize) -> bool {
    let said = |n: usize, any: &[&str]| words.get(n).is_some_and(|w| any.contains(&w.as_str()));
    let end = words.get(at + 3).map(|w| w.trim_end_matches(['.', ',', ';', ':', ')']));
    said(at - 1, &["1"]) && said(at, &["m", "ft"]) && said(at + 1, &["in"]) && end == Some("m")
}

/// How large the unit of such a reader is in one of ours, its name, and the decimals more it takes.
fn inches(unit: &str) -> Option<(f64, &'static str, usize)> {
    match unit {
        "mm" => Some((25.4, "in", 1)),
        "m" => Some((0.3048, "ft", 0)),
        "m/s" => Some((0.3048, "ft/s", 0)),
        _ => None,
    }
}

/// A number in another unit; brackets and signs before it stay.
fn turned(word: &str, size: f64, more: usize) -> Option<String> {
    let digits = word.trim_start_matches(['(', '+']);
    let before = &word[..word.len() - digits.len()];
    let value: f64 = digits.replace(MINUS, "-").parse().ok()?;
    let decimals = digits.split_once('.').map_or(0, |(_, d)| d.len());
    let said = fixed(value / size, decimals + more);
    let said = if digits.starts_with(MINUS) { said.replace('-', MINUS) } else { said };
    Some(format!("{before}{said}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_for_people() {
        assert_eq!(mm(0.0625), "62.5 mm");
        assert_eq!(mm(0.21), "210 mm");
        assert_eq!(decimals(-1.0, 2), "−1");
        assert_eq!(decimals(100.0, 0), "100");
        assert_eq!(percent(0.253), "25.3 %");
    }

    #[test]
    fn inches_are_told_as_a_ruler_shows_them() {
        // An inch is 25.4 mm (the international yard and pound agreement, 1959).
        let told = |mm: f64| Units::Inch.length(mm * 1e-3);
        assert_eq!(told(215.9), "8 1/2 in");
        assert_eq!(told(279.4), "11 in");
        assert_eq!(told(25.4 * 4.65625), "4 21/32 in");
        assert_eq!(told(25.4 * 0.75), "3/4 in");
        assert_eq!(told(25.39), "1 in");
        assert_eq!(told(0.508), "0.02 in");
        assert_eq!(Units::Mm.length(0.118), "118 mm");
        // Half of the finest mark is the most that is lost.
        for tenth in 40..3000 {
            let length = f64::from(tenth) * 0.1;
            let words = told(length);
            let number = words.trim_end_matches(" in").split(' ').map(|part| {
                let (a, b) = part.split_once('/').unwrap_or((part, "1"));
                a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap()
            });
            assert!((number.sum::<f64>() * 25.4 - length).abs() < 25.4 / 64.0 + 1e-9, "{words}");
        }
    }

    #[test]
    fn a_number_keeps_its_unit() {
        assert!(belongs("118", "mm,") && belongs("4", "21/32") && belongs("21/32", "in."));
        assert!(!belongs("the", "in") && !belongs("118", "and") && !belongs("2", "m2"));
    }

    /// The page says them the same way; its test reads the same list.
    #[test]
    fn lengths_and_speeds_change_and_nothing_else() {
        let list = include_str!("../../../testdata/inches.tsv");
        let pairs: Vec<_> = list.lines().filter_map(|line| line.split_once('\t')).collect();
        assert!(pairs.len() > 8);
        for (metric, inches) in pairs {
            assert_eq!(in_inches(metric), inches);
        }
    }
}

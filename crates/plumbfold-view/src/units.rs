//! Lengths and speeds in sentences, in the units of a reader who thinks in inches and feet.

use crate::said::fixed;

/// What stands between the two numbers of a range or a size.
const BETWEEN: [&str; 3] = ["to", "or", "x"];

/// A sentence with its mm, m and m/s in inches, feet and feet per second (25.4 mm, 0.3048 m: the
/// international yard and pound agreement, 1959); `73 to 88 mm` is two lengths.
pub fn in_inches(sentence: &str) -> String {
    let mut words: Vec<String> = sentence.split(' ').map(str::to_owned).collect();
    for at in 1..words.len() {
        let bare = words[at].trim_end_matches(['.', ',', ';', ':', ')']).to_owned();
        let Some((size, unit, more)) = inches(&bare) else { continue };
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
    let value: f64 = digits.parse().ok()?;
    let decimals = digits.split_once('.').map_or(0, |(_, d)| d.len());
    Some(format!("{before}{}", fixed(value / size, decimals + more)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_and_speeds_change_and_nothing_else() {
        let said = |s| in_inches(s);
        assert_eq!(
            said("balanced 75 to 89 mm; 18.8 % ahead"),
            "balanced 3.0 to 3.5 in; 18.8 % ahead"
        );
        assert_eq!(
            said("thrown at 2.1 or 4.1 m/s it glides"),
            "thrown at 6.9 or 13.5 ft/s it glides"
        );
        assert_eq!(said("6.1 m in 2.2 s (0.5 mm)"), "20.0 ft in 2.2 s (0.02 in)");
        assert_eq!(said("2.74 g for each dm2, 80.0 g/m2"), "2.74 g for each dm2, 80.0 g/m2");
        assert_eq!(said("bent -0.4 to +1.2 mm"), "bent -0.02 to +0.05 in");
        assert_eq!(said("mm"), "mm");
    }
}

//! `mend --to`: what puts the balance point where it is wanted.

use plumbfold::design::ast::Unit;
use plumbfold::design::eval::quantity_outside;
use plumbfold::study::remedy::Remedy;
use plumbfold::study::remedy::aim::{Aimed, Short, Target, Why};
use plumbfold_view::mend as view;

use super::{says, side_effects};
use crate::report::Rows;

/// `25%` or `62 mm`
pub fn target(text: &str) -> Result<Target, String> {
    const FORM: &str = "expected a share of the wing area such as `25%`, or the balance point \
                        behind the nose such as `62 mm`";
    if let Some(number) = text.trim().strip_suffix('%') {
        let share: f64 = number.trim().parse().map_err(|_| FORM.to_owned())?;
        return match share {
            s if 0.0 < s && s < 100.0 => Ok(Target::AreaAhead(s / 100.0)),
            _ => Err("a share of the wing lies between 0 and 100 %".to_owned()),
        };
    }
    // A number alone could be either.
    if text.trim().parse::<f64>().is_ok() {
        return Err(FORM.to_owned());
    }
    match quantity_outside(text, Unit::Mm) {
        Ok(m) if (0.0..=BEHIND_MAX_M).contains(&m) => Ok(Target::BehindNose(m)),
        Ok(_) => Err(format!("must lie between 0 and {:.0} mm", BEHIND_MAX_M * 1e3)),
        Err(d) => Err(format!("{}; {FORM}", d.message)),
    }
}

/// Furthest balance point, m. Chosen: longer than any sheet.
const BEHIND_MAX_M: f64 = 10.0;

/// Changes of an answer, for `--apply`.
pub fn remedies(a: &Aimed) -> Vec<&Remedy> {
    a.solutions.iter().map(|s| &s.remedy).collect()
}

/// The answer for people.
pub fn report(name: &str, a: &Aimed, answer: &view::Aim) -> String {
    let t = a.target;
    let title = format!("Lets of {name} for {}", t.say(t.wanted()));
    let mut rows = Rows::titled(&title).row("now", &says(&answer.before)).gap();
    for (k, (s, solved)) in a.solutions.iter().zip(&answer.remedies).enumerate() {
        let r = &solved.remedy;
        rows = rows.strong_row(&format!("{}", k + 1), &r.change).row("", &says(&r.after));
        let mut side = side_effects(&answer.before, r);
        if s.off != 0.0 {
            side.insert(0, format!("the nearest whole number: {}", off(t, s.off)));
        }
        rows = rows.row("", &side.join("; "));
    }
    if a.solutions.is_empty() {
        rows = rows.paragraph("No let reaches that within its range.");
    }
    for (i, s) in a.short.iter().enumerate() {
        rows = rows.row(if i == 0 { "not with" } else { "" }, &falls_short(s, t));
    }
    if !a.solutions.is_empty() {
        let how = "plumbfold mend FILE --to … --apply 1 -o NEW.plane makes the first.";
        rows = rows.gap().paragraph(how);
    }
    rows.finish()
}

fn off(t: Target, off: f64) -> String {
    let more = if off > 0.0 { "more" } else { "less" };
    match t {
        Target::AreaAhead(_) => format!("{:.1} % of the wing {more} than wanted", off.abs() * 1e2),
        Target::BehindNose(_) => format!("{:.1} mm {more} than wanted", off.abs() * 1e3),
    }
}

fn falls_short(s: &Short, t: Target) -> String {
    let name = &s.name;
    match &s.why {
        Why::NoEffect => format!("`{name}`, which changes nothing about it"),
        Why::NoFold => format!("`{name}`, which cannot be folded anywhere in its range"),
        Why::NoFoldOrWeight => format!("`{name}`, which is neither fold nor weight"),
        Why::Sheet => format!("`{name}`, the sheet itself: tried only with --let {name}"),
        Why::NoPlane { said } => format!("`{name}`, with which the plane does not fly at {said}"),
        Why::TooFar { said, gives, .. } => {
            format!("`{name}`: at the nearest, {said}, {}", t.say(*gives))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_and_lengths_are_told_apart() {
        assert_eq!(target("25%"), Ok(Target::AreaAhead(0.25)));
        assert_eq!(target(" 28.5 % "), Ok(Target::AreaAhead(0.285)));
        for (text, m) in [("62 mm", 0.062), ("6.2cm", 0.062), ("2 in", 0.0508), ("0 mm", 0.0)] {
            let found = target(text);
            assert!(matches!(found, Ok(Target::BehindNose(v)) if (v - m).abs() < 1e-12), "{text}");
        }
        for bad in ["25", "0.25", "0%", "100%", "-3%", "x%", "%", "12 deg", "-1 mm", "11 m", ""] {
            assert!(target(bad).is_err(), "{bad}");
        }
    }
}

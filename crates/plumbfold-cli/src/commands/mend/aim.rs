//! `mend --to`: what puts the balance point where it is wanted.

use plumbfold::design::ast::Unit;
use plumbfold::design::eval::quantity_outside;
use plumbfold::study::remedy::Remedy;
use plumbfold::study::remedy::aim::{Aimed, Target};
use plumbfold_view::mend as view;

use super::{make, says, side_effects};
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
pub fn report(name: &str, answer: &view::Aim) -> Rows {
    let title = format!("Lets of {name} for {}", answer.wanted);
    let mut rows = Rows::titled(&title).row("now", &says(&answer.before)).gap();
    for (k, solved) in answer.remedies.iter().enumerate() {
        let r = &solved.remedy;
        rows = rows.strong_row(&format!("{}", k + 1), &r.change).row("", &says(&r.after));
        let mut side = side_effects(&answer.before, r);
        side.splice(0..0, solved.off_said.clone());
        rows = rows.row("", &side.join("; "));
    }
    if answer.remedies.is_empty() {
        rows = rows.paragraph("No let reaches that within its range.");
    }
    for (i, missed) in answer.tried.iter().enumerate() {
        rows = rows.row(if i == 0 { "not with" } else { "" }, &missed.said);
    }
    if !answer.remedies.is_empty() {
        rows = rows.gap().paragraph(&make(name));
    }
    rows
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

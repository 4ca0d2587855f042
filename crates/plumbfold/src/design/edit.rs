//! Changes to a design text made by a program: only what changes is touched, so comments and
//! layout survive.

use super::ast::{Design, Expr, Span, Spanned, Throw, Unit};
use super::diagnostic::{Diagnostic, did_you_mean};
use super::lexer::lines;
use super::parser::parse;
use super::print::throw_statement;
use crate::plane::assembly;

/// A change that was not made; the text is as before.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum EditError {
    /// There is no such let.
    #[error("no let is called `{name}`{}", meant.as_ref().map_or(String::new(), |m| format!("; did you mean `{m}`?")))]
    UnknownLet {
        /// What was asked for.
        name: String,
        /// What was probably meant.
        meant: Option<String>,
    },
    /// The new text does not fit where it should go.
    #[error("`{text}` does not fit there: {why}")]
    DoesNotFit {
        /// The new text.
        text: String,
        /// What the parser says.
        why: String,
    },
    /// Two replacements want the same place, or one is past the end of the text.
    #[error("the places to change overlap or are not in the text")]
    BadPlaces,
}

/// The text with one piece replaced.
///
/// # Errors
/// The place is not in the text.
pub fn replace_span(text: &str, span: Span, new: &str) -> Result<String, EditError> {
    replace_spans(text, &[(span, new.to_owned())])
}

/// The text with several pieces replaced, in any order; an empty span inserts.
///
/// # Errors
/// Places overlap, or are not in the text.
pub fn replace_spans(text: &str, edits: &[(Span, String)]) -> Result<String, EditError> {
    let mut edits: Vec<_> = edits.iter().collect();
    edits.sort_by_key(|(span, _)| (span.start, span.end));
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    for (span, new) in edits {
        let kept = text.get(at..span.start).filter(|_| at <= span.start);
        let inside = text.get(span.clone());
        let (Some(kept), Some(_)) = (kept, inside) else { return Err(EditError::BadPlaces) };
        out.push_str(kept);
        out.push_str(new);
        at = span.end;
    }
    out.push_str(&text[at..]);
    Ok(out)
}

/// The text with a let's value replaced; its range and note stay.
///
/// # Errors
/// No such let, or the new value cannot be read as one.
pub fn set_let(text: &str, name: &str, value: &str) -> Result<String, EditError> {
    let (design, before) = parse(text);
    let Some(old) = design.lets.iter().find(|l| l.node.name.node == name) else {
        let known = design.lets.iter().map(|l| l.node.name.node.as_str());
        let meant = did_you_mean(name, known).map(str::to_owned);
        return Err(EditError::UnknownLet { name: name.to_owned(), meant });
    };
    let place = old.node.value.span.clone();
    if old.node.value.node == Expr::Missing {
        let why = "the line cannot be read as it is".to_owned();
        return Err(EditError::DoesNotFit { text: value.to_owned(), why });
    }
    let new = replace_span(text, place, value.trim())?;
    accept(new, value, &before, |design| {
        let new = design.lets.iter().find(|l| l.node.name.node == name);
        new.is_some_and(|l| l.node.range == old.node.range && l.node.note == old.node.note)
    })
}

/// The text with a new line after the line that ends at or holds the end of `after`, indented
/// like it.
///
/// # Errors
/// The place is not in the text, or the line cannot be read there.
pub fn insert_line_after(text: &str, after: Span, line: &str) -> Result<String, EditError> {
    let (_, before) = parse(text);
    let found = lines(text).take_while(|l| l.whole.start <= after.end).last();
    let whole = match found {
        Some(l) if after.end <= text.len() => l.whole,
        None if text.is_empty() => 0..0,
        _ => return Err(EditError::BadPlaces),
    };
    let old = &text[whole.clone()];
    let indent = &old[..old.len() - old.trim_start().len()];
    let indent = if old.trim().is_empty() { "" } else { indent };
    let new = replace_span(text, whole.end..whole.end, &format!("\n{indent}{line}"))?;
    accept(new, line, &before, |_| true)
}

/// The text with a statement of the finished plane (trim, ballast, throw) added: below the last of
/// its kind, above the throw.
pub fn add_statement(text: &str, design: &Design, statement: &str) -> String {
    let last = [
        design.trims.last().map(|t| &t.span),
        design.ballast.last().map(|b| &b.span),
        design.pose.as_ref().map(|p| &p.span),
        design.steps.last().map(|s| &s.span),
    ];
    let last = last.into_iter().flatten().map(|span| span.end).max();
    match last.and_then(|at| text.get(at..)?.find('\n').map(|n| at + n + 1)) {
        Some(end) => {
            let newline = if text[..end].ends_with("\r\n") { "\r\n" } else { "\n" };
            format!("{}{statement}{newline}{}", &text[..end], &text[end..])
        }
        None => {
            let gap = if text.is_empty() || text.ends_with('\n') { "" } else { "\n" };
            format!("{text}{gap}{statement}\n")
        }
    }
}

/// The text without the whole line that holds a place, its comment included.
///
/// # Errors
/// The place is not in the text.
pub fn remove_line(text: &str, span: &Span) -> Result<String, EditError> {
    let (Some(before), Some(after)) = (text.get(..span.start), text.get(span.end..)) else {
        return Err(EditError::BadPlaces);
    };
    let start = before.rfind('\n').map_or(0, |at| at + 1);
    let end = after.find('\n').map_or(text.len(), |at| span.end + at + 1);
    replace_span(text, start..end, "")
}

/// The text with another throw: only what is given changes. Speed in m/s, elevation in rad, height
/// of the hand in m.
pub fn set_throw(
    text: &str,
    speed_m_s: Option<f64>,
    elevation_rad: Option<f64>,
    height_m: Option<f64>,
) -> String {
    if speed_m_s.or(elevation_rad).or(height_m).is_none() {
        return text.to_owned();
    }
    let (design, _) = parse(text);
    let number = |value: f64, unit| {
        // Changes of unit leave dust in the last digits.
        let value = (value * 1e9).round() / 1e9;
        let number = Spanned { node: Expr::Number(value.abs(), unit), span: 0..0 };
        if value >= 0.0 { number } else { Spanned { node: Expr::Neg(number.into()), span: 0..0 } }
    };
    let there = design.throw.as_ref();
    let old = there.map(|t| &t.node);
    let throw = Throw {
        speed: match (speed_m_s, old) {
            (None, Some(t)) => t.speed.clone(),
            (speed, _) => number(speed.unwrap_or(assembly::THROW_SPEED_M_S), Unit::MPerS),
        },
        elevation: elevation_rad
            .map(|e| number(e.to_degrees(), Unit::Deg))
            .or_else(|| old?.elevation.clone()),
        height: height_m.map(|h| number(h, Unit::M)).or_else(|| old?.height.clone()),
        bank: old.and_then(|t| t.bank.clone()),
    };
    let statement = throw_statement(&throw);
    match there {
        Some(t) => format!("{}{statement}{}", &text[..t.span.start], &text[t.span.end..]),
        None => add_statement(text, &design, &statement),
    }
}

/// The new text, if it has no mistakes the old one did not have.
fn accept(
    new: String,
    what: &str,
    before: &[Diagnostic],
    as_meant: impl Fn(&super::ast::Design) -> bool,
) -> Result<String, EditError> {
    let does_not_fit = |why: String| EditError::DoesNotFit { text: what.to_owned(), why };
    let (design, after) = parse(&new);
    let fresh = after.iter().find(|d| before.iter().all(|b| b.message != d.message));
    if let Some(fault) = fresh.or(after.last()).filter(|_| after.len() > before.len()) {
        return Err(does_not_fit(fault.message.clone()));
    }
    if what.contains(['\n', '\r', '#']) || !as_meant(&design) {
        return Err(does_not_fit("it says more than one thing".to_owned()));
    }
    Ok(new)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "plane Scow\nsheet A4, 80 g/m2\n\n  let tip = 24 mm,  from 8 mm to 45 mm   # keep me\n# and me\nvalley top middle back by tip along left edge\n";

    #[test]
    fn a_let_changes_and_nothing_else() {
        let new = set_let(TEXT, "tip", "3/8 in + 2 mm").unwrap();
        assert_eq!(new, TEXT.replace("24 mm", "3/8 in + 2 mm"));
    }

    #[test]
    fn values_that_do_not_fit_are_refused() {
        for bad in ["24 mn", "", "1 mm, from 0 mm to 3 mm", "1 mm # ha", "1 mm\nunfold", "(2"] {
            let err = set_let(TEXT, "tip", bad).unwrap_err();
            assert!(matches!(err, EditError::DoesNotFit { .. }), "{bad}: {err}");
        }
        let err = set_let(TEXT, "tipp", "1 mm").unwrap_err();
        assert_eq!(err.to_string(), "no let is called `tipp`; did you mean `tip`?");
    }

    #[test]
    fn a_line_goes_in_after_another() {
        let (design, _) = parse(TEXT);
        let new = insert_line_after(TEXT, design.lets[0].span.clone(), "let band = 20 mm").unwrap();
        let (before, after) = TEXT.split_once("\n# and me").unwrap();
        assert_eq!(new, format!("{before}\n  let band = 20 mm\n# and me{after}"));
        assert!(insert_line_after(TEXT, 9..9, "valey x").is_err());
        assert!(insert_line_after(TEXT, 9..9999, "unfold").is_err());
    }

    #[test]
    fn statements_of_the_finished_plane_stand_above_the_throw() {
        let text = "plane A\nsheet A4, 80 g/m2\npose flat   # so\n\nthrow 3 m/s # gently\n";
        let (design, _) = parse(text);
        let new = add_statement(text, &design, "trim elevator up 1 mm, 10 mm deep");
        assert_eq!(new, text.replace("# so\n", "# so\ntrim elevator up 1 mm, 10 mm deep\n"));
        let (design, _) = parse(&new);
        assert_eq!(remove_line(&new, &design.trims[0].span).unwrap(), text);
        let bare = "plane A\nsheet A4, 80 g/m2";
        let new = add_statement(bare, &parse(bare).0, "throw 3 m/s");
        assert_eq!(new, format!("{bare}\nthrow 3 m/s\n"));
    }

    #[test]
    fn a_throw_changes_only_where_asked() {
        let text = "let v = 3 m/s\nthrow v, up 10 deg, from 1.6 m, banked 5 deg left # so\n";
        let thrown = |s, e: Option<f64>, h| set_throw(text, s, e.map(f64::to_radians), h);
        assert_eq!(thrown(None, None, None), text);
        assert_eq!(thrown(Some(5.0), None, None), text.replace("throw v", "throw 5 m/s"));
        assert_eq!(thrown(None, Some(-5.0), None), text.replace("up 10", "down 5"));
        assert_eq!(
            thrown(None, Some(0.0), Some(2.0)),
            text.replace("up 10 deg, from 1.6", "level, from 2")
        );
        assert_eq!(
            set_throw("plane A\n", None, None, Some(2.0)),
            "plane A\nthrow 4.5 m/s, from 2 m\n"
        );
    }

    #[test]
    fn several_places_at_once() {
        let edits = [(4..5, "E".to_owned()), (0..1, "A".to_owned()), (2..2, "+".to_owned())];
        assert_eq!(replace_spans("abcdef", &edits).unwrap(), "Ab+cdEf");
        let overlapping = [(0..3, String::new()), (2..4, String::new())];
        assert_eq!(replace_spans("abcdef", &overlapping), Err(EditError::BadPlaces));
        assert_eq!(replace_span("ä", 1..2, ""), Err(EditError::BadPlaces));
    }
}

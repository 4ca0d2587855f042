//! For tests: mistakes as plain text, the way a terminal would show them.

use super::diagnostic::{Diagnostic, Severity};
use super::{eval, parser};

/// Parses and evaluates; renders every mistake.
pub fn mistakes(text: &str) -> String {
    mistakes_with(text, &[])
}

/// The same with settings.
pub fn mistakes_with(text: &str, settings: &[(&str, &str)]) -> String {
    let (design, mut found) = parser::parse(text);
    let settings: Vec<_> = settings.iter().map(|(n, v)| (n.to_string(), v.to_string())).collect();
    found.extend(eval::evaluate(&design, &settings).err().unwrap_or_default());
    found.sort_by_key(|d| d.span.start);
    found.iter().map(|d| render(text, d)).collect::<Vec<_>>().join("\n")
}

/// One mistake with its line and a caret under the place.
pub fn render(text: &str, d: &Diagnostic) -> String {
    let severity = if d.severity == Severity::Error { "error" } else { "warning" };
    let mut out = format!("{severity}[{}]: {}\n", d.code, d.message);
    out += &excerpt(text, &d.span, '^', &d.label);
    for (span, what) in &d.related {
        out += &excerpt(text, span, '-', what);
    }
    if let Some(help) = &d.help {
        out += &format!("help: {help}\n");
    }
    out
}

fn excerpt(text: &str, span: &std::ops::Range<usize>, caret: char, label: &str) -> String {
    let start = text[..span.start].rfind('\n').map_or(0, |i| i + 1);
    let end = text[span.start..].find('\n').map_or(text.len(), |i| span.start + i);
    let line = text[..start].matches('\n').count() + 1;
    let before = text[start..span.start].chars().count();
    let width = text[span.start..span.end.clamp(span.start, end)].chars().count().max(1);
    let carets = caret.to_string().repeat(width);
    let marked = format!("{}{carets} {label}", " ".repeat(before));
    format!("{line:>3} | {}\n    | {}\n", &text[start..end], marked.trim_end())
}

//! Mistakes in a design as the terminal shows them: place, caret, cause, way to mend it.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Origin, Renderer, Snippet};
use plumbfold::design::ast::Span;
use plumbfold::design::diagnostic::{Diagnostic, Severity};
use plumbfold_view::place::line_and_column;

use crate::system::Source;

/// Most mistakes printed for one file; more than a screen or two helps nobody.
const SHOWN_MAX: usize = 40;

/// Longest line quoted. Longer ones (a file without line breaks) are named by place only.
const LINE_MAX: usize = 400;

/// All mistakes of one file, in the order of the text, each followed by an empty line.
pub fn to_text(source: &Source, diagnostics: &[Diagnostic]) -> String {
    let mut sorted: Vec<&Diagnostic> = diagnostics.iter().collect();
    sorted.sort_by_key(|d| (d.span.start, std::cmp::Reverse(d.severity)));
    let renderer = Renderer::styled().decor_style(DecorStyle::Ascii).term_width(100);
    let mut text = String::new();
    for d in sorted.iter().take(SHOWN_MAX) {
        text += &renderer.render(&groups(source, d));
        text += "\n\n";
    }
    if sorted.len() > SHOWN_MAX {
        text +=
            &format!("… and {} more like these in {}\n\n", sorted.len() - SHOWN_MAX, source.name);
    }
    text
}

fn groups<'a>(source: &'a Source, d: &'a Diagnostic) -> Vec<Group<'a>> {
    let level = match d.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let title = level.primary_title(d.message.as_str()).id(d.code);
    let quotable = |span: &Span| line_around(&source.text, span).len() <= LINE_MAX;
    let mut group = if d.span == (0..0) {
        // It belongs to no place in the text: something missing, or a setting from outside.
        title.element(Origin::path(source.name.as_str()))
    } else if quotable(&d.span) {
        let primary = AnnotationKind::Primary.span(whole(&source.text, &d.span));
        let primary = if d.label.is_empty() { primary } else { primary.label(d.label.as_str()) };
        let related = d.related.iter().filter(|(span, _)| quotable(span)).map(|(span, what)| {
            AnnotationKind::Context.span(whole(&source.text, span)).label(what.as_str())
        });
        let snippet = Snippet::source(source.text.as_str()).path(source.name.as_str());
        title.element(snippet.annotation(primary).annotations(related))
    } else {
        let (line, column) = line_and_column(&source.text, d.span.start);
        let at = format!("at {}:{line}:{column}, a line too long to show", source.name);
        Group::with_title(title).element(Level::NOTE.message(at))
    };
    if let Some(help) = &d.help {
        group = group.element(Level::HELP.message(help.as_str()));
    }
    vec![group]
}

/// The span widened to whole characters: quoting must not fail over half of one.
fn whole(text: &str, span: &Span) -> Span {
    text.floor_char_boundary(span.start)..text.ceil_char_boundary(span.end)
}

fn line_around<'a>(text: &'a str, span: &Span) -> &'a str {
    let span = whole(text, span);
    let from = text[..span.start].rfind('\n').map_or(0, |i| i + 1);
    let to = text[span.end..].find('\n').map_or(text.len(), |i| span.end + i);
    &text[from..to]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::system::Form;

    #[test]
    fn a_file_without_line_breaks_is_not_quoted() {
        let source =
            Source { name: "long.plane".into(), text: "x".repeat(100_000), form: Form::default() };
        let shown = to_text(&source, &[Diagnostic::error("e", 50_000..50_001, "no")]);
        assert!(shown.len() < 500, "{} bytes", shown.len());
        assert!(shown.contains("long.plane:1:50001"));
    }

    #[test]
    fn spans_at_the_end_and_inside_wide_characters_are_survived() {
        let source =
            Source { name: "a.plane".into(), text: "ééé".into(), form: Form::default() };
        for span in [0..0, 0..1, 1..1, 1..3, 5..6, 6..6] {
            assert!(to_text(&source, &[Diagnostic::error("e", span, "no")]).contains("a.plane"));
        }
    }
}

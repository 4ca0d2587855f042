//! Answers as text, as JSON and as rows for a spreadsheet. Nothing here computes; nothing here touches files.

pub mod air;
pub mod balance;
pub mod compare;
pub mod csv;
pub mod diagnostics;
pub mod fold;
pub mod json;
pub mod state;
pub mod table;
pub mod verdict;

use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;

/// Width of text reports, columns.
const WIDTH: usize = 88;
/// Width of the words that name the rows.
const NAME_WIDTH: usize = 13;

/// A title and rows of a name and what there is to say about it, wrapped under itself.
#[derive(Default)]
pub struct Rows(String);

impl Rows {
    /// With a title in bold.
    pub fn titled(title: &str) -> Self {
        let bold = anstyle::Style::new().bold();
        Self(format!("{bold}{title}{bold:#}\n"))
    }

    /// Running text under the title.
    pub fn paragraph(mut self, text: &str) -> Self {
        for line in wrapped(text, WIDTH - 2) {
            self.line("", &line, 0);
        }
        self
    }

    /// A row; long ones run on under their own beginning.
    pub fn row(mut self, name: &str, text: &str) -> Self {
        for (i, line) in wrapped(text, WIDTH - NAME_WIDTH - 3).iter().enumerate() {
            self.line(if i == 0 { name } else { "" }, line, NAME_WIDTH + 1);
        }
        self
    }

    /// A row in bold.
    pub fn strong_row(mut self, name: &str, text: &str) -> Self {
        let bold = anstyle::Style::new().bold();
        for (i, line) in wrapped(text, WIDTH - NAME_WIDTH - 3).iter().enumerate() {
            let name = if i == 0 { name } else { "" };
            self.line(name, &format!("{bold}{line}{bold:#}"), NAME_WIDTH + 1);
        }
        self
    }

    /// Lines of a table, or of anything else that must not wrap.
    pub fn lines(mut self, lines: impl IntoIterator<Item = String>) -> Self {
        for line in lines {
            self.line("", &line, 0);
        }
        self
    }

    /// Lines drawn with letters, kept as they are.
    pub fn drawn(mut self, lines: &[String]) -> Self {
        for line in lines {
            self.line("", line, NAME_WIDTH + 1);
        }
        self
    }

    /// An empty line.
    pub fn gap(mut self) -> Self {
        self.0.push('\n');
        self
    }

    /// The report.
    pub fn finish(self) -> String {
        self.0
    }

    fn line(&mut self, name: &str, text: &str, column: usize) {
        // Writing to a String cannot fail.
        let _ = writeln!(self.0, "{}", format!("  {name:<column$}{text}").trim_end());
    }
}

/// Words in lines of at most `width` columns; a longer word stands alone.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    let mut columns = 0;
    for word in text.split_whitespace() {
        let length = word.width();
        if columns > 0 && columns + 1 + length > width {
            lines.push(String::new());
            columns = 0;
        }
        if let Some(line) = lines.last_mut() {
            if columns > 0 {
                line.push(' ');
                columns += 1;
            }
            line.push_str(word);
            columns += length;
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_wrap_and_none_is_lost() {
        let text = "a steady floater for the long hall averylongwordthatfitsnowhere end";
        let lines = wrapped(text, 12);
        assert_eq!(lines.join(" "), text);
        assert!(lines.iter().all(|l| l.len() <= 12 || !l.contains(' ')), "{lines:?}");
    }
}

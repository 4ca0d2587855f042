//! Answers as text, as JSON and as rows for a spreadsheet. Nothing here computes; nothing here touches files.

pub mod air;
pub mod balance;
pub mod compare;
pub mod csv;
pub mod diagnostics;
pub mod differ;
pub mod fold;
pub mod json;
pub mod page;
pub mod state;
pub mod table;
pub mod trace;
pub mod verdict;

use plumbfold_view::calibrated::InUse;
use table::Table;
use unicode_width::UnicodeWidthStr;

/// Width of reports that are not shown on a terminal, columns.
pub const WIDTH: usize = 88;
/// Narrowest and widest report, columns: below, a column of numbers no longer fits; above, a line
/// is too long to read.
pub const WIDTHS: [usize; 2] = [60, 120];
/// Width of the words that name the rows.
const NAME_WIDTH: usize = 13;

/// How much a report tells.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Amount {
    /// One page.
    #[default]
    Page,
    /// All there is.
    Full,
}

/// A title and rows of a name and what there is to say about it, wrapped under itself when the
/// width is known.
#[derive(Clone, Default)]
pub struct Rows(Vec<Row>);

#[derive(Clone)]
enum Row {
    Title(String),
    Paragraph(String),
    Named {
        name: String,
        text: String,
        strong: bool,
    },
    /// The same in tables of different widths, the widest first; each may be several, one below
    /// the other.
    Tables(Vec<Vec<Table>>),
    Drawn(Vec<String>),
    Gap,
}

impl Rows {
    /// With a title in bold.
    pub fn titled(title: &str) -> Self {
        Self(vec![Row::Title(title.to_owned())])
    }

    /// Running text under the title.
    pub fn paragraph(self, text: &str) -> Self {
        self.with(Row::Paragraph(text.to_owned()))
    }

    /// A row; long ones run on under their own beginning.
    pub fn row(self, name: &str, text: &str) -> Self {
        self.with(Row::Named { name: name.to_owned(), text: text.to_owned(), strong: false })
    }

    /// A row in bold.
    pub fn strong_row(self, name: &str, text: &str) -> Self {
        self.with(Row::Named { name: name.to_owned(), text: text.to_owned(), strong: true })
    }

    /// With what it counts with, below its title; the planes are named where there are several.
    pub fn calibrated(mut self, with: &[InUse]) -> Self {
        let said: Vec<String> = match with {
            [] => return self,
            [one] => vec![one.said.clone()],
            several => several.iter().map(|c| format!("{}: {}", c.plane, c.said)).collect(),
        };
        let row = Self::default().gap().row("calibrated", &said.join("\n"));
        let below = usize::from(matches!(self.0.first(), Some(Row::Title(_))));
        self.0.splice(below..below, row.0);
        self
    }

    /// A table; its columns go on below where they do not fit side by side.
    pub fn table(self, table: Table) -> Self {
        self.tables(vec![vec![table]])
    }

    /// The first of several that fits the width, or the last, with its columns going on below.
    pub fn tables(self, tables: Vec<Vec<Table>>) -> Self {
        self.with(Row::Tables(tables))
    }

    /// Lines drawn with letters, kept as they are.
    pub fn drawn(self, lines: &[String]) -> Self {
        self.with(Row::Drawn(lines.to_vec()))
    }

    /// An empty line.
    pub fn gap(self) -> Self {
        self.with(Row::Gap)
    }

    fn with(mut self, row: Row) -> Self {
        self.0.push(row);
        self
    }

    /// With every sentence told otherwise; tables and drawings stay.
    pub fn told(mut self, otherwise: impl Fn(&str) -> String) -> Self {
        for row in &mut self.0 {
            if let Row::Paragraph(text) | Row::Named { text, .. } = row {
                *text = otherwise(text);
            }
        }
        self
    }

    /// The report, so many columns wide.
    pub fn to_text(&self, width: usize) -> String {
        let width = width.clamp(WIDTHS[0], WIDTHS[1]);
        self.0.iter().flat_map(|row| row.lines(width)).map(|l| l + "\n").collect()
    }
}

impl Row {
    fn lines(&self, width: usize) -> Vec<String> {
        let bold = anstyle::Style::new().bold();
        let line = |name: &str, text: &str, column: usize| {
            format!("  {name:<column$}{text}").trim_end().to_owned()
        };
        match self {
            Self::Title(title) => {
                wrapped(title, width).iter().map(|l| format!("{bold}{l}{bold:#}")).collect()
            }
            Self::Paragraph(text) => {
                wrapped(text, width - 2).iter().map(|l| line("", l, 0)).collect()
            }
            Self::Named { name, text, strong } => {
                let lines = wrapped(text, width - NAME_WIDTH - 3);
                let named = lines.iter().enumerate().map(|(i, words)| {
                    let name = if i == 0 { name.as_str() } else { "" };
                    let words =
                        if *strong { format!("{bold}{words}{bold:#}") } else { words.clone() };
                    line(name, &words, NAME_WIDTH + 1)
                });
                named.collect()
            }
            Self::Tables(tables) => {
                let fits = |all: &&Vec<Table>| all.iter().all(|t| t.width() + 2 <= width);
                let chosen = tables.iter().find(fits).or_else(|| tables.last());
                let below = chosen.into_iter().flatten().flat_map(|t| t.within(width - 2));
                let lines: Vec<Vec<String>> = below.map(|t| t.lines()).collect();
                lines.join(&String::new()).iter().map(|l| line("", l, 0)).collect()
            }
            Self::Drawn(lines) => lines.iter().map(|l| line("", l, NAME_WIDTH + 1)).collect(),
            Self::Gap => vec![String::new()],
        }
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
    fn a_report_keeps_to_its_width_and_to_the_table_that_fits() {
        let long = "a steady floater for the long hall and the gallery ".repeat(4);
        let tables = [100, 70, 40].map(|n| vec![Table::new([vec!["x".repeat(n)]])]).to_vec();
        let rows = Rows::titled(&long).paragraph(&long).row("name", &long).tables(tables);
        for (width, table) in [(60, 40), (80, 70), (120, 100), (20, 40), (500, 100)] {
            let text = rows.to_text(width);
            let most = text.lines().map(|l| anstream::adapter::strip_str(l).to_string().width());
            assert!(most.max() <= Some(width.clamp(60, 120)), "{width}:\n{text}");
            assert!(text.lines().any(|l| l.trim() == "x".repeat(table)), "{width}:\n{text}");
        }
    }

    #[test]
    fn words_wrap_and_none_is_lost() {
        let text = "a steady floater for the long hall averylongwordthatfitsnowhere end";
        let lines = wrapped(text, 12);
        assert_eq!(lines.join(" "), text);
        assert!(lines.iter().all(|l| l.len() <= 12 || !l.contains(' ')), "{lines:?}");
    }
}

//! Words and numbers in columns that stand under each other.

use unicode_width::UnicodeWidthStr;

/// A table; its first rows are the heading, its first column names the rows.
#[derive(Clone, Debug, Default)]
pub struct Table {
    rows: Vec<Row>,
    headings: usize,
}

#[derive(Clone, Debug)]
struct Row {
    cells: Vec<String>,
    /// Said in place of the cells that are missing.
    note: String,
}

/// Between two columns.
const GAP: usize = 2;

impl Table {
    /// With a heading of one row or more.
    pub fn new(heading: impl IntoIterator<Item = Vec<String>>) -> Self {
        let row = |cells| Row { cells, note: String::new() };
        let rows: Vec<Row> = heading.into_iter().map(row).collect();
        Self { headings: rows.len(), rows }
    }

    /// Columns of letters it takes.
    pub fn width(&self) -> usize {
        let widths = self.widths();
        widths.iter().sum::<usize>() + GAP * widths.len().saturating_sub(1)
    }

    /// The same in tables no wider than this, as far as columns can be parted: the first column
    /// names the rows of each. One with notes across its columns stays whole.
    pub fn within(&self, width: usize) -> Vec<Self> {
        let widths = self.widths();
        if self.width() <= width || self.rows.iter().any(|r| !r.note.is_empty()) {
            return vec![self.clone()];
        }
        let mut parts: Vec<Vec<usize>> = vec![vec![0]];
        let mut room = width.saturating_sub(widths[0]);
        for (k, w) in widths.iter().enumerate().skip(1) {
            let last = parts.len() - 1;
            if room < w + GAP && parts[last].len() > 1 {
                parts.push(vec![0]);
                room = width.saturating_sub(widths[0]);
            }
            let last = parts.len() - 1;
            parts[last].push(k);
            room = room.saturating_sub(w + GAP);
        }
        let part = |columns: &Vec<usize>| {
            let row = |r: &Row| Row {
                cells: columns.iter().filter_map(|&k| r.cells.get(k).cloned()).collect(),
                note: String::new(),
            };
            Self { rows: self.rows.iter().map(row).collect(), headings: self.headings }
        };
        parts.iter().map(part).collect()
    }

    /// Adds a row.
    pub fn row(&mut self, cells: Vec<String>) {
        self.rows.push(Row { cells, note: String::new() });
    }

    /// Adds a row that ends in words across the columns it has nothing for.
    pub fn row_with_note(&mut self, cells: Vec<String>, note: &str) {
        self.rows.push(Row { cells, note: note.to_owned() });
    }

    fn widths(&self) -> Vec<usize> {
        let columns = self.rows.iter().map(|r| r.cells.len()).max().unwrap_or(0);
        let length = |r: &Row, k: usize| r.cells.get(k).map_or(0, |c| c.width());
        (0..columns).map(|k| self.rows.iter().map(|r| length(r, k)).max().unwrap_or(0)).collect()
    }

    /// The lines: the first column and columns of words from the left, numbers from the right.
    pub fn lines(&self) -> Vec<String> {
        let widths = self.widths();
        let starts_like_a_number = |c: &str| {
            c.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '−' | '–'))
        };
        let right: Vec<bool> = (0..widths.len())
            .map(|k| {
                let mut cells = self.rows.iter().skip(self.headings).filter_map(|r| r.cells.get(k));
                k > 0 && cells.all(|c| c.is_empty() || starts_like_a_number(c))
            })
            .collect();
        let line = |row: &Row| {
            let mut line = String::new();
            for (k, cell) in row.cells.iter().enumerate() {
                let room = widths[k].saturating_sub(cell.width());
                let (before, after) = if right[k] { (room, 0) } else { (0, room) };
                let gap = if k > 0 { GAP } else { 0 };
                line += &" ".repeat(gap + before);
                line += cell;
                line += &" ".repeat(after);
            }
            if !row.note.is_empty() {
                line += &" ".repeat(GAP);
                line += &row.note;
            }
            line.trim_end().to_owned()
        };
        self.rows.iter().map(line).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(words: &[&str]) -> Vec<String> {
        words.iter().map(|w| (*w).to_owned()).collect()
    }

    fn table() -> Table {
        let mut t = Table::new([cells(&["plane", "span mm", "what it does"])]);
        t.row(cells(&["Scow", "90.0", "glides"]));
        t.row(cells(&["Marlinspike", "163.2", "dives"]));
        t
    }

    #[test]
    fn numbers_stand_under_each_other_from_the_right_words_from_the_left() {
        let lines = table().lines();
        assert_eq!(lines[0], "plane        span mm  what it does");
        assert_eq!(lines[1], "Scow            90.0  glides");
        assert_eq!(lines[2], "Marlinspike    163.2  dives");
    }

    #[test]
    fn columns_that_do_not_fit_go_on_below() {
        assert_eq!(table().width(), 34);
        let parts = table().within(22);
        assert_eq!(parts.len(), 2);
        assert!(parts.iter().all(|t| t.width() <= 26), "no narrower than two columns");
        assert_eq!(parts[1].lines()[1], "Scow         glides");
        assert_eq!(table().within(34).len(), 1);
    }

    /// Unicode Standard Annex 11: letters of full width take two columns, combining marks none.
    #[test]
    fn wide_letters_take_their_two_columns() {
        let mut t = Table::new([cells(&["plane", "mm"])]);
        t.row(cells(&["海鳥", "1"]));
        t.row(cells(&["Mole\u{301}", "1"]));
        assert_eq!(t.lines()[1], "海鳥    1");
        assert_eq!(t.lines()[2], "Mole\u{301}    1");
    }

    #[test]
    fn notes_run_across() {
        let mut t = table();
        t.row_with_note(cells(&["Bad"]), "line 3: nothing is called `vally`");
        assert_eq!(t.lines()[3], "Bad          line 3: nothing is called `vally`");
    }
}

//! Lines under one another: in a run of lets the `=`, in a run of lines the comments.

/// A line about to be written.
#[derive(Default)]
pub struct Row {
    /// What it says, indented; may hold line ends where it is broken up.
    pub said: String,
    /// Its comment.
    pub comment: Option<String>,
    /// Whether it is a let, and so has a `=` to stand under others.
    pub is_let: bool,
    /// Left as it is: a blank line, a comment alone, a line that cannot be read.
    pub fixed: bool,
}

/// Comments further right than this stay where they are. Chosen: the widths of a page.
const FARTHEST_COMMENT: usize = 60;

/// The rows as text, aligned.
pub fn layout(mut rows: Vec<Row>) -> String {
    for run in rows.chunk_by_mut(|a, b| a.is_let && b.is_let) {
        align_equals(run);
    }
    let mut out = String::new();
    for run in rows.chunk_by(|a, b| !a.fixed && !b.fixed) {
        let column = run.iter().filter(|r| r.comment.is_some()).map(width).max().unwrap_or(0);
        let column = column.min(FARTHEST_COMMENT);
        for row in run {
            out.push_str(&row.said);
            if let Some(comment) = &row.comment {
                let gap =
                    if row.said.is_empty() { 0 } else { column.saturating_sub(width(row)) + 2 };
                out.push_str(&" ".repeat(gap));
                out.push_str(comment);
            }
            out.push('\n');
        }
    }
    out
}

/// Characters of the row's last line.
fn width(row: &Row) -> usize {
    row.said.rsplit('\n').next().unwrap_or_default().chars().count()
}

fn align_equals(lets: &mut [Row]) {
    let equals = |r: &Row| r.said.find(" = ").filter(|_| r.is_let);
    let before = |r: &Row| equals(r).map(|at| r.said[..at].chars().count());
    let Some(column) = lets.iter().filter_map(before).max() else { return };
    for row in lets {
        if let (Some(at), Some(short)) = (equals(row), before(row)) {
            row.said.insert_str(at, &" ".repeat(column - short));
        }
    }
}

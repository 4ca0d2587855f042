//! Byte places of a text as people and as JavaScript count them.

/// Line and column, both from 1; columns count characters.
pub fn line_and_column(text: &str, at: usize) -> (usize, usize) {
    let before = before(text, at);
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}

/// UTF-16 units before a byte.
pub fn utf16(text: &str, at: usize) -> usize {
    before(text, at).chars().map(char::len_utf16).sum()
}

fn before(text: &str, at: usize) -> &str {
    &text[..text.floor_char_boundary(at)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_count_lines_and_characters_from_one() {
        let text = "sheet A4\nvalley ä b";
        assert_eq!(line_and_column(text, 0), (1, 1));
        assert_eq!(line_and_column(text, 9), (2, 1));
        assert_eq!(line_and_column(text, text.len() - 1), (2, 10));
        assert_eq!(line_and_column(text, text.len() + 5), (2, 11));
    }

    #[test]
    fn javascript_counts_pairs() {
        let text = "\u{1F6E9} ä";
        assert_eq!([utf16(text, 4), utf16(text, 5), utf16(text, 7)], [2, 3, 4]);
    }
}

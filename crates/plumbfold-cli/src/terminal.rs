//! What a terminal is sent. Names come from files and designs of others, and a terminal obeys what
//! it is sent: it can be told to write titles, move about, or show a name backwards.

use std::borrow::Cow;

use plumbfold_view::said::turns_writing;

/// The text with every control and direction character spelled out, other than ends of lines, tabs
/// and the colours reports have.
pub fn harmless(text: &str) -> Cow<'_, str> {
    if !text.contains(odd) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let kept = kept(rest);
        if kept > 0 {
            out.push_str(&rest[..kept]);
            rest = &rest[kept..];
        } else {
            out.extend(c.escape_unicode());
            rest = &rest[c.len_utf8()..];
        }
    }
    Cow::Owned(out)
}

/// Bytes at the beginning that may stay: a plain letter, or the setting of a colour.
fn kept(text: &str) -> usize {
    let Some(c) = text.chars().next() else { return 0 };
    if !odd(c) || text.starts_with("\r\n") {
        return c.len_utf8();
    }
    let Some(colour) = text.strip_prefix("\x1b[") else { return 0 };
    let end = colour.find(|c: char| !c.is_ascii_digit() && c != ';');
    end.filter(|&e| colour[e..].starts_with('m')).map_or(0, |e| 2 + e + 1)
}

/// Controls, and what turns the direction of writing; lines and paragraphs end in `\n` only.
fn odd(c: char) -> bool {
    let ends = matches!(c, '\u{2028}' | '\u{2029}');
    ends || turns_writing(c) || c.is_control() && !matches!(c, '\n' | '\t')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_command_the_terminal() {
        for (sent, shown) in [
            ("a\x1b]0;title\x07b", "a\\u{1b}]0;title\\u{7}b"),
            ("up\x1b[2Aon", "up\\u{1b}[2Aon"),
            ("back\r", "back\\u{d}"),
            ("photo\u{202e}gnp.exe", "photo\\u{202e}gnp.exe"),
            ("c1\u{9b}2J", "c1\\u{9b}2J"),
        ] {
            assert_eq!(harmless(sent), shown);
        }
    }

    #[test]
    fn reports_keep_their_colours_and_lines() {
        let report = "\x1b[1m\x1b[91merror\x1b[0m: gr\u{fc}n\n\tso\r\n";
        assert_eq!(harmless(report), report);
    }
}

use super::{format, print};
use crate::design::arbitrary::design;
use crate::design::eval::evaluate;
use crate::design::parser::parse;
use crate::design::parser::tests::EVERY_FORM;
use insta::assert_snapshot;
use proptest::prelude::*;

proptest! {
    #[test]
    fn what_is_printed_reads_the_same(design in design()) {
        let text = print(&design);
        let (read, mistakes) = parse(&text);
        prop_assert!(mistakes.is_empty(), "{text}\n{mistakes:?}");
        prop_assert_eq!(&read, &design, "{}", text);
        // Printed text is canonical already.
        prop_assert_eq!(format(&text), text);
    }

    /// Any damage to a good text: no panic, and formatting changes nothing that is said.
    #[test]
    fn damaged_texts_survive(
        cuts in prop::collection::vec((0usize..4000, 0usize..12, "\\PC{0,3}|\n|#|\\\\|,| the |end"), 1..8)
    ) {
        let mut text: Vec<char> = EVERY_FORM.chars().collect();
        for (at, length, new) in cuts {
            let at = at % text.len();
            let end = (at + length).min(text.len());
            text.splice(at..end, new.chars());
        }
        let text: String = text.into_iter().collect();
        let (read, _) = parse(&text);
        let _ = evaluate(&read, &[]);
        let canonical = format(&text);
        prop_assert_eq!(format(&canonical), canonical.clone());
        prop_assert_eq!(parse(&canonical).0, read, "{}\n{}", text, canonical);
    }

    #[test]
    fn any_text_at_all_survives(text in "(\\PC|\n|[a-z]{1,6} ){0,300}") {
        let (read, mistakes) = parse(&text);
        for m in &mistakes {
            prop_assert!(text.get(m.span.clone()).is_some());
        }
        let _ = evaluate(&read, &[("tip".to_owned(), text.clone())]);
        let canonical = format(&text);
        prop_assert_eq!(format(&canonical), canonical.clone());
    }
}

#[test]
fn comments_blank_lines_and_numbers_stay() {
    let text = "\n\nplane   Gaff # a spar\n\n\n\n# paper\nsheet a4,80g/m2\nlet  tip=3/8in,from 8mm to width/ 4 #  keep\n\n\
        repeat 2 times # twice\n# inside\nvalley fold the top left corner onto bottom edge hinged at top middle both sides\n  vally xyz !  # odd\nend\n\
        mountain through (tip * 2,  -(tip+1 mm)) and 1/3 along line from top middle to bottom middle call keel; take 2, moving top left corner\nthrow 4m/s up -3° from 1.8 m\n\n";
    assert_snapshot!(format(text), @r"
    plane Gaff  # a spar

    # paper
    sheet A4 upright, 80 g/m2
    let tip = 3/8 in, from 8 mm to width / 4  #  keep

    repeat 2 times  # twice
      # inside
      valley top left corner onto bottom edge, hinged at top middle, both sides
      vally xyz !  # odd
    end
    mountain through (tip * 2, -(tip + 1 mm)) and 1/3 along line from top middle to bottom middle, \
        moving top left corner, take 2, call it keel
    throw 4 m/s, down 3°, from 1.8 m
    ");
}

#[test]
fn a_path_stays_a_path() {
    let text = "outline path  M0 0L90-180,  0 200Z mirrored\nmeasured mass 5 g balance 80 mm\n";
    let canonical = format(text);
    assert_eq!(
        canonical,
        "outline path M0 0L90-180, 0 200Z, mirrored\nmeasured mass 5 g, balance 80 mm\n"
    );
    assert_eq!(parse(&canonical), (parse(text).0, Vec::new()));
    assert_eq!(format(&canonical), canonical);
}

#[test]
fn a_text_keeps_the_line_ends_it_came_with() {
    let text = "plane  G\nsheet A4   # paper\npose flat\n";
    let windows = text.replace('\n', "\r\n");
    assert_eq!(format(&windows), format(text).replace('\n', "\r\n"));
}

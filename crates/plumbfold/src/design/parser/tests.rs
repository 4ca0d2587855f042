use super::parse;
use crate::design::testing::mistakes;
use insta::assert_snapshot;

/// Uses every form once; other tests cut it up.
pub const EVERY_FORM: &str = r#"plane Capstan
about A test of everything, # with a comment
about said in two lines.
sheet A4 sideways, 20 lb bond, thickness 0.1 mm, printed side down
creep off
let tip = 24 mm, from 8 mm to width / 4   # how far the tip comes back
let turns = 3
let lean = atan(1/2) + 2 * (3 deg - 1°)
let inch = 3/8 in + 8 1/2 in

mark nose = top middle
mark aft = bottom edge
crease left edge onto right edge, call it centre
valley fold the top left corner onto centre, hinged at nose; both sides
valley top middle back by tip along centre
mountain along centre
valley near half parallel to centre, 22 mm from it towards left middle both sides call it wing
crease through nose and bottom left corner, call it diagonal
crease top left corner onto bottom right corner
crease perpendicular to diagonal through nose
crease top left corner onto centre and top right corner onto aft, take 2
crease top left corner onto centre, perpendicular to left edge, nearest bottom middle
crease at 22.5 deg to left edge through (20 mm, 35 mm)
valley top 2 layers along line from 1/3 along left edge to tip along right edge from top right corner, moving left
valley bottom layer along centre, moving top edge, under nose
valley all layers along centre, moving top right corner, inside
valley flap at nose, along centre, over crossing of centre and diagonal
mountain far half along centre, moving down
unfold
unfold wing
turn over
rotate 90 deg clockwise
repeat turns times
  valley aft onto centre, call it aft
  repeat 2 times
    turn over
  end
end
collapse diagonal valley, centre from nose to bottom middle mountain, wing flat, holding top middle, call it base
inside reverse nose along diagonal, call it beak
outside reverse top middle through nose and top left corner
crimp nose between diagonal and wing
pleat nose between parallel to wing, 5 mm from it and parallel to wing, 10 mm from it
squash centre onto wing, hinged at nose
petal nose along wing, take 2
rabbit ear nose between top left corner and top right corner, towards top left corner
waterbomb base on top square
preliminary base
open sink nose along wing
closed sink nose along wing
swivel centre onto wing, hinged at nose, both sides
tuck nose under bottom middle along wing
pose centre opens 8 deg; wing dihedral lean
trim elevator up 2 mm, 10 mm deep
trim rudder left 1 mm
ballast clip 0.5 g at 12 mm behind nose, 5 mm above keel, 1 mm left
ballast tape 0.2 g at (20 mm, 35 mm)
ballast staple 0.03 g at 1/2 along centre
throw 4 m/s, level, from 1.8 m, banked 5 deg left
"#;

#[test]
fn every_form_is_read() {
    assert_snapshot!(mistakes(EVERY_FORM), @"");
    let (design, _) = parse(EVERY_FORM);
    assert_eq!(design.name.map(|n| n.node).as_deref(), Some("Capstan"));
    assert_eq!(design.about.len(), 2);
    assert_eq!(design.about[0].node, "A test of everything,");
    assert_eq!(design.lets[0].node.note.as_deref(), Some("how far the tip comes back"));
    assert_eq!(design.steps.len(), 37);
    assert_eq!((design.trims.len(), design.ballast.len()), (2, 3));
}

/// A sheet and a few names, then the lines under test.
fn after_names(lines: &str) -> String {
    let names = "sheet A4, 80 g/m2\nlet tip = 24 mm\nmark nose = top middle\n\
                 crease left edge onto right edge, call it centre\n";
    mistakes(&format!("{names}{lines}"))
}

#[test]
fn two_typos_are_two_errors() {
    assert_snapshot!(after_names(
        "vally top lefft corner onto centre, hinged at top middle, bothe sides, call it flap1\n\
         mountain along centr\n\
         valley flap1 onto centre\n"
    ), @r"
    error[unknown-word]: `vally` is not understood here
      5 | vally top lefft corner onto centre, hinged at top middle, bothe sides, call it flap1
        | ^^^^^ expected the first word of a line, such as `valley`, `crease`, `let` or `sheet`
    help: did you mean `valley`?

    error[unknown-word]: `lefft` is not understood here
      5 | vally top lefft corner onto centre, hinged at top middle, bothe sides, call it flap1
        |           ^^^^^ expected `edge`, `middle`, `end of …`, or the other side of a corner
    help: did you mean `left`?

    error[unknown-word]: `bothe` is not understood here
      5 | vally top lefft corner onto centre, hinged at top middle, bothe sides, call it flap1
        |                                                           ^^^^^ expected the end of the line, or a clause such as `both sides` or `call it …`
    help: did you mean `both`?

    error[unknown-word]: `centr` is not understood here
      6 | mountain along centr
        |                ^^^^^ expected a line, such as `top edge`
    help: did you mean `centre`?
    ");
}

#[test]
fn words_that_do_not_belong() {
    assert_snapshot!(after_names("fold nose onto bottom middle\nvalley top corner onto centre\nvalley nose to bottom middle\n"), @r"
    error[unknown-word]: `fold` is not understood here
      5 | fold nose onto bottom middle
        | ^^^^ expected the first word of a line, such as `valley`, `crease`, `let` or `sheet`
    help: here one says `valley`: `valley nose onto bottom middle`

    error[unknown-word]: `corner` is not understood here
      6 | valley top corner onto centre
        |            ^^^^^^ expected `edge`, `middle`, `end of …`, or the other side of a corner

    error[unknown-word]: `to` is not understood here
      7 | valley nose to bottom middle
        |             ^^ expected `onto`
    help: here one says `onto`: `valley nose onto bottom middle`
    ");
    assert_snapshot!(after_names("flip over\nunfold everything\nvalley along centre, quickly\n"), @r"
    error[unknown-word]: `flip` is not understood here
      5 | flip over
        | ^^^^ expected the first word of a line, such as `valley`, `crease`, `let` or `sheet`
    help: here one says `turn`: `turn over`

    error[unknown-name]: nothing is called `everything` here
      6 | unfold everything
        |        ^^^^^^^^^^
    help: names so far: centre, nose

    error[unknown-word]: `quickly` is not understood here
      7 | valley along centre, quickly
        |                      ^^^^^^^ expected the end of the line, or a clause such as `both sides` or `call it …`
    ");
    assert_snapshot!(after_names("valley top edge onto bottom edge !\n\"hello\"\n"), @r#"
    error[unknown-word]: `!` is not understood here
      5 | valley top edge onto bottom edge !
        |                                  ^ expected the end of the line, or a clause such as `both sides` or `call it …`

    error[unknown-word]: `"` is not understood here
      6 | "hello"
        | ^ expected the first word of a line, such as `valley`, `crease`, `let` or `sheet`
    "#);
}

#[test]
fn lines_that_end_too_early() {
    assert_snapshot!(after_names("valley\nvalley top edge onto\nmark q =\nplane\n"), @r"
    error[unfinished-line]: the line ends too early
      5 | valley
        |       ^ expected where the crease runs, such as `left edge onto right edge`

    error[unfinished-line]: the line ends too early
      6 | valley top edge onto
        |                     ^ expected a line, such as `top edge`

    error[unfinished-line]: the line ends too early
      7 | mark q =
        |         ^ expected a place or a line, such as `top middle` or `top edge`

    error[unfinished-line]: the line ends too early
      8 | plane
        |      ^ expected the name of the plane
    ");
}

#[test]
fn places_and_lines_are_told_apart() {
    assert_snapshot!(after_names("valley along nose\nvalley through centre and nose\npose nose opens 3 deg\n"), @r"
    error[wrong-kind]: `nose` is a place, and a line is due here
      5 | valley along nose
        |              ^^^^
    help: `line from nose to …` runs through it

    error[wrong-kind]: `centre` is a line, and a place is due here
      6 | valley through centre and nose
        |                ^^^^^^
    help: `middle of centre` is its middle, `crossing of centre and …` a crossing

    error[wrong-kind]: `nose` is a place, and a crease is due here
      7 | pose nose opens 3 deg
        |      ^^^^
    ");
}

#[test]
fn names_unknown_early_or_taken() {
    assert_snapshot!(after_names(
        "valley along wing\nvalley top edge onto bottom edge, call it wing\nvalley along keel\n\
         mark top = bottom middle\nvalley wing onto centre, call it wing, call it w\n"
    ), @r"
    error[unknown-name]: nothing is called `wing` here
      5 | valley along wing
        |              ^^^^
    help: it gets its name only on line 6; name it before it is used

    error[unknown-name]: nothing is called `keel` here
      7 | valley along keel
        |              ^^^^
    help: names so far: centre, nose, wing

    error[reserved-name]: `top` is a word of the grammar and cannot be a name
      8 | mark top = bottom middle
        |      ^^^
    help: add something to it, such as `top1`

    error[duplicate]: `call` says again what is said already
      9 | valley wing onto centre, call it wing, call it w
        |                                        ^^^^
    ");
    assert_snapshot!(mistakes("sheet A4\nvalley along spine\n"), @r"
    error[unknown-name]: nothing is called `spine` here
      2 | valley along spine
        |              ^^^^^
    help: name a crease with `call it spine`, or a place with `mark spine = …`
    ");
}

#[test]
fn an_unreadable_line_still_gives_its_names() {
    assert_snapshot!(after_names(
        "valley top edge onto ??, call it wing\nmountain along wing\nlet x = 3 furlongs\n\
         valley parallel to wing, x from it\nrepeat often times\nturn over\nend\n"
    ), @r"
    error[unknown-word]: `?` is not understood here
      5 | valley top edge onto ??, call it wing
        |                      ^ expected a line, such as `top edge`

    error[unknown-word]: `furlongs` is not understood here
      7 | let x = 3 furlongs
        |           ^^^^^^^^ expected a unit, or the end of the line

    error[unknown-let]: no let is called `often`
      9 | repeat often times
        |        ^^^^^
    help: give it a value with a line such as `let often = 20 mm`
    ");
}

#[test]
fn creases_that_are_not_held() {
    assert_snapshot!(after_names("valley nose onto centre\nvalley top edge\nvalley nose back 3 mm\n"), @r"
    error[open-crease]: many creases bring this place onto this line
      5 | valley nose onto centre
        |        ^^^^^^^^^^^^^^^^ expected what else holds the crease: `hinged at P`, `perpendicular to L`, or `and P onto L`
    help: say where the crease holds: `valley nose onto centre, hinged at P`, where P is a place, such as `middle of NAME` of a folded edge, or `crossing of NAME and centre`

    error[unfinished-line]: the line ends too early
      6 | valley top edge
        |                ^ expected `onto` and the line it comes to lie on, or `over by` and a width

    error[unknown-word]: `3` is not understood here
      7 | valley nose back 3 mm
        |                  ^ expected `by`
    ");
}

#[test]
fn numbers_and_units() {
    assert_snapshot!(after_names(
        "valley parallel to centre, 22 from it\nrotate 90\nvalley parallel to centre, 3 mn from it\n\
         valley nose back by 10 deg along centre\nvalley nose back by tp along centre\n\
         let a = 3 mm + 2 deg\nlet b = sine(3 deg)\nlet c = tan(3)\nlet d = 1 mm / 0\nlet e = min(1)\n\
         valley nose back by 30 m along centre\nrepeat 1/2 times\nend\nthrow 9\n"
    ), @r"
    error[missing-unit]: a length needs a unit
      5 | valley parallel to centre, 22 from it
        |                            ^^ this is a plain number
    help: did you mean `22 mm`?

    error[missing-unit]: an angle needs a unit
      6 | rotate 90
        |        ^^ this is a plain number
    help: did you mean `90 deg`?

    error[unknown-word]: `mn` is not understood here
      7 | valley parallel to centre, 3 mn from it
        |                              ^^ expected a unit, or `from`
    help: did you mean `mm`?

    error[wrong-quantity]: a length is due here
      8 | valley nose back by 10 deg along centre
        |                     ^^^^^^ this is an angle

    error[unknown-let]: no let is called `tp`
      9 | valley nose back by tp along centre
        |                     ^^
    help: did you mean `tip`?

    error[bad-arithmetic]: a length and an angle cannot be added
     10 | let a = 3 mm + 2 deg
        |         ^^^^^^^^^^^^

    error[unknown-function]: no function is called `sine`
     11 | let b = sine(3 deg)
        |         ^^^^
    help: did you mean `sin`?

    error[bad-arithmetic]: `tan` takes an angle, and this is a plain number
     12 | let c = tan(3)
        |         ^^^^^^

    error[bad-arithmetic]: this has no finite value
     13 | let d = 1 mm / 0
        |         ^^^^^^^^

    error[bad-arithmetic]: `min` takes 2 values, and here are 1
     14 | let e = min(1)
        |         ^^^^^^

    error[out-of-range]: a length must lie between -10000 and 10000 mm, not 30000
     15 | valley nose back by 30 m along centre
        |                     ^^^^

    error[bad-count]: a whole number from 0 to 1000 is due here, not 0.5
     16 | repeat 1/2 times
        |        ^^^

    error[missing-unit]: a speed needs a unit
     18 | throw 9
        |       ^ this is a plain number
    help: did you mean `9 m/s`?
    ");
    assert!(after_names("let a = 1,5 mm\n").contains("with a point: `1.5`"));
    let huge = "9".repeat(400);
    assert!(after_names(&format!("rotate {huge} deg\n")).contains("too large"));
}

#[test]
fn sheets() {
    for (text, said) in [
        ("sheet A44", "no sheet is called `A44`"),
        ("sheet Leter", "did you mean `Letter`?"),
        ("sheet napkin", "sizes are A0"),
        ("sheet 210 mm by", "the line ends too early"),
        ("sheet 210 by 297", "a length needs a unit"),
        ("sheet square 150 mm sideways", "`sideways` is for sheets with a name"),
        ("sheet A4 landscape", "here one says `sideways`: `sheet A4 sideways`"),
        ("sheet A4, 800 g/m2", "the mass of the paper must lie between 20 and 400 g/m2, not 800"),
        ("sheet A4, 80 g", "a mass per area is due here"),
        ("sheet A4, 80", "did you mean `80 g/m2`?"),
        ("sheet square 3 m", "the side of a sheet must lie between 20 and 2000 mm, not 3000"),
        ("sheet width by length", "needs itself"),
        ("plane X", "this design has no `sheet` line"),
    ] {
        let found = mistakes(text);
        assert!(found.contains(said), "{text}\n{found}");
        assert_eq!(found.matches("error[").count(), 1, "{text}\n{found}");
    }
    for good in ["sheet ANSI C sideways, 24 lb", "sheet letter", "sheet square 6 in, 60 gsm"] {
        assert_eq!(mistakes(good), "", "{good}");
    }
}

#[test]
fn repeats_and_ends() {
    assert_snapshot!(mistakes("sheet A4\nrepeat 2 times\nturn over\nlet a = 3\n"), @r"
    error[missing-end]: this repeat has no `end`
      2 | repeat 2 times
        | ^^^^^^^^^^^^^^
    help: write `end` on a line of its own after the last step to repeat

    error[misplaced]: only steps can be repeated
      4 | let a = 3
        | ^^^^^^^^^
      2 | repeat 2 times
        | -------------- this repeat is still open
    help: write `end` after the last step to repeat, or move this line elsewhere
    ");
    assert_snapshot!(mistakes("sheet A4\nend\nsheet A5\n"), @r"
    error[unmatched-end]: there is no repeat for this `end` to end
      2 | end
        | ^^^

    error[duplicate]: this is said twice
      3 | sheet A5
        | ^^^^^^^^
      1 | sheet A4
        | -------- first said here
    help: keep one of the two lines
    ");
}

fn assert_says(found: &str, said: impl AsRef<str>) {
    assert!(found.contains(said.as_ref()), "{found}");
}

#[test]
fn limits_are_errors_in_bounded_time() {
    let said = |text: &str| {
        let start = std::time::Instant::now();
        let (_, found) = parse(text);
        // A hundred times what it takes on a slow machine.
        let said: Vec<_> = found.iter().map(|d| d.message.as_str()).collect();
        assert!(start.elapsed().as_secs() < 5);
        assert!(!found.is_empty() && found.len() <= crate::design::limits::MAX_DIAGNOSTICS);
        said.join("; ")
    };
    assert_says(&said(&"unfold\n".repeat(30_000)), "more than 500 steps");
    assert_says(&said(&"turn over\n".repeat(100_000)), "this text is longer than 256 KiB");
    assert_says(&said(&"repeat 2 times\n".repeat(9_000)), "more than 4 repeats within each other");
    assert_says(
        &said(&"rotate 3 deg\n\0\u{1}\u{7f}~\n".repeat(10_000)),
        "`\0` is not understood here",
    );
    let deep = |open: &str, shut: &str| {
        let (open, shut) = (open.repeat(10_000), shut.repeat(10_000));
        said(&format!("let a = {open}1 mm{shut}\n"))
    };
    assert_says(&deep("(", ")"), "this is nested more than 24 deep");
    assert_says(&deep("-", ""), "this is nested more than 24 deep");
    assert_says(&deep("1 +", ""), "more than 16 terms in a row");
    assert_says(&deep("min(", ", 2)"), "this is nested more than 24 deep");
    let places = "1/2 along line from ".repeat(9_000);
    assert_says(&said(&format!("mark a = {places}\n")), "this is nested more than 24 deep");
    let word = "v".repeat(200_000);
    assert_says(&said(&word), format!("`{}…` is not understood here", "v".repeat(30)));
    let lets: String = (0..300).map(|i| format!("let a{i} = 2\n")).collect();
    assert_says(&said(&lets), "more than 200 lets");
    let clauses = ", call it b".repeat(9_000);
    assert_says(&said(&format!("turn over{clauses}")), "`call` is not understood here");
}

use super::*;
use crate::design::parser::parse;
use crate::design::testing::{mistakes, mistakes_with};
use insta::assert_snapshot;

fn values(text: &str, settings: &[(&str, &str)]) -> Values {
    let (design, found) = parse(text);
    assert_eq!(found, []);
    let settings: Vec<_> = settings.iter().map(|(n, v)| (n.to_string(), v.to_string())).collect();
    evaluate(&design, &settings).unwrap()
}

fn stock_of(text: &str, settings: &[(&str, &str)]) -> Stock {
    let values = values(text, settings);
    stock(&parse(text).0, &values).unwrap()
}

const FIXTURE: &str = "sheet width by length, 80 g/m2\nlet width = 210 mm\nlet length = 297 mm\n\
                       let keel = 20 mm, from 10 mm to width / 4\nlet turns = 3, from 0 to 5\n";

#[test]
fn lets_named_for_the_sheet_are_the_sheets_size() {
    let s = stock_of(FIXTURE, &[("width", "8.5in"), ("length", "11 in")]);
    assert_eq!((s.width_m, s.length_m), (8.5 * 25.4e-3, 11.0 * 25.4e-3));
    assert_eq!((s.grammage_kg_m2, s.thickness_m), (80e-3, 0.105e-3));
}

#[test]
fn the_sheets_size_can_be_used_in_lets() {
    let text = "let half = width / 2\nlet diagonal = sqrt(width*width + length*length)\nsheet A4 sideways\n";
    let v = values(text, &[]);
    assert_eq!(v.get("half").unwrap().quantity.value, 0.297 / 2.0);
    let diagonal = v.get("diagonal").unwrap().quantity;
    assert!((diagonal.value - 0.297f64.hypot(0.210)).abs() < 1e-15);
    assert_eq!(diagonal.dimension, Dimension::LENGTH);
}

#[test]
fn settings_take_units_or_the_usual_one() {
    let keel = |text| values(FIXTURE, &[("keel", text)]).get("keel").unwrap().quantity.value;
    assert_eq!(keel("24mm"), 0.024);
    assert_eq!(keel("24"), 0.024);
    assert_eq!(keel("1 1/2 in"), 1.5 * 0.0254);
    assert_eq!(keel("5/8in"), 0.625 * 0.0254);
    assert_eq!(keel("2 cm + 1 mm"), 0.02 + 0.001);
    let v = values(FIXTURE, &[("turns", "4")]);
    let turns =
        Spanned { node: Expr::Let(Name { node: "turns".to_owned(), span: 0..0 }), span: 0..0 };
    assert_eq!(v.count(&turns), Ok(4));
    assert_eq!(v.get("turns").unwrap().range, Some([0.0, 5.0]));
}

#[test]
fn settings_that_do_not_fit() {
    let said = |name, value| mistakes_with(FIXTURE, &[(name, value)]);
    assert_snapshot!(said("keel", "80 mm"), @r"
    error[out-of-range]: `keel` must lie between 10 mm and 52.5 mm, and is 80 mm
      4 | let keel = 20 mm, from 10 mm to width / 4
        |     ^^^^ set to `80 mm` by --set
      4 | let keel = 20 mm, from 10 mm to width / 4
        |                        ------------------ its range
    ");
    assert_snapshot!(said("keel", "3 deg"), @r"
    error[wrong-quantity]: the setting `keel=3 deg` gives an angle, and `keel` is a length
      4 | let keel = 20 mm, from 10 mm to width / 4
        |     ^^^^ this let
    ");
    assert_snapshot!(said("keel", "3 mn"), @r"
    error[bad-setting]: the setting `keel=3 mn` is not a value: `mn` is not understood here
      4 | let keel = 20 mm, from 10 mm to width / 4
        |     ^^^^ this let
    help: did you mean `mm`?
    ");
    assert_snapshot!(said("keel", ""), @r"
    error[bad-setting]: the setting `keel=` is not a value: the line ends too early
      4 | let keel = 20 mm, from 10 mm to width / 4
        |     ^^^^ this let
    help: write a number with its unit, such as `24mm`, `3/8in` or `10deg`
    ");
    assert_snapshot!(said("kell", "3 mm"), @r"
    error[unknown-let]: no let is called `kell`, so `kell=3 mm` sets nothing
      1 | sheet width by length, 80 g/m2
        | ^
    help: did you mean `keel`?
    ");
    // The range of another let follows the setting.
    assert_snapshot!(said("width", "60"), @r"
    error[out-of-range]: `keel` must lie between 10 mm and 15 mm, and is 20 mm
      4 | let keel = 20 mm, from 10 mm to width / 4
        |            ^^^^^
      4 | let keel = 20 mm, from 10 mm to width / 4
        |                        ------------------ its range
    ");
}

#[test]
fn rings_ranges_and_unknown_lets() {
    assert_snapshot!(mistakes(
        "sheet A4\nlet a = b + 1 mm\nlet b = c\nlet c = 2 * a\nlet d = a\nlet e = e\n\
         let f = 3 mm, from 4 mm to 5 mm\nlet g = 3 mm, from 5 mm to 1 mm\nlet h = 3 mm, from 1 to 5 mm\n\
         let i = bb\n"
    ), @r"
    error[let-ring]: `a` needs itself, by way of `b`, `c`
      2 | let a = b + 1 mm
        |         ^^^^^^^^
    help: give one of them a value of its own

    error[let-ring]: `e` needs itself
      6 | let e = e
        |         ^
    help: give one of them a value of its own

    error[out-of-range]: `f` must lie between 4 mm and 5 mm, and is 3 mm
      7 | let f = 3 mm, from 4 mm to 5 mm
        |         ^^^^
      7 | let f = 3 mm, from 4 mm to 5 mm
        |                    ------------ its range

    error[bad-range]: the least value is greater than the greatest
      8 | let g = 3 mm, from 5 mm to 1 mm
        |                    ^^^^^^^^^^^^

    error[missing-unit]: a length needs a unit
      9 | let h = 3 mm, from 1 to 5 mm
        |                    ^ this is a plain number
    help: did you mean `1 mm`?

    error[unknown-let]: no let is called `bb`
     10 | let i = bb
        |         ^^
    help: give it a value with a line such as `let bb = 20 mm`
    ");
}

#[test]
fn a_quantity_of_the_wrong_kind_points_at_its_let() {
    assert_snapshot!(mistakes(
        "sheet A4\nlet tip = 24\nlet lean = 3 deg\n\
         valley parallel to left edge, tip from it\nrotate tip\nvalley parallel to left edge, lean * 2 from it\n\
         valley top lean layers along left edge\nthrow tip, level, from 1.8\n"
    ), @r"
    error[missing-unit]: a length needs a unit
      4 | valley parallel to left edge, tip from it
        |                               ^^^ `tip` is a plain number
      2 | let tip = 24
        |           -- set here

    error[missing-unit]: an angle needs a unit
      5 | rotate tip
        |        ^^^ `tip` is a plain number
      2 | let tip = 24
        |           -- set here

    error[wrong-quantity]: a length is due here
      6 | valley parallel to left edge, lean * 2 from it
        |                               ^^^^^^^^ this is an angle

    error[wrong-quantity]: a plain number is due here
      7 | valley top lean layers along left edge
        |            ^^^^ `lean` is an angle
      3 | let lean = 3 deg
        |            ----- set here

    error[missing-unit]: a speed needs a unit
      8 | throw tip, level, from 1.8
        |       ^^^ `tip` is a plain number
      2 | let tip = 24
        |           -- set here

    error[missing-unit]: a length needs a unit
      8 | throw tip, level, from 1.8
        |                        ^^^ this is a plain number
    help: did you mean `1.8 m`?
    ");
}

#[test]
fn counts_are_whole() {
    let v = Values::default();
    let count = |n| v.count(&Spanned { node: Expr::Number(n, Unit::None), span: 0..0 });
    assert_eq!(count(3.0), Ok(3));
    assert_eq!(count(0.1 * 30.0), Ok(3));
    for bad in [2.5, -1.0, 1e9, f64::INFINITY] {
        assert!(count(bad).is_err(), "{bad}");
    }
}

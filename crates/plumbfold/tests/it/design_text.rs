//! The reference of the design text is true: every example on it can be read and folded as it
//! stands, is written the usual way, and has its picture.

use plumbfold::design::parser::parse;
use plumbfold::design::print::{format, print};
use plumbfold::pipeline::{Settings, balance, fold};

const REFERENCE: &str = include_str!("../../../../docs/design-text.md");

struct Example {
    name: &'static str,
    show: &'static str,
    text: &'static str,
}

fn examples() -> Vec<Example> {
    let mut found = Vec::new();
    let mut rest = REFERENCE;
    while let Some((_, from)) = rest.split_once("```plane ") {
        let (info, body) = from.split_once('\n').expect("a fence has a line of its own");
        let (text, after) = body.split_once("```").expect("a fence is shut");
        let word = |key| {
            let mut words = info.split_whitespace();
            words.find_map(|w| w.strip_prefix(key)).unwrap_or_else(|| panic!("{key} in {info}"))
        };
        found.push(Example { name: word("name="), show: word("show="), text });
        rest = after;
    }
    found
}

#[test]
fn every_example_folds() {
    let mut wrong = Vec::new();
    for Example { name, show, text } in examples() {
        let settings = Settings::default();
        let made = match show {
            "pose" => balance(text, &settings).map(|_| ()),
            _ => fold(text, &settings).map(|_| ()),
        };
        if let Err(problems) = made {
            wrong.push(format!("{name}: {:?}", problems.diagnostics));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_example_is_read_without_complaint_and_formatting_keeps_it() {
    for Example { name, text, .. } in examples() {
        let (design, mistakes) = parse(text);
        assert_eq!(mistakes, [], "{name}");
        assert_eq!(parse(&print(&design)).0, design, "{name}");
        let canonical = format(text);
        assert_eq!(parse(&canonical).0, design, "{name}");
        assert_eq!(format(&canonical), canonical, "{name}");
    }
}

#[test]
fn every_example_has_its_picture_and_every_picture_its_example() {
    let mut names: Vec<_> = examples().iter().map(|e| e.name).collect();
    let pictures = REFERENCE.split("](pictures/").skip(1);
    let mut pictures: Vec<_> = pictures.filter_map(|p| p.split(".svg)").next()).collect();
    names.sort_unstable();
    pictures.sort_unstable();
    assert_eq!(names, pictures);
    names.dedup();
    assert_eq!(names.len(), pictures.len(), "a name is used twice");
}

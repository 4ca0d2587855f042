//! A plane given by its outline answers what a folded one does.

use plumbfold::pipeline::{Settings, balance};

const TEXT: &str = include_str!("../../../../testdata/designs/outline-delta.plane");

#[test]
fn points_and_path_are_one_plane() {
    let points = balance(TEXT, &Settings::default()).expect("the outline is sound");
    let line = TEXT.lines().find(|l| l.starts_with("outline")).expect("there is one");
    let path = TEXT.replace(line, "outline path M 0 0 L 80 180 V 200 H 0 mirrored");
    let path = balance(&path, &Settings::default()).expect("the path is sound");
    assert_eq!(points.planform, path.planform);
    assert!((points.mass.behind_nose_m() - 0.118).abs() < 1e-12);
    assert!((points.mass.mass_kg - 0.005).abs() < 1e-15);
    let whole = TEXT.replace(
        line,
        "outline (0 mm, 0 mm) (80 mm, 180 mm) (80 mm, 200 mm) (-80 mm, 200 mm) (-80 mm, 180 mm)",
    );
    let whole = balance(&whole, &Settings::default()).expect("the whole outline is sound");
    assert!((whole.planform.area_m2 - points.planform.area_m2).abs() < 1e-12);
}

#[test]
fn mistakes_are_told() {
    let first = |text: &str| {
        let problems = balance(text, &Settings::default()).expect_err("this is no plane");
        problems.diagnostics[0].message.clone()
    };
    let without = TEXT.lines().filter(|l| !l.starts_with("measured")).collect::<Vec<_>>();
    assert!(first(&without.join("\n")).contains("mass"));
    assert!(first(&TEXT.replace("balance 118 mm", "balance 300 mm")).contains("off a plane"));
    assert!(
        first("plane X\noutline path 5 apples\nmeasured mass 5 g, balance 80 mm\n")
            .contains("path")
    );
    assert!(first(&format!("{TEXT}turn over\n")).contains("no steps"));
}

#[test]
fn ballast_is_put_on_after_the_plane_was_measured() {
    let text = "plane T\noutline (0 mm, 0 mm) (80 mm, 180 mm) (80 mm, 200 mm) (0 mm, 200 mm), mirrored\n\
                measured mass 5 g, balance 118 mm\nballast clip 1 g at 10 mm behind nose\n";
    let plane = balance(text, &Settings::default()).unwrap();
    // Moments about the nose: (5 x 118 + 1 x 10) / 6.
    assert!((plane.mass.behind_nose_m() - 0.1).abs() < 1e-12);
    assert!((plane.mass.mass_kg - 0.006).abs() < 1e-12);
}

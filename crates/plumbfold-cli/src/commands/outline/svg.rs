//! The outline in a drawing: its one path, in mm.

use roxmltree::{Document, Node};

/// Millimetres of the units a drawing's width may have (CSS Values and Units 3, section 6.2; SVG 2,
/// section 8.2: a number without a unit is in `px`).
const UNITS: [(&str, f64); 6] = [
    ("mm", 1.0),
    ("cm", 10.0),
    ("in", 25.4),
    ("pt", 25.4 / 72.0),
    ("pc", 25.4 / 6.0),
    ("px", 25.4 / 96.0),
];
/// What holds shapes that are drawn nowhere by themselves.
const UNDRAWN: [&str; 6] = ["defs", "clipPath", "mask", "symbol", "pattern", "marker"];

/// A path and how its units were told.
#[derive(Debug, PartialEq)]
pub struct Drawn {
    /// Path data.
    pub data: String,
    /// Whether the drawing says that a unit is 1 mm.
    pub in_mm: bool,
}

/// The path data of the path of an SVG file.
///
/// # Errors
/// There is none, or several; it is moved or scaled by a transform, or a unit is not a mm.
pub fn path(text: &str) -> Result<Drawn, String> {
    let drawing = Document::parse(text).map_err(|e| format!("it is no SVG drawing: {e}"))?;
    let root = drawing.root_element();
    if root.tag_name().name() != "svg" {
        return Err("it is no SVG drawing: its first element is not `svg`".into());
    }
    let drawn = |n: &Node<'_, '_>| {
        n.tag_name().name() == "path"
            && !n.ancestors().any(|a| UNDRAWN.contains(&a.tag_name().name()))
            && !n.ancestors().any(|a| a.attribute("display") == Some("none"))
    };
    let paths: Vec<_> = root.descendants().filter(drawn).collect();
    let [path] = paths.as_slice() else {
        return Err(match paths.len() {
            0 => "it has no path: turn shapes into paths when saving it".into(),
            n => format!("it has {n} paths: leave the outline alone in it"),
        });
    };
    if path.ancestors().any(|a| a.has_attribute("transform")) {
        return Err(
            "its path is moved or scaled by a `transform`, which is not followed: save the \
                    drawing with its transforms applied"
                .into(),
        );
    }
    let unit = unit_mm(root);
    if let Some(unit) = unit.filter(|u| (u - 1.0).abs() > 1e-3) {
        return Err(format!(
            "one unit of this drawing is {} mm, as its width and viewBox say: save it so that a unit is \
             1 mm",
            (unit * 1e4).round() / 1e4
        ));
    }
    let data = path.attribute("d").ok_or("its path has no data, `d=\"…\"`")?;
    let known = |c: char| c.is_ascii_alphanumeric() || " ,.+-\t\r\n".contains(c);
    if let Some(odd) = data.chars().find(|&c| !known(c)) {
        return Err(format!("the data of its path has `{odd}`, which no path has"));
    }
    let data = data.split_whitespace().collect::<Vec<_>>().join(" ");
    Ok(Drawn { data, in_mm: unit.is_some() })
}

/// How large a unit of a drawing is, mm, where it says so by a width with a unit and its viewBox.
fn unit_mm(root: Node<'_, '_>) -> Option<f64> {
    let width = root.attribute("width")?.trim();
    let (number, unit) =
        UNITS.into_iter().find_map(|(name, mm)| Some((width.strip_suffix(name)?, mm)))?;
    let mut parts = root.attribute("viewBox")?.split([' ', ',']).filter(|n| !n.is_empty());
    let across: f64 = parts.nth(2)?.parse().ok()?;
    let mm = number.trim().parse::<f64>().ok()? * unit;
    (across > 0.0 && mm > 0.0).then(|| mm / across)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_path_of_a_drawing_is_taken_as_it_is_drawn() {
        let data = |inside: &str| path(&format!("<svg>{inside}</svg>")).map(|d| d.data);
        let one = "<path d = \"M0 0\n L 80 180 V 200 H 0 Z\"/>";
        let taken = Ok("M0 0 L 80 180 V 200 H 0 Z".to_owned());
        assert_eq!(data(one), taken);
        // What is drawn nowhere, or only looks like a path.
        for other in [
            "<!-- <path d='M0 0 H5 V5 Z'/> -->",
            "<defs><path d='M0 0 H5 V5 Z'/></defs>",
            "<clipPath id='c'><path d='M0 0 H5 V5 Z'/></clipPath>",
            "<pathx d='M0 0 H5 V5 Z'/>",
            "<g transform='scale(2)'><rect width='1' height='1'/></g>",
        ] {
            assert_eq!(data(&format!("{other}{one}")), taken, "{other}");
        }
        assert_eq!(data(&one.replace("d =", "data-d='M0 0 H5 V5 Z' d =")), taken);
        assert!(data("<rect/>").unwrap_err().contains("no path"));
        assert!(data(&one.repeat(2)).unwrap_err().contains("2 paths"));
        assert!(data("<path id='x'/>").unwrap_err().contains("no data"));
        assert!(
            data(&format!("<g transform='scale(2)'>{one}</g>")).unwrap_err().contains("transform")
        );
        assert!(data("<path d=\"M0 0 *; Z\"/>").unwrap_err().contains("`*`"));
        assert!(path("M0 0 L1 1").unwrap_err().contains("no SVG"));
    }

    #[test]
    fn other_units_than_mm_are_never_taken_for_mm_in_silence() {
        let sized = |head: &str| path(&format!("<svg {head}><path d='M0 0 L80 180 H0 Z'/></svg>"));
        for mm in ["width='200mm'", "width='20cm'", "width='755.906px'"] {
            assert_eq!(
                sized(&format!("{mm} viewBox='0 0 200 320'")).map(|d| d.in_mm),
                Ok(true),
                "{mm}"
            );
        }
        for other in ["width='100mm'", "width='200px'", "width='200pt'"] {
            let e = sized(&format!("{other} viewBox='0 0 200 320'")).unwrap_err();
            assert!(e.contains("one unit"), "{e}");
        }
        for untold in ["", "width='756' height='756'", "viewBox='0 0 200 320'"] {
            assert_eq!(sized(untold).map(|d| d.in_mm), Ok(false), "{untold}");
        }
    }
}

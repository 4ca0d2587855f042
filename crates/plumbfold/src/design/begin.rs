//! Texts to begin with: a sheet nothing has been folded from, a plane known by its outline.
//!
//! What a design leaves out has its default, so only what was said is written; the result is as
//! [`print::format`] writes it.

use super::ast::{Design, SheetDecl};
use super::defaults::{HAND_HEIGHT_M, PLANE_NAME};
use super::edit::amount::rounded;
use super::parser::parse;
use super::print;

/// A sheet nothing has been folded from, on paper as a design says it (`A4 upright, 80 g/m2`).
///
/// # Errors
/// The paper is none that a design can name: what the parser says of it.
pub fn sheet(name: &str, paper: &str) -> Result<String, String> {
    let head = Design {
        name: Some(one_line(name).into()),
        sheet: Some(the_paper(paper)?.into()),
        ..Design::default()
    };
    Ok(print::print(&head))
}

/// A paper as a design says it; in one line, or it would say more.
///
/// # Errors
/// What the parser says of it.
pub fn the_paper(text: &str) -> Result<SheetDecl, String> {
    let (design, mistakes) = parse(&format!("sheet {text}"));
    match mistakes.into_iter().find(|d| d.is_error()) {
        _ if text.contains('\n') => Err("must be one line".to_owned()),
        Some(mistake) => Err(mistake.message),
        None => {
            let said = design.sheet.map(|s| s.node);
            said.ok_or_else(|| "expected a paper such as `A4 upright, 80 g/m2`".to_owned())
        }
    }
}

/// The outline of a plane: half of it, mirrored, or the whole.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Corners, mm right of the middle and behind the nose.
    Corners(Vec<[f64; 2]>),
    /// A path as SVG writes it, mm.
    Path(String),
}

/// A plane known by its outline and what was measured of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlined {
    /// Name.
    pub name: String,
    /// Remarks to stand above the outline.
    pub notes: Vec<String>,
    /// The outline.
    pub shape: Shape,
    /// Whether it is half of the plane and the other half its mirror image.
    pub mirrored: bool,
    /// Mass, g.
    pub mass_g: f64,
    /// Balance point, mm behind the nose.
    pub balance_mm: f64,
    /// Slope of the wings in flight, degrees.
    pub dihedral_deg: f64,
    /// Depth of the keel, mm; none for none.
    pub keel_mm: f64,
    /// Speed of the throw, m/s; the usual one where none is said.
    pub speed_m_s: Option<f64>,
}

impl Outlined {
    /// The design.
    pub fn text(&self) -> String {
        let mm = |v: f64| format!("{} mm", rounded(v, 2));
        let notes: String = self.notes.iter().map(|n| format!("# {}\n", one_line(n))).collect();
        let shape = match &self.shape {
            Shape::Corners(corners) => {
                let said = corners.iter().map(|[x, y]| format!("({}, {})", mm(*x), mm(*y)));
                said.collect::<Vec<_>>().join(" ") + if self.mirrored { ", mirrored" } else { "" }
            }
            Shape::Path(d) => {
                format!("path {}{}", one_line(d), if self.mirrored { " mirrored" } else { "" })
            }
        };
        let dihedral = match self.dihedral_deg {
            0.0 => String::new(),
            angle => format!(", dihedral {} deg", rounded(angle, 2)),
        };
        let keel = match self.keel_mm > 0.0 {
            false => String::new(),
            true => format!(", keel {}", mm(self.keel_mm)),
        };
        let throw = self.speed_m_s.map_or_else(String::new, |v| {
            format!("throw {} m/s, level, from {HAND_HEIGHT_M} m\n", rounded(v, 2))
        });
        format!(
            "plane {}\n{notes}outline {shape}\nmeasured mass {} g, balance {}{dihedral}{keel}\n{throw}",
            one_line(&self.name),
            rounded(self.mass_g, 2),
            mm(self.balance_mm),
        )
    }
}

/// Words that fit a name or a remark: one line without comments, and none that goes on with the next.
fn one_line(text: &str) -> String {
    let plain: String =
        text.chars().map(|c| if c.is_control() || "#\\".contains(c) { ' ' } else { c }).collect();
    match plain.split_whitespace().collect::<Vec<_>>().join(" ") {
        none if none.is_empty() => PLANE_NAME.to_owned(),
        line => line,
    }
}

#[cfg(test)]
mod tests {
    use super::super::print::format;
    use super::*;

    #[test]
    fn a_new_sheet_is_read_as_it_was_meant_and_written_the_usual_way() {
        let text = sheet("Gull\n2 # x \\", "A4 upright, 80 g/m2").unwrap();
        let (design, mistakes) = parse(&text);
        assert!(mistakes.is_empty() && design.sheet.is_some(), "{mistakes:?}\n{text}");
        assert_eq!(format(&text), text);
        assert!(text.starts_with("plane Gull 2 x\n"), "{text}");
        for wrong in ["", "A4 upright\nthrow 3 m/s", "A4 upright, 80 fathoms"] {
            assert!(sheet("Gull", wrong).is_err(), "{wrong:?}");
        }
    }

    #[test]
    fn an_outline_is_read_as_it_was_meant_and_written_the_usual_way() {
        let gull = Outlined {
            name: "Gull\n2 # x".into(),
            notes: vec!["a note".into()],
            shape: Shape::Corners(vec![[0.0, 0.0], [80.0, 180.006], [0.0, 200.1]]),
            mirrored: true,
            mass_g: 4.99,
            balance_mm: 98.75,
            dihedral_deg: 8.0,
            keel_mm: 25.0,
            speed_m_s: Some(4.0),
        };
        let text = gull.text();
        let (design, mistakes) = parse(&text);
        assert!(mistakes.is_empty(), "{mistakes:?}\n{text}");
        assert_eq!(design.outline.unwrap().node.corners.len(), 3);
        assert_eq!(format(&text), text);
        assert!(text.contains("(80 mm, 180.01 mm) (0 mm, 200.1 mm), mirrored"), "{text}");
        let path = Outlined { shape: Shape::Path("M0 0 L80 180 L0 200".into()), ..gull };
        let (design, mistakes) = parse(&path.text());
        assert!(mistakes.is_empty() && design.outline.is_some(), "{mistakes:?}");
    }
}

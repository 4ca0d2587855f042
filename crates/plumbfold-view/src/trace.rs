//! A plane traced from a photo: the answer of `trace`, and the design text made of it.

use plumbfold::design::begin::{Outlined, Shape};
use plumbfold_trace::Traced;
use plumbfold_trace::polygon::Pt;
use schemars::JsonSchema;
use serde::Serialize;

use crate::balance_point::{BalancePoint, Uncertain};
use crate::said::fixed;

/// A plane measured from a photo.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Trace {
    /// The photo as named on the command line.
    pub photo: String,
    /// Area, mm2.
    pub area_mm2: Uncertain,
    /// Length, mm.
    pub length_mm: Uncertain,
    /// Span, mm.
    pub span_mm: Uncertain,
    /// A quarter of the area lies ahead of this place, mm behind the nose.
    pub quarter_area_behind_nose_mm: f64,
    /// Balance point, where it was measured.
    pub balance: Option<BalancePoint>,
    /// Share of the area ahead of it, 0 to 1.
    pub area_ahead_fraction: Option<Uncertain>,
    /// Root mean square distance between the outline and its mirror image, mm.
    pub asymmetry_mm: f64,
    /// Corners of the outline, numbered from 1 at the nose, clockwise as seen.
    pub outline: Vec<Corner>,
    /// What was found on the way, to judge it by.
    pub found: Found,
    /// What to look at.
    pub remarks: Vec<Remark>,
    /// The plane as a design text, which every other command takes.
    pub text: String,
}

/// A corner of the outline.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Corner {
    /// Right of the line of symmetry, mm.
    pub right_mm: f64,
    /// Behind the nose, mm.
    pub behind_nose_mm: f64,
    /// The same on the sheet, mm, right and down from its corner at the top left.
    pub on_sheet_mm: [f64; 2],
    /// The same in the upright photo, dots, right and down.
    pub in_photo: [f64; 2],
}

/// What was found in the photo.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Found {
    /// Width and height of the upright photo, dots.
    pub photo_dots: [f64; 2],
    /// Corners of the sheet, or the marks, in dots, clockwise from the top left.
    pub corners: Vec<[f64; 2]>,
    /// The sheet as it lies, mm, right and down; null without a sheet.
    pub sheet_mm: Option<[f64; 2]>,
    /// Sides of the sheet as seen, width over height, against what was said; 1 where they agree.
    pub sheet_aspect: Option<f64>,
    /// Distortion of the lens, first coefficient.
    pub lens_k1: f64,
    /// Dots for each mm at the plane.
    pub dots_per_mm: f64,
    /// Width of the plane's edges, mm.
    pub edge_width_mm: f64,
    /// Change of shade across the plane's border, L*a*b*.
    pub contrast: f64,
    /// What told the plane from the sheet.
    pub by: &'static str,
    /// Share of the outline that was seen sharply.
    pub seen: f64,
    /// Nose and tail on the line of symmetry in the photo, dots.
    pub axis: [[f64; 2]; 2],
}

/// A remark.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Remark {
    /// A word to tell it by.
    pub code: &'static str,
    /// In words.
    pub text: String,
}

/// What a text needs that no photo shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Name of the plane.
    pub name: String,
    /// Mass, g.
    pub mass_g: f64,
    /// Whether it was weighed, or is that of an unmarked sheet of A4.
    pub weighed: bool,
    /// Slope of the wings in flight, degrees.
    pub dihedral_deg: f64,
    /// Depth of the keel, mm; none where it was not said. Lying flat it hides under the wing.
    pub keel_mm: Option<f64>,
    /// Speed of the throw, m/s.
    pub speed_m_s: f64,
}

/// Mass of a sheet of A4 of 80 g/m2, g: 210 x 297 mm (ISO 216:2007).
pub const A4_SHEET_G: f64 = 0.21 * 0.297 * 80.0;

impl Trace {
    /// In the units of people.
    pub fn new(photo: &str, t: &Traced, told: &Told) -> Self {
        let pair = |p: Pt| [p.x, p.y];
        let dot = |p: Pt| pair(t.view.dot(p));
        let corner = |(own, sheet): (&Pt, &Pt)| Corner {
            right_mm: own.x,
            behind_nose_mm: own.y,
            on_sheet_mm: pair(*sheet),
            in_photo: dot(*sheet),
        };
        Self {
            photo: photo.to_owned(),
            area_mm2: t.area.into(),
            length_mm: t.length.into(),
            span_mm: t.span.into(),
            quarter_area_behind_nose_mm: t.quarter_mm,
            balance: t.balance.as_ref().map(BalancePoint::new),
            area_ahead_fraction: t.ahead.map(Uncertain::from),
            asymmetry_mm: t.asymmetry_mm,
            outline: t.corners.iter().zip(&t.on_sheet).map(corner).collect(),
            found: Found {
                photo_dots: t.photo,
                corners: t.reference_dots.iter().map(|&p| pair(p)).collect(),
                sheet_mm: t.sheet_mm,
                sheet_aspect: t.aspect,
                lens_k1: t.lens.k1,
                dots_per_mm: t.dots_per_mm,
                edge_width_mm: t.edge_width_mm,
                contrast: t.contrast,
                by: t.rule,
                seen: t.seen,
                axis: t.axis.map(dot),
            },
            remarks: t
                .remarks
                .iter()
                .map(|r| Remark { code: r.code, text: r.text.clone() })
                .collect(),
            text: text(photo, t, told),
        }
    }
}

fn text(photo: &str, t: &Traced, told: &Told) -> String {
    let corners: Vec<[f64; 2]> = t.corners.iter().map(|p| [p.x, p.y]).collect();
    let area: Uncertain = t.area.into();
    let mut notes = vec![format!(
        "traced from {}: {} cm2, give or take {}",
        photo,
        fixed(area.value / 100.0, 1),
        fixed((area.high - area.low) / 200.0, 1)
    )];
    let balance = match (&t.balance, t.ahead) {
        (Some(b), Some(ahead)) => {
            let point = BalancePoint::new(b);
            notes.push(format!("balance measured: {}", point.behind_nose_mm.said("mm", 1)));
            let percent = Uncertain::from(ahead);
            notes.push(format!(
                "area ahead of it: {} %, give or take {}",
                fixed(100.0 * percent.value, 1),
                fixed(50.0 * (percent.high - percent.low), 1)
            ));
            b.at.y
        }
        _ => {
            notes.push(
                "BALANCE NOT MEASURED: written here is the place with a quarter of the area ahead"
                    .into(),
            );
            t.quarter_mm
        }
    };
    notes.push(
        "a photo shows no bent edges; where they are bent: trim elevator up 1 mm, 10 mm deep"
            .into(),
    );
    outlined(told, notes, (Shape::Corners(corners), false), balance).text()
}

/// A plane given by its outline: what was told of it, with what was found below the notes.
pub fn outlined(
    told: &Told,
    mut notes: Vec<String>,
    (shape, mirrored): (Shape, bool),
    balance_mm: f64,
) -> Outlined {
    if !told.weighed {
        notes.push("not weighed: taken as one sheet of A4, 80 g/m2".to_owned());
    }
    if told.keel_mm.is_none() {
        notes.push(
            "KEEL NOT MEASURED: none is taken; its depth goes after the balance, `, keel 25 mm`"
                .to_owned(),
        );
    }
    Outlined {
        name: told.name.clone(),
        notes,
        shape,
        mirrored,
        mass_g: told.mass_g,
        balance_mm,
        dihedral_deg: told.dihedral_deg,
        keel_mm: told.keel_mm.unwrap_or(0.0),
        speed_m_s: Some(told.speed_m_s),
    }
}

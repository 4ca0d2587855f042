//! A finished plane given by its outline, its mass and its measured balance point: no folds are
//! known and none are needed.

use crate::numeric::geom::TOLERANCE_M;
use crate::numeric::slabs::{Slabs, Trapezoid, XY};
use crate::plane::airframe::{
    Airframe, Lamina, MeasuredBalance, Panel, PanelKind, PointMass, TrimBend,
};
use nalgebra::{Isometry3, Matrix3, Rotation3, Translation3, UnitQuaternion, Vector3};

/// Most corners of an outline.
pub const CORNERS_MAX: usize = crate::design::limits::MAX_CORNERS;
/// Largest coordinate, m.
pub const SIZE_MAX_M: f64 = 2.0;
/// Deepest keel, in lengths of the plane. Chosen: no hand holds one deeper than half its length.
const KEEL_DEEPEST: f64 = 0.5;
/// Thickness given to the plate, m: office paper (common practice, no source). An outline does not
/// say; only friction of thick edges depends on it.
const THICKNESS_M: f64 = 1e-4;

/// What was traced and measured. Corners are (right of the plane of symmetry, behind the nose), m,
/// in order round the wing as it lies flat.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Name of the plane.
    pub name: String,
    /// Corners; with `mirrored`, those of the right half from nose to tail.
    pub corners_m: Vec<[f64; 2]>,
    /// The left half is the mirror image of the right one.
    pub mirrored: bool,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Balance point behind the nose, m.
    pub behind_nose_m: f64,
    /// Its height above the keel line, m, if measured.
    pub above_keel_m: Option<f64>,
    /// Slope of each wing above level, rad.
    pub dihedral_rad: f64,
    /// Depth of a keel under the whole length of the middle, m; 0 for none.
    pub keel_m: f64,
}

/// What is wrong with an outline.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
#[allow(missing_docs, reason = "the messages say it")]
pub enum OutlineError {
    #[error("an outline needs at least three corners that do not lie on one line")]
    NoArea,
    #[error("an outline has at most {CORNERS_MAX} corners")]
    TooManyCorners,
    #[error("corner {number} lies more than {SIZE_MAX_M} m away")]
    TooLarge { number: usize },
    #[error("the outline crosses itself between corners {a} and {b}")]
    Crosses { a: usize, b: usize },
    #[error("{what} must be more than nothing and a number")]
    NotPositive { what: &'static str },
    #[error(
        "the balance point lies {behind_mm:.1} mm behind the nose, off a plane {length_mm:.1} mm long"
    )]
    BalanceOff { behind_mm: f64, length_mm: f64 },
    #[error(
        "a keel {keel_mm:.1} mm deep is more than half as deep as the plane is long, {length_mm:.1} mm"
    )]
    KeelTooDeep { keel_mm: f64, length_mm: f64 },
}

/// The airframe of an outline. Paper is spread evenly over wing and keel; what balance the
/// measurement adds to that sits as a point at the nose or tail, so that the inertia is that of a
/// plane weighted there.
///
/// # Errors
/// [`OutlineError`].
pub fn airframe(outline: &Outline, trims: Vec<TrimBend>) -> Result<Airframe, OutlineError> {
    let corners = checked(outline)?;
    let nose = corners.iter().map(|c| c[1]).fold(f64::MAX, f64::min);
    let tail = corners.iter().map(|c| c[1]).fold(f64::MIN, f64::max);
    let length = tail - nose;
    let behind = outline.behind_nose_m;
    if !(0.0..=length).contains(&behind) {
        let (behind_mm, length_mm) = (behind * 1e3, length * 1e3);
        return Err(OutlineError::BalanceOff { behind_mm, length_mm });
    }
    if outline.keel_m > KEEL_DEEPEST * length {
        let (keel_mm, length_mm) = (outline.keel_m * 1e3, length * 1e3);
        return Err(OutlineError::KeelTooDeep { keel_mm, length_mm });
    }
    let level: Vec<XY> =
        corners.iter().map(|&[right, back]| XY { x: nose - back, y: right }).collect();
    // Strips along the flow, cut at the plane of symmetry too.
    let strips = Slabs::of_simple(&level, &[0.0]).pieces;
    let wing_area: f64 = strips.iter().map(Trapezoid::area).sum();
    let moment: f64 = strips.iter().map(|s| s.area() * s.centroid().x).sum();
    if !(wing_area > 0.0 && wing_area.is_finite()) {
        return Err(OutlineError::NoArea);
    }
    let keel_area = 2.0 * outline.keel_m * length;
    let area = wing_area + keel_area;
    let middle = -(moment - keel_area * length / 2.0) / area;
    // Weight at a twentieth of the length from the end that is too light.
    let at = if behind < middle { 0.05 * length } else { 0.95 * length };
    let share = ((middle - behind) / (middle - at)).clamp(0.0, 1.0);
    let sigma = outline.mass_kg * (1.0 - share) / area;
    let height = outline.keel_m;
    let lamina = |polygon: Vec<[f64; 2]>| Lamina {
        polygon,
        height_m: 0.0,
        areal_mass_kg_m2: sigma,
        thickness_m: THICKNESS_M,
    };
    let wing = |side: f64| {
        let (s, c) = outline.dihedral_rad.sin_cos();
        let out = Vector3::new(0.0, side * c, -s);
        // u forward, w up, v to the left: see `Panel`.
        let v = -out * side;
        let w = Vector3::x().cross(&v);
        let laminae: Vec<Lamina> = strips
            .iter()
            .filter(|s| (s.y[0] + s.y[1]) * side > 0.0)
            .map(|s| lamina(s.corners().iter().map(|c| [c.x, -c.y]).rev().collect()))
            .collect();
        panel("wing", PanelKind::Wing, [Vector3::x(), v, w], height, laminae)
    };
    let mut panels = vec![wing(-1.0), wing(1.0)];
    panels.retain(|p| !p.laminae.is_empty());
    if outline.keel_m > 0.0 {
        let k = outline.keel_m;
        let side = vec![[-length, 0.0], [0.0, 0.0], [0.0, k], [-length, k]];
        let laminae = vec![lamina(side.clone()), lamina(side)];
        let up = -Vector3::z();
        panels.push(panel("keel", PanelKind::Keel, [Vector3::x(), up, Vector3::y()], 0.0, laminae));
    }
    let weight = PointMass {
        name: "measured balance".into(),
        mass_kg: outline.mass_kg * share,
        at: Vector3::new(-at, 0.0, -height),
    };
    Ok(Airframe {
        name: outline.name.clone(),
        panels,
        point_masses: vec![weight],
        trims,
        measured: Some(MeasuredBalance {
            mass_kg: outline.mass_kg,
            behind_nose_m: behind,
            above_keel_m: outline.above_keel_m,
        }),
        crease_layers_max: 1,
    })
}

fn panel(
    name: &str,
    kind: PanelKind,
    axes: [Vector3<f64>; 3],
    height_m: f64,
    laminae: Vec<Lamina>,
) -> Panel {
    let turn = Rotation3::from_matrix_unchecked(Matrix3::from_columns(&axes));
    Panel {
        name: name.into(),
        kind,
        placement: Isometry3::from_parts(
            Translation3::new(0.0, 0.0, -height_m),
            UnitQuaternion::from_rotation_matrix(&turn),
        ),
        laminae,
    }
}

/// The whole outline, checked.
fn checked(outline: &Outline) -> Result<Vec<[f64; 2]>, OutlineError> {
    let sizes = [
        ("the mass", outline.mass_kg),
        ("the balance point's distance behind the nose", outline.behind_nose_m),
    ];
    for (what, value) in sizes {
        if !(value > 0.0 && value.is_finite()) {
            return Err(OutlineError::NotPositive { what });
        }
    }
    if !(outline.dihedral_rad.is_finite() && outline.keel_m >= 0.0 && outline.keel_m.is_finite()) {
        return Err(OutlineError::NotPositive { what: "dihedral and keel" });
    }
    let mut corners = outline.corners_m.clone();
    let far = |c: &[f64; 2]| !c.iter().all(|x| x.abs() <= SIZE_MAX_M);
    if let Some(number) = corners.iter().position(far) {
        return Err(OutlineError::TooLarge { number: number + 1 });
    }
    if outline.mirrored {
        let left = outline.corners_m.iter().rev().map(|&[right, back]| [-right, back]);
        corners.extend(left);
    }
    corners.dedup_by(|a, b| (a[0] - b[0]).hypot(a[1] - b[1]) < TOLERANCE_M);
    if corners.len() > 2 * CORNERS_MAX {
        return Err(OutlineError::TooManyCorners);
    }
    let n = corners.len();
    let side = |a: [f64; 2], b: [f64; 2], p: [f64; 2]| {
        (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
    };
    for i in 0..n {
        let (a, b) = (corners[i], corners[(i + 1) % n]);
        for j in i + 2..n {
            let (c, d) = (corners[j], corners[(j + 1) % n]);
            let apart =
                side(a, b, c) * side(a, b, d) >= 0.0 || side(c, d, a) * side(c, d, b) >= 0.0;
            if !apart {
                return Err(OutlineError::Crosses { a: i + 1, b: j + 1 });
            }
        }
    }
    if n < 3 { Err(OutlineError::NoArea) } else { Ok(corners) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::mass::properties;
    use crate::plane::planform::planform;
    use approx::assert_relative_eq;

    fn delta() -> Outline {
        Outline {
            name: "Delta".into(),
            corners_m: vec![[0.0, 0.0], [0.1, 0.2], [0.0, 0.2]],
            mirrored: true,
            mass_kg: 0.005,
            behind_nose_m: 0.1,
            above_keel_m: None,
            dihedral_rad: 0.0,
            keel_m: 0.0,
        }
    }

    #[test]
    fn a_delta_has_its_textbook_planform_and_its_measured_balance() {
        let a = airframe(&delta(), vec![]).unwrap();
        let (m, p) = (properties(&a).unwrap(), planform(&a).unwrap());
        assert_relative_eq!(p.area_m2, 0.02, epsilon = 1e-12);
        assert_relative_eq!(p.mac_m, 0.2 * 2.0 / 3.0, epsilon = 1e-9);
        assert_relative_eq!(p.fraction_ahead(m.behind_nose_m()), 0.25, epsilon = 1e-9);
        assert_relative_eq!(m.mass_kg, 0.005, epsilon = 1e-15);
        assert_relative_eq!(m.cg_m.y, 0.0, epsilon = 1e-15);
    }

    /// The weight that makes up the measured balance really puts it there.
    #[test]
    fn weight_at_the_nose_makes_up_the_balance() {
        for (dihedral_deg, keel_m) in [(0.0f64, 0.0), (10.0, 0.02)] {
            let mut o = Outline { dihedral_rad: dihedral_deg.to_radians(), keel_m, ..delta() };
            for behind in [0.08, 0.15] {
                o.behind_nose_m = behind;
                let mut a = airframe(&o, vec![]).unwrap();
                a.measured = None;
                let m = properties(&a).unwrap();
                assert_relative_eq!(m.behind_nose_m(), behind, epsilon = 1e-9);
                assert_relative_eq!(m.mass_kg, 0.005, epsilon = 1e-12);
            }
        }
    }

    #[test]
    fn a_notched_tail_is_cut_out() {
        let o = Outline {
            corners_m: vec![[0.0, 0.0], [0.1, 0.1], [0.1, 0.2], [0.05, 0.2], [0.0, 0.15]],
            ..delta()
        };
        let p = planform(&airframe(&o, vec![]).unwrap()).unwrap();
        assert_relative_eq!(p.area_m2, 2.0 * (0.005 + 0.01 - 0.00125), epsilon = 1e-12);
    }

    #[test]
    fn dihedral_narrows_the_span_and_keels_stand_below() {
        let o = Outline { dihedral_rad: 0.3, keel_m: 0.02, ..delta() };
        let a = airframe(&o, vec![]).unwrap();
        assert_relative_eq!(planform(&a).unwrap().span_m, 0.2 * 0.3f64.cos(), epsilon = 1e-12);
        assert_eq!(a.panels.len(), 3);
        let lowest = a.panels[2].placement * nalgebra::Point3::new(0.0, 0.0, 0.0);
        assert_relative_eq!(lowest.z, 0.0);
    }

    #[test]
    fn what_is_no_outline_is_refused() {
        let bad = |o: Outline| airframe(&o, vec![]).unwrap_err();
        let bow_tie = vec![[0.0, 0.0], [0.1, 0.1], [0.0, 0.1], [0.1, 0.0]];
        assert!(matches!(
            bad(Outline { corners_m: bow_tie, mirrored: false, ..delta() }),
            OutlineError::Crosses { .. }
        ));
        assert_eq!(
            bad(Outline { corners_m: vec![[0.0, 0.0], [0.0, 0.2]], ..delta() }),
            OutlineError::NoArea
        );
        assert!(matches!(
            bad(Outline { mass_kg: f64::NAN, ..delta() }),
            OutlineError::NotPositive { .. }
        ));
        assert!(matches!(
            bad(Outline { behind_nose_m: 0.3, ..delta() }),
            OutlineError::BalanceOff { .. }
        ));
    }
}

//! Airframe to mass, centre of gravity and inertia.

use crate::plane::airframe::{Airframe, Lamina, Panel};
use nalgebra::{Matrix3, Vector3};

/// Mass properties of a posed plane.
#[derive(Clone, Debug, PartialEq)]
pub struct MassProperties {
    /// Mass, kg.
    pub mass_kg: f64,
    /// Centre of gravity in the datum frame, m.
    pub cg_m: Vector3<f64>,
    /// Inertia tensor about the centre of gravity in body axes, kg m2 (off-diagonal terms are
    /// minus the products of inertia).
    pub inertia_kg_m2: Matrix3<f64>,
}

impl MassProperties {
    /// Centre of gravity behind the nose, m.
    pub fn behind_nose_m(&self) -> f64 {
        -self.cg_m.x
    }
    /// Centre of gravity above the keel line, m.
    pub fn above_keel_m(&self) -> f64 {
        -self.cg_m.z
    }
}

/// What stops a plane from having mass properties.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MassError {
    /// Nothing has any mass.
    #[error("the plane has no mass")]
    NoMass,
}

/// Area integrals of a polygon in its own plane.
struct Moments {
    area: f64,
    centre: [f64; 2],
    /// Second moments about the centroid: integral of u^2, v^2, uv.
    second: [f64; 3],
}

/// Area, centroid and second moments of a simple polygon by Green's theorem
/// (Steger 1996, "On the calculation of arbitrary moments of polygons", eqs. 13 to 18).
fn moments(polygon: &[[f64; 2]]) -> Moments {
    let n = polygon.len();
    // Coordinates from the first corner keep rounding small for pieces far from the origin.
    let o = polygon.first().copied().unwrap_or_default();
    let (mut a, mut s, mut q) = (0.0, [0.0; 2], [0.0; 3]);
    for i in 0..n {
        let (p, r) = (polygon[i], polygon[(i + 1) % n]);
        let (x0, y0, x1, y1) = (p[0] - o[0], p[1] - o[1], r[0] - o[0], r[1] - o[1]);
        let k = x0 * y1 - x1 * y0;
        a += k / 2.0;
        s[0] += k * (x0 + x1) / 6.0;
        s[1] += k * (y0 + y1) / 6.0;
        q[0] += k * (x0 * x0 + x0 * x1 + x1 * x1) / 12.0;
        q[1] += k * (y0 * y0 + y0 * y1 + y1 * y1) / 12.0;
        q[2] += k * (x0 * y1 + 2.0 * x0 * y0 + 2.0 * x1 * y1 + x1 * y0) / 24.0;
    }
    if a == 0.0 {
        return Moments { area: 0.0, centre: o, second: [0.0; 3] };
    }
    let c = [s[0] / a, s[1] / a];
    Moments {
        area: a,
        centre: [o[0] + c[0], o[1] + c[1]],
        second: [q[0] - a * c[0] * c[0], q[1] - a * c[1] * c[1], q[2] - a * c[0] * c[1]],
    }
}

/// Mass, centroid (datum frame) and inertia about that centroid (datum axes) of one layer.
fn lamina_properties(panel: &Panel, turn: &Matrix3<f64>, lamina: &Lamina) -> MassProperties {
    let m = moments(&lamina.polygon);
    let sigma = lamina.areal_mass_kg_m2;
    let mass_kg = sigma * m.area;
    let [uu, vv, uv] = m.second.map(|q| q * sigma);
    let ww = mass_kg * lamina.thickness_m * lamina.thickness_m / 12.0;
    let local = Matrix3::new(vv + ww, -uv, 0.0, -uv, uu + ww, 0.0, 0.0, 0.0, uu + vv);
    let at = nalgebra::Point3::new(m.centre[0], m.centre[1], lamina.height_m);
    MassProperties {
        mass_kg,
        cg_m: turn * at.coords + panel.placement.translation.vector,
        inertia_kg_m2: turn * local * turn.transpose(),
    }
}

/// Inertia about the origin of a unit point mass at `r` (the parallel axis term).
fn point_inertia(r: &Vector3<f64>) -> Matrix3<f64> {
    Matrix3::identity() * r.norm_squared() - r * r.transpose()
}

/// Mass properties of all paper layers, each at its own height, and the ballast.
///
/// A plane with a measured balance keeps the mass distribution of its paper and gets the measured
/// mass and balance point instead of the computed ones.
///
/// # Errors
/// [`MassError::NoMass`] when paper and ballast together weigh nothing.
pub fn properties(airframe: &Airframe) -> Result<MassProperties, MassError> {
    let parts: Vec<MassProperties> = airframe
        .panels
        .iter()
        .flat_map(|p| {
            let turn = p.placement.rotation.to_rotation_matrix().into_inner();
            p.laminae.iter().map(move |l| lamina_properties(p, &turn, l))
        })
        .chain(airframe.point_masses.iter().map(|b| MassProperties {
            mass_kg: b.mass_kg,
            cg_m: b.at,
            inertia_kg_m2: Matrix3::zeros(),
        }))
        .collect();
    let mass_kg: f64 = parts.iter().map(|p| p.mass_kg).sum();
    if !(mass_kg > 0.0 && mass_kg.is_finite()) {
        return Err(MassError::NoMass);
    }
    let cg_m = parts.iter().map(|p| p.cg_m * p.mass_kg).sum::<Vector3<f64>>() / mass_kg;
    let inertia_kg_m2 = parts
        .iter()
        .map(|p| p.inertia_kg_m2 + point_inertia(&(p.cg_m - cg_m)) * p.mass_kg)
        .sum::<Matrix3<f64>>();
    let computed = MassProperties { mass_kg, cg_m, inertia_kg_m2 };
    Ok(match &airframe.measured {
        None => computed,
        Some(measured) => {
            let above = measured.above_keel_m.unwrap_or_else(|| computed.above_keel_m());
            MassProperties {
                mass_kg: measured.mass_kg,
                cg_m: Vector3::new(-measured.behind_nose_m, cg_m.y, -above),
                inertia_kg_m2: inertia_kg_m2 * (measured.mass_kg / mass_kg),
            }
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::airframe::{PanelKind, PointMass};
    use approx::assert_relative_eq;
    use nalgebra::{Isometry3, Translation3, UnitQuaternion};

    pub(crate) fn plate(polygon: Vec<[f64; 2]>, placement: Isometry3<f64>) -> Panel {
        Panel {
            name: "body".into(),
            kind: PanelKind::Wing,
            placement,
            laminae: vec![Lamina {
                polygon,
                height_m: 0.0,
                areal_mass_kg_m2: 2.0,
                thickness_m: 0.0,
            }],
        }
    }

    fn frame(panels: Vec<Panel>) -> Airframe {
        Airframe {
            name: "test".into(),
            panels,
            point_masses: vec![],
            trims: vec![],
            measured: None,
            crease_layers_max: 1,
        }
    }

    /// Rectangle b x h: I = b h^3 / 12; right triangle: centroid at a third, I = b h^3 / 36
    /// (Young & Budynas, Roark's Formulas for Stress and Strain, 7th ed. 2002, table A.1,
    /// from memory).
    #[test]
    fn handbook_figures() {
        let r = moments(&[[1.0, 1.0], [4.0, 1.0], [4.0, 3.0], [1.0, 3.0]]);
        assert_relative_eq!(r.area, 6.0);
        assert_relative_eq!(r.second[1], 3.0 * 8.0 / 12.0, epsilon = 1e-12);
        assert_relative_eq!(r.second[0], 2.0 * 27.0 / 12.0, epsilon = 1e-12);
        let t = moments(&[[0.0, 0.0], [3.0, 0.0], [0.0, 2.0]]);
        assert_relative_eq!(t.centre[0], 1.0, epsilon = 1e-12);
        assert_relative_eq!(t.centre[1], 2.0 / 3.0, epsilon = 1e-12);
        assert_relative_eq!(t.second[1], 3.0 * 8.0 / 36.0, epsilon = 1e-12);
        assert_relative_eq!(t.second[2], -9.0 * 4.0 / 72.0, epsilon = 1e-12);
    }

    /// An L-shaped figure from two rectangles, 20x80 upright on 60x20: centroid by the composite
    /// rule (Hibbeler, Engineering Mechanics: Statics, composite bodies, from memory).
    #[test]
    fn composite_figure() {
        let up =
            plate(vec![[0.0, 0.0], [0.02, 0.0], [0.02, 0.08], [0.0, 0.08]], Isometry3::identity());
        let foot = plate(
            vec![[0.02, 0.0], [0.08, 0.0], [0.08, 0.02], [0.02, 0.02]],
            Isometry3::identity(),
        );
        let p = properties(&frame(vec![up, foot])).unwrap();
        assert_relative_eq!(
            p.cg_m.x,
            (1600.0 * 10.0 + 1200.0 * 50.0) / 2800.0 * 1e-3,
            epsilon = 1e-12
        );
        assert_relative_eq!(
            p.cg_m.y,
            (1600.0 * 40.0 + 1200.0 * 10.0) / 2800.0 * 1e-3,
            epsilon = 1e-12
        );
    }

    #[test]
    fn inertia_follows_the_panel_and_the_ballast() {
        let turned = Isometry3::from_parts(
            Translation3::new(0.3, 0.1, 0.2),
            UnitQuaternion::from_euler_angles(0.0, 0.0, std::f64::consts::FRAC_PI_2),
        );
        let square = vec![[-0.5, -1.0], [0.5, -1.0], [0.5, 1.0], [-0.5, 1.0]];
        let mut f = frame(vec![plate(square, turned)]);
        let p = properties(&f).unwrap();
        assert_relative_eq!(p.mass_kg, 4.0);
        // v (long) now runs along -x, so the long moment is about y.
        assert_relative_eq!(p.inertia_kg_m2[(1, 1)], 4.0 * 4.0 / 12.0, epsilon = 1e-12);
        assert_relative_eq!(p.inertia_kg_m2[(0, 0)], 4.0 * 1.0 / 12.0, epsilon = 1e-12);
        assert_relative_eq!(p.inertia_kg_m2[(2, 2)], 4.0 * 5.0 / 12.0, epsilon = 1e-12);
        f.point_masses.push(PointMass {
            name: "clip".into(),
            mass_kg: 4.0,
            at: Vector3::new(0.5, 0.1, 0.2),
        });
        let q = properties(&f).unwrap();
        assert_relative_eq!(q.cg_m.x, 0.4, epsilon = 1e-12);
        assert_relative_eq!(
            q.inertia_kg_m2[(2, 2)] - p.inertia_kg_m2[(2, 2)],
            8.0 * 0.01,
            epsilon = 1e-12
        );
    }

    #[test]
    fn nothing_weighs_nothing() {
        assert_eq!(properties(&frame(vec![])), Err(MassError::NoMass));
    }
}

//! The air a plane carries along when it is shaken: the same mesh with closed rings and no wake.
//!
//! The potential of the flow jumps across a plate by the circulation of the ring at the place, and
//! the impulse of a ring is density times circulation times its area (Lamb, Hydrodynamics, 1932,
//! art. 150-152); the impulse of the rings that answer a unit motion is a column of the added mass.
//! Rings end where vortices would stand (see [`chord_points`](super::mesh::chord_points)): in two
//! dimensions that is exact.

use super::AeroError;
use super::influence::{Ring, mirror};
use super::lattice::{influence_of_halves, solve_halves};
use super::mesh::Mesh;
use nalgebra::{DMatrix, Matrix6, Vector3};

/// Added mass about the origin for unit density (rows and columns u v w p q r), m3, m4, m5.
/// Symmetric and never negative: what rounding and the mesh leave of the other part is taken away.
///
/// # Errors
/// [`AeroError::Singular`] when two surfaces coincide.
pub fn added_mass(mesh: &Mesh) -> Result<Matrix6<f64>, AeroError> {
    let held = &mesh.rings;
    let sides = if mesh.symmetric { mesh.side_rings } else { 0 };
    let images: Vec<Ring> = held[..sides].iter().map(Ring::mirrored).collect();
    let ask = |rings: &[Ring]| {
        DMatrix::from_fn(rings.len(), 6, |i, k| rings[i].asked(&rings[i].control)[k])
    };
    let (even, odd) = influence_of_halves(held.len(), sides, |i, image, row| {
        let side = |v: &Vector3<f64>| if image { mirror(v) } else { *v };
        let (normal, control) = (side(&held[i].normal), side(&held[i].control));
        let sources = if image { &held[..sides] } else { held };
        row.extend(sources.iter().map(|source| normal.dot(&source.velocity_at(&control))));
    });
    let circulation = solve_halves(even, odd, &ask(held), &ask(&images))?;
    let mut sum = Matrix6::zeros();
    for (i, ring) in held.iter().chain(&images).enumerate() {
        let (area, middle) = ring.area();
        let row = circulation.row(i);
        for (k, impulse) in ring.asked(&middle).iter().enumerate() {
            for j in 0..6 {
                sum[(k, j)] += area * impulse * row[j];
            }
        }
    }
    Ok(positive((sum + sum.transpose()) / 2.0))
}

/// Added mass about another place: the origin then moves with the place's velocity and `at x w`.
pub fn moved_to(about_origin: &Matrix6<f64>, at: &Vector3<f64>) -> Matrix6<f64> {
    let mut shift = Matrix6::identity();
    shift.fixed_view_mut::<3, 3>(0, 3).copy_from(&at.cross_matrix());
    shift.transpose() * about_origin * shift
}

/// The symmetric matrix without its negative part.
fn positive(m: Matrix6<f64>) -> Matrix6<f64> {
    let eigen = m.symmetric_eigen();
    let kept = Matrix6::from_diagonal(&eigen.eigenvalues.map(|x| x.max(0.0)));
    eigen.eigenvectors * kept * eigen.eigenvectors.transpose()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::mesh::MeshSize;
    use crate::air::shapes::{self, Halves};
    use crate::air::surfaces::surfaces;
    use crate::plane::airframe::{Airframe, PanelKind};
    use approx::assert_relative_eq;
    use std::f64::consts::PI;

    fn of(airframe: &Airframe) -> Matrix6<f64> {
        let mesh = Mesh::new(&surfaces(airframe).unwrap(), MeshSize::ORDINARY).unwrap();
        added_mass(&mesh).unwrap()
    }

    #[test]
    fn a_disc_carries_what_lamb_says() {
        // Lamb, Hydrodynamics, 1932, art. 102 and 108: 8/3 rho a^3 and 16/45 rho a^5.
        let a = 0.075;
        let corner = |k: usize| {
            let t = PI * k as f64 / 24.0;
            [a * t.cos(), a * t.sin()]
        };
        let half = |side: f64| {
            let mut outline: Vec<[f64; 2]> = (0..=24).map(corner).collect();
            if side > 0.0 {
                outline = outline.iter().rev().map(|&[u, v]| [u, -v]).collect();
            }
            let place = shapes::level(0.0, Vector3::zeros());
            shapes::panel("half", PanelKind::Wing, place, &outline)
        };
        let m = of(&shapes::airframe("disc", vec![half(-1.0), half(1.0)]));
        assert_relative_eq!(m[(2, 2)], 8.0 / 3.0 * a.powi(3), max_relative = 0.03);
        assert_relative_eq!(m[(3, 3)], 16.0 / 45.0 * a.powi(5), max_relative = 0.03);
        assert_relative_eq!(m[(4, 4)], 16.0 / 45.0 * a.powi(5), max_relative = 0.03);
    }

    #[test]
    fn a_long_thin_keel_carries_a_cylinder_of_air_sideways() {
        // Lamb, art. 71: pi h^2/4 for each length of a plate of width h. The wing above is small
        // and far.
        let (h, length) = (0.02, 0.4);
        let keel = shapes::upright("keel", PanelKind::Keel, [0.0, -length], [0.1, 0.1 + h], 0.0);
        let wing = Halves::rectangle(1.0).scaled(0.02).panels();
        let m = of(&shapes::airframe("long", [wing, vec![keel]].concat()));
        assert_relative_eq!(m[(1, 1)], PI * h * h * length / 4.0, max_relative = 0.1);
    }

    #[test]
    fn a_square_carries_the_published_share_of_its_strips() {
        // DNV-RP-H103, table A-2 (from memory): 0.579 pi/4 a^3.
        let m = of(&Halves::rectangle(1.0).airframe("square"));
        assert_relative_eq!(m[(2, 2)], 0.579 * PI / 4.0, max_relative = 0.01);
        assert!(m[(0, 0)].abs() < 1e-12 && m[(1, 1)].abs() < 1e-12);
        assert_relative_eq!(m, m.transpose(), epsilon = 1e-15);
        let about = moved_to(&m, &Vector3::new(-0.3, 0.0, 0.1));
        for e in m.symmetric_eigenvalues().iter().chain(about.symmetric_eigenvalues().iter()) {
            assert!(*e > -1e-12, "{e}");
        }
        // Turning about its own middle, a square resists less than about its leading edge.
        let middle = moved_to(&m, &Vector3::new(-0.5, 0.0, 0.0));
        assert!(middle[(4, 4)] < 0.3 * m[(4, 4)] && middle[(2, 4)].abs() < 1e-6);
    }
}

//! The plane as a small shape along its path.

use nalgebra::{Point3, Vector3};
use plumbfold::flight::throw::Sample;
use plumbfold::numeric::geom::{TablePoint, hull};
use plumbfold::plane::airframe::{Airframe, Panel};

use crate::fit::Fit;
use crate::style::{Ink, Stroke};
use crate::svg::{Canvas, Paint, Path, Pt};

/// Length of the plane as it is drawn, mm.
pub const LENGTH: f64 = 9.0;

/// The plane as a small shape: one outline a panel, body frame.
pub struct Glyph {
    panels: Vec<Vec<Vector3<f64>>>,
    /// Length and span, m.
    pub size: [f64; 2],
}

impl Glyph {
    pub fn of(airframe: &Airframe, cg: Vector3<f64>) -> Self {
        let panels: Vec<Vec<Vector3<f64>>> = airframe
            .panels
            .iter()
            .map(|panel| {
                outline(panel).into_iter().map(|q| (panel.placement * q).coords - cg).collect()
            })
            .filter(|corners: &Vec<Vector3<f64>>| corners.len() > 2)
            .collect();
        let reach = |f: fn(&Vector3<f64>) -> f64| {
            let (a, b) = panels
                .iter()
                .flatten()
                .map(f)
                .fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
            if b > a { b - a } else { 0.2 }
        };
        let size = [reach(|v| v.x), reach(|v| v.y)];
        Self { panels, size }
    }

    /// Small enough to stand clear, large enough to show its attitude.
    pub fn enlarged(&self, scale: f64) -> f64 {
        (LENGTH / (self.size[0] * scale)).clamp(1.0, 12.0)
    }

    /// Every panel in the room.
    pub fn outlines(&self, m: &Sample, enlarged: f64) -> Vec<Vec<Vector3<f64>>> {
        let place = |v: &Vector3<f64>| m.motion.position + m.motion.attitude * v * enlarged;
        self.panels.iter().map(|corners| corners.iter().map(place).collect()).collect()
    }

    pub fn draw(
        &self,
        c: &mut Canvas<'_>,
        m: &Sample,
        enlarged: f64,
        fit: &Fit,
        flat: impl Fn(&Vector3<f64>) -> Pt,
        depth: impl Fn(&Vector3<f64>) -> f64,
    ) {
        let mut shapes: Vec<(f64, Path)> = self
            .outlines(m, enlarged)
            .iter()
            .map(|at| {
                let far = at.iter().map(&depth).sum::<f64>() / at.len() as f64;
                (far, fit.polygon(at.iter().map(&flat)))
            })
            .collect();
        shapes.sort_by(|a, b| a.0.total_cmp(&b.0));
        let line = Stroke::solid(Ink::Edge, 0.16);
        // A rim in the colour of the ground keeps the plane apart from its path.
        for (_, shape) in &shapes {
            c.path(shape, Paint::stroke(Stroke::solid(Ink::Ground, 0.9)));
        }
        for (_, shape) in &shapes {
            c.path(shape, Paint::both(Ink::Printed, line));
        }
    }
}

/// Convex outline of a panel in its own plane.
fn outline(panel: &Panel) -> Vec<Point3<f64>> {
    let corners = panel.laminae.iter().flat_map(|l| l.polygon.iter());
    let corners =
        corners.map(|&[u, v]| TablePoint::new(u, v)).filter(|p| p.x.is_finite() && p.y.is_finite());
    hull(corners.collect(), 0.0).into_iter().map(|p| Point3::new(p.x, p.y, 0.0)).collect()
}

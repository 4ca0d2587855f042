//! The posed plane in space, layer by layer, for printers of solids and for viewers.
//!
//! Axes: x towards the nose, y to the left wing, z up, m; the origin is that of the airframe.
//! Trailing edges bent for trim and weights put on are not part of it.

use nalgebra::Point3;
use plumbfold::plane::airframe::{Airframe, Lamina, Panel};

/// How layers are made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Form {
    /// With the thickness of the paper: each layer closed all round.
    #[default]
    Solid,
    /// As flat sheets without thickness.
    Sheets,
}

/// The layers of one rigid panel as triangles.
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh {
    /// Name of the panel.
    pub name: String,
    /// Corners, m.
    pub corners: Vec<[f64; 3]>,
    /// Triangles, anticlockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
}

/// Layers that touch along an edge would share it, and an edge of four faces is no surface of a
/// solid: each layer is set this much ahead of the one before it, m. It shows in no print.
const APART_M: f64 = 1e-7;

/// A mesh for each panel.
pub fn meshes(airframe: &Airframe, form: Form) -> Vec<Mesh> {
    let mut layers = 0;
    let panels = airframe.panels.iter().enumerate();
    panels.map(|(i, panel)| mesh(i, panel, form, &mut layers)).collect()
}

fn mesh(index: usize, panel: &Panel, form: Form, layers: &mut usize) -> Mesh {
    let name = format!("{} {}", panel.name, index + 1);
    let mut mesh = Mesh { name, corners: Vec::new(), triangles: Vec::new() };
    for lamina in &panel.laminae {
        match form {
            Form::Solid => {
                let first = mesh.corners.len();
                mesh.slab(panel, lamina);
                for corner in &mut mesh.corners[first..] {
                    corner[0] += APART_M * *layers as f64;
                }
                *layers += 1;
            }
            Form::Sheets => {
                let first = mesh.ring(panel, lamina, 0.0);
                mesh.fan(first, lamina.polygon.len(), false);
            }
        }
    }
    mesh
}

impl Mesh {
    /// The outline of a layer, so far above its middle; the index of its first corner.
    fn ring(&mut self, panel: &Panel, lamina: &Lamina, above_m: f64) -> u32 {
        let first = self.corners.len() as u32;
        for &[u, v] in &lamina.polygon {
            let p = panel.placement * Point3::new(u, v, lamina.height_m + above_m);
            // Half a turn about x: from z down to z up.
            self.corners.push([p.x, -p.y, -p.z]);
        }
        first
    }

    /// A convex face from the corners of a ring.
    fn fan(&mut self, first: u32, corners: usize, from_below: bool) {
        for i in 1..(corners as u32).saturating_sub(1) {
            let [a, b, c] = [first, first + i, first + i + 1];
            self.triangles.push(if from_below { [a, c, b] } else { [a, b, c] });
        }
    }

    fn slab(&mut self, panel: &Panel, lamina: &Lamina) {
        let n = lamina.polygon.len();
        let lower = self.ring(panel, lamina, -lamina.thickness_m / 2.0);
        let upper = self.ring(panel, lamina, lamina.thickness_m / 2.0);
        self.fan(lower, n, true);
        self.fan(upper, n, false);
        for i in 0..n as u32 {
            let j = (i + 1) % n as u32;
            self.triangles.push([lower + i, lower + j, upper + j]);
            self.triangles.push([lower + i, upper + j, upper + i]);
        }
    }
}

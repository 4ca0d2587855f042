//! The vortex lattice: circulation of every panel for every unit motion of the plane.
//!
//! The flow must not cross a panel at its control point, and what the motion does there is linear
//! in the six components of the motion, so six solutions hold every small motion: pitch, roll and
//! yaw damping, dihedral effect and weathercock come from the geometry. Bends and steps only tilt
//! the normals (thin-aerofoil linearisation), so they share the factored matrix. The wake is flat
//! and runs aft along body x (Katz & Plotkin, Low-Speed Aerodynamics, 2nd ed. 2001, ch. 12).

use super::AeroError;
use super::influence::mirror;
use super::mesh::{Mesh, Strip, VortexPanel};
use nalgebra::{DMatrix, Vector3};

/// Motions and shapes with a unit solution each: u v w p q r of the datum origin, then shapes.
pub const MOTIONS: usize = 6;

/// A surface slope that acts through forward speed: rise towards the rear per unit length, one
/// value for each panel, for the held half and (on symmetric planes) for its mirror image.
#[derive(Clone, Debug, PartialEq)]
pub struct Slopes {
    /// Held panels.
    pub held: Vec<f64>,
    /// Mirror images of the side panels.
    pub image: Vec<f64>,
}

impl Slopes {
    /// Slope at a panel of the whole lattice: held ones first, then their images.
    pub fn of_panel(&self, j: usize) -> f64 {
        let image = j.checked_sub(self.held.len()).and_then(|k| self.image.get(k));
        image.or_else(|| self.held.get(j)).copied().unwrap_or(0.0)
    }
}

/// Strips and circulations of the whole plane.
#[derive(Clone, Debug)]
pub struct Lattice {
    /// Strips: held ones, then the images of the side ones.
    pub strips: Vec<Strip>,
    /// Panels in the same order.
    pub panels: Vec<VortexPanel>,
    /// Circulation per unit motion, m: one row a panel, one column a motion or shape.
    pub circulation: DMatrix<f64>,
    /// Vortices along a chord.
    pub chordwise: usize,
    /// How many strips were solved for; the rest are mirror images of the first ones.
    pub held_strips: usize,
}

impl Lattice {
    /// Solves the lattice for the six unit motions and the given shapes.
    ///
    /// # Errors
    /// [`AeroError::Singular`] when two surfaces coincide.
    pub fn solve(mesh: &Mesh, shapes: &[Slopes]) -> Result<Self, AeroError> {
        let sides = mesh.side_panels();
        let images: Vec<VortexPanel> = if mesh.symmetric {
            mesh.panels[..sides].iter().map(VortexPanel::mirrored).collect()
        } else {
            vec![]
        };
        let held = mesh.panels.len();
        let modes = MOTIONS + shapes.len();
        let column = |panels: &[VortexPanel], image: bool| {
            DMatrix::from_fn(panels.len(), modes, |i, k| {
                let slope = |s: &Slopes| if image { s.image[i] } else { s.held[i] };
                normal_speed(&panels[i], k, shapes.get(k.wrapping_sub(MOTIONS)).map(slope))
            })
        };
        let right = column(&mesh.panels, false);
        let left = column(&images, true);
        let mut circulation = DMatrix::zeros(held + images.len(), modes);
        if mesh.symmetric {
            let (even, odd) = influence_of_halves(mesh);
            let half = |sign: f64| {
                DMatrix::from_fn(held, modes, |i, k| match i < sides {
                    true => (right[(i, k)] + sign * left[(i, k)]) / 2.0,
                    false => right[(i, k)],
                })
            };
            let even = solve(even, half(1.0).rows(0, sides).into_owned())?;
            let odd = solve(odd, half(-1.0))?;
            for k in 0..modes {
                for i in 0..sides {
                    circulation[(i, k)] = even[(i, k)] + odd[(i, k)];
                    circulation[(held + i, k)] = even[(i, k)] - odd[(i, k)];
                }
                for i in sides..held {
                    circulation[(i, k)] = odd[(i, k)];
                }
            }
        } else {
            let matrix = DMatrix::from_fn(held, held, |i, j| {
                let p = &mesh.panels[i];
                p.normal.dot(&mesh.panels[j].vortex.velocity_at(&p.control))
            });
            circulation = solve(matrix, right)?;
        }
        let image_strips =
            mesh.strips[..mesh.side_strips].iter().filter(|_| mesh.symmetric).map(|s| {
                let mut image = s.mirrored(&mesh.images[s.surface]);
                image.first += held;
                image
            });
        Ok(Self {
            strips: mesh.strips.iter().cloned().chain(image_strips).collect(),
            panels: mesh.panels.iter().cloned().chain(images).collect(),
            circulation,
            chordwise: mesh.size.chordwise,
            held_strips: mesh.strips.len(),
        })
    }

    /// Circulation of every panel in a motion, m2/s.
    pub fn circulations(&self, motion: &[f64]) -> Vec<f64> {
        (0..self.panels.len())
            .map(|i| motion.iter().enumerate().map(|(k, m)| m * self.circulation[(i, k)]).sum())
            .collect()
    }

    /// Force and moment about a place (datum frame), divided by density and flight speed u along
    /// +x, of the given circulations: Kutta-Joukowski on the bound segments.
    pub fn loads(
        &self,
        circulations: &[f64],
        about: &Vector3<f64>,
    ) -> (Vector3<f64>, Vector3<f64>) {
        let mut sum = (Vector3::zeros(), Vector3::zeros());
        for (p, g) in self.panels.iter().zip(circulations) {
            let force = -Vector3::x().cross(&(p.vortex.b - p.vortex.a)) * *g;
            sum.0 += force;
            sum.1 += ((p.vortex.a + p.vortex.b) / 2.0 - about).cross(&force);
        }
        sum
    }

    /// Velocity induced at a place by the given circulations, m/s.
    pub fn induced(&self, circulations: &[f64], at: &Vector3<f64>) -> Vector3<f64> {
        self.panels.iter().zip(circulations).map(|(p, g)| p.vortex.velocity_at(at) * *g).sum()
    }

    /// Induced drag divided by density, of given circulations: the wash of the far wake on itself
    /// (Trefftz 1921; Katz & Plotkin eq. 8.23).
    pub fn wake_drag(&self, circulations: &[f64]) -> f64 {
        let n = self.chordwise;
        let total = |s: &Strip| circulations[s.first..s.first + n].iter().sum::<f64>();
        let ends = |s: &Strip| {
            let v = &self.panels[s.first].vortex;
            [Vector3::new(0.0, v.a.y, v.a.z), Vector3::new(0.0, v.b.y, v.b.z)]
        };
        let mut drag = 0.0;
        for i in &self.strips {
            let [a, b] = ends(i);
            let at = (a + b) / 2.0;
            let mut wash = Vector3::zeros();
            for j in &self.strips {
                let [c, d] = ends(j);
                // A line along -x of strength g gives g/(2 pi) (-x) x r / r^2.
                let line = |q: Vector3<f64>| {
                    let r = at - q;
                    Vector3::new(0.0, r.z, -r.y) / r.norm_squared().max(1e-18)
                };
                wash += (line(d) - line(c)) * (total(j) / (2.0 * std::f64::consts::PI));
            }
            drag -= 0.5 * total(i) * (b - a).norm() * wash.dot(&i.n);
        }
        drag
    }
}

/// What a unit motion or shape asks of the induced flow at a control point.
fn normal_speed(p: &VortexPanel, mode: usize, slope: Option<f64>) -> f64 {
    let unit = |k: usize| Vector3::ith(k, 1.0);
    match mode {
        0..3 => p.normal.dot(&unit(mode)),
        3..6 => p.normal.dot(&unit(mode - 3).cross(&p.control)),
        // A surface that rises towards the rear has its normal tilted forward.
        _ => slope.unwrap_or(0.0) * p.forward.x,
    }
}

/// Influence matrices of symmetric flow (side panels) and of antisymmetric flow (all panels).
fn influence_of_halves(mesh: &Mesh) -> (DMatrix<f64>, DMatrix<f64>) {
    let (held, sides) = (mesh.panels.len(), mesh.side_panels());
    let mut even = DMatrix::zeros(sides, sides);
    let mut odd = DMatrix::zeros(held, held);
    for (j, source) in mesh.panels.iter().enumerate() {
        for (i, p) in mesh.panels.iter().enumerate() {
            let own = p.normal.dot(&source.vortex.velocity_at(&p.control));
            if j >= sides {
                // A central vortex is its own image and counts once.
                odd[(i, j)] = own;
                continue;
            }
            let image = mirror(&p.normal).dot(&source.vortex.velocity_at(&mirror(&p.control)));
            odd[(i, j)] = own - image;
            if i < sides {
                even[(i, j)] = own + image;
            }
        }
    }
    (even, odd)
}

fn solve(matrix: DMatrix<f64>, right: DMatrix<f64>) -> Result<DMatrix<f64>, AeroError> {
    let mut x = right;
    if x.is_empty() {
        return Ok(x);
    }
    let done = matrix.lu().solve_mut(&mut x);
    match done && x.iter().all(|v| v.is_finite()) {
        true => Ok(x),
        false => Err(AeroError::Singular),
    }
}

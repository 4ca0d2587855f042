//! The vortex lattice: circulation of every panel for every unit motion of the plane.
//!
//! The flow must not cross a panel at its control point, and what the motion does there is linear
//! in the six components of the motion, so six solutions hold every small motion: pitch, roll and
//! yaw damping, dihedral effect and weathercock come from the geometry. Bends and steps only tilt
//! the normals (thin-aerofoil linearisation), so they share the factored matrix. The wake is flat
//! and runs aft along body x (Katz & Plotkin, Low-Speed Aerodynamics, 2nd ed. 2001, ch. 12).

use super::AeroError;
use super::filaments::Filaments;
use super::influence::mirror;
use super::mesh::{Carrier, Mesh, Run, Strip, VortexPanel};
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
    /// Runs: held ones, then the images of the side ones; likewise what follows.
    pub runs: Vec<Run>,
    /// Strips.
    pub strips: Vec<Strip>,
    /// Panels.
    pub panels: Vec<VortexPanel>,
    /// What carries load.
    pub carriers: Vec<Carrier>,
    /// Circulation per unit motion, m: one row a panel, one column a motion or shape.
    pub circulation: DMatrix<f64>,
    /// How many runs were solved for; the rest are mirror images of the first ones.
    pub held_runs: usize,
    /// The vortices of the held panels.
    pub filaments: Filaments,
}

impl Lattice {
    /// Solves the lattice for the six unit motions and the given shapes.
    ///
    /// # Errors
    /// [`AeroError::Singular`] when two surfaces coincide.
    pub fn solve(mesh: &Mesh, shapes: &[Slopes]) -> Result<Self, AeroError> {
        let [_, _, sides] = mesh.sides;
        let images: Vec<VortexPanel> = if mesh.symmetric {
            mesh.panels[..sides].iter().map(|p| p.mirrored(&mesh.images)).collect()
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
        let filaments = Filaments::of(&mesh.runs, &mesh.panels);
        let mut asked = filaments.asked();
        let circulation = if mesh.symmetric {
            let left = column(&images, true);
            let (even, odd) = influence_of_halves(held, sides, |i, image, row| {
                let p = &mesh.panels[i];
                let velocities = match image {
                    false => asked.at(&p.control, p.home),
                    true => asked.images_at(&p.control, sides),
                };
                row.extend(velocities.iter().map(|v| p.normal.dot(v)));
            });
            solve_halves(even, odd, &right, &left)?
        } else {
            let mut matrix = DMatrix::zeros(held, held);
            for (i, p) in mesh.panels.iter().enumerate() {
                for (j, v) in asked.at(&p.control, p.home).iter().enumerate() {
                    matrix[(i, j)] = p.normal.dot(v);
                }
            }
            solve(matrix, right)?
        };
        let mirrored = if mesh.symmetric { mesh.sides } else { [0; 3] };
        let (strips, panels) = (mesh.strips.len(), held);
        let run_images = mesh.runs[..mirrored[0]]
            .iter()
            .map(|r| r.mirrored(&mesh.images[r.surface], strips, panels));
        let strip_images =
            mesh.strips[..mirrored[1]].iter().map(|s| s.mirrored(&mesh.images[s.surface]));
        let carrier_images = mesh.carriers.iter().filter(|c| c.strip < mirrored[1]).map(|c| {
            let (strip, panel) = (c.strip + strips, c.panel + panels);
            Carrier { strip, panel, along: -mirror(&c.along), at: mirror(&c.at) }
        });
        Ok(Self {
            runs: mesh.runs.iter().cloned().chain(run_images).collect(),
            strips: mesh.strips.iter().cloned().chain(strip_images).collect(),
            carriers: mesh.carriers.iter().copied().chain(carrier_images).collect(),
            panels: mesh.panels.iter().cloned().chain(images).collect(),
            circulation,
            held_runs: mesh.runs.len(),
            filaments,
        })
    }

    /// Circulation of every panel in a motion, m2/s.
    pub fn circulations(&self, motion: &[f64]) -> Vec<f64> {
        (0..self.panels.len())
            .map(|i| motion.iter().enumerate().map(|(k, m)| m * self.circulation[(i, k)]).sum())
            .collect()
    }

    /// Force and moment about a place (datum frame), divided by density and flight speed u along
    /// +x, of the given circulations: Kutta-Joukowski on all stretches of vortex on the plane.
    pub fn loads(
        &self,
        circulations: &[f64],
        about: &Vector3<f64>,
    ) -> (Vector3<f64>, Vector3<f64>) {
        let mut sum = (Vector3::zeros(), Vector3::zeros());
        for c in &self.carriers {
            let force = -Vector3::x().cross(&c.along) * circulations[c.panel];
            sum.0 += force;
            sum.1 += (c.at - about).cross(&force);
        }
        sum
    }

    /// Induced drag divided by density, of given circulations: the wash of the far wake on itself
    /// (Trefftz 1921; Katz & Plotkin eq. 8.23).
    pub fn wake_drag(&self, circulations: &[f64]) -> f64 {
        let total = |r: &Run| circulations[r.panels.clone()].iter().sum::<f64>();
        let ends = |r: &Run| {
            let v = &self.panels[r.panels.start].vortex;
            let aft = |start: &Vector3<f64>, bends: &Vec<Vector3<f64>>| {
                let last = bends.last().unwrap_or(start);
                Vector3::new(0.0, last.y, last.z)
            };
            [aft(&v.a, &v.bends[0]), aft(&v.b, &v.bends[1])]
        };
        let mut drag = 0.0;
        for i in &self.runs {
            let [a, b] = ends(i);
            let at = (a + b) / 2.0;
            let mut wash = Vector3::zeros();
            for j in &self.runs {
                let [c, d] = ends(j);
                // A line along -x of strength g gives g/(2 pi) (-x) x r / r^2.
                let line = |q: Vector3<f64>| {
                    let r = at - q;
                    Vector3::new(0.0, r.z, -r.y) / r.norm_squared().max(1e-18)
                };
                wash += (line(d) - line(c)) * (total(j) / (2.0 * std::f64::consts::PI));
            }
            // Across the wake, to the side on which the load pushes.
            let across = -Vector3::x().cross(&(b - a));
            drag -= 0.5 * total(i) * wash.dot(&across);
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
/// `normal_flow(i, image, row)` writes what all held panels, or the images of the side ones, do at
/// held panel `i`.
pub fn influence_of_halves(
    held: usize,
    sides: usize,
    mut normal_flow: impl FnMut(usize, bool, &mut Vec<f64>),
) -> (DMatrix<f64>, DMatrix<f64>) {
    let mut even = DMatrix::zeros(sides, sides);
    let mut odd = DMatrix::zeros(held, held);
    let (mut own, mut images) = (Vec::with_capacity(held), Vec::with_capacity(held));
    for i in 0..held {
        own.clear();
        images.clear();
        normal_flow(i, false, &mut own);
        normal_flow(i, true, &mut images);
        for j in 0..held {
            // A central vortex is its own image and counts once.
            let image = if j < sides { images[j] } else { 0.0 };
            odd[(i, j)] = own[j] - image;
            if i < sides && j < sides {
                even[(i, j)] = own[j] + image;
            }
        }
    }
    (even, odd)
}

/// Solutions of a symmetric plane from its symmetric and its antisymmetric flow: held panels, then
/// the images of the side ones. `right` and `left` are what is asked at the held panels and at the
/// images.
pub fn solve_halves(
    even: DMatrix<f64>,
    odd: DMatrix<f64>,
    right: &DMatrix<f64>,
    left: &DMatrix<f64>,
) -> Result<DMatrix<f64>, AeroError> {
    let (sides, held, modes) = (left.nrows(), right.nrows(), right.ncols());
    let half = |sign: f64| {
        DMatrix::from_fn(held, modes, |i, k| match i < sides {
            true => (right[(i, k)] + sign * left[(i, k)]) / 2.0,
            false => right[(i, k)],
        })
    };
    let even = solve(even, half(1.0).rows(0, sides).into_owned())?;
    let odd = solve(odd, half(-1.0))?;
    Ok(DMatrix::from_fn(held + sides, modes, |i, k| match i {
        i if i < sides => even[(i, k)] + odd[(i, k)],
        i if i < held => odd[(i, k)],
        i => even[(i - held, k)] - odd[(i - held, k)],
    }))
}

/// A smaller last pivot than this share of the first means a system without an answer: two sheets
/// in one place.
const LEAST_PIVOT: f64 = 1e-7;

/// Solves a system.
///
/// # Errors
/// [`AeroError::Singular`].
pub fn solve(matrix: DMatrix<f64>, right: DMatrix<f64>) -> Result<DMatrix<f64>, AeroError> {
    let mut x = right;
    if x.is_empty() {
        return Ok(x);
    }
    let lu = matrix.lu();
    let done = lu.solve_mut(&mut x);
    let u = lu.u();
    let pivots = u.diagonal().map(f64::abs);
    let sound = pivots.min() > LEAST_PIVOT * pivots.max();
    match done && sound && x.iter().all(|v| v.is_finite()) {
        true => Ok(x),
        false => Err(AeroError::Singular),
    }
}

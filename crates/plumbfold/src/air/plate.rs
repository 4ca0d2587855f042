//! What a thin sharp plate does that a lattice doesn't know: vortices on its edges, separation,
//! and skin friction. Closed forms, each with its source and how far it can be trusted.
//!
//! ```text
//! normal force   CN  = f (Kp sin a cos a + Kv sin^2 a) + (1 - f) CNs
//! separated      CNs = CD90 sin a / (0.56 + 0.44 sin a)
//! in-plane force: friction only. A thin sharp edge holds no suction at these Reynolds numbers,
//!                 so CD = CD0 + CL tan a (Polhamus, NASA TN D-3767, 1966; the span efficiencies
//!                 of Ananda, Sukumar & Selig, Aerosp. Sci. Technol. 42, 2015, are CLa/(pi AR)).
//! ```

/// Drag coefficient of a plate broadside to the stream, by aspect ratio (1 or more, or its
/// reciprocal). Fit 1.10 + 0.02 (A + 1/A) of Lindenburg (ECN-C-03-025, 2003) to Hoerner's table
/// (Fluid-Dynamic Drag, 1965, ch. 3), from memory. Good to 4 % up to A = 20.
pub fn broadside_drag(aspect: f64) -> f64 {
    1.10 + 0.02 * (aspect + 1.0 / aspect)
}

/// Centre of pressure of a plate in a free-streamline flow, chords ahead of mid-chord (Rayleigh
/// 1876; Lamb, Hydrodynamics, art. 77), from the components of the incidence.
pub fn free_streamline_arm(cosine: f64, sine: f64) -> f64 {
    0.75 * cosine / (4.0 + std::f64::consts::PI * sine)
}

/// Normal force coefficient of the same flow.
pub fn free_streamline_normal(sine: f64) -> f64 {
    let k = std::f64::consts::PI * sine;
    2.0 * k / (4.0 + k)
}

/// Lift slope of a plate of an aspect ratio, per rad (Helmbold 1942).
pub fn lift_slope(aspect: f64) -> f64 {
    2.0 * std::f64::consts::PI * aspect / (2.0 + (4.0 + aspect * aspect).sqrt())
}

/// How the leading-edge bubble of a thin plate moves the centre of pressure aft: chords per
/// rad^2 of effective section incidence. Mean of two fits to two-dimensional plates (2.85 and
/// 3.5: Li, Goodwill, Wang & Ristroph, J. Fluid Mech. 937 A6, 2022, and later refits; second-hand).
pub const BUBBLE_TRAVEL: f64 = 3.2;

/// Share of the leading-edge suction that turns into vortex lift, by sweep, rad. Nothing on an
/// unswept edge (review in Aerospace 10(7):597, 2023: leave it out for unswept edges), everything
/// from 60 degrees on (the sweeps Polhamus verified), a cubic between; the lower end, 30 degrees,
/// is a guess.
pub fn leading_edge_share(sweep_rad: f64) -> f64 {
    smoothstep((sweep_rad.to_degrees() - 30.0) / 30.0)
}

/// Incidences, rad, between which the flow goes from attached to separated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StallWindow {
    /// Attached below.
    pub start_rad: f64,
    /// Separated above.
    pub end_rad: f64,
}

/// Standard uncertainty of the stall window, rad (4 degrees: the spread between the low-Reynolds
/// and the classical sets of plate data at aspect ratio 1 is 25 to 38 degrees).
pub const STALL_SIGMA_RAD: f64 = 0.07;

impl StallWindow {
    /// Unswept plates. Middle 14 + 43 exp(-A) degrees: 14 in two dimensions (Li et al. 2022),
    /// near 30 at aspect ratio 1 and 20 at 2 (Torres & Mueller, AIAA J. 42(5), 2004; Hoerner; from
    /// memory). The 18 degrees between start and end are the width of Li's tanh.
    pub fn blunt(aspect: f64) -> Self {
        let middle = (14.0 + 43.0 * (-aspect).exp()).min(42.0);
        Self { start_rad: (middle - 9.0).to_radians(), end_rad: (middle + 9.0).to_radians() }
    }

    /// Sharp swept wings: from where the vortex bursts at the trailing edge to where it bursts at
    /// the apex. Start 13 degrees at 60 degrees of sweep and 1.45 degrees more for each degree
    /// (Wentz & Kohlman, J. Aircraft 8(3), 1971, from memory), 27 degrees wide.
    pub fn swept(sweep_rad: f64) -> Self {
        let start = (13.0 + 1.45 * (sweep_rad.to_degrees() - 60.0)).clamp(8.0, 42.0);
        Self { start_rad: start.to_radians(), end_rad: (start + 27.0).to_radians() }
    }

    /// Between the two, `share` of the way to the other.
    pub fn towards(self, other: Self, share: f64) -> Self {
        let mix = |a: f64, b: f64| a + share * (b - a);
        Self {
            start_rad: mix(self.start_rad, other.start_rad),
            end_rad: mix(self.end_rad, other.end_rad),
        }
    }

    /// Squared sines of start and end, shifted by an angle; kept within 1 and 80 degrees.
    pub fn squared_sines(self, shift_rad: f64) -> [f64; 2] {
        let limit = |a: f64| (a + shift_rad).clamp(0.017, 1.396);
        let [a, b] = [limit(self.start_rad), limit(self.end_rad)].map(|a| a.sin().powi(2));
        [a, b.max(a + 0.01)]
    }
}

/// 0 below 0, 1 above 1, 3 t^2 - 2 t^3 between.
pub fn smoothstep(t: f64) -> f64 {
    let t = t.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Laminar friction of one side, times the root of the Reynolds number (Blasius 1908).
pub const BLASIUS: f64 = 1.328;
/// Creases cross the flow and thicken the layer: 10 % more friction (a guess; a measured plate
/// with everything on it has up to twice Blasius: Pelletier & Mueller, J. Aircraft 37(5), 2000).
pub const CREASE_ALLOWANCE: f64 = 1.10;
/// Wetted sides of a closed keel in units of one plate's two: outside whole, inside half, since
/// the air between the halves is slow (a guess).
pub const KEEL_SIDES: f64 = 1.5;
/// Base pressure behind a backward-facing step, as a drag coefficient on its height (0.1 to 0.2
/// in Eaton & Johnston, AIAA J. 19(9), 1981, and Driver & Seegmiller, AIAA J. 23(2), 1985; from
/// memory).
pub const STEP_BASE_DRAG: f64 = 0.15;

/// What a small trailing-edge bend does in real air compared with the lattice: the boundary layer
/// fills the corner (plain flaps at low speed: Hoerner & Borst, Fluid-Dynamic Lift, 1975, ch. 9,
/// 0.8 to 0.9; from memory).
pub const BEND_EFFECTIVENESS: f64 = 0.85;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_forms_meet_their_ends() {
        assert_eq!(leading_edge_share(0.0), 0.0);
        assert_eq!(leading_edge_share(61f64.to_radians()), 1.0);
        let [a, b] = StallWindow::blunt(1.0).squared_sines(2.0);
        assert!(b > a && b <= 1.0);
    }
}

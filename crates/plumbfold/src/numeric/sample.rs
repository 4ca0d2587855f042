//! Numbered random draws, spread more evenly than chance would: all that is drawn about planes,
//! throws and hands comes from here.
//!
//! Dimensions stand in groups of twelve. Within a group the draws are Sobol's sequence (USSR Comput.
//! Math. Math. Phys. 7, 1967) with the direction numbers of S. Joe and F. Y. Kuo, "Constructing
//! Sobol sequences with better two-dimensional projections", SIAM J. Sci. Comput. 30, 2008,
//! scrambled by a random lower triangular matrix and a random shift in base two (J. Matousek, "On
//! the L2-discrepancy for anchored boxes", J. Complexity 14, 1998): each draw by itself is uniform,
//! whatever the count. Further groups are scrambled anew and run through in a random order (A. B.
//! Owen, "Latin supercube sampling for very high-dimensional simulations", ACM Trans. Model. Comput.
//! Simul. 8, 1998), since Sobol's later dimensions pair badly at a few hundred draws.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use statrs::distribution::{ContinuousCDF, Normal};

/// Normal numbers are cut off here, in standard deviations, so that no single absurd plane is
/// flown.
pub const CUT: f64 = 3.0;

/// Binary digits of a draw.
const BITS: usize = u32::BITS as usize;

/// A line of Joe and Kuo's table `new-joe-kuo-6.21201`: degree and inner coefficients of the
/// primitive polynomial, and the first direction numbers.
struct Line {
    degree: usize,
    coefficients: u32,
    first: [u32; 9],
}

const fn line(degree: usize, coefficients: u32, first: [u32; 9]) -> Line {
    Line { degree, coefficients, first }
}

/// Dimensions 3, 11, 12, 13, 17, 19, 29, 37, 42, 48, 50 and 55 of the table: of its first 64 the
/// twelve whose worst pair is the least correlated at 24, 48 and 200 scrambled draws. The first
/// twelve hold a pair that repeats its leading digit over 24 draws, which no scrambling mends.
const TABLE: [Line; 12] = [
    line(2, 1, [1, 3, 0, 0, 0, 0, 0, 0, 0]),
    line(5, 11, [1, 1, 5, 1, 1, 0, 0, 0, 0]),
    line(5, 13, [1, 1, 1, 3, 11, 0, 0, 0, 0]),
    line(5, 14, [1, 3, 5, 5, 31, 0, 0, 0, 0]),
    line(6, 19, [1, 1, 1, 15, 7, 5, 0, 0, 0]),
    line(6, 25, [1, 1, 5, 5, 19, 61, 0, 0, 0]),
    line(7, 32, [1, 3, 7, 5, 13, 19, 59, 0, 0]),
    line(7, 62, [1, 3, 3, 5, 3, 55, 33, 0, 0]),
    line(8, 47, [1, 1, 7, 15, 21, 11, 81, 45, 0]),
    line(8, 70, [1, 3, 7, 11, 15, 39, 119, 27, 0]),
    line(8, 97, [1, 1, 1, 3, 23, 43, 57, 177, 0]),
    line(9, 13, [1, 3, 3, 11, 3, 1, 109, 9, 69]),
];

/// What each binary digit of a draw's number adds to it, leading digit first.
fn directions(line: &Line) -> [u32; BITS] {
    let s = line.degree;
    let mut m = [0u64; BITS];
    for j in 0..BITS {
        m[j] = if j < s {
            u64::from(line.first[j])
        } else {
            (1..s)
                .filter(|k| line.coefficients >> (s - 1 - k) & 1 == 1)
                .fold(m[j - s] ^ m[j - s] << s, |sum, k| sum ^ m[j - k] << k)
        };
    }
    // m[j] is odd and below 2^(j+1).
    std::array::from_fn(|j| (m[j] << (BITS - 1 - j)) as u32)
}

/// One dimension, scrambled.
struct Dimension {
    directions: [u32; BITS],
    shift: u32,
}

impl Dimension {
    fn scrambled(line: &Line, rng: &mut Pcg64) -> Self {
        // Row r of the matrix: digit r itself and any of those before it.
        let rows: [u32; BITS] = std::array::from_fn(|r| {
            let digit = 1u32 << (BITS - 1 - r);
            let before = !(digit | (digit - 1));
            digit | rng.random::<u32>() & before
        });
        let turned =
            |v: u32| rows.iter().fold(0u32, |out, row| out << 1 | (row & v).count_ones() & 1);
        Self { directions: directions(line).map(turned), shift: rng.random() }
    }

    /// The draw with a number, inside (0, 1).
    fn at(&self, number: u32) -> f64 {
        let digits = (0..BITS).filter(|j| number >> j & 1 == 1);
        let x = digits.fold(self.shift, |x, j| x ^ self.directions[j]);
        (f64::from(x) + 0.5) / 2f64.powi(BITS as i32)
    }
}

struct Group {
    dimensions: Vec<Dimension>,
    /// Order in which the draws are taken; empty for one after the other.
    order: Vec<u32>,
}

/// Some number of draws from a unit cube. The same count, dimensions and seed give the same draws,
/// each by its number alone.
pub struct Draws {
    groups: Vec<Group>,
}

impl Draws {
    /// Prepares `count` draws (at most `u32::MAX`, more are numbered round again) of so many
    /// dimensions.
    pub fn new(count: usize, dimensions: usize, seed: u64) -> Self {
        let mut rng = Pcg64::seed_from_u64(seed);
        let count = u32::try_from(count).unwrap_or(u32::MAX);
        let group = |first: usize| Group {
            dimensions: TABLE
                .iter()
                .take(dimensions - first)
                .map(|line| Dimension::scrambled(line, &mut rng))
                .collect(),
            order: if first == 0 { Vec::new() } else { shuffled(count, &mut rng) },
        };
        Self { groups: (0..dimensions).step_by(TABLE.len()).map(group).collect() }
    }

    /// Draw `i`, each number uniform inside (0, 1).
    pub fn uniform(&self, i: usize) -> Vec<f64> {
        let one = |group: &Group| {
            let number = match group.order.len() {
                0 => i as u32,
                n => group.order[i % n],
            };
            group.dimensions.iter().map(move |d| d.at(number)).collect::<Vec<_>>()
        };
        self.groups.iter().flat_map(one).collect()
    }

    /// Draw `i` as standard normal numbers, see [`normal`].
    pub fn normal(&self, i: usize) -> Vec<f64> {
        self.uniform(i).into_iter().map(normal).collect()
    }
}

/// The numbers below `count` in a random order (Fisher & Yates, Statistical Tables, 1938).
fn shuffled(count: u32, rng: &mut Pcg64) -> Vec<u32> {
    let mut order: Vec<u32> = (0..count).collect();
    for i in (1..order.len()).rev() {
        order.swap(i, rng.random_range(0..=i));
    }
    order
}

/// The standard normal number that a share `u` of all do not exceed, cut off at [`CUT`].
pub fn normal(u: f64) -> f64 {
    let inside = u.clamp(f64::MIN_POSITIVE, 1.0 - f64::EPSILON);
    Normal::standard().inverse_cdf(inside).clamp(-CUT, CUT)
}

#[cfg(test)]
mod tests;

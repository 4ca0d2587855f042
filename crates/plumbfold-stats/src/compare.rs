//! Was a change real or luck: two samples of throws against each other.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::distribution::{normal_cdf, power, t_quantile, t_two_sided};
use crate::sample::{COVERAGE, mean, variance};

/// Share of chance below which luck is no longer believed, over all looks at one question.
pub const LEVEL: f64 = 0.05;

/// Welch's test of two means with unlike variances (B. L. Welch, Biometrika 34, 1947).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Welch {
    /// Mean of b less mean of a.
    pub difference: f64,
    /// Its 95 % interval.
    pub interval: [f64; 2],
    /// Student's t.
    pub t: f64,
    /// Degrees of freedom by Welch and Satterthwaite.
    pub freedom: f64,
    /// Probability of a difference at least as large by luck.
    pub p: f64,
}

impl Welch {
    /// Of two samples; none where either has fewer than two, or neither scatters.
    pub fn new(a: &[f64], b: &[f64]) -> Option<Self> {
        if a.len() < 2 || b.len() < 2 {
            return None;
        }
        let [va, vb] = [a, b].map(|s| variance(s) / s.len() as f64);
        let se = (va + vb).sqrt();
        if se.is_nan() || se <= 0.0 {
            return None;
        }
        let freedom = (va + vb).powi(2)
            / (va * va / (a.len() as f64 - 1.0) + vb * vb / (b.len() as f64 - 1.0));
        let difference = mean(b) - mean(a);
        let half = t_quantile(f64::midpoint(1.0, COVERAGE), freedom) * se;
        let t = difference / se;
        Some(Self {
            difference,
            interval: [difference - half, difference + half],
            t,
            freedom,
            p: t_two_sided(t, freedom),
        })
    }
}

/// Difference of means in standard deviations, corrected for small samples (L. V. Hedges, J.
/// Educational Statistics 6, 1981), with a 95 % interval by its large-sample variance.
pub fn hedges_g(a: &[f64], b: &[f64]) -> Option<(f64, [f64; 2])> {
    let (na, nb) = (a.len() as f64, b.len() as f64);
    if a.len() < 2 || b.len() < 2 {
        return None;
    }
    let freedom = na + nb - 2.0;
    let pooled = ((na - 1.0) * variance(a) + (nb - 1.0) * variance(b)) / freedom;
    let correct = 1.0 - 3.0 / (4.0 * freedom - 1.0);
    let g = correct * (mean(b) - mean(a)) / pooled.sqrt();
    if !g.is_finite() {
        return None;
    }
    let half = 1.96 * ((na + nb) / (na * nb) + g * g / (2.0 * (na + nb))).sqrt();
    Some((g, [g - half, g + half]))
}

/// A permutation test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Permuted {
    /// Probability of a difference of means at least as large if the names of the planes meant
    /// nothing.
    pub p: f64,
    /// Orders tried.
    pub orders: usize,
    /// Every order there is was tried.
    pub exact: bool,
}

/// Most orders that are all tried.
const EXACT_MOST: f64 = 20_000.0;
/// Orders drawn otherwise: p near 0.05 is then known to 0.0015.
pub const ORDERS: usize = 20_000;
/// Fewer where there are so many throws that more than so many would change places, and fewest: p near
/// 0.05 is then known to 0.005.
const EXCHANGES_MOST: usize = 100_000_000;
const ORDERS_LEAST: usize = 2_000;

/// Exchanges throws between the two planes at random, within each block (a session) only, and
/// counts how often the means differ as much as they do (R. A. Fisher, The Design of Experiments,
/// 1935; the share counts the order that was thrown among the drawn ones: B. Phipson & G. K. Smyth,
/// Stat. Appl. Genet. Mol. Biol. 9, 2010). Each throw is its block, whether it is b's, its value.
pub fn permuted(throws: &[(usize, bool, f64)], seed: u64) -> Permuted {
    let nb = throws.iter().filter(|t| t.1).count();
    let na = throws.len() - nb;
    let total: f64 = throws.iter().map(|t| t.2).sum();
    let difference = |sum_b: f64| sum_b / nb as f64 - (total - sum_b) / na as f64;
    let own: f64 = throws.iter().filter(|t| t.1).map(|t| t.2).sum();
    // Equal differences must count as equal though they are summed in another order.
    let slack = 1e-12 * throws.iter().map(|t| t.2.abs()).fold(f64::MIN_POSITIVE, f64::max);
    let at_least = difference(own).abs() - slack;
    let last = throws.iter().map(|t| t.0).max().unwrap_or(0);
    let mut blocks: Vec<(Vec<f64>, usize)> = vec![(Vec::new(), 0); last + 1];
    for &(block, is_b, value) in throws {
        blocks[block].0.push(value);
        blocks[block].1 += usize::from(is_b);
    }
    blocks.retain(|b| !b.0.is_empty());
    let all: f64 = blocks.iter().map(|b| choose(b.0.len(), b.1)).product();
    if all <= EXACT_MOST {
        let mut sums = vec![0.0];
        for (values, k) in &blocks {
            let own = subset_sums(values, *k);
            sums = sums.iter().flat_map(|s| own.iter().map(move |o| s + o)).collect();
        }
        let hits = sums.iter().filter(|s| difference(**s).abs() >= at_least).count();
        return Permuted { p: hits as f64 / sums.len() as f64, orders: sums.len(), exact: true };
    }
    let mut rng = Pcg64::seed_from_u64(seed);
    let mut hits = 1;
    let orders = (EXCHANGES_MOST / nb.max(1)).clamp(ORDERS_LEAST, ORDERS);
    for _ in 0..orders {
        let mut sum = 0.0;
        for (values, k) in &mut blocks {
            for i in 0..*k {
                let j = rng.random_range(i..values.len());
                values.swap(i, j);
                sum += values[i];
            }
        }
        hits += usize::from(difference(sum).abs() >= at_least);
    }
    Permuted { p: hits as f64 / (orders + 1) as f64, orders, exact: false }
}

fn choose(n: usize, k: usize) -> f64 {
    (0..k.min(n - k)).map(|i| (n - i) as f64 / (i + 1) as f64).product()
}

/// Sums of every choice of `k` values.
fn subset_sums(values: &[f64], k: usize) -> Vec<f64> {
    let Some((first, rest)) = values.split_first() else { return vec![0.0] };
    if k == 0 {
        return vec![0.0];
    }
    if values.len() == k {
        return vec![values.iter().sum()];
    }
    let mut sums: Vec<f64> = subset_sums(rest, k - 1).iter().map(|s| s + first).collect();
    sums.extend(subset_sums(rest, k));
    sums
}

/// Wilcoxon's and Mann & Whitney's rank test by the normal approximation with corrections for ties
/// and continuity (Annals of Mathematical Statistics 18, 1947): U of a and the probability by luck.
pub fn ranks(a: &[f64], b: &[f64]) -> Option<(f64, f64)> {
    let (na, nb) = (a.len() as f64, b.len() as f64);
    let mut all: Vec<(f64, bool)> =
        a.iter().map(|v| (*v, true)).chain(b.iter().map(|v| (*v, false))).collect();
    all.sort_by(|x, y| x.0.total_cmp(&y.0));
    let (mut rank_sum, mut ties, mut i) = (0.0, 0.0, 0);
    while i < all.len() {
        let same = all[i..].iter().take_while(|v| v.0 == all[i].0).count();
        let rank = i as f64 + (same as f64 + 1.0) / 2.0;
        rank_sum += rank * all[i..i + same].iter().filter(|v| v.1).count() as f64;
        ties += (same as f64).powi(3) - same as f64;
        i += same;
    }
    let u = rank_sum - na * (na + 1.0) / 2.0;
    let n = na + nb;
    let variance = na * nb / 12.0 * (n + 1.0 - ties / (n * (n - 1.0)));
    if variance.is_nan() || variance <= 0.0 {
        return None;
    }
    let off = ((u - na * nb / 2.0).abs() - 0.5).max(0.0);
    Some((u, 2.0 * normal_cdf(-off / variance.sqrt())))
}

/// Throws of each plane after which a difference like this one would be found real four times out
/// of five (power 0.8), for scatter like this; none where that takes more than [`THROWS_MOST`].
pub fn throws_to_settle(a: &[f64], b: &[f64], level: f64) -> Option<usize> {
    const POWER: f64 = 0.8;
    let (d, va, vb) = (mean(b) - mean(a), variance(a), variance(b));
    let enough = |n: usize| {
        let n = n as f64;
        let se = ((va + vb) / n).sqrt();
        let freedom = (n - 1.0) * (va + vb).powi(2) / (va * va + vb * vb);
        power(d.abs() / se, freedom, level) >= POWER
    };
    if (va + vb).is_nan() || va + vb <= 0.0 || !enough(THROWS_MOST) {
        return None;
    }
    let (mut low, mut high) = (1, THROWS_MOST);
    while high - low > 1 {
        let middle = usize::midpoint(low, high);
        if middle > 1 && enough(middle) { high = middle } else { low = middle }
    }
    Some(high)
}

/// More throws of one plane than anybody makes for one question.
pub const THROWS_MOST: usize = 2000;

/// The level each look must be held against where nobody knows how many there will be, so that luck
/// passes in no more than one such series of twenty however long it is: shares of one in twenty that
/// fall with the square of the look's number, and whose sum that is (Boole's inequality; the sum of
/// 1/k^2 is pi^2/6, Euler 1735).
pub fn level_of_looks(looks: usize) -> f64 {
    let k = looks.max(1) as f64;
    LEVEL * 6.0 / (std::f64::consts::PI * k).powi(2)
}

/// An order of throws fair to all planes: rounds of one throw of each, drawn by lot (a randomised
/// block design: R. A. Fisher, The Design of Experiments, 1935). Numbers of planes.
pub fn in_turn(planes: usize, each: usize, seed: u64) -> Vec<usize> {
    let mut rng = Pcg64::seed_from_u64(seed);
    let mut order = Vec::with_capacity(planes * each);
    for _ in 0..each {
        let mut round: Vec<usize> = (0..planes).collect();
        for i in (1..planes).rev() {
            round.swap(i, rng.random_range(0..=i));
        }
        order.extend(round);
    }
    order
}

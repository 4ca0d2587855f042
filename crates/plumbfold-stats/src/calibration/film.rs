//! A filmed throw against the model: the hand by its release, the plane by the path from there.

use nalgebra::{DMatrix, DVector};
use plumbfold::verdict::uncertainty::{Perturbation, Uncertainty};

use rayon::prelude::*;

use super::sessions::whitened;
use super::{DAY, Hand, Model, THROWS_LEAST};
use crate::sample::{mean, variance};
use crate::track::{Known, Track};

/// A throw that was filmed.
#[derive(Clone, Debug, PartialEq)]
pub struct Film {
    /// Speed at release, m/s, as the points tell it.
    pub speed_m_s: Known,
    /// Climb angle at release, rad.
    pub elevation_rad: Known,
    /// Places on the path: time, s, and m forward and up of the release.
    pub places: Vec<[f64; 3]>,
    /// Scatter of a place, m.
    pub scatter_m: f64,
    /// How far off the scale may be, as a share, and the level, rad (one standard deviation).
    pub scale_sd: f64,
    /// See `scale_sd`.
    pub level_sd_rad: f64,
}

/// Places taken of a path: enough for glide and swing. Neighbours say the same.
const PLACES: usize = 5;
/// The model itself is off by this share of the way at each place (guessed: the numbers fitted change
/// what the air does by a factor; that it does so alike at each incidence is not known).
const MODEL: f64 = 0.02;

impl Film {
    /// Of a path whose scale and level are as far off as said.
    pub fn of(track: &Track, scale_sd: f64, level_sd_rad: f64) -> Self {
        let (first, last) = (track.points[0], track.points[track.points.len() - 1]);
        let place = |k: usize| {
            let due = last.t_s * (k + 1) as f64 / PLACES as f64;
            let off = |p: &&crate::track::Point| (p.t_s - due).abs();
            let near = track.points.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
            near.map(|p| [p.t_s, p.x_m - first.x_m, p.z_m - first.z_m])
        };
        Self {
            speed_m_s: track.speed_m_s,
            elevation_rad: track.elevation_rad,
            places: (0..PLACES).filter_map(place).collect(),
            scatter_m: track.rest_m,
            scale_sd,
            level_sd_rad,
        }
    }

    fn predicted<M: Model>(
        &self,
        model: &M,
        plane: &Perturbation,
        [faster, steeper, incidence]: [f64; 3],
    ) -> Option<DVector<f64>> {
        let release =
            [self.speed_m_s.value * (1.0 + faster), self.elevation_rad.value + steeper, incidence];
        let times: Vec<f64> = self.places.iter().map(|p| p[0]).collect();
        // A plane that falls twice as far is no likely one.
        let fall_m = 2.0 - 2.0 * self.places.iter().map(|p| p[2]).fold(0.0, f64::min);
        let path = model.path(plane, release, &times, fall_m)?;
        Some(DVector::from_iterator(2 * path.len(), path.into_iter().flatten()))
    }

    fn seen(&self) -> DVector<f64> {
        let places = self.places.iter().flat_map(|p| [p[1], p[2]]);
        DVector::from_iterator(2 * self.places.len(), places)
    }

    /// What the path can be off by near a plane: the covariance of what is another in each film (scatter
    /// of the points, the release as far as it is known, the incidence of the throw, the model), and what
    /// all films of a day share, by one standard deviation each: scale and level (which make release and
    /// path wrong together), and the day.
    fn doubts<M: Model>(
        &self,
        model: &M,
        plane: &Perturbation,
    ) -> Option<(DMatrix<f64>, [DVector<f64>; SHARED])> {
        let slope = |release: [f64; 3], bend_m: f64| {
            let moved = |sign: f64| {
                let plane = Perturbation { bend_m: plane.bend_m + sign * bend_m, ..*plane };
                self.predicted(model, &plane, release.map(|r| sign * r))
            };
            Some((moved(1.0)? - moved(-1.0)?) / 2.0)
        };
        const SMALL: f64 = 0.03;
        let (faster, steeper) =
            (slope([SMALL, 0.0, 0.0], 0.0)? / SMALL, slope([0.0, SMALL, 0.0], 0.0)? / SMALL);
        let seen = self.seen();
        let n = seen.len();
        // Turned a little, what lies ahead goes up, and what lies above goes back.
        let turned =
            DVector::from_fn(n, |i, _| if i % 2 == 0 { -seen[i + 1] } else { seen[i - 1] });
        let shared = [
            (&seen - &faster) * self.scale_sd,
            (turned - &steeper) * self.level_sd_rad,
            slope([0.0; 3], DAY.bend_m)?,
        ];
        let together = [
            &faster * (self.speed_m_s.sd / self.speed_m_s.value),
            &steeper * self.elevation_rad.sd,
            slope([0.0, 0.0, Uncertainty::CAREFUL.incidence_rad], 0.0)?,
            // The first point, from which all are counted, scatters too.
            DVector::from_fn(n, |i, _| if i % 2 == 0 { self.scatter_m } else { 0.0 }),
            DVector::from_fn(n, |i, _| if i % 2 == 1 { self.scatter_m } else { 0.0 }),
        ];
        let alone = |i: usize| {
            let way = seen[i - i % 2].hypot(seen[i - i % 2 + 1]);
            self.scatter_m.hypot(MODEL * way).max(1e-3).powi(2)
        };
        let alone = DMatrix::from_fn(n, n, |i, j| if i == j { alone(i) } else { 0.0 });
        Some((together.iter().fold(alone, |sum, g| sum + g * g.transpose()), shared))
    }
}

/// What films of one day share: scale, level, day.
const SHARED: usize = 3;

/// Covariance of what the paths of all films can be off by, near a plane. All are taken for films of one
/// day from one place, which tells least.
pub(super) fn covariance<M: Model>(
    films: &[Film],
    model: &M,
    plane: &Perturbation,
) -> Option<DMatrix<f64>> {
    let doubts: Option<Vec<_>> = films.par_iter().map(|f| f.doubts(model, plane)).collect();
    let doubts = doubts?;
    let count: usize = doubts.iter().map(|d| d.0.nrows()).sum();
    let (mut all, mut shared) = (DMatrix::zeros(count, count), DMatrix::zeros(count, SHARED));
    let mut at = 0;
    for (own, together) in &doubts {
        let n = own.nrows();
        all.view_mut((at, at), (n, n)).copy_from(own);
        for (k, g) in together.iter().enumerate() {
            shared.view_mut((at, k), (n, 1)).copy_from(g);
        }
        at += n;
    }
    Some(all + &shared * shared.transpose())
}

/// Misses of the paths of all films in standard deviations.
pub(super) fn misses<M: Model>(
    films: &[Film],
    model: &M,
    plane: &Perturbation,
    covariance: &DMatrix<f64>,
) -> Option<Vec<f64>> {
    let mut off: Vec<f64> = Vec::with_capacity(covariance.nrows());
    for film in films {
        off.extend((film.seen() - film.predicted(model, plane, [0.0; 3])?).iter());
    }
    Some(whitened(&off, covariance.clone())?.0)
}

/// Misses of the releases of all films against a hand: their means, and their scatter where there are
/// enough; and the logarithm of the determinant of the means' covariance. All are taken for films of
/// one day from one place.
pub(super) fn releases(films: &[Film], meant: [f64; 2], hand: &Hand) -> Option<(Vec<f64>, f64)> {
    if films.is_empty() {
        return Some((Vec::new(), 0.0));
    }
    let n = films.len() as f64;
    let faster = |f: &Film| {
        let value = (f.speed_m_s.value / meant[0]).ln();
        [value, f.speed_m_s.sd / f.speed_m_s.value, f.scale_sd]
    };
    let steeper = |f: &Film| [f.elevation_rad.value - meant[1], f.elevation_rad.sd, f.level_sd_rad];
    let speeds: Vec<[f64; 3]> = films.iter().map(faster).collect();
    let slopes: Vec<[f64; 3]> = films.iter().map(steeper).collect();
    let (mut out, mut ln_det) = (Vec::new(), 0.0);
    for (seen, at, scatter, day) in [
        (speeds, hand.speed.ln(), hand.speed_scatter, DAY.speed),
        (slopes, hand.elevation_rad, hand.elevation_scatter_rad, DAY.elevation_rad),
    ] {
        let values: Vec<f64> = seen.iter().map(|s| s[0]).collect();
        let [own, shared] = [1, 2].map(|k| seen.iter().map(|s| s[k] * s[k]).sum::<f64>() / n);
        let single = scatter * scatter + own;
        let of_mean = single / n + shared + day * day;
        let (off, ln) = whitened(&[mean(&values) - at], DMatrix::from_element(1, 1, of_mean))?;
        out.extend(off);
        ln_det += ln;
        if films.len() >= THROWS_LEAST {
            let seen = variance(&values).sqrt().max(1e-6);
            out.push((seen / single.sqrt()).ln() * (2.0 * (n - 1.0)).sqrt());
        }
    }
    Some((out, ln_det))
}

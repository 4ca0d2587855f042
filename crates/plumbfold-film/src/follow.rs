//! A film and clicks on the plane in; its place in every picture that shows it out.

use nalgebra::{Isometry2, Matrix3, Vector2, Vector3};
use plumbfold_trace::polygon::Pt;

use crate::chain::{Candidate, Motion, chain};
use crate::film::{Film, FilmError, PICTURES_MIN};
use crate::spots::{Spot, spots};
use crate::steady::steady;
use crate::still::Still;

/// A place where the plane was clicked, in dots of the picture as it was filmed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Click {
    /// The picture, from 0.
    pub picture: usize,
    /// The place, dots.
    pub at: Pt,
}

/// The plane in one picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// The picture, from 0.
    pub picture: usize,
    /// Its time, s.
    pub t_s: f64,
    /// Its middle, dots of the picture of the first click: where the camera moved, what stands still
    /// is as it was there.
    pub at: Pt,
    /// A click stands for it: nothing that moves was found there.
    pub by_hand: bool,
    /// The way its longer axis points, towards the nose, unit, where it shows one.
    pub nose: Option<Vector2<f64>>,
}

/// What a film shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// The plane, picture by picture.
    pub seen: Vec<Seen>,
    /// Length of the plane as it was clicked, dots.
    pub length_dots: f64,
    /// Scatter of its places about a smooth path, dots.
    pub scatter_dots: f64,
    /// How far off the ways to the nose may be (one standard deviation), rad; none where none is
    /// told.
    pub nose_sd_rad: Option<f64>,
    /// Where each picture has what stands still in that of the first click: the camera moved, which is
    /// taken out of the places.
    pub moved: Vec<Isometry2<f64>>,
    /// What is left of that at most, dots: the camera came nearer, or moved too far.
    pub moved_dots: f64,
    /// Pictures in which what stands still was not found again.
    pub adrift: usize,
}

/// Most spots of a picture that are looked at.
const SPOTS_MAX: usize = 10;
/// A click may miss the plane by this share of the picture's diagonal.
const REACH: f64 = 0.025;
/// The plane goes at most this share of the picture's diagonal from one picture to the next.
const STEP_MAX: f64 = 0.2;
/// A plane slower than this share of its usual speed at an end of the path lies in the hand or on
/// the floor.
const STOPPED: f64 = 0.3;

/// Follows what was clicked through the film, both ways.
///
/// # Errors
/// A click outside the film or where nothing moves; a plane that is lost at once.
pub fn follow(film: &Film<'_>, clicks: &[Click]) -> Result<Followed, FilmError> {
    let [width, height] = film.size();
    let n = film.count();
    let inside = |c: &Click| {
        let within = |v: f64, most: usize| (0.0..=most as f64).contains(&v);
        c.picture < n && within(c.at.x, width) && within(c.at.y, height)
    };
    let Some(first) = clicks.first() else {
        return Err(FilmError::Unusable("nobody said which thing is the plane".to_owned()));
    };
    if !clicks.iter().all(inside) {
        return Err(FilmError::Unusable("a click lies outside the film".to_owned()));
    }
    let steady = steady(film, first.picture);
    let times: Vec<f64> = (0..n).map(|k| film.time_s(k)).collect();
    let film = &match &steady.grey {
        Some(grey) => Film::new(film.size(), &times, grey)?,
        None => *film,
    };
    let taken_out = |c: &Click| Click { at: steady.moved[c.picture].inverse() * c.at, ..*c };
    let clicks: &[Click] = &clicks.iter().map(taken_out).collect::<Vec<_>>();
    let first = &clicks[0];
    let still = Still::of(film);
    let mut moved_dots = 0.0f64;
    let all: Vec<Vec<Spot>> = (0..n)
        .map(|k| {
            let difference = still.difference(film.picture(k));
            moved_dots = moved_dots.max(still.moved_dots(&difference));
            spots(&still, &difference, film.size())
        })
        .collect();
    let diagonal = (width as f64).hypot(height as f64);
    let nearest = |c: &Click| {
        let near = all[c.picture].iter().filter(|s| s.off(c.at) <= REACH * diagonal);
        near.min_by(|a, b| (a.at - c.at).norm().total_cmp(&(b.at - c.at).norm()))
    };
    let nothing = || FilmError::NothingThere { picture: first.picture, of: n };
    let reference = *nearest(first).ok_or_else(nothing)?;
    let (candidates, places) = candidates(&all, clicks, &reference, &nearest);
    let motion = Motion { length: reference.length(), step_max: STEP_MAX * diagonal };
    let path = chain(&candidates, &times, &motion);
    let mut found: Vec<(Seen, Option<Spot>)> = path
        .iter()
        .map(|&(picture, c)| {
            let spot = places[picture][c];
            let at = candidates[picture][c].at;
            let by_hand = spot.is_none();
            (Seen { picture, t_s: times[picture], at, by_hand, nose: None }, spot)
        })
        .collect();
    trim(&mut found);
    let scatter_dots = smooth(&mut found);
    if found.len() < PICTURES_MIN {
        return Err(FilmError::Lost { seen: found.len() });
    }
    let nose_sd_rad = noses(&mut found, film.between_s());
    let seen = found.into_iter().map(|f| f.0).collect();
    let length_dots = reference.length();
    let (moved, adrift) = (steady.moved, steady.lost);
    Ok(Followed { seen, length_dots, scatter_dots, nose_sd_rad, moved, moved_dots, adrift })
}

/// What may be the plane in each picture, and the spots behind it; where a click says it, that alone.
type Places = (Vec<Vec<Candidate>>, Vec<Vec<Option<Spot>>>);

fn candidates<'a>(
    all: &'a [Vec<Spot>],
    clicks: &[Click],
    reference: &Spot,
    nearest: &dyn Fn(&Click) -> Option<&'a Spot>,
) -> Places {
    let unlike = |s: &Spot| {
        // A factor of 1.6 in area is one deviation: parts of it are lost before a wall alike in grey.
        let area = ((s.area / reference.area).ln() / 0.5).powi(2);
        (area + 0.5 * (s.sign - reference.sign).powi(2)).min(5.0)
    };
    let mut candidates = Vec::with_capacity(all.len());
    let mut places = Vec::with_capacity(all.len());
    for (k, found) in all.iter().enumerate() {
        // The newest click in a picture holds.
        if let Some(click) = clicks.iter().rfind(|c| c.picture == k) {
            let spot = nearest(click).filter(|s| unlike(s) < 5.0).copied();
            let at = spot.map_or(click.at, |s| s.at);
            candidates.push(vec![Candidate { at, unlike: 0.0, sure: true }]);
            places.push(vec![spot]);
            continue;
        }
        let mut likely: Vec<(f64, Spot)> = found.iter().map(|s| (unlike(s), *s)).collect();
        likely.sort_by(|a, b| a.0.total_cmp(&b.0));
        likely.truncate(SPOTS_MAX);
        let of = |&(unlike, s): &(f64, Spot)| Candidate { at: s.at, unlike, sure: false };
        candidates.push(likely.iter().map(of).collect());
        places.push(likely.into_iter().map(|l| Some(l.1)).collect());
    }
    (candidates, places)
}

/// Takes away ends where it stands still: the hand before the throw, the floor after it.
fn trim(found: &mut Vec<(Seen, Option<Spot>)>) {
    let speed =
        |w: &[(Seen, Option<Spot>)]| (w[1].0.at - w[0].0.at).norm() / (w[1].0.t_s - w[0].0.t_s);
    let mut speeds: Vec<f64> = found.windows(2).map(speed).collect();
    if speeds.is_empty() {
        return;
    }
    let in_order = speeds.clone();
    speeds.sort_by(f64::total_cmp);
    let slow = STOPPED * speeds[speeds.len() / 2];
    let begins = in_order.iter().position(|&v| v >= slow).unwrap_or(0);
    let ends = in_order.iter().rposition(|&v| v >= slow).map_or(found.len(), |k| k + 2);
    found.truncate(ends);
    found.drain(..begins.min(found.len()));
}

/// Neighbours on each side through which a place is judged.
const NEIGHBOURS: usize = 4;

/// Takes away places far off a smooth path through their neighbours, and tells the scatter of the
/// rest, dots each way.
fn smooth(found: &mut Vec<(Seen, Option<Spot>)>) -> f64 {
    let off: Vec<f64> = (0..found.len()).map(|k| off_neighbours(found, k)).collect();
    let mut sorted: Vec<f64> = off.iter().copied().filter(|v| v.is_finite()).collect();
    if sorted.is_empty() {
        return 0.0;
    }
    sorted.sort_by(f64::total_cmp);
    // The median of a Rayleigh spread is 1.177 of its standard deviation each way.
    let sd = sorted[sorted.len() / 2] / 1.177;
    let most = (5.0 * sd).max(1.5);
    let mut k = 0;
    found.retain(|(seen, spot)| {
        k += 1;
        seen.by_hand || spot.is_none() || off[k - 1].is_nan() || off[k - 1] <= most
    });
    sd
}

/// Distance of a place from a parabola through its neighbours, dots; not a number at the ends.
fn off_neighbours(found: &[(Seen, Option<Spot>)], k: usize) -> f64 {
    if k < 2 || k + 2 >= found.len() {
        return f64::NAN;
    }
    let near = k.saturating_sub(NEIGHBOURS)..(k + NEIGHBOURS + 1).min(found.len());
    let here = found[k].0;
    let scale = (found[near.end - 1].0.t_s - found[near.start].0.t_s) / 2.0;
    let (mut m, mut bx, mut by) = (Matrix3::zeros(), Vector3::zeros(), Vector3::zeros());
    for (seen, _) in near.filter(|&j| j != k).map(|j| &found[j]) {
        let t = (seen.t_s - here.t_s) / scale;
        let row = Vector3::new(1.0, t, t * t);
        m += row * row.transpose();
        bx += row * (seen.at.x - here.at.x);
        by += row * (seen.at.y - here.at.y);
    }
    match m.try_inverse() {
        Some(inverse) => (inverse * bx).x.hypot((inverse * by).x),
        None => f64::NAN,
    }
}

/// A spot shows where it points if it is so many times longer than high, and so many dots long.
const SLENDER: f64 = 1.7;
const POINTS_DOTS: f64 = 9.0;
/// The shutter is open for at most this share of the time between pictures, and smears a plane along
/// its path by what it goes meanwhile (common practice: half of the time in a dim hall).
const SHUTTER_MAX: f64 = 0.5;
/// Ways to the nose that are farther off than this say nothing, rad.
const NOSE_SD_MAX: f64 = 0.12;

/// Finds the way to the nose: the longer axis of each spot, of which the smear along the path is taken
/// out. Tells how far off it may be; none where it is told nowhere.
fn noses(found: &mut [(Seen, Option<Spot>)], between_s: f64) -> Option<f64> {
    let n = found.len();
    let mut told: Vec<(usize, f64, f64)> = Vec::new();
    for k in 0..n {
        let Some(spot) = found[k].1 else { continue };
        let (a, b) = (&found[k.saturating_sub(1)].0, &found[(k + 1).min(n - 1)].0);
        let velocity = (b.at - a.at) / (b.t_s - a.t_s);
        let axis = |share: f64| {
            let smear = velocity * (between_s * share);
            let [xx, yy, xy] = spot.moments;
            let m = [
                xx - smear.x.powi(2) / 12.0,
                yy - smear.y.powi(2) / 12.0,
                xy - smear.x * smear.y / 12.0,
            ];
            let (middle, half) = ((m[0] + m[1]) / 2.0, ((m[0] - m[1]) / 2.0).hypot(m[2]));
            let (long, short) = (middle + half, (middle - half).max(1.0 / 12.0));
            let slender = (long / short).sqrt() > SLENDER && (12.0 * long).sqrt() > POINTS_DOTS;
            let angle = 0.5 * f64::atan2(2.0 * m[2], m[0] - m[1]);
            // Towards where it goes.
            let ahead = velocity.dot(&Vector2::new(angle.cos(), angle.sin())) >= 0.0;
            slender.then_some(if ahead { angle } else { angle + std::f64::consts::PI })
        };
        if let Some(((mid, low), high)) =
            axis(SHUTTER_MAX / 2.0).zip(axis(0.0)).zip(axis(SHUTTER_MAX))
        {
            told.push((k, mid, turned(high - low) / 12f64.sqrt()));
        }
    }
    // Second differences tell the scatter (their variance is six times that of one).
    let jumps: Vec<f64> = told
        .windows(3)
        .filter(|w| w[2].0 - w[0].0 == 2)
        .map(|w| turned(w[2].1 - w[1].1) - turned(w[1].1 - w[0].1))
        .collect();
    if told.len() < PICTURES_MIN || jumps.len() < 4 {
        return None;
    }
    let scatter = jumps.iter().map(|j| j * j).sum::<f64>() / jumps.len() as f64 / 6.0;
    let smear = told.iter().map(|t| t.2 * t.2).sum::<f64>() / told.len() as f64;
    let sd = (scatter + smear).sqrt();
    if sd > NOSE_SD_MAX {
        return None;
    }
    for (k, angle, _) in told {
        found[k].0.nose = Some(Vector2::new(angle.cos(), angle.sin()));
    }
    Some(sd)
}

/// An angle between half a turn either way.
fn turned(angle: f64) -> f64 {
    angle.sin().atan2(angle.cos())
}

//! One thing followed through all pictures: of all that moves in each the sequence that goes on most
//! evenly, through every click.

use nalgebra::Vector2;
use plumbfold_trace::polygon::Pt;

/// Something that may be the plane.
#[derive(Clone, Copy, Debug)]
pub struct Candidate {
    /// Its place, dots.
    pub at: Pt,
    /// How unlike the clicked plane it is, from 0, in squared deviations.
    pub unlike: f64,
    /// A click says that it is the plane.
    pub sure: bool,
}

/// How the thing may move.
#[derive(Clone, Copy, Debug)]
pub struct Motion {
    /// Its length, dots.
    pub length: f64,
    /// Farthest it goes between two pictures, dots.
    pub step_max: f64,
}

/// Pictures in a row in which it may be missed.
const MISSED_MAX: usize = 4;
/// What each picture that shows it is worth, in squared deviations: a place farther off than this
/// is somebody else.
const WORTH: f64 = 6.0;
/// What each missed picture costs.
const MISSED: f64 = 1.0;
/// No step lies farther off than this, in squared deviations, unless a click says so.
const UNEVEN_MAX: f64 = 16.0;
/// What a click is worth: more than all else.
const SURE: f64 = 1e5;

/// A step from one candidate to another.
struct Step {
    from: (usize, usize),
    to: (usize, usize),
    value: f64,
    before: Option<usize>,
}

/// The places (picture, candidate) of the best sequence by dynamic programming over pairs of places
/// (R. Bellman, Dynamic Programming, 1957): each step is judged by how far it lies from where the
/// step before would have gone on to. Empty where nothing follows anything.
pub fn chain(
    candidates: &[Vec<Candidate>],
    times_s: &[f64],
    motion: &Motion,
) -> Vec<(usize, usize)> {
    let sure: Vec<usize> =
        (0..candidates.len()).filter(|&f| candidates[f].iter().any(|c| c.sure)).collect();
    let mut steps: Vec<Step> = Vec::new();
    // Steps that end at each place.
    let mut ending: Vec<Vec<Vec<usize>>> =
        candidates.iter().map(|c| vec![Vec::new(); c.len()]).collect();
    let worth = |c: &Candidate| WORTH - c.unlike + if c.sure { SURE } else { 0.0 };
    for to in 1..candidates.len() {
        for from in earlier(to, &sure) {
            let missed = (to - from - 1) as f64;
            let dt = times_s[to] - times_s[from];
            for (i, here) in candidates[to].iter().enumerate() {
                for (j, there) in candidates[from].iter().enumerate() {
                    let way = here.at - there.at;
                    if way.norm() > motion.step_max * (missed + 1.0) {
                        continue;
                    }
                    let mut best = (worth(there), None);
                    for &k in &ending[from][j] {
                        let Step { from: (f, c), value, .. } = steps[k];
                        let before = there.at - candidates[f][c].at;
                        let speed = before / (times_s[from] - times_s[f]);
                        let off = uneven(way, speed * dt, missed, motion);
                        let value = value - off;
                        if value > best.0 && (off < UNEVEN_MAX || here.sure) {
                            best = (value, Some(k));
                        }
                    }
                    let value = best.0 + worth(here) - MISSED * missed;
                    ending[to][i].push(steps.len());
                    steps.push(Step { from: (from, j), to: (to, i), value, before: best.1 });
                }
            }
        }
    }
    let last = (0..steps.len()).max_by(|&a, &b| steps[a].value.total_cmp(&steps[b].value));
    let mut places = Vec::new();
    let mut at = last;
    while let Some(k) = at {
        places.push(steps[k].to);
        if steps[k].before.is_none() {
            places.push(steps[k].from);
        }
        at = steps[k].before;
    }
    places.reverse();
    places
}

/// Pictures from which a step may come: none is taken across a click, and any way from one click to
/// the next.
fn earlier(to: usize, sure: &[usize]) -> impl Iterator<Item = usize> {
    let click = sure.iter().copied().rfind(|&s| s < to);
    let near = to.saturating_sub(MISSED_MAX + 1);
    let low = click.map_or(near, |c| near.max(c));
    let far = click.filter(|&c| c < low && sure.contains(&to));
    far.into_iter().chain(low..to)
}

/// How far a step lies from where it was to be expected, in squared deviations.
fn uneven(way: Vector2<f64>, expected: Vector2<f64>, missed: f64, motion: &Motion) -> f64 {
    // A dot and a half of noise at both ends; a swing turns a plane by some hundredths of its way in
    // each picture (guessed, generous).
    let sd = 1.5 + 0.05 * motion.length + 0.12 * expected.norm();
    ((way - expected).norm() / (sd * (1.0 + missed))).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    const MOTION: Motion = Motion { length: 20.0, step_max: 60.0 };

    fn candidate(x: f64, y: f64, unlike: f64, sure: bool) -> Candidate {
        Candidate { at: Pt::new(x, y), unlike, sure }
    }
    /// The plane goes 10 dots a picture; it is missing in some, and something like it stands about.
    fn pictures(sure: Option<usize>) -> (Vec<Vec<Candidate>>, Vec<f64>) {
        let picture = |k: usize| {
            let plane =
                candidate(10.0 * k as f64, 50.0 + (k * k) as f64 * 0.1, 0.5, Some(k) == sure);
            let other = candidate(100.0, 40.0 + k as f64, 0.2, false);
            if [7, 8, 15].contains(&k) { vec![other] } else { vec![other, plane] }
        };
        ((0..20).map(picture).collect(), (0..20).map(|k| k as f64 / 30.0).collect())
    }

    #[test]
    fn what_was_clicked_is_followed_through_gaps_and_past_another() {
        let (pictures, times) = pictures(Some(3));
        let found = chain(&pictures, &times, &MOTION);
        let frames: Vec<usize> = found.iter().map(|p| p.0).collect();
        let want: Vec<usize> = (0..20).filter(|k| ![7, 8, 15].contains(k)).collect();
        assert_eq!(frames, want);
        assert!(found.iter().all(|&(f, c)| pictures[f][c].at.x == 10.0 * f as f64));
    }

    #[test]
    fn a_click_where_nothing_else_goes_is_obeyed() {
        let (mut pictures, times) = pictures(Some(3));
        pictures[11] = vec![candidate(160.0, 62.0, 0.0, true)];
        let found = chain(&pictures, &times, &MOTION);
        assert!(found.contains(&(11, 0)) && found.iter().any(|p| p.0 == 3));
        assert!(chain(&[vec![], vec![]], &[0.0, 1.0], &MOTION).is_empty());
    }
}

//! The lens from things of known shape: dots along lines that are straight in the world, or a grid
//! of marks at known places.

use nalgebra::{DMatrix, DVector};

use crate::line;
use crate::polygon::{Pt, bounds};
use crate::view::{Lens, Optics, View};

/// Largest coefficient; lenses beyond bend lines so that a hand sees it in the finder.
pub const LENS_MAX: f64 = 0.5;
/// A coefficient is taken where leaving it out makes the squares left over larger by so many times
/// their usual size. Chosen: by chance that happens once in some hundred photos (F distribution).
const TOLD_BY: f64 = 8.0;

/// The lens that makes lines straightest (D. C. Brown, "Close-range camera calibration",
/// Photogrammetric Engineering 37, 1971: the plumb-line method). Each line is three dots or more;
/// none where they do not fix it.
pub fn from_lines(lines: &[Vec<Pt>], size: [f64; 2]) -> Option<Lens> {
    fitted(2 * lines.len(), |lens| {
        let optics = Optics::new(lens, size);
        let mut offs = Vec::new();
        for dots in lines {
            let straight: Vec<Pt> = dots.iter().map(|&p| optics.straight(p)).collect();
            let line = line::straight(&straight)?;
            // Compared in the photo itself, whose dots are all alike: a lens cannot win by making
            // the picture smaller.
            let off = |(dot, at): (&Pt, &Pt)| {
                let foot = line.foot(*at);
                let side = line.off(*at).signum();
                side * (optics.drawn(foot) - dot).norm()
            };
            offs.extend(dots.iter().zip(&straight).map(off));
        }
        Some(offs)
    })
}

/// How far a dot lies at most from the straight line through all, seen through a lens: in dots, and
/// as a share of the line's length.
pub fn off_straight(dots: &[Pt], optics: Optics) -> [f64; 2] {
    let straight: Vec<Pt> = dots.iter().map(|&p| optics.straight(p)).collect();
    let Some(line) = line::straight(&straight) else { return [0.0; 2] };
    let (low, high) = bounds(&straight);
    let most = straight.iter().map(|&p| line.off(p).abs()).fold(0.0, f64::max);
    [most, most / (high - low).norm().max(1.0)]
}

/// The lens with which marks at known places on the sheet lie where they are seen (Z. Zhang, "A
/// flexible new technique for camera calibration", IEEE Transactions on Pattern Analysis and Machine
/// Intelligence 22, 2000, section 3.3, of one view). None where they are too few to tell.
pub fn from_marks(marks: &[(Pt, Pt)], size: [f64; 2]) -> Option<Lens> {
    fitted(8, |lens| {
        let view = View::new(Optics::new(lens, size), marks)?;
        let off = |(dot, mm): &(Pt, Pt)| {
            let d = view.dot(*mm) - dot;
            [d.x, d.y]
        };
        Some(marks.iter().flat_map(off).collect())
    })
}

/// Gauss-Newton on what is left over, in dots; first with one coefficient, then with two, each kept
/// only where it is told. `free` numbers are fitted besides.
fn fitted(free: usize, left_over: impl Fn(Lens) -> Option<Vec<f64>>) -> Option<Lens> {
    const STEP: f64 = 1e-4;
    let lens = |k: &[f64]| Lens { k1: k[0], k2: k.get(1).copied().unwrap_or(0.0) };
    let squares = |v: &[f64]| v.iter().map(|r| r * r).sum::<f64>();
    let mut best = Lens::default();
    let mut least = squares(&left_over(best)?);
    let count = left_over(best)?.len();
    for coefficients in 1..=2 {
        let spare = count.checked_sub(free + coefficients).filter(|&n| n > 0);
        let Some(spare) = spare else { break };
        let mut k = vec![best.k1, 0.0];
        k.truncate(coefficients);
        for _ in 0..12 {
            let here = left_over(lens(&k))?;
            let columns = (0..coefficients)
                .map(|c| {
                    let mut there = k.clone();
                    there[c] += STEP;
                    let there = left_over(lens(&there))?;
                    let slope = there.iter().zip(&here).map(|(a, b)| (a - b) / STEP);
                    Some(DVector::from_iterator(count, slope))
                })
                .collect::<Option<Vec<_>>>()?;
            let m = DMatrix::from_columns(&columns);
            let normal = m.transpose() * &m;
            let step = normal.cholesky()?.solve(&(m.transpose() * DVector::from_vec(here)));
            for (k, step) in k.iter_mut().zip(step.iter()) {
                *k = (*k - step.clamp(-0.1, 0.1)).clamp(-LENS_MAX, LENS_MAX);
            }
            if step.amax() < 1e-9 {
                break;
            }
        }
        let left = squares(&left_over(lens(&k))?);
        // What a hand cannot click finer, dots, is no evidence.
        let usual = (left / spare as f64).max(1e-4);
        if !left.is_finite() || least - left < TOLD_BY * usual {
            break;
        }
        (best, least) = (lens(&k), left);
    }
    Some(best)
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;
    use nalgebra::Matrix3;

    use super::*;
    use crate::view::apply;

    const SIZE: [f64; 2] = [4000.0, 3000.0];

    /// A grid of 25 mm seen at a slant through a lens, each mark clicked so many dots off.
    fn grid(lens: Lens, off: f64) -> Vec<(Pt, Pt)> {
        let h = Matrix3::new(12.0, 0.8, 420.0, -0.6, 11.0, 380.0, 2e-4, 3e-4, 1.0);
        let optics = Optics::new(lens, SIZE);
        (0..63)
            .map(|i| {
                let mm = Pt::new(f64::from(i % 9) * 32.0, f64::from(i / 9) * 32.0);
                let wobble = |k: f64| off * (f64::from(i) * k).sin();
                let dot = optics.drawn(apply(&h, mm));
                (Pt::new(dot.x + wobble(12.9898), dot.y + wobble(78.233)), mm)
            })
            .collect()
    }

    fn rows(marks: &[(Pt, Pt)]) -> Vec<Vec<Pt>> {
        let row = |r: usize| marks[9 * r..9 * r + 9].iter().map(|m| m.0).collect();
        let column = |c: usize| marks.iter().skip(c).step_by(9).map(|m| m.0).collect();
        (0..7).map(row).chain((0..9).map(column)).collect()
    }

    #[test]
    fn a_grid_tells_the_lens_it_was_seen_through() {
        for lens in [Lens { k1: -0.08, k2: 0.0 }, Lens { k1: 0.05, k2: -0.03 }] {
            let marks = grid(lens, 0.0);
            for found in [from_marks(&marks, SIZE), from_lines(&rows(&marks), SIZE)] {
                let found = found.unwrap();
                assert_relative_eq!(found.k1, lens.k1, epsilon = 2e-4);
                assert_relative_eq!(found.k2, lens.k2, epsilon = 5e-4);
            }
            // Clicked to a dot and a half: as good as the clicks.
            let marks = grid(lens, 1.5);
            let optics = |lens| Optics::new(lens, SIZE);
            for found in [from_marks(&marks, SIZE), from_lines(&rows(&marks), SIZE)] {
                let corner = Pt::new(300.0, 250.0);
                let off = optics(found.unwrap()).drawn(corner) - optics(lens).drawn(corner);
                assert!(off.norm() < 4.0, "{found:?}: {off}");
            }
        }
    }

    #[test]
    fn a_straight_lens_stays_straight_and_too_few_marks_tell_nothing() {
        let marks = grid(Lens::default(), 1.0);
        assert_eq!(from_marks(&marks, SIZE), Some(Lens::default()));
        assert_eq!(from_lines(&rows(&marks), SIZE), Some(Lens::default()));
        let bent = grid(Lens { k1: -0.1, k2: 0.0 }, 0.0);
        assert_eq!(from_marks(&bent[..4], SIZE), None);
        let four = [bent[0], bent[8], bent[62], bent[54]];
        assert_eq!(from_marks(&four, SIZE), Some(Lens::default()));
        assert_eq!(from_lines(&[vec![], vec![bent[0].0]], SIZE), None);
    }
}

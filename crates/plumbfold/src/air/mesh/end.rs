//! The chords of a run at its stations.

use crate::air::surfaces::{Chord, Stretch, Surface, same_plates};
use nalgebra::Vector3;

/// Directions whose sine is less run along x.
const ALONG_X: f64 = 1e-6;

/// Where a run begins or ends.
pub(super) struct End {
    /// The station, m.
    pub y: f64,
    /// Its chord, cut as that of the run's middle is.
    pub chord: Chord,
    /// Its chord as the paper has it. It differs where a crease runs out beside the station: both
    /// runs that meet there must bend where the paper bends, or their legs would part.
    paper: Chord,
}

impl End {
    /// Where the run has the same plates as in its middle.
    pub fn alike(y: f64, chord: Chord) -> Self {
        Self { y, paper: chord.clone(), chord }
    }

    /// Where it has others.
    pub fn unlike(y: f64, middle: &Chord, paper: &Chord) -> Self {
        let scale = length(paper) / length(middle);
        let [front, from] = [paper, middle].map(|c| c.first().map_or(0.0, |s| s.ends[1]));
        let stretch = |s: &Stretch| Stretch {
            part: s.part,
            ends: s.ends.map(|x| front + (x - from) * scale),
        };
        Self { y, chord: middle.iter().map(stretch).collect(), paper: paper.clone() }
    }

    /// A place on a stretch of the chord, by the share of it that lies ahead.
    pub fn place(&self, surface: &Surface, k: usize, share: f64) -> Vector3<f64> {
        let s = &self.chord[k];
        let x = along(s, share);
        let holds = |t: &&Stretch| t.ends[0] <= x && x <= t.ends[1];
        let found = self.paper.iter().filter(holds);
        let own = found.clone().any(|t| t.part == s.part);
        let part = found.map(|t| t.part).next().filter(|_| !own).unwrap_or(s.part);
        surface.place(part, x, self.y)
    }

    /// Where a leg that starts there bends: at every crease, and at the trailing edge unless the
    /// last plate lies along x.
    pub fn bends(&self, surface: &Surface, k: usize, share: f64) -> Vec<Vector3<f64>> {
        let x = along(&self.chord[k], share);
        let ahead = self.paper.iter().take_while(|t| t.ends[0] > x).count();
        let along_x = |s: &&Stretch| {
            let grid = surface.parts[s.part].grid[0];
            grid.y.hypot(grid.z) < ALONG_X
        };
        let behind = &self.paper[ahead.min(self.paper.len())..];
        let straight = behind.iter().rev().take_while(along_x).count();
        let bent = &behind[..behind.len() - straight];
        bent.iter().map(|s| surface.place(s.part, s.ends[0], self.y)).collect()
    }
}

fn along(s: &Stretch, share: f64) -> f64 {
    s.ends[1] - share * (s.ends[1] - s.ends[0])
}

/// From the front of the first stretch to the rear of the last one, m.
pub(super) fn length(chord: &Chord) -> f64 {
    match (chord.first(), chord.last()) {
        (Some(front), Some(rear)) => front.ends[1] - rear.ends[0],
        _ => 0.0,
    }
}

/// Chords at the first, middle and last station of a run, with straight edges of the mean place and
/// slope of the paper's; none where its plates change.
pub(super) fn straightened(surface: &Surface, lo: f64, hi: f64) -> Option<[Vec<Chord>; 3]> {
    let middle = (lo + hi) / 2.0;
    let [first, last] = [(lo, middle), (middle, hi)].map(|(a, b)| surface.mean_chords(a, b));
    let (first, last) = (first?, last?);
    // The means of both halves lie a quarter of the width from the middle.
    let at = |share: f64| -> Vec<Chord> {
        let stretch = |(a, b): (&Stretch, &Stretch)| {
            let [rear, front] = [0, 1].map(|k| a.ends[k] + share * (b.ends[k] - a.ends[k]));
            // The edges of a strip that ends in a point do not cross.
            let crossed = ((rear - front) / 2.0).max(0.0);
            Stretch { part: a.part, ends: [rear - crossed, front + crossed] }
        };
        let chord = |(a, b): (&Chord, &Chord)| a.iter().zip(b).map(stretch).collect();
        first.iter().zip(&last).map(chord).collect()
    };
    same_plates(&first, &last).then(|| [at(-0.5), at(0.5), at(1.5)])
}

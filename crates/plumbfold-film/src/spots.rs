//! What moves in one picture: spots of dots that differ from the background.

use plumbfold_trace::polygon::Pt;

use crate::still::{Difference, Still};

/// Dots that differ are of one thing where no more than this lies between: a plane before a wall of
/// its own grey falls into pieces.
const JOINED_DOTS: usize = 3;
/// Fewest dots of a spot; less is noise.
const DOTS_MIN: usize = 4;
/// A spot that fills more than this share of a picture is no plane.
const SHARE_MAX: f64 = 0.08;

/// Something that moves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spot {
    /// Its middle: dots weighed by how much of each it covers.
    pub at: Pt,
    /// Dots covered.
    pub area: f64,
    /// Second moments about the middle, x x, y y and x y, square dots.
    pub moments: [f64; 3],
    /// Brighter than the background (1) or darker (-1).
    pub sign: f64,
    /// Half its width and height, dots.
    pub half: [f64; 2],
}

impl Spot {
    /// Length along its longer axis, of an even bar of the same moments, dots.
    pub fn length(&self) -> f64 {
        let [xx, yy, xy] = self.moments;
        let largest = (xx + yy) / 2.0 + ((xx - yy) / 2.0).hypot(xy);
        (12.0 * largest).sqrt()
    }

    /// Distance of a place from the box round it, dots.
    pub fn off(&self, p: Pt) -> f64 {
        let d = p - self.at;
        (d.x.abs() - self.half[0]).max(0.0).hypot((d.y.abs() - self.half[1]).max(0.0))
    }
}

/// All spots of a picture that lie wholly inside it.
pub fn spots(still: &Still, difference: &Difference, [width, height]: [usize; 2]) -> Vec<Spot> {
    const OTHER: u8 = 1;
    const TAKEN: u8 = 2;
    let n = width * height;
    let mut mask: Vec<u8> = (0..n).map(|i| u8::from(still.differs(difference, i))).collect();
    let mut found = Vec::new();
    let mut dots: Vec<usize> = Vec::new();
    for start in 0..n {
        if mask[start] != OTHER {
            continue;
        }
        dots.clear();
        dots.push(start);
        mask[start] = TAKEN;
        let mut next = 0;
        while let Some(&i) = dots.get(next) {
            next += 1;
            let (x, y) = (i % width, i / width);
            let span = |v: usize, most: usize| {
                v.saturating_sub(JOINED_DOTS)..=(v + JOINED_DOTS).min(most - 1)
            };
            for v in span(y, height) {
                for u in span(x, width) {
                    let j = v * width + u;
                    if mask[j] == OTHER {
                        mask[j] = TAKEN;
                        dots.push(j);
                    }
                }
            }
        }
        let few = dots.len() < DOTS_MIN || dots.len() as f64 > SHARE_MAX * n as f64;
        if !few && let Some(spot) = measured(difference, &dots, [width, height]) {
            found.push(spot);
        }
    }
    found
}

/// Middle and moments, dots at its rim counted by how much they differ as against its inside.
fn measured(difference: &Difference, dots: &[usize], [width, height]: [usize; 2]) -> Option<Spot> {
    let off = |i: usize| f64::from(difference.brighter[i]);
    let mut strong: Vec<f64> = dots.iter().map(|&i| off(i).abs()).collect();
    strong.sort_by(f64::total_cmp);
    let inside = 0.7 * strong[strong.len() * 7 / 10];
    let [mut low, mut high] = [[usize::MAX; 2], [0; 2]];
    for &i in dots {
        let p = [i % width, i / width];
        for k in 0..2 {
            low[k] = low[k].min(p[k]);
            high[k] = high[k].max(p[k]);
        }
    }
    // What is cut off by the rim of the picture has its middle elsewhere.
    if low.contains(&0) || high[0] + 1 == width || high[1] + 1 == height {
        return None;
    }
    let (mut area, mut sum, mut sign) = (0.0, [0.0; 2], 0.0);
    let mut m = [0.0; 3];
    let o = [(low[0] + high[0]) as f64 / 2.0, (low[1] + high[1]) as f64 / 2.0];
    // One dot beyond: half-covered dots of the rim lie below the threshold.
    for y in low[1] - 1..=high[1] + 1 {
        for x in low[0] - 1..=high[0] + 1 {
            let d = off(y * width + x);
            let w = ((d.abs() / inside - 0.25) / 0.75).clamp(0.0, 1.0);
            let (u, v) = (x as f64 - o[0], y as f64 - o[1]);
            area += w;
            sum = [sum[0] + w * u, sum[1] + w * v];
            sign += w * d.signum();
            m = [m[0] + w * u * u, m[1] + w * v * v, m[2] + w * u * v];
        }
    }
    if area < 1.0 {
        return None;
    }
    let c = [sum[0] / area, sum[1] / area];
    Some(Spot {
        at: Pt::new(o[0] + c[0] + 0.5, o[1] + c[1] + 0.5),
        area,
        moments: [m[0] / area - c[0] * c[0], m[1] / area - c[1] * c[1], m[2] / area - c[0] * c[1]],
        sign: sign / area,
        half: [0, 1].map(|k| (high[k] - low[k]) as f64 / 2.0 + 0.5),
    })
}

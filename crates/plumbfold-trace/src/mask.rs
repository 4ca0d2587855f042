//! Yes or no for each dot of a small picture: thresholds, pieces, holes, borders.

use crate::polygon::Pt;

/// A picture of yes and no.
#[derive(Clone, Debug, PartialEq)]
pub struct Mask {
    /// Width, dots.
    pub width: usize,
    /// Row by row.
    pub on: Vec<bool>,
}

/// The threshold that parts values into two groups with the largest variance between them
/// (N. Otsu, "A threshold selection method from gray-level histograms", IEEE Transactions on
/// Systems, Man and Cybernetics 9, 1979).
pub fn otsu(values: impl Iterator<Item = f32> + Clone) -> f32 {
    const BINS: usize = 256;
    let (low, high) = values
        .clone()
        .filter(|v| v.is_finite())
        .fold((f32::MAX, f32::MIN), |(l, h), v| (l.min(v), h.max(v)));
    let width = (high - low) / BINS as f32;
    if width.is_nan() || width <= 0.0 {
        return high;
    }
    let mut count = [0.0f64; BINS];
    for v in values.filter(|v| v.is_finite()) {
        count[(((v - low) / width) as usize).min(BINS - 1)] += 1.0;
    }
    let all: f64 = count.iter().sum();
    let sum: f64 = count.iter().enumerate().map(|(i, n)| i as f64 * n).sum();
    let (mut n, mut s, mut best) = (0.0, 0.0, (0.0, 0));
    for (i, c) in count.iter().enumerate() {
        n += c;
        s += i as f64 * c;
        let between = (sum * n - s * all).powi(2) / (n * (all - n)).max(1e-9);
        if between > best.0 {
            best = (between, i);
        }
    }
    low + width * (best.1 as f32 + 1.0)
}

impl Mask {
    /// From a rule.
    pub fn of(width: usize, count: usize, on: impl Fn(usize) -> bool) -> Self {
        Self { width, on: (0..count).map(on).collect() }
    }

    /// Rows.
    pub fn height(&self) -> usize {
        self.on.len() / self.width.max(1)
    }

    /// How many are on.
    pub fn count(&self) -> usize {
        self.on.iter().filter(|&&on| on).count()
    }

    /// The other way round.
    pub fn inverted(mut self) -> Self {
        self.on.iter_mut().for_each(|on| *on = !*on);
        self
    }

    /// The number of the piece (side by side) each dot belongs to, 0 for none, and the size of each
    /// piece by its number.
    pub fn pieces(&self) -> (Vec<u32>, Vec<usize>) {
        let w = self.width;
        let mut label = vec![0u32; self.on.len()];
        let mut sizes = vec![0usize];
        let mut stack = Vec::new();
        for start in 0..self.on.len() {
            if !self.on[start] || label[start] != 0 {
                continue;
            }
            let number = sizes.len() as u32;
            let mut size = 0;
            label[start] = number;
            stack.push(start);
            while let Some(i) = stack.pop() {
                size += 1;
                let x = i % w;
                let mut visit = |j: usize| {
                    if self.on[j] && label[j] == 0 {
                        label[j] = number;
                        stack.push(j);
                    }
                };
                if x > 0 {
                    visit(i - 1);
                }
                if x + 1 < w {
                    visit(i + 1);
                }
                if i >= w {
                    visit(i - w);
                }
                if i + w < self.on.len() {
                    visit(i + w);
                }
            }
            sizes.push(size);
        }
        (label, sizes)
    }

    /// Pieces of at least a size, largest first, with their sizes.
    pub fn largest(&self, at_least: usize) -> Vec<(Mask, usize)> {
        let (label, sizes) = self.pieces();
        let mut order: Vec<usize> = (1..sizes.len()).filter(|&i| sizes[i] >= at_least).collect();
        order.sort_by_key(|&i| std::cmp::Reverse(sizes[i]));
        order.truncate(4);
        let piece =
            |&n: &usize| (Self::of(self.width, label.len(), |i| label[i] as usize == n), sizes[n]);
        order.iter().map(piece).collect()
    }

    /// With all holes filled: what cannot be reached from the border of the picture is on.
    pub fn filled(&self) -> Self {
        let outside = self.clone().inverted();
        let (label, sizes) = outside.pieces();
        let (w, h) = (self.width, self.height());
        let mut reached = vec![false; sizes.len()];
        for i in 0..label.len() {
            let (x, y) = (i % w, i / w);
            if x == 0 || y == 0 || x + 1 == w || y + 1 == h {
                reached[label[i] as usize] = true;
            }
        }
        reached[0] = false;
        Self::of(w, label.len(), |i| !reached[label[i] as usize])
    }

    /// Grown by a square of so many dots each way.
    pub fn grown(&self, by: usize) -> Self {
        let (w, h) = (self.width, self.height());
        let mut rows = vec![false; self.on.len()];
        // A running count along rows, then along columns.
        for y in 0..h {
            run(by, w, |i| self.on[y * w + i], |i| rows[y * w + i] = true);
        }
        let mut out = vec![false; self.on.len()];
        for x in 0..w {
            run(by, h, |i| rows[i * w + x], |i| out[i * w + x] = true);
        }
        Self { width: w, on: out }
    }

    /// Shrunk by a square of so many dots each way.
    pub fn shrunk(&self, by: usize) -> Self {
        self.clone().inverted().grown(by).inverted()
    }

    /// Its corners of dots in order round the outside of the first piece met, x right, y down.
    pub fn border(&self) -> Vec<Pt> {
        let (w, h) = (self.width as isize, self.height() as isize);
        let at = |x: isize, y: isize| {
            (0..w).contains(&x) && (0..h).contains(&y) && self.on[(y * w + x) as usize]
        };
        let Some(first) = self.on.iter().position(|&on| on) else { return Vec::new() };
        let start = (first as isize % w, first as isize / w);
        // Along the edges between dots, the piece on the right hand.
        let (mut x, mut y) = start;
        let (mut dx, mut dy) = (1, 0);
        let mut out = Vec::new();
        loop {
            out.push(Pt::new(x as f64, y as f64));
            (x, y) = (x + dx, y + dy);
            // Dots ahead to the left and to the right of the way.
            let ahead = |side: isize| {
                let (cx, cy) = (dx - side * dy, dy + side * dx);
                at(x + (cx - 1).div_euclid(2), y + (cy - 1).div_euclid(2))
            };
            let (left, right) = (ahead(-1), ahead(1));
            (dx, dy) = match (left, right) {
                (_, false) => (-dy, dx),
                (true, true) => (dy, -dx),
                (false, true) => (dx, dy),
            };
            if (x, y) == start && (dx, dy) == (1, 0) || out.len() > 4 * self.on.len() {
                return out;
            }
        }
    }
}

fn run(by: usize, n: usize, on: impl Fn(usize) -> bool, mut set: impl FnMut(usize)) {
    let mut reach = 0;
    for i in 0..n + by {
        if i < n && on(i) {
            reach = i + 2 * by + 1;
        }
        // `i` runs ahead of the dot that is set by the reach.
        if i >= by && i < reach {
            set(i - by);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::polygon::signed_area;

    fn drawn(rows: &[&str]) -> Mask {
        let on = rows.iter().flat_map(|r| r.bytes().map(|b| b == b'#')).collect();
        Mask { width: rows[0].len(), on }
    }

    #[test]
    fn the_border_goes_round_every_dot_of_a_piece() {
        let m = drawn(&["......", ".##...", ".###..", "..##..", "......"]);
        assert_eq!(signed_area(&m.border()).abs(), 7.0);
        let whole = drawn(&["##", "##"]);
        assert_eq!(signed_area(&whole.border()).abs(), 4.0);
        // Dots that touch at a corner only are two pieces.
        let touching = drawn(&["#..", ".#.", "..."]);
        assert_eq!(signed_area(&touching.border()).abs(), 1.0);
    }

    #[test]
    fn growing_and_shrinking_undo_each_other_on_a_block() {
        let m = drawn(&["........", "........", "..####..", "..####..", "........", "........"]);
        assert_eq!(m.grown(1).count(), 6 * 4);
        assert_eq!(m.grown(1).shrunk(1), m);
        assert_eq!(m.grown(2).count(), 8 * 6);
        assert_eq!(m.shrunk(1).count(), 0);
    }

    #[test]
    fn holes_are_filled_and_pieces_counted() {
        let m = drawn(&[".....#", ".###..", ".#.#..", ".###..", "......"]);
        assert_eq!(m.filled().count(), 10);
        let pieces = m.largest(1);
        assert_eq!(pieces.iter().map(|p| p.1).collect::<Vec<_>>(), [8, 1]);
    }

    #[test]
    fn two_groups_are_parted_between_them() {
        let values = (0..200).map(|i| if i < 60 { 10.0 + (i % 5) as f32 } else { 80.0 });
        let t = otsu(values);
        assert!((14.0..=80.0).contains(&t), "{t}");
    }
}

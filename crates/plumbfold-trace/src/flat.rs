//! The sheet laid flat: shades on a grid of equal squares, and how each differs from the paper
//! around it.

use nalgebra::{DMatrix, DVector};

use crate::photo::{Photo, lab};
use crate::polygon::Pt;
use crate::view::View;

/// Squares for each mm at most: an edge is refined in the photo itself later.
const PER_MM: f64 = 4.0;
/// Largest grid, squares.
const SQUARES_MAX: f64 = 2.5e6;

/// A part of the sheet as a grid of shades.
pub struct Flat {
    /// Squares in a row.
    pub width: usize,
    /// Squares for each mm.
    pub per_mm: f64,
    /// Place of the grid's corner, mm.
    pub corner: Pt,
    /// Lightness and colour, CIE L*a*b*.
    pub lab: Vec<[f32; 3]>,
}

impl Flat {
    /// Reads a rectangle of the sheet, mm; `dots_per_mm` is the finest grid that makes sense.
    pub fn read(photo: &Photo, view: &View, low: Pt, high: Pt, dots_per_mm: f64) -> Self {
        let size = high - low;
        let per_mm = PER_MM.min(dots_per_mm).min((SQUARES_MAX / (size.x * size.y)).sqrt());
        let width = (size.x * per_mm).floor().max(1.0) as usize;
        let height = (size.y * per_mm).floor().max(1.0) as usize;
        // Four readings a square where the photo is finer than the grid.
        let offsets: &[[f64; 2]] = match dots_per_mm > 1.5 * per_mm {
            true => &[[0.25, 0.25], [0.75, 0.25], [0.25, 0.75], [0.75, 0.75]],
            false => &[[0.5, 0.5]],
        };
        let mut out = Vec::with_capacity(width * height);
        for y in 0..height {
            for x in 0..width {
                let mut sum = [0.0f32; 3];
                for [u, v] in offsets {
                    let mm =
                        Pt::new(low.x + (x as f64 + u) / per_mm, low.y + (y as f64 + v) / per_mm);
                    let light = photo.light(view.dot(mm));
                    (0..3).for_each(|c| sum[c] += light[c]);
                }
                out.push(lab(sum.map(|s| s / offsets.len() as f32)));
            }
        }
        Self { width, per_mm, corner: low, lab: out }
    }

    /// Rows.
    pub fn height(&self) -> usize {
        self.lab.len() / self.width
    }

    /// Place on the sheet of a corner of squares, mm.
    pub fn mm(&self, square: Pt) -> Pt {
        self.corner + square.coords / self.per_mm
    }

    /// So many mm in squares, at least one.
    pub fn squares(&self, mm: f64) -> usize {
        (mm * self.per_mm).round().max(1.0) as usize
    }

    /// How each square differs from the paper: a smooth surface of third degree in each channel,
    /// fitted to what agrees with it, from the rim of the sheet inwards, so that light which falls
    /// off or comes from the side leaves nothing behind.
    pub fn from_paper(&self) -> Vec<[f32; 3]> {
        let (w, h) = (self.width, self.height());
        let place = |x: f64, y: f64| (2.0 * x / w as f64 - 1.0, 2.0 * y / h as f64 - 1.0);
        // Means of cells of about 3 mm stand for their squares.
        let cell = self.squares(3.0);
        let (cw, ch) = ((w / cell).max(1), (h / cell).max(1));
        let mut cells = Vec::with_capacity(cw * ch);
        for cy in 0..ch {
            for cx in 0..cw {
                let mut sum = [0.0f64; 3];
                let mut n = 0.0;
                for y in (cy * cell..((cy + 1) * cell).min(h)).step_by(2) {
                    for x in (cx * cell..((cx + 1) * cell).min(w)).step_by(2) {
                        let v = self.lab[y * w + x];
                        (0..3).for_each(|c| sum[c] += f64::from(v[c]));
                        n += 1.0;
                    }
                }
                let rim = cx < 2 || cy < 2 || cx + 2 >= cw || cy + 2 >= ch;
                let at = place((cx as f64 + 0.5) * cell as f64, (cy as f64 + 0.5) * cell as f64);
                cells.push((at, sum.map(|s| s / n), rim));
            }
        }
        let mut surface: Vec<DVector<f64>> = Vec::new();
        for round in 0..8 {
            // First the rim in second degree, then all that looks like paper in third.
            let terms = if round < 2 { 6 } else { 10 };
            let off = |v: &[f64; 3], at: (f64, f64)| -> f64 {
                let t = powers(at);
                let d = (0..3).map(|c| v[c] - dot(&surface[c], &t));
                d.map(|d| d * d).sum::<f64>().sqrt()
            };
            let mut scatter = 2.0;
            if round > 0 {
                let mut all: Vec<f64> =
                    cells.iter().filter(|c| c.2).map(|(at, v, _)| off(v, *at)).collect();
                all.sort_by(f64::total_cmp);
                scatter = (1.5 * all[all.len() / 2]).max(0.7);
            }
            let used = |(at, v, rim): &&((f64, f64), [f64; 3], bool)| match round {
                0 => *rim,
                1 => *rim && off(v, *at) < 3.0 * scatter,
                _ => off(v, *at) < 3.0 * scatter,
            };
            let chosen: Vec<_> = cells.iter().filter(used).collect();
            if chosen.len() < 3 * terms {
                break;
            }
            let m = DMatrix::from_fn(chosen.len(), terms, |r, c| powers(chosen[r].0)[c]);
            let normal = m.transpose() * &m + DMatrix::identity(terms, terms) * 1e-6;
            let Some(inverse) = normal.cholesky() else { break };
            surface = (0..3)
                .map(|c| {
                    let b = DVector::from_fn(chosen.len(), |r, _| chosen[r].1[c]);
                    inverse.solve(&(m.transpose() * b))
                })
                .collect();
        }
        if surface.is_empty() {
            let n = cells.len() as f64;
            surface = (0..3)
                .map(|c| DVector::from_element(1, cells.iter().map(|v| v.1[c]).sum::<f64>() / n))
                .collect();
        }
        let mut out = Vec::with_capacity(self.lab.len());
        for y in 0..h {
            for x in 0..w {
                let t = powers(place(x as f64 + 0.5, y as f64 + 0.5));
                let v = self.lab[y * w + x];
                out.push(std::array::from_fn(|c| v[c] - dot(&surface[c], &t) as f32));
            }
        }
        out
    }
}

fn powers((x, y): (f64, f64)) -> [f64; 10] {
    [1.0, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y]
}

fn dot(k: &DVector<f64>, t: &[f64; 10]) -> f64 {
    k.iter().zip(t).map(|(k, t)| k * t).sum()
}

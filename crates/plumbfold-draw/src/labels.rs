//! Writing that keeps clear of other writing.

use crate::svg::{Canvas, Pt, Rect};
use crate::text::{Anchor, Text};

/// Keeps labels apart: each goes to the first of the offered places that is free.
#[derive(Debug, Default)]
pub struct Labels {
    taken: Vec<Rect>,
    within: Option<Rect>,
}

impl Labels {
    /// Labels stay inside `within` where they can.
    pub fn within(within: Rect) -> Self {
        Self { taken: Vec::new(), within: Some(within) }
    }

    /// Keep this rectangle clear.
    pub fn keep_clear(&mut self, r: Rect) {
        self.taken.push(r);
    }

    /// Keep a line clear, in steps of about a millimetre.
    pub fn keep_clear_along(&mut self, a: Pt, b: Pt) {
        let length = (b[0] - a[0]).hypot(b[1] - a[1]);
        let n = (length.min(2000.0) / 1.2).ceil().max(1.0) as usize;
        for i in 0..=n {
            let t = i as f64 / n as f64;
            let p = [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
            self.taken.push(Rect::new(p[0] - 0.35, p[1] - 0.35, 0.7, 0.7));
        }
    }

    /// Whether a rectangle touches nothing and lies inside.
    pub fn is_free(&self, r: &Rect) -> bool {
        let inside = self
            .within
            .is_none_or(|w| w.contains([r.x, r.y]) && w.contains([r.right(), r.bottom()]));
        inside && self.taken.iter().all(|t| !t.overlaps(r))
    }

    /// How much of what is taken a rectangle touches: along a line more than across it.
    pub fn overlapping(&self, r: &Rect) -> usize {
        self.taken.iter().filter(|t| t.overlaps(r)).count()
    }

    /// The first place whose writing touches nothing; `None` when all are taken.
    pub fn find(
        &mut self,
        content: &str,
        style: Text,
        places: &[(Pt, Anchor)],
    ) -> Option<(Pt, Text)> {
        for &(at, anchor) in places {
            let style = Text { anchor, ..style };
            let b = style.bounds(at, content);
            if self.is_free(&b) {
                self.taken.push(b.inset(-0.4));
                return Some((at, style));
            }
        }
        None
    }

    /// Write at the first free place; left out where there is none and `must` is false, at the
    /// first place otherwise.
    pub fn write(
        &mut self,
        canvas: &mut Canvas<'_>,
        content: &str,
        style: Text,
        places: &[(Pt, Anchor)],
        must: bool,
    ) -> bool {
        let found = self.find(content, style, places).or_else(|| {
            let &(at, anchor) = places.first().filter(|_| must)?;
            Some((at, Text { anchor, ..style }))
        });
        if let Some((at, style)) = found {
            canvas.text(at, content, style);
        }
        found.is_some()
    }
}

/// Places round a point at distance `d`, in the order a reader looks for a label.
pub fn round_about(p: Pt, d: f64) -> [(Pt, Anchor); 8] {
    let s = d * 0.75;
    [
        ([p[0] + d, p[1]], Anchor::Start),
        ([p[0] - d, p[1]], Anchor::End),
        ([p[0], p[1] - d - 0.6], Anchor::Middle),
        ([p[0], p[1] + d + 0.6], Anchor::Middle),
        ([p[0] + s, p[1] - s], Anchor::Start),
        ([p[0] + s, p[1] + s], Anchor::Start),
        ([p[0] - s, p[1] - s], Anchor::End),
        ([p[0] - s, p[1] + s], Anchor::End),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_labels_do_not_share_a_place() {
        let mut labels = Labels::default();
        let places = round_about([50.0, 50.0], 2.0);
        let a = labels.find("first", Text::LABEL, &places).unwrap();
        let b = labels.find("second", Text::LABEL, &places).unwrap();
        assert!(!a.1.bounds(a.0, "first").overlaps(&b.1.bounds(b.0, "second")), "{a:?} {b:?}");
    }
}

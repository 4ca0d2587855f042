//! From metres, y up, to millimetres on the canvas, y down.

use crate::svg::{Path, Pt, Rect};

/// How large a picture of something physical is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// One millimetre is one millimetre: for laying on the paper.
    Full,
    /// As large as fits into width and height, mm. The picture ends where the thing ends.
    Within(Pt),
}

/// Smallest box round some places, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Lower left.
    pub low: Pt,
    /// Upper right.
    pub high: Pt,
}

impl Bounds {
    /// Round these places; a box of nothing at the origin when there are none.
    pub fn of(points: impl IntoIterator<Item = Pt>) -> Self {
        let mut points = points.into_iter().filter(|p| p[0].is_finite() && p[1].is_finite());
        let Some(first) = points.next() else { return Self { low: [0.0; 2], high: [0.0; 2] } };
        points.fold(Self { low: first, high: first }, |b, p| Self {
            low: [b.low[0].min(p[0]), b.low[1].min(p[1])],
            high: [b.high[0].max(p[0]), b.high[1].max(p[1])],
        })
    }
    /// Round both.
    pub fn and(self, o: Self) -> Self {
        Self::of([self.low, self.high, o.low, o.high])
    }
    /// Width.
    pub fn width(&self) -> f64 {
        self.high[0] - self.low[0]
    }
    /// Height.
    pub fn height(&self) -> f64 {
        self.high[1] - self.low[1]
    }
}

/// A similar map from a plane in metres, y up, to the canvas.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// mm on the canvas for each metre.
    pub scale: f64,
    /// Where the origin lies on the canvas.
    origin: Pt,
}

impl Fit {
    /// The scale at which `bounds` is drawn, mm per m.
    pub fn scale_of(bounds: &Bounds, size: Size) -> f64 {
        match size {
            Size::Full => 1e3,
            // A thing of no size is drawn at a scale that keeps numbers finite.
            Size::Within([w, h]) => {
                (w / bounds.width().max(1e-6)).min(h / bounds.height().max(1e-6)).max(1e-3)
            }
        }
    }
    /// Width and height of the drawing, mm.
    pub fn extent(bounds: &Bounds, size: Size) -> Pt {
        let s = Self::scale_of(bounds, size);
        [bounds.width() * s, bounds.height() * s]
    }
    /// `bounds` centred in `into` at the given scale.
    pub fn centred(bounds: &Bounds, scale: f64, into: Rect) -> Self {
        let c = into.centre();
        let mid = [(bounds.low[0] + bounds.high[0]) / 2.0, (bounds.low[1] + bounds.high[1]) / 2.0];
        Self { scale, origin: [c[0] - mid[0] * scale, c[1] + mid[1] * scale] }
    }
    /// `bounds` as large as fits into `into`, centred.
    pub fn within(bounds: &Bounds, into: Rect) -> Self {
        Self::centred(bounds, Self::scale_of(bounds, Size::Within([into.w, into.h])), into)
    }
    /// The same map, everything moved on the canvas, mm.
    pub fn moved(&self, by: Pt) -> Self {
        Self { origin: [self.origin[0] + by[0], self.origin[1] + by[1]], ..*self }
    }
    /// A place on the canvas.
    pub fn at(&self, p: Pt) -> Pt {
        [self.origin[0] + p[0] * self.scale, self.origin[1] - p[1] * self.scale]
    }
    /// An outline on the canvas.
    pub fn polygon(&self, points: impl IntoIterator<Item = Pt>) -> Path {
        Path::polygon(points.into_iter().map(|p| self.at(p)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn full_size_is_full_size_and_y_turns_over() {
        let b = Bounds::of([[0.0, 0.0], [0.21, 0.297]]);
        let extent = Fit::extent(&b, Size::Full);
        assert!((extent[0] - 210.0).abs() < 1e-9 && (extent[1] - 297.0).abs() < 1e-9, "{extent:?}");
        let fit = Fit::centred(&b, 1e3, Rect::new(0.0, 0.0, 210.0, 297.0));
        let p = fit.at([0.0, 0.297]);
        assert!(p[0].abs() < 1e-9 && p[1].abs() < 1e-9, "{p:?}");
    }
}

//! Places and outlines on a picture, mm, x right, y down.

use std::fmt::Write;

/// A place on the canvas, mm, x right, y down.
pub type Pt = [f64; 2];

/// An axis-parallel rectangle on the canvas, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Left.
    pub x: f64,
    /// Top.
    pub y: f64,
    /// Width.
    pub w: f64,
    /// Height.
    pub h: f64,
}

impl Rect {
    /// A rectangle.
    pub const fn new(x: f64, y: f64, w: f64, h: f64) -> Self {
        Self { x, y, w, h }
    }
    /// Right side.
    pub fn right(&self) -> f64 {
        self.x + self.w
    }
    /// Lower side.
    pub fn bottom(&self) -> f64 {
        self.y + self.h
    }
    /// Middle.
    pub fn centre(&self) -> Pt {
        [self.x + self.w / 2.0, self.y + self.h / 2.0]
    }
    /// Smaller by `d` on every side.
    pub fn inset(&self, d: f64) -> Self {
        Self::new(self.x + d, self.y + d, (self.w - 2.0 * d).max(0.0), (self.h - 2.0 * d).max(0.0))
    }
    /// True where the two share more than an edge.
    pub fn overlaps(&self, o: &Self) -> bool {
        self.x < o.right() && o.x < self.right() && self.y < o.bottom() && o.y < self.bottom()
    }
    /// True where `p` lies inside or on the border.
    pub fn contains(&self, p: Pt) -> bool {
        self.x <= p[0] && p[0] <= self.right() && self.y <= p[1] && p[1] <= self.bottom()
    }
}

/// Path data under construction.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Path(String);

impl Path {
    /// Nothing yet.
    pub fn new() -> Self {
        Self::default()
    }
    /// A closed outline.
    pub fn polygon(points: impl IntoIterator<Item = Pt>) -> Self {
        Self::polyline(points).close()
    }
    /// An open chain.
    pub fn polyline(points: impl IntoIterator<Item = Pt>) -> Self {
        let mut path = Self::new();
        for p in points {
            path = if path.0.is_empty() { path.to(p) } else { path.line(p) };
        }
        path
    }
    /// One straight stretch.
    pub fn segment(a: Pt, b: Pt) -> Self {
        Self::new().to(a).line(b)
    }
    /// A rectangle.
    pub fn rect(r: Rect) -> Self {
        Self::polygon([[r.x, r.y], [r.right(), r.y], [r.right(), r.bottom()], [r.x, r.bottom()]])
    }
    /// A circle.
    pub fn circle(c: Pt, radius: f64) -> Self {
        Self::new()
            .to([c[0] - radius, c[1]])
            .arc(radius, false, true, [c[0] + radius, c[1]])
            .arc(radius, false, true, [c[0] - radius, c[1]])
            .close()
    }
    /// Lift the pen and go to.
    pub fn to(self, p: Pt) -> Self {
        self.put('M', &[p])
    }
    /// Straight to.
    pub fn line(self, p: Pt) -> Self {
        self.put('L', &[p])
    }
    /// Quadratic curve.
    pub fn quad(self, control: Pt, p: Pt) -> Self {
        self.put('Q', &[control, p])
    }
    /// Circular arc.
    pub fn arc(mut self, radius: f64, large: bool, clockwise: bool, p: Pt) -> Self {
        let r = num(radius);
        let _ = write!(self.0, "A{r} {r} 0 {} {} ", u8::from(large), u8::from(clockwise));
        self.0.push_str(&pair(p));
        self
    }
    /// Back to where the pen was put down.
    pub fn close(mut self) -> Self {
        self.0.push('Z');
        self
    }
    /// Both, as one path.
    pub fn and(mut self, o: &Self) -> Self {
        self.0.push_str(&o.0);
        self
    }
    /// As the `d` of an SVG path.
    pub fn data(&self) -> &str {
        &self.0
    }
    /// True where nothing has been drawn.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
    fn put(mut self, command: char, points: &[Pt]) -> Self {
        self.0.push(command);
        for (i, &p) in points.iter().enumerate() {
            if i > 0 {
                self.0.push(' ');
            }
            self.0.push_str(&pair(p));
        }
        self
    }
}

/// A number with at most three decimals and no idle zeros; what is not finite becomes 0, since a
/// single NaN would blank the whole picture.
pub fn num(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let fixed = format!("{value:.3}");
    let trimmed = fixed.trim_end_matches('0').trim_end_matches('.');
    if trimmed == "-0" { "0".to_owned() } else { trimmed.to_owned() }
}

fn pair(p: Pt) -> String {
    format!("{} {}", num(p[0]), num(p[1]))
}

//! Lengths and angles where people type and read them. Everything inside is SI and radians.

use std::fmt;

/// A length. Held in metres; people see millimetres.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Length(f64);

impl Length {
    /// From millimetres.
    pub const fn mm(value: f64) -> Self {
        Self(value * 1e-3)
    }
    /// From centimetres.
    pub const fn cm(value: f64) -> Self {
        Self(value * 1e-2)
    }
    /// From inches (25.4 mm exactly, international yard and pound agreement, 1959).
    pub const fn inches(value: f64) -> Self {
        Self(value * 25.4e-3)
    }
    /// From metres.
    pub const fn m(value: f64) -> Self {
        Self(value)
    }
    /// In metres.
    pub const fn to_m(self) -> f64 {
        self.0
    }
    /// In millimetres.
    pub const fn to_mm(self) -> f64 {
        self.0 * 1e3
    }
}

impl fmt::Debug for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", self.to_mm())
    }
}

/// An angle. Held in radians; people see degrees.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Angle(f64);

impl Angle {
    /// From degrees.
    pub const fn deg(value: f64) -> Self {
        Self(value.to_radians())
    }
    /// From radians.
    pub const fn rad(value: f64) -> Self {
        Self(value)
    }
    /// In radians.
    pub const fn to_rad(self) -> f64 {
        self.0
    }
    /// In degrees.
    pub const fn to_deg(self) -> f64 {
        self.0.to_degrees()
    }
}

impl fmt::Debug for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} deg", self.to_deg())
    }
}

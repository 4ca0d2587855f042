//! What share of the wing area usually lies ahead of the balance point.

/// Share of the wing area ahead of the balance point of planes that fly well, and how far the
/// odd ones among them stray. Common practice, no source.
pub const USUAL_AREA_AHEAD: [f64; 2] = [0.23, 0.27];
/// See [`USUAL_AREA_AHEAD`].
pub const ODD_AREA_AHEAD: [f64; 2] = [0.19, 0.29];

/// Where a share of area ahead lies against [`USUAL_AREA_AHEAD`] and [`ODD_AREA_AHEAD`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Usual {
    /// Less than even the odd ones.
    FarLess,
    /// Less than usual.
    Less,
    /// As usual.
    Within,
    /// More than usual.
    More,
    /// More than even the odd ones.
    FarMore,
}

impl Usual {
    /// Of a share of the wing area.
    pub fn of(share: f64) -> Self {
        match share {
            s if s < ODD_AREA_AHEAD[0] => Self::FarLess,
            s if s < USUAL_AREA_AHEAD[0] => Self::Less,
            s if s <= USUAL_AREA_AHEAD[1] => Self::Within,
            s if s <= ODD_AREA_AHEAD[1] => Self::More,
            _ => Self::FarMore,
        }
    }

    /// The words other programs read.
    pub const fn code(self) -> &'static str {
        match self {
            Self::FarLess => "far less than usual",
            Self::Less => "less than usual",
            Self::Within => "usual",
            Self::More => "more than usual",
            Self::FarMore => "far more than usual",
        }
    }
}

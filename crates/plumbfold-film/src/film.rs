//! Grey pictures one after another.

/// Most pictures of a film: 15 s at 60 a second, longer than a paper plane is in sight.
pub const PICTURES_MAX: usize = 900;
/// Fewest that show a path.
pub const PICTURES_MIN: usize = 8;
/// Longest side of a picture, dots.
pub const SIDE_MAX: usize = 2000;
/// Shortest side, dots.
pub const SIDE_MIN: usize = 32;

/// Why there is no path.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FilmError {
    /// Sizes, times and bytes that do not fit each other, or too many of them.
    #[error("{0}")]
    Unusable(String),
    /// Nothing moves where the plane was clicked.
    #[error(
        "nothing moves at the click in picture {} of {of}: click on the plane itself, in a picture \
         where it flies before a wall that stands still",
        picture + 1
    )]
    NothingThere {
        /// The picture, from 0.
        picture: usize,
        /// All pictures.
        of: usize,
    },
    /// It is lost at once.
    #[error(
        "it is seen in {seen} pictures only: click on it in more of them, or film it larger, before a \
         plainer wall, in more light"
    )]
    Lost {
        /// Pictures that show it.
        seen: usize,
    },
    /// Marks that fix no scale.
    #[error("{0}")]
    Marks(String),
}

/// Grey pictures of one size and their times.
#[derive(Clone, Copy, Debug)]
pub struct Film<'a> {
    width: usize,
    height: usize,
    times_s: &'a [f64],
    grey: &'a [u8],
}

impl<'a> Film<'a> {
    /// Pictures row by row from the top, one after another.
    ///
    /// # Errors
    /// [`FilmError::Unusable`].
    pub fn new(
        [width, height]: [usize; 2],
        times_s: &'a [f64],
        grey: &'a [u8],
    ) -> Result<Self, FilmError> {
        let unusable = |why: String| Err(FilmError::Unusable(why));
        if ![width, height].iter().all(|s| (SIDE_MIN..=SIDE_MAX).contains(s)) {
            return unusable(format!(
                "pictures of {width} x {height} dots: sides from {SIDE_MIN} to {SIDE_MAX} are read"
            ));
        }
        let n = times_s.len();
        if !(PICTURES_MIN..=PICTURES_MAX).contains(&n) {
            return unusable(format!(
                "{n} pictures: a path takes {PICTURES_MIN} at least, and {PICTURES_MAX} are read at \
                 most"
            ));
        }
        if grey.len() != n * width * height {
            return unusable("the film ends too early, or too late".to_owned());
        }
        let goes_on = |w: &[f64]| w[1] > w[0] && w[1] - w[0] < 10.0;
        if !times_s.iter().all(|t| t.is_finite()) || !times_s.windows(2).all(goes_on) {
            return unusable("the times of the pictures do not go on".to_owned());
        }
        Ok(Self { width, height, times_s, grey })
    }

    /// Width and height, dots.
    pub fn size(&self) -> [usize; 2] {
        [self.width, self.height]
    }

    /// Number of pictures.
    pub fn count(&self) -> usize {
        self.times_s.len()
    }

    /// Time of a picture, s.
    pub fn time_s(&self, picture: usize) -> f64 {
        self.times_s[picture]
    }

    /// Usual time between two pictures, s: the median.
    pub fn between_s(&self) -> f64 {
        let mut steps: Vec<f64> = self.times_s.windows(2).map(|w| w[1] - w[0]).collect();
        steps.sort_by(f64::total_cmp);
        steps[steps.len() / 2]
    }

    /// One picture, row by row.
    pub fn picture(&self, n: usize) -> &'a [u8] {
        let size = self.width * self.height;
        &self.grey[n * size..(n + 1) * size]
    }
}

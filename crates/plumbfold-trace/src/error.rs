//! What can be wrong with a photo, said so that the next photo is better.

/// Why a photo cannot be traced.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
#[allow(missing_docs, reason = "the messages say it")]
pub enum TraceError {
    #[error("this is a HEIC or AVIF photo, which is not read here")]
    Heic,
    #[error("this is no JPEG, PNG or WebP photo")]
    NoPhoto,
    #[error("the photo is damaged: {why}")]
    Damaged { why: String },
    #[error("the photo ends before it is complete")]
    Truncated,
    #[error(
        "the photo has {width} x {height} dots; the most is {most_mega} million, {side} a side"
    )]
    TooLarge { width: u32, height: u32, most_mega: u32, side: u32 },
    #[error("the photo has {width} x {height} dots, too few to measure anything")]
    TooFewDots { width: u32, height: u32 },
    #[error("no sheet is in view: four straight edges around one another were not found")]
    NoSheet,
    #[error("the sheet is cut off by the edge of the photo")]
    SheetCutOff,
    #[error(
        "the {which} edge of the sheet cannot be followed: only {percent:.0} % of it was found"
    )]
    EdgeLost { which: &'static str, percent: f64 },
    #[error("the corners do not go round a sheet without crossing")]
    BadCorners,
    #[error("marks: {why}")]
    BadMarks { why: String },
    #[error(
        "the sheet is too small in the photo: {dots_per_mm:.1} dots for each mm, 1.5 are needed"
    )]
    TooSmall { dots_per_mm: f64 },
    #[error("the photo is blurred: edges are {width_mm:.1} mm wide")]
    Blurred { width_mm: f64 },
    #[error("no plane was found on the sheet: nothing stands out from the paper")]
    NoPlane,
    #[error(
        "the plane has nearly the shade of the paper: its edges cannot be told from its shadow"
    )]
    Faint,
    #[error(
        "edges of the plane go on beyond what was found: it has flaps of the colour of the sheet"
    )]
    GoesOn,
    #[error(
        "the halves of what was found differ by {asymmetry_mm:.1} mm: part of the plane has nearly the \
         shade of the paper, or it is not symmetric"
    )]
    Unlike { asymmetry_mm: f64 },
    #[error(
        "two things of the size of a plane lie on the sheet, {first_cm2:.0} and {second_cm2:.0} cm2"
    )]
    TwoPlanes { first_cm2: f64, second_cm2: f64 },
    #[error(
        "the plane reaches the edge of the sheet, or something covers that edge, or it was not found \
         where it lies"
    )]
    OverTheEdge,
    #[error("point {number} is not one of the {count} points of the outline")]
    NoSuchPoint { number: usize, count: usize },
    #[error("the outline crosses itself between points {a} and {b}")]
    Crosses { a: usize, b: usize },
    #[error("an outline needs at least three points that do not lie on one line")]
    NoArea,
    #[error("{what} must {due}")]
    Meaningless { what: &'static str, due: &'static str },
    #[error("the nose said lies {off_mm:.0} mm from the plane")]
    NoseOff { off_mm: f64 },
    #[error("the line of symmetry said passes {off_mm:.0} mm beside the middle of the plane")]
    AxisOff { off_mm: f64 },
    #[error(
        "the dots of --straight lie on no straight line, whatever the lens: some are {off:.0} dots off"
    )]
    Kinked { off: f64 },
    #[error("the two ends of the ruler are {dots:.0} dots apart; 20 are needed")]
    ShortRuler { dots: f64 },
    #[error(
        "what was measured puts the balance point {behind_mm:.0} mm behind the nose, off a plane \
         {length_mm:.0} mm long"
    )]
    BalanceOff { behind_mm: f64, length_mm: f64 },
    #[error(transparent)]
    Balance(#[from] crate::balance::BalanceError),
    #[error("stopped")]
    Stopped,
}

/// What a hand can say where the photo does not tell it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ByHand {
    /// Corners of the sheet.
    Corners,
    /// The whole outline.
    Outline,
    /// That the outline is right: its line of symmetry, or a point of it.
    Axis,
    /// Which end is the nose.
    Nose,
}

impl TraceError {
    /// What can be said by hand instead, for those who know how their users say it.
    pub fn by_hand(&self) -> Option<ByHand> {
        Some(match self {
            Self::NoSheet | Self::EdgeLost { .. } | Self::BadCorners | Self::OverTheEdge => {
                ByHand::Corners
            }
            Self::NoPlane | Self::Faint => ByHand::Outline,
            Self::Unlike { .. } | Self::GoesOn => ByHand::Axis,
            Self::BalanceOff { .. } => ByHand::Nose,
            _ => return None,
        })
    }

    /// What to do about it with plane, sheet and camera.
    pub fn help(&self) -> Option<&'static str> {
        Some(match self {
            Self::Heic => {
                "save it as JPEG: on the phone choose the most compatible format for photos, or send \
                 it to yourself by mail; on a computer `heif-convert photo.heic photo.jpg`"
            }
            Self::NoPhoto => "give a photo straight from the camera, or saved again as JPEG or PNG",
            Self::Damaged { .. } | Self::Truncated => "copy it again from the camera",
            Self::TooLarge { .. } => "save it smaller: 4000 dots along the longer side are plenty",
            Self::TooFewDots { .. } | Self::TooSmall { .. } => {
                "go closer, so that the sheet nearly fills the photo, or send the photo in full size"
            }
            Self::NoSheet => {
                "lay the sheet on a table of another shade, all four edges in view and some table round \
                 them"
            }
            Self::SheetCutOff => "take the photo again with some table all round the sheet",
            Self::EdgeLost { .. } => {
                "clear what lies on that edge, and lay the sheet on a table of another shade"
            }
            Self::BadCorners => "they follow one another round the sheet",
            Self::Blurred { .. } => "hold still, let the camera focus, take more light",
            Self::NoPlane | Self::Faint | Self::Unlike { .. } | Self::GoesOn => {
                "lay it on a sheet of another colour, such as a coloured or dark one under a white plane, \
                 with light from the side"
            }
            Self::TwoPlanes { .. } => {
                "leave one plane on the sheet, and take away scissors and rulers"
            }
            Self::OverTheEdge => "lay it wholly on the sheet, all four edges in view and bare",
            Self::NoSuchPoint { .. } => "the numbers stand beside the points in the picture",
            Self::BalanceOff { .. } => {
                "look where the lines lie in the picture, and at which end the nose is"
            }
            Self::NoseOff { .. } => {
                "say a place near the tip of the plane, in dots of the upright photo or in mm on the \
                 sheet"
            }
            Self::AxisOff { .. } => "say two places of its middle line, the nose first",
            Self::Kinked { .. } => {
                "take dots along one edge that is straight in the world, or none: the sheet's edges tell \
                 the lens too"
            }
            Self::ShortRuler { .. } => "take two marks of the ruler far from one another",
            Self::Crosses { .. } => "move or drop one of these points",
            _ => return None,
        })
    }
}

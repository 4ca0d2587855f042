//! The words of the grammar, where more than one place needs them.

/// Words a line can begin with.
pub const STATEMENTS: &[&str] = &[
    "plane",
    "about",
    "sheet",
    "creep",
    "let",
    "valley",
    "mountain",
    "crease",
    "unfold",
    "turn",
    "rotate",
    "mark",
    "repeat",
    "end",
    "collapse",
    "inside",
    "outside",
    "crimp",
    "pleat",
    "squash",
    "petal",
    "rabbit",
    "waterbomb",
    "preliminary",
    "open",
    "swivel",
    "tuck",
    "pose",
    "trim",
    "ballast",
    "throw",
    "outline",
    "measured",
];

/// Words a place or a line can begin with.
pub const REFERENCES: &[&str] = &["top", "bottom", "left", "right", "crossing", "line", "middle"];

/// Words a crease can begin with, besides those of a place or a line.
pub const FOLD_LINES: &[&str] = &["along", "through", "perpendicular", "parallel", "at"];

/// Words that choose layers, besides `top` and `bottom`.
pub const LAYERS: &[&str] = &["all", "near", "far", "flap"];

/// Words that begin the clauses of a fold.
pub const CLAUSES: &[&str] =
    &["moving", "take", "nearest", "inside", "under", "over", "both", "repeat", "call"];

/// Units after a number.
pub const UNITS: &[&str] =
    &["mm", "cm", "m", "in", "inch", "inches", "deg", "degrees", "g", "grams", "gsm", "lb"];

/// Words that cannot be names, because a place, a line or a clause may begin with them or go on
/// with them where a name could stand.
pub const RESERVED: &[&str] = &[
    "top",
    "bottom",
    "left",
    "right",
    "edge",
    "corner",
    "middle",
    "crossing",
    "line",
    "all",
    "near",
    "far",
    "flap",
    "layer",
    "layers",
    "along",
    "through",
    "perpendicular",
    "parallel",
    "at",
    "to",
    "from",
    "onto",
    "back",
    "and",
    "hinged",
    "towards",
    "moving",
    "take",
    "nearest",
    "inside",
    "under",
    "over",
    "both",
    "call",
    "the",
    "between",
    "holding",
    "valley",
    "mountain",
    "flat",
    "up",
    "down",
];

/// Words people say for words of the grammar. They are suggested, but not read as what they may
/// mean: what follows them is seldom our grammar.
const SYNONYMS: &[(&str, &str)] = &[
    ("upper", "top"),
    ("lower", "bottom"),
    ("flip", "turn"),
    ("fold", "valley"),
    ("landscape", "sideways"),
    ("portrait", "upright"),
    ("center", "middle"),
    ("to", "onto"),
    ("on", "onto"),
    ("paper", "sheet"),
    ("name", "plane"),
    ("loop", "repeat"),
    ("launch", "throw"),
    ("weight", "ballast"),
    ("side", "edge"),
    ("toward", "towards"),
    ("pivot", "hinged"),
    ("parameter", "let"),
    ("precrease", "crease"),
    ("lock", "tuck"),
];

/// The word that was probably meant.
pub fn suggest<'a>(word: &str, options: &[&'a str]) -> Option<&'a str> {
    let said = SYNONYMS.iter().find(|(s, _)| s.eq_ignore_ascii_case(word));
    said.and_then(|(_, meant)| options.iter().copied().find(|o| o == meant))
        .or_else(|| crate::design::diagnostic::did_you_mean(word, options.iter().copied()))
}

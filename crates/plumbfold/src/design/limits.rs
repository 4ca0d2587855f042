//! How much a design may hold. All chosen: far above anything a person folds, low enough that
//! any text is answered in a fraction of a second.

/// Longest text, bytes.
pub const MAX_TEXT_BYTES: usize = 256 * 1024;
/// Most steps, as written and again with repeats written out.
pub const MAX_STEPS: usize = 500;
/// Most faces of the models after every step, all told: every state is kept for the pictures, and
/// this many faces are some 50 MB.
pub const MAX_KEPT_FACES: usize = 200_000;
/// Most lets.
pub const MAX_LETS: usize = 200;
/// Most trims, and most pieces of ballast.
pub const MAX_EXTRAS: usize = 50;
/// Most creases in one `collapse`, and most hinges in a `pose`.
pub const MAX_ITEMS: usize = 50;
/// Deepest nesting of brackets and of places within places.
pub const MAX_NESTING: usize = 24;
/// Deepest nesting of `repeat`.
pub const MAX_REPEAT_NESTING: usize = 4;
/// Largest count (layers taken, times repeated).
pub const MAX_COUNT: usize = 1000;
/// Most mistakes reported of one text.
pub const MAX_DIAGNOSTICS: usize = 100;
/// Most corners of an outline.
pub const MAX_CORNERS: usize = 400;

//! A film of a throw in, the path of the plane out.
//!
//! [`follow::follow`] takes small grey pictures of a film and a click on the plane in one of them, and
//! gives its place in all others where it is seen. [`ground::Ground`] turns places in the picture
//! into metres from marks of known distance, and says how far off it may be. [`path::path`] puts both
//! together for [`plumbfold_stats::track`], which fits what a path says. Nothing here decodes a film,
//! reads a file or a clock; one thread: it runs in a browser as well.
//!
//! Frames: *dots* of a picture, x right, y down, the corner of the first dot at the origin; *metres in
//! the plane of flight*, x right, z up. Modules in the order the data flows.

pub mod film;
pub mod steady;
pub mod still;
pub mod spots;
pub mod chain;
pub mod follow;
pub mod ground;
pub mod path;

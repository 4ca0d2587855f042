//! A photo of a finished plane in, its outline and balance out.
//!
//! [`trace()`] takes the bytes of a photo and an [`ask::Ask`] (what in it has a known size, and every
//! correction by hand) and gives a [`trace::Traced`]: the outline in mm with its line of symmetry,
//! area, balance point and share of area ahead, each with how sure it is, and all that was found on
//! the way, so that it can be drawn over the photo and corrected. Nothing here reads a file or a
//! clock; one thread, no C: it runs in a browser as well.
//!
//! Frames: *dots* of the upright photo, x right, y down, the corner of the first dot at the origin;
//! *mm on the sheet*, x right, y down from the corner seen at the top left; *the plane's own*, mm
//! right of the line of symmetry and behind the nose. Modules in the order the data flows.

pub mod polygon;
pub mod balance;
pub mod error;
pub mod photo;
pub mod line;
pub mod view;
pub mod lens;
pub mod mask;
pub mod edge;
pub mod sheet;
pub mod flat;
pub mod plane_mask;
pub mod outline;
pub mod symmetry;
pub mod profile;
pub mod shadow;
pub mod beyond;
pub mod shares;
pub mod ask;
pub mod words;
pub mod remark;
pub mod seen;
pub mod ground;
pub mod framed;
pub mod trace;

pub use seen::Seen;
pub use trace::{Traced, trace, trace_photo, trace_seen};

//! Names of contents.

use std::hash::{DefaultHasher, Hash, Hasher};

/// Changes whenever the bytes do, as HTTP wants it: in quotation marks.
pub fn etag(bytes: &[u8]) -> String {
    format!("\"{}\"", fingerprint(bytes))
}

/// Short name of a content, the same for the same bytes within one build of the program.
pub fn fingerprint(bytes: &[u8]) -> String {
    let mut hasher = DefaultHasher::new();
    bytes.hash(&mut hasher);
    format!("{:016x}-{}", hasher.finish(), bytes.len())
}

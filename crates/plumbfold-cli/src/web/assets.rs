//! The files of the page, inside the program.

use std::hash::{DefaultHasher, Hash, Hasher};

/// A file of the page.
#[derive(Clone, Copy)]
pub struct Asset {
    /// Path in the address.
    pub path: &'static str,
    /// Media type.
    pub mime: &'static str,
    /// Content.
    pub bytes: &'static [u8],
}

impl Asset {
    /// Its bytes: in debug builds those of the source tree, so that the page can be worked on
    /// without building the program.
    pub fn read(&self) -> Vec<u8> {
        #[cfg(debug_assertions)]
        if let Ok(bytes) = std::fs::read(format!("{PAGE}{}", self.path)) {
            return bytes;
        }
        self.bytes.to_vec()
    }
}

#[cfg(debug_assertions)]
const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/src/web/page");

macro_rules! assets {
    ($($mime:literal: $($file:literal)*;)*) => {
        /// All of them.
        pub const ASSETS: &[Asset] = &[$($(Asset {
            path: concat!("/", $file),
            mime: $mime,
            bytes: include_bytes!(concat!("page/", $file)),
        },)*)* FONTS[0], FONTS[1]];
    };
}

/// The fonts of the pictures serve the page too.
const FONTS: [Asset; 2] = [
    Asset { path: "/inter-regular.otf", mime: "font/otf", bytes: plumbfold_draw::FONTS[0] },
    Asset { path: "/inter-semibold.otf", mime: "font/otf", bytes: plumbfold_draw::FONTS[1] },
];

assets! {
    "text/html; charset=utf-8": "index.html";
    "text/css": "style.css";
    "image/svg+xml": "mark.svg";
    "text/javascript": "main.js" "strings.js" "dom.js" "api.js" "balance.js" "welcome.js" "units.js" "words.js" "store.js"
        "dialog.js" "drafts.js" "files.js" "editor.js" "steps.js" "sliders.js" "numbers.js" "drawings.js"
        "solid.js" "posed.js" "hall.js" "stage.js" "verdict.js" "why.js" "fold.js" "start.js"
        "outline.js" "compare.js" "series.js" "lesson.js" "export.js" "press.js";
}

/// A file by its path.
pub fn find(path: &str) -> Option<&'static Asset> {
    ASSETS.iter().find(|a| a.path == path)
}

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

//! The files of the page.

/// A file of the page.
#[derive(Clone, Copy, Debug)]
pub struct Asset {
    /// Path in the address.
    pub path: &'static str,
    /// Media type.
    pub mime: &'static str,
    /// Content.
    pub bytes: &'static [u8],
}

macro_rules! assets {
    ($name:ident, $doc:literal: $($mime:literal: $($file:literal)*;)*) => {
        #[doc = $doc]
        pub const $name: &[Asset] = &[$($(Asset {
            path: concat!("/", $file),
            mime: $mime,
            bytes: include_bytes!(concat!("../web/", $file)),
        },)*)*];
    };
}

assets! {
    ASSETS, "Those that the server gives; what follows from the drawing crate is answered as questions are.":
    "text/html; charset=utf-8": "index.html" "form.html";
    "text/css": "style.css";
    "image/svg+xml": "mark.svg";
    "text/javascript": "main.js" "strings.js" "dom.js" "api.js" "way.js" "balance.js" "welcome.js" "units.js"
        "words.js" "store.js" "dialog.js" "drafts.js" "files.js" "editor.js" "suggest.js" "complete.js" "clips.js" "steps.js" "sliders.js" "numbers.js"
        "drawings.js" "solid.js" "posed.js" "hall.js" "stage.js" "verdict.js" "why.js" "fold.js" "start.js"
        "outline.js" "grip.js" "photo.js" "film.js" "compare.js" "series.js" "lesson.js" "export.js" "press.js" "share.js" "notebook.js" "judged.js" "book.js" "form.js";
}

assets! {
    ALONE, "What only the page in one file has: its own way to who answers, and where designs are kept.":
    "text/javascript": "alone.js" "shelf.js" "worker.js" "begin.js";
}

/// A file by its path.
pub fn find(path: &str) -> Option<&'static Asset> {
    ASSETS.iter().find(|a| a.path == path)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(path: &str) -> &'static str {
        std::str::from_utf8(find(path).expect("a file of the page").bytes).expect("text")
    }
    fn scripts() -> impl Iterator<Item = (&'static str, &'static str)> {
        let all = ASSETS.iter().chain(ALONE).filter(|a| a.path.ends_with(".js"));
        all.map(|a| (a.path, std::str::from_utf8(a.bytes).expect("text")))
    }

    #[test]
    fn every_module_the_page_imports_is_embedded() {
        for (path, script) in scripts() {
            let lines = script.lines().filter(|l| l.starts_with("import "));
            let named = |l: &'static str| l.split("from './").nth(1)?.split('\'').next();
            let imports = lines.filter_map(named);
            for module in imports {
                let path_of = format!("/{module}");
                let known = ASSETS.iter().chain(ALONE).any(|a| a.path == path_of);
                assert!(known, "{path} wants {module}");
            }
        }
    }

    #[test]
    fn every_word_the_page_asks_for_is_in_the_one_file_of_words() {
        let strings = text("/strings.js");
        for (path, script) in scripts() {
            for key in script.split(" t('").skip(1).filter_map(|s| s.split('\'').next()) {
                assert!(strings.contains(&format!("'{key}':")), "{path}: {key}");
            }
        }
        let html = text("/index.html");
        for attribute in ["data-t=\"", "data-label=\""] {
            for key in html.split(attribute).skip(1).filter_map(|s| s.split('"').next()) {
                assert!(strings.contains(&format!("'{key}':")), "index.html: {key}");
            }
        }
    }

    #[test]
    fn the_page_is_light_enough_and_names_no_other_machine() {
        let bytes: usize = ASSETS.iter().map(|a| a.bytes.len()).sum();
        assert!(bytes < 500_000, "{bytes} bytes");
        let html = text("/index.html");
        assert!(!html.contains("style=\"") && !html.contains("http://"));
        assert!(!html.contains("https://"));
    }
}

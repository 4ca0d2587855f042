//! What a person does at the bench, step by step.

pub mod access;
pub mod alone;
pub mod design;
pub mod files;
pub mod fold;
pub mod looks;
pub mod measured;

use std::fs;
use std::path::PathBuf;

use serde_json::{Value, json};

use crate::machine::{Browser, Folder, Served};

/// A square wing with few folds: what it does changes quickly with each of them.
const SCOW: &str = include_str!("../../../../designs/scow.plane");
const HALYARD: &str = include_str!("../../../../designs/halyard.plane");
/// Folds wait to be made in it.
const SLIP: &str = "plane Slip\nsheet A4 upright, 80 g/m2\n\n\
    crease left edge onto right edge, call it centre\n\nthrow 4 m/s, level, from 1.6 m\n";

/// The page, opened on a design in a folder of its own.
struct Scene<'a> {
    b: &'a Browser,
    served: Served,
    file: PathBuf,
    folder: Folder,
}

impl<'a> Scene<'a> {
    async fn new(b: &'a Browser, name: &str, text: &str) -> Self {
        let folder = Folder::new(name);
        let file = folder.0.join("plane.plane");
        fs::write(&file, text).expect("a design to open");
        let served = Served::new(&file);
        b.open(&served.address).await;
        Self { b, served, file, folder }
    }

    /// The design text on the page.
    async fn text(&self) -> String {
        let text = self.b.js("return document.getElementById('text').value").await;
        text.as_str().unwrap_or_default().to_owned()
    }

    /// The design text in the file.
    fn saved(&self) -> String {
        fs::read_to_string(&self.file).expect("the design is there")
    }

    /// Waits until the page shows this text, with its pictures.
    async fn until_text(&self, text: &str) {
        self.b.until(&format!("document.getElementById('text').value === {}", json!(text))).await;
    }

    /// Waits until the page shows another text than this.
    async fn until_other_text(&self, text: &str) {
        self.b.until(&format!("document.getElementById('text').value !== {}", json!(text))).await;
    }

    /// Writes a text into the page, as typing would.
    async fn write(&self, text: &str) {
        self.b
            .js(&format!(
                "const e = document.getElementById('text'); e.focus(); e.value = {}; \
                 e.dispatchEvent(new InputEvent('input', {{ bubbles: true }}))",
                json!(text)
            ))
            .await;
    }

    /// Nothing may have gone wrong silently, and nothing been asked of another machine. What was
    /// meant to happen is named by a part of what the browser says of it.
    async fn ends(self, meant: &[&str]) {
        let said = self.b.console().await;
        let odd: Vec<_> = said.iter().filter(|l| !meant.iter().any(|m| l.contains(m))).collect();
        assert!(odd.is_empty(), "the console said: {odd:#?}");
        let asked = "return performance.getEntriesByType('resource').map((e) => e.name)";
        for name in self.b.js(asked).await.as_array().expect("a list") {
            let name = name.as_str().unwrap_or_default();
            let ours = self.served.origin();
            assert!(name.starts_with(ours) || name.starts_with("blob:"), "{name} was asked for");
        }
    }
}

/// Two numbers from the page.
fn pair(value: &Value) -> [f64; 2] {
    [0, 1].map(|i| value[i].as_f64().expect("a number"))
}

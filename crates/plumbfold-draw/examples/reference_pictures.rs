//! Draws the pictures of `docs/design-text.md` from its examples:
//! `cargo run -p plumbfold-draw --example reference_pictures -- FOLDER`, in the root of the
//! project. `cargo xtask pages` does it for `docs/pictures`.
#![allow(
    clippy::disallowed_types,
    clippy::disallowed_methods,
    reason = "an example reads and writes files"
)]

use plumbfold::pipeline::{Problems, Settings, balance, fold};
use plumbfold::plane::assembly;
use plumbfold_draw::fit::Size;
use plumbfold_draw::style::Look;
use plumbfold_draw::{folded, pose, sheet};
use std::fs;

/// Small enough to stand several on a page, mm.
const ROOM: Size = Size::Within([120.0, 110.0]);

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let reference = fs::read_to_string("docs/design-text.md")?;
    let folder = std::env::args().nth(1).ok_or("to which folder?")?;
    for fence in reference.split("```plane ").skip(1) {
        let (info, text) = fence.split_once('\n').ok_or("a fence without text")?;
        let text = text.split("```").next().unwrap_or_default();
        let word = |key: &str| info.split_whitespace().find_map(|w| w.strip_prefix(key));
        let (name, show) = (word("name=").ok_or("no name")?, word("show=").ok_or("no show")?);
        let svg = draw(name, show, text).map_err(|why| format!("{name}: {why}"))?;
        fs::write(format!("{folder}/{name}.svg"), svg)?;
    }
    Ok(())
}

fn draw(name: &str, show: &str, text: &str) -> Result<String, Problems> {
    let look = Look::light(name);
    if show == "pose" {
        let plane = balance(text, &Settings::default())?;
        return Ok(pose::pose(&look, &plane.airframe, Some(plane.mass.cg_m), ROOM));
    }
    let outcome = fold(text, &Settings::default())?;
    let (title, model) = (assembly::name(&outcome.design), &outcome.run.folded);
    Ok(match show {
        "sheet" => sheet::sheet(&look, &title, model, ROOM),
        _ => folded::folded(&look, &title, model, ROOM),
    })
}

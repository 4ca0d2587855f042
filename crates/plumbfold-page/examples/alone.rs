//! Writes the page as one file around a compiled science: `alone SCIENCE.wasm PAGE.html`. Called by
//! `cargo xtask page`.

use std::process::ExitCode;

#[allow(clippy::disallowed_methods, reason = "reading and writing files is what this is for")]
fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [science, page] = &args[..] else {
        eprintln!("usage: alone SCIENCE.wasm PAGE.html");
        return ExitCode::from(2);
    };
    let written = std::fs::read(science)
        .map_err(|e| format!("{science}: {e}"))
        .and_then(|wasm| plumbfold_page::alone::page(&wasm))
        .and_then(|html| std::fs::write(page, html).map_err(|e| format!("{page}: {e}")));
    match written {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("error: {why}");
            ExitCode::FAILURE
        }
    }
}

//! The bench as one HTML file.

use std::env;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

const TARGET: &str = "wasm32-unknown-unknown";
/// Where it is written, from the root of the project.
const FILE: &str = "target/page/plumbfold.html";
/// Largest file that is taken along gladly, bytes.
const BYTES_MAX: u64 = 3_000_000;

const MISSING: &str = "\
the standard library for wasm32-unknown-unknown is missing. With rustup:
    rustup target add wasm32-unknown-unknown
On Debian (testing or newer) without rustup:
    apt-get install rustc libstd-rust-dev-wasm32 lld
and then, so that compiler and library are of one make:
    RUSTC=/usr/bin/rustc CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER=wasm-ld cargo xtask page";

/// Compiles the science for the browser and puts the page around it; says where it is.
///
/// # Errors
/// The target is missing, something does not compile, or the file is too large.
pub fn write(root: &Path) -> Result<(), String> {
    let rustc = env::var("RUSTC").unwrap_or_else(|_| "rustc".to_owned());
    let asked = Command::new(&rustc)
        .current_dir(root)
        .args(["--print", "target-libdir", "--target", TARGET])
        .output();
    let folder = asked.map_err(|e| format!("{rustc}: {e}"))?.stdout;
    let folder = String::from_utf8_lossy(&folder).trim().to_owned();
    if folder.is_empty() || !Path::new(&folder).is_dir() {
        return Err(MISSING.to_owned());
    }
    // A target directory of its own: another compiler would make all of the usual one anew.
    let science = "target/page";
    cargo(
        root,
        &[
            "build",
            "--locked",
            "--profile",
            "page",
            "--target",
            TARGET,
            "--target-dir",
            science,
            "-p",
            "plumbfold-wasm",
        ],
        true,
    )?;
    let wasm = format!("{science}/{TARGET}/page/plumbfold_wasm.wasm");
    cargo(
        root,
        &[
            "run",
            "--locked",
            "--quiet",
            "-p",
            "plumbfold-page",
            "--example",
            "alone",
            "--",
            &wasm,
            FILE,
        ],
        false,
    )?;
    let bytes = fs::metadata(root.join(FILE)).map_err(|e| format!("{FILE}: {e}"))?.len();
    println!("{FILE}: {} kB", bytes / 1000);
    if bytes > BYTES_MAX {
        return Err(format!("{FILE} is larger than {} kB", BYTES_MAX / 1000));
    }
    Ok(())
}

/// Runs cargo; with the compiler that was asked for only where the browser's half is compiled.
fn cargo(root: &Path, args: &[&str], with_asked: bool) -> Result<(), String> {
    let mut command = Command::new(env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned()));
    command.current_dir(root).args(args).stdin(Stdio::null());
    if !with_asked {
        command.env_remove("RUSTC");
    }
    let status = command.status().map_err(|e| e.to_string())?;
    if status.success() { Ok(()) } else { Err(format!("cargo {}: {status}", args[0])) }
}

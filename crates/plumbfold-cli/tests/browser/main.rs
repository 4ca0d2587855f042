//! The bench in a real browser. One browser serves all scenes; each scene opens the page anew on
//! a folder of its own.

mod machine;
mod scenes;
mod speed;

use std::io::Write;
use std::process::Command;

use machine::Browser;

#[test]
fn the_bench_in_a_browser() {
    if wish() == Wish::No {
        return left_out("the page was not tried in a browser: PLUMBFOLD_BROWSER=no");
    }
    if Command::new("chromedriver").arg("--version").output().is_err() {
        return left_out("the page was not tried in a browser: there is no chromedriver");
    }
    with_browser(scenes::all);
}

/// What `PLUMBFOLD_BROWSER` asks for.
#[derive(PartialEq)]
enum Wish {
    /// `no`: leave the browser out.
    No,
    /// `must`, as in `.ci/run`: what is missing is a failure.
    Must,
    /// Try what there is.
    Try,
}

fn wish() -> Wish {
    match std::env::var("PLUMBFOLD_BROWSER").as_deref() {
        Ok("no") => Wish::No,
        Ok("must") => Wish::Must,
        _ => Wish::Try,
    }
}

/// Says so even where the output of tests that pass is not shown; not allowed when it must run.
fn left_out(what: &str) {
    assert!(wish() != Wish::Must, "{what}");
    let _ = writeln!(std::io::stderr(), "left out: {what}");
}

/// Run by `bench/page/run`, on the optimised program.
#[test]
fn speed() {
    if std::env::var_os("PLUMBFOLD_BENCH_PAGE").is_none() {
        return;
    }
    with_browser(speed::measure);
}

fn with_browser(act: impl AsyncFnOnce(&Browser)) {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    runtime.expect("a runtime").block_on(async {
        let browser = Browser::start().await;
        act(&browser).await;
        browser.client.clone().close().await.expect("the browser ends");
    });
}

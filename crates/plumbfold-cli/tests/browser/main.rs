//! The bench in a real browser. One browser serves all scenes; each scene opens the page anew on
//! a folder of its own.

mod machine;
mod scenes;
mod speed;

use machine::Browser;

#[test]
fn the_bench_in_a_browser() {
    if std::env::var_os("PLUMBFOLD_NO_BROWSER").is_some_and(|v| !v.is_empty()) {
        eprintln!("left out: PLUMBFOLD_NO_BROWSER is set, so the page was not tried in a browser");
        return;
    }
    if std::process::Command::new("chromedriver").arg("--version").output().is_err() {
        eprintln!("left out: there is no chromedriver, so the page was not tried in a browser");
        return;
    }
    with_browser(scenes::all);
}

/// Run by `bench/page/run`, on the optimised program.
#[test]
fn speed() {
    if std::env::var_os("PLUMBFOLD_BENCH_PAGE").is_none() {
        eprintln!("left out: `bench/page/run` measures speed on the optimised program");
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

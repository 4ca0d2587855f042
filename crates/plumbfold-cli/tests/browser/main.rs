//! The bench in a real browser. One browser serves all scenes; each scene opens the page anew on
//! a folder of its own.

mod machine;
mod scenes;

use machine::Browser;

#[test]
fn the_bench_in_a_browser() {
    if std::env::var_os("PLUMBFOLD_NO_BROWSER").is_some() {
        eprintln!("left out: PLUMBFOLD_NO_BROWSER is set, so the page was not tried in a browser");
        return;
    }
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    runtime.expect("a runtime").block_on(async {
        let browser = Browser::start().await;
        scenes::all(&browser).await;
        browser.client.clone().close().await.expect("the browser ends");
    });
}

//! The bench in one file, from the disk and with the network off. It is tried where `cargo xtask page`
//! has written it: that needs a compiler for the browser, which is not asked of everyone.

use std::path::Path;
use std::time::Duration;

use fantoccini::Locator;
use serde_json::json;

use crate::machine::{Browser, key};
use crate::scenes::measured::{give_the_film, measure_the_film};

const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../target/page/plumbfold.html");

pub async fn the_bench_in_one_file(b: &Browser) {
    let Ok(file) = Path::new(FILE).canonicalize() else {
        eprintln!("left out: the page in one file was not tried: cargo xtask page writes it");
        return;
    };
    let offline =
        json!({ "offline": true, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0 });
    b.devtools("Network.enable", json!({})).await;
    b.devtools("Network.emulateNetworkConditions", offline).await;
    let address = format!("file://{}", file.display());
    b.open(&address).await;
    take_shipped(b, "Halyard").await;
    let text = "document.getElementById('text').value";
    let before = b.js(&format!("return {text}")).await;
    b.press("#throw-speed_mps", key::RIGHT).await;
    b.until(&format!("{text} !== {before} && window.plumbfold.resting() && window.plumbfold.store.answer.depth === 'full'")).await;
    b.click("#fold").await;
    b.until("document.querySelector('#table-picture .spot')").await;
    b.click("#fold").await;
    b.press("#text", key::SAVE).await;
    b.until("document.querySelector('#dialog input')").await;
    b.press("#dialog input", key::ENTER).await;
    b.until("document.getElementById('save').disabled").await;
    // It is there again in another tab, and after the browser was closed.
    let saved = b.js(&format!("return {text}")).await;
    b.open(&address).await;
    b.click("#designs").await;
    b.until("document.querySelector('#dialog .designs.own button')").await;
    b.js("document.querySelector('#dialog .designs.own button').click()").await;
    b.until(&format!("{text} === {saved}")).await;
    films_and_the_season(b, &address).await;
    let said = b.console().await;
    assert!(said.is_empty(), "{said:#?}");
}

/// Opens one of the designs in the page.
async fn take_shipped(b: &Browser, plane: &str) {
    b.click("#designs").await;
    b.until("document.querySelectorAll('#dialog .designs .thumb svg').length >= 10").await;
    b.js(&format!("[...document.querySelectorAll('#dialog .designs:not(.own) button')].find((e) => e.textContent.includes('{plane}')).click()")).await;
    b.until(&format!("document.getElementById('plane-name').textContent === '{plane}' && window.plumbfold.resting()")).await;
}

/// A film is measured and kept, a notebook taken in and asked, by the science in the page itself.
async fn films_and_the_season(b: &Browser, address: &str) {
    let open = async |plane: &str| {
        b.open(address).await;
        take_shipped(b, plane).await;
        b.click("#notebook").await;
        b.until("document.querySelector('dialog[open] #book-film')").await;
    };
    open("Scow").await;
    give_the_film(b).await;
    measure_the_film(b).await;
    let kept = "return JSON.parse(localStorage.getItem('plumbfold-notebook')).paths.length";
    assert_eq!(b.js(kept).await, 1);
    open("Halyard").await;
    let season = concat!(env!("CARGO_MANIFEST_DIR"), "/../../designs/season/autumn.json");
    let season = Path::new(season).canonicalize().expect("the season is there");
    let field = b.client.find(Locator::Css("#dialog input[accept='.json']")).await;
    let field = field.expect("a place for notebooks");
    field.send_keys(&season.display().to_string()).await.expect("a notebook is given");
    b.until("document.querySelectorAll('.results tbody tr').length === 3").await;
    b.js("document.getElementById('judged').open = true").await;
    b.until("document.querySelectorAll('#judged-a option').length === 3").await;
    b.js("document.getElementById('judged-a').selectedIndex = 0; document.getElementById('judged-b').selectedIndex = 1").await;
    b.click("#judged-settle").await;
    b.until(
        "document.getElementById('judged-said').textContent.startsWith('Real: Halyard v2 flies')",
    )
    .await;
    b.click("#judged-calibrate").await;
    b.within(
        Duration::from_secs(300),
        "document.getElementById('judged-said').textContent.startsWith('Fitted to 28 throws')",
    )
    .await;
}

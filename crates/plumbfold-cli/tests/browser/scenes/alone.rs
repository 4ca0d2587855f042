//! The bench in one file, from the disk and with the network off. It is tried where `cargo xtask page`
//! has written it: that needs a compiler for the browser, which is not asked of everyone.

use std::path::Path;

use serde_json::json;

use crate::machine::{Browser, key};

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
    b.until("document.querySelectorAll('#dialog .designs .thumb svg').length >= 10").await;
    b.js("[...document.querySelectorAll('#dialog .designs button')].find((e) => e.textContent.includes('Halyard')).click()").await;
    b.until("document.getElementById('plane-name').textContent === 'Halyard' && window.plumbfold.resting()").await;
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
    b.until("document.querySelector('#dialog .designs.own button')").await;
    b.js("document.querySelector('#dialog .designs.own button').click()").await;
    b.until(&format!("{text} === {saved}")).await;
    let said = b.console().await;
    assert!(said.is_empty(), "{said:#?}");
}

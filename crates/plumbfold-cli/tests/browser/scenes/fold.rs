//! Folding by hand.

use super::{SLIP, Scene, pair};
use crate::machine::{Browser, key};

/// Centre of a marked place of the paper.
pub async fn spot(b: &Browser, words: &str) -> [f64; 2] {
    let found = format!(
        "[...document.querySelectorAll('#table-picture .spot')].find((g) => g.querySelector('title').textContent.endsWith({words:?}))"
    );
    b.until(&found).await;
    pair(
        &b.js(&format!(
            "const r = {found}.querySelector('circle').getBoundingClientRect(); \
             return [r.x + r.width / 2, r.y + r.height / 2]"
        ))
        .await,
    )
}

pub async fn a_fold_is_dragged(b: &Browser) {
    let s = Scene::new(b, "fold", SLIP).await;
    b.click("#fold").await;
    let (from, onto) = (spot(b, "top left corner").await, spot(b, "bottom middle").await);
    b.drag(from, onto).await;
    let line = "valley top left corner onto bottom middle";
    b.until(&format!("document.getElementById('fold-line').textContent === {line:?}")).await;
    b.until("!document.getElementById('fold-do').disabled").await;
    b.until("document.querySelectorAll('#table-picture .moved').length > 0").await;
    let told = b.js("return document.getElementById('fold-state').textContent").await;
    assert!(told.as_str().unwrap_or_default().contains("mm"), "the balance to come: {told}");
    assert_eq!(s.text().await, SLIP, "nothing is written before it is asked for");
    b.click("#fold-do").await;
    b.until(&format!("document.getElementById('text').value.includes({line:?})")).await;
    let text = s.text().await;
    let at = |what: &str| text.lines().position(|l| l.starts_with(what));
    assert!(at("crease") < at("valley") && at("valley") < at("throw"), "{text}");
    b.until("window.plumbfold.resting()").await;
    b.click("#undo").await;
    s.until_text(SLIP).await;
    s.ends(&[]).await;
}

pub async fn a_fold_is_made_from_the_keyboard(b: &Browser) {
    let s = Scene::new(b, "fold by keys", SLIP).await;
    b.press("#fold", key::ENTER).await;
    b.until("document.querySelectorAll('#fold-from option').length > 8").await;
    b.press("#fold-from", "left edge").await;
    b.press("#fold-onto", "centre").await;
    let line = "valley left edge onto centre";
    b.until(&format!("document.getElementById('fold-line').textContent === {line:?}")).await;
    b.until("!document.getElementById('fold-do').disabled").await;
    b.press("#fold-do", key::ENTER).await;
    b.until(&format!("document.getElementById('text').value.includes({line:?})")).await;
    s.ends(&[]).await;
}

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
    b.until(&format!("document.getElementById('fold-line').textContent.startsWith({line:?})"))
        .await;
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
    b.until(&format!("document.getElementById('fold-line').textContent.startsWith({line:?})"))
        .await;
    b.until("!document.getElementById('fold-do').disabled").await;
    b.press("#fold-do", key::ENTER).await;
    b.until(&format!("document.getElementById('text').value.includes({line:?})")).await;
    s.ends(&[]).await;
}

/// Drags one marked thing of the paper onto another and waits for the words of it.
async fn drop_onto(b: &Browser, from: &str, onto: &str, words: &str) {
    // A corner swings to where it comes to lie; an edge is laid down where no other lies.
    let share = if from.contains("corner") { 0.34 } else { 0.6 };
    let (from, onto) = (thing(b, from, share).await, thing(b, onto, share).await);
    b.drag(from, onto).await;
    b.until(&format!("document.getElementById('fold-line').textContent.startsWith({words:?})"))
        .await;
    fold_it(b).await;
}

/// Folds what is offered and waits for the paper after it.
async fn fold_it(b: &Browser) {
    b.until("!document.getElementById('fold-do').disabled").await;
    b.click("#fold-do").await;
    b.until("document.getElementById('fold-do').disabled && window.plumbfold.resting()").await;
}

/// A point, or a place on an edge so far along it.
async fn thing(b: &Browser, words: &str, share: f64) -> [f64; 2] {
    if words.contains("corner") || words.contains("middle") {
        return spot(b, words).await;
    }
    let found = format!(
        "[...document.querySelectorAll('#table-picture .spot')].find((g) => g.querySelector('title').textContent === 'edge ' + {words:?})?.querySelector('path')"
    );
    b.until(&found).await;
    pair(
        &b.js(&format!(
            "const e = {found}, p = e.getPointAtLength({share} * e.getTotalLength()).matrixTransform(e.getScreenCTM()); return [p.x, p.y]"
        ))
        .await,
    )
}

pub async fn a_dart_is_folded_without_typing(b: &Browser) {
    let s = Scene::new(b, "dart", SLIP).await;
    let began = std::time::Instant::now();
    b.click("#welcome-fold").await;
    b.until("document.querySelectorAll('#table-picture .spot').length >= 12").await;
    b.click("input[name=fold-as][value=crease]").await;
    drop_onto(b, "left edge", "right edge", "crease left edge onto right edge, call it centre")
        .await;
    b.click("input[name=fold-as][value=valley]").await;
    b.click(".folding-tools input[type=checkbox]").await;
    let corner = "valley top left corner onto centre, hinged at top middle, both sides";
    drop_onto(b, "top left corner", "centre", corner).await;
    drop_onto(b, "fold1", "centre", "valley fold1 onto centre, both sides").await;
    for step in ["#fold-half", "#fold-wings"] {
        b.click(step).await;
        fold_it(b).await;
    }
    b.click("#fold-open").await;
    b.until("window.plumbfold.store.text.includes('wing dihedral')").await;
    b.until("window.plumbfold.resting() && window.plumbfold.store.answer.depth === 'full'").await;
    let plane = b
        .js("const a = window.plumbfold.store.answer; \
             return [a.diagnostics.length, a.steps.length, a.verdict !== null, a.numbers.planform.span_mm > 60]")
        .await;
    assert_eq!(plane, serde_json::json!([0, 5, true, true]), "{}", s.text().await);
    assert!(began.elapsed().as_secs() < 180, "it took {:?}", began.elapsed());
    // A measure of it has a dial; a step can be taken out, put back, and said otherwise.
    b.until("document.getElementById('let-keel')").await;
    b.click("#fold").await;
    let dart = s.text().await;
    b.click("#step-tools [data-do=remove]").await;
    s.until_other_text(&dart).await;
    b.until("window.plumbfold.resting()").await;
    b.press("#steps", key::UNDO).await;
    s.until_text(&dart).await;
    b.until("window.plumbfold.resting() && window.plumbfold.store.good.text === window.plumbfold.store.text").await;
    b.click("#step-tools [data-do=edit]").await;
    b.press("#steps input", key::END).await;
    b.press_here("s").await;
    b.press_here(key::ENTER).await;
    b.until("document.getElementById('text').value.includes('call it wings')").await;
    s.ends(&[]).await;
}

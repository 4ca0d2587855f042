//! Pictures and numbers, and what is shown beside the bench.

use serde_json::json;

use super::{HALYARD, SCOW, Scene};
use crate::machine::{Browser, key};

pub async fn loads(b: &Browser) {
    let s = Scene::new(b, "load", HALYARD).await;
    let drawn = b
        .js("return ['table', 'posed', 'edge', 'hall'].filter((p) => document.querySelector(`#${p}-picture > svg`))")
        .await;
    assert_eq!(drawn, json!(["table", "posed", "edge", "hall"]));
    assert_eq!(b.js("return document.getElementById('plane-name').textContent").await, "Halyard");
    let steps = b.js("return document.querySelectorAll('#steps li .thumb svg').length").await;
    assert!(steps.as_u64() > Some(5), "{steps}");
    let weight = b
        .js("return performance.getEntriesByType('resource').filter((e) => !e.name.includes('/api/')).reduce((n, e) => n + e.encodedBodySize, 0)")
        .await;
    assert!(weight.as_f64() < Some(500e3), "the page weighs {weight} bytes");
    s.ends(&[]).await;
}

pub async fn numbers_explain_themselves(b: &Browser) {
    let s = Scene::new(b, "explain", HALYARD).await;
    let shown = "const e = document.getElementById('explain'); return [e.textContent.length > 30, Boolean(e.querySelector('svg'))]";
    let keys = b
        .js("return [...document.querySelectorAll('[data-key]')].filter((e) => !e.hidden).map((e) => e.dataset.key)")
        .await;
    let keys = keys.as_array().expect("a list");
    assert!(keys.len() >= 18, "{keys:?}");
    for named in keys {
        b.js(&format!("document.querySelector('[data-key={named}]').focus()")).await;
        b.until("!document.getElementById('explain').hidden").await;
        assert_eq!(b.js(shown).await, json!([true, true]), "{named}");
    }
    b.press(":focus", key::ESCAPE).await;
    b.until("document.getElementById('explain').hidden").await;
    let number = b.middle("[data-key=margin]").await;
    b.hover(number).await;
    b.until("!document.getElementById('explain').hidden").await;
    assert_eq!(b.js(shown).await, json!([true, true]));
    b.hover([2.0, 2.0]).await;
    b.until("document.getElementById('explain').hidden").await;
    let value = "document.querySelector('[data-key=cg] .value').textContent";
    let before = b.js(&format!("return {value}")).await;
    b.click("#units").await;
    b.until(&format!("{value} !== {before}")).await;
    b.click("#units").await;
    b.until(&format!("{value} === {before}")).await;
    s.ends(&[]).await;
}

pub async fn the_plane_turns_and_flies(b: &Browser) {
    let s = Scene::new(b, "turn and fly", HALYARD).await;
    let picture = "document.querySelector('#posed-picture svg').innerHTML";
    let before = b.js(&format!("return {picture}")).await;
    let at = b.middle("#posed-picture").await;
    b.drag(at, [at[0] + 60.0, at[1] + 20.0]).await;
    b.until(&format!("{picture} !== {before}")).await;
    b.click("[data-view=side]").await;
    b.until("document.querySelector('[data-view=side]').getAttribute('aria-pressed') === 'true'")
        .await;
    let flying = "document.querySelector('#hall-picture .flying')?.getAttribute('transform')";
    let start = b.js(&format!("return {flying}")).await;
    b.click("#play").await;
    b.until(&format!("{flying} !== {start}")).await;
    s.ends(&[]).await;
}

pub async fn series_and_comparison(b: &Browser) {
    let s = Scene::new(b, "series, compare", SCOW).await;
    b.click("#series").await;
    b.until("document.querySelector('#dialog svg.chart, #dialog .chart svg')").await;
    b.until("document.querySelectorAll('#dialog tbody tr').length >= 5").await;
    b.press("#dialog", key::ESCAPE).await;
    s.write(&SCOW.replace("20 mm, from", "24 mm, from")).await;
    b.until("window.plumbfold.resting()").await;
    b.click("#compare").await;
    b.until("document.querySelectorAll('#dialog tr.differs').length > 0").await;
    b.until("document.querySelector('#dialog ins')?.textContent.includes('24 mm')").await;
    s.ends(&[]).await;
}

pub async fn the_lesson(b: &Browser) {
    let s = Scene::new(b, "lesson", HALYARD).await;
    let mine = HALYARD.replace("plane Halyard", "plane Heron");
    assert_ne!(mine, HALYARD);
    s.write(&mine).await;
    b.until("window.plumbfold.resting()").await;
    b.click("#lesson").await;
    b.until("!document.getElementById('lesson-card').hidden").await;
    b.until("document.getElementById('plane-name').textContent === 'Scow'").await;
    for behaviours in [&["leaf", "tumbles"][..], &["stalls"], &["glides"], &["dives"]] {
        b.click("#lesson-card .main").await;
        let seen = format!(
            "window.plumbfold.resting() && {}.includes(window.plumbfold.store.answer.verdict?.behaviour)",
            json!(behaviours)
        );
        b.until(&seen).await;
        b.until("document.getElementById('lesson-see').textContent.length > 10").await;
    }
    // Its end is where it was begun, with what was not saved.
    b.click("#lesson-card .quiet").await;
    s.until_text(&mine).await;
    b.click("#undo").await;
    s.until_text(HALYARD).await;
    s.ends(&[]).await;
}

pub async fn a_picture_is_saved_in_dots(b: &Browser) {
    let s = Scene::new(b, "dots", HALYARD).await;
    // What would be downloaded is looked at instead.
    b.js("HTMLAnchorElement.prototype.click = function () { window.saved = [this.href, this.download]; }").await;
    b.click("#hall .menu summary").await;
    b.click("#hall .menu div button:last-child").await;
    b.until("window.saved").await;
    let seen = b
        .client
        .execute_async(
            "const done = arguments[0]; (async () => { \
               const image = new Image(); image.src = window.saved[0]; await image.decode(); \
               const canvas = new OffscreenCanvas(image.width, image.height); \
               const c = canvas.getContext('2d'); c.drawImage(image, 0, 0); \
               const { data } = c.getImageData(0, 0, image.width, image.height); \
               let dark = 0; for (let i = 0; i < data.length; i += 4) if (data[i] < 60) dark += 1; \
               done([window.saved[1], image.width > 600, dark > 500]); })()",
            Vec::new(),
        )
        .await
        .expect("the picture can be read");
    assert_eq!(seen, json!(["halyard-hall.png", true, true]));
    s.ends(&[]).await;
}

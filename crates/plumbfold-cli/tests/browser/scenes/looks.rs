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
    s.ends(&[]).await;
}

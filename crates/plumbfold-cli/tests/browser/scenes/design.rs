//! Sliders, words, steps and remedies.

use serde_json::json;

use super::{HALYARD, SCOW, Scene, pair};
use crate::machine::{Browser, key};

/// Drags a slider to a share of its width.
async fn slide(b: &Browser, slider: &str, to: f64) {
    let place = b
        .js(&format!(
            "const e = document.getElementById({slider:?}); e.scrollIntoView({{ block: 'center' }}); \
             const r = e.getBoundingClientRect(); const k = (e.value - e.min) / (e.max - e.min); \
             const at = (k) => [r.x + 8 + k * (r.width - 16), r.y + r.height / 2]; \
             return [at(k), at({to})]"
        ))
        .await;
    b.drag(pair(&place[0]), pair(&place[1])).await;
    b.until("window.plumbfold.resting()").await;
}

pub async fn sliders_and_text_agree(b: &Browser) {
    let clipped = HALYARD.replace("\nthrow ", "\nballast clip 0.5 g at 12 mm behind nose\nthrow ");
    let s = Scene::new(b, "sliders", &clipped).await;
    let kinds = [
        ("let-tip", "let tip", 0.25),
        ("let-reflex", "let reflex", 0.75),
        ("trim-rudder", "trim rudder right", 0.75),
        ("ballast-mass-0", "ballast clip", 0.6),
        ("ballast-place-0", "ballast clip", 0.6),
        ("throw-speed_mps", "throw", 0.7),
        ("throw-elevation_deg", "throw", 0.8),
        ("throw-height_m", "throw", 0.2),
        ("throw-bank_deg", "throw", 0.3),
    ];
    for (slider, starts, to) in kinds {
        let before = s.text().await;
        let pictures =
            "return ['edge', 'hall'].map((p) => document.getElementById(`${p}-picture`).drawn)";
        let drawn = b.js(pictures).await;
        slide(b, slider, to).await;
        let after = s.text().await;
        let new: Vec<_> = after.lines().filter(|l| !before.lines().any(|m| m == *l)).collect();
        assert!(new.len() == 1 && new[0].starts_with(starts), "{slider} wrote {new:?}");
        assert_ne!(b.js(pictures).await, drawn, "{slider} changed no picture");
        let mistakes = b.js("return window.plumbfold.store.answer.diagnostics.length").await;
        assert_eq!(mistakes, 0, "{slider} made a mistake in the text: {}", new[0]);
    }
    s.ends(&[]).await;
}

/// The chances are of the same two hundred flights, told to the hundredth.
const SAME: f64 = 0.006;

pub async fn what_was_before_stays_beside_what_is(b: &Browser) {
    let s = Scene::new(b, "before", SCOW).await;
    // One dial for one thing: the bend that a let gives has none of its own.
    let dials =
        "return ['let-reflex', 'trim-elevator'].map((id) => Boolean(document.getElementById(id)))";
    assert_eq!(b.js(dials).await, json!([true, false]));
    slide(b, "let-turns", 0.2).await;
    b.until("document.querySelector('#hall-picture .shadows .ghost')").await;
    b.until("document.querySelector('#edge-picture .shadows .ghost')").await;
    b.until("document.querySelectorAll('#remedy-list button').length > 0").await;
    let item = b.middle("#remedy-list li:first-child").await;
    b.hover(item).await;
    b.until("document.querySelector('#hall-picture .shadows .preview')").await;
    b.hover([3.0, 3.0]).await;
    b.until("!document.querySelector('#hall-picture .shadows .preview')").await;
    let said = "[...document.querySelectorAll('#remedy-list li:first-child .effect')].map((e) => e.textContent).join(' ')";
    let promised = b.js(&format!("return {said}")).await;
    b.click("#remedy-list button").await;
    b.until("document.querySelector('#remedy-list li.taken') && window.plumbfold.resting()").await;
    b.until("window.plumbfold.store.answer.depth === 'full'").await;
    let glides = b.js("return window.plumbfold.store.answer.verdict.probability.glides").await;
    let glides = glides.as_f64().expect("a share");
    let promised = promised.as_str().unwrap_or_default().to_owned();
    let then = promised.split(" now, ").nth(1).and_then(|s| s.split(" then").next()).unwrap_or("");
    let kept = match then.split(' ').next().and_then(|n| n.parse::<f64>().ok()) {
        Some(percent) => (percent / 100.0 - glides).abs() < SAME,
        None => then == "nearly always" && glides > 0.95,
    };
    assert!(kept, "promised {promised}, and it glides {glides}");
    s.ends(&[]).await;
}

pub async fn a_slider_stays_under_the_finger(b: &Browser) {
    let s = Scene::new(b, "held", SCOW).await;
    let place = "const e = document.getElementById('let-turns'), r = e.getBoundingClientRect(); return r.top";
    b.js("document.getElementById('let-turns').scrollIntoView({ block: 'center' }); \
          document.getElementById('let-turns').dispatchEvent(new PointerEvent('pointerdown'))")
        .await;
    let before = b.js(place).await;
    for turns in [1, 5, 0, 4] {
        b.js(&format!(
            "const e = document.getElementById('let-turns'); e.value = {turns}; e.dispatchEvent(new Event('input'))"
        ))
        .await;
        b.until(&format!("window.plumbfold.store.answer.text.includes('turns  = {turns},')")).await;
        assert_eq!(b.js(place).await, before, "{turns} turns");
    }
    b.js("document.getElementById('let-turns').dispatchEvent(new Event('change'))").await;
    b.until("window.plumbfold.resting()").await;
    // An exact value is typed.
    b.click("#slider-list .exact").await;
    b.press("#slider-list span input", "2").await;
    b.press_here(key::ENTER).await;
    b.until("window.plumbfold.store.text.includes('turns  = 2,')").await;
    s.ends(&[]).await;
}

pub async fn one_drag_is_one_thing_to_undo(b: &Browser) {
    let s = Scene::new(b, "undo", SCOW).await;
    slide(b, "let-keel", 0.8).await;
    let slid = s.text().await;
    assert_ne!(slid, SCOW);
    b.click("#undo").await;
    s.until_text(SCOW).await;
    b.click("#redo").await;
    s.until_text(&slid).await;
    b.press("#let-keel", key::UP).await;
    s.until_other_text(&slid).await;
    b.until("window.plumbfold.resting()").await;
    b.press("#let-keel", key::UNDO).await;
    s.until_text(&slid).await;
    s.ends(&[]).await;
}

pub async fn a_mistake_is_marked_and_the_last_plane_stays(b: &Browser) {
    let s = Scene::new(b, "mistake", SCOW).await;
    s.write(&SCOW.replace("mountain left edge", "mountian left edge")).await;
    b.until("document.querySelector('#marks mark.error')?.textContent.includes('mountian')").await;
    let invalid = b.js("return document.getElementById('text').getAttribute('aria-invalid')").await;
    assert_eq!(invalid, "true");
    let told = b.js("return document.getElementById('mistakes').textContent").await;
    assert!(told.as_str().unwrap_or_default().contains("mountain"), "{told}");
    let panels = b.js("return document.querySelectorAll('#posed-picture path').length").await;
    assert!(panels.as_u64() > Some(4), "the last plane stays in sight");
    b.click("#mistakes button").await;
    let chosen = b
        .js("const t = document.getElementById('text'); return [document.activeElement === t, t.value.slice(t.selectionStart, t.selectionEnd)]")
        .await;
    assert_eq!(chosen, json!([true, "mountian"]), "its line leads to the mistake");
    s.write(SCOW).await;
    b.until("document.querySelectorAll('#mistakes li.error').length === 0").await;
    s.ends(&[]).await;
}

pub async fn steps_by_key(b: &Browser) {
    let s = Scene::new(b, "steps", HALYARD).await;
    let all = b.js("return document.querySelectorAll('#steps li').length - 1").await;
    let all = all.as_u64().expect("a count");
    let finished = b.js("return document.getElementById('table-picture').drawn").await;
    for (pressed, step) in [
        (key::UP, json!(all - 1)),
        (key::HOME, json!(0)),
        (key::DOWN, json!(1)),
        (key::END, json!(null)),
    ] {
        b.press("#steps", pressed).await;
        b.until(&format!("window.plumbfold.store.step === {step}")).await;
        let chosen = b.js("return document.querySelector('#steps [aria-selected=true]').id").await;
        assert_eq!(chosen, format!("step-{}", step.as_u64().unwrap_or(all)));
    }
    b.press("#steps", key::HOME).await;
    b.until(&format!("document.getElementById('table-picture').drawn !== {finished}")).await;
    s.ends(&[]).await;
}

pub async fn remedies_come_and_go(b: &Browser) {
    let heavy = SCOW.replace("let turns  = 3", "let turns  = 1");
    let s = Scene::new(b, "mend", &heavy).await;
    b.until("document.querySelectorAll('#remedy-list button').length > 0").await;
    b.click("#remedy-list button").await;
    s.until_other_text(&heavy).await;
    b.until("document.querySelector('#remedy-list li.taken')").await;
    b.until("document.getElementById('verdict').dataset.behaviour === 'glides'").await;
    b.click("#remedy-list li.taken button").await;
    s.until_text(&heavy).await;
    s.ends(&[]).await;
}

pub async fn words_are_completed_and_clips_dropped(b: &Browser) {
    let s = Scene::new(b, "words and clips", SCOW).await;
    b.js("const e = document.getElementById('text'); e.focus(); e.setSelectionRange(e.value.length, e.value.length)").await;
    b.press_here("bal").await;
    b.until("document.querySelector('#suggestions:not([hidden]) li')?.textContent === 'ballast'")
        .await;
    b.press_here(key::TAB).await;
    b.until("document.getElementById('text').value.endsWith('\\nballast')").await;
    b.press("#text", key::UNDO).await;
    s.write(SCOW).await;
    b.until("window.plumbfold.resting() && window.plumbfold.store.answer.numbers").await;
    // A clip is dropped on the middle of the plane, and dragged from there.
    b.click("#posed .bring").await;
    b.click("[data-view=top]").await;
    let (clip, plane) = (b.middle("#clip").await, b.middle("#posed-picture").await);
    b.drag(clip, plane).await;
    let place = "Number(/clip 0.5 g at ([\\d.]+) mm behind nose/.exec(document.getElementById('text').value)?.[1])";
    b.until(&format!("{place} > 30 && window.plumbfold.resting()")).await;
    let before = b.js(&format!("return {place}")).await;
    let held = b.middle("[data-ballast='0']").await;
    b.drag(held, [held[0], held[1] - 40.0]).await;
    b.until(&format!("{place} < {before} && window.plumbfold.resting()")).await;
    s.ends(&[]).await;
}

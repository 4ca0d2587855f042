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
        ("trim-elevator", "let reflex", 0.75),
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

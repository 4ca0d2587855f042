//! For everyone: by keyboard alone, on a phone, and judged by an accessibility engine.

use std::fs;

use serde_json::{Value, json};

use super::measured::give_the_film;
use super::{HALYARD, SCOW, SLIP, Scene, fold};
use crate::machine::{Browser, key};

/// Most stops of the Tab key from the top of the page to its end.
const STOPS_MAX: usize = 120;

/// Goes with the Tab key to an element, back where it lies before the place that has the focus.
/// Every stop on the way must show that it has the focus, and must be in sight.
async fn tab_to(b: &Browser, selector: &str) {
    let before = b
        .js(&format!(
            "const e = document.activeElement, to = document.querySelector({selector:?}); \
             return e !== document.body && !!(to.compareDocumentPosition(e) & 4)"
        ))
        .await;
    let tab = if before == true { key::TAB_BACK } else { key::TAB };
    for _ in 0..STOPS_MAX {
        b.press_here(tab).await;
        let stop = b
            .js(&format!(
                "const e = document.activeElement, r = e.getBoundingClientRect(); \
                 const shown = getComputedStyle(e).outlineStyle !== 'none'; \
                 const inside = r.bottom > 0 && r.top < innerHeight && r.right > 0 && r.left < innerWidth; \
                 return [e.matches({selector:?}), shown && inside || e === document.body, e.outerHTML.slice(0, 120)]"
            ))
            .await;
        assert_eq!(stop[1], true, "the focus cannot be seen: {}", stop[2]);
        if stop[0] == true {
            return;
        }
    }
    panic!("the Tab key never comes to {selector}");
}

pub async fn by_keyboard_alone(b: &Browser) {
    let s = Scene::new(b, "keyboard", SLIP).await;
    tab_to(b, ".skip").await;
    b.press_here(key::ENTER).await;
    tab_to(b, "#throw-speed_mps").await;
    b.press_here(key::RIGHT).await;
    s.until_other_text(SLIP).await;
    b.until("window.plumbfold.resting()").await;
    b.press_here(key::UNDO).await;
    s.until_text(SLIP).await;
    b.press_here(key::REDO).await;
    s.until_other_text(SLIP).await;
    b.press_here(key::SAVE).await;
    b.until("document.getElementById('save').disabled").await;
    assert_ne!(s.saved(), SLIP);

    b.open(&s.served.address).await;
    tab_to(b, "#designs").await;
    b.press_here(key::ENTER).await;
    b.until("document.querySelector('dialog[open] .designs button')").await;
    b.press_here(key::ESCAPE).await;
    b.until("!document.querySelector('dialog[open]') && document.activeElement.id === 'designs'")
        .await;
    tab_to(b, "#steps").await;
    b.press_here(key::UP).await;
    b.until("window.plumbfold.store.step === 0").await;
    b.press_here(key::DOWN).await;
    b.until("window.plumbfold.store.step === null").await;
    tab_to(b, "#fold").await;
    b.press_here(key::ENTER).await;
    b.until("document.querySelectorAll('#fold-from option').length > 8").await;
    b.press("#fold-from", "top left corner").await;
    tab_to(b, "#fold-onto").await;
    b.press_here("centre").await;
    b.until("!document.getElementById('fold-do').disabled").await;
    tab_to(b, "#fold-do").await;
    b.press_here(key::ENTER).await;
    let line = "valley top left corner onto centre, hinged at top middle";
    b.until(&format!("document.getElementById('text').value.includes({line:?})")).await;
    tab_to(b, "#fold").await;
    b.press_here(key::ENTER).await;
    b.until("document.querySelector('#posed-picture svg')").await;
    let picture = "document.querySelector('#posed-picture svg').innerHTML";
    tab_to(b, "#posed-picture").await;
    let before = b.js(&format!("return {picture}")).await;
    b.press_here(key::LEFT).await;
    b.until(&format!("{picture} !== {before}")).await;
    b.press_here("3").await;
    tab_to(b, "[data-key=cg]").await;
    b.until("!document.getElementById('explain').hidden").await;
    b.press_here("1").await;
    tab_to(b, "#play").await;
    b.press_here(key::ENTER).await;
    b.until("document.getElementById('time').value > 0").await;
    s.ends(&[]).await;
}

/// Nothing sticks out of the page sideways.
async fn fits(b: &Browser, width: u32) {
    let wide = b.js("return document.documentElement.scrollWidth").await;
    assert!(wide.as_u64() <= Some(u64::from(width)), "{wide} px wide at {width}");
}

pub async fn on_a_phone(b: &Browser) {
    b.size(390, 844).await;
    let s = Scene::new(b, "phone", SLIP).await;
    fits(b, 390).await;
    for place in ["hall", "sliders", "table", "posed", "edge", "words"] {
        b.js(&format!("document.querySelector('.places a[href=\"#{place}\"]').click()")).await;
        let shown = format!(
            "document.getElementById('{place}').querySelector('h2').getBoundingClientRect().top"
        );
        b.until(&format!("{shown} >= 0 && {shown} < innerHeight")).await;
    }
    let ends = b
        .js("const e = document.getElementById('throw-speed_mps'); e.scrollIntoView({ block: 'center' }); \
             const r = e.getBoundingClientRect(); return [[r.x + r.width * 0.3, r.y + r.height / 2], [r.x + r.width * 0.7, r.y + r.height / 2]]")
        .await;
    b.swipe(super::pair(&ends[0]), super::pair(&ends[1])).await;
    s.until_other_text(SLIP).await;
    b.until("window.plumbfold.resting()").await;
    b.click("#fold").await;
    b.until("document.querySelector('#table-picture .spot')").await;
    b.js("document.getElementById('table-picture').scrollIntoView({ block: 'center' })").await;
    let (from, onto) =
        (fold::spot(b, "top right corner").await, fold::spot(b, "left middle").await);
    b.swipe(from, onto).await;
    b.until("!document.getElementById('fold-do').disabled").await;
    fits(b, 390).await;
    b.click("#fold-do").await;
    let line = "valley top right corner onto left middle";
    b.until(&format!("document.getElementById('text').value.includes({line:?})")).await;
    b.click("#designs").await;
    b.until("document.querySelector('dialog[open] .designs button')").await;
    let dialog = b
        .js("const d = document.getElementById('dialog'); return [d.scrollWidth, d.clientWidth]")
        .await;
    assert!(dialog[0].as_u64() <= dialog[1].as_u64(), "the dialog scrolls sideways: {dialog}");
    s.ends(&[]).await;
    b.size(1440, 900).await;
}

/// The accessibility engine, from where `.ci/run` puts it.
fn engine() -> Option<String> {
    let path =
        concat!(env!("CARGO_MANIFEST_DIR"), "/../../target/axe/node_modules/axe-core/axe.min.js");
    fs::read_to_string(path).ok()
}

/// Asks the engine about a part of the page as it is now.
async fn judge(b: &Browser, part: &str, when: &str) {
    // A place under a heading that sticks to the top is no fault of the page.
    b.js("scrollTo(0, 0)").await;
    let found = b
        .client
        .execute_async(
            "const [part, done] = arguments; \
             axe.run(part, { resultTypes: ['violations'], runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }) \
             .then((r) => done(r.violations.map((v) => [v.impact, v.id, v.nodes.slice(0, 4).map((n) => n.html.slice(0, 160) + ' | ' + n.failureSummary)])))",
            vec![json!(part)],
        )
        .await
        .expect("the accessibility engine runs");
    let serious: Vec<&Value> = found
        .as_array()
        .expect("a list")
        .iter()
        .filter(|v| v[0] == "serious" || v[0] == "critical")
        .collect();
    assert!(serious.is_empty(), "{when}: {serious:#?}");
}

/// The dialog does not scroll sideways.
async fn no_wider(b: &Browser, when: &str) {
    let more = "const d = document.getElementById('dialog'); return d.scrollWidth - d.clientWidth";
    let more = b.js(more).await;
    assert!(more.as_i64() <= Some(0), "{when}: {more} dots wider than the window");
}

pub async fn no_serious_barrier(b: &Browser) {
    let Some(engine) = engine() else {
        return crate::left_out(
            "the page was not judged by axe: npm install --prefix target/axe axe-core@4",
        );
    };
    let s = Scene::new(b, "barriers", HALYARD).await;
    // The engine is put in by the test driver, outside the page's own policy.
    b.js(&engine).await;
    for (width, height) in [(1440, 900), (390, 844)] {
        b.size(width, height).await;
        for theme in ["light", "dark"] {
            let when = |what: &str| format!("{width} px, {theme}, {what}");
            b.js(&format!("document.documentElement.dataset.theme = {theme:?}")).await;
            s.write(HALYARD).await;
            b.until("window.plumbfold.resting()").await;
            fits(b, width).await;
            judge(b, "body", &when("at rest")).await;
            b.js("document.getElementById('lesson').click()").await;
            b.until("window.plumbfold.resting() && !document.getElementById('lesson-card').hidden")
                .await;
            s.write(&SCOW.replace("mountain left edge", "mountian left edge")).await;
            b.until("document.querySelector('#mistakes li.error')").await;
            b.js("document.querySelector('[data-key=cg]').focus()").await;
            fits(b, width).await;
            judge(b, "body", &when("with a mistake, the lesson and an explanation")).await;
            b.js("document.querySelector('#lesson-card .quiet').click()").await;
            s.write(SCOW).await;
            b.until("window.plumbfold.resting() && !document.querySelector('#mistakes li')").await;
            b.js("document.getElementById('fold').click()").await;
            b.until("document.querySelectorAll('#fold-from option').length > 8").await;
            fits(b, width).await;
            judge(b, "#table", &when("folding")).await;
            b.js("document.getElementById('fold').click()").await;
            // Each dialog in either theme and at either width, but not in every pair of them.
            if (width > 500) != (theme == "light") {
                continue;
            }
            for (button, ready) in [
                ("designs", "#dialog .designs button"),
                ("compare", "#dialog tbody tr"),
                ("series", "#dialog tbody tr"),
                ("notebook", "#dialog #book-keep"),
                ("press", "#dialog [data-press=print-booklet]"),
            ] {
                b.js(&format!("document.getElementById('{button}').click()")).await;
                b.until(&format!("document.querySelector({ready:?})")).await;
                judge(b, "#dialog", &when(button)).await;
                if button == "notebook" {
                    b.js("document.getElementById('judged').open = true").await;
                    judge(b, "#dialog", &when("real or luck")).await;
                    no_wider(b, &when("real or luck")).await;
                    give_the_film(b).await;
                    judge(b, "#dialog", &when("a film")).await;
                    no_wider(b, &when("a film")).await;
                }
                b.js("document.getElementById('dialog').close()").await;
            }
        }
    }
    s.ends(&[]).await;
    b.size(1440, 900).await;
}

//! What a person does at the bench, step by step.

use std::fs;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use crate::machine::{Browser, Folder, Served};

/// A square wing, tail-heavy enough to stall: what the page is for.
const SCOW: &str = include_str!("../../../../designs/scow.plane");
const HALYARD: &str = include_str!("../../../../designs/halyard.plane");

/// All scenes, in an order in which simple ones fail first.
pub async fn all(b: &Browser) {
    loads(b).await;
    sliders_and_text_agree(b).await;
    one_drag_is_one_thing_to_undo(b).await;
    a_mistake_is_marked_and_the_last_plane_stays(b).await;
    steps_by_key(b).await;
    a_fold_is_dragged(b).await;
    a_fold_is_made_from_the_keyboard(b).await;
    saving_and_changes_from_outside(b).await;
    two_tabs(b).await;
    numbers_explain_themselves(b).await;
    the_plane_turns_and_flies(b).await;
    new_sheet_series_compare_and_lesson(b).await;
    remedies_come_and_go(b).await;
    fits_and_is_accessible(b).await;
}

struct Scene {
    served: Served,
    file: PathBuf,
    _folder: Folder,
}

async fn scene(b: &Browser, name: &str, text: &str) -> Scene {
    println!("scene: {name}");
    // The last scene's page still asks its server, which is gone.
    b.client.goto("about:blank").await.expect("an empty page");
    b.console().await;
    let folder = Folder::new(name);
    let file = folder.0.join("plane.plane");
    fs::write(&file, text).expect("a design to open");
    let served = Served::new(&file);
    b.open(&served.address).await;
    Scene { served, file, _folder: folder }
}

async fn text_of(b: &Browser) -> String {
    b.js("return document.getElementById('text').value")
        .await
        .as_str()
        .unwrap_or_default()
        .to_owned()
}

/// Nothing may go wrong silently, and nothing may be asked of another machine.
async fn nothing_odd(b: &Browser, address: &str) {
    let said = b.console().await;
    assert!(said.is_empty(), "the console said: {said:#?}");
    let asked = b.js("return performance.getEntriesByType('resource').map((e) => e.name)").await;
    for name in asked.as_array().expect("a list") {
        let name = name.as_str().unwrap_or_default();
        assert!(name.starts_with(address), "{name} was asked for");
    }
}

async fn loads(b: &Browser) {
    let s = scene(b, "loads", HALYARD).await;
    let drawn = b
        .js("return ['table', 'hand', 'edge', 'hall'].filter((p) => document.querySelector(`#${p}-picture > svg`))")
        .await;
    assert_eq!(drawn, json!(["table", "hand", "edge", "hall"]));
    assert_eq!(b.js("return document.getElementById('plane-name').textContent").await, "Halyard");
    let steps = b.js("return document.querySelectorAll('#steps li .thumb svg').length").await;
    assert!(steps.as_u64() > Some(5), "{steps}");
    let sizes = b
        .js("return performance.getEntriesByType('resource').filter((e) => !e.name.includes('/api/')).reduce((n, e) => n + e.encodedBodySize, 0)")
        .await;
    assert!(sizes.as_f64() < Some(500e3), "the page weighs {sizes} bytes");
    nothing_odd(b, &s.served.address).await;
}

async fn sliders_and_text_agree(b: &Browser) {
    let s = scene(
        b,
        "sliders",
        &HALYARD.replace("\nthrow ", "\nballast clip 0.5 g at 12 mm behind nose\nthrow "),
    )
    .await;
    let kinds = [
        ("let-tip", "let tip", 0.25),
        ("trim-elevator", "trim", 0.25),
        ("trim-rudder", "trim rudder right", 0.75),
        ("ballast-mass-0", "ballast clip", 0.6),
        ("ballast-place-0", "ballast clip", 0.6),
        ("throw-speed_mps", "throw", 0.7),
        ("throw-elevation_deg", "throw", 0.8),
        ("throw-bank_deg", "throw", 0.3),
    ];
    for (slider, starts, to) in kinds {
        let before = text_of(b).await;
        let place = b
            .js(&format!(
                "const e = document.getElementById('{slider}'); e.scrollIntoView({{ block: 'center' }}); \
                 const r = e.getBoundingClientRect(); const k = (e.value - e.min) / (e.max - e.min); \
                 return [r.x + 8 + k * (r.width - 16), r.y + r.height / 2, r.x + 8 + {to} * (r.width - 16)]"
            ))
            .await;
        let n = |i: usize| place[i].as_f64().expect("a number");
        b.drag([n(0), n(1)], [n(2), n(1)]).await;
        b.until(&format!("document.getElementById('text').value !== {}", json!(before))).await;
        b.until("window.plumbfold.resting()").await;
        let after = text_of(b).await;
        let new: Vec<_> = after.lines().filter(|l| !before.lines().any(|m| m == *l)).collect();
        assert!(new.len() == 1 && new[0].starts_with(starts), "{slider} wrote {new:?}");
        let line = new[0];
        let shown = b
            .js(&format!("return [document.getElementById('{slider}').value, window.plumbfold.store.answer.diagnostics.length]"))
            .await;
        assert_eq!(shown[1], 0, "{slider} made a mistake in the text: {line}");
    }
    nothing_odd(b, &s.served.address).await;
}

async fn one_drag_is_one_thing_to_undo(b: &Browser) {
    let s = scene(b, "undo", SCOW).await;
    let original = text_of(b).await;
    for _ in 0..3 {
        b.press("#let-keel", "\u{e014}").await;
    }
    b.until(&format!("document.getElementById('text').value !== {}", json!(original))).await;
    for _ in 0..3 {
        if text_of(b).await == original {
            break;
        }
        b.click("#undo").await;
        tokio::time::sleep(std::time::Duration::from_millis(300)).await;
    }
    assert_eq!(text_of(b).await, original);
    b.click("#redo").await;
    b.until(&format!("document.getElementById('text').value !== {}", json!(original))).await;
    nothing_odd(b, &s.served.address).await;
}

async fn type_text(b: &Browser, text: &str) {
    b.js(&format!(
        "const e = document.getElementById('text'); e.focus(); e.value = {}; \
         e.dispatchEvent(new InputEvent('input', {{ bubbles: true }}))",
        json!(text)
    ))
    .await;
}

async fn a_mistake_is_marked_and_the_last_plane_stays(b: &Browser) {
    let s = scene(b, "mistake", SCOW).await;
    type_text(b, &SCOW.replace("mountain left edge", "mountian left edge")).await;
    b.until("document.querySelector('#marks mark.error')?.textContent.includes('mountian')").await;
    assert_eq!(
        b.js("return document.getElementById('text').getAttribute('aria-invalid')").await,
        "true"
    );
    let told = b.js("return document.getElementById('mistakes').textContent").await;
    assert!(told.as_str().unwrap_or_default().contains("mountain"), "{told}");
    assert!(
        b.js("return document.querySelectorAll('#hand-picture path').length").await.as_u64()
            > Some(4)
    );
    type_text(b, SCOW).await;
    b.until("document.querySelectorAll('#mistakes li.error').length === 0").await;
    nothing_odd(b, &s.served.address).await;
}

async fn steps_by_key(b: &Browser) {
    let s = scene(b, "steps", HALYARD).await;
    let all = b
        .js("return document.querySelectorAll('#steps li').length - 1")
        .await
        .as_u64()
        .unwrap_or(0);
    b.press("#steps", "\u{e013}").await;
    b.until(&format!("window.plumbfold.store.step === {}", all - 1)).await;
    b.press("#steps", "\u{e011}").await;
    b.until("window.plumbfold.store.step === 0").await;
    b.press("#steps", "\u{e015}").await;
    b.until("window.plumbfold.store.step === 1").await;
    b.press("#steps", "\u{e010}").await;
    b.until("window.plumbfold.store.step === null").await;
    nothing_odd(b, &s.served.address).await;
}

/// Centre of a marked place of the paper.
async fn spot(b: &Browser, words: &str) -> [f64; 2] {
    b.until(&format!(
        "[...document.querySelectorAll('#table-picture .spot title')].some((t) => t.textContent.endsWith({words:?}))"
    ))
    .await;
    let at = b
        .js(&format!(
            "const g = [...document.querySelectorAll('#table-picture .spot')].find((g) => g.querySelector('title').textContent.endsWith({words:?})); \
             const r = g.querySelector('circle').getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]"
        ))
        .await;
    [0, 1].map(|i| at[i].as_f64().expect("a place"))
}

async fn a_fold_is_dragged(b: &Browser) {
    let sheet = "plane Slip\nsheet A4 upright, 80 g/m2\n\ncrease left edge onto right edge, call it centre\n\nthrow 4 m/s, level, from 1.6 m\n";
    let s = scene(b, "fold", sheet).await;
    b.click("#fold").await;
    let (from, onto) = (spot(b, "top left corner").await, spot(b, "bottom middle").await);
    b.drag(from, onto).await;
    b.until("document.getElementById('fold-line').textContent === 'valley top left corner onto bottom middle'").await;
    b.until("!document.getElementById('fold-do').disabled").await;
    b.until("document.querySelectorAll('#table-picture .moved').length > 0").await;
    let told = b.js("return document.getElementById('fold-state').textContent").await;
    assert!(told.as_str().unwrap_or_default().contains("mm"), "the balance to come: {told}");
    assert_eq!(text_of(b).await, sheet, "nothing is written before it is asked for");
    b.click("#fold-do").await;
    b.until("document.getElementById('text').value.includes('valley top left corner onto bottom middle')").await;
    let text = text_of(b).await;
    let at = |what: &str| text.lines().position(|l| l.starts_with(what));
    assert!(at("crease") < at("valley") && at("valley") < at("throw"), "{text}");
    b.until("window.plumbfold.store.answer.text === window.plumbfold.store.text").await;
    b.click("#undo").await;
    b.until(&format!("document.getElementById('text').value === {}", json!(sheet))).await;
    nothing_odd(b, &s.served.address).await;
}

async fn a_fold_is_made_from_the_keyboard(b: &Browser) {
    let sheet = "plane Slip\nsheet A4 upright, 80 g/m2\n\ncrease left edge onto right edge, call it centre\n";
    let s = scene(b, "fold-keys", sheet).await;
    b.press("#fold", "\u{e007}").await;
    b.until("document.querySelectorAll('#fold-from option').length > 8").await;
    b.press("#fold-from", "left edge").await;
    b.press("#fold-onto", "centre").await;
    b.until("document.getElementById('fold-line').textContent === 'valley left edge onto centre'")
        .await;
    b.until("!document.getElementById('fold-do').disabled").await;
    b.press("#fold-do", "\u{e007}").await;
    b.until("document.getElementById('text').value.includes('valley left edge onto centre')").await;
    nothing_odd(b, &s.served.address).await;
}

async fn saving_and_changes_from_outside(b: &Browser) {
    let s = scene(b, "saving", SCOW).await;
    let changed = SCOW.replace("let keel   = 20 mm", "let keel   = 21 mm");
    type_text(b, &changed).await;
    b.until("!document.getElementById('save').disabled").await;
    assert_eq!(read(&s.file), SCOW, "saved only when asked");
    b.click("#save").await;
    b.until("document.getElementById('save').disabled").await;
    assert_eq!(read(&s.file), changed);
    // Someone else writes the file while there are changes here.
    let theirs = SCOW.replace("plane Scow", "plane Punt");
    let mine = changed.replace("21 mm", "22 mm");
    type_text(b, &mine).await;
    fs::write(&s.file, &theirs).expect("an edit from outside");
    b.until("!document.getElementById('notice').hidden").await;
    b.press("#save", "\u{e007}").await;
    tokio::time::sleep(std::time::Duration::from_millis(500)).await;
    assert_eq!(read(&s.file), theirs, "an edit from outside is never overwritten");
    assert_eq!(text_of(b).await, mine);
    b.click("#notice button:nth-of-type(1)").await;
    b.until(&format!("document.getElementById('text').value === {}", json!(theirs))).await;
    b.click("#undo").await;
    b.until(&format!("document.getElementById('text').value === {}", json!(mine))).await;
    // A refused save is an answer of 409, which the browser notes in its console.
    let said: Vec<_> = b.console().await.into_iter().filter(|l| !l.contains("409")).collect();
    assert!(said.is_empty(), "{said:#?}");
}

fn read(file: &Path) -> String {
    fs::read_to_string(file).expect("the design is there")
}

async fn two_tabs(b: &Browser) {
    let s = scene(b, "tabs", SCOW).await;
    let first = b.client.window().await.expect("a window");
    let second = b.client.new_window(true).await.expect("a second tab").handle;
    b.client.switch_to_window(second).await.expect("the second tab");
    b.open(&s.served.address).await;
    let ours = SCOW.replace("20 mm, from", "17 mm, from");
    type_text(b, &ours).await;
    b.until("!document.getElementById('save').disabled").await;
    b.press("#save", "\u{e007}").await;
    b.until("document.getElementById('save').disabled").await;
    b.client.close_window().await.expect("the tab closes");
    b.client.switch_to_window(first).await.expect("the first tab");
    b.devtools("Page.bringToFront", json!({})).await;
    type_text(b, &SCOW.replace("20 mm, from", "12 mm, from")).await;
    b.press("#save", "\u{e007}").await;
    b.until("!document.getElementById('notice').hidden").await;
    assert_eq!(read(&s.file), ours);
    b.console().await;
}

async fn numbers_explain_themselves(b: &Browser) {
    let s = scene(b, "explain", HALYARD).await;
    for key in ["area_ahead", "mac", "neutral", "margin"] {
        b.js(&format!("document.querySelector('[data-key={key}]').focus()")).await;
        b.until("!document.getElementById('explain').hidden").await;
        let shown = b.js("const e = document.getElementById('explain'); return [e.textContent.length > 30, Boolean(e.querySelector('svg'))]").await;
        assert_eq!(shown, json!([true, true]), "{key}");
    }
    let before = b.js("return document.querySelector('[data-key=cg] .value').textContent").await;
    b.click("#units").await;
    b.until(&format!("document.querySelector('[data-key=cg] .value').textContent !== {before}"))
        .await;
    b.click("#units").await;
    nothing_odd(b, &s.served.address).await;
}

async fn the_plane_turns_and_flies(b: &Browser) {
    let s = scene(b, "turns", HALYARD).await;
    let picture = "document.querySelector('#hand-picture svg').innerHTML";
    let before = b.js(&format!("return {picture}")).await;
    let at = b.middle("#hand-picture").await;
    b.drag(at, [at[0] + 60.0, at[1] + 20.0]).await;
    b.until(&format!("{picture} !== {before}")).await;
    b.click("[data-view=side]").await;
    b.until("document.querySelector('[data-view=side]').getAttribute('aria-pressed') === 'true'")
        .await;
    let glyph = "document.querySelector('#hall-picture .flying')?.getAttribute('transform')";
    let start = b.js(&format!("return {glyph}")).await;
    b.click("#play").await;
    b.until(&format!("{glyph} !== {start}")).await;
    nothing_odd(b, &s.served.address).await;
}

async fn new_sheet_series_compare_and_lesson(b: &Browser) {
    let s = scene(b, "more", SCOW).await;
    b.click("#series").await;
    b.until("document.querySelectorAll('#dialog .chart circle').length >= 5").await;
    b.press("#dialog", "\u{e00c}").await;
    type_text(b, &SCOW.replace("20 mm, from", "24 mm, from")).await;
    b.until("window.plumbfold.resting()").await;
    b.click("#compare").await;
    b.until("document.querySelectorAll('#dialog tr.differs').length > 0").await;
    b.press("#dialog", "\u{e00c}").await;
    b.click("#lesson").await;
    b.until("!document.getElementById('lesson-card').hidden").await;
    b.until("document.getElementById('plane-name').textContent === 'Scow'").await;
    b.click("#lesson-card .main").await;
    b.until("document.getElementById('text').value.includes('let turns  = 0')").await;
    b.until("document.getElementById('lesson-see').textContent.length > 10").await;
    b.click("#designs").await;
    b.until("document.querySelectorAll('#dialog .shelf .thumb svg').length >= 9").await;
    b.js("[...document.querySelectorAll('#dialog button.main')][0].click()").await;
    b.until("document.getElementById('text').value.startsWith('plane Newcomer')").await;
    b.click("#designs").await;
    b.until("document.querySelector('#dialog .outline-board')").await;
    b.js("const [points, mass, balance] = document.querySelectorAll('#dialog .pair input'); \
         points.value = '0 0, 90 200, 10 200'; points.dispatchEvent(new Event('change')); \
         mass.value = 5; balance.value = 110; \
         [...document.querySelectorAll('#dialog .pair button')].at(-1).click()")
        .await;
    b.until("document.getElementById('plane-name').textContent === 'Traced'").await;
    b.until("window.plumbfold.store.answer.numbers && window.plumbfold.store.answer.diagnostics.length === 0").await;
    nothing_odd(b, &s.served.address).await;
}

async fn remedies_come_and_go(b: &Browser) {
    let s = scene(b, "mend", &SCOW.replace("let turns  = 3", "let turns  = 1")).await;
    let before = text_of(b).await;
    b.until("document.querySelectorAll('#remedy-list button').length > 0").await;
    b.click("#remedy-list button").await;
    b.until(&format!("document.getElementById('text').value !== {}", json!(before))).await;
    b.until("document.querySelector('#remedy-list li.taken')").await;
    b.click("#remedy-list li.taken button").await;
    b.until(&format!("document.getElementById('text').value === {}", json!(before))).await;
    nothing_odd(b, &s.served.address).await;
}

/// Where `.ci/run` puts the accessibility engine, unless `PLUMBFOLD_AXE` names it.
fn axe() -> String {
    let ours =
        concat!(env!("CARGO_MANIFEST_DIR"), "/../../target/axe/node_modules/axe-core/axe.min.js");
    let path = std::env::var("PLUMBFOLD_AXE").unwrap_or_else(|_| ours.to_owned());
    fs::read_to_string(&path).unwrap_or_else(|e| {
        panic!("{path}: {e}\nget it with: npm install --prefix target/axe axe-core")
    })
}

async fn fits_and_is_accessible(b: &Browser) {
    let s = scene(b, "access", HALYARD).await;
    let engine = axe();
    for (width, height) in [(1440, 900), (390, 844)] {
        for theme in ["light", "dark"] {
            b.size(width, height).await;
            b.js(&format!("localStorage.setItem('theme', {theme:?})")).await;
            b.open(&s.served.address).await;
            let wide = b.js("return document.documentElement.scrollWidth").await;
            assert!(wide.as_u64() <= Some(u64::from(width)), "{wide} px wide at {width}");
            for dialog in [false, true] {
                if dialog {
                    b.js("document.getElementById('designs').click()").await;
                    b.until("document.querySelectorAll('#dialog .shelf button').length > 5").await;
                }
                // A place under the heading that sticks to the top is no fault of the page.
                b.js("scrollTo(0, 0)").await;
                // The engine is put in by the test driver, outside the page's own policy.
                b.js(&engine).await;
                let found = b
                    .client
                    .execute_async(
                        "const done = arguments[0]; axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa'] }) \
                         .then((r) => done(r.violations.map((v) => [v.impact, v.id, v.nodes.slice(0, 4).map((n) => n.html.slice(0, 160) + ' | ' + n.failureSummary)])))",
                        Vec::new(),
                    )
                    .await
                    .expect("the accessibility engine runs");
                let serious: Vec<&Value> = found
                    .as_array()
                    .expect("a list")
                    .iter()
                    .filter(|v| v[0] == "serious" || v[0] == "critical")
                    .collect();
                assert!(serious.is_empty(), "{width} {theme} dialog {dialog}: {serious:#?}");
            }
        }
    }
    b.js("localStorage.clear()").await;
    b.size(1440, 900).await;
}

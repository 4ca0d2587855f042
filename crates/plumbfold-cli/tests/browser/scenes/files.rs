//! Where designs come from and go to.

use std::fs;

use serde_json::json;

use super::{HALYARD, SCOW, Scene};
use crate::machine::{Browser, key};

/// A refused save is an answer of 409, which the browser notes in its console.
const REFUSED: &[&str] = &["409"];

const UNSAVED: &str = "!document.getElementById('save').disabled";
const SAVED: &str = "document.getElementById('save').disabled";
const TOLD: &str = "!document.getElementById('notice').hidden";

pub async fn saving_and_changes_from_outside(b: &Browser) {
    let s = Scene::new(b, "saving", SCOW).await;
    let changed = SCOW.replace("let keel   = 20 mm", "let keel   = 21 mm");
    s.write(&changed).await;
    b.until(UNSAVED).await;
    assert_eq!(s.saved(), SCOW, "saved only when asked");
    b.click("#save").await;
    b.until(SAVED).await;
    assert_eq!(s.saved(), changed);
    // Someone else writes the file while there are changes here.
    let theirs = SCOW.replace("plane Scow", "plane Punt");
    let mine = changed.replace("21 mm", "22 mm");
    s.write(&mine).await;
    b.until(&format!("window.plumbfold.store.text === {}", json!(mine))).await;
    // In one piece: a page that looks meanwhile must not see half of it.
    let beside = s.folder.0.join("beside");
    fs::write(&beside, &theirs).expect("an edit from outside");
    fs::rename(&beside, &s.file).expect("an edit from outside");
    b.until(TOLD).await;
    // The note says the same again once the server has refused.
    b.js("document.querySelector('#notice p').textContent = ''").await;
    b.press("#save", key::ENTER).await;
    b.until("document.querySelector('#notice p')?.textContent").await;
    assert_eq!(s.saved(), theirs, "an edit from outside is never overwritten");
    assert_eq!(s.text().await, mine);
    b.click("#notice button:nth-of-type(1)").await;
    s.until_text(&theirs).await;
    b.click("#undo").await;
    s.until_text(&mine).await;
    s.ends(REFUSED).await;
}

pub async fn two_tabs(b: &Browser) {
    let s = Scene::new(b, "two tabs", SCOW).await;
    let first = b.client.window().await.expect("a window");
    let second = b.client.new_window(true).await.expect("a second tab").handle;
    b.client.switch_to_window(second).await.expect("the second tab");
    b.open(&s.served.address).await;
    let ours = SCOW.replace("20 mm, from", "17 mm, from");
    s.write(&ours).await;
    b.until(UNSAVED).await;
    b.press("#save", key::ENTER).await;
    b.until(SAVED).await;
    b.client.close_window().await.expect("the tab closes");
    b.client.switch_to_window(first).await.expect("the first tab");
    b.devtools("Page.bringToFront", json!({})).await;
    s.write(&SCOW.replace("20 mm, from", "12 mm, from")).await;
    b.press("#save", key::ENTER).await;
    b.until(TOLD).await;
    assert_eq!(s.saved(), ours);
    s.ends(REFUSED).await;
}

/// What the page offers to go on with.
const OFFERED: &str = "document.querySelector('#notice button')?.textContent === 'Go on with them'";

pub async fn what_is_not_saved_is_kept(b: &Browser) {
    let s = Scene::new(b, "kept", SCOW).await;
    let mine = SCOW.replace("20 mm, from", "23 mm, from");
    s.write(&mine).await;
    b.until(UNSAVED).await;
    // Another design takes its place: with no way back by undoing, and nothing lost.
    b.click("#designs").await;
    b.until("document.querySelectorAll('#dialog .designs .thumb svg').length >= 10").await;
    b.js("[...document.querySelectorAll('#dialog .designs button')].find((e) => e.textContent.includes('Halyard')).click()").await;
    b.until("document.getElementById('plane-name').textContent === 'Halyard'").await;
    b.until("document.getElementById('undo').disabled").await;
    b.press("#text", key::UNDO).await;
    b.until("document.getElementById('text').value.startsWith('plane Halyard')").await;
    b.click("#designs").await;
    b.until(
        "document.querySelector('#dialog .designs.files button strong')?.textContent === 'Scow'",
    )
    .await;
    b.press("#dialog .designs.files button", key::ENTER).await;
    s.until_text(&mine).await;
    b.until(UNSAVED).await;
    b.click("#undo").await;
    s.until_text(SCOW).await;
    b.click("#redo").await;
    s.until_text(&mine).await;
    // The tab is closed and the design opened again.
    b.until("JSON.parse(localStorage.drafts)[window.plumbfold.store.file.id]").await;
    b.open(&s.served.address).await;
    s.until_text(SCOW).await;
    b.until(OFFERED).await;
    b.click("#notice button").await;
    s.until_text(&mine).await;
    assert_eq!(s.saved(), SCOW, "kept in the browser, not in the file");
    b.click("#save").await;
    b.until(SAVED).await;
    assert_eq!(s.saved(), mine);
    b.open(&s.served.address).await;
    s.until_text(&mine).await;
    b.until("document.getElementById('notice').hidden").await;
    s.ends(&[]).await;
}

pub async fn one_design_is_never_saved_into_another(b: &Browser) {
    let s = Scene::new(b, "crossed", SCOW).await;
    let other = s.folder.0.join("other.plane");
    fs::write(&other, HALYARD).expect("another design");
    s.write(&SCOW.replace("20 mm, from", "24 mm, from")).await;
    b.until(UNSAVED).await;
    let open = "[...document.querySelectorAll('#dialog .designs.own button')].find((e) => e.textContent.endsWith('other.plane'))";
    b.click("#designs").await;
    b.until(open).await;
    b.js(&format!("{open}.click()")).await;
    b.until("document.getElementById('plane-name').textContent === 'Halyard'").await;
    for _ in 0..3 {
        b.press("#text", key::UNDO).await;
    }
    b.press("#text", key::SAVE).await;
    b.until("window.plumbfold.resting()").await;
    assert_eq!(fs::read_to_string(&other).expect("it is there"), HALYARD);
    // Even a page gone wrong, that saves with what it knows of the other file, is refused.
    let status = b
        .client
        .execute_async(
            "const done = arguments[0]; (async () => { \
               const { version } = await (await fetch('/api/version?name=plane.plane')).json(); \
               const body = JSON.stringify({ name: 'other.plane', text: 'plane Wrong', version }); \
               const headers = { 'content-type': 'application/json' }; \
               done((await fetch('/api/save', { method: 'POST', headers, body })).status); })()",
            Vec::new(),
        )
        .await
        .expect("the server answers");
    assert_eq!(status, 409);
    assert_eq!(fs::read_to_string(&other).expect("it is there"), HALYARD);
    assert_eq!(s.saved(), SCOW);
    s.ends(REFUSED).await;
}

pub async fn a_new_sheet_and_an_outline(b: &Browser) {
    let s = Scene::new(b, "new", SCOW).await;
    b.click("#designs").await;
    b.until("document.querySelectorAll('#dialog .designs .thumb svg').length >= 10").await;
    b.click("#start-sheet").await;
    b.until("document.getElementById('text').value.startsWith('plane Newcomer')").await;
    b.click("#designs").await;
    b.until("document.querySelector('dialog[open] .outline-board')").await;
    // Half of a narrow triangle, nose up at the middle line.
    for [x, y] in [[0.0, 0.0], [80.0, 200.0], [0.0, 200.0]] {
        let at = b
            .js(&format!(
                "const board = document.querySelector('.outline-board'); board.scrollIntoView({{ block: 'center' }}); \
                 const p = new DOMPoint({x}, {y}).matrixTransform(board.getScreenCTM()); return [p.x, p.y]"
            ))
            .await;
        let at = super::pair(&at);
        b.drag(at, at).await;
    }
    b.until("document.querySelectorAll('.outline-board circle').length === 3").await;
    b.press("#outline-balance", "110").await;
    b.click("#outline-take").await;
    b.until("document.getElementById('plane-name').textContent === 'Traced'").await;
    b.until("window.plumbfold.resting() && window.plumbfold.store.answer.numbers").await;
    let found = b
        .js("const a = window.plumbfold.store.answer; return [a.diagnostics.length, Math.round(a.numbers.planform.span_mm), Math.round(a.numbers.cg.behind_nose_mm)]")
        .await;
    assert_eq!(found, json!([0, 160, 110]));
    // Saved under a name of its own, beside the design that was open.
    b.click("#save").await;
    b.until("document.querySelector('#dialog input')?.value === 'traced.plane'").await;
    b.press("#dialog input", key::ENTER).await;
    b.until(SAVED).await;
    let traced = fs::read_to_string(s.folder.0.join("traced.plane")).expect("the new design");
    assert_eq!(traced, s.text().await);
    assert_eq!(s.saved(), SCOW);
    s.ends(&[]).await;
}

pub async fn pages_for_the_printer(b: &Browser) {
    let s = Scene::new(b, "printer", HALYARD).await;
    // What would be opened beside the page or downloaded is looked at instead.
    b.js("URL.createObjectURL = (blob) => { window.blob = blob; return 'blob:made'; }; \
         window.open = () => { window.made = ''; return {}; }; \
         HTMLAnchorElement.prototype.click = function () { window.made = this.download; }")
        .await;
    b.click("#press").await;
    b.until("document.querySelector('#dialog [data-press=save-booklet]')").await;
    let inside = "const r = document.getElementById('dialog').getBoundingClientRect(); \
                  return r.top >= 0 && r.bottom <= innerHeight && r.right <= innerWidth";
    assert_eq!(b.js(inside).await, true, "the dialog stands in the window");
    let made = async |button: &str| {
        b.js("window.made = null").await;
        b.js(&format!("document.querySelector('#dialog [data-press={button}]').click()")).await;
        b.until("window.made !== null").await;
        let read = "const done = arguments[0]; window.blob.text() \
                    .then((text) => done([window.made, text.slice(0, 4), text]))";
        b.client.execute_async(read, Vec::new()).await.expect("what was made can be read")
    };
    let steps = made("print-steps").await;
    assert_eq!((&steps[0], &steps[1]), (&json!(""), &json!("%PDF")));
    let text = |made: &serde_json::Value| made[2].as_str().unwrap_or_default().to_owned();
    assert!(text(&steps).contains("/MediaBox [0 0 595"), "the sheet's own paper");
    b.js("document.getElementById('press-paper').value = 'letter'").await;
    let booklet = made("save-booklet").await;
    assert_eq!((&booklet[0], &booklet[1]), (&json!("halyard-booklet.pdf"), &json!("%PDF")));
    // 8.5 by 11 inches are 612 by 792 points.
    assert!(text(&booklet).contains("/MediaBox [0 0 612"), "the paper that was chosen");
    for (button, name, begins) in [
        ("save-dxf", "halyard.dxf", "999"),
        ("save-obj", "halyard.obj", "#"),
        ("save-html", "halyard-steps.html", "<!DO"),
        ("save-template", "halyard-template.pdf", "%PDF"),
    ] {
        let file = made(button).await;
        assert_eq!(file[0], name);
        let start = file[1].as_str().unwrap_or_default();
        assert!(start.starts_with(begins), "{name} begins with {start:?}");
    }
    s.ends(&[]).await;
}

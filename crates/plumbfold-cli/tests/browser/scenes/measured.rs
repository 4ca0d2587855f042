//! Real planes: measured from a photo, and their throws kept.

use std::path::Path;

use fantoccini::Locator;
use serde_json::json;

use super::{SCOW, SLIP, Scene, pair};
use crate::machine::{Browser, Folder, Served};

/// A rendered photo; the edges it was balanced on leave the paper at these dots (README.md).
const PHOTO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/pictures/halyard-photo.jpg");
const LINE: [[f64; 2]; 2] = [[860.0, 428.0], [873.0, 749.0]];

/// A plumb line through the same balance point.
const PLUMB: [[f64; 2]; 2] = [[777.0, 475.0], [957.0, 708.0]];

/// Where the window shows a dot of the photo.
async fn of_photo(b: &Browser, [x, y]: [f64; 2]) -> [f64; 2] {
    let at = b
        .js(&format!(
            "const p = new DOMPoint({x}, {y}).matrixTransform(document.querySelector('.photo-board').getScreenCTM()); return [p.x, p.y]"
        ))
        .await;
    pair(&at)
}

/// Presses a button and clicks dots of the photo.
async fn clicks(b: &Browser, button: &str, dots: &[[f64; 2]]) {
    b.click(button).await;
    for dot in dots {
        let at = of_photo(b, *dot).await;
        b.drag(at, at).await;
    }
}

/// Opens the dialog for new planes and gives the photo.
async fn give_the_photo(b: &Browser) {
    b.click("#designs").await;
    b.until("document.querySelector('dialog[open] #start-photo')").await;
    let field = b.client.find(Locator::Id("start-photo")).await.expect("a place for photos");
    let photo = Path::new(PHOTO).canonicalize().expect("the photo is there");
    field.send_keys(&photo.display().to_string()).await.expect("a photo is given");
}

pub async fn a_photo_becomes_a_plane(b: &Browser) {
    let s = Scene::new(b, "photo", SLIP).await;
    give_the_photo(b).await;
    let measured = |n: u32| {
        format!(
            "document.querySelectorAll('.photo .found dt').length === {n} && document.querySelector('.working').hidden"
        )
    };
    b.until(&measured(3)).await;
    // The sheet was drawn before the plane was looked for, and the work says how far it is.
    let stage = b.js("return document.getElementById('photo-stage').textContent").await;
    assert!(stage.as_str().is_some_and(|s| s.contains(" of 3: ")), "{stage}");
    clicks(b, "#photo-line", &LINE).await;
    b.until(&measured(4)).await;
    // Two more ways: what each says alone stands below the answer of all.
    clicks(b, "#photo-plumb", &PLUMB).await;
    b.until(&measured(6)).await;
    b.click("#photo-scales summary").await;
    for (n, value) in ["3.0", "20", "1.9", "124"].iter().enumerate() {
        b.js(&format!(
            "const i = document.querySelectorAll('#photo-scales input')[{n}]; i.value = '{value}'; i.dispatchEvent(new Event('change'))"
        ))
        .await;
    }
    b.until(&measured(7)).await;
    let told = b.js("return document.querySelector('.photo .remarks').textContent").await;
    assert!(!told.as_str().is_some_and(|t| t.contains("disagrees")), "{told}");
    // Each change is taken back by itself.
    b.js("document.getElementById('photo-back').click()").await;
    b.until(&measured(6)).await;
    b.js("document.getElementById('photo-back').click()").await;
    b.until(&measured(4)).await;
    clicks(b, "#photo-line", &LINE).await;
    b.until(&measured(6)).await;
    // A point is dragged: the outline is another.
    let outline = "document.querySelector('.photo-board .outline').getAttribute('d')";
    let before = b.js(&format!("return {outline}")).await;
    let from = b.middle(".photo-board .point").await;
    b.drag(from, [from[0] + 12.0, from[1] + 6.0]).await;
    b.until(&format!("{outline} !== {before} && {}", measured(6))).await;
    b.click("#photo-take").await;
    b.until("document.getElementById('plane-name').textContent === 'halyard-photo'").await;
    b.until("window.plumbfold.resting() && window.plumbfold.store.answer.numbers").await;
    let shown = b
        .js("return [window.plumbfold.store.answer.diagnostics.length, getComputedStyle(document.querySelector('.steps-card')).display]")
        .await;
    assert_eq!(shown, json!([0, "none"]), "an outline has no folds");
    s.ends(&[]).await;
}

/// A corner dragged off its place, a threshold that finds nothing, an outline drawn by hand.
pub async fn what_a_photo_does_not_tell_is_said_by_hand(b: &Browser) {
    let s = Scene::new(b, "by-hand", SLIP).await;
    give_the_photo(b).await;
    const DONE: &str = "document.querySelector('.working').hidden";
    const SAID: &str = "document.getElementById('photo-said').textContent";
    let found =
        |n: u32| format!("{DONE} && document.querySelectorAll('.photo .found dt').length === {n}");
    b.until(&found(3)).await;
    // Far from the sheet's own corner the photo is another; what was measured before does not stay.
    let from = b.middle(".photo-board .corner").await;
    b.drag(from, [from[0] + 60.0, from[1] + 45.0]).await;
    b.until(&format!("{} && {SAID}.length > 40", found(0))).await;
    b.until("document.getElementById('photo-take').disabled").await;
    assert_eq!(b.js("return document.querySelectorAll('.photo-board .corner').length").await, 4);
    b.js("document.getElementById('photo-back').click()").await;
    b.until(&found(3)).await;
    // Nothing differs so much: what was found until then is drawn, and the way out is said.
    b.js("const i = [...document.querySelectorAll('.photo label')].find((l) => l.textContent.startsWith('Least difference')).querySelector('input'); \
          i.value = '150'; i.dispatchEvent(new Event('change'))")
        .await;
    b.until(&format!("{} && {SAID}.includes('Outline by hand')", found(0))).await;
    let outline = [[1120.0, 583.0], [806.0, 901.0], [534.0, 904.0], [458.0, 288.0], [768.0, 264.0]];
    clicks(b, "#photo-outline", &[&outline[..], &outline[..1]].concat()).await;
    b.until(&found(3)).await;
    clicks(b, "#photo-line", &LINE).await;
    b.until(&found(4)).await;
    let told = b
        .js("return [...document.querySelectorAll('.photo .found dd')].map((e) => parseFloat(e.textContent))")
        .await;
    // Span, length, balance, share ahead of the copy in the photo (crates/plumbfold-trace/tests/it).
    for (i, (due, off)) in
        [(160.2, 1.5), (154.3, 1.5), (60.4, 1.5), (20.0, 1.5)].into_iter().enumerate()
    {
        let value = told[i].as_f64().expect("a number");
        assert!((value - due).abs() < off, "{told}");
    }
    s.ends(&["422"]).await;
}

/// A film of a throw of Scow at 2.6 m/s as a phone would take it (`scripts/film-of-a-throw.py`, which
/// tells these dots): four bits of tape on the wall, and where the plane is after 1.3 s.
const FILM: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../../testdata/scow-throw.mp4");
const TAPE: [[f64; 2]; 4] =
    [[143.48, 284.37], [496.52, 284.37], [489.85, 142.81], [150.15, 142.81]];
const FLYING: [f64; 2] = [295.0, 210.9];

/// Where the window shows a dot of the film.
async fn of_film(b: &Browser, [x, y]: [f64; 2]) -> [f64; 2] {
    let at = b
        .js(&format!(
            "const p = new DOMPoint({x}, {y}).matrixTransform(document.querySelector('.film-over').getScreenCTM()); return [p.x, p.y]"
        ))
        .await;
    pair(&at)
}

/// Gives the film to the open notebook; its dialog stands open with the marks where they are at first.
pub async fn give_the_film(b: &Browser) {
    let field = b.client.find(Locator::Id("book-film")).await.expect("a place for films");
    let film = Path::new(FILM).canonicalize().expect("the film is there");
    field.send_keys(&film.display().to_string()).await.expect("a film is given");
    b.until("document.querySelector('.film video')?.readyState >= 2 && document.querySelectorAll('.film-over .corner').length === 4").await;
}

/// Marks the tape, clicks on the plane, and reads what the film says; then keeps the path.
pub async fn measure_the_film(b: &Browser) {
    b.js("const e = document.getElementById('film-time'); e.value = 1.3; e.dispatchEvent(new Event('input'))").await;
    b.until("(({ seeking, currentTime }) => !seeking && Math.abs(currentTime - 1.3) < 0.02)(document.querySelector('.film video'))").await;
    for (n, dot) in TAPE.iter().enumerate() {
        let from = b.middle(&format!(".film-over .corner:nth-of-type({})", n + 1)).await;
        let to = of_film(b, *dot).await;
        b.drag(from, to).await;
    }
    for (id, value) in [("width", 4.4), ("height", 1.8), ("camera", 6.5), ("before", 0.7)] {
        b.js(&format!(
            "const i = document.getElementById('film-{id}'); i.value = {value}; i.dispatchEvent(new Event('change'))"
        ))
        .await;
    }
    let plane = of_film(b, FLYING).await;
    b.drag(plane, plane).await;
    b.until("!document.getElementById('film-keep').disabled").await;
    let told = b
        .js("return [[...document.querySelectorAll('.film .found dd')].map((e) => parseFloat(e.textContent)), \
             document.getElementById('film-said').textContent, \
             document.querySelector('.film-over .predicted').getAttribute('d').length, \
             document.querySelector('#film-path svg').textContent]")
        .await;
    let speed = told[0][0].as_f64().expect("a speed");
    assert!((speed / 2.6 - 1.0).abs() < 0.03, "{told}");
    let off = told[0].as_array().and_then(|a| a.last()).and_then(serde_json::Value::as_f64);
    assert!(off.is_some_and(|m| m < 0.15), "{told}");
    assert!(told[2].as_u64() > Some(200), "the predicted path lies over the film: {told}");
    assert!(told[3].as_str().is_some_and(|t| t.contains("predicted for this release")), "{told}");
    b.click("#film-keep").await;
    b.until("document.getElementById('film-said').textContent.startsWith('Kept')").await;
}

pub async fn a_filmed_throw_lies_over_its_prediction(b: &Browser) {
    let s = Scene::new(b, "film", SCOW).await;
    b.click("#notebook").await;
    b.until("document.querySelector('dialog[open] #book-film')").await;
    give_the_film(b).await;
    measure_the_film(b).await;
    // What no browser decodes is told, with a way out; also where only the sound can be decoded, as of a
    // film in HEVC: here a second of silence (WAV).
    let sound = "const v = new DataView(new ArrayBuffer(8044)); \
        [['RIFF', 0], ['WAVEfmt ', 8], ['data', 36]].forEach(([w, at]) => [...w].forEach((c, i) => v.setUint8(at + i, c.charCodeAt(0)))); \
        [[4, 8036], [16, 16], [24, 8000], [28, 8000], [40, 8000]].forEach(([at, n]) => v.setUint32(at, n, true)); \
        [[20, 1], [22, 1], [32, 1], [34, 8]].forEach(([at, n]) => v.setUint16(at, n, true)); \
        for (let i = 44; i < 8044; i++) v.setUint8(i, 128); const bytes = v.buffer;";
    for bytes in ["const bytes = 'no film at all';", sound] {
        b.js("document.getElementById('dialog').close()").await;
        b.click("#notebook").await;
        b.until("document.querySelector('dialog[open] #book-film')").await;
        b.js(&format!(
            "{bytes} const t = new DataTransfer(); t.items.add(new File([bytes], 'x.mov', {{ type: 'video/quicktime' }})); \
             const i = document.getElementById('book-film'); i.files = t.files; i.dispatchEvent(new Event('change'))"
        ))
        .await;
        b.until("document.getElementById('film-said')?.textContent.includes('H.264') && document.getElementById('film-here').disabled").await;
    }
    s.ends(&[]).await;
}

pub async fn throws_are_kept_on_a_phone(b: &Browser) {
    b.size(390, 844).await;
    let folder = Folder::new("hall");
    let file = folder.0.join("plane.plane");
    std::fs::write(&file, SCOW).expect("a design to open");
    let served = Served::shared(&file);
    let form = served.form.as_deref().expect("the form is shared");
    b.client.goto(form).await.expect("the form loads");
    // The plane of the folder is offered before anything was thrown; others have names.
    b.until("document.querySelector('#book-plane option')?.textContent === 'Scow'").await;
    assert_eq!(b.js("return location.search").await, "", "the secret is not shown");
    b.js("const e = document.getElementById('book-plane'); e.value = ''; e.dispatchEvent(new Event('change'))").await;
    b.until("document.querySelector('#book-name:not([hidden])')").await;
    b.js("document.querySelector('.session').open = true").await;
    b.press("#book-place", "Boat hall").await;
    b.press("#book-thrower", "Pim").await;
    b.click("#book-begin").await;
    b.until("document.getElementById('book-session').textContent.includes('Boat hall, by Pim')")
        .await;
    b.press("#book-name", "Heron").await;
    b.click("#book-watch").await;
    b.until("parseFloat(document.getElementById('book-watch').textContent) > 0.2").await;
    b.click("#book-watch").await;
    b.until("Number(document.getElementById('book-time').value) > 0.2").await;
    b.press("#book-distance", "9,4").await;
    b.click(".choice.did [value=stalls]").await;
    // A thumb that comes down twice keeps one throw.
    b.js("const k = document.getElementById('book-keep'); k.click(); k.click()").await;
    b.until("document.querySelector('.thrown li')?.textContent.includes('Climbs and stalls')")
        .await;
    assert_eq!(b.js("return document.querySelectorAll('.thrown li').length").await, 1);
    let row = b.js("return document.querySelector('.results tbody tr').textContent").await;
    assert!(row.as_str().is_some_and(|r| r.starts_with("Heron") && r.contains("9.40 m")), "{row}");
    let fits = b.js("return document.documentElement.scrollWidth").await;
    assert_eq!(fits, 390);
    b.click("#book-undo").await;
    b.until("document.querySelectorAll('.thrown li').length === 0").await;
    // Nothing else of this machine is there.
    let status = b
        .client
        .execute_async("fetch('/api/designs').then((r) => arguments[0](r.status))", Vec::new())
        .await
        .expect("the server answers");
    assert_eq!(status, 404);
    b.size(1440, 900).await;
}

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
        b.js(&format!("const e = document.querySelector('[data-key={named}]'); e.closest('.place').querySelector('.bring').click(); e.focus()")).await;
        b.until("!document.getElementById('explain').hidden").await;
        assert_eq!(b.js(shown).await, json!([true, true]), "{named}");
    }
    b.press(":focus", key::ESCAPE).await;
    b.until("document.getElementById('explain').hidden").await;
    b.js("document.querySelector('[data-stage=edge]').click()").await;
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
    b.click("#posed .bring").await;
    let at = b.middle("#posed-picture").await;
    b.drag(at, [at[0] + 60.0, at[1] + 20.0]).await;
    b.until(&format!("{picture} !== {before}")).await;
    b.click("[data-view=side]").await;
    b.until("document.querySelector('[data-view=side]').getAttribute('aria-pressed') === 'true'")
        .await;
    b.js("document.querySelector('[data-stage=hall]').click()").await;
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
        // Next, then what it will do, and only then the throw.
        b.click("#lesson-card .row:last-child button:nth-child(2)").await;
        b.click(&format!("#lesson-card .guess[value={}]", behaviours[0])).await;
        b.until("document.getElementById('lesson-see').textContent.startsWith('You said')").await;
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

/// Everything that is read on the page in its smallest size, px, and writing of the picture on the
/// stage that lies on other writing.
const READ: &str = "
  let least = [99, ''];
  for (const e of document.querySelectorAll('body *')) {
    const own = [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!own || !e.checkVisibility() || e.closest('[aria-hidden=true], title, desc, option')) continue;
    let px = parseFloat(getComputedStyle(e).fontSize);
    const m = e.closest('svg') && e.getScreenCTM?.();
    if (m) px *= Math.hypot(m.a, m.b);
    if (px < least[0]) least = [px, e.outerHTML.slice(0, 120)];
  }
  const texts = [...document.querySelectorAll('.on-stage .picture text')].map((e) => [e.getBoundingClientRect(), e.textContent]);
  const on = ([a, one], [b, two]) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1.5 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 4 && `${one} / ${two}`;
  const over = texts.flatMap((a, i) => texts.slice(i + 1).map((b) => on(a, b)).filter(Boolean));
  return [Math.round(least[0] * 100) / 100, least[1], over, document.documentElement.scrollWidth - innerWidth, scrollY]";

pub async fn everything_can_be_read_at_every_width(b: &Browser) {
    let s = Scene::new(b, "read", HALYARD).await;
    for (width, height) in [(390, 844), (768, 1024), (1440, 900), (1920, 1080)] {
        b.size(width, height).await;
        for (text, stages) in
            [(HALYARD, &["hall", "edge", "table", "posed"][..]), (SCOW, &["hall", "edge"])]
        {
            s.write(text).await;
            for stage in stages {
                b.js(&format!("document.querySelector('[data-stage={stage}]').click()")).await;
                b.until("window.plumbfold.resting() && window.plumbfold.store.stage.frame").await;
                tokio::time::sleep(std::time::Duration::from_millis(250)).await;
                b.until("window.plumbfold.resting()").await;
                let read = b.js(READ).await;
                let at = format!("{width} px, {stage}");
                assert!(read[0].as_f64() >= Some(11.9), "{at}: {} px: {}", read[0], read[1]);
                assert_eq!(read[2], json!([]), "{at}: writing over writing");
                // A bar for scrolling takes its width from the page.
                assert!(read[3].as_f64() <= Some(0.0), "{at}: it sticks out by {}", read[3]);
            }
        }
    }
    // A phone opens at the top of the page, where the verdict is.
    b.size(390, 844).await;
    b.open(&s.served.address).await;
    let top = b.js("const v = document.getElementById('verdict-title').getBoundingClientRect(); return [scrollY, v.top > 0 && v.bottom < innerHeight]").await;
    assert_eq!(top, json!([0, true]));
    // The flight stays in view above the sliders.
    b.js("document.querySelector('[data-stage=hall]').click()").await;
    b.js("document.getElementById('throw-speed_mps').scrollIntoView({ block: 'center' })").await;
    b.until("document.body.classList.contains('sliding')").await;
    b.until("(() => { const [p, s] = ['hall-picture', 'throw-speed_mps'].map((id) => document.getElementById(id).getBoundingClientRect()); return p.top >= 0 && p.bottom < s.top && p.height > 120; })()").await;
    tokio::time::sleep(std::time::Duration::from_millis(250)).await;
    b.until("window.plumbfold.resting()").await;
    let read = b.js(READ).await;
    assert!(read[0].as_f64() >= Some(11.9), "the strip: {} px: {}", read[0], read[1]);
    b.size(1440, 900).await;
    s.ends(&[]).await;
}

pub async fn the_first_minute(b: &Browser) {
    let s = Scene::new(b, "first", HALYARD).await;
    b.until("!document.getElementById('welcome').hidden").await;
    b.click("#welcome-mend").await;
    b.until("document.getElementById('plane-name').textContent === 'Scow'").await;
    b.until("window.plumbfold.store.answer.verdict?.probability").await;
    let does = b.js("return window.plumbfold.store.answer.verdict.behaviour").await;
    assert_eq!(does, "stalls");
    b.until("document.querySelectorAll('#remedy-list button').length > 0").await;
    b.until("document.getElementById('welcome').hidden").await;
    b.open(&s.served.address).await;
    assert_eq!(b.js("return document.getElementById('welcome').hidden").await, true, "once");
    // For a room: the whole screen, and type that is read at its end.
    b.press("#hall .bring", "f").await;
    b.until("document.documentElement.dataset.big !== undefined").await;
    b.until("window.plumbfold.resting()").await;
    b.press_here("f").await;
    b.until("document.documentElement.dataset.big === undefined").await;
    s.ends(&[]).await;
}

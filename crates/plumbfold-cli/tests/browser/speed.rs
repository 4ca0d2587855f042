//! How quickly the pictures follow a slider.

use crate::machine::{Browser, Folder, Served};

/// From slider event to all pictures updated, 95 of 100, ms.
const LIMIT_MS: f64 = 100.0;
/// First picture of the plane after the page is asked for, ms.
const FIRST_PAINT_MS: f64 = 1000.0;
/// Events for each slider.
const EVENTS: usize = 200;

/// Moves three kinds of sliders and prints how long the pictures took.
pub async fn measure(b: &Browser) {
    let folder = Folder::new("speed");
    let file = folder.0.join("halyard.plane");
    let text = include_str!("../../../../designs/halyard.plane");
    std::fs::write(&file, text).expect("a design to open");
    let served = Served::new(&file);
    b.open(&served.address).await;
    let painted = b
        .js("return [performance.getEntriesByName('first-contentful-paint')[0].startTime, \
             window.plumbfold.pictured]")
        .await;
    println!("first paint {:.0} ms, first pictures {:.0} ms", painted[0], painted[1]);
    let mut slow = Vec::new();
    for slider in ["let-tip", "trim-left wing", "throw-speed_mps"] {
        // A hand that moves the slider to and fro, an event a frame.
        let drag = format!(
            "const done = arguments[0], e = document.getElementById('{slider}'); \
             window.plumbfold.timings.length = 0; \
             e.dispatchEvent(new PointerEvent('pointerdown')); \
             let i = 0; \
             const move = () => {{ \
               if (i === {EVENTS}) {{ e.dispatchEvent(new Event('change')); return done(); }} \
               const share = 0.5 + 0.4 * Math.sin(i * 0.11); i += 1; \
               e.value = Number(e.min) + share * (e.max - e.min); \
               e.dispatchEvent(new Event('input')); requestAnimationFrame(move); }}; move()"
        );
        b.client.execute_async(&drag, Vec::new()).await.expect("the slider moves");
        b.until("window.plumbfold.resting()").await;
        let times = b.js("return window.plumbfold.timings").await;
        let mut times: Vec<f64> = times
            .as_array()
            .expect("a list")
            .iter()
            .filter_map(serde_json::Value::as_f64)
            .collect();
        times.sort_by(f64::total_cmp);
        let quantile = |q: f64| times[((times.len() - 1) as f64 * q).round() as usize];
        let (median, p95) = (quantile(0.5), quantile(0.95));
        println!("{slider}: median {median:.0} ms, p95 {p95:.0} ms, {} events", times.len());
        if p95 > LIMIT_MS {
            slow.push(format!("{slider}: p95 {p95:.0} ms"));
        }
    }
    let first = painted[1].as_f64().unwrap_or(f64::INFINITY);
    assert!(slow.is_empty(), "slower than {LIMIT_MS} ms: {slow:?}");
    assert!(first < FIRST_PAINT_MS, "the first pictures took {first:.0} ms");
}

//! Folding instructions as one page for a screen: the same words and pictures, nothing fetched.

use std::fmt::Write;

use plumbfold_draw::fit::Size;
use plumbfold_draw::frame;
use plumbfold_draw::pose;
use plumbfold_draw::steps::{Detail, Pair};
use plumbfold_draw::style::Look;
use plumbfold_draw::svg::escape;

use crate::booklet::{
    CAUTIONS, HOW_IT_IS_DRAWN, Lesson, ON_THE_FLAT_SHEET, SAFE, capital, last_touches, needs,
    signs, without_ruler,
};
use crate::page::{Page, look};
use crate::pdf::MARK;

const STYLE: &str = "\
body{font:1.05rem/1.5 Inter,Helvetica,Arial,sans-serif;color:#18232d;background:#fff;\
max-width:60rem;margin:2rem auto;padding:0 1rem}\
ol{list-style:none;padding:0}ol>li{border-top:1px solid #cdd5db;padding:1rem 0;break-inside:avoid}\
.pictures{display:flex;flex-wrap:wrap;gap:1rem;align-items:center}\
.pictures svg{max-width:100%;height:auto}h2{margin-top:2rem}\
pre{white-space:pre-wrap;background:#f4f6f7;padding:1rem;border-radius:8px}\
.key{list-style:none;padding:0;display:flex;flex-wrap:wrap;gap:.3rem 1.5rem}\
.key li{display:flex;align-items:center;gap:.3rem}\
.number{font-size:1.4rem;font-weight:600}.becomes{font-size:1.6rem;color:#5b6975}\
@media(max-width:40rem){.step{flex-direction:column;align-items:flex-start}\
.becomes{transform:rotate(90deg);margin-left:4rem}}\
@media print{body{font-size:11pt;margin:0;max-width:none}h2{break-after:avoid}\
ol>li{break-inside:avoid}}";

/// Between the model before and after.
const BECOMES: &str = "<span class=\"becomes\" aria-label=\"becomes\">\u{2192}</span>";

/// Width of a picture that a phone shows at its full size, with letters that can be read: 350 of its
/// 390 dots, mm (a dot is 1/96 in: CSS Values and Units 3, 6.2).
const PHONE: f64 = 350.0 * 25.4 / 96.0;
/// Room for the model before and after a step, mm.
const PICTURES: [f64; 2] = [140.0, 70.0];
/// Each picture of a small fold, enlarged, mm.
const ENLARGED: [f64; 2] = [60.0, 60.0];
/// The finished plane, mm.
const FINISHED: [f64; 2] = [PHONE, 60.0];

/// The page.
pub fn write(lesson: &Lesson<'_>) -> String {
    let mut out = head(&lesson.name, "folding steps");
    steps_of(&mut out, lesson);
    out.push_str(END);
    out
}

/// All of a plane in one file, to be sent to somebody: its flight card, how to fold it, and the
/// text it is made from, which every copy of this program reads.
pub fn plane(name: &str, card: &Page, lesson: Option<&Lesson<'_>>, text: &str) -> String {
    let mut out = head(name, "a folded-paper plane");
    // Writing to a String cannot fail.
    let _ = writeln!(out, "<div class=\"pictures\">{}</div>", card.svg());
    if let Some(lesson) = lesson {
        steps_of(&mut out, lesson);
    }
    let _ = writeln!(out, "<h2>The design text</h2>\n<pre>{}</pre>", escape(text));
    out.push_str(END);
    out
}

const END: &str = "</body></html>\n";

fn head(name: &str, what: &str) -> String {
    let name = escape(name);
    format!(
        "<!DOCTYPE html>\n<!-- {MARK} -->\n<html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width\"><title>{name}: {what}</title>\
         <style>{STYLE}</style></head><body>\n<h1>{name}</h1>\n"
    )
}

fn steps_of(out: &mut String, lesson: &Lesson<'_>) {
    let effort = &lesson.effort;
    let plane = lesson.plane;
    let seen = pose::turned(&look("finished"), &plane.airframe, 0.55, 0.5, FINISHED);
    // Writing to a String cannot fail.
    let _ = writeln!(out, "<div class=\"pictures\">{seen}</div>");
    // Writing to a String cannot fail.
    let _ = writeln!(
        out,
        "<p>{} ({} of 3), {}. {}</p>",
        escape(&capital(effort.difficulty_words())),
        effort.difficulty,
        effort.time(),
        escape(&effort.how())
    );
    list(out, "You need", &needs(lesson));
    let ways = without_ruler(lesson);
    if !ways.is_empty() {
        // Writing to a String cannot fail.
        let _ = writeln!(out, "<h2>Without a ruler</h2>\n<p>{}</p>", escape(ON_THE_FLAT_SHEET));
        items(out, &ways);
    }
    out.push_str("<h2>Lines and arrows</h2>\n<ul class=\"key\">\n");
    for (i, (sign, name)) in signs(lesson).into_iter().enumerate() {
        // Writing to a String cannot fail.
        let _ = writeln!(out, "<li>{}{name}</li>", sign.picture(&look(&format!("sign-{i}"))));
    }
    // Writing to a String cannot fail.
    let _ = writeln!(out, "</ul>\n<p>{}</p>", escape(HOW_IT_IS_DRAWN));
    out.push_str("<h2>Steps</h2>\n<ol>\n");
    for (i, shown) in lesson.shown.iter().enumerate() {
        let id = |what: &str| look(&format!("s{i}-{what}"));
        let after = &lesson.folded.run.steps[i].after;
        let [place, before, after] = match Detail::of(shown) {
            Some(part) => [
                part.place(&id("place"), shown, ENLARGED),
                part.before(&id("before"), shown, ENLARGED),
                part.after(&id("after"), shown, after, ENLARGED),
            ],
            None => {
                let pair = Pair::within(shown, after, PICTURES);
                let before = pair.before(&id("before"), shown);
                [String::new(), before, pair.after(&id("after"), shown, after)]
            }
        };
        let _ = write!(
            out,
            "<li><div class=\"number\">{}</div>\
             <div class=\"pictures step\">{place}{before}{BECOMES}{after}</div>",
            shown.number
        );
        for paragraph in lesson.said[i].paragraphs() {
            let _ = write!(out, "<p>{}</p>", escape(&paragraph));
        }
        out.push_str("</li>\n");
    }
    out.push_str("</ol>\n");
    list(out, "Ready to fly", &last_touches(plane, lesson.units));
    let look = Look { units: lesson.units, ..look("views") };
    let room = Size::Within([PHONE - 2.0 * frame::MARGIN, 120.0]);
    let views = pose::pose(&look, &plane.airframe, Some(plane.mass.cg_m), room);
    // Writing to a String cannot fail.
    let _ = writeln!(out, "<div class=\"pictures\">{views}</div>");
    let cautions: Vec<String> = CAUTIONS.iter().map(|c| (*c).to_owned()).collect();
    list(out, SAFE, &cautions);
}

fn list(out: &mut String, heading: &str, items: &[String]) {
    let _ = writeln!(out, "<h2>{}</h2>", escape(heading));
    self::items(out, items);
}

fn items(out: &mut String, items: &[String]) {
    out.push_str("<ul>\n");
    for item in items {
        let _ = writeln!(out, "<li>{}</li>", escape(item));
    }
    out.push_str("</ul>\n");
}

//! What the page asks, by its path, and the answer as bytes.

use plumbfold::verdict::aircraft::Wanted;
use plumbfold_draw::style;
use plumbfold_view::fold_by_hand;
use plumbfold_view::page::{analyse, mend, series, why};
use serde::Serialize;

use crate::answer::{Answer, with};
use crate::designs;
use crate::film;
use crate::notebook;
use crate::photo;
use crate::press;

/// Answers a question as long as that is wanted; none for a path that asks nothing.
pub fn answer(path: &str, body: &[u8], wanted: Wanted<'_>) -> Option<Answer> {
    Some(match path {
        "/api/designs" => with(body, |shelf| Answer::json(200, &designs::listing(shelf))),
        "/api/explain" => Answer::json(200, &designs::explanations()),
        "/api/begin" => with(body, |q: designs::NewDesign| told(q.text())),
        "/api/analyse" => with(body, |q| told(analyse::analyse(&q, wanted))),
        "/api/fold" => with(body, |q| told(fold_by_hand::fold_by_hand(&q))),
        "/api/series" => with(body, |q| told(series::series(&q, wanted))),
        "/api/plot" => with(body, |q| told(series::plot(&q))),
        "/api/mend" => with(body, |q| told(mend::mend(&q, &|_, _| wanted()))),
        "/api/why" => with(body, |q| told(why::why(&q, wanted))),
        "/api/print" => with(body, |q| match press::press(&q) {
            Ok((mime, body)) => Answer { status: 200, mime, body },
            Err(why) => Answer::message(422, &why),
        }),
        "/api/trace" => photo::trace(body, wanted),
        "/api/film" => film::followed(body),
        "/api/path" => with(body, |q: film::Measure| q.answer()),
        // A server keeps its notebook itself and answers before this.
        "/api/notebook" => notebook::carried(body),
        "/palette.css" => {
            Answer { status: 200, mime: "text/css", body: style::page_css().into_bytes() }
        }
        "/inter-regular.ttf" => font(0),
        "/inter-semibold.ttf" => font(1),
        _ => return None,
    })
}

/// The fonts of the pictures serve the page too.
fn font(n: usize) -> Answer {
    Answer { status: 200, mime: "font/ttf", body: plumbfold_draw::FONTS[n].to_vec() }
}

/// Whether a question may take longer than a slider can wait. One of the whole of a design, or of
/// what all throws make of it, says so in a body that is not worth reading twice: it is asked with `?long`.
pub fn takes_long(path: &str, query: Option<&str>) -> bool {
    const LONG: [&str; 7] = [
        "/api/mend",
        "/api/why",
        "/api/series",
        "/api/print",
        "/api/trace",
        "/api/film",
        "/api/path",
    ];
    let said = ["/api/analyse", "/api/notebook"].contains(&path) && query == Some("long");
    LONG.contains(&path) || said
}

fn told<A: Serialize, E: AsRef<str>>(answer: Result<A, E>) -> Answer {
    match answer {
        Ok(answer) => Answer::json(200, &answer),
        Err(why) => Answer::message(422, why.as_ref()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask(path: &str, body: &str) -> Answer {
        answer(path, body.as_bytes(), &|| true).expect("a question")
    }

    #[test]
    fn nonsense_is_answered_politely() {
        for path in ["analyse", "fold", "series", "plot", "mend", "why", "print", "designs", "path"]
        {
            let path = format!("/api/{path}");
            assert_eq!(ask(&path, "{").status, 400, "{path}");
            assert_eq!(ask(&path, "[[]]").status, 400, "{path}");
        }
        for body in ["", "abc", "\u{1}\0\0\0", "\u{7f}\u{7f}\u{7f}\u{7f}{}", "\u{2}\0\0\0{}"] {
            for path in ["/api/trace", "/api/film"] {
                assert!(ask(path, body).status >= 400, "{path}: {body:?}");
            }
        }
        // No picture that is sent is drawn.
        assert!(answer("/api/png", br#"{"svg":"<b/>"}"#, &|| true).is_none());
        let unknown = r#"{"text":"plane A","change":{"kind":"let","name":"x","value":1}}"#;
        assert_eq!(ask("/api/analyse", unknown).status, 422);
    }

    #[test]
    fn the_plane_in_the_question_is_printed() {
        for (what, mime, begins) in [
            ("template", "application/pdf", &b"%PDF"[..]),
            ("steps", "application/pdf", b"%PDF"),
            ("page", "text/html", b"<!DOCTYPE html>"),
            ("glb", "model/gltf-binary", b"glTF"),
            ("stl", "model/stl", b"made"),
            ("obj", "model/obj", b"#"),
            ("html", "text/html", b"<!DOCTYPE html>"),
            ("svg", "image/svg+xml", b"<svg"),
            ("dxf", "image/vnd.dxf", b"999"),
        ] {
            let question = serde_json::json!({ "text": designs::SHIPPED[0], "what": what });
            let answer = ask("/api/print", &question.to_string());
            assert_eq!((answer.status, answer.mime), (200, mime), "{what}");
            assert!(answer.body.starts_with(begins), "{what}");
        }
        let page = |paper: &str, what: &str, more: &[&str]| {
            let text = designs::SHIPPED[0];
            let question =
                serde_json::json!({ "text": text, "what": what, "paper": paper, "more": more });
            String::from_utf8_lossy(&ask("/api/print", &question.to_string()).body).into_owned()
        };
        // Points: 210 mm and 8.5 in.
        assert!(page("a4", "card", &[]).contains("[0 0 595.27"));
        assert!(page("letter", "card", &[]).contains("[0 0 612"));
        let alone = page("letter", "steps", &[]);
        let several = page("letter", "booklet", &designs::SHIPPED[1..3]);
        let pages = |pdf: &str| pdf.matches("/MediaBox").count();
        assert!(pages(&several) > 2 * pages(&alone), "{}", pages(&several));
        let told = |inch: bool| {
            let text = designs::SHIPPED[0];
            let question = serde_json::json!({ "text": text, "what": "page", "inch": inch });
            String::from_utf8(ask("/api/print", &question.to_string()).body).expect("a page")
        };
        assert!(told(true).contains(" in behind the nose"));
        assert!(told(false).contains(" mm behind the nose"));
        assert_eq!(ask("/api/print", r#"{ "text": "plane", "what": "template" }"#).status, 422);
    }
}

//! What is answered to what: plain functions from a request to a response, without sockets.

use std::collections::BTreeMap;

use hyper::body::Bytes;
use hyper::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, ETAG, HeaderName, HeaderValue,
    IF_NONE_MATCH, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use hyper::{Method, Request, Response, StatusCode};
use percent_encoding::percent_decode_str;
use plumbfold::pipeline::{self, Settings};
use plumbfold_draw::explain::{self, Term};
use plumbfold_draw::style::{self, Look};
use plumbfold_view::fold_by_hand;
use plumbfold_view::page::{analyse, mend, series, why};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::assets;
use super::design_folder::{DesignFolder, FolderError, Kept};
use super::press::{self, press};
use super::wanted::Wanted;

/// What requests are answered from.
pub struct Bench {
    /// The folder.
    designs: DesignFolder,
}

type Answer = Response<Vec<u8>>;

/// Whether a question may take longer than a slider can wait. One of the whole of a design says so
/// itself (`Depth`), in a body that is not worth reading twice.
pub fn takes_long(request: &Request<Bytes>) -> bool {
    const LONG: [&str; 4] = ["/api/mend", "/api/why", "/api/series", "/api/print"];
    let path = request.uri().path();
    LONG.contains(&path) || path == "/api/analyse" && request.uri().query() == Some("long")
}

/// Headers of every answer: nothing may load from elsewhere, frame this page, or guess types.
const HEADERS: [(HeaderName, &str); 6] = [
    (
        CONTENT_SECURITY_POLICY,
        "default-src 'self'; img-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; object-src 'none'",
    ),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (REFERRER_POLICY, "no-referrer"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (CACHE_CONTROL, "no-cache"),
];

impl Bench {
    /// A bench on a folder.
    pub fn new(designs: DesignFolder) -> Self {
        Self { designs }
    }

    /// The port it is usually found at.
    pub fn usual_port(&self) -> u16 {
        self.designs.usual_port()
    }

    /// Answers one request that has passed the guard, as long as the answer is wanted.
    pub fn answer(&self, request: &Request<Bytes>, wanted: &Wanted) -> Answer {
        let path = request.uri().path();
        let still = || wanted.still();
        match (request.method(), path) {
            (&Method::GET, "/api/designs") => json(200, &self.listing()),
            (&Method::GET, "/api/explain") => json(200, &explanations()),
            (&Method::GET, "/api/file") => kept(self.designs.read(&name_in(request))),
            (&Method::GET, "/api/version") => self.version(&name_in(request)),
            (&Method::POST, "/api/save") => with(request, |q| self.save(&q)),
            (&Method::POST, "/api/analyse") => {
                with(request, |q| told(analyse::analyse(&q, &still)))
            }
            (&Method::POST, "/api/fold") => with(request, |q| told(fold_by_hand::fold_by_hand(&q))),
            (&Method::POST, "/api/series") => with(request, |q| told(series::series(&q, &still))),
            (&Method::POST, "/api/plot") => with(request, |q| told(series::plot(&q))),
            (&Method::POST, "/api/mend") => {
                with(request, |q| told(mend::mend(&q, &|_, _| still())))
            }
            (&Method::POST, "/api/why") => with(request, |q| told(why::why(&q, &still))),
            (&Method::POST, "/api/print") => with(request, |q| print(&q)),
            (&Method::GET, _) => file(request),
            _ => plain(404, "there is nothing here"),
        }
    }

    fn listing(&self) -> Listing {
        Listing {
            folder: self.designs.folder_name(),
            first: self.designs.first.clone(),
            files: self
                .designs
                .list()
                .into_iter()
                .enumerate()
                .map(|(n, f)| self.listed(n, f))
                .collect(),
            shipped: SHIPPED
                .iter()
                .enumerate()
                .map(|(n, text)| Shipped { text, shown: Shown::new(n, text) })
                .collect(),
        }
    }

    /// A file of the folder as it is offered; one that is no design has its name only.
    fn listed(&self, n: usize, name: String) -> Listed {
        let text = self.designs.read(&name).ok().filter(|_| n < THUMBNAILS_MAX).map(|k| k.text);
        let shown = text.map(|text| Shown::new(100 + n, &text));
        let (plane, thumb) = shown.map_or((None, None), |s| (Some(s.name), s.thumb));
        Listed { name, plane, thumb }
    }

    fn version(&self, name: &str) -> Answer {
        match self.designs.read(name) {
            Ok(kept) => json(200, &Version { version: Some(kept.version) }),
            Err(FolderError::Missing) => json(200, &Version { version: None }),
            Err(e) => refused(e),
        }
    }

    fn save(&self, save: &Save) -> Answer {
        kept(self.designs.save(&save.name, &save.text, save.version.as_deref()))
    }
}

/// Designs that come with the program, in the order they are offered.
const SHIPPED: [&str; 10] = [
    include_str!("../../../../designs/scow.plane"),
    include_str!("../../../../designs/halyard.plane"),
    include_str!("../../../../designs/marlinspike.plane"),
    include_str!("../../../../designs/bowline.plane"),
    include_str!("../../../../designs/cleat.plane"),
    include_str!("../../../../designs/fender.plane"),
    include_str!("../../../../designs/gaff.plane"),
    include_str!("../../../../designs/oilskin.plane"),
    include_str!("../../../../designs/painter.plane"),
    include_str!("../../../../designs/tiller.plane"),
];

/// Small drawings that explain a number, by the page's names of the numbers.
fn explanations() -> BTreeMap<&'static str, String> {
    const DRAWN: [(&str, Term); 7] = [
        ("cg", Term::BalancePoint),
        ("area_ahead", Term::AreaAhead),
        ("mac", Term::MeanChord),
        ("neutral", Term::NeutralPoint),
        ("margin", Term::StaticMargin),
        ("phugoid", Term::Phugoid),
        ("glide", Term::GlideRatio),
    ];
    let draw = |(key, term)| (key, explain::explain(&Look::page(&format!("term-{key}")), term));
    DRAWN.into_iter().map(draw).collect()
}

#[derive(Serialize)]
struct Listing {
    folder: String,
    first: Option<String>,
    files: Vec<Listed>,
    shipped: Vec<Shipped>,
}

/// Files of a folder that are folded to be shown; the rest are offered by name.
const THUMBNAILS_MAX: usize = 60;

#[derive(Serialize)]
struct Listed {
    name: String,
    plane: Option<String>,
    thumb: Option<String>,
}

#[derive(Serialize)]
struct Shipped {
    text: &'static str,
    #[serde(flatten)]
    shown: Shown,
}

#[derive(Serialize)]
struct Shown {
    name: String,
    about: String,
    thumb: Option<String>,
}

impl Shown {
    fn new(n: usize, text: &str) -> Self {
        let reading = pipeline::read(text, &Settings::default());
        let about = reading.design.about.iter().map(|a| a.node.as_str()).collect::<Vec<_>>();
        let folded = pipeline::fold(text, &Settings::default()).ok();
        Self {
            name: plumbfold::plane::assembly::name(&reading.design),
            about: about.join(" "),
            // Numbers of steps end far below a hundred; these thumbnails need ids of their own.
            thumb: folded.map(|f| analyse::thumbnail(1000 + n, &f.run.folded)),
        }
    }
}

#[derive(Serialize)]
struct Version {
    version: Option<String>,
}

#[derive(Deserialize)]
struct Save {
    name: String,
    text: String,
    /// The version the page last saw; none for a new file.
    version: Option<String>,
}

fn print(question: &press::Question) -> Answer {
    match press(question) {
        Ok((mime, bytes)) => respond(200, mime, bytes),
        Err(why) => message(422, &why),
    }
}

/// `?name=…`, with the escapes of an address undone.
fn name_in(request: &Request<Bytes>) -> String {
    let query = request.uri().query().unwrap_or_default();
    let value = query.split('&').find_map(|pair| pair.strip_prefix("name=")).unwrap_or_default();
    percent_decode_str(value).decode_utf8_lossy().into_owned()
}

fn with<Q: DeserializeOwned>(request: &Request<Bytes>, answer: impl FnOnce(Q) -> Answer) -> Answer {
    match serde_json::from_slice(request.body()) {
        Ok(question) => answer(question),
        Err(e) => message(400, &format!("this question cannot be read: {e}")),
    }
}

fn told<A: Serialize, E: AsRef<str>>(answer: Result<A, E>) -> Answer {
    match answer {
        Ok(answer) => json(200, &answer),
        Err(why) => message(422, why.as_ref()),
    }
}

fn kept(result: Result<Kept, FolderError>) -> Answer {
    match result {
        Ok(kept) => json(200, &kept),
        Err(e) => refused(e),
    }
}

fn refused(e: FolderError) -> Answer {
    match e {
        FolderError::Name(why) => message(400, why),
        FolderError::Missing => message(404, "there is no such file"),
        FolderError::Changed(now) => json(409, &Conflict { message: "the file has changed", now }),
        FolderError::Failed(e) => message(500, &e.message),
    }
}

#[derive(Serialize)]
struct Conflict {
    message: &'static str,
    now: Option<Kept>,
}

#[derive(Serialize)]
struct Message<'a> {
    message: &'a str,
}

fn message(status: u16, message: &str) -> Answer {
    json(status, &Message { message })
}

fn json(status: u16, value: &impl Serialize) -> Answer {
    match serde_json::to_vec(value) {
        Ok(body) => respond(status, "application/json", body),
        Err(e) => plain(500, &format!("cannot write the answer: {e}")),
    }
}

/// A plain sentence.
pub fn plain(status: u16, text: &str) -> Answer {
    respond(status, "text/plain; charset=utf-8", text.as_bytes().to_vec())
}

/// A file of the page.
fn file(request: &Request<Bytes>) -> Answer {
    let path = match request.uri().path() {
        "/" => "/index.html",
        "/favicon.ico" => "/mark.svg",
        path => path,
    };
    if path == "/palette.css" {
        return respond(200, "text/css", style::page_css().into_bytes());
    }
    let Some(asset) = assets::find(path) else { return plain(404, "there is nothing here") };
    let bytes = asset.read();
    let tag = assets::etag(&bytes);
    let same = request.headers().get(IF_NONE_MATCH).is_some_and(|t| t.as_bytes() == tag.as_bytes());
    let (status, body) = if same { (304, Vec::new()) } else { (200, bytes) };
    let mut response = respond(status, asset.mime, body);
    if let Ok(tag) = HeaderValue::from_str(&tag) {
        response.headers_mut().insert(ETAG, tag);
    }
    response
}

fn respond(status: u16, mime: &'static str, body: Vec<u8>) -> Answer {
    let mut response = Response::new(body);
    *response.status_mut() =
        StatusCode::from_u16(status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(mime));
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bench() -> Bench {
        let designs = concat!(env!("CARGO_MANIFEST_DIR"), "/../../designs");
        Bench::new(DesignFolder::open(std::path::Path::new(designs)).unwrap())
    }
    fn ask(request: &Request<Bytes>) -> Answer {
        let (_asking, wanted) = Wanted::new();
        bench().answer(request, &wanted)
    }
    fn get(path: &str) -> Answer {
        ask(&Request::builder().uri(path).body(Bytes::new()).unwrap())
    }
    fn post(path: &str, body: &str) -> Answer {
        let body = Bytes::from(body.to_owned());
        ask(&Request::builder().method("POST").uri(path).body(body).unwrap())
    }

    #[test]
    fn the_page_and_its_parts_are_there_and_may_load_nothing_else() {
        let page = get("/");
        assert_eq!(page.status(), 200);
        let policy = page.headers()[CONTENT_SECURITY_POLICY].to_str().unwrap();
        assert!(policy.starts_with("default-src 'self'") && !policy.contains("unsafe"));
        let html = String::from_utf8(page.into_body()).unwrap();
        assert!(
            !html.contains("style=\"") && !html.contains("http://") && !html.contains("https://")
        );
        for asset in assets::ASSETS {
            assert_eq!(get(asset.path).status(), 200, "{}", asset.path);
        }
        assert_eq!(get("/palette.css").status(), 200);
        assert_eq!(get("/favicon.ico").status(), 200);
    }

    #[test]
    fn every_module_the_page_imports_is_embedded() {
        for asset in assets::ASSETS.iter().filter(|a| a.path.ends_with(".js")) {
            let text = std::str::from_utf8(asset.bytes).unwrap();
            let imports = text.split("from './").skip(1).filter_map(|s| s.split('\'').next());
            for module in imports {
                assert!(
                    assets::find(&format!("/{module}")).is_some(),
                    "{} wants {module}",
                    asset.path
                );
            }
        }
    }

    #[test]
    fn every_word_the_page_asks_for_is_in_the_one_file_of_words() {
        let strings = std::str::from_utf8(assets::find("/strings.js").unwrap().bytes).unwrap();
        for asset in assets::ASSETS.iter().filter(|a| a.path.ends_with(".js")) {
            let text = std::str::from_utf8(asset.bytes).unwrap();
            for key in text.split(" t('").skip(1).filter_map(|s| s.split('\'').next()) {
                assert!(strings.contains(&format!("'{key}':")), "{}: {key}", asset.path);
            }
        }
        let html = std::str::from_utf8(assets::find("/index.html").unwrap().bytes).unwrap();
        for attribute in ["data-t=\"", "data-label=\""] {
            for key in html.split(attribute).skip(1).filter_map(|s| s.split('"').next()) {
                assert!(strings.contains(&format!("'{key}':")), "index.html: {key}");
            }
        }
    }

    #[test]
    fn the_page_is_light_enough() {
        let bytes: usize = assets::ASSETS.iter().map(|a| a.bytes.len()).sum();
        assert!(bytes < 500_000, "{bytes} bytes");
    }

    #[test]
    fn an_unchanged_part_is_not_sent_again() {
        let tag = get("/main.js").headers()[ETAG].clone();
        let again = Request::builder().uri("/main.js").header(IF_NONE_MATCH, tag);
        assert_eq!(ask(&again.body(Bytes::new()).unwrap()).status(), 304);
    }

    #[test]
    fn nonsense_is_answered_politely() {
        assert_eq!(get("/nowhere").status(), 404);
        assert_eq!(get("/../../etc/passwd").status(), 404);
        assert_eq!(get("/api/file?name=..%2FCargo.toml").status(), 400);
        assert_eq!(get("/api/file?name=missing.plane").status(), 404);
        assert_eq!(get("/api/file?name=%zz%").status(), 400);
        for path in [
            "/api/analyse",
            "/api/fold",
            "/api/series",
            "/api/plot",
            "/api/mend",
            "/api/why",
            "/api/save",
        ] {
            assert_eq!(post(path, "{").status(), 400, "{path}");
            assert_eq!(post(path, "[]").status(), 400, "{path}");
        }
        // No picture that is sent is drawn.
        assert_eq!(post("/api/png", r#"{"svg":"<b/>"}"#).status(), 404);
        let unknown = r#"{"text":"plane A","change":{"kind":"let","name":"x","value":1}}"#;
        assert_eq!(post("/api/analyse", unknown).status(), 422);
    }

    #[test]
    fn shipped_designs_fold_and_are_drawn() {
        let listing = get("/api/designs");
        let designs: serde_json::Value = serde_json::from_slice(listing.body()).unwrap();
        for design in designs["shipped"].as_array().unwrap() {
            assert!(design["thumb"].is_string(), "{}", design["name"]);
        }
    }

    #[test]
    fn the_plane_in_the_question_is_printed() {
        for (what, mime, begins) in [
            ("template", "application/pdf", &b"%PDF"[..]),
            ("steps", "application/pdf", b"%PDF"),
            ("glb", "model/gltf-binary", b"glTF"),
            ("stl", "model/stl", b"made"),
        ] {
            let question = serde_json::json!({ "text": SHIPPED[0], "what": what }).to_string();
            let answer = post("/api/print", &question);
            assert_eq!(answer.status(), 200, "{what}");
            assert_eq!(answer.headers()[CONTENT_TYPE], mime);
            assert!(answer.body().starts_with(begins), "{what}");
        }
        let wrong = post("/api/print", r#"{ "text": "plane", "what": "template" }"#);
        assert_eq!(wrong.status(), 422);
    }
}

//! What is answered to what: plain functions from a request to a response, without sockets.

use hyper::body::Bytes;
use hyper::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, ETAG, HeaderName, HeaderValue,
    IF_NONE_MATCH, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
};
use hyper::{Method, Request, Response, StatusCode};
use percent_encoding::percent_decode_str;
use plumbfold::design::parser;
use plumbfold::plane::assembly;
use plumbfold_page::answer::with;
use plumbfold_page::designs::{self, File, Shelf};
use plumbfold_page::notebook::{Question, Thrown};
use plumbfold_page::questions;
use plumbfold_page::{Answer, assets};
use serde::{Deserialize, Serialize};

use super::design_folder::{DesignFolder, FolderError, Kept};
use super::etag::etag;
use super::notebook;
use super::wanted::Wanted;
use crate::notebook_file::NotebookOption;

/// What requests are answered from.
pub struct Bench {
    /// The folder.
    designs: DesignFolder,
    /// The notebook.
    book: NotebookOption,
}

/// What phones in the hall are answered: the form, and what it asks.
pub struct Hall {
    /// The notebook.
    book: NotebookOption,
    /// Planes that are offered before one of them was thrown.
    planes: Vec<String>,
    /// When the sharing began, UTC: throws made before it are none of the hall's.
    began: String,
}

impl Hall {
    /// The form of a notebook, for these planes and those it knows, shared since a time, UTC.
    pub fn new(book: NotebookOption, planes: Vec<String>, began: String) -> Self {
        Self { book, planes, began }
    }

    /// What of a question may be asked from the hall; none where it may not.
    fn allowed(&self, question: Question) -> Option<Question> {
        match question {
            // What takes long, or is done at the bench, is none of the hall's.
            Question::Path(_) | Question::Settle { .. } | Question::Calibrate { .. } => None,
            // Nor is another text of a plane.
            Question::Throw(thrown) => {
                Some(Question::Throw(Box::new(Thrown { text: None, ..*thrown })))
            }
            Question::Undo { .. } => Some(Question::Undo { since: Some(self.began.clone()) }),
            Question::Look {} | Question::Session(_) => Some(question),
        }
    }

    /// Answers one request that has passed the guard.
    pub fn answer(&self, request: &Request<Bytes>) -> Response<Vec<u8>> {
        /// Parts of the page that the form is made of.
        const PARTS: [&str; 12] = [
            "/mark.svg",
            "/style.css",
            "/palette.css",
            "/inter-regular.ttf",
            "/inter-semibold.ttf",
            "/form.js",
            "/notebook.js",
            "/strings.js",
            "/units.js",
            "/dom.js",
            "/api.js",
            "/way.js",
        ];
        match (request.method(), request.uri().path()) {
            (&Method::GET, "/") => file(request, "/form.html"),
            (&Method::GET, "/favicon.ico") => file(request, "/mark.svg"),
            (&Method::GET, path) if PARTS.contains(&path) => file(request, path),
            (&Method::POST, "/api/notebook") => {
                respond(with(request.body(), |q| match self.allowed(q) {
                    Some(q) => notebook::answer(&self.book, &q, &self.planes),
                    None => nothing(),
                }))
            }
            _ => respond(nothing()),
        }
    }
}

/// Whether a question may take longer than a slider can wait.
pub fn takes_long(request: &Request<Bytes>) -> bool {
    questions::takes_long(request.uri().path(), request.uri().query())
}

/// Headers of every answer: nothing may load from elsewhere, frame this page, or guess types.
const HEADERS: [(HeaderName, &str); 6] = [
    (
        CONTENT_SECURITY_POLICY,
        "default-src 'self'; img-src 'self' blob:; media-src blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; object-src 'none'",
    ),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (REFERRER_POLICY, "no-referrer"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (CACHE_CONTROL, "no-cache"),
];

impl Bench {
    /// A bench on a folder.
    pub fn new(designs: DesignFolder, book: NotebookOption) -> Self {
        Self { designs, book }
    }

    /// The port it is usually found at.
    pub fn usual_port(&self) -> u16 {
        self.designs.usual_port()
    }

    /// Answers one request that has passed the guard, as long as the answer is wanted.
    pub fn answer(&self, request: &Request<Bytes>, wanted: &Wanted) -> Response<Vec<u8>> {
        let path = request.uri().path();
        let answer = match (request.method(), path) {
            (&Method::GET, "/api/designs") => Answer::json(200, &designs::listing(self.shelf())),
            (&Method::GET, "/api/file") => kept(self.designs.read(&name_in(request))),
            (&Method::GET, "/api/version") => self.version(&name_in(request)),
            (&Method::POST, "/api/save") => with(request.body(), |q| self.save(&q)),
            (&Method::POST, "/api/notebook") => {
                with(request.body(), |q| notebook::answer(&self.book, &q, &[]))
            }
            (&Method::GET, "/api/explain") | (&Method::POST, _) => {
                questions::answer(path, request.body(), &|| wanted.still()).unwrap_or_else(nothing)
            }
            (&Method::GET, "/") => return file(request, "/index.html"),
            (&Method::GET, "/favicon.ico") => return file(request, "/mark.svg"),
            (&Method::GET, path) => return file(request, path),
            _ => nothing(),
        };
        respond(answer)
    }

    /// Names of the planes in the folder, the one to open first before the others.
    pub fn planes(&self) -> Vec<String> {
        let mut files = self.designs.list();
        files.truncate(designs::THUMBNAILS_MAX);
        files.sort_by_key(|f| Some(f) != self.designs.first.as_ref());
        let name = |file: String| {
            let (design, _) = parser::parse(&self.designs.read(&file).ok()?.text);
            design.name.is_some().then(|| assembly::name(&design))
        };
        files.into_iter().filter_map(name).collect()
    }

    /// What is in the folder; of a long list only those that will be shown are read.
    fn shelf(&self) -> Shelf {
        let text = |n: usize, name: &str| {
            let read = (n < designs::THUMBNAILS_MAX).then(|| self.designs.read(name).ok());
            read.flatten().map(|kept| kept.text)
        };
        let names = self.designs.list().into_iter().enumerate();
        Shelf {
            folder: self.designs.folder_name(),
            first: self.designs.first.clone(),
            files: names.map(|(n, name)| File { text: text(n, &name), name }).collect(),
        }
    }

    fn version(&self, name: &str) -> Answer {
        match self.designs.read(name) {
            Ok(kept) => Answer::json(200, &Version { version: Some(kept.version) }),
            Err(FolderError::Missing) => Answer::json(200, &Version { version: None }),
            Err(e) => refused(e),
        }
    }

    fn save(&self, save: &Save) -> Answer {
        kept(self.designs.save(&save.name, &save.text, save.version.as_deref()))
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

/// `?name=…`, with the escapes of an address undone.
fn name_in(request: &Request<Bytes>) -> String {
    let query = request.uri().query().unwrap_or_default();
    let value = query.split('&').find_map(|pair| pair.strip_prefix("name=")).unwrap_or_default();
    percent_decode_str(value).decode_utf8_lossy().into_owned()
}

fn kept(result: Result<Kept, FolderError>) -> Answer {
    match result {
        Ok(kept) => Answer::json(200, &kept),
        Err(e) => refused(e),
    }
}

fn refused(e: FolderError) -> Answer {
    match e {
        FolderError::Name(why) => Answer::message(400, why),
        FolderError::Missing => Answer::message(404, "there is no such file"),
        FolderError::Changed(now) => {
            Answer::json(409, &Conflict { message: "the file has changed", now })
        }
        FolderError::Failed(e) => Answer::message(500, &e.message),
    }
}

#[derive(Serialize)]
struct Conflict {
    message: &'static str,
    now: Option<Kept>,
}

fn nothing() -> Answer {
    Answer::plain(404, "there is nothing here")
}

/// A plain sentence.
pub fn plain(status: u16, text: &str) -> Response<Vec<u8>> {
    respond(Answer::plain(status, text))
}

/// A file of the page, or what the drawing crate gives for it.
fn file(request: &Request<Bytes>, path: &str) -> Response<Vec<u8>> {
    let asset = |a: &assets::Asset| Answer { status: 200, mime: a.mime, body: read(a) };
    let found = assets::find(path).map(asset);
    let drawn = || questions::answer(path, b"", &|| true).filter(|_| !path.starts_with("/api/"));
    let Some(mut answer) = found.or_else(drawn) else { return respond(nothing()) };
    let tag = etag(&answer.body);
    if request.headers().get(IF_NONE_MATCH).is_some_and(|t| t.as_bytes() == tag.as_bytes()) {
        answer = Answer { status: 304, body: Vec::new(), ..answer };
    }
    let mut response = respond(answer);
    if let Ok(tag) = HeaderValue::from_str(&tag) {
        response.headers_mut().insert(ETAG, tag);
    }
    response
}

/// In debug builds the bytes of the source tree, so that the page can be worked on without building
/// the program.
fn read(asset: &assets::Asset) -> Vec<u8> {
    #[cfg(debug_assertions)]
    if let Ok(bytes) = std::fs::read(format!("{PAGE}{}", asset.path)) {
        return bytes;
    }
    asset.bytes.to_vec()
}

#[cfg(debug_assertions)]
const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../plumbfold-page/web");

fn respond(answer: Answer) -> Response<Vec<u8>> {
    let mut response = Response::new(answer.body);
    *response.status_mut() =
        StatusCode::from_u16(answer.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let headers = response.headers_mut();
    headers.insert(CONTENT_TYPE, HeaderValue::from_static(answer.mime));
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
        let designs = DesignFolder::open(std::path::Path::new(designs)).unwrap();
        Bench::new(designs, NotebookOption::at("never made.sqlite"))
    }
    fn ask(request: &Request<Bytes>) -> Response<Vec<u8>> {
        let (_asking, wanted) = Wanted::new();
        bench().answer(request, &wanted)
    }
    fn get(path: &str) -> Response<Vec<u8>> {
        ask(&Request::builder().uri(path).body(Bytes::new()).unwrap())
    }
    fn post(path: &str, body: &str) -> Response<Vec<u8>> {
        let body = Bytes::from(body.to_owned());
        ask(&Request::builder().method("POST").uri(path).body(body).unwrap())
    }

    #[test]
    fn the_page_and_its_parts_are_there_and_may_load_nothing_else() {
        let page = get("/");
        assert_eq!(page.status(), 200);
        let policy = page.headers()[CONTENT_SECURITY_POLICY].to_str().unwrap();
        assert!(policy.starts_with("default-src 'self'") && !policy.contains("unsafe"));
        for asset in assets::ASSETS {
            assert_eq!(get(asset.path).status(), 200, "{}", asset.path);
        }
        for drawn in ["/palette.css", "/inter-regular.ttf", "/inter-semibold.ttf"] {
            assert!(get(drawn).headers().contains_key(ETAG), "{drawn}");
        }
        assert_eq!(get("/favicon.ico").status(), 200);
    }

    #[test]
    fn the_hall_has_the_form_and_nothing_else() {
        let hall = Hall::new(
            NotebookOption::at("never made.sqlite"),
            bench().planes(),
            "2026-11-30".into(),
        );
        let ask = |method: &str, path: &str, body: &str| {
            let body = Bytes::from(body.to_owned());
            let request = Request::builder().method(method).uri(path).body(body).unwrap();
            hall.answer(&request)
        };
        // All that the form loads is there.
        let form = String::from_utf8(ask("GET", "/", "").into_body()).unwrap();
        let mut parts: Vec<String> = form
            .split("\"/")
            .skip(1)
            .map(|s| format!("/{}", s.split('"').next().unwrap()))
            .collect();
        assert!(parts.len() > 4, "{parts:?}");
        while let Some(part) = parts.pop() {
            let answer = ask("GET", &part, "");
            assert_eq!(answer.status(), 200, "{part}");
            let text = String::from_utf8_lossy(answer.body()).into_owned();
            let named = text
                .split("from './")
                .skip(1)
                .map(|s| format!("/{}", s.split('\'').next().unwrap()));
            parts.extend(named);
        }
        let looked = ask("POST", "/api/notebook", r#"{"look":{}}"#);
        assert_eq!(looked.status(), 200);
        // The planes of the folder can be thrown before anything is logged.
        let offered = String::from_utf8_lossy(looked.body()).into_owned();
        assert!(offered.contains("\"Halyard\"") && offered.contains("\"Scow\""), "{offered}");
        // It takes back its own throws, and brings no text of a plane.
        let of = |q: &str| hall.allowed(serde_json::from_str(q).unwrap());
        let undo = of(r#"{"undo":{}}"#);
        assert!(matches!(&undo, Some(Question::Undo { since: Some(_) })), "{undo:?}");
        let thrown = of(r#"{"throw":{"plane":"Scow","distance_m":4,"text":"plane Scow"}}"#);
        assert!(matches!(&thrown, Some(Question::Throw(t)) if t.text.is_none()), "{thrown:?}");
        let film = r#"{"path":{"plane":"Scow","text":null,"points":"","note":null}}"#;
        assert_eq!(ask("POST", "/api/notebook", film).status(), 404);
        for (method, path) in [
            ("GET", "/index.html"),
            ("GET", "/main.js"),
            ("GET", "/api/designs"),
            ("GET", "/api/file?name=scow.plane"),
            ("GET", "/api/notebook"),
            ("POST", "/api/save"),
            ("POST", "/api/analyse"),
            ("POST", "/api/trace"),
            ("POST", "/api/film"),
            ("POST", "/"),
        ] {
            assert_eq!(ask(method, path, "{}").status(), 404, "{method} {path}");
        }
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
        for path in ["/api/analyse", "/api/save"] {
            assert_eq!(post(path, "{").status(), 400, "{path}");
        }
        assert_eq!(post("/api/nowhere", "{}").status(), 404);
        assert_eq!(get("/api/mend").status(), 404);
    }
}

//! Who may ask. The server listens on loopback only, but every page of every site that is open
//! in the same browser can send requests there: by name tricks (a foreign name that resolves to
//! 127.0.0.1), by forms, by scripts. So a request must be addressed to us by a loopback name and
//! must not come from another site's page.

use axum::body::Bytes;
use axum::http::header::{CONTENT_TYPE, HOST, ORIGIN};
use axum::http::{Method, Request, StatusCode};

/// Largest request taken. A design text of 1 MB is the limit elsewhere; JSON may double it.
pub const REQUEST_BYTES_MAX: usize = 2_500_000;

/// Why a request is refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// Neither GET nor POST.
    Method,
    /// Addressed to another name than loopback, or another port.
    Host,
    /// Sent by a page of another site, or by something that does not say.
    Origin,
    /// Not JSON, so a form of another page could have sent it.
    ContentType,
}

impl Refusal {
    /// Status and a sentence for whoever reads it.
    pub fn say(self) -> (StatusCode, &'static str) {
        match self {
            Self::Method => (StatusCode::METHOD_NOT_ALLOWED, "only GET and POST are answered"),
            Self::Host => (
                StatusCode::MISDIRECTED_REQUEST,
                "this server answers to its loopback address only",
            ),
            Self::Origin => (StatusCode::FORBIDDEN, "only the page served here may ask"),
            Self::ContentType => (StatusCode::UNSUPPORTED_MEDIA_TYPE, "questions are JSON"),
        }
    }
}

/// Checks one request against the port the server listens on.
pub fn check(request: &Request<Bytes>, port: u16) -> Result<(), Refusal> {
    let header = |name| request.headers().get(name).and_then(|v| v.to_str().ok());
    let ours = |address: &str| {
        ["127.0.0.1", "localhost", "[::1]"].iter().any(|name| address == format!("{name}:{port}"))
    };
    if !matches!(*request.method(), Method::GET | Method::POST) {
        return Err(Refusal::Method);
    }
    if !header(HOST.as_str()).is_some_and(ours) {
        return Err(Refusal::Host);
    }
    let origin = header(ORIGIN.as_str());
    if origin.is_some_and(|o| !o.strip_prefix("http://").is_some_and(ours)) {
        return Err(Refusal::Origin);
    }
    // Browsers mark what another site's page sets off; following a link to the page is fine.
    let site = header("sec-fetch-site").unwrap_or("none");
    let api = request.uri().path().starts_with("/api/");
    if api && !matches!(site, "same-origin" | "none") {
        return Err(Refusal::Origin);
    }
    if *request.method() == Method::POST {
        // Browsers send the origin with every POST; without it we cannot tell who asks.
        if origin.is_none() {
            return Err(Refusal::Origin);
        }
        if !header(CONTENT_TYPE.as_str()).is_some_and(|t| t.starts_with("application/json")) {
            return Err(Refusal::ContentType);
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const PORT: u16 = 4321;

    fn request(method: &str, path: &str, headers: &[(&str, &str)]) -> Request<Bytes> {
        let mut r = Request::builder().method(method).uri(path);
        for (name, value) in headers {
            r = r.header(*name, *value);
        }
        r.body(Bytes::new()).unwrap()
    }

    #[test]
    fn the_page_itself_may_ask() {
        for host in ["127.0.0.1:4321", "localhost:4321", "[::1]:4321"] {
            assert_eq!(check(&request("GET", "/", &[("host", host)]), PORT), Ok(()));
            let origin = format!("http://{host}");
            let headers = [
                ("host", host),
                ("origin", origin.as_str()),
                ("content-type", "application/json"),
                ("sec-fetch-site", "same-origin"),
            ];
            assert_eq!(check(&request("POST", "/api/analyse", &headers), PORT), Ok(()));
        }
    }

    #[test]
    fn foreign_names_and_ports_are_refused() {
        for host in
            ["evil.example:4321", "127.0.0.1:80", "127.0.0.1", "127.0.0.1.evil.example:4321"]
        {
            let r = request("GET", "/", &[("host", host)]);
            assert_eq!(check(&r, PORT), Err(Refusal::Host), "{host}");
        }
        assert_eq!(check(&request("GET", "/", &[]), PORT), Err(Refusal::Host));
    }

    #[test]
    fn foreign_pages_are_refused() {
        let json = ("content-type", "application/json");
        let host = ("host", "127.0.0.1:4321");
        for origin in
            ["http://evil.example", "null", "https://127.0.0.1:4321", "http://127.0.0.1:80"]
        {
            let r = request("POST", "/api/save", &[host, json, ("origin", origin)]);
            assert_eq!(check(&r, PORT), Err(Refusal::Origin), "{origin}");
        }
        let silent = request("POST", "/api/save", &[host, json]);
        assert_eq!(check(&silent, PORT), Err(Refusal::Origin));
        let read = request("GET", "/api/file", &[host, ("sec-fetch-site", "cross-site")]);
        assert_eq!(check(&read, PORT), Err(Refusal::Origin));
    }

    #[test]
    fn forms_and_odd_methods_are_refused() {
        let origin = ("origin", "http://127.0.0.1:4321");
        let host = ("host", "127.0.0.1:4321");
        let form = request("POST", "/api/save", &[host, origin, ("content-type", "text/plain")]);
        assert_eq!(check(&form, PORT), Err(Refusal::ContentType));
        let delete = request("DELETE", "/api/file", &[host, origin]);
        assert_eq!(check(&delete, PORT), Err(Refusal::Method));
    }
}

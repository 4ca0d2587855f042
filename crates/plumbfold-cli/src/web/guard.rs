//! Who may ask. The server listens on loopback only, but every page of every site that is open
//! in the same browser can send requests there: by name tricks (a foreign name that resolves to
//! 127.0.0.1), by forms, by scripts. So a request must be addressed to us by a loopback name and
//! must not come from another site's page. Other people on the same machine reach loopback too, so
//! a request must also know a secret: it stands in the address that is opened, and is exchanged
//! there for a cookie no script can read and no other site's page can make the browser send.

use std::net::{IpAddr, SocketAddr};

use hyper::Method;
use hyper::StatusCode;
use hyper::header::{CONTENT_TYPE, COOKIE, HOST, ORIGIN};
use hyper::http::request::Parts;

/// Largest question taken. A design text of 256 KiB is the limit elsewhere; JSON may double it.
const QUESTION_BYTES_MAX: usize = 2_500_000;
/// Largest photo or film taken; photos of 12 million dots have 3 to 8 MB, uncompressed ones of them 36.
const PHOTO_BYTES_MAX: usize = 40_000_000;

/// Photos and films are asked about here, as bytes and not as JSON.
fn holds_pictures(request: &Parts) -> bool {
    ["/api/trace", "/api/film"].contains(&request.uri.path())
}

/// Most bytes of the body of a request.
pub fn bytes_max(request: &Parts) -> usize {
    if holds_pictures(request) { PHOTO_BYTES_MAX } else { QUESTION_BYTES_MAX }
}

/// The port that addresses leave out.
const USUAL_PORT: u16 = 80;

/// What a request must fit.
#[derive(Clone, Debug)]
pub struct Door {
    /// Names by which it is asked, as browsers send them.
    hosts: Vec<String>,
    cookie_name: String,
    token: String,
}

/// How someone came in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Entry {
    /// By the address with the secret in it: the cookie is to be set.
    Address,
    /// With the cookie.
    Cookie,
}

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
    /// Without the secret.
    Stranger,
}

impl Refusal {
    /// Status and a sentence for whoever reads it.
    pub fn say(self) -> (StatusCode, &'static str) {
        match self {
            Self::Method => (StatusCode::METHOD_NOT_ALLOWED, "only GET and POST are answered"),
            Self::Host => (
                StatusCode::MISDIRECTED_REQUEST,
                "this server answers to the address that it showed only",
            ),
            Self::Origin => (StatusCode::FORBIDDEN, "only the page served here may ask"),
            Self::ContentType => (StatusCode::UNSUPPORTED_MEDIA_TYPE, "questions are JSON"),
            Self::Stranger => (
                StatusCode::FORBIDDEN,
                "open the whole address that plumbfold shows in its terminal",
            ),
        }
    }
}

impl Door {
    /// A door on loopback.
    ///
    /// # Errors
    /// The system has no randomness to give.
    pub fn new(port: u16) -> std::io::Result<Self> {
        Self::of(&["127.0.0.1", "localhost", "[::1]"], port)
    }

    /// A door to other machines, which come to this address and no other.
    ///
    /// # Errors
    /// The system has no randomness to give.
    pub fn shared(address: SocketAddr) -> std::io::Result<Self> {
        let name = match address.ip() {
            IpAddr::V4(ip) => ip.to_string(),
            IpAddr::V6(ip) => format!("[{ip}]"),
        };
        Self::of(&[&name], address.port())
    }

    /// With a new secret of 128 bits.
    fn of(names: &[&str], port: u16) -> std::io::Result<Self> {
        let mut secret = [0; 16];
        getrandom::fill(&mut secret).map_err(std::io::Error::other)?;
        let token = secret.iter().map(|b| format!("{b:02x}")).collect();
        let mut hosts: Vec<String> = names.iter().map(|n| format!("{n}:{port}")).collect();
        if port == USUAL_PORT {
            hosts.extend(names.iter().map(|n| (*n).to_owned()));
        }
        Ok(Self { hosts, cookie_name: format!("plumbfold-{port}"), token })
    }

    /// What follows the address of the page.
    pub fn query(&self) -> String {
        format!("{KEY}={}", self.token)
    }

    /// The cookie that stands for the secret from then on, until the browser ends. It is named
    /// after the port: cookies are shared by all ports of a machine.
    pub fn cookie(&self) -> String {
        format!("{}={}; Path=/; HttpOnly; SameSite=Strict", self.cookie_name, self.token)
    }

    /// Checks one request by its head; its body has not been read.
    pub fn check(&self, request: &Parts) -> Result<Entry, Refusal> {
        let header = |name| request.headers.get(name).and_then(|v| v.to_str().ok());
        if !matches!(request.method, Method::GET | Method::POST) {
            return Err(Refusal::Method);
        }
        if !header(HOST.as_str()).is_some_and(|h| self.is_ours(h)) {
            return Err(Refusal::Host);
        }
        let origin = header(ORIGIN.as_str());
        if origin.is_some_and(|o| !o.strip_prefix("http://").is_some_and(|o| self.is_ours(o))) {
            return Err(Refusal::Origin);
        }
        // Browsers mark what another site's page sets off; following a link to the page is fine.
        let site = header("sec-fetch-site").unwrap_or("none");
        let api = request.uri.path().starts_with("/api/");
        if api && !matches!(site, "same-origin" | "none") {
            return Err(Refusal::Origin);
        }
        if request.method == Method::POST {
            // Browsers send the origin with every POST; without it we cannot tell who asks.
            if origin.is_none() {
                return Err(Refusal::Origin);
            }
            // Of neither kind can a form be.
            let kind = if holds_pictures(request) {
                "application/octet-stream"
            } else {
                "application/json"
            };
            if !header(CONTENT_TYPE.as_str()).is_some_and(|t| t.starts_with(kind)) {
                return Err(Refusal::ContentType);
            }
        }
        let pairs = |text: &str, name: &str| {
            let named =
                |pair: &str| Some(pair.trim().strip_prefix(name)?.strip_prefix('=')?.to_owned());
            text.split(['&', ';']).find_map(named).is_some_and(|told| same(&told, &self.token))
        };
        if header(COOKIE.as_str()).is_some_and(|c| pairs(c, &self.cookie_name)) {
            return Ok(Entry::Cookie);
        }
        let asked = request.uri.query().unwrap_or_default();
        let opened = request.method == Method::GET && request.uri.path() == "/";
        if opened && pairs(asked, KEY) { Ok(Entry::Address) } else { Err(Refusal::Stranger) }
    }

    fn is_ours(&self, address: &str) -> bool {
        self.hosts.iter().any(|host| host == address)
    }
}

/// Name of the secret in the address.
const KEY: &str = "token";

/// Compares without telling by the time it takes how much of it was right.
fn same(told: &str, token: &str) -> bool {
    let differs = told.bytes().zip(token.bytes()).fold(0, |d, (a, b)| d | (a ^ b));
    told.len() == token.len() && differs == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    const PORT: u16 = 4321;

    fn door() -> Door {
        Door { token: "5ec4e7".to_owned(), ..Door::new(PORT).unwrap() }
    }
    fn bare(method: &str, path: &str, headers: &[(&str, &str)]) -> Parts {
        let mut r = hyper::Request::builder().method(method).uri(path);
        for (name, value) in headers {
            r = r.header(*name, *value);
        }
        r.body(()).unwrap().into_parts().0
    }
    /// With the cookie.
    fn request(method: &str, path: &str, headers: &[(&str, &str)]) -> Parts {
        let cookie = ("cookie", "theirs=1; plumbfold-4321=5ec4e7");
        bare(method, path, &[headers, &[cookie]].concat())
    }
    fn check(request: &Parts) -> Result<Entry, Refusal> {
        door().check(request)
    }

    #[test]
    fn nobody_comes_in_without_the_secret() {
        let host = ("host", "127.0.0.1:4321");
        let json = ("content-type", "application/json");
        let ours = ("origin", "http://127.0.0.1:4321");
        let get = |path: &str, cookie: &str| check(&bare("GET", path, &[host, ("cookie", cookie)]));
        assert_eq!(get("/?token=5ec4e7", ""), Ok(Entry::Address));
        assert_eq!(get("/", "plumbfold-4321=5ec4e7"), Ok(Entry::Cookie));
        for (path, cookie) in [
            ("/", ""),
            ("/?token=", ""),
            ("/?token=5ec4e8", ""),
            ("/?token=5ec4e", ""),
            ("/?token=5ec4e77", ""),
            ("/main.js", ""),
            ("/api/file?name=a.plane&token=5ec4e7", ""),
            ("/", "plumbfold-4321="),
            ("/", "plumbfold-80=5ec4e7"),
            ("/", "token=5ec4e7"),
        ] {
            assert_eq!(get(path, cookie), Err(Refusal::Stranger), "{path} {cookie}");
        }
        let save = bare("POST", "/api/save?token=5ec4e7", &[host, json, ours]);
        assert_eq!(check(&save), Err(Refusal::Stranger));
        let [one, two] = [(), ()].map(|()| Door::new(PORT).unwrap().token);
        assert!(one.len() == 32 && one != two);
        let cookie = door().cookie();
        assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    }

    #[test]
    fn the_usual_port_is_left_out_of_addresses() {
        let door = Door { token: "5ec4e7".to_owned(), ..Door::new(80).unwrap() };
        let headers = [("host", "localhost"), ("cookie", "plumbfold-80=5ec4e7")];
        assert_eq!(door.check(&bare("GET", "/", &headers)), Ok(Entry::Cookie));
        assert_eq!(check(&request("GET", "/", &[("host", "localhost")])), Err(Refusal::Host));
    }

    #[test]
    fn the_page_itself_may_ask() {
        for host in ["127.0.0.1:4321", "localhost:4321", "[::1]:4321"] {
            assert_eq!(check(&request("GET", "/", &[("host", host)])), Ok(Entry::Cookie));
            let origin = format!("http://{host}");
            let headers = [
                ("host", host),
                ("origin", origin.as_str()),
                ("content-type", "application/json"),
                ("sec-fetch-site", "same-origin"),
            ];
            assert_eq!(check(&request("POST", "/api/analyse", &headers)), Ok(Entry::Cookie));
        }
    }

    #[test]
    fn a_shared_door_has_the_name_it_was_told_and_no_other() {
        let shared = Door::shared("192.168.7.4:4321".parse().unwrap()).unwrap();
        let door = Door { token: "5ec4e7".to_owned(), ..shared };
        let get = |host: &str| door.check(&bare("GET", "/?token=5ec4e7", &[("host", host)]));
        assert_eq!(get("192.168.7.4:4321"), Ok(Entry::Address));
        for host in ["127.0.0.1:4321", "localhost:4321", "192.168.7.5:4321", "evil.example:4321"] {
            assert_eq!(get(host), Err(Refusal::Host), "{host}");
        }
    }

    #[test]
    fn foreign_names_and_ports_are_refused() {
        for host in
            ["evil.example:4321", "127.0.0.1:80", "127.0.0.1", "127.0.0.1.evil.example:4321"]
        {
            let r = request("GET", "/", &[("host", host)]);
            assert_eq!(check(&r), Err(Refusal::Host), "{host}");
        }
        assert_eq!(check(&request("GET", "/", &[])), Err(Refusal::Host));
    }

    #[test]
    fn foreign_pages_are_refused() {
        let json = ("content-type", "application/json");
        let host = ("host", "127.0.0.1:4321");
        for origin in
            ["http://evil.example", "null", "https://127.0.0.1:4321", "http://127.0.0.1:80"]
        {
            let r = request("POST", "/api/save", &[host, json, ("origin", origin)]);
            assert_eq!(check(&r), Err(Refusal::Origin), "{origin}");
        }
        let silent = request("POST", "/api/save", &[host, json]);
        assert_eq!(check(&silent), Err(Refusal::Origin));
        let read = request("GET", "/api/file", &[host, ("sec-fetch-site", "cross-site")]);
        assert_eq!(check(&read), Err(Refusal::Origin));
    }

    #[test]
    fn forms_and_odd_methods_are_refused() {
        let origin = ("origin", "http://127.0.0.1:4321");
        let host = ("host", "127.0.0.1:4321");
        let form = request("POST", "/api/save", &[host, origin, ("content-type", "text/plain")]);
        assert_eq!(check(&form), Err(Refusal::ContentType));
        let photo = [host, origin, ("content-type", "application/octet-stream")];
        assert_eq!(check(&request("POST", "/api/trace", &photo)), Ok(Entry::Cookie));
        assert_eq!(check(&request("POST", "/api/save", &photo)), Err(Refusal::ContentType));
        let delete = request("DELETE", "/api/file", &[host, origin]);
        assert_eq!(check(&delete), Err(Refusal::Method));
    }
}

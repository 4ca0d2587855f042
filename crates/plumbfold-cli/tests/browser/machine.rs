//! Chromium, chromedriver and the program, each started for the test and ended after it.

use std::fs;
use std::io::BufReader;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use fantoccini::actions::{
    ActionSequence, InputSource, KeyAction, KeyActions, MOUSE_BUTTON_LEFT, MouseActions,
    PointerAction, TouchActions,
};
use fantoccini::wd::WebDriverCompatibleCommand;
use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};

/// How long anything on the page may take before the test fails: generous, since test builds are
/// slow and the machine may be busy with other tests. Speed has its own script.
pub const PATIENCE: Duration = Duration::from_secs(60);

/// Keys as the test driver names them.
pub mod key {
    pub const TAB: &str = "\u{e004}";
    pub const ENTER: &str = "\u{e007}";
    pub const ESCAPE: &str = "\u{e00c}";
    pub const END: &str = "\u{e010}";
    pub const HOME: &str = "\u{e011}";
    pub const LEFT: &str = "\u{e012}";
    pub const UP: &str = "\u{e013}";
    pub const RIGHT: &str = "\u{e014}";
    pub const DOWN: &str = "\u{e015}";
    pub const UNDO: &str = "\u{e009}z";
    pub const REDO: &str = "\u{e009}y";
    pub const SAVE: &str = "\u{e009}s";

    pub const TAB_BACK: &str = "\u{e008}\u{e004}";

    /// Shift and Control, held until the end of what is pressed.
    pub const HELD: [char; 2] = ['\u{e008}', '\u{e009}'];
}

/// A child process that does not outlive the test.
pub struct Running(Child);
impl Drop for Running {
    fn drop(&mut self) {
        // Its children first: chromium would outlive a driver that is killed.
        let _ = Command::new("pkill").arg("-P").arg(self.0.id().to_string()).status();
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A folder removed at the end.
pub struct Folder(pub PathBuf);
impl Folder {
    pub fn new(what: &str) -> Self {
        let path = std::env::temp_dir().join(format!("plumbfold-{what}-{}", std::process::id()));
        fs::create_dir_all(&path).expect("a folder for the test");
        Self(path)
    }
}
impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The program under test, serving a path.
pub struct Served {
    pub address: String,
    /// That of the form for throws, where it is shared.
    pub form: Option<String>,
    _program: Running,
}
impl Served {
    pub fn new(path: &Path) -> Self {
        Self::with(path, &[])
    }

    /// With the form for throws, on loopback.
    pub fn shared(path: &Path) -> Self {
        Self::with(path, &["--share=5", "--share-address", "127.0.0.1"])
    }

    fn with(path: &Path, more: &[&str]) -> Self {
        let mut program = Command::new(env!("CARGO_BIN_EXE_plumbfold"))
            .args(["serve", "--no-open", "--json"])
            .arg(path)
            .args(more)
            .env("PLUMBFOLD_NOTEBOOK", path.with_extension("sqlite"))
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let out = program.stdout.take().expect("standard output is a pipe");
        let mut answers = serde_json::Deserializer::from_reader(BufReader::new(out)).into_iter();
        let said: Value =
            answers.next().and_then(Result::ok).expect("the program says its address");
        let address = said["address"].as_str().expect("an address").to_owned();
        let form = said["form"].as_str().map(str::to_owned);
        Self { address, form, _program: Running(program) }
    }

    /// The address without the secret in it.
    pub fn origin(&self) -> &str {
        self.address.split('?').next().unwrap_or_default()
    }
}

/// A browser with one page.
pub struct Browser {
    pub client: Client,
    _driver: Running,
    _profile: Folder,
}

impl Browser {
    /// Starts chromedriver on a free port, and chromium through it.
    pub async fn start() -> Self {
        let port = TcpListener::bind("127.0.0.1:0")
            .and_then(|l| l.local_addr())
            .expect("a free port")
            .port();
        let driver = Command::new("chromedriver")
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .map(Running)
            .expect(
                "chromedriver is needed: install Debian's chromium and chromium-driver, \
                 or set PLUMBFOLD_BROWSER=no to leave the browser tests out",
            );
        let profile = Folder::new("chromium");
        let arguments: Vec<String> = [
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--disable-dev-shm-usage",
            // Anything asked of another machine fails, and the console says so.
            "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
            "--window-size=1440,1039",
        ]
        .map(str::to_owned)
        .into_iter()
        .chain([format!("--user-data-dir={}", profile.0.display())])
        .collect();
        let wanted = json!({
            "goog:chromeOptions": { "args": arguments },
            "goog:loggingPrefs": { "browser": "ALL" },
        });
        let wanted = wanted.as_object().expect("an object").clone();
        let address = format!("http://127.0.0.1:{port}");
        let mut last = None;
        for _ in 0..150 {
            let connected = ClientBuilder::new(HttpConnector::new())
                .capabilities(wanted.clone())
                .connect(&address)
                .await;
            match connected {
                Ok(client) => {
                    let browser = Self { client, _driver: driver, _profile: profile };
                    // Without it a window nobody clicked in has no focus to give.
                    let focused = json!({ "enabled": true });
                    browser.devtools("Emulation.setFocusEmulationEnabled", focused).await;
                    return browser;
                }
                Err(e) => last = Some(e),
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("chromium did not start: {last:?}");
    }

    /// Runs a script in the page.
    pub async fn js(&self, script: &str) -> Value {
        match self.client.execute(script, Vec::new()).await {
            Ok(value) => value,
            Err(e) => panic!("{e}\nin the script: {script}"),
        }
    }

    /// Waits until an expression is true in the page.
    pub async fn until(&self, expression: &str) {
        self.within(PATIENCE, expression).await;
    }

    /// The same with more patience, or less.
    pub async fn within(&self, patience: Duration, expression: &str) {
        let began = std::time::Instant::now();
        while self.js(&format!("return Boolean({expression})")).await != Value::Bool(true) {
            if began.elapsed() > patience {
                let state = self
                    .js("return [document.activeElement.outerHTML.slice(0, 120), \
                         document.getElementById('notice').textContent, \
                         document.getElementById('mistakes').textContent, \
                         document.getElementById('verdict').textContent]")
                    .await;
                let said = self.console().await;
                panic!(
                    "this never came true: {expression}\nthe page says: {state}\nthe console: {said:?}"
                );
            }
            tokio::time::sleep(Duration::from_millis(40)).await;
        }
    }

    /// Opens an address and waits for the first pictures.
    pub async fn open(&self, address: &str) {
        self.client.goto(address).await.expect("the page loads");
        self.until("window.plumbfold?.store.answer?.depth === 'full'").await;
    }

    /// Middle of an element in the window, scrolled into view.
    pub async fn middle(&self, selector: &str) -> [f64; 2] {
        let place = self
            .js(&format!(
                "const e = document.querySelector({selector:?}); e.scrollIntoView({{ block: 'center' }}); \
                 const r = e.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]"
            ))
            .await;
        [0, 1].map(|i| place[i].as_f64().expect("a place in the window"))
    }

    /// Presses the mouse at one place and lets go at another.
    pub async fn drag(&self, from: [f64; 2], to: [f64; 2]) {
        let press = PointerAction::Down { button: MOUSE_BUTTON_LEFT };
        let lift = PointerAction::Up { button: MOUSE_BUTTON_LEFT };
        let [start, half, end] = moves(from, to);
        let mouse = MouseActions::new("mouse".to_owned());
        self.act(mouse.then(start).then(press).then(half).then(end).then(lift)).await;
    }

    /// The same with a finger.
    pub async fn swipe(&self, from: [f64; 2], to: [f64; 2]) {
        let press = PointerAction::Down { button: MOUSE_BUTTON_LEFT };
        let lift = PointerAction::Up { button: MOUSE_BUTTON_LEFT };
        let [start, half, end] = moves(from, to);
        let finger = TouchActions::new("finger".to_owned());
        self.act(finger.then(start).then(press).then(half).then(end).then(lift)).await;
    }

    /// Rests the mouse at a place.
    pub async fn hover(&self, at: [f64; 2]) {
        let [_, _, there] = moves(at, at);
        self.act(MouseActions::new("mouse".to_owned()).then(there)).await;
    }

    async fn act(&self, actions: impl Into<ActionSequence>) {
        self.client.perform_actions(actions).await.expect("the pointer moves");
    }

    /// Clicks an element with the mouse.
    pub async fn click(&self, selector: &str) {
        let at = self.middle(selector).await;
        self.drag(at, at).await;
    }

    /// Presses keys while an element has the focus.
    pub async fn press(&self, selector: &str, keys: &str) {
        self.js(&format!("document.querySelector({selector:?}).focus()")).await;
        self.press_here(keys).await;
    }

    /// Presses keys where the focus is.
    pub async fn press_here(&self, keys: &str) {
        let mut keyboard = KeyActions::new("keyboard".to_owned());
        for value in keys.chars() {
            keyboard = keyboard.then(KeyAction::Down { value });
            if !key::HELD.contains(&value) {
                keyboard = keyboard.then(KeyAction::Up { value });
            }
        }
        self.act(keyboard).await;
        if keys.contains(key::HELD) {
            self.client.release_actions().await.expect("the held keys are let go");
        }
    }

    /// A command of the Chrome DevTools protocol.
    pub async fn devtools(&self, command: &str, parameters: Value) -> Value {
        let body = json!({ "cmd": command, "params": parameters }).to_string();
        let path = "goog/cdp/execute";
        self.client.issue_cmd(Extra { path, body }).await.expect("the browser obeys")
    }

    /// What the console said since the last time it was asked.
    pub async fn console(&self) -> Vec<String> {
        let body = json!({ "type": "browser" }).to_string();
        let said = self.client.issue_cmd(Extra { path: "se/log", body }).await.expect("a log");
        let lines = said.as_array().expect("a list");
        lines.iter().map(|l| format!("{}: {}", l["level"], l["message"])).collect()
    }

    /// Sets the size of the page as a phone or a desk has it.
    pub async fn size(&self, width: u32, height: u32) {
        let mobile = width < 500;
        let size =
            json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": mobile });
        self.devtools("Emulation.setDeviceMetricsOverride", size).await;
    }
}

/// From here, by way of the middle, to there.
fn moves(from: [f64; 2], to: [f64; 2]) -> [PointerAction; 3] {
    let go = |p: [f64; 2], ms| PointerAction::MoveTo {
        duration: Some(Duration::from_millis(ms)),
        x: p[0],
        y: p[1],
    };
    let half = [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0];
    [go(from, 0), go(half, 40), go(to, 40)]
}

/// A command fantoccini has no method for.
#[derive(Debug)]
struct Extra {
    path: &'static str,
    body: String,
}
impl WebDriverCompatibleCommand for Extra {
    fn endpoint(
        &self,
        base: &url::Url,
        session: Option<&str>,
    ) -> Result<url::Url, url::ParseError> {
        base.join(&format!("session/{}/{}", session.unwrap_or_default(), self.path))
    }
    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(self.body.clone()))
    }
}

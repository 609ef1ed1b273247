//! The real window as a person has it: pressed by its keys, read from its screen, killed, started again.

use fantoccini::actions::{InputSource, KeyAction, KeyActions};
use fantoccini::elements::Element;
use fantoccini::wd::Capabilities;
use fantoccini::{Client, ClientBuilder, Locator};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Value, json};
use std::fs::{self, File};
use std::io;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use crate::{display, place};

/// Longest wait for anything on the screen.
const PATIENCE: Duration = Duration::from_secs(20);

/// Keys with names, as WebDriver writes them.
pub mod key {
    /// Ends a line.
    pub const ENTER: char = '\u{E007}';
    /// STOP.
    pub const ESC: char = '\u{E00C}';
    /// To the next field.
    pub const TAB: char = '\u{E004}';
    /// Back over a letter; on an empty free line: correct the last entry.
    pub const BACKSPACE: char = '\u{E003}';
    /// Held for the screens' keys.
    pub const CONTROL: char = '\u{E009}';
    /// To the next row or candidate.
    pub const DOWN: char = '\u{E015}';
    /// To the row before.
    pub const UP: char = '\u{E013}';

    /// A function key, 1 to 12.
    pub fn function(number: u32) -> char {
        char::from_u32(0xE030 + number).unwrap_or(' ')
    }
}

/// The window, with the driver that holds it and the home folder it was given.
pub struct Window {
    client: Client,
    driver: Driver,
    shots: PathBuf,
}

impl Window {
    /// Opens the program's window with `home` as home folder, on `file` if one is named.
    ///
    /// # Panics
    /// When no window comes.
    pub async fn open(home: &Path, file: Option<&Path>) -> Self {
        let driver = Driver::start(home);
        let mut options = json!({ "application": place::program() });
        if let Some(file) = file {
            options["args"] = json!([file]);
        }
        let mut wanted = Capabilities::new();
        wanted.insert("browserName".into(), json!("wry"));
        wanted.insert("tauri:options".into(), options);
        let until = Instant::now() + Duration::from_secs(60);
        let client = loop {
            let mut builder = ClientBuilder::new(HttpConnector::new());
            match builder.capabilities(wanted.clone()).connect(&driver.address()).await {
                Ok(client) => break client,
                Err(error) if Instant::now() > until => panic!("no window: {error}; {}", driver.said()),
                Err(_) => tokio::time::sleep(Duration::from_millis(200)).await,
            }
        };
        let shots = std::env::var_os("LEDGEBOOK_SHOTS").map_or_else(|| home.join("shots"), PathBuf::from);
        Self { client, driver, shots }
    }

    /// The element named `id` (its `data-testid`), once it is there.
    ///
    /// # Panics
    /// When it does not come.
    #[track_caller]
    pub fn get(&self, id: &str) -> impl Future<Output = Element> {
        self.find(format!("[data-testid='{id}']"))
    }

    /// The first element of a CSS selector, once it is there.
    ///
    /// # Panics
    /// When it does not come.
    #[track_caller]
    pub fn find(&self, css: String) -> impl Future<Output = Element> {
        let caller = std::panic::Location::caller();
        async move {
            match self.client.wait().at_most(PATIENCE).for_element(Locator::Css(&css)).await {
                Ok(element) => element,
                Err(error) => self.give_up(&format!("{caller}: {css} did not come: {error}")).await,
            }
        }
    }

    /// Waits until a script answers true ("return …").
    ///
    /// # Panics
    /// When it does not.
    #[track_caller]
    pub fn until(&self, script: String) -> impl Future<Output = ()> {
        let caller = std::panic::Location::caller();
        async move {
            let end = Instant::now() + PATIENCE;
            while self.run(&script).await != Value::Bool(true) {
                if Instant::now() > end {
                    self.give_up(&format!("{caller}: never true: {script}")).await;
                }
                tokio::time::sleep(Duration::from_millis(50)).await;
            }
        }
    }

    /// Waits until the screen shows `words` somewhere.
    ///
    /// # Panics
    /// When it does not.
    #[track_caller]
    pub fn shows(&self, words: &str) -> impl Future<Output = ()> {
        self.until(format!("return document.body.innerText.includes({})", json!(words)))
    }

    /// Waits until the element named `id` shows `words`.
    ///
    /// # Panics
    /// When it does not.
    #[track_caller]
    pub fn shows_in(&self, id: &str, words: &str) -> impl Future<Output = ()> {
        let element = format!("document.querySelector(\"[data-testid='{id}']\")");
        self.until(format!("return ({element}?.innerText ?? '').includes({})", json!(words)))
    }

    /// What a script answers.
    ///
    /// # Panics
    /// When it cannot be run.
    pub async fn run(&self, script: &str) -> Value {
        self.client.execute(script, Vec::new()).await.unwrap_or_else(|error| panic!("{script}: {error}"))
    }

    /// An attribute of every element of a CSS selector, in the page's order.
    pub async fn attributes(&self, css: &str, name: &str) -> Vec<String> {
        let script = format!(
            "return [...document.querySelectorAll({})].map((one) => one.getAttribute({}) ?? '')",
            json!(css),
            json!(name)
        );
        let answered = self.run(&script).await;
        let words = answered.as_array().into_iter().flatten();
        words.map(|word| word.as_str().unwrap_or_default().to_string()).collect()
    }

    /// What a script hands to the function that is its last argument.
    ///
    /// # Panics
    /// When it cannot be run.
    pub async fn run_async(&self, script: &str) -> Value {
        self.client
            .execute_async(script, Vec::new())
            .await
            .unwrap_or_else(|error| panic!("{script}: {error}"))
    }

    /// Presses the keys of `text` one after the other, wherever the focus is.
    ///
    /// # Panics
    /// When the driver does not take them.
    pub async fn press(&self, text: impl Into<String>) {
        let mut keys = KeyActions::new("keys".into());
        for value in text.into().chars() {
            keys = keys.then(KeyAction::Down { value }).then(KeyAction::Up { value });
        }
        self.client.perform_actions(keys).await.expect("keys are pressed");
    }

    /// Presses a key while Control is held.
    ///
    /// # Panics
    /// When the driver does not take it.
    pub async fn control(&self, value: char) {
        let held = KeyAction::Down { value: key::CONTROL };
        let keys = KeyActions::new("keys".into())
            .then(held)
            .then(KeyAction::Down { value })
            .then(KeyAction::Up { value })
            .then(KeyAction::Up { value: key::CONTROL });
        self.client.perform_actions(keys).await.expect("keys are pressed");
    }

    /// Touches an element.
    ///
    /// # Panics
    /// When the driver does not take it.
    pub async fn touched(&self, element: Element) {
        element.click().await.expect("the touch is taken");
    }

    /// The `data-testid` of what has the focus.
    pub async fn focused(&self) -> String {
        let answer = self
            .run("return document.activeElement?.dataset?.testid ?? document.activeElement?.tagName ?? ''")
            .await;
        answer.as_str().unwrap_or_default().into()
    }

    /// Tabs on until the element named `id` has the focus: what the mouse can reach, the keyboard can.
    ///
    /// # Panics
    /// When it never has.
    pub async fn tab_to(&self, id: &str) {
        for _ in 0..80 {
            if self.focused().await == id {
                return;
            }
            self.press(key::TAB).await;
        }
        self.give_up(&format!("Tab never comes to {id}")).await;
    }

    /// Writes a picture of the window to the folder of pictures.
    ///
    /// # Panics
    /// When none can be taken.
    pub async fn picture(&self, name: &str) {
        // Once the fonts are there and what stands now has been painted.
        let painted = "const done = arguments[0]; document.fonts.ready.then(() => \
                       requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done, 50))))";
        self.run_async(painted).await;
        fs::create_dir_all(&self.shots).expect("the folder of pictures");
        let png = self.client.screenshot().await.expect("a picture of the window");
        fs::write(self.shots.join(format!("{name}.png")), png).expect("the picture is written");
    }

    /// Kills the program as a pulled plug would.
    ///
    /// # Panics
    /// When it is not running.
    pub async fn kill(self) {
        let process = self.driver.program().expect("the program runs");
        let status = Command::new("kill").args(["-KILL", &process]).status();
        assert!(status.is_ok_and(|status| status.success()), "kill");
        while !let_go(&process) {
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    }

    /// Closes the window as the desktop's close button does, and waits for the program to end by itself.
    ///
    /// # Panics
    /// When the program does not end.
    pub async fn close(self) {
        let process = self.driver.program().expect("the program runs");
        let end = Instant::now() + PATIENCE;
        display::close_window("Ledgebook").expect("the window is asked to close");
        while Path::new("/proc").join(&process).join("exe").exists() {
            assert!(Instant::now() < end, "the program does not end");
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
    }

    async fn give_up(&self, words: &str) -> ! {
        self.picture("given-up").await;
        let shown = self.run("return document.body.innerText").await;
        panic!("{words}\nfocus: {}\nshown:\n{}", self.focused().await, shown.as_str().unwrap_or_default());
    }
}

/// Whether a process that ends has let go of its files: its memory goes first, so that it is nothing but a name only once
/// no thread of it is left (state Z), or it is not there at all.
fn let_go(process: &str) -> bool {
    let proc = Path::new("/proc").join(process);
    let threads = std::fs::read_dir(proc.join("task")).map_or(0, Iterator::count);
    let stat = std::fs::read_to_string(proc.join("stat")).unwrap_or_default();
    let state = stat.rsplit_once(") ").map_or("", |(_, rest)| rest);
    threads == 0 || (threads == 1 && (state.is_empty() || state.starts_with(['Z', 'X'])))
}

/// tauri-driver and the WebDriver behind it, ended together.
struct Driver {
    child: Child,
    port: u16,
    home: PathBuf,
    log: PathBuf,
}

impl Driver {
    fn start(home: &Path) -> Self {
        let program = std::env::var_os("TAURI_DRIVER").unwrap_or_else(|| "tauri-driver".into());
        let (port, native) = (free_port(), free_port());
        let log = home.join("driver.log");
        let written = || File::options().create(true).append(true).open(&log).expect("the driver's log");
        let child = Command::new(program)
            .args(["--port", &port.to_string(), "--native-port", &native.to_string()])
            .args(["--native-driver", "/usr/bin/WebKitWebDriver"])
            .env("HOME", home)
            .env_remove("XDG_DATA_HOME")
            .env_remove("XDG_CONFIG_HOME")
            .env_remove("XDG_CACHE_HOME")
            .stdin(Stdio::null())
            .stdout(written())
            .stderr(written())
            .spawn()
            .expect("tauri-driver starts");
        Self { child, port, home: home.into(), log }
    }

    fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    fn said(&self) -> String {
        fs::read_to_string(&self.log).unwrap_or_default()
    }

    /// Process id of the program that was started with our home folder.
    fn program(&self) -> Option<String> {
        let program = place::program().canonicalize().ok()?;
        let home = format!("HOME={}", self.home.display());
        let ours = |id: &str| -> io::Result<bool> {
            let of = Path::new("/proc").join(id);
            Ok(fs::read_link(of.join("exe"))? == program
                && fs::read(of.join("environ"))?.split(|byte| *byte == 0).any(|line| line == home.as_bytes()))
        };
        let ids = fs::read_dir("/proc").ok()?.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
        ids.filter(|id| id.bytes().all(|byte| byte.is_ascii_digit())).find(|id| ours(id).unwrap_or(false))
    }
}

impl Drop for Driver {
    /// With SIGTERM: only then does tauri-driver end the WebDriver behind it too.
    fn drop(&mut self) {
        let _ = Command::new("kill").args(["-TERM", &self.child.id().to_string()]).status();
        let _ = self.child.wait();
    }
}

/// A port that nobody listens on now.
fn free_port() -> u16 {
    let listener = TcpListener::bind(("127.0.0.1", 0)).expect("a free port");
    listener.local_addr().expect("its number").port()
}

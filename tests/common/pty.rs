//! The real program in a pseudo-terminal of a test's own, its screen parsed, and a folder of its own.
//!
//! Every wait is for a screen or for the end of the process, never for the end of the output.
#![allow(dead_code)]

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::num::NonZero;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// Longer than a loaded machine takes for any step.
pub const PATIENCE: Duration = Duration::from_secs(20);
pub const LINEWRIGHT: &str = env!("CARGO_BIN_EXE_linewright");

/// A folder of its own for a site and for the user's places.
pub struct Bench(tempfile::TempDir, &'static str);

impl Bench {
    /// With the demo's schedule imported: 42 lines, none read; PH-1, PH-2, PH-3, PH-4, ...
    pub fn new() -> Self {
        Self::in_folder("")
    }

    /// The same, in a folder inside it that may come and go.
    pub fn in_folder(name: &'static str) -> Self {
        let bench = Self::bare(name);
        let schedule = Path::new("sites/glasshouse-schedule.csv")
            .canonicalize()
            .unwrap();
        let site = bench.site();
        bench.run(&[
            "import",
            schedule.to_str().unwrap(),
            "--to",
            site.to_str().unwrap(),
        ]);
        bench
    }

    /// Without a site yet.
    pub fn bare(name: &'static str) -> Self {
        let bench = Self(tempfile::tempdir().unwrap(), name);
        std::fs::create_dir_all(bench.0.path().join(name)).unwrap();
        bench
    }

    pub fn site(&self) -> PathBuf {
        self.0.path().join(self.1).join("house.ron")
    }

    pub fn folder(&self) -> &Path {
        self.0.path()
    }

    /// A command without a terminal.
    pub fn run(&self, args: &[&str]) -> String {
        let out = Command::new(LINEWRIGHT)
            .args(args)
            .env("LINEWRIGHT_STATE_DIR", self.0.path().join("state"))
            .env("LINEWRIGHT_DATA_DIR", self.0.path().join("data"))
            .output()
            .unwrap();
        assert!(
            out.status.success(),
            "{args:?}: {}",
            String::from_utf8_lossy(&out.stderr)
        );
        String::from_utf8(out.stdout).unwrap()
    }

    /// `label ohms` of every line with a reading that counts, from `assess --json`.
    #[track_caller]
    pub fn read_lines(&self) -> Vec<String> {
        self.read_lines_of(&self.site())
    }

    /// The same of another site file.
    #[track_caller]
    pub fn read_lines_of(&self, site: &Path) -> Vec<String> {
        let json = self.run(&["assess", site.to_str().unwrap(), "--json"]);
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        let lines = json["lines"].as_array().unwrap();
        lines
            .iter()
            .filter(|line| !line["measured"].is_null())
            .map(|line| {
                format!(
                    "{} {}",
                    line["line"].as_str().unwrap(),
                    line["measured"]["ohms"]
                )
            })
            .collect()
    }

    pub fn open(&self) -> Terminal {
        self.open_as("engineer A", (80, 24))
    }

    /// Open, and on the first line of the demo.
    pub fn opened(&self) -> Terminal {
        let terminal = self.open();
        terminal.wait(&[" PH-1>"]);
        terminal
    }

    pub fn open_as(&self, by: &str, size: (u16, u16)) -> Terminal {
        self.open_with(by, size, &[])
    }

    /// With more of its environment.
    pub fn open_with(
        &self,
        by: &str,
        (columns, rows): (u16, u16),
        more: &[(&str, &str)],
    ) -> Terminal {
        let mut command = self.command(LINEWRIGHT);
        for (name, value) in more {
            command.env(name, value);
        }
        command.args(["--by", by]);
        command.arg(self.site());
        Terminal::start(command, columns, rows)
    }

    /// A shell script in a name space where it may mount; none where that is not to be had.
    pub fn in_name_space(&self, script: &str) -> Option<Terminal> {
        let unshare = ["--user", "--map-root-user", "--mount", "sh", "-c"];
        let may = Command::new("unshare")
            .args(unshare)
            .arg("mount -t tmpfs -o size=1m try /mnt")
            .output();
        if !may.is_ok_and(|out| out.status.success()) {
            return None;
        }
        let mut command = self.command("unshare");
        command.args(unshare);
        command.arg(script);
        Some(Terminal::start(command, 80, 24))
    }

    fn command(&self, program: &str) -> CommandBuilder {
        let mut command = CommandBuilder::new(program);
        command.env_clear();
        for (name, value) in [
            ("TERM", "xterm-256color"),
            ("LC_ALL", "C.UTF-8"),
            ("TZ", "UTC"),
        ] {
            command.env(name, value);
        }
        command.env("PATH", std::env::var_os("PATH").unwrap_or_default());
        command.env("HOSTNAME", "rack-laptop");
        command.env("HOME", self.0.path());
        command.env("LINEWRIGHT_STATE_DIR", self.0.path().join("state"));
        command.env("LINEWRIGHT_DATA_DIR", self.0.path().join("data"));
        command.cwd(self.0.path());
        command
    }
}

/// Says aloud that something could not be tried on this machine. Where everything must be, as in
/// `.ci/run`, that is a failure.
#[allow(clippy::print_stderr)]
pub fn skipped(words: &str) {
    eprintln!("SKIPPED: {words}");
    let all = std::env::var_os("LINEWRIGHT_CI").is_some();
    assert!(
        !all,
        "LINEWRIGHT_CI is set, nothing may be skipped: {words}"
    );
}

pub struct Seen {
    pub parser: vt100::Parser,
    pub bytes: Vec<u8>,
}

pub struct Terminal {
    pub child: Box<dyn Child + Send + Sync>,
    pub master: Box<dyn MasterPty + Send>,
    pub keys: Box<dyn Write + Send>,
    pub seen: Arc<Mutex<Seen>>,
    pub stop: Arc<AtomicBool>,
    pub reader: Option<JoinHandle<()>>,
}

impl Terminal {
    pub fn start(command: CommandBuilder, columns: u16, rows: u16) -> Self {
        let pair = native_pty_system().openpty(size(columns, rows)).unwrap();
        let child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let seen = Arc::new(Mutex::new(Seen {
            parser: parser(columns, rows),
            bytes: Vec::new(),
        }));
        let stop = Arc::new(AtomicBool::new(false));
        let mut from = pair.master.try_clone_reader().unwrap();
        let (into, enough) = (Arc::clone(&seen), Arc::clone(&stop));
        let reader = std::thread::spawn(move || {
            let mut buffer = [0; 8192];
            while let Ok(count @ 1..) = from.read(&mut buffer) {
                let mut seen = into.lock().unwrap();
                seen.parser.process(&buffer[..count]);
                seen.bytes.extend_from_slice(&buffer[..count]);
                if enough.load(Ordering::SeqCst) {
                    return;
                }
            }
        });
        Self {
            child,
            keys: pair.master.take_writer().unwrap(),
            master: pair.master,
            seen,
            stop,
            reader: Some(reader),
        }
    }

    pub fn screen(&self) -> String {
        self.seen.lock().unwrap().parser.screen().contents()
    }

    pub fn row(&self, row: usize) -> String {
        let screen = self.screen();
        screen
            .lines()
            .nth(row)
            .unwrap_or_default()
            .trim_end()
            .to_owned()
    }

    pub fn bytes(&self) -> Vec<u8> {
        self.seen.lock().unwrap().bytes.clone()
    }

    /// How many bytes were written so far.
    pub fn count(&self) -> usize {
        self.seen.lock().unwrap().bytes.len()
    }

    /// Waits until so many bytes were written in all.
    #[track_caller]
    pub fn wait_for_bytes(&self, wanted: usize) {
        let until = Instant::now() + PATIENCE;
        while self.count() < wanted {
            assert!(
                Instant::now() < until,
                "{} of {wanted} bytes; the screen is\n{}",
                self.count(),
                self.screen()
            );
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// The process is gone at once, as after a power cut of the machine's own.
    pub fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }

    /// All at once, but Space behind Space at the pace of a finger: sooner it is a key held down.
    pub fn keys(&mut self, keys: &str) {
        let mut rest = keys;
        if keys.starts_with(' ') {
            std::thread::sleep(Duration::from_millis(150));
        }
        while let Some(at) = rest.find("  ") {
            self.keys.write_all(&rest.as_bytes()[..=at]).unwrap();
            self.keys.flush().unwrap();
            std::thread::sleep(Duration::from_millis(150));
            rest = &rest[at + 1..];
        }
        self.keys.write_all(rest.as_bytes()).unwrap();
        self.keys.flush().unwrap();
    }

    /// Waits until the screen holds all of these.
    #[track_caller]
    pub fn wait(&self, wanted: &[&str]) {
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            let screen = self.screen();
            if wanted.iter().all(|text| screen.contains(text)) {
                return;
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        panic!("{wanted:?} never came; the screen is\n{}", self.screen());
    }

    /// Waits until the screen stands still: a frame may come in pieces.
    pub fn still(&self) {
        self.still_for(Duration::from_millis(400));
    }

    /// Waits until the screen has stood still for so long.
    pub fn still_for(&self, calm: Duration) {
        let until = Instant::now() + PATIENCE;
        let mut last = (self.screen(), Instant::now());
        while Instant::now() < until && last.1.elapsed() < calm {
            std::thread::sleep(Duration::from_millis(10));
            let now = self.screen();
            if now != last.0 {
                last = (now, Instant::now());
            }
        }
    }

    /// Types a reading and waits until the screen says that it is recorded.
    #[track_caller]
    pub fn read(&mut self, keys: &str, recorded: &str) {
        self.keys(keys);
        self.wait(&[&format!("  {recorded}"), " recorded "]);
    }

    /// Waits for the end of the process; its exit status.
    #[track_caller]
    pub fn end(&mut self) -> u32 {
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.exit_code();
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        panic!("the process does not end; the screen is\n{}", self.screen());
    }

    pub fn signal(&self, name: &str) {
        let id = self.child.process_id().unwrap().to_string();
        assert!(
            Command::new("kill")
                .args(["-s", name, &id])
                .status()
                .unwrap()
                .success()
        );
    }

    pub fn resize(&self, columns: u16, rows: u16) {
        // Held, so that nothing painted for the new size is read at the old one.
        let mut seen = self.seen.lock().unwrap();
        self.master.resize(size(columns, rows)).unwrap();
        let screen = seen.parser.screen_mut();
        screen.set_size(cells(rows), cells(columns));
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub fn cells(count: u16) -> NonZero<u16> {
    NonZero::new(count).unwrap()
}

pub fn parser(columns: u16, rows: u16) -> vt100::Parser {
    vt100::Parser::new(cells(rows), cells(columns), 0)
}

pub fn size(columns: u16, rows: u16) -> PtySize {
    PtySize {
        rows,
        cols: columns,
        pixel_width: 0,
        pixel_height: 0,
    }
}

/// Sequences of a terminal given back: alternate screen left, pastes plain again, cursor shown.
pub fn assert_given_back(terminal: &Terminal) {
    // What was written last may still be on its way from the pseudo-terminal.
    let until = Instant::now() + PATIENCE;
    let place = |bytes: &[u8], wanted: &str| {
        bytes
            .windows(wanted.len())
            .rposition(|it| it == wanted.as_bytes())
    };
    loop {
        let bytes = terminal.bytes();
        let pairs = [
            ("\x1b[?1049h", "\x1b[?1049l"),
            ("\x1b[?25l", "\x1b[?25h"),
            ("\x1b[?2004h", "\x1b[?2004l"),
        ];
        // The cursor may never have been hidden.
        let given_back = pairs.iter().all(|(taken, back)| {
            let (taken, back) = (place(&bytes, taken), place(&bytes, back));
            back.is_some() && back > taken
        });
        if given_back {
            break;
        }
        let end = String::from_utf8_lossy(&bytes[bytes.len().saturating_sub(200)..]).into_owned();
        assert!(
            Instant::now() < until,
            "the terminal was not given back: {end:?}"
        );
        std::thread::sleep(Duration::from_millis(5));
    }
    let seen = terminal.seen.lock().unwrap();
    assert!(!seen.parser.screen().alternate_screen());
    assert!(!seen.parser.screen().hide_cursor());
    assert!(!seen.parser.screen().bracketed_paste());
}

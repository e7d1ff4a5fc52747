//! The real program in a pseudo-terminal, its screen parsed: for stories told from outside.
//!
//! Every wait is for a screen or for the end of the process, never for the end of the output.
#![allow(dead_code)]

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::num::NonZero;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Longer than a loaded machine takes for any step.
const PATIENCE: Duration = Duration::from_secs(30);
const LINEWRIGHT: &str = env!("CARGO_BIN_EXE_linewright");

/// A folder of its own for a site and for the user's places.
pub struct Bench(tempfile::TempDir);

impl Bench {
    /// With the demo's schedule imported: 42 lines, none read.
    pub fn new() -> Self {
        let bench = Self(tempfile::tempdir().unwrap());
        let schedule = Path::new("sites/glasshouse-schedule.csv")
            .canonicalize()
            .unwrap();
        let site = bench.site();
        let (from, to) = (schedule.to_str().unwrap(), site.to_str().unwrap());
        bench.run(&["import", from, "--to", to]);
        bench
    }

    pub fn site(&self) -> PathBuf {
        self.0.path().join("house.ron")
    }

    /// A command without a terminal.
    pub fn run(&self, args: &[&str]) -> String {
        let out = Command::new(LINEWRIGHT)
            .args(args)
            .env("LINEWRIGHT_STATE_DIR", self.0.path().join("state"))
            .env("LINEWRIGHT_DATA_DIR", self.0.path().join("data"))
            .output()
            .unwrap();
        let why = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(out.status.success(), "{args:?}: {why}");
        String::from_utf8(out.stdout).unwrap()
    }

    /// `label ohms` of every line with a reading that counts, from `assess --json`.
    pub fn read_lines(&self) -> Vec<String> {
        let json = self.run(&["assess", self.site().to_str().unwrap(), "--json"]);
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        let lines = json["lines"].as_array().unwrap().iter();
        lines
            .filter(|line| !line["measured"].is_null())
            .map(|line| {
                let label = line["line"].as_str().unwrap();
                format!("{label} {}", line["measured"]["ohms"])
            })
            .collect()
    }

    /// The program on this site, in a terminal of so many columns and rows, with more of its
    /// environment.
    pub fn open(&self, (columns, rows): (u16, u16), more: &[(&str, &str)]) -> Terminal {
        let mut command = CommandBuilder::new(LINEWRIGHT);
        command.env_clear();
        for (name, value) in [
            ("TERM", "xterm-256color"),
            ("LC_ALL", "C.UTF-8"),
            ("TZ", "UTC"),
            ("HOSTNAME", "rack-laptop"),
        ]
        .iter()
        .chain(more)
        {
            command.env(name, value);
        }
        command.env("PATH", std::env::var_os("PATH").unwrap_or_default());
        command.env("HOME", self.0.path());
        command.env("LINEWRIGHT_STATE_DIR", self.0.path().join("state"));
        command.env("LINEWRIGHT_DATA_DIR", self.0.path().join("data"));
        command.cwd(self.0.path());
        command.args(["--by", "engineer A"]);
        command.arg(self.site());
        Terminal::start(command, columns, rows)
    }
}

struct Seen {
    parser: vt100::Parser,
    bytes: Vec<u8>,
}

/// A program at work.
pub struct Terminal {
    child: Box<dyn Child + Send + Sync>,
    _master: Box<dyn MasterPty + Send>,
    keys: Box<dyn Write + Send>,
    seen: Arc<Mutex<Seen>>,
}

impl Terminal {
    fn start(command: CommandBuilder, columns: u16, rows: u16) -> Self {
        let size = PtySize {
            rows,
            cols: columns,
            pixel_width: 0,
            pixel_height: 0,
        };
        let cells = |count| NonZero::new(count).unwrap();
        let pair = native_pty_system().openpty(size).unwrap();
        let child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let seen = Arc::new(Mutex::new(Seen {
            parser: vt100::Parser::new(cells(rows), cells(columns), 0),
            bytes: Vec::new(),
        }));
        let mut from = pair.master.try_clone_reader().unwrap();
        let into = Arc::clone(&seen);
        std::thread::spawn(move || {
            let mut buffer = [0; 8192];
            while let Ok(count @ 1..) = from.read(&mut buffer) {
                let mut seen = into.lock().unwrap();
                seen.parser.process(&buffer[..count]);
                seen.bytes.extend_from_slice(&buffer[..count]);
            }
        });
        Self {
            child,
            keys: pair.master.take_writer().unwrap(),
            _master: pair.master,
            seen,
        }
    }

    /// What the screen shows.
    pub fn screen(&self) -> String {
        self.seen.lock().unwrap().parser.screen().contents()
    }

    /// Every byte written so far.
    pub fn bytes(&self) -> Vec<u8> {
        self.seen.lock().unwrap().bytes.clone()
    }

    /// How many bytes were written so far.
    pub fn count(&self) -> usize {
        self.seen.lock().unwrap().bytes.len()
    }

    /// Types keys.
    pub fn keys(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).unwrap();
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

    /// Waits until the screen stands still: a frame may come in pieces.
    pub fn still(&self) {
        let until = Instant::now() + PATIENCE;
        let mut last = (self.count(), Instant::now());
        while Instant::now() < until && last.1.elapsed() < Duration::from_millis(300) {
            std::thread::sleep(Duration::from_millis(10));
            let now = self.count();
            if now != last.0 {
                last = (now, Instant::now());
            }
        }
    }

    /// Waits for the end of the process, which must be a good one.
    #[track_caller]
    pub fn end(&mut self) {
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            if let Some(status) = self.child.try_wait().unwrap() {
                assert_eq!(status.exit_code(), 0);
                return;
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        panic!("the process does not end; the screen is\n{}", self.screen());
    }

    /// The process is gone at once, as after a power cut of the machine's own.
    pub fn kill(&mut self) {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

//! Every shell line of a page runs, in the order of the page, in a folder where the demo's files
//! lie as they do in the repository. `# exit status 2` behind a line says how it ends otherwise than well.

use super::blocks::{Piece, block_after, cut, join, pages};
use portable_pty::{CommandBuilder, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

const LINEWRIGHT: &str = env!("CARGO_BIN_EXE_linewright");
/// Longer than a loaded machine takes to open a site.
const PATIENCE: Duration = Duration::from_secs(60);

/// Lines that no test inside `cargo test` can run, and where they are run instead.
const ELSEWHERE: &[(&str, &str)] = &[
    (
        "cargo run --release -- demo",
        "`.ci/run`, which greps for it",
    ),
    ("cargo test", "this is it"),
    (
        "cargo bench --bench ratios",
        "by whoever wants the figures; it is no test",
    ),
    ("cargo install --path .", "`.ci/run`, into a scratch folder"),
    (".ci/run", "CI"),
];

/// A folder to run a page's lines in.
struct Scratch(tempfile::TempDir);

impl Scratch {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let sites = folder.path().join("sites");
        std::fs::create_dir(&sites).unwrap();
        for entry in std::fs::read_dir("sites").unwrap() {
            let from = entry.unwrap().path();
            std::fs::copy(&from, sites.join(from.file_name().unwrap())).unwrap();
        }
        let scratch = Self(folder);
        scratch.git(&["init", "-q"]);
        scratch
    }

    fn git(&self, words: &[&str]) {
        let mut git = Command::new("git");
        let status = git.args(words).current_dir(self.0.path()).status();
        assert!(status.unwrap().success(), "git {words:?}");
    }

    fn path(&self) -> String {
        let bin = Path::new(LINEWRIGHT).parent().unwrap();
        let old = std::env::var("PATH").unwrap_or_default();
        format!("{}:{old}", bin.display())
    }

    fn places(&self) -> [(&'static str, PathBuf); 3] {
        let at = |name: &str| self.0.path().join(name);
        [
            ("HOME", at("home")),
            ("LINEWRIGHT_STATE_DIR", at("state")),
            ("LINEWRIGHT_DATA_DIR", at("data")),
        ]
    }

    /// Runs a line; what it printed as data.
    fn run(&self, line: &str) -> String {
        let (words, wanted) = split_status(line);
        let words = &in_time(words);
        if opens_a_terminal(words) {
            self.look_and_leave(words);
            return String::new();
        }
        let out = Command::new("sh")
            .args(["-c", words])
            .current_dir(self.0.path())
            .env("PATH", self.path())
            .env("TZ", "UTC")
            .envs(self.places())
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&out.stderr).into_owned();
        assert_eq!(out.status.code(), Some(wanted), "{words}\n{said}");
        String::from_utf8(out.stdout).unwrap() + &said
    }

    /// Opens it in a terminal, waits for a screen, presses q.
    fn look_and_leave(&self, words: &str) {
        let size = PtySize {
            rows: 24,
            cols: 80,
            ..PtySize::default()
        };
        let pair = native_pty_system().openpty(size).unwrap();
        let mut command = CommandBuilder::new("sh");
        command.args(["-c", words]);
        command.cwd(self.0.path());
        command.env("PATH", self.path());
        command.env("TERM", "xterm-256color");
        for (name, value) in self.places() {
            command.env(name, value);
        }
        let mut child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let mut from = pair.master.try_clone_reader().unwrap();
        let mut keys = pair.master.take_writer().unwrap();
        let (seen, sees) = std::sync::mpsc::channel();
        std::thread::spawn(move || {
            let mut buffer = [0; 8192];
            while let Ok(count @ 1..) = from.read(&mut buffer) {
                if seen.send(count).is_err() {
                    return;
                }
            }
        });
        sees.recv_timeout(PATIENCE).expect("a screen");
        let until = Instant::now() + PATIENCE;
        loop {
            // Esc, and later q: together they would be another key.
            for key in [b"\x1b", b"q"] {
                let _ = keys.write_all(key);
                std::thread::sleep(Duration::from_millis(200));
            }
            if let Some(status) = child.try_wait().unwrap() {
                assert!(status.success(), "{words}: {status:?}");
                return;
            }
            assert!(Instant::now() < until, "{words}: it does not leave");
        }
    }
}

/// The line with a snag that is due a month from now, whenever that is: a day of the past is refused.
fn in_time(line: &str) -> String {
    let Some((start, rest)) = line.split_once("--due ") else {
        return line.to_owned();
    };
    let rest = rest.split_once(' ').map_or("", |it| it.1);
    let month = jiff::SignedDuration::from_hours(30 * 24);
    let day = jiff::Timestamp::now().checked_add(month).unwrap();
    let day = day.to_zoned_datetime(jiff::tz::TimeZone::UTC).date();
    format!("{start}--due {day} {rest}")
}

/// A line and how it is to end.
fn split_status(line: &str) -> (&str, i32) {
    match line.split_once("# exit status ") {
        Some((words, status)) => (words.trim_end(), status.trim().parse().unwrap()),
        None => (line, 0),
    }
}

fn opens_a_terminal(words: &str) -> bool {
    let rest = words.strip_prefix("linewright ");
    rest.is_some_and(|it| it.starts_with("--new ") || it.ends_with(".ron") && !it.contains(' '))
}

fn is_run_elsewhere(line: &str) -> bool {
    let bare = line.split('#').next().unwrap().trim();
    ELSEWHERE.iter().any(|(it, _)| {
        bare == *it
            || bare
                .strip_prefix(it)
                .is_some_and(|more| more.starts_with(" --"))
    })
}

/// What stands under a heading, up to the next.
fn under(file: &str, heading: &str) -> String {
    let own = file.lines().skip_while(|line| {
        let title = line.trim_start_matches('#');
        title == *line || title.trim() != heading
    });
    let own = own.skip(1).take_while(|line| !line.starts_with('#'));
    let text = own.collect::<Vec<_>>().join("\n");
    assert!(!text.trim().is_empty(), "nothing stands under {heading}");
    format!("{}\n", text.trim())
}

/// Runs a page's lines and puts what they print where the page shows it.
fn filled(page: &Path) -> (String, String, usize) {
    let text = std::fs::read_to_string(page).unwrap();
    let mut pieces = cut(&text);
    let scratch = Scratch::new();
    let (mut run, mut last) = (0, String::new());
    for at in 0..pieces.len() {
        match pieces[at].clone() {
            Piece::Block(of, lines) if of == "sh" => {
                // A line that goes on is one line.
                for line in lines.replace("\\\n", " ").lines() {
                    if line.trim().is_empty() || is_run_elsewhere(line) {
                        continue;
                    }
                    assert!(
                        ["linewright ", "git ", "cp "]
                            .iter()
                            .any(|it| line.starts_with(it)),
                        "{}: {line}: neither run here nor said to run elsewhere",
                        page.display()
                    );
                    last = scratch.run(line);
                    run += 1;
                }
            }
            Piece::Order(word, _) if word == "output" => {
                *block_after(&mut pieces, at) = last.clone();
            }
            Piece::Order(word, what) if word == "file" => {
                let (name, heading) = what.split_once(' ').unwrap();
                let file = std::fs::read_to_string(scratch.0.path().join(name)).unwrap();
                *block_after(&mut pieces, at) = under(&file, heading);
            }
            _ => {}
        }
    }
    (text, join(&pieces), run)
}

#[test]
fn every_shell_line_of_a_page_runs_and_prints_what_the_page_shows() {
    let mut lines = 0;
    for page in pages() {
        // What is written for contributors names commands of their own tools.
        if page.ends_with("DEVELOPERS.md") {
            continue;
        }
        let (text, real, run) = filled(&page);
        assert!(
            text == real,
            "{}: run `cargo test --test docs -- --ignored` and read what changed",
            page.display()
        );
        lines += run;
    }
    assert!(lines > 10);
}

/// Puts what shell lines print into the pages.
pub fn write() {
    for page in pages() {
        if page.ends_with("DEVELOPERS.md") {
            continue;
        }
        let (text, real, _) = filled(&page);
        if text != real {
            std::fs::write(page, real).unwrap();
        }
    }
}

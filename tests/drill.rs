//! The drill with the real program on both sides: one process is the building, the others are the
//! trainee's survey, who does what `assess` suggests and says in the end what it holds likeliest.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use serde_json::Value;
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Output, Stdio};

const LINEWRIGHT: &str = env!("CARGO_BIN_EXE_linewright");
/// Whoever is promised fewer bits than this stops.
const WORTH_A_TEST: f64 = 0.02;

struct Drill {
    child: Child,
    ask: ChildStdin,
    told: BufReader<ChildStdout>,
}

impl Drill {
    fn begin(folder: &Path, seed: &str, lines: &str) -> Self {
        let mut child = Command::new(LINEWRIGHT)
            .args([
                "drill",
                "--seed",
                seed,
                "--lines",
                lines,
                "--to",
                "drill.ron",
            ])
            .current_dir(folder)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let ask = child.stdin.take().unwrap();
        let told = BufReader::new(child.stdout.take().unwrap());
        let mut drill = Self { child, ask, told };
        while !drill.line().starts_with("done ") {}
        drill
    }

    fn line(&mut self) -> String {
        let mut line = String::new();
        assert!(self.told.read_line(&mut line).unwrap() > 0, "it ended");
        line
    }

    /// One answer of one line, the minutes cut off.
    fn ask(&mut self, words: &str) -> String {
        writeln!(self.ask, "{words}").unwrap();
        let line = self.line();
        line.split("   (").next().unwrap().trim().to_owned()
    }

    /// What it says at the end.
    fn done(mut self) -> Vec<String> {
        writeln!(self.ask, "done").unwrap();
        let mut out = Vec::new();
        let mut line = String::new();
        while self.told.read_line(&mut line).unwrap() > 0 {
            out.push(std::mem::take(&mut line));
        }
        assert!(self.child.wait().unwrap().success());
        out
    }
}

/// The trainee's survey.
struct Survey<'a> {
    folder: &'a Path,
    rows: usize,
}

impl Survey<'_> {
    fn run(&self, args: &[&str]) -> Output {
        let mut command = Command::new(LINEWRIGHT);
        let out = command
            .args(args)
            .current_dir(self.folder)
            .output()
            .unwrap();
        let why = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(out.status.success(), "{args:?}: {why}");
        out
    }

    fn record(&mut self, line: &str, kind: &str, value: &str, at: &str, side: &str) {
        self.rows += 1;
        // A minute a row, so that their order is theirs.
        let when = format!(
            "2026-11-24T{:02}:{:02}:00Z",
            8 + self.rows / 60,
            self.rows % 60
        );
        let csv =
            format!("line,kind,value,at,side,when\n{line},{kind},{value},{at},{side},{when}\n");
        std::fs::write(self.folder.join("row.csv"), csv).unwrap();
        self.run(&["record", "drill.ron", "row.csv"]);
    }

    fn line(&self, label: &str) -> Value {
        let out = self.run(&["assess", "drill.ron", "--json", "--line", label]);
        let all: Value = serde_json::from_slice(&out.stdout).unwrap();
        all["lines"][0].clone()
    }
}

fn make(drill: &mut Drill, survey: &mut Survey<'_>, line: &str, test: &Value) {
    let at = test["at"].as_str().unwrap_or_default();
    let after = |told: &str, word: &str| told.split_once(word).unwrap().1.to_owned();
    let bare = |it: &str| it.replace(" ohm", "").replace(" kohm", "k");
    match test["test"].as_str().unwrap() {
        "reread" => {
            let told = drill.ask(&format!("read {line}"));
            survey.record(line, "impedance", &bare(&after(&told, "shows ")), "", "");
        }
        "dc" => {
            let told = drill.ask(&format!("dc {line}"));
            survey.record(line, "dc", &bare(&after(&told, "shows ")), "", "");
        }
        "listen" => {
            let told = drill.ask(&format!("listen {line} {at}"));
            survey.record(line, "listen", &after(&after(&told, ": "), ": "), at, "");
        }
        "split" => {
            let told = drill.ask(&format!("split {line} {at}"));
            let (near, far) = after(&told, "near ")
                .split_once(", far ")
                .map(|(a, b)| (a.to_owned(), b.to_owned()))
                .unwrap();
            survey.record(line, "impedance", &bare(&near), at, "near");
            survey.record(line, "impedance", &bare(&far), at, "far");
        }
        other => panic!("{other}?"),
    }
}

/// The likeliest of all places, other voltage and nothing wrong.
fn likeliest(line: &Value) -> String {
    let mut odds: BTreeMap<String, f64> = BTreeMap::new();
    for hint in line["hints"].as_array().unwrap() {
        let word = match hint["fault"].as_str().unwrap() {
            "none" => Some("nothing"),
            "other-voltage" => Some("voltage"),
            _ => None,
        };
        if let Some(word) = word {
            *odds.entry(word.to_owned()).or_default() += hint["probability"].as_f64().unwrap();
        }
        for place in hint["places"].as_array().unwrap() {
            let at = place["at"].as_str().unwrap().to_owned();
            *odds.entry(at).or_default() += place["probability"].as_f64().unwrap();
        }
    }
    let best = odds.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
    best.unwrap().0
}

#[test]
fn who_does_what_is_suggested_finds_what_the_drill_hid() {
    let folder = tempfile::tempdir().unwrap();
    let mut drill = Drill::begin(folder.path(), "26", "3");
    let mut survey = Survey {
        folder: folder.path(),
        rows: 0,
    };
    let lines = ["L-001", "L-002", "L-003"];
    let read: Value = serde_json::json!({ "test": "reread" });
    for line in lines {
        make(&mut drill, &mut survey, line, &read);
    }
    let mut tests = 0;
    for label in lines {
        for _ in 0..12 {
            let line = survey.line(label);
            let next = &line["next"][0];
            if next["gain_bits"]
                .as_f64()
                .is_none_or(|bits| bits < WORTH_A_TEST)
            {
                break;
            }
            make(&mut drill, &mut survey, label, next);
            tests += 1;
        }
        let word = likeliest(&survey.line(label));
        drill.ask(&format!("found {label} {word}"));
    }
    let end = drill.done();
    let told = end.concat();
    // A wrong tap, a bare coil and a line with nothing wrong.
    assert!(tests > 2, "{tests}\n{told}");
    assert!(told.contains("wrong-tap at LS-03") && told.contains("no-transformer at LS-02"));
    assert!(told.contains("You: 3 of 3 right"), "{told}");
}

/// A drill in a folder, asked all of this.
fn asked(folder: &Path, arguments: &[&str], words: &str) -> Output {
    let mut child = Command::new(LINEWRIGHT)
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(words.as_bytes())
        .unwrap();
    let out = child.wait_with_output().unwrap();
    assert!(out.status.success());
    out
}

#[test]
fn a_drill_writes_over_no_file_and_says_what_it_does_not_understand() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("mine.ron"), "mine").unwrap();
    let out = Command::new(LINEWRIGHT)
        .args(["drill", "--seed", "1", "--to", "mine.ron"])
        .current_dir(folder.path())
        .stdin(Stdio::null())
        .output()
        .unwrap();
    assert_eq!(out.status.code(), Some(2));
    assert_eq!(
        std::fs::read(folder.path().join("mine.ron")).unwrap(),
        b"mine"
    );
    let words = "redd L-001\nread L-01\nlisten L-001\nresistor tomorrow\ndone\n";
    let out = asked(
        folder.path(),
        &["drill", "--seed", "1", "--lines", "1"],
        words,
    );
    let said = String::from_utf8(out.stderr).unwrap();
    for wanted in [
        "did you mean read?",
        "no line L-01",
        "a place was wanted",
        "ohms were wanted",
    ] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
}

#[test]
fn nothing_that_a_drill_says_is_wider_than_eighty_cells_and_it_says_at_once_that_it_reckons() {
    let folder = tempfile::tempdir().unwrap();
    let words = "?\nread L-001\ndc L-001\nlisten L-001 LS-02\nsplit L-001 LS-03\nresistor 400\n\
                 found L-001 voltage\nfound L-002 nothing\nfound L-003 LS-02\nlines\nlisten L-001\n\
                 read nowhere\nlisten L-001 nowhere at all\nredo\ndone\n";
    let out = asked(
        folder.path(),
        &["drill", "--seed", "7", "--lines", "3"],
        words,
    );
    let said = String::from_utf8(out.stdout).unwrap();
    for line in said.lines() {
        assert!(line.chars().count() < 80, "{line}");
    }
    for line in String::from_utf8(out.stderr).unwrap().lines() {
        assert!(line.chars().count() < 80, "{line}");
    }
    // Before the table: who types `done` is not left before a still screen.
    let (before, table) = said.split_once("is being reckoned").unwrap();
    assert!(before.contains("L-003"), "{before}");
    assert!(table.contains("what was there"), "{table}");
    // Heads stand over their columns.
    let rows: Vec<&str> = table.lines().collect();
    let at = rows
        .iter()
        .position(|row| row.starts_with("line "))
        .unwrap();
    let (head, row) = (rows[at], rows[at + 1]);
    assert_eq!(head.chars().count(), row.chars().count(), "{head}\n{row}");
    for word in ["you ", "program"] {
        let column = head.rfind(word).unwrap();
        let cell = row[column..].split_whitespace().next().unwrap();
        assert!(["yes", "no"].contains(&cell), "{head}\n{row}");
    }
}

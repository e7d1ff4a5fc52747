//! Files from a stranger: each limit and one more, pipes and links, rings, escape codes, random
//! bytes. Refused in words, at once, in bounded memory; nothing else is touched.
//!
//! The two largest limits take a release build: `cargo test --release --test hostile -- --ignored`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![cfg(unix)]

#[path = "common/desk.rs"]
mod desk;

use linewright::session::Key;
use linewright::site::{Elements, Log, Site};
use linewright::storage::{
    format1, merge, new_writer, read_cables, read_readings, read_schedule, write_log,
};
use proptest::prelude::*;
use std::fs::{self, File};
use std::os::unix::fs::symlink;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

const FROZEN: &str = include_str!("data/format1.ron");

const SCHEDULE: &str = "\
amplifier,rated_w,zone,line,loudspeaker,tap_w
A1,100,Hall,L-1,LS-1,20
A1,100,Hall,L-1,LS-2,15
";

const READINGS: &str = "\
line,kind,value,at,when,person,note
L-1,impedance,286,,2026-11-24T09:00:00Z,A. M.,\"first, at the rack\"
L-1,listen,heard,LS-1,2026-11-24T09:01:00Z,A. M.,
";

/// A folder with the site of `SCHEDULE` as `house.ron`.
struct Bench(TempDir);

#[derive(Debug)]
struct Ran {
    status: i32,
    out: String,
    err: String,
    took: Duration,
}

impl Bench {
    fn new() -> Self {
        let bench = Self(TempDir::new().unwrap());
        bench.write("s.csv", SCHEDULE);
        bench.write("r.csv", READINGS);
        let ran = bench.run(&["import", "s.csv", "--to", "house.ron"]);
        assert_eq!(ran.status, 0, "{}", ran.err);
        bench
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        fs::write(self.path(name), text).unwrap();
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    /// The program with no more than `kib` of memory (address space; the shell's own limit).
    fn run_within(&self, kib: u64, arguments: &[&str]) -> Ran {
        let start = Instant::now();
        let output = Command::new("sh")
            .arg("-c")
            .arg(format!("ulimit -v {kib}; exec \"$0\" \"$@\""))
            .arg(env!("CARGO_BIN_EXE_linewright"))
            .args(arguments)
            .current_dir(self.0.path())
            .env("LINEWRIGHT_STATE_DIR", self.path("state"))
            .env("LINEWRIGHT_DATA_DIR", self.path("data"))
            .env("USER", "engineer A")
            .stdin(Stdio::null())
            .output()
            .unwrap();
        Ran {
            status: output.status.code().expect("no signal ends it"),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
            took: start.elapsed(),
        }
    }

    fn run(&self, arguments: &[&str]) -> Ran {
        self.run_within(512 * 1024, arguments)
    }

    /// Refused with all these words, nothing on standard output.
    #[track_caller]
    fn refused(&self, arguments: &[&str], words: &[&str]) -> Ran {
        let ran = self.run(arguments);
        assert!(matches!(ran.status, 2 | 3), "{arguments:?}: {ran:?}");
        assert_eq!(ran.out, "", "{arguments:?}");
        for word in words {
            assert!(
                ran.err.contains(word),
                "{arguments:?}: {word:?} is not in\n{}",
                ran.err
            );
        }
        harmless(&ran.err);
        ran
    }
}

/// No character steers a terminal.
#[track_caller]
fn harmless(text: &str) {
    let steers = |c: char| {
        c.is_control() && c != '\n' && c != '\t'
            || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    if let Some(found) = text.chars().find(|c| steers(*c)) {
        panic!("{found:?} is in\n{text}");
    }
}

/// Every command that reads a file, with `bad` in the place of each file in turn.
fn with(bad: &str) -> Vec<Vec<&str>> {
    vec![
        vec!["assess", bad],
        vec!["log", bad],
        vec!["report", bad, "--to", "out.md"],
        vec!["record", bad, "r.csv"],
        vec!["record", "house.ron", bad],
        vec!["import", bad, "--to", "new.ron"],
        vec!["import", "s.csv", "--to", bad],
        vec!["import", "s.csv", "--to", "new.ron", "--cables", bad],
        vec!["merge", bad, "house.ron", "house.ron"],
        vec!["merge", "house.ron", bad, "house.ron"],
        vec!["merge", "house.ron", "house.ron", bad],
        vec!["git-setup", bad],
    ]
}

#[test]
fn a_pipe_a_device_and_a_folder_are_refused_at_once() {
    let bench = Bench::new();
    let made = Command::new("mkfifo").arg(bench.path("pipe")).status();
    assert!(made.unwrap().success());
    fs::create_dir(bench.path("folder")).unwrap();
    symlink("/dev/zero", bench.path("link-to-zero")).unwrap();
    symlink("nowhere", bench.path("link-to-nothing")).unwrap();
    symlink("ring-b", bench.path("ring-a")).unwrap();
    symlink("ring-a", bench.path("ring-b")).unwrap();
    let before = bench.text("house.ron");
    for bad in [
        "pipe",
        "/dev/zero",
        "folder",
        "link-to-zero",
        "link-to-nothing",
        "ring-a",
    ] {
        for arguments in with(bad) {
            if arguments[0] == "import" && arguments[3] == bad && bad == "link-to-nothing" {
                continue; // A new site where the link leads to nothing: nothing is read.
            }
            let ran = bench.refused(&arguments, &[]);
            assert!(
                ran.took < Duration::from_secs(5),
                "{arguments:?} took {:?}",
                ran.took
            );
        }
    }
    assert_eq!(bench.text("house.ron"), before);
    assert!(!bench.path("new.ron").exists() && !bench.path("out.md").exists());
}

#[test]
fn a_file_over_its_size_is_refused_with_the_number_and_not_read() {
    let bench = Bench::new();
    let huge = |name: &str, bytes: u64| {
        File::create(bench.path(name))
            .unwrap()
            .set_len(bytes)
            .unwrap();
    };
    let site = 256 * 1024 * 1024;
    huge("huge.ron", site + 1);
    for arguments in with("huge.ron")
        .into_iter()
        .filter(|it| it[0] != "git-setup")
    {
        let csv = arguments[0] == "import" && arguments[3] != "huge.ron"
            || arguments[0] == "record" && arguments[2] == "huge.ron";
        let limit = if csv { 64 * 1024 * 1024 } else { site };
        let words = [(site + 1).to_string(), limit.to_string()];
        let ran = bench.refused(&arguments, &[&words[0], &words[1]]);
        assert!(
            ran.took < Duration::from_secs(5),
            "{arguments:?} took {:?}",
            ran.took
        );
    }
    let journal = "house.ron.journal-aaaaaaaaaaaaaaaa-1";
    huge(journal, 64 * 1024 * 1024 + 1);
    let ran = bench.run(&["assess", "house.ron"]);
    assert!(
        ran.err.contains("67108865") && ran.err.contains(journal),
        "{ran:?}"
    );
    assert!(bench.path(journal).exists());
}

#[test]
fn labels_and_notes_are_read_up_to_their_limit_and_refused_beyond() {
    let bench = Bench::new();
    let (most, over) = ("x".repeat(200), "x".repeat(201));
    bench.write("good.csv", SCHEDULE.replace("LS-2", &most));
    let ran = bench.run(&["import", "good.csv", "--to", "good.ron"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    bench.write("bad.csv", SCHEDULE.replace("LS-2", &over));
    bench.refused(
        &["import", "bad.csv", "--to", "bad.ron"],
        &["bad.csv:3", "200 characters"],
    );
    let text = bench.text("good.ron");
    bench.write(
        "bad.ron",
        text.replace(&format!("label: \"{most}\""), &format!("label: \"{over}\"")),
    );
    bench.refused(&["assess", "bad.ron"], &["bad.ron:", "200 characters"]);

    let note = |length| READINGS.replace("first", &"y".repeat(length - ", at the rack".len()));
    bench.write("good.csv", note(4000));
    let ran = bench.run(&["record", "good.ron", "good.csv"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    bench.write("bad.csv", note(4001));
    bench.refused(&["record", "house.ron", "bad.csv"], &["bad.csv:2", "4000"]);
    let text = bench.text("good.ron");
    bench.write("bad.ron", text.replacen("yyyy", "yyyyy", 1));
    bench.refused(&["assess", "bad.ron"], &["bad.ron:", "4001", "4000"]);
}

#[test]
fn nesting_without_end_is_refused_with_its_place() {
    let bench = Bench::new();
    let deep = 100_000;
    let open = [
        "(".repeat(deep),
        "[".repeat(deep),
        format!("Site(format: 1, id: \"s-a\", items: {}", "[(".repeat(deep)),
        format!("Site(format: 1, id: {}\"s-a\"", "Some(".repeat(deep)),
        "/*".repeat(deep),
    ];
    let text = bench.text("house.ron");
    let retired = format!(
        "{}Zone(label: \"Hall\", order: 1.0){}",
        "Retired(why: \"x\", was: ".repeat(deep),
        ")".repeat(deep)
    );
    let zone = "Zone(label: \"Hall\", order: 1.0)";
    assert!(text.contains(zone));
    for bad in open.into_iter().chain([text.replace(zone, &retired)]) {
        bench.write("bad.ron", &bad);
        let ran = bench.refused(&["assess", "bad.ron"], &["bad.ron:"]);
        assert!(ran.took < Duration::from_secs(5), "took {:?}", ran.took);
        // Of a line of a megabyte a piece is shown.
        assert!(ran.err.len() < 4000, "{} bytes said", ran.err.len());
        let ran = bench.refused(
            &["merge", "house.ron", "house.ron", "bad.ron"],
            &["bad.ron:"],
        );
        assert!(ran.took < Duration::from_secs(5));
    }
    let json = format!("{{\"id\":{}", "[".repeat(deep));
    journal(&bench, &[&head(&bench), &json]);
    let ran = bench.run(&["assess", "house.ron"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.err.contains("line 2"), "{}", ran.err);
}

const WRITER: &str = "aaaaaaaaaaaaaaaa";

/// The first record of a journal of the site.
fn head(bench: &Bench) -> String {
    let text = bench.text("house.ron");
    let id = text.split('"').nth(1).unwrap();
    format!(
        r#"{{"linewright":"journal","format":1,"site":"{id}","writer":"{WRITER}","part":1,"machine":"elsewhere","who":"A. M.","at":"2026-11-25T14:00:00Z","from":{{"len":1,"sum":"00000000"}}}}"#
    )
}

/// A journal with sums that fit: made by somebody who knows how.
fn journal(bench: &Bench, records: &[&str]) {
    let mut out = String::new();
    for (n, json) in records.iter().enumerate() {
        let sum = crc32(format!("{WRITER}-1 {n} {json}").as_bytes());
        out.push_str(&format!("{sum:08x} {n} {json}\n"));
    }
    bench.write(&format!("house.ron.journal-{WRITER}-1"), out);
}

/// CRC-32 as in ISO 3309, bit by bit.
fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0u32, |mut crc, byte| {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = (crc >> 1) ^ (0xedb8_8320 & 0u32.wrapping_sub(crc & 1));
        }
        crc
    })
}

fn note_entry(id: &str, text: &str) -> String {
    format!(
        r#"{{"at":"2026-11-25T14:00:01Z","id":"{id}","by":"A. M.","do":{{"Note":{{"of":"Site","text":"{text}"}}}}}}"#
    )
}

#[test]
fn a_journal_line_over_its_length_costs_that_line_and_is_told() {
    let bench = Bench::new();
    let long = note_entry("aaaaaaaaaaaaaaaa-1", &"z".repeat(64 * 1024));
    let last = note_entry("aaaaaaaaaaaaaaaa-2", "this one stands");
    journal(&bench, &[&head(&bench), &long, &last]);
    let ran = bench.run(&["assess", "house.ron"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.err.contains("line 2 is lost"), "{}", ran.err);
    assert!(
        ran.err.contains("1 entry not in the site file yet"),
        "{}",
        ran.err
    );
}

#[test]
fn a_lock_or_a_journal_that_is_a_link_is_not_followed() {
    let bench = Bench::new();
    bench.write("precious", "not ours");
    fs::remove_file(bench.path("house.ron.lock")).unwrap();
    symlink("precious", bench.path("house.ron.lock")).unwrap();
    let before = bench.text("house.ron");
    bench.refused(&["record", "house.ron", "r.csv"], &["house.ron.lock"]);
    bench.write("ours.ron", &before);
    symlink("precious", bench.path("ours.ron.lock")).unwrap();
    bench.refused(
        &["merge", "house.ron", "ours.ron", "house.ron"],
        &["ours.ron.lock"],
    );
    assert_eq!(bench.text("house.ron"), before);
    fs::remove_file(bench.path("house.ron.lock")).unwrap();
    // A journal or a temporary file of somebody's making that leads elsewhere.
    journal(
        &bench,
        &[&head(&bench), &note_entry("aaaaaaaaaaaaaaaa-1", "x")],
    );
    let own = bench.path("house.ron.journal-aaaaaaaaaaaaaaaa-1");
    fs::rename(&own, bench.path("elsewhere")).unwrap();
    symlink("elsewhere", &own).unwrap();
    symlink("precious", bench.path("house.ron.tmp-aaaaaaaaaaaaaaaa-1")).unwrap();
    let elsewhere = bench.text("elsewhere");
    let ran = bench.run(&["record", "house.ron", "r.csv"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert_eq!(
        (bench.text("precious"), bench.text("elsewhere")),
        ("not ours".into(), elsewhere)
    );
    assert!(!bench.text("house.ron").contains("Note("));
}

#[test]
fn a_link_to_a_site_stays_a_link_when_copies_are_joined_into_it() {
    let bench = Bench::new();
    fs::create_dir(bench.path("deep")).unwrap();
    fs::copy(bench.path("house.ron"), bench.path("deep/ours.ron")).unwrap();
    symlink("deep/ours.ron", bench.path("link.ron")).unwrap();
    bench.write("theirs.ron", bench.text("house.ron"));
    assert_eq!(bench.run(&["record", "theirs.ron", "r.csv"]).status, 0);
    let ran = bench.run(&["merge", "house.ron", "link.ron", "theirs.ron"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(bench.path("link.ron").is_symlink());
    assert_eq!(bench.text("deep/ours.ron"), bench.text("theirs.ron"));
}

#[test]
fn a_site_that_is_open_elsewhere_is_not_merged_into() {
    let bench = Bench::new();
    for copy in ["ours.ron", "theirs.ron"] {
        bench.write(copy, bench.text("house.ron"));
    }
    let lock = File::create(bench.path("ours.ron.lock")).unwrap();
    lock.try_lock().unwrap();
    let ran = bench.refused(
        &["merge", "house.ron", "ours.ron", "theirs.ron"],
        &["ours.ron", "open"],
    );
    assert_eq!(ran.status, 3);
    drop(lock);
    assert_eq!(
        bench
            .run(&["merge", "house.ron", "ours.ron", "theirs.ron"])
            .status,
        0
    );
}

/// A site with something hostile wherever a text may stand.
fn hostile_site() -> String {
    let evil = "\\u{1b}[2J\\u{9b}31m\\u{202e}\\u{2066}\\u{7}\\r\\n=cmd()\\u{2028}";
    let label = "\\u{202e}gnp\\u{2066}\\u{61c}";
    FROZEN
        .replace("label: \"Stairs\"", &format!("label: \"{label}\""))
        .replace("label: \"Pool hall\"", &format!("label: \"{label}2\""))
        .replace("by: \"engineer A\"", &format!("by: \"{evil}\""))
        .replace("by: \"engineer B\"", &format!("by: \"{evil}\""))
        .replace("\"engineer B\", \"2026", &format!("\"{evil}\", \"2026"))
        .replace("why: Some(\"", &format!("why: Some(\"{evil}"))
        .replace("note: Some(\"", &format!("note: Some(\"{evil}"))
        .replace("what: \"", &format!("what: \"{evil}"))
        .replace("owner: \"", &format!("owner: \"{evil}"))
}

#[test]
fn escape_codes_of_a_file_reach_no_text_that_is_printed() {
    let bench = Bench::new();
    let text = hostile_site();
    assert!(text.matches("u{9b}").count() > 20);
    bench.write("evil.ron", &text);
    let ran = bench.run(&["assess", "evil.ron"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    harmless(&ran.out);
    harmless(&ran.err);
    assert!(ran.out.contains("\\u{202e}"), "{}", ran.out);
    for to in ["evil.md", "evil.html", "evil.csv"] {
        let ran = bench.run(&["report", "evil.ron", "--to", to]);
        assert_eq!(ran.status, 0, "{to}: {}", ran.err);
        // A spreadsheet wants its byte-order mark and carriage returns.
        harmless(&bench.text(to).replace("\r\n", "\n"));
    }
    let ran = bench.run(&["record", "evil.ron", "r.csv"]);
    harmless(&ran.err);
    // Errors quote what they found.
    let label = text.replace(
        "label: \"Lantern Quay Baths\"",
        "label: \"\\u{1b}]0;owned\\u{7}\"",
    );
    for bad in [label, text.replace("format: 1", "\u{1b}[31m\u{202e}: 1")] {
        bench.write("bad.ron", bad);
        bench.refused(&["assess", "bad.ron"], &[]);
    }
    bench.write(
        "bad.csv",
        "line,kind,value\n\u{1b}[31mL-1,imp\u{202e}edance,\u{9b}412\n",
    );
    bench.refused(&["record", "house.ron", "bad.csv"], &["bad.csv:2"]);
    bench.write("bad.csv", "amplifier\u{1b}[2J,\u{202e}\nA,B\n");
    bench.refused(&["import", "bad.csv", "--to", "x.ron"], &[]);
}

#[test]
fn escape_codes_of_a_file_reach_no_screen() {
    let site = format1::read("evil.ron", hostile_site().as_bytes())
        .unwrap()
        .site;
    let mut desk = desk::Desk::at(site);
    let mut seen = 0;
    for size in [(60, 20), (80, 24), (160, 48)] {
        desk.resize(size.0, size.1).press(Key::Home);
        for _ in 0..12 {
            // Every row, the walk of a line, the pages of its panel, the list of places, a search.
            for keys in [
                "",
                "w",
                "\t",
                "\t",
                "?",
                "\x1b",
                "g",
                "\x1b",
                "/\u{202e}gn",
                "\x1b\x1b",
                "j\u{9b}x\u{2066}",
                "\x1b\x1b",
            ] {
                desk.keys(keys);
                let buffer = desk.buffer(linewright::tui::Theme::Colour);
                let cells: String = buffer.content.iter().map(|cell| cell.symbol()).collect();
                harmless(&cells);
                seen += usize::from(cells.contains("\\u{202e}"));
            }
            desk.press(Key::Down);
        }
    }
    assert!(seen > 10, "the texts were on {seen} screens");
}

#[test]
fn a_log_holds_no_cell_that_a_spreadsheet_would_run_and_reads_back_as_it_was() {
    let bench = Bench::new();
    let notes = [
        "=1+1",
        "+cmd|' /C calc'!A0",
        "-2+3",
        "@SUM(A1)",
        "'=x",
        "-3.5",
        "plain",
        "=\"a,b\"",
    ];
    let mut csv = String::from("line,kind,value,when,person,note\n");
    for (n, note) in notes.iter().enumerate() {
        let note = note.replace('"', "\"\"");
        csv.push_str(&format!(
            "L-1,impedance,40{n},2026-11-24T09:0{n}:00Z,=who(),\"{note}\"\n"
        ));
    }
    bench.write("n.csv", csv);
    assert_eq!(bench.run(&["record", "house.ron", "n.csv"]).status, 0);
    let log = bench.run(&["log", "house.ron"]).out;
    let mut cells = 0;
    for record in csv_cells(&log) {
        for cell in record {
            cells += 1;
            let number = cell.parse::<f64>().is_ok();
            assert!(
                number || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']),
                "{cell}"
            );
        }
    }
    assert!(cells > 17 * notes.len());
    bench.write("log.csv", &log);
    let again = bench.run(&["record", "house.ron", "log.csv"]);
    assert!(
        again.err.contains("0 rows recorded, 8 there already"),
        "{}",
        again.err
    );
    // On a fresh copy of the site the same log makes the same log.
    assert_eq!(
        bench.run(&["import", "s.csv", "--to", "fresh.ron"]).status,
        0
    );
    assert_eq!(bench.run(&["record", "fresh.ron", "log.csv"]).status, 0);
    let site = |name: &str| {
        format1::read(name, bench.text(name).as_bytes())
            .unwrap()
            .site
    };
    for name in ["house.ron", "fresh.ron"] {
        let log = site(name);
        let found: Vec<&str> = log
            .log()
            .rows()
            .into_iter()
            .map(|entry| entry.by.as_str())
            .collect();
        assert_eq!(found, ["=who()"; 8], "{name}");
        assert!(write_log(&log).contains(",'=1+1,"));
    }
}

/// Quoted cells and plain ones.
fn csv_cells(text: &str) -> Vec<Vec<String>> {
    let mut out = vec![vec![String::new()]];
    let mut quoted = false;
    for c in text.chars() {
        let record = out.last_mut().unwrap();
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => record.push(String::new()),
            '\n' if !quoted => out.push(vec![String::new()]),
            c => record.last_mut().unwrap().push(c),
        }
    }
    out
}

#[test]
fn strikes_in_a_ring_are_told_and_what_they_strike_stands() {
    let bench = Bench::new();
    assert_eq!(bench.run(&["record", "house.ron", "r.csv"]).status, 0);
    let text = bench.text("house.ron");
    let read = text
        .split("id: \"c-")
        .nth(1)
        .unwrap()
        .split('"')
        .next()
        .unwrap();
    let void = |id: &str, of: &[&str]| {
        let of = of.join("\", \"");
        format!(
            "  (at: \"2026-11-25T14:00:00Z\", id: \"{id}\", by: \"A\", do: Void(of: [\"{of}\"])),\n"
        )
    };
    let ring = void("w-1", &["w-2", &format!("c-{read}")]) + &void("w-2", &["w-1"]);
    let at = text.find(" ],\n questions").unwrap();
    bench.write("ring.ron", format!("{}{ring}{}", &text[..at], &text[at..]));
    let ran = bench.run(&["assess", "ring.ron", "--json"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(
        ran.err.contains("strike each other in a ring"),
        "{}",
        ran.err
    );
    let json: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
    assert_eq!(json["lines"][0]["measured"]["ohms"], 286.0);
}

#[test]
fn a_line_repaired_and_struck_two_thousand_times_is_read() {
    let bench = Bench::new();
    let text = bench.text("house.ron");
    let mut log = String::new();
    for n in 1..=2_000 {
        let what = if n % 2 == 0 {
            format!("Void(of: [\"w-{}\"])", n - 2)
        } else {
            let after = if n == 1 {
                "visit-1".to_owned()
            } else {
                format!("w-{}", n - 2)
            };
            format!("Repair(line: \"L-1\", after: \"{after}\", what: \"again\")")
        };
        log.push_str(&format!(
            "  (at: \"2026-11-25T14:00:00Z\", id: \"w-{n}\", by: \"A\", do: {what}),\n"
        ));
    }
    let at = text.find("log: [").unwrap() + "log: [".len();
    bench.write("long.ron", format!("{}\n{log}{}", &text[..at], &text[at..]));
    let ran = bench.run(&["assess", "long.ron", "--json"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.took < Duration::from_secs(60), "took {:?}", ran.took);
}

fn rows(count: usize, row: impl Fn(usize) -> String) -> String {
    (0..count).map(row).collect()
}

#[test]
fn one_item_or_entry_over_the_limit_is_refused_with_the_number() {
    let bench = Bench::new();
    let items = rows(200_001, |n| {
        format!("(id: \"z{n}\", stamp: \"i-1\", is: Zone(label: \"z{n}\", order: 1.0)),\n")
    });
    bench.write(
        "items.ron",
        format!("Site(format: 1, id: \"s-a\", items: [{items}], log: [], questions: [])"),
    );
    drop(items);
    let ran = bench.refused(
        &["assess", "items.ron"],
        &["items.ron:200001", "at most 200000 are read"],
    );
    assert!(ran.took < Duration::from_secs(5), "took {:?}", ran.took);
    let entries = rows(1_000_001, |n| {
        format!(
            "(at: \"2026-11-25T14:00:00Z\", id: \"w-{n}\", by: \"A\", do: Note(of: Site, text: \"\")),\n"
        )
    });
    bench.write(
        "log.ron",
        format!("Site(format: 1, id: \"s-a\", items: [], log: [{entries}], questions: [])"),
    );
    drop(entries);
    // A million entries may be held; one more may not.
    let ran = bench.run_within(2 * 1024 * 1024, &["assess", "log.ron"]);
    assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{}", ran.err);
    assert!(ran.err.contains("at most 1000000 are read"), "{}", ran.err);
    assert!(ran.took < Duration::from_secs(20), "took {:?}", ran.took);
}

/// One change of a file at a place: bytes dropped, put in, or turned into others.
type Change = (usize, u8, Vec<u8>);

fn changes() -> impl Strategy<Value = Vec<Change>> {
    let piece = prop_oneof![
        prop::collection::vec(any::<u8>(), 0..6),
        prop::sample::select(vec![
            "(",
            ")",
            "[",
            "\"",
            ",",
            "\n",
            "NaN",
            "-1e999",
            "Some(",
            "\\u{0}",
            "9999999999999999999999",
            "rack",
            "Retired",
            "void",
            "\u{1b}[",
            "\u{feff}",
            ";",
            "1.000",
            "=",
            "open",
        ])
        .prop_map(|text| text.as_bytes().to_vec()),
    ];
    prop::collection::vec((any::<prop::sample::Index>(), 0u8..4, piece), 1..5).prop_map(|all| {
        all.into_iter()
            .map(|(at, cut, piece)| (at.index(usize::MAX), cut * 3, piece))
            .collect()
    })
}

fn changed(text: &[u8], changes: &[Change]) -> Vec<u8> {
    let mut out = text.to_vec();
    for (at, cut, piece) in changes {
        let at = at % (out.len() + 1);
        let end = (at + usize::from(*cut)).min(out.len());
        out.splice(at..end, piece.iter().copied());
    }
    out
}

fn small_site() -> Site {
    let (id, items, _) = read_schedule("s.csv", SCHEDULE.as_bytes(), &[], "House").unwrap();
    Site::new(id, Elements::from_iter(items), Log::default())
}

/// Every reader, on the same bytes: an answer or a refusal in words, never a panic; what is read can
/// be written and read again.
fn every_reader(bytes: &[u8]) {
    if let Ok(found) = format1::read("S.ron", bytes) {
        let again = format1::write(&found.site).unwrap();
        format1::read("S.ron", &again).unwrap_or_else(|why| panic!("{why}"));
        assert!(write_log(&found.site).starts_with("id,"));
    }
    let house = format1::write(&small_site()).unwrap();
    let sides = match bytes.first().copied().unwrap_or(0) % 3 {
        0 => [bytes, &house, &house],
        1 => [&house, bytes, &house],
        _ => [&house, &house, bytes],
    };
    let [base, ours, theirs] = sides.map(|bytes| ("copy", bytes));
    if let Ok(merged) = merge(base, ours, theirs) {
        format1::write(&merged.site).unwrap();
    }
    let _ = read_cables("c.csv", bytes);
    if let Ok((id, items, _)) = read_schedule("s.csv", bytes, &[], "House") {
        let site = Site::new(id, Elements::from_iter(items), Log::default());
        format1::read("S.ron", &format1::write(&site).unwrap())
            .unwrap_or_else(|why| panic!("{why}"));
    }
    let mut n = 0;
    let now = "2026-11-25T14:00:00Z".parse().unwrap();
    let site = small_site();
    let mut id = || {
        n += 1;
        format!("w-{n}").into()
    };
    let _ = read_readings("r.csv", bytes, &site, now, "A", &mut id);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn random_bytes_panic_no_reader(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        every_reader(&bytes);
    }

    #[test]
    fn files_changed_at_random_panic_no_reader(all in changes()) {
        for text in [SCHEDULE, READINGS] {
            every_reader(&changed(text.as_bytes(), &all));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_site_file_changed_at_random_panics_no_reader(all in changes()) {
        let bytes = changed(FROZEN.as_bytes(), &all);
        every_reader(&bytes);
        // Joined with what it was made from, in every place.
        let frozen = FROZEN.as_bytes();
        for [base, ours, theirs] in [[&bytes, frozen, frozen], [frozen, &bytes, frozen]] {
            let merged = merge(("base", base), ("ours", ours), ("theirs", theirs));
            if let Ok(merged) = merged {
                let again = format1::write(&merged.site).unwrap();
                format1::read("joined", &again).unwrap_or_else(|why| panic!("{why}"));
            }
        }
    }

    #[test]
    fn a_journal_changed_at_random_panics_nothing_and_leaves_the_site(all in changes()) {
        let bench = Bench::new();
        let (first, second) = ("aaaaaaaaaaaaaaaa-1", "aaaaaaaaaaaaaaaa-2");
        journal(&bench, &[&head(&bench), &note_entry(first, "x"), &note_entry(second, "y")]);
        let name = format!("house.ron.journal-{WRITER}-1");
        let bytes = changed(bench.text(&name).as_bytes(), &all);
        bench.write(&name, &bytes);
        let path = bench.path("house.ron");
        let looked = linewright::storage::read_only(&linewright::storage::Disk, &path);
        if let Ok(looked) = looked {
            for notice in looked.notices {
                prop_assert!(!notice.to_string().is_empty());
            }
        }
        prop_assert_eq!(fs::read(bench.path(&name)).unwrap(), bytes);
    }
}

#[test]
fn a_name_of_an_opening_is_never_made_of_what_a_file_says() {
    // 16 characters of a-z2-7, whatever the path and the person are called.
    let who = linewright::storage::Who {
        name: "../../x".into(),
        machine: "\u{1b}".into(),
    };
    let writer = new_writer(
        std::path::Path::new("/a/../b"),
        &who,
        jiff::Timestamp::UNIX_EPOCH,
    );
    assert_eq!(writer.as_str().len(), 16);
    assert!(
        writer
            .as_str()
            .bytes()
            .all(|b| b.is_ascii_lowercase() || (b'2'..=b'7').contains(&b))
    );
}

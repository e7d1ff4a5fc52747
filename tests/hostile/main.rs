//! Files from a stranger: each limit and one more, pipes and links, rings, escape codes, random
//! bytes. Refused in words, at once, in bounded memory; nothing else is touched.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![cfg(unix)]

#[path = "../common/desk.rs"]
mod desk;

mod codes;
mod files;
mod limits;
mod random;

use linewright::session::Key;
use linewright::site::{Elements, Log, Site};
use linewright::storage::{
    Schedule, format1, merge, new_writer, read_cables, read_readings, read_schedule, write_log,
};
use proptest::prelude::*;
use std::fs::{self, File};
use std::os::unix::fs::symlink;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

const FROZEN: &str = include_str!("../data/format1.ron");

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

/// Whatever has not ended by then hangs: no speed is claimed, on a loaded machine either.
const ENDS: Duration = Duration::from_secs(60);

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

fn rows(count: usize, row: impl Fn(usize) -> String) -> String {
    (0..count).map(row).collect()
}

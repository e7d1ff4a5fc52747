//! System calls of the real program made to fail, by strace. Where the system does not let one
//! program watch another the tests say so aloud; the file layer's own tests run everywhere.
#![cfg(target_os = "linux")]

use super::pty::*;
use std::path::Path;
use std::process::{Command, Output};

fn strace(log: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new("strace");
    command.args(["-f", "-qq", "-o", log.to_str().unwrap()]);
    command.args(arguments);
    command
}

/// Whether strace is here and may watch.
fn may_watch(bench: &Bench) -> bool {
    let log = bench.folder().join("strace");
    let tried = strace(&log, &["true"]).output();
    let may = tried.is_ok_and(|out| out.status.success());
    if !may {
        skipped("strace is missing or may not watch; no system call was made to fail");
    }
    may
}

/// `linewright record`, with these options of strace before it; and strace's log.
fn record(bench: &Bench, options: &[&str], readings: &Path) -> (Output, String) {
    let log = bench.folder().join("strace");
    let site = bench.site();
    let own = [LINEWRIGHT, "record", site.to_str().unwrap()];
    let mut arguments = options.to_vec();
    arguments.extend(own);
    arguments.push(readings.to_str().unwrap());
    let out = strace(&log, &arguments)
        .env("LINEWRIGHT_STATE_DIR", bench.folder().join("state"))
        .output()
        .unwrap();
    (out, std::fs::read_to_string(&log).unwrap_or_default())
}

#[test]
fn every_system_call_of_a_recording_made_to_fail_is_said_and_loses_nothing() {
    let bench = Bench::new();
    if !may_watch(&bench) {
        return;
    }
    let readings = bench.folder().join("readings.csv");
    let rows = "line,kind,value,when\nPH-1,impedance,126,2026-11-24T09:00:00Z\nPH-2,impedance,251,2026-11-24T09:01:00Z\n";
    std::fs::write(&readings, rows).unwrap();
    let fresh = std::fs::read(bench.site()).unwrap();
    let clean = || {
        for entry in std::fs::read_dir(bench.folder()).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            if name.starts_with("house.ron") {
                std::fs::remove_file(path).unwrap();
            }
        }
        std::fs::write(bench.site(), &fresh).unwrap();
    };
    let (mut injected, mut refused) = (0, 0);
    for call in ["write", "fdatasync", "fsync", "rename", "openat", "unlink"] {
        // Which of these calls are of the site's files: what the loader opens is not meant.
        clean();
        let (_, log) = record(&bench, &["-e", &format!("trace={call}"), "-y"], &readings);
        let ours: Vec<usize> = log
            .lines()
            .filter(|line| line.contains(&format!("{call}(")))
            .enumerate()
            .filter(|(_, line)| line.contains("house.ron") || call == "fsync")
            .map(|(at, _)| at + 1)
            .collect();
        assert!(
            call == "unlink" || !ours.is_empty() || call == "fsync",
            "{call}: {log}"
        );
        for at in ours {
            for error in ["ENOSPC", "EIO", "EROFS"] {
                clean();
                let how = format!("{call} {at} {error}");
                let inject = format!("inject={call}:error={error}:when={at}");
                let (out, log) = record(&bench, &["-e", &inject], &readings);
                if !log.contains("INJECTED") {
                    continue;
                }
                injected += 1;
                let said = String::from_utf8_lossy(&out.stderr).into_owned();
                let there = bench.read_lines();
                if out.status.success() {
                    assert_eq!(there, ["PH-1 126.0", "PH-2 251.0"], "{how}: {said}");
                } else {
                    refused += 1;
                    assert!(out.status.code().is_some(), "{how}: {said}");
                    assert!(!said.trim().is_empty(), "{how}");
                    // All or nothing, and the next time all.
                    assert!(there.is_empty() || there.len() == 2, "{how}: {there:?}");
                }
                bench.run(&[
                    "record",
                    bench.site().to_str().unwrap(),
                    readings.to_str().unwrap(),
                ]);
                assert_eq!(bench.read_lines(), ["PH-1 126.0", "PH-2 251.0"], "{how}");
            }
        }
    }
    eprintln!("{injected} system calls made to fail, {refused} refusals, 0 lost");
    assert!(injected >= 30, "{injected}");
}

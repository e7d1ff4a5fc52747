//! How time and memory grow with the site, how long the program takes to its first frame, and how
//! large it is.

use crate::lines;
use crate::table::{Limit, Table, in_turn, median, time};
use crate::whole_site::Written;
use portable_pty::{CommandBuilder, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::time::Duration;

/// Lines of a small site.
const FEW: usize = 50;

/// (g) The same lines as one building and as many small ones: what a line costs, whatever their number.
pub fn of_the_site(quick: bool, table: &mut Table) {
    let many = if quick { 500 } else { 5_000 };
    let large = Written::of(&lines::site(many, 20, 0));
    let small: Vec<Written> = (0..many / FEW)
        .map(|at| Written::of(&lines::part(at * FEW..(at + 1) * FEW, 20, 0)))
        .collect();
    let mut peak = None;
    let (own, few) = in_turn(
        if quick { 3 } else { 1 },
        || {
            let (took, most) = large.assess();
            peak = most.or(peak);
            took
        },
        || small.iter().map(|it| it.assess().0).sum(),
    );
    table.row(
        &format!(
            "g: assess --json of {many} lines : of the same lines in {} sites of {FEW}",
            small.len()
        ),
        own / few,
        Limit::AtMost(1.1),
    );
    match (peak, small[0].assess().1) {
        (Some(large), Some(small)) => table.row(
            &format!("g: its peak memory a line : that of {FEW} lines"),
            large / small / (many as f64 / FEW as f64),
            Limit::AtMost(1.0),
        ),
        _ => table.missing("g: its peak memory a line", "this system does not tell"),
    }
}

/// (h) From the start of the process to the demo on the screen, and the size of the program.
pub fn of_the_program(quick: bool, table: &mut Table) {
    let taken: Vec<Duration> = (0..if quick { 5 } else { 15 })
        .map(|_| first_frame())
        .collect();
    table.row(
        "h: from the start to the demo on the screen : a quarter of a second",
        median(&taken) * 4.0,
        Limit::AtMost(1.0),
    );
    let bytes = std::fs::metadata(env!("CARGO_BIN_EXE_linewright")).expect("the program is there");
    table.row(
        "h: the program without symbols : 16 MB",
        bytes.len() as f64 / 16e6,
        Limit::AtMost(1.0),
    );
}

/// Opens the demo in a terminal; until its first line stands there.
fn first_frame() -> Duration {
    let room = tempfile::tempdir().expect("a folder");
    let size = PtySize {
        rows: 24,
        cols: 80,
        ..PtySize::default()
    };
    let pair = native_pty_system().openpty(size).expect("a terminal");
    let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_linewright"));
    command.arg("demo");
    command.env("TERM", "xterm-256color");
    command.env("LINEWRIGHT_STATE_DIR", room.path().join("state"));
    command.env("LINEWRIGHT_DATA_DIR", room.path().join("data"));
    let mut from = pair.master.try_clone_reader().expect("its output");
    let mut keys = pair.master.take_writer().expect("its keys");
    let (took, mut child) = time(|| {
        let child = pair.slave.spawn_command(command).expect("it starts");
        let mut seen = Vec::new();
        let mut buffer = [0; 8192];
        while !String::from_utf8_lossy(&seen).contains("24 of 42") {
            match from.read(&mut buffer) {
                Ok(count @ 1..) => seen.extend_from_slice(&buffer[..count]),
                _ => panic!("no screen"),
            }
        }
        child
    });
    drop(pair.slave);
    // It goes on writing while it leaves: somebody has to read.
    std::thread::spawn(move || {
        let mut buffer = [0; 8192];
        while matches!(from.read(&mut buffer), Ok(1..)) {}
    });
    while child.try_wait().expect("it is there").is_none() {
        for key in [b"\x1b", b"q"] {
            let _ = keys.write_all(key);
            std::thread::sleep(Duration::from_millis(50));
        }
    }
    took
}

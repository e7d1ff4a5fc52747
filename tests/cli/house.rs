//! Every module of the library is reached by a run of the program.

use super::bench::{Bench, shipped};
use assert_cmd::cargo::cargo_bin;
use portable_pty::{CommandBuilder, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::sync::mpsc;
use std::time::{Duration, Instant};

fn modules() -> Vec<String> {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/src/lib.rs")).unwrap();
    text.lines()
        .filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'))
        .map(str::to_owned)
        .collect()
}

#[test]
fn every_module_of_the_house_is_reached_through_the_program() {
    let demo = shipped("glasshouse.ron");
    let assess = ["assess", &demo];
    let json = ["assess", &demo, "--json", "--line", "CF-1"];
    // What a run prints that comes from nowhere else.
    let rows: [(&str, &[&str], &str); 10] = [
        ("quantity", &["load", "41x10"], "410 ohm"),
        (
            "site",
            &["log", &demo],
            "terminals in J-1 cut back and remade",
        ),
        ("circuit", &json, "\"far_end_db\": -0.0"),
        ("verdict", &json, "\"out-of-tolerance\""),
        ("diagnosis", &json, "\"control-down\""),
        ("analysis", &json, "\"deviation\": -0.75"),
        ("review", &assess, "\n1. PH-4: "),
        ("report", &assess, "| line | zone "),
        ("storage", &["assess", "gone.ron"], "there is no gone.ron"),
        ("cli", &["--help"], "Exit status"),
    ];
    let bench = Bench::new();
    for (module, arguments, wanted) in rows {
        let ran = bench.run(arguments);
        let told = format!("{}{}", ran.out, ran.err);
        assert!(told.contains(wanted), "{module}: {wanted} is not in {told}");
    }
    // `session` and `tui` want a terminal.
    let screen = screen(&bench);
    assert!(
        screen.contains("Fernmoth Glasshouse") && screen.contains("CF-3"),
        "{screen}"
    );
    let mut reached: Vec<&str> = rows
        .iter()
        .map(|row| row.0)
        .chain(["session", "tui"])
        .collect();
    reached.sort_unstable();
    let mut all = modules();
    // The drawer of faulty buildings has no command yet; tests/calibration.rs draws with it.
    all.retain(|module| module != "drawer");
    all.sort_unstable();
    assert_eq!(reached, all);
}

/// What the demo shows on a terminal of 80 x 24, left with `q`.
fn screen(bench: &Bench) -> String {
    let size = PtySize {
        rows: 24,
        cols: 80,
        pixel_width: 0,
        pixel_height: 0,
    };
    let pair = native_pty_system().openpty(size).unwrap();
    let mut command = CommandBuilder::new(cargo_bin!("linewright"));
    command.arg("demo");
    command.cwd(bench.path(""));
    command.env("TERM", "xterm-256color");
    command.env("LANG", "C.UTF-8");
    command.env("LINEWRIGHT_STATE_DIR", bench.path("state"));
    command.env("LINEWRIGHT_DATA_DIR", bench.path("data"));
    let mut child = pair.slave.spawn_command(command).unwrap();
    drop(pair.slave);
    let mut reader = pair.master.try_clone_reader().unwrap();
    let mut writer = pair.master.take_writer().unwrap();
    let (send, receive) = mpsc::channel();
    std::thread::spawn(move || {
        let mut bytes = [0; 4096];
        while let Ok(count @ 1..) = reader.read(&mut bytes) {
            if send.send(bytes[..count].to_vec()).is_err() {
                break;
            }
        }
    });
    let (rows, columns) = (24.try_into().unwrap(), 80.try_into().unwrap());
    let mut terminal = vt100::Parser::new(rows, columns, 0);
    let until = Instant::now() + Duration::from_secs(30);
    let mut shown = String::new();
    while !(shown.contains("24 of 42") && shown.contains("next unread")) {
        assert!(Instant::now() < until, "nothing came: {shown}");
        if let Ok(bytes) = receive.recv_timeout(Duration::from_millis(100)) {
            terminal.process(&bytes);
            shown = terminal.screen().contents();
        }
    }
    // Six lines are OFF: that is said once.
    writer.write_all(b"qq").unwrap();
    while child.try_wait().unwrap().is_none() {
        assert!(Instant::now() < until, "q does not leave");
        let _ = receive.recv_timeout(Duration::from_millis(50));
    }
    assert_eq!(child.wait().unwrap().exit_code(), 0);
    shown
}

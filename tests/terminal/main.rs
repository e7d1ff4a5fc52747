//! The real program in a pseudo-terminal: what is seen, what survives, how the terminal is left.
//!
//! Every wait is for a screen or for the end of the process, never for the end of the output.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout, clippy::print_stderr)]
#![cfg(unix)]

mod failing;
mod killed;
#[path = "../common/pty.rs"]
mod pty;
mod strace;

use portable_pty::{CommandBuilder, native_pty_system};
use pty::*;
use std::sync::atomic::Ordering;
use std::time::Duration;

#[test]
fn a_schedule_is_imported_opened_read_left_and_opened_again_at_the_same_place() {
    let bench = Bench::new();
    let mut terminal = bench.open();
    terminal.wait(&["0 of 42 read", "next unread PH-1", " PH-1>"]);
    let modes = terminal.master.get_termios().unwrap().local_flags;
    terminal.keys("12");
    terminal.wait(&["PH-1 reading> 12", "* typed"]);
    terminal.read("6\r", "PH-1 reads 126 ohm");
    terminal.read("251\r", "PH-2 reads 251 ohm");
    terminal.keys("35\r");
    terminal.wait(&["PH-3 reads 35.0 ohm", "fits nothing"]);
    terminal.read("x10\r", "PH-3 reads 350 ohm");
    terminal.read("640\r", "PH-4 reads 640 ohm");
    terminal.keys("u");
    terminal.wait(&["taken back: PH-4 reads 640 ohm", "3 of 42 read", " PH-4>"]);
    terminal.still();
    let before: Vec<String> = (2..20).map(|row| terminal.row(row)).collect();
    terminal.keys("q");
    assert_eq!(terminal.end(), 0);
    assert_given_back(&terminal);
    assert_ne!(
        terminal.master.get_termios().unwrap().local_flags,
        modes,
        "no longer raw"
    );
    let read = ["PH-1 126.0", "PH-2 251.0", "PH-3 350.0"];
    assert_eq!(bench.read_lines(), read);

    let terminal = bench.open();
    terminal.wait(&[
        "3 of 42 lines read, last PH-3: 350 ohm",
        "next unread PH-4",
        " PH-4>",
    ]);
    terminal.still();
    let after: Vec<String> = (2..20).map(|row| terminal.row(row)).collect();
    assert_eq!(after, before);
    let log = bench.run(&["log", bench.site().to_str().unwrap()]);
    assert!(
        log.contains("640") && log.contains("35"),
        "the log keeps what was taken back: {log}"
    );
}

#[test]
fn what_was_recorded_and_what_was_half_typed_outlive_a_kill() {
    let bench = Bench::new();
    let mut terminal = bench.opened();
    terminal.read("126\r", "PH-1 reads 126 ohm");
    terminal.read("251\r", "PH-2 reads 251 ohm");
    terminal.keys("35x1");
    terminal.wait(&["PH-3 reading> 35x1"]);
    terminal.signal("KILL");
    terminal.end();
    assert_eq!(bench.read_lines(), ["PH-1 126.0", "PH-2 251.0"]);

    let mut terminal = bench.open();
    terminal.wait(&["2 readings recovered", "PH-3 reading> 35x1", "2 of 42 read"]);
    terminal.read("0\r", "PH-3 reads 350 ohm");
    terminal.keys("q");
    assert_eq!(terminal.end(), 0);
    assert_eq!(
        bench.read_lines(),
        ["PH-1 126.0", "PH-2 251.0", "PH-3 350.0"]
    );
}

#[test]
fn everything_the_screen_called_recorded_is_there_after_a_kill_at_any_moment() {
    let bench = Bench::new();
    let mut all: Vec<String> = Vec::new();
    for pause in [0, 3, 11] {
        let mut terminal = bench.open();
        terminal.wait(&[" of 42 read", ">"]);
        terminal.keys("126\r251\r353\r1100\r1330\r");
        std::thread::sleep(Duration::from_millis(pause));
        terminal.signal("KILL");
        terminal.end();
        // Every screen that was ever shown counts, not the last alone.
        let mut seen = parser(80, 24);
        let mut shown = Vec::new();
        for byte in terminal.bytes() {
            seen.process(&[byte]);
            if byte == b'm' || byte == b'h' {
                let message = seen.screen().contents();
                let message = message.lines().nth(21).unwrap_or_default();
                if let Some(said) = message.strip_prefix(" recorded ")
                    && let Some(label) = said.split_whitespace().nth(1)
                    && message.contains(" W ")
                {
                    shown.push(label.to_owned());
                }
            }
        }
        all.extend(shown);
        let there = bench.read_lines();
        for label in &all {
            assert!(
                there.iter().any(|line| line.starts_with(label.as_str())),
                "{label}: {there:?}"
            );
        }
    }
}

#[test]
fn keys_typed_ahead_are_taken_in_order() {
    let bench = Bench::new();
    let mut terminal = bench.opened();
    terminal.keys("126\r25\rx10\r350\ru353\r\r\r1100\r");
    terminal.wait(&["4 of 42 read", "recorded", "PH-4 reads 1100 ohm", " PH-5>"]);
    terminal.keys("q");
    assert_eq!(terminal.end(), 0);
    assert_eq!(
        bench.read_lines(),
        ["PH-1 126.0", "PH-2 250.0", "PH-3 353.0", "PH-4 1100.0"]
    );
}

#[test]
fn ctrl_c_and_a_polite_kill_give_the_terminal_back_and_keep_the_half_typed_entry() {
    for way in ["ctrl-c", "TERM", "INT", "HUP"] {
        let bench = Bench::new();
        let mut terminal = bench.opened();
        terminal.read("126\r", "PH-1 reads 126 ohm");
        terminal.keys("25");
        terminal.wait(&["PH-2 reading> 25"]);
        if way == "ctrl-c" {
            terminal.keys("\x03");
        } else {
            terminal.signal(way);
        }
        assert_eq!(terminal.end(), 0, "{way}");
        assert_given_back(&terminal);
        assert_eq!(bench.read_lines(), ["PH-1 126.0"], "{way}");
        let terminal = bench.open();
        terminal.wait(&["PH-2 reading> 25", "1 of 42 read"]);
    }
}

#[test]
fn a_second_opener_is_told_who_holds_the_site_and_records_nothing() {
    let bench = Bench::new();
    let mut first = bench.opened();
    first.read("126\r", "PH-1 reads 126 ohm");
    let mut second = bench.open_as("engineer B", (80, 24));
    second.wait(&[
        "READ ONLY",
        "engineer A on rack-laptop writes here since",
        "1 of 42 read",
    ]);
    second.keys("251\r");
    second.wait(&["not recorded", "engineer A"]);
    second.keys("jx\ru");
    second.keys("q");
    assert_eq!(second.end(), 0);
    assert_given_back(&second);
    assert_eq!(bench.read_lines(), ["PH-1 126.0"]);
    first.read("251\r", "PH-2 reads 251 ohm");
    first.keys("q");
    assert_eq!(first.end(), 0);
    let third = bench.open_as("engineer B", (80, 24));
    third.wait(&["2 of 42 read", " PH-3>"]);
    assert!(!third.screen().contains("READ ONLY"));
}

#[test]
fn a_second_opener_does_not_wipe_out_what_the_first_has_half_typed() {
    let bench = Bench::new();
    let mut first = bench.opened();
    first.keys("12");
    first.wait(&["PH-1 reading> 12"]);
    let mut second = bench.open_as("engineer B", (80, 24));
    second.wait(&["READ ONLY"]);
    second.keys("/ph3\r");
    second.wait(&[" PH-3>"]);
    second.keys("q");
    assert_eq!(second.end(), 0);
    first.signal("KILL");
    first.end();
    bench.open().wait(&["PH-1 reading> 12"]);
}

#[test]
fn whoever_leaves_is_told_that_the_site_file_could_not_be_saved() {
    let bench = Bench::new();
    let site = std::fs::read(bench.site()).unwrap();
    let mut terminal = bench.opened();
    terminal.read("126\r", "PH-1 reads 126 ohm");
    std::fs::remove_file(bench.site()).unwrap();
    terminal.keys("q");
    assert_eq!(terminal.end(), 0);
    terminal.wait(&["house.ron", "in the journal"]);
    std::fs::write(bench.site(), site).unwrap();
    assert_eq!(bench.read_lines(), ["PH-1 126.0"], "and so it is");
}

#[test]
fn a_resize_keeps_the_entry() {
    let bench = Bench::new();
    let mut terminal = bench.opened();
    terminal.keys("41x");
    terminal.wait(&["PH-1 reading> 41x"]);
    for (columns, rows) in [(160, 48), (60, 20), (20, 6), (100, 30)] {
        terminal.resize(columns, rows);
        if columns >= 60 {
            terminal.wait(&["PH-1 reading> 41x"]);
        } else {
            terminal.wait(&["at least 40 x 10"]);
        }
    }
    terminal.read("10\r", "PH-1 reads 410 ohm");
}

#[test]
fn a_terminal_that_goes_away_ends_the_program_and_loses_nothing() {
    let bench = Bench::new();
    let mut terminal = bench.opened();
    terminal.read("126\r", "PH-1 reads 126 ohm");
    terminal.keys("25");
    terminal.wait(&["PH-2 reading> 25"]);
    // The reader holds the terminal too: a last frame wakes it, and it lets go.
    terminal.stop.store(true, Ordering::SeqCst);
    terminal.resize(90, 25);
    terminal.reader.take().unwrap().join().unwrap();
    let gone = native_pty_system().openpty(size(80, 24)).unwrap();
    terminal.keys = gone.master.take_writer().unwrap();
    drop(std::mem::replace(&mut terminal.master, gone.master));
    terminal.end();
    assert_eq!(bench.read_lines(), ["PH-1 126.0"]);
    let terminal = bench.open();
    terminal.wait(&["1 of 42 read", "PH-2 reading> 25"]);
}

#[test]
fn a_paste_into_the_terminal_never_runs_as_commands() {
    let bench = Bench::new();
    let mut terminal = bench.opened();
    terminal.keys("\x1b[200~126\rq\rq\x1b[201~");
    terminal.wait(&["paste not taken: row 2, q"]);
    terminal.keys("1\x1b[200~26\rq\rq\x1b[201~");
    terminal.wait(&["PH-1 reading> 126"]);
    terminal.read("\r", "PH-1 reads 126 ohm");
    assert!(terminal.child.try_wait().unwrap().is_none());
}

#[test]
fn a_key_costs_few_bytes_an_idle_screen_none_and_the_terminal_is_asked_nothing() {
    let bench = Bench::new();
    let mut terminal = bench.open();
    terminal.wait(&[" PH-1>", "? keys"]);
    let full = terminal.bytes().len();
    let keys = "126\r251\r353\r1100\r1330\r";
    for key in keys.chars() {
        terminal.keys(&key.to_string());
        std::thread::sleep(Duration::from_millis(60));
    }
    terminal.wait(&["5 of 42 read", "recorded"]);
    let mean = (terminal.bytes().len() - full) / keys.len();
    assert!(mean < full / 2, "{mean} bytes a key, {full} a screen");
    // Suspects are reckoned ahead and the site file is saved in a calm moment; then all is still.
    std::thread::sleep(Duration::from_millis(5000));
    let still = terminal.bytes().len();
    std::thread::sleep(Duration::from_millis(2200));
    let bytes = terminal.bytes();
    assert_eq!(String::from_utf8_lossy(&bytes[still..]), "");
    // Device attributes, cursor position, colours: each would wait for an answer.
    let text = String::from_utf8_lossy(&bytes).into_owned();
    for question in ["\x1b[c", "\x1b[0c", "\x1b[6n", "\x1b]11;?", "\x1b[?u"] {
        assert!(!text.contains(question), "{question:?}");
    }
}

#[test]
fn ctrl_l_paints_all_anew_and_the_program_goes_on() {
    let bench = Bench::new();
    let mut terminal = bench.open();
    terminal.wait(&["0 of 42 read", " PH-1>"]);
    terminal.still();
    let before = terminal.screen();
    // What another program wrote over it.
    terminal
        .seen
        .lock()
        .unwrap()
        .parser
        .process(b"\x1b[5;5Hmail for you");
    assert_ne!(terminal.screen(), before);
    terminal.keys("\x0c");
    terminal.wait(&[" PH-1>"]);
    terminal.still();
    assert_eq!(terminal.screen(), before);
    terminal.read("126\r", "PH-1 reads 126 ohm");
}

#[test]
fn a_seal_that_is_broken_is_said_at_opening_with_the_line_that_broke_it() {
    let bench = Bench::bare("");
    let site = bench.site();
    let site = site.to_str().unwrap();
    let file = |name: &str, text: &str| {
        let path = bench.folder().join(name);
        std::fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let schedule = file(
        "schedule.csv",
        "amplifier,rated_w,zone,line,loudspeaker,tap_w\nA1,100,Hall,L-1,LS-1,20\nA1,100,Hall,L-1,LS-2,15\n",
    );
    bench.run(&["import", &schedule, "--to", site]);
    let readings = file(
        "readings.csv",
        "line,kind,value,at,when,known_ohms\n,check,400,,2026-11-24T08:59:00Z,400\n\
         L-1,impedance,286,,2026-11-24T09:00:00Z,\n\
         L-1,listen,heard,LS-1,2026-11-24T09:01:00Z,\n\
         L-1,listen,heard,LS-2,2026-11-24T09:02:00Z,\n",
    );
    bench.run(&["record", site, &readings]);
    let list = bench.run(&["tick", site]);
    let items = list.lines().filter(|line| line.starts_with("  "));
    let items: Vec<&str> = items
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    bench.run(&[&["tick", site][..], &items].concat());
    bench.run(&["sign", site, "--name", "N. N.", "--role", "engineer"]);
    let later = file("later.csv", "line,kind,value\nL-1,impedance,291\n");
    bench.run(&["record", site, &later, "--read-while-off"]);
    let mut terminal = bench.open();
    terminal.wait(&["SEAL BROKEN: L-1 changed since signed", "by N. N."]);
    terminal.keys("q");
    assert_eq!(terminal.end(), 0);
}

#[test]
fn a_fresh_demo_knows_nothing_of_the_one_before_it() {
    let bench = Bench::bare("");
    let demo = |args: &[&str]| {
        let mut command = CommandBuilder::new(LINEWRIGHT);
        command.args(args);
        command.args(["--by", "engineer A"]);
        command.env("LINEWRIGHT_STATE_DIR", bench.folder().join("state"));
        command.env("LINEWRIGHT_DATA_DIR", bench.folder().join("data"));
        command.env("LC_ALL", "C.UTF-8");
        Terminal::start(command, 80, 24)
    };
    // Somewhere else, with a reading that the file holds and a figure half typed.
    let mut terminal = demo(&["demo"]);
    terminal.wait(&["first time here", "24 of 42"]);
    terminal.keys("/th-1\r");
    terminal.wait(&[" TH-1>"]);
    terminal.keys("gb");
    terminal.wait(&["building"]);
    terminal.keys("gs/gp-2\r");
    terminal.wait(&[" GP-2>"]);
    terminal.read("640\r", "GP-2 reads 640 ohm");
    terminal.keys("/gp-2\r41");
    terminal.wait(&["GP-2 reading> 41"]);
    terminal.keys("\x1b");
    terminal.wait(&["dropped, not recorded: 41"]);
    // Six lines are OFF: that is said once.
    terminal.keys("qq");
    assert_eq!(terminal.end(), 0);
    // Opened again one stands there; fresh, one never was there.
    let mut terminal = demo(&["demo"]);
    terminal.wait(&[" GP-2>"]);
    // Six lines are OFF: that is said once.
    terminal.keys("qq");
    assert_eq!(terminal.end(), 0);
    let mut terminal = demo(&["demo", "--fresh"]);
    terminal.wait(&["first time here"]);
    terminal.still();
    let screen = terminal.screen();
    assert!(
        !screen.contains("GP-2>") && !screen.contains("g j"),
        "{screen}"
    );
    terminal.keys("u");
    terminal.wait(&["nothing of this sitting is left to take back"]);
    terminal.keys("gg");
    terminal.wait(&["no more places that way"]);
    // Six lines are OFF: that is said once.
    terminal.keys("qq");
    assert_eq!(terminal.end(), 0);
    // What was typed into the one before is kept, under another name.
    let kept = std::fs::read_dir(bench.folder().join("data")).unwrap();
    let names = kept.map(|it| it.unwrap().file_name().into_string().unwrap());
    let kept = names.filter(|name| name.starts_with("glasshouse-") && name.ends_with(".ron"));
    assert_eq!(kept.count(), 1);
}

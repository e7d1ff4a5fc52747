//! Data on standard output, messages on standard error, pipes that close early, the demo without a
//! terminal.

use super::bench::{Bench, SMALL, ran, shipped};
use std::process::Stdio;

#[test]
fn commands_that_give_data_say_nothing_beside_it() {
    let bench = Bench::demo();
    for arguments in [
        &["assess", "site.ron"][..],
        &["assess", "site.ron", "--json"],
        &["assess", "site.ron", "--line", "PH-1"],
        &["log", "site.ron"],
        &["load", "270"],
        &["demo"],
        &["--help"],
        &["assess", "--help"],
        &["--version"],
    ] {
        let ran = bench.run(arguments);
        assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{arguments:?}");
        assert!(
            ran.out.len() > 10 && ran.out.ends_with('\n'),
            "{arguments:?}: {}",
            ran.out
        );
    }
}

#[test]
fn commands_that_do_something_say_so_on_standard_error_alone() {
    let bench = Bench::new();
    bench.write("schedule.csv", SMALL);
    bench.write("readings.csv", "line,kind,value\nL-1,impedance,286\n");
    for (arguments, told) in [
        (
            &["import", "schedule.csv", "--to", "site.ron"][..],
            "1 amplifier, 1 line, 2 loudspeakers",
        ),
        (
            &["record", "site.ron", "readings.csv"],
            "1 row recorded, 0 there already",
        ),
        (
            &["import", "schedule.csv", "--to", "site.ron"],
            "0 items revised",
        ),
        (
            &["report", "site.ron", "--to", "report.md"],
            "report.md written",
        ),
        (&[], "no site was opened yet"),
    ] {
        let ran = bench.run(arguments);
        assert_eq!((ran.status, ran.out.as_str()), (0, ""), "{arguments:?}");
        assert!(ran.err.contains(told), "{arguments:?}: {}", ran.err);
    }
}

#[test]
fn the_demo_without_a_terminal_prints_its_assessment_and_makes_no_file() {
    let bench = Bench::new();
    let text = bench.run(&["demo"]).done();
    assert!(text.starts_with("# Fernmoth Glasshouse\n"), "{text}");
    assert!(text.contains("24 of 42 lines read"), "{text}");
    assert!(
        bench.files().is_empty() && !bench.path("data").exists() && !bench.path("state").exists()
    );
    // The same as of the shipped file.
    assert_eq!(
        bench.run(&["assess", &shipped("glasshouse.ron")]).done(),
        text
    );
    assert_eq!(bench.run(&["demo", "--fresh"]).done(), text);
}

#[test]
fn a_pipe_that_closes_early_is_no_failure() {
    let bench = Bench::demo();
    for arguments in [
        &["assess", "site.ron", "--json"][..],
        &["assess", "site.ron"],
        &["log", "site.ron"],
        &["demo"],
        &["load", "270"],
        &["--help"],
    ] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let ran = ran(bench.command(arguments).stdout(writer).output().unwrap());
        assert_eq!((ran.status, ran.err.as_str()), (0, ""), "{arguments:?}");
    }
}

#[test]
fn nobody_listening_to_messages_changes_nothing_that_is_done() {
    let bench = Bench::new();
    bench.write("schedule.csv", SMALL);
    bench.write(
        "readings.csv",
        "line,kind,value\nL-1,impedance,286\nL-9,impedance,286\n",
    );
    for (arguments, status) in [
        (&["import", "schedule.csv", "--to", "site.ron"][..], 0),
        (&["record", "site.ron", "readings.csv"], 2),
        (&["assess", "none.ron"], 3),
        (&["report", "site.ron", "--to", "report.md"], 0),
    ] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let ended = bench
            .command(arguments)
            .stdout(Stdio::null())
            .stderr(writer)
            .status()
            .unwrap();
        assert_eq!(ended.code(), Some(status), "{arguments:?}");
    }
    assert!(bench.path("report.md").exists());
}

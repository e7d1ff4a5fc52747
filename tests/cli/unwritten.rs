//! Refusals: status 2 for what was handed in, 3 for what the disk or another program refuses, and
//! in both cases nothing written.

use super::bench::{Bench, shipped};
use std::fs::File;

/// Every command that takes a site file, on `site.ron`.
const ON_A_SITE: [&[&str]; 11] = [
    &["assess", "site.ron"],
    &["log", "site.ron"],
    &["record", "site.ron", "readings.csv"],
    &["report", "site.ron", "--to", "report.md"],
    &["review", "site.ron"],
    &["settle", "site.ron", "L-1", "--accept", "wanted"],
    &["tick", "site.ron", "told"],
    &["sign", "site.ron", "--name", "N. N.", "--role", "engineer"],
    &["import", "schedule.csv", "--to", "site.ron"],
    &["merge", "sound.ron", "site.ron", "sound.ron"],
    &["merge", "sound.ron", "sound.ron", "site.ron"],
];

fn bent(change: impl Fn(&str) -> String) -> (Bench, String) {
    let bench = Bench::sound();
    let sound = bench.text("site.ron");
    bench.write("sound.ron", &sound);
    let text = change(&sound);
    assert_ne!(text, sound);
    bench.write("site.ron", &text);
    bench.write("readings.csv", "line,kind,value\nL-1,impedance,287\n");
    // What earlier commands left beside the site is not the matter here.
    for name in bench.files().keys().filter(|name| name.contains(".ron.")) {
        std::fs::remove_file(bench.path(name)).unwrap();
    }
    (bench, text)
}

/// Line and column, from 1, of a byte.
fn place(text: &str, at: usize) -> (usize, usize) {
    let before = &text[..at];
    let line = before.matches('\n').count() + 1;
    let column = before.rsplit('\n').next().unwrap().chars().count() + 1;
    (line, column)
}

/// The places `N:N` that a message names behind a colon.
fn places(message: &str) -> Vec<(usize, usize)> {
    let numbers: Vec<Option<usize>> = message
        .split(|c: char| c != ':' && !c.is_ascii_digit())
        .flat_map(|run| run.split(':').map(|part| part.parse().ok()).chain([None]))
        .collect();
    numbers
        .windows(2)
        .filter_map(|two| Some((two[0]?, two[1]?)))
        .collect()
}

#[track_caller]
fn refused_everywhere(
    change: impl Fn(&str) -> String,
    wanted: &[&str],
    at: impl Fn(&str) -> (usize, usize),
) {
    for arguments in ON_A_SITE {
        let (bench, text) = bent(&change);
        let before = bench.files();
        let ran = bench.run(arguments);
        ran.failed(2, &arguments);
        for word in wanted {
            assert!(
                ran.err.contains(word),
                "{arguments:?}: {word} is not in {}",
                ran.err
            );
        }
        // `merge` knows the three by their part, the others by their name.
        let named = ["site.ron:", "ours:", "theirs:"]
            .iter()
            .any(|name| ran.err.contains(name));
        assert!(named, "{arguments:?}: {}", ran.err);
        // A place may be named by the blank before what stands there.
        let (line, column) = at(&text);
        let there = |found: &(usize, usize)| found.0 == line && found.1.abs_diff(column) <= 1;
        assert!(
            places(&ran.err).iter().any(there),
            "{:?} wanted: {}",
            at(&text),
            ran.err
        );
        let after = bench.files();
        for (name, bytes) in &before {
            assert_eq!(after.get(name), Some(bytes), "{arguments:?}: {name}");
        }
        let new: Vec<&String> = after
            .keys()
            .filter(|name| !before.contains_key(*name))
            .collect();
        assert!(
            new.iter().all(|name| name.ends_with(".lock")),
            "{arguments:?}: {new:?}"
        );
    }
}

#[test]
fn a_truncated_site_file_is_refused_with_its_place_and_stays_as_it_was() {
    refused_everywhere(
        |sound| sound[..sound.find("orde").unwrap() + 4].to_owned(),
        &["orde"],
        |text| place(text, text.len() - 4),
    );
}

#[test]
fn a_value_broken_by_hand_is_refused_with_its_place_and_stays_as_it_was() {
    refused_everywhere(
        |sound| sound.replacen("tap_w: 20.0", "tap_w: twenty", 1),
        &["tap_w"],
        |text| place(text, text.find("twenty").unwrap()),
    );
}

#[test]
fn a_field_that_format_1_has_not_is_refused_with_its_place() {
    refused_everywhere(
        |sound| sound.replacen("tap_w: 20.0", "wattage: 3, tap_w: 20.0", 1),
        &["wattage", "tap_w"],
        |text| place(text, text.find("wattage").unwrap()),
    );
}

#[test]
fn an_impossible_value_is_refused_with_the_row_it_stands_in() {
    refused_everywhere(
        |sound| sound.replacen("tap_w: 20.0", "tap_w: -20.0", 1),
        &["LS-1", "tap_w", "-20", "wanted"],
        |text| {
            let (line, _) = place(text, text.find("-20.0").unwrap());
            let row = text.lines().nth(line - 1).unwrap();
            (line, row.len() - row.trim_start().len() + 1)
        },
    );
}

#[test]
fn a_newer_format_is_refused_with_its_place() {
    refused_everywhere(
        |sound| sound.replacen("format: 1,", "format: 2,", 1),
        &["format 2", "format 1", "newer"],
        |text| place(text, text.find("2,").unwrap()),
    );
}

#[test]
fn bad_usage_is_2_and_says_how_it_is_used() {
    let bench = Bench::sound();
    let before = bench.files();
    for (arguments, word) in [
        (&["assess"][..], "Usage"),
        (&["assess", "site.ron", "--yaml"], "--yaml"),
        (&["assess", "site.ron", "--line"], "--line"),
        (&["import", "schedule.csv"], "--to"),
        (
            &["import", "schedule.csv", "--to", "new.ron", "--name", " "],
            "--name: found \" \"",
        ),
        (&["record", "site.ron"], "Usage"),
        (&["merge", "site.ron", "site.ron"], "Usage"),
        (&["report", "site.ron"], "--to"),
        (&["load", "412", "413"], "413"),
        (&["asess"], "did you mean assess?"),
        (&["frobnicate"], "--help"),
        (&["site.ron"], "terminal"),
    ] {
        let ran = bench.run(arguments);
        ran.failed(2, &arguments);
        assert!(ran.err.contains(word), "{arguments:?}: {}", ran.err);
    }
    assert_eq!(bench.files(), before);
}

#[test]
fn a_report_of_a_kind_there_is_not_is_2_and_no_file() {
    let bench = Bench::sound();
    let before = bench.files();
    for to in ["report.txt", "report", "report.docx", "md", ".md"] {
        let ran = bench.run(&["report", "site.ron", "--to", to]);
        ran.failed(2, &"");
        for word in [to, ".html", ".pdf", ".md", ".csv", ".json"] {
            assert!(ran.err.contains(word), "{}", ran.err);
        }
    }
    assert_eq!(bench.files(), before);
}

#[test]
fn a_readings_file_that_is_none_is_2() {
    let bench = Bench::sound();
    for text in [
        "",
        "just words\n",
        "line,kind\nL-1,impedance\n",
        "\u{0}\u{1}\u{2}",
    ] {
        bench.write("bad.csv", text);
        let before = bench.files();
        let ran = bench.run(&["record", "site.ron", "bad.csv"]);
        ran.failed(2, &text);
        assert!(ran.err.contains("bad.csv"), "{}", ran.err);
        assert_eq!(bench.files(), before);
    }
}

#[test]
fn what_is_not_there_is_3() {
    let bench = Bench::sound();
    let before = bench.files();
    for arguments in [
        &["assess", "none.ron"][..],
        &["log", "none.ron"],
        &["record", "none.ron", "readings.csv"],
        &["record", "site.ron", "none.csv"],
        &["report", "none.ron", "--to", "x.md"],
        &["import", "none.csv", "--to", "new.ron"],
        &[
            "import",
            "schedule.csv",
            "--to",
            "new.ron",
            "--cables",
            "none.csv",
        ],
        &["merge", "none.ron", "site.ron", "site.ron"],
        &["none.ron"],
    ] {
        let ran = bench.run(arguments);
        ran.failed(3, &arguments);
        assert!(ran.err.contains("none."), "{arguments:?}: {}", ran.err);
    }
    assert_eq!(bench.files(), before);
}

#[test]
fn what_cannot_be_written_is_3_and_names_the_file_that_was_asked_for() {
    let bench = Bench::sound();
    let before = bench.files();
    for arguments in [
        &["import", "schedule.csv", "--to", "gone/new.ron"][..],
        &["report", "site.ron", "--to", "gone/report.md"],
        &["report", "site.ron", "--to", "site.ron/report.md"],
    ] {
        let ran = bench.run(arguments);
        ran.failed(3, &arguments);
        let wanted = format!("{} cannot be written", arguments.last().unwrap());
        assert!(ran.err.contains(&wanted), "{}", ran.err);
    }
    assert_eq!(bench.files(), before);
}

#[cfg(target_os = "linux")]
#[test]
fn standard_output_on_a_full_disk_is_3() {
    let bench = Bench::sound();
    for arguments in [
        &["assess", "site.ron", "--json"][..],
        &["log", "site.ron"],
        &["load", "270"],
        &["demo"],
    ] {
        let full = File::options().write(true).open("/dev/full").unwrap();
        let output = bench.command(arguments).stdout(full).output().unwrap();
        let ran = super::bench::ran(output);
        assert_eq!(ran.status, 3, "{arguments:?}");
        assert!(ran.err.contains("standard output"), "{}", ran.err);
    }
}

#[test]
fn a_site_that_another_program_holds_is_3_to_write_and_still_to_be_read() {
    let bench = Bench::sound();
    bench.write("more.csv", "line,kind,value\nL-1,impedance,287\n");
    bench.write("revised.csv", super::bench::SMALL.replace(",20", ",10"));
    let lock = File::create(bench.path("site.ron.lock")).unwrap();
    lock.try_lock().unwrap();
    let before = bench.files();
    for arguments in [
        &["record", "site.ron", "more.csv"][..],
        &["import", "revised.csv", "--to", "site.ron"],
    ] {
        let ran = bench.run(arguments);
        ran.failed(3, &arguments);
        assert!(ran.err.contains("nothing recorded"), "{}", ran.err);
        assert_eq!(bench.files(), before);
    }
    let text = bench.run(&["assess", "site.ron"]).done();
    assert!(
        text.contains("286 ohm") && !text.contains("287 ohm"),
        "{text}"
    );
    lock.unlock().unwrap();
    bench.run(&["record", "site.ron", "more.csv"]).done();
    assert!(
        bench
            .run(&["assess", "site.ron"])
            .done()
            .contains("287 ohm")
    );
}

#[test]
fn a_schedule_for_another_building_beside_the_demo_leaves_no_trace() {
    let bench = Bench::sound();
    let before = bench.files();
    let ran = bench.run(&[
        "import",
        &shipped("glasshouse-schedule.csv"),
        "--to",
        "site.ron",
    ]);
    assert_eq!(ran.status, 2);
    assert_eq!(bench.files(), before);
}

#[test]
fn a_report_never_takes_the_place_of_its_site() {
    let bench = Bench::sound();
    let site = bench.text("site.ron");
    bench.write("site.json", &site);
    let ran = bench.run(&["report", "site.json", "--to", "./site.json"]);
    assert_eq!(ran.status, 2, "{}", ran.err);
    assert!(ran.err.contains("the site file itself"), "{}", ran.err);
    assert_eq!(bench.text("site.json"), site);
}

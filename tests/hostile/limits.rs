//! Each limit of what a file may say, and one more.

use super::*;

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
        assert!(ran.took < ENDS, "took {:?}", ran.took);
        // Of a line of a megabyte a piece is shown.
        assert!(ran.err.len() < 4000, "{} bytes said", ran.err.len());
        let ran = bench.refused(
            &["merge", "house.ron", "house.ron", "bad.ron"],
            &["bad.ron:"],
        );
        assert!(ran.took < ENDS);
    }
    let json = format!("{{\"id\":{}", "[".repeat(deep));
    journal(&bench, &[&head(&bench), &json]);
    let ran = bench.run(&["assess", "house.ron"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(ran.err.contains("line 2"), "{}", ran.err);
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
    assert!(ran.took < ENDS, "took {:?}", ran.took);
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
    assert!(ran.took < ENDS, "took {:?}", ran.took);
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
    assert!(ran.took < ENDS, "took {:?}", ran.took);
}

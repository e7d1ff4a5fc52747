//! Steps 12 to 14 with the real program from end to end, and every way in which a signed site can be
//! changed, told at every look with the line's name.

use super::bench::Bench;

/// Read wrong, repaired, read again, heard, ticked and signed.
fn signed() -> Bench {
    let bench = Bench::sound();
    let run = |arguments: &[&str]| {
        let ran = bench.run(arguments);
        assert_eq!(ran.status, 0, "{arguments:?}: {}", ran.err);
    };
    bench.write(
        "day.csv",
        "line,kind,value,at,when\nL-1,impedance,250,,2026-11-24T09:05:00Z\n\
         L-1,listen,heard,LS-1,2026-11-24T09:06:00Z\nL-1,listen,heard,LS-2,2026-11-24T09:07:00Z\n",
    );
    run(&["record", "site.ron", "day.csv"]);
    run(&[
        "settle",
        "site.ron",
        "L-1",
        "--repaired",
        "LS-2 tap 20 to 15 W",
        "--cause",
        "wrong-tap",
        "--at",
        "LS-2",
    ]);
    bench.write(
        "again.csv",
        "line,kind,value,at\nL-1,impedance,286,\nL-1,listen,heard,LS-1\nL-1,listen,heard,LS-2\n",
    );
    run(&["record", "site.ron", "again.csv"]);
    bench.read_resistor();
    let list = bench.run(&["tick", "site.ron"]).done();
    let items = list.lines().filter(|line| line.starts_with("  "));
    let items: Vec<&str> = items
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    run(&[&["tick", "site.ron"][..], &items].concat());
    run(&[
        "sign",
        "site.ron",
        "--name",
        "N. Engineer",
        "--role",
        "commissioning engineer",
    ]);
    bench
}

/// The broken seal and its line are said by every command that looks.
#[track_caller]
fn is_seen(bench: &Bench, how: &str) {
    for arguments in [
        &["assess", "site.ron"][..],
        &["review", "site.ron"],
        &["report", "site.ron", "--to", "seen.md", "--force"],
    ] {
        let ran = bench.run(arguments);
        assert_eq!(ran.status, 0, "{}", ran.err);
        assert!(
            ran.err.contains("SEAL BROKEN"),
            "{arguments:?}: {}",
            ran.err
        );
        let line = ran.err.lines().find(|line| line.contains(how));
        assert!(
            line.is_some_and(|line| line.contains("L-1")),
            "{how}: {}",
            ran.err
        );
    }
    assert!(bench.text("seen.md").contains("SEAL BROKEN"));
    let json = bench.json(&["assess", "site.ron", "--json"]);
    assert_eq!(json["seals"][0]["intact"], false);
}

#[test]
fn a_line_is_mended_signed_handed_over_and_held_against_its_record_a_year_later() {
    let bench = signed();
    let review = bench.run(&["review", "site.ron"]);
    assert_eq!(review.err, "");
    assert!(
        review.out.contains("Nothing stands in the way of signing."),
        "{}",
        review.out
    );
    for to in ["r.pdf", "r.html", "r.md", "r.csv", "r.json"] {
        let ran = bench.run(&["report", "site.ron", "--to", to]);
        assert_eq!((ran.status, ran.err), (0, format!("{to} written\n")));
    }
    let told = bench.text("r.md");
    for wanted in [
        "repaired: LS-2 tap 20 to 15 W, at LS-2, found: wrong tap; as found 250 ohm",
        "N. Engineer, commissioning engineer",
        "intact: nothing that was signed has changed",
    ] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    // Next year: the same schedule, another meter's day, a quarter less load.
    bench
        .run(&["import", "schedule.csv", "--to", "next.ron"])
        .done();
    bench.write(
        "next.csv",
        "line,kind,value,when\nL-1,impedance,380,2027-11-24T09:00:00Z\n",
    );
    bench.run(&["record", "next.ron", "next.csv"]).done();
    for old in ["site.ron", "r.json"] {
        let json = bench.json(&["assess", "next.ron", "--json", "--baseline", old]);
        let row = &json["baseline"]["lines"][0];
        assert_eq!(row["called"], true, "{old}");
        // 286 over 380, less one, whatever was learned of either meter.
        let drift = row["drift"].as_f64().unwrap();
        assert!((drift + 0.25).abs() < 0.03, "{old}: {drift}");
    }
}

#[test]
fn a_reading_changed_by_hand_in_the_file_is_said_and_names_its_line() {
    let bench = signed();
    let text = bench.text("site.ron");
    let changed = text
        .replace("value: Ohm(286.0)", "value: Ohm(285.0)")
        .replace("text: \"286\"", "text: \"285\"");
    assert_ne!(changed, text);
    bench.write("site.ron", changed);
    is_seen(&bench, "no entry explains it");
}

#[test]
fn a_reading_struck_is_said_and_names_its_line() {
    let bench = signed();
    let log = bench.run(&["log", "site.ron"]).done();
    let row = log
        .lines()
        .rfind(|row| row.contains(",impedance,286,"))
        .unwrap();
    let id = row.split(',').next().unwrap();
    bench.write(
        "void.csv",
        format!("line,kind,value,corrects\nL-1,impedance,void,{id}\n"),
    );
    let ran = bench.run(&["record", "site.ron", "void.csv"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    is_seen(&bench, "struck: L-1 impedance reading 286");
}

#[test]
fn a_reading_merged_in_from_a_colleagues_copy_is_said_and_names_its_line() {
    let bench = Bench::sound();
    // The colleague's copy is of the morning and holds one reading that ours does not.
    bench.write("theirs.ron", bench.read("site.ron"));
    bench.write("base.ron", bench.read("site.ron"));
    bench.write(
        "theirs.csv",
        "line,kind,value,when\nL-1,impedance,283,2026-11-24T09:02:00Z\n",
    );
    bench.run(&["record", "theirs.ron", "theirs.csv"]).done();
    let ours = signed_from(bench);
    ours.run(&["merge", "base.ron", "site.ron", "theirs.ron"])
        .done();
    is_seen(&ours, "was not there when it was signed");
}

/// Heard, ticked and signed as it stands.
fn signed_from(bench: Bench) -> Bench {
    bench.write(
        "heard.csv",
        "line,kind,value,at,when\nL-1,listen,heard,LS-1,2026-11-24T09:06:00Z\n\
         L-1,listen,heard,LS-2,2026-11-24T09:07:00Z\n",
    );
    bench.run(&["record", "site.ron", "heard.csv"]).done();
    bench.read_resistor();
    let list = bench.run(&["tick", "site.ron"]).done();
    let items = list.lines().filter(|line| line.starts_with("  "));
    let items: Vec<&str> = items
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    bench
        .run(&[&["tick", "site.ron"][..], &items].concat())
        .done();
    bench
        .run(&["sign", "site.ron", "--name", "N. N.", "--role", "engineer"])
        .done();
    bench
}

#[test]
fn an_edit_of_the_design_is_said_with_what_it_changed_and_names_its_line() {
    let bench = signed();
    let schedule = bench.text("schedule.csv");
    assert!(schedule.contains("LS-2,15"));
    bench.write("revised.csv", schedule.replace("LS-2,15", "LS-2,10"));
    bench
        .run(&["import", "revised.csv", "--to", "site.ron"])
        .done();
    is_seen(&bench, "L-1 LS-2 design edited: tap 15 W -> 10 W");
}

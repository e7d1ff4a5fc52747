//! Steps 12 to 14 of the job with the real program: what stands in the way, a word on each, a
//! signature, a record, and a change that is seen.

use super::bench::Bench;

const SIGN: [&str; 6] = [
    "sign",
    "site.ron",
    "--name",
    "N. Engineer",
    "--role",
    "commissioning engineer",
];

/// Reads all, hears all.
fn worked_on() -> Bench {
    let bench = Bench::sound();
    bench.write(
        "heard.csv",
        "line,kind,value,at,when\nL-1,listen,heard,LS-1,2026-11-24T09:01:00Z\n\
         L-1,listen,heard,LS-2,2026-11-24T09:02:00Z\n",
    );
    bench.run(&["record", "site.ron", "heard.csv"]).done();
    bench
}

fn tick_all(bench: &Bench) {
    bench.read_resistor();
    let list = bench.run(&["tick", "site.ron"]).done();
    let items = list
        .lines()
        .filter(|line| line.starts_with("  "))
        .filter_map(|line| line.split_whitespace().next());
    let all: Vec<&str> = ["tick", "site.ron"].into_iter().chain(items).collect();
    assert_eq!(all.len(), 2 + 27);
    bench.run(&all).done();
}

fn signed() -> Bench {
    let bench = worked_on();
    tick_all(&bench);
    let ran = bench.run(&SIGN);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(
        ran.err.contains("signed for the whole site by N. Engineer"),
        "{}",
        ran.err
    );
    bench
}

#[test]
fn a_tick_that_all_was_heard_is_contradicted_by_a_silent_loudspeaker_and_sign_says_what_to_do() {
    let bench = worked_on();
    tick_all(&bench);
    bench.write("silent.csv", "line,kind,value,at\nL-1,listen,silent,LS-2\n");
    bench.run(&["record", "site.ron", "silent.csv"]).done();
    let why = "a spare, not hung yet";
    bench
        .run(&["settle", "site.ron", "L-1", "--accept", why])
        .done();
    bench.refused(
        &SIGN,
        &[
            "contradicted: every zone heard on main is ticked, yet L-1 LS-2 silent",
            "--not-here WHY` what was not heard",
        ],
    );
    let not_all = [
        "tick",
        "site.ron",
        "heard-main",
        "--not-here",
        "all but LS-2",
    ];
    bench.run(&not_all).done();
    let ran = bench.run(&SIGN);
    assert_eq!(ran.status, 0, "{}", ran.err);
}

/// So many days from the one that it is.
fn day(days: i64) -> String {
    let away = jiff::SignedDuration::from_hours(days * 24);
    let then = jiff::Timestamp::now().checked_add(away).unwrap();
    then.to_zoned_datetime(jiff::tz::TimeZone::UTC)
        .date()
        .to_string()
}

#[test]
fn signing_is_refused_politely_while_anything_stands_in_the_way_and_writes_nothing() {
    let bench = worked_on();
    let before = bench.files();
    let ran = bench.run(&SIGN);
    ran.failed(2, &"");
    assert!(
        ran.err
            .starts_with("nothing signed: 18 things stand in the way"),
        "{}",
        ran.err
    );
    assert!(
        ran.err.contains("A1: not ticked: first power at low level"),
        "{}",
        ran.err
    );
    assert_eq!(bench.files(), before);
    let review = bench.run(&["review", "site.ron"]).done();
    assert!(
        review.contains("In the way of signing: 18, worst first"),
        "{review}"
    );
}

#[test]
fn a_word_a_tick_and_a_signature_later_the_record_says_who_signed() {
    let bench = signed();
    let json = bench.json(&["assess", "site.ron", "--json"]);
    let seal = &json["seals"][0];
    assert_eq!(seal["name"], "N. Engineer");
    assert_eq!(seal["intact"], true);
    assert_eq!(seal["sha256"].as_str().unwrap().len(), 64);
    let text = bench.run(&["assess", "site.ron"]).done();
    assert!(text.contains("for the whole site: seal intact"), "{text}");
    bench.run(&["report", "site.ron", "--to", "r.md"]).done();
    let record = bench.text("r.md");
    assert!(
        record.contains("intact: nothing that was signed has changed"),
        "{record}"
    );
}

#[test]
fn a_later_reading_is_said_at_every_look_and_names_its_line() {
    let bench = signed();
    bench.write("later.csv", "line,kind,value\nL-1,impedance,291\n");
    let read = ["record", "site.ron", "later.csv", "--read-while-off"];
    bench.run(&read).done();
    for arguments in [
        &["assess", "site.ron"][..],
        &["report", "site.ron", "--to", "r.html"],
    ] {
        let ran = bench.run(arguments);
        assert!(ran.err.contains("SEAL BROKEN"), "{}", ran.err);
        assert!(ran.err.contains("L-1: after the signature"), "{}", ran.err);
    }
    assert!(bench.text("r.html").contains("BROKEN"));
}

#[test]
fn a_later_reading_that_was_struck_is_still_said_with_its_line_and_breaks_nothing() {
    let bench = signed();
    bench.write("later.csv", "line,kind,value\nL-1,impedance,291\n");
    let read = ["record", "site.ron", "later.csv", "--read-while-off"];
    bench.run(&read).done();
    let log = bench.run(&["log", "site.ron"]).done();
    let mut rows = log.lines();
    let place = rows
        .next()
        .and_then(|heads| heads.split(',').position(|head| head == "id"));
    let row = rows.find(|row| row.contains(",291,")).unwrap();
    let id = row.split(',').nth(place.unwrap()).unwrap().to_owned();
    bench.write(
        "struck.csv",
        format!("line,kind,value,corrects\nL-1,impedance,void,{id}\n"),
    );
    bench.run(&["record", "site.ron", "struck.csv"]).done();
    for arguments in [
        &["assess", "site.ron"][..],
        &["review", "site.ron"],
        &["report", "site.ron", "--to", "r.md"],
    ] {
        let ran = bench.run(arguments);
        assert!(
            ran.err
                .contains("seal: figures as N. Engineer signed them at ")
                && ran.err.contains("changed and taken back since")
                && ran.err.contains("L-1: after the signature"),
            "{}",
            ran.err
        );
        assert!(!ran.err.contains("BROKEN"), "{}", ran.err);
    }
    assert!(!bench.text("r.md").contains("BROKEN"));
    let json = bench.json(&["assess", "site.ron", "--json"]);
    assert_eq!(json["seals"][0]["intact"], false);
    assert_eq!(json["seals"][0]["taken_back"], true);
}

#[test]
fn a_flagged_line_is_settled_with_a_reason_and_a_snag_with_owner_and_date() {
    let bench = worked_on();
    tick_all(&bench);
    bench.write("worse.csv", "line,kind,value\nL-1,impedance,250\n");
    let read = ["record", "site.ron", "worse.csv", "--read-while-off"];
    bench.run(&read).done();
    for arguments in [
        &["settle", "site.ron", "L-1"][..],
        &["settle", "site.ron", "L-1", "--accept", " "],
        &[
            "settle", "site.ron", "L-1", "--snag", "tap", "--owner", "N. N.",
        ],
        &[
            "settle", "site.ron", "L-1", "--snag", "tap", "--owner", "N. N.", "--due", "soon",
        ],
        &["settle", "site.ron", "L-7", "--accept", "wanted"],
        &[
            "settle",
            "site.ron",
            "L-1",
            "--snag",
            "tap",
            "--owner",
            "N. N.",
            "--due",
            &day(-2),
        ],
    ] {
        bench.refused(arguments, &[]);
    }
    let ran = bench.run(&[
        "settle",
        "site.ron",
        "L-1",
        "--snag",
        "LS-2 on 20 W",
        "--owner",
        "N. N.",
        "--due",
        &day(30),
    ]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let review = bench.run(&["review", "site.ron"]).done();
    let said = format!("snag, owner N. N., by {}: LS-2 on 20 W", day(30));
    assert!(review.contains(&said), "{review}");
    // Signed for its line alone: a load over the headroom of the output is another matter.
    bench.run(&[&SIGN[..], &["--scope", "L-1"]].concat()).done();
}

#[test]
fn a_tick_of_a_name_that_there_is_not_is_2_and_suggests() {
    let bench = worked_on();
    let ran = bench.run(&["tick", "site.ron", "low-powr"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("did you mean low-power?"), "{}", ran.err);
}

#[test]
fn a_repair_with_its_cause_wants_a_new_reading_and_then_stands_among_what_is_settled() {
    let bench = worked_on();
    bench.write("worse.csv", "line,kind,value\nL-1,impedance,250\n");
    let read = ["record", "site.ron", "worse.csv", "--read-while-off"];
    bench.run(&read).done();
    let repaired = [
        "settle",
        "site.ron",
        "L-1",
        "--repaired",
        "LS-2 tap 20 to 15 W",
    ];
    for (more, told) in [
        (["--cause", "gremlin"], "wrong-tap"),
        (["--at", "LS-22"], "a label of L-1 was wanted"),
    ] {
        let ran = bench.run(&[&repaired[..], &more].concat());
        assert_eq!(ran.status, 2);
        assert!(ran.err.contains(told), "{}", ran.err);
    }
    let found = ["--cause", "wrong-tap", "--at", "LS-2"];
    bench.run(&[&repaired[..], &found].concat()).done();
    let review = bench.run(&["review", "site.ron", "--scope", "L-1"]).done();
    assert!(review.contains("- L-1: not read\n"), "{review}");
    bench.write("again.csv", "line,kind,value\nL-1,impedance,286\n");
    bench.run(&["record", "site.ron", "again.csv"]).done();
    let review = bench.run(&["review", "site.ron", "--scope", "L-1"]).done();
    assert!(
        review.contains("- L-1: read again: reads 286 ohm"),
        "{review}"
    );
    assert!(
        review.contains("; repaired: LS-2 tap 20 to 15 W"),
        "{review}"
    );
    let json = bench.json(&["assess", "site.ron", "--json"]);
    let rates = json["rates"].as_array().unwrap();
    let tap = rates
        .iter()
        .find(|row| row["fault"] == "wrong-tap")
        .unwrap();
    assert_eq!(tap["confirmed"], 1);
}

#[test]
fn one_word_is_said_on_several_things_in_one_call_or_on_none_of_them() {
    let bench = worked_on();
    let before = bench.files();
    let word = ["--accept", "wanted so"];
    let wrong = [&["settle", "site.ron", "L-1", "L-7"][..], &word].concat();
    let ran = bench.run(&wrong);
    assert_eq!(ran.status, 2, "{}", ran.err);
    assert!(ran.err.contains("label: found \"L-7\""), "{}", ran.err);
    assert_eq!(bench.files(), before);
    let right = [&["settle", "site.ron", "L-1", "A1/1"][..], &word].concat();
    let ran = bench.run(&right);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(
        ran.err.contains("L-1 accepted; wanted so") && ran.err.contains("A1 out 1 accepted"),
        "{}",
        ran.err
    );
    let ran = bench.run(&["settle", "site.ron", "L-1", "A1/1", "--repaired", "remade"]);
    assert_eq!(ran.status, 2);
    assert!(ran.err.contains("2 labels, one line"), "{}", ran.err);
}

#[test]
fn tick_without_an_item_says_what_is_ticked() {
    let bench = worked_on();
    let list = || bench.run(&["tick", "site.ron"]).done();
    assert!(list().ends_with("nothing is ticked on this visit\n"));
    bench.run(&["tick", "site.ron", "told"]).done();
    let told = list();
    assert!(
        told.contains("ticked on this visit:\n- told: A1, "),
        "{told}"
    );
}

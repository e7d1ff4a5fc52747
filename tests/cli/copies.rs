//! `merge`: copies of one site that went different ways.

use super::bench::{Bench, SMALL, shipped};
use super::shape::{assessment, wrong};
use serde_json::Value;

/// The demo's plan in `base.ron`, copied to `a.ron` and `b.ron`.
fn copies() -> Bench {
    let bench = Bench::new();
    bench
        .run(&[
            "import",
            &shipped("glasshouse-schedule.csv"),
            "--to",
            "base.ron",
        ])
        .done();
    for copy in ["a.ron", "b.ron"] {
        bench.write(copy, bench.read("base.ron"));
    }
    bench
}

fn lines(bench: &Bench, site: &str) -> Vec<(String, Value)> {
    let all = bench.json(&["assess", site, "--json"]);
    let lines = all["lines"].as_array().unwrap().iter();
    lines
        .filter(|line| !line["measured"].is_null())
        .map(|line| {
            (
                line["line"].as_str().unwrap().to_owned(),
                line["measured"]["ohms"].clone(),
            )
        })
        .collect()
}

#[test]
fn two_engineers_readings_are_united_whichever_copy_is_ours() {
    let bench = copies();
    bench.write("a.csv", "line,kind,value,when\nPH-1,impedance,126,2026-11-24T09:00:00Z\nPH-2,impedance,251,2026-11-24T09:02:00Z\n");
    bench.write("b.csv", "line,kind,value,when\nGP-1,impedance,170,2026-11-24T09:01:00Z\nPH-2,impedance,251,2026-11-24T09:02:00Z\n");
    for copy in ["a", "b"] {
        bench
            .run(&["record", &format!("{copy}.ron"), &format!("{copy}.csv")])
            .done();
    }
    let (a, b) = (bench.read("a.ron"), bench.read("b.ron"));
    let ran = bench.run(&["merge", "base.ron", "a.ron", "b.ron"]);
    ran.failed(0, &"");
    let joined = bench.read("a.ron");
    assert_eq!(bench.read("b.ron"), b, "theirs stays");
    assert_eq!(
        lines(&bench, "a.ron"),
        [("PH-1", 126.0), ("PH-2", 251.0), ("GP-1", 170.0)].map(|(l, r)| (l.to_owned(), r.into()))
    );
    // PH-2 was on both: one entry.
    assert_eq!(bench.run(&["log", "a.ron"]).done().lines().count(), 1 + 3);
    // The other way round.
    bench.write("a.ron", &a);
    bench.run(&["merge", "base.ron", "b.ron", "a.ron"]).done();
    assert_eq!(bench.read("b.ron"), joined);
    // And once more.
    bench.write("a.ron", &joined);
    bench.run(&["merge", "base.ron", "a.ron", "b.ron"]).done();
    assert_eq!(bench.read("a.ron"), joined);
}

#[test]
fn copies_of_different_sites_are_refused_and_ours_stays() {
    let bench = copies();
    bench.write("other.csv", SMALL);
    bench
        .run(&["import", "other.csv", "--to", "other.ron"])
        .done();
    let before = bench.files();
    for arguments in [
        ["merge", "base.ron", "a.ron", "other.ron"],
        ["merge", "other.ron", "a.ron", "b.ron"],
        ["merge", "base.ron", "other.ron", "b.ron"],
    ] {
        let ran = bench.run(&arguments);
        ran.failed(2, &"");
        assert!(ran.err.contains("another site"), "{}", ran.err);
        assert_eq!(bench.files(), before);
    }
}

/// `SMALL` with each loudspeaker on its own line, as base and as revised on either side.
fn revised(base: &str, ours: &str, theirs: &str) -> (Bench, i32) {
    let bench = Bench::new();
    bench.write("base.csv", base);
    bench
        .run(&["import", "base.csv", "--to", "base.ron"])
        .done();
    for (copy, text) in [("ours", ours), ("theirs", theirs)] {
        let (csv, ron) = (format!("{copy}.csv"), format!("{copy}.ron"));
        bench.write(&ron, bench.read("base.ron"));
        bench.write(&csv, text);
        bench.run(&["import", &csv, "--to", &ron]).done();
    }
    let ran = bench.run(&["merge", "base.ron", "ours.ron", "theirs.ron"]);
    assert_eq!(ran.out, "");
    (bench, ran.status)
}

fn row<'a>(all: &'a Value, label: &str) -> &'a Value {
    let lines = all["lines"].as_array().unwrap();
    lines.iter().find(|line| line["line"] == label).unwrap()
}

const TWO_LINES: &str = "\
amplifier,rated_w,zone,line,loudspeaker,tap_w
A1,100,Hall,L-1,LS-1,20
A1,100,Hall,L-1,LS-2,15
A1,100,Hall,L-2,LS-1,10
A2,100,Yard,L-3,LS-1,10
";

#[test]
fn one_loudspeaker_with_two_taps_is_a_question_and_its_line_has_no_verdict() {
    let (bench, status) = revised(
        TWO_LINES,
        &TWO_LINES.replace("L-1,LS-1,20", "L-1,LS-1,10"),
        &TWO_LINES.replace("L-1,LS-1,20", "L-1,LS-1,6"),
    );
    assert_eq!(status, 1);
    bench.write(
        "r.csv",
        "line,kind,value\nL-1,impedance,400\nL-2,impedance,1000\n",
    );
    bench.run(&["record", "ours.ron", "r.csv"]).done();
    let all = bench.json(&["assess", "ours.ron", "--json"]);
    assert_eq!(wrong(&all, &assessment()), [""; 0]);
    assert_eq!(all["questions"].as_array().unwrap().len(), 1);
    let asked = row(&all, "L-1");
    assert_eq!(asked["verdict"], Value::Null);
    assert_eq!(asked["measured"]["ohms"], 400.0);
    assert_eq!(asked["measured"]["deviation"], Value::Null);
    assert_eq!(asked["expected"]["ohms"], Value::Null);
    assert_eq!(asked["hints"].as_array().unwrap().len(), 0);
    assert_eq!(row(&all, "L-2")["verdict"], "in-tolerance");
    let text = bench.run(&["assess", "ours.ron"]).done();
    assert!(text.contains("L-1: a question stands"), "{text}");
    // While the question stands every merge says so.
    let again = bench.run(&["merge", "base.ron", "ours.ron", "theirs.ron"]);
    assert_eq!(again.status, 1);
    assert!(again.err.contains("1 question"), "{}", again.err);
}

#[test]
fn a_line_on_two_outputs_is_named_without_a_verdict() {
    let to = |output: &str| TWO_LINES.replace("A1,100,Hall,L-2", &format!("{output},100,Hall,L-2"));
    let (bench, status) = revised(TWO_LINES, &to("A2"), &to("A3"));
    assert_eq!(status, 1);
    bench.write("r.csv", "line,kind,value\nL-1,impedance,286\n");
    bench.run(&["record", "ours.ron", "r.csv"]).done();
    let all = bench.json(&["assess", "ours.ron", "--json"]);
    assert_eq!(wrong(&all, &assessment()), [""; 0]);
    let asked = row(&all, "L-2");
    assert_eq!(
        (&asked["verdict"], &asked["zone"]),
        (&Value::Null, &"Hall".into())
    );
    assert_eq!(asked["heard"][1], 1);
    assert_eq!(row(&all, "L-1")["verdict"], "in-tolerance");
    assert_eq!(row(&all, "L-3")["verdict"], "unmeasured");
    let one = bench.json(&["assess", "ours.ron", "--json", "--line", "L-2"]);
    assert_eq!(&one["lines"][0], asked);
    let text = bench.run(&["assess", "ours.ron"]).done();
    assert!(text.contains("L-2: a question stands"), "{text}");
}

#[test]
fn edits_of_different_items_are_no_question() {
    let (bench, status) = revised(
        TWO_LINES,
        &TWO_LINES.replace("L-1,LS-1,20", "L-1,LS-1,10"),
        &TWO_LINES.replace("L-1,LS-2,15", "L-1,LS-2,6"),
    );
    assert_eq!(status, 0);
    let all = bench.json(&["assess", "ours.ron", "--json"]);
    assert_eq!(row(&all, "L-1")["design_w"], 16.0);
}

/// Five lines of one loudspeaker of 10 W at 100 V beside the rack, 1000 ohm each: `base.ron` and two copies.
fn ten_watts() -> Bench {
    let bench = Bench::new();
    let mut rows = String::from("amplifier,rated_w,zone,line,loudspeaker,tap_w,taps_w,run_m\n");
    for line in 1..=5 {
        rows.push_str(&format!("A1,100,Hall,L-{line},LS-1,10,10,0\n"));
    }
    bench.write("schedule.csv", rows);
    bench
        .run(&["import", "schedule.csv", "--to", "base.ron"])
        .done();
    for copy in ["a.ron", "b.ron"] {
        bench.write(copy, bench.read("base.ron"));
    }
    bench
}

/// Records what a person read, a minute apart: the known resistor of 400 ohm first, then lines.
fn read_by(bench: &Bench, copy: &str, person: &str, resistor: &str, lines: &[(&str, &str)]) {
    let mut rows = format!(
        "line,kind,value,known_ohms,person,when\n,check,{resistor},400,{person},2026-11-24T09:00:00Z\n"
    );
    for (minute, (line, value)) in lines.iter().enumerate() {
        rows.push_str(&format!(
            "{line},impedance,{value},,{person},2026-11-24T09:{:02}:00Z\n",
            minute + 1
        ));
    }
    bench.write("read.csv", rows);
    bench.run(&["record", copy, "read.csv"]).done();
}

fn p_out(bench: &Bench, site: &str, line: &str) -> f64 {
    let all = bench.json(&["assess", site, "--json"]);
    row(&all, line)["p_out"].as_f64().unwrap()
}

#[test]
fn the_meters_of_two_engineers_share_no_factor_until_a_serial_number_says_that_they_are_one() {
    let bench = ten_watts();
    // The meter of A is right. That of B reads 6 % low: 884 is 940 ohm, within 10 % of 1000.
    let own = [("L-1", "1000"), ("L-2", "990"), ("L-3", "1010")];
    read_by(&bench, "a.ron", "engineer A", "400", &own);
    let own = [("L-4", "884"), ("L-5", "940")];
    read_by(&bench, "b.ron", "engineer B", "376", &own);
    let (of_a, of_b) = (p_out(&bench, "a.ron", "L-1"), p_out(&bench, "b.ron", "L-4"));
    assert!(of_b < 0.2, "by its own resistor in tolerance: {of_b}");
    bench.run(&["merge", "base.ron", "a.ron", "b.ron"]).done();
    let (a, b) = (p_out(&bench, "a.ron", "L-1"), p_out(&bench, "a.ron", "L-4"));
    assert!((a - of_a).abs() < 0.01, "{a}, alone {of_a}");
    assert!((b - of_b).abs() < 0.05, "{b}, alone {of_b}");
    // One factor is told, and whose it is; the other stands at nothing.
    let all = bench.json(&["assess", "a.ron", "--json"]);
    let hints = all["site_hints"].as_array().unwrap();
    let factors: Vec<&Value> = hints
        .iter()
        .filter(|hint| hint["fault"] == "common-factor")
        .collect();
    assert_eq!(factors.len(), 1, "{hints:?}");
    assert_eq!(factors[0]["by"], "engineer B");
    let factor = factors[0]["factor"].as_f64().unwrap();
    assert!((factor - 0.94).abs() < 0.01, "{factor}");
    let text = factors[0]["text"].as_str().unwrap();
    assert!(text.starts_with("meter of engineer B reads "), "{text}");
    assert!(text.contains(" low on all lines read with it: "), "{text}");
    let review = bench.run(&["review", "a.ron"]).out;
    let said = "taken for two meters, read with by engineer A and engineer B; no serial number says \
                that it is one";
    assert!(review.contains(said), "{review}");
    bench.run(&["report", "a.ron", "--to", "record.md"]).done();
    let record = bench.text("record.md");
    assert!(record.contains(said), "{record}");
    assert!(
        record.contains("meter of engineer B: 400 ohm read 376 ohm"),
        "{record}"
    );
}

//! `record` and `log`: readings in, readings out, nothing twice.

use super::bench::{Bench, shipped};

#[test]
fn recording_a_file_twice_adds_nothing_and_touches_nothing() {
    let bench = Bench::demo();
    let before = bench.files();
    let ran = bench.run(&["record", "site.ron", &shipped("glasshouse-readings.csv")]);
    assert!(
        ran.err.contains("0 rows recorded, 41 there already"),
        "{}",
        ran.err
    );
    ran.done();
    assert_eq!(bench.files(), before);
}

#[test]
fn the_log_reads_back_and_adds_nothing() {
    let bench = Bench::demo();
    let log = bench.run(&["log", "site.ron"]).done();
    assert!(log.starts_with("id,"), "{log}");
    assert_eq!(log.lines().count(), 1 + 41);
    bench.write("log.csv", &log);
    let before = bench.files();
    let ran = bench.run(&["record", "site.ron", "log.csv"]);
    assert!(
        ran.err.contains("0 rows recorded, 41 there already"),
        "{}",
        ran.err
    );
    ran.done();
    assert_eq!(bench.files(), before);
}

#[test]
fn the_log_of_one_site_recorded_on_a_fresh_one_makes_the_same_site() {
    let demo = Bench::demo();
    let fresh = Bench::new();
    fresh
        .run(&[
            "import",
            &shipped("glasshouse-schedule.csv"),
            "--to",
            "site.ron",
            "--name",
            "Fernmoth Glasshouse",
        ])
        .done();
    fresh.write("log.csv", demo.run(&["log", "site.ron"]).done());
    fresh.run(&["record", "site.ron", "log.csv"]).done();
    let assess = ["assess", "site.ron", "--json"];
    assert_eq!(fresh.json(&assess), demo.json(&assess));
}

#[test]
fn a_correction_takes_the_place_of_a_reading_and_a_void_strikes_it() {
    let bench = Bench::sound();
    let entry = |bench: &Bench| {
        let log = bench.run(&["log", "site.ron"]).done();
        log.lines()
            .last()
            .unwrap()
            .split(',')
            .next()
            .unwrap()
            .to_owned()
    };
    let measured = |bench: &Bench| {
        bench.json(&["assess", "site.ron", "--json"])["lines"][0]["measured"]["ohms"].clone()
    };
    assert_eq!(measured(&bench), 286.0);
    let id = entry(&bench);
    bench.write(
        "mend.csv",
        format!("line,kind,value,corrects,when\nL-1,impedance,300,{id},2026-11-24T09:05:00Z\n"),
    );
    bench.run(&["record", "site.ron", "mend.csv"]).done();
    assert_eq!(measured(&bench), 300.0);
    let id = entry(&bench);
    bench.write(
        "void.csv",
        format!("line,kind,value,corrects\nL-1,impedance,void,{id}\n"),
    );
    bench.run(&["record", "site.ron", "void.csv"]).done();
    // The correction is struck, so the reading that it corrected counts again.
    assert_eq!(measured(&bench), 286.0);
    let log = bench.run(&["log", "site.ron"]).done();
    for kept in ["286", "300", "void"] {
        assert!(log.contains(kept), "nothing leaves the log: {log}");
    }
}

#[test]
fn one_bad_row_among_good_ones_and_none_is_recorded() {
    let bench = Bench::demo();
    bench.write(
        "more.csv",
        "line,kind,value\nCF-3,impedance,1.0k\nCF-4,impedance,500\nSD-5,impedance,12x\n",
    );
    let before = bench.files();
    let ran = bench.run(&["record", "site.ron", "more.csv"]);
    ran.failed(2, &"");
    assert!(
        ran.err.contains("more.csv:3: line: found \"CF-4\""),
        "{}",
        ran.err
    );
    assert!(
        ran.err.contains("more.csv:4: value: found \"12x\""),
        "{}",
        ran.err
    );
    assert!(ran.err.contains("nothing was written"), "{}", ran.err);
    assert_eq!(bench.files(), before);
}

#[test]
fn of_two_runs_right_after_each_other_the_second_is_the_later() {
    let bench = Bench::sound();
    for ohms in ["300", "310", "290"] {
        bench.write("r.csv", format!("line,kind,value\nL-1,impedance,{ohms}\n"));
        bench.run(&["record", "site.ron", "r.csv"]).done();
        let all = bench.json(&["assess", "site.ron", "--json"]);
        assert_eq!(
            all["lines"][0]["measured"]["ohms"],
            ohms.parse::<f64>().unwrap()
        );
    }
}

#[test]
fn noisy_is_no_answer_and_leaves_an_earlier_one_standing() {
    let bench = Bench::sound();
    let heard = |rows: &str| {
        bench.write("r.csv", format!("line,kind,value,at,when\n{rows}"));
        bench.run(&["record", "site.ron", "r.csv"]).done();
        let all = bench.json(&["assess", "site.ron", "--json"]);
        (
            all["lines"][0]["heard"][0].clone(),
            all["lines"][0]["asked"].clone(),
        )
    };
    assert_eq!(
        heard("L-1,listen,noisy,LS-1,2026-11-24T10:00:00Z\n"),
        (0.into(), 0.into())
    );
    assert_eq!(
        heard("L-1,listen,heard,LS-1,2026-11-24T10:01:00Z\n"),
        (1.into(), 1.into())
    );
    assert_eq!(
        heard("L-1,listen,noisy,LS-1,2026-11-24T10:02:00Z\n"),
        (1.into(), 1.into())
    );
    assert_eq!(
        heard("L-1,listen,silent,LS-1,2026-11-24T10:03:00Z\n"),
        (0.into(), 1.into())
    );
}

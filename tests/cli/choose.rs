//! `choose`: questions that joined copies left, answered from the shell.

use super::bench::Bench;

/// `Bench::sound` on two copies, each changed by its own CSV of readings, joined into `site.ron`.
fn joined(ours: &str, theirs: &str) -> Bench {
    let bench = Bench::sound();
    for copy in ["base.ron", "theirs.ron"] {
        bench.write(copy, bench.read("site.ron"));
    }
    for (site, rows) in [("site.ron", ours), ("theirs.ron", theirs)] {
        bench.write("rows.csv", rows);
        bench.run(&["record", site, "rows.csv"]).done();
    }
    bench
}

#[test]
fn of_two_corrections_that_differ_one_is_chosen_and_the_other_struck() {
    let bench = Bench::sound();
    let log = bench.run(&["log", "site.ron"]).done();
    let id = log.lines().nth(1).unwrap().split(',').next().unwrap();
    let row = |ohms: u32, minute: u32| {
        format!(
            "line,kind,value,when,corrects\nL-1,impedance,{ohms},2026-11-24T10:{minute:02}:00Z,{id}\n"
        )
    };
    let bench = joined(&row(268, 1), &row(186, 2));
    let ran = bench.run(&["merge", "base.ron", "site.ron", "theirs.ron"]);
    assert_eq!(ran.status, 1, "{}", ran.err);
    let asked = bench.json(&["assess", "site.ron", "--json"]);
    let question = &asked["questions"][0];
    assert_eq!(
        (&question["kind"], &question["why"]),
        (&"entry".into(), &"corrections".into())
    );
    assert_eq!(asked["lines"][0]["verdict"], serde_json::Value::Null);
    let text = bench.run(&["assess", "site.ron"]).done();
    let chosen = question["choices"]
        .as_array()
        .unwrap()
        .iter()
        .find(|choice| choice["design"]["Read"]["text"] == "268")
        .unwrap()["stamp"]
        .as_str()
        .unwrap()
        .to_owned();
    assert!(text.contains(&format!(", {chosen})")), "{text}");
    let ran = bench.run(&["choose", "site.ron", &chosen]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let all = bench.json(&["assess", "site.ron", "--json"]);
    assert_eq!(all["questions"].as_array().unwrap().len(), 0);
    assert_eq!(all["lines"][0]["measured"]["ohms"], 268.0);
    // All four stand in the log: the reading, two corrections, the strike.
    assert_eq!(
        bench.run(&["log", "site.ron"]).done().lines().count(),
        1 + 4
    );
}

#[test]
fn what_no_question_has_is_refused_and_nothing_is_written() {
    let bench = Bench::sound();
    let before = bench.files();
    let ran = bench.run(&["choose", "site.ron", "w-1"]);
    ran.failed(2, &"");
    assert!(ran.err.contains("no question of site.ron"), "{}", ran.err);
    assert_eq!(bench.files(), before);
}

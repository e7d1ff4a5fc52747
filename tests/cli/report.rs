//! `report`: every ending by one command, and what it refuses.

use super::bench::{Bench, SMALL};
use serde_json::Value;

#[test]
fn the_json_record_is_what_assess_prints_and_every_ending_is_made_by_one_command() {
    let bench = Bench::sound();
    for to in ["r.html", "r.pdf", "r.md", "r.csv", "r.json"] {
        let ran = bench.run(&["report", "site.ron", "--to", to]);
        assert_eq!(ran.status, 0, "{}", ran.err);
        assert!(ran.err.contains(&format!("{to} written")), "{}", ran.err);
    }
    assert_eq!(
        bench.text("r.json"),
        bench.run(&["assess", "site.ron", "--json"]).done()
    );
    assert!(bench.text("r.html").starts_with("<!DOCTYPE html>"));
    assert!(bench.read("r.pdf").starts_with(b"%PDF-"));
    assert!(bench.text("r.md").starts_with("# site\n"));
    assert!(bench.text("r.csv").starts_with("\u{feff}line,zone,"));
    // The same facts make the same bytes.
    for to in ["r.html", "r.pdf", "r.md", "r.csv", "r.json"] {
        let first = bench.read(to);
        bench
            .run(&["report", "site.ron", "--to", to, "--force"])
            .done();
        assert_eq!(bench.read(to), first, "{to}");
    }
}

#[test]
fn a_file_that_is_there_stays_as_it_is_without_force() {
    let bench = Bench::sound();
    bench.write("r.pdf", "mine");
    let before = bench.files();
    let ran = bench.run(&["report", "site.ron", "--to", "r.pdf"]);
    ran.failed(2, &"");
    assert!(ran.err.contains("--force"), "{}", ran.err);
    assert_eq!(bench.files(), before);
    bench
        .run(&["report", "site.ron", "--to", "r.pdf", "--force"])
        .done();
    assert!(bench.read("r.pdf").starts_with(b"%PDF-"));
}

#[test]
fn small_prints_are_documents_and_no_tables_of_figures() {
    let bench = Bench::sound();
    for of in ["chart", "walk", "labels"] {
        for ending in ["html", "pdf", "md"] {
            let to = format!("{of}.{ending}");
            bench
                .run(&["report", "site.ron", "--of", of, "--to", &to])
                .done();
        }
        let ran = bench.run(&["report", "site.ron", "--of", of, "--to", "x.csv"]);
        assert_eq!(ran.status, 2);
    }
    let chart: Vec<String> = bench
        .text("chart.md")
        .lines()
        .map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect();
    // 100^2 / 35 = 285.7 ohm, the rating of the output 100 W: 100^2 / 100 = 100 ohm.
    for row in [
        "| 50 W | 200 ohm |",
        "| A1 out 1 | 100 V | 100 W | 100 ohm |",
    ] {
        assert!(chart.iter().any(|line| line == row), "{row}: {chart:#?}");
    }
    let walk = bench.text("walk.md");
    assert!(walk.contains("LS-1") && walk.contains('\u{25a1}'), "{walk}");
    assert!(bench.text("labels.md").contains("should read 286 ohm"));
}

#[test]
fn a_table_for_countries_with_a_decimal_comma_has_semicolons_and_the_same_figures() {
    let bench = Bench::sound();
    let json = bench.json(&["assess", "site.ron", "--json"]);
    bench.run(&["report", "site.ron", "--to", "a.csv"]).done();
    bench
        .run(&["report", "site.ron", "--to", "b.csv", "--semicolon"])
        .done();
    let cells = |name: &str, between: u8, sign: &str| -> (Vec<String>, Vec<String>) {
        let bytes = bench.read(name);
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(between)
            .from_reader(&bytes[3..]);
        let heads = reader
            .headers()
            .unwrap()
            .iter()
            .map(str::to_owned)
            .collect();
        let row = reader.records().next().unwrap().unwrap();
        (
            heads,
            row.iter().map(|cell| cell.replace(sign, ".")).collect(),
        )
    };
    let (heads, first) = cells("a.csv", b',', ".");
    let (_, second) = cells("b.csv", b';', ",");
    let at = heads
        .iter()
        .position(|it| it == "as_left_deviation")
        .unwrap();
    assert_eq!(first[at], second[at]);
    let wanted = json["lines"][0]["as_left"]["deviation"].as_f64().unwrap();
    assert_eq!(first[at].parse::<f64>().unwrap(), wanted);
}

#[test]
fn an_older_file_as_baseline_tells_what_drifted_and_what_is_new_gone_or_renamed() {
    let bench = Bench::new();
    let wide = SMALL.replace("L-1", "L-2");
    let rows: Vec<&str> = wide.lines().skip(1).collect();
    bench.write("old.csv", format!("{SMALL}{}\n", rows.join("\n")));
    bench.write(
        "new.csv",
        format!("{SMALL}{}\n", rows.join("\n").replace("L-2", "L-3")),
    );
    bench.run(&["import", "old.csv", "--to", "old.ron"]).done();
    bench.run(&["import", "new.csv", "--to", "new.ron"]).done();
    for (file, ohms, when) in [
        ("old.ron", "286", "2024-11-24T09:00:00Z"),
        ("new.ron", "360", "2026-11-24T09:00:00Z"),
    ] {
        bench.write(
            "readings.csv",
            format!("line,kind,value,when\nL-1,impedance,{ohms},{when}\n"),
        );
        bench.run(&["record", file, "readings.csv"]).done();
    }
    let json: Value = bench.json(&["assess", "new.ron", "--json", "--baseline", "old.ron"]);
    let it = &json["baseline"];
    assert_eq!(it["new"], serde_json::json!(["L-3"]));
    assert_eq!(it["gone"], serde_json::json!(["L-2"]));
    let row = &it["lines"][0];
    assert_eq!(row["line"], "L-1");
    assert_eq!(row["then"], 286.0);
    assert_eq!(row["called"], true);
    assert!(row["probability"].as_f64().unwrap() > 0.99);
    // And in the record.
    bench
        .run(&["report", "new.ron", "--to", "r.md", "--baseline", "old.ron"])
        .done();
    assert!(bench.text("r.md").contains("## Against the last visit"));
    let text = bench
        .run(&["assess", "new.ron", "--baseline", "old.ron"])
        .done();
    assert!(
        text.contains("drifted") && text.contains("Gone: L-2."),
        "{text}"
    );
    // The JSON of the older record does as well.
    bench.run(&["report", "old.ron", "--to", "old.json"]).done();
    let told: Value = bench.json(&["assess", "new.ron", "--json", "--baseline", "old.json"]);
    for field in ["of", "new", "gone"] {
        assert_eq!(told["baseline"][field], it[field], "{field}");
    }
    assert_eq!(told["baseline"]["lines"][0]["called"], true);
    for (name, text, wanted) in [
        (
            "not.json",
            "{\n\"lines\": 3}",
            "not.json: line 2, column 10: ",
        ),
        (
            "next.json",
            "{\"schema\": 9, \"lines\": []}",
            "1 was wanted",
        ),
    ] {
        bench.write(name, text);
        let ran = bench.run(&["assess", "new.ron", "--baseline", name]);
        ran.failed(2, &"");
        assert!(ran.err.contains(wanted), "{}", ran.err);
    }
    let ran = bench.run(&["assess", "new.ron", "--baseline", "nowhere.json"]);
    assert_eq!(ran.status, 3, "{}", ran.err);
}

#[test]
fn what_cannot_be_a_baseline_is_refused_with_what_can_and_nothing_is_written() {
    let bench = Bench::sound();
    for to in ["r.csv", "r.pdf", "r.html", "r.md", "r.json"] {
        bench.run(&["report", "site.ron", "--to", to]).done();
    }
    let before = bench.files();
    for old in ["r.csv", "r.pdf", "r.html", "r.md", "not-there.CSV"] {
        let report = ["report", "site.ron", "--to", "x.html", "--baseline", old];
        for arguments in [&report[..], &["assess", "site.ron", "--baseline", old]] {
            let ran = bench.run(arguments);
            assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{arguments:?}");
            assert_eq!(
                ran.err,
                format!(
                    "--baseline: found \"{old}\", a record to be read by people; an older site file, or the \
                     .json that `report --to FILE.json` makes of one, was wanted\n"
                )
            );
        }
    }
    assert_eq!(bench.files(), before);
    // What it names does it.
    for old in ["r.json", "site.ron"] {
        let arguments = ["report", "site.ron", "--to", "y.md", "--baseline", old];
        let ran = bench.run(&[&arguments[..], &["--force"]].concat());
        assert_eq!(ran.status, 0, "{old}: {}", ran.err);
    }
}

#[test]
fn a_small_print_takes_no_baseline_and_says_so() {
    let bench = Bench::sound();
    bench.run(&["report", "site.ron", "--to", "r.json"]).done();
    let before = bench.files();
    for of in ["chart", "walk", "labels"] {
        let arguments = ["report", "site.ron", "--of", of, "--to", "x.pdf"];
        let ran = bench.run(&[&arguments[..], &["--baseline", "r.json"]].concat());
        assert_eq!((ran.status, ran.out.as_str()), (2, ""), "{of}");
        assert!(
            ran.err
                .starts_with(&format!("--baseline: found it beside --of {of}, which")),
            "{}",
            ran.err
        );
    }
    // Nor does the spreadsheet, which has one row a line and none for what drifted.
    let arguments = ["report", "site.ron", "--to", "x.csv", "--baseline"];
    let ran = bench.run(&[&arguments[..], &["r.json"]].concat());
    ran.failed(2, &"");
    assert!(
        ran.err
            .starts_with("--baseline: found it beside --to FILE.csv"),
        "{}",
        ran.err
    );
    assert_eq!(bench.files(), before);
}

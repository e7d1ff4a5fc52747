//! `import`: a schedule into a site, and again into its own.

use super::bench::{Bench, SMALL, shipped};
use serde_json::Value;

/// Row, column and what is found there; one mistake a row.
const MISTAKES: [(usize, &str, &str, &str); 10] = [
    (
        2,
        "tap_w",
        "six",
        "A1,240,100,Hall,L-1,LS-1,,six,,rack,20,1.5 mm2",
    ),
    (
        3,
        "run_m",
        "-4",
        "A1,240,100,Hall,L-1,LS-2,,6,,LS-1,-4,1.5 mm2",
    ),
    (
        4,
        "what",
        "speaker",
        "A1,240,100,Hall,L-1,LS-3,speaker,6,,LS-2,8,1.5 mm2",
    ),
    (
        5,
        "from",
        "LS-99",
        "A1,240,100,Hall,L-1,LS-4,,6,,LS-99,8,1.5 mm2",
    ),
    (
        6,
        "cable",
        "blue",
        "A1,240,100,Hall,L-1,LS-5,,6,,LS-4,8,blue",
    ),
    (
        7,
        "loudspeaker",
        "LS-5",
        "A1,240,100,Hall,L-1,LS-5,,6,,LS-4,8,1.5 mm2",
    ),
    (
        8,
        "loudspeaker",
        "rack",
        "A1,240,100,Hall,L-2,rack,,6,,,8,1.5 mm2",
    ),
    (
        9,
        "line_v",
        "0",
        "A2,240,0,Yard,L-3,LS-1,,6,,rack,8,1.5 mm2",
    ),
    (
        10,
        "control",
        "maybe",
        "A1,240,100,Hall,L-4,LS-1,,6,maybe,rack,8,1.5 mm2",
    ),
    (
        11,
        "zone",
        "nothing",
        "A1,240,100,,L-5,LS-1,,6,,rack,8,1.5 mm2",
    ),
];

#[test]
fn ten_different_mistakes_are_ten_messages_with_row_column_found_and_wanted_and_no_file() {
    let bench = Bench::new();
    let mut text =
        "amplifier,rated_w,line_v,zone,line,loudspeaker,what,tap_w,control,from,run_m,cable\n"
            .to_owned();
    for (.., row) in MISTAKES {
        text.push_str(row);
        text.push('\n');
    }
    bench.write("bad.csv", text);
    let before = bench.files();
    let ran = bench.run(&["import", "bad.csv", "--to", "site.ron"]);
    ran.failed(2, &"");
    assert_eq!(bench.files(), before);
    let told: Vec<&str> = ran
        .err
        .lines()
        .filter(|line| line.starts_with("bad.csv:"))
        .collect();
    assert_eq!(told.len(), MISTAKES.len(), "{}", ran.err);
    for (told, (row, column, found, _)) in told.iter().zip(MISTAKES) {
        let place = told
            .strip_prefix(&format!("bad.csv:{row}"))
            .unwrap_or_else(|| panic!("row {row}: {told}"));
        for word in [column, "found", found, "wanted"] {
            assert!(place.contains(word), "row {row}: {word} is not in {told}");
        }
    }
}

#[test]
fn each_of_those_mistakes_alone_is_one_message() {
    for (_, column, found, row) in MISTAKES {
        let bench = Bench::new();
        let head =
            "amplifier,rated_w,line_v,zone,line,loudspeaker,what,tap_w,control,from,run_m,cable\n";
        // What the row leans on, sound.
        let before = match column {
            "run_m" => "A1,240,100,Hall,L-1,LS-1,,6,,rack,20,1.5 mm2\n",
            "what" => "A1,240,100,Hall,L-1,LS-2,,6,,rack,20,1.5 mm2\n",
            "cable" => "A1,240,100,Hall,L-1,LS-4,,6,,rack,20,1.5 mm2\n",
            "loudspeaker" if found == "LS-5" => {
                "A1,240,100,Hall,L-1,LS-4,,6,,rack,20,1.5 mm2\nA1,240,100,Hall,L-1,LS-5,,6,,LS-4,20,1.5 mm2\n"
            }
            _ => "",
        };
        bench.write("bad.csv", format!("{head}{before}{row}\n"));
        let ran = bench.run(&["import", "bad.csv", "--to", "site.ron"]);
        assert_eq!(ran.status, 2, "{row}");
        let told: Vec<&str> = ran
            .err
            .lines()
            .filter(|line| line.starts_with("bad.csv:"))
            .collect();
        assert!(
            matches!(told[..], [one] if one.contains(column)),
            "{row}: {}",
            ran.err
        );
    }
}

#[test]
fn semicolons_and_decimal_commas_make_the_same_site_byte_for_byte() {
    let text = std::fs::read_to_string(shipped("glasshouse-schedule.csv")).unwrap();
    assert!(
        text.contains(",3.75,") && !text.contains(['"', ';']),
        "the change below is plain"
    );
    let bench = Bench::new();
    bench.write("points.csv", &text);
    bench.write(
        "commas.csv",
        format!("\u{feff}{}", text.replace(',', ";").replace('.', ",")),
    );
    for name in ["points", "commas"] {
        let (csv, ron) = (format!("{name}.csv"), format!("{name}.ron"));
        bench
            .run(&["import", &csv, "--to", &ron, "--name", "Glasshouse"])
            .done();
    }
    assert_eq!(bench.text("points.ron"), bench.text("commas.ron"));
}

#[test]
fn another_sites_file_is_not_overwritten() {
    let bench = Bench::demo();
    bench.write("other.csv", SMALL);
    let before = bench.files();
    let ran = bench.run(&["import", "other.csv", "--to", "site.ron"]);
    ran.failed(2, &"");
    assert!(
        ran.err.contains("site.ron") && ran.err.contains("another site"),
        "{}",
        ran.err
    );
    assert_eq!(bench.files(), before);
    // Nor is a file that is no site at all.
    let ran = bench.run(&["import", "other.csv", "--to", "other.csv"]);
    assert_eq!(ran.status, 2);
    assert_eq!(bench.files(), before);
}

#[test]
fn a_revised_schedule_comes_in_as_edits_and_no_reading_is_lost() {
    let bench = Bench::demo();
    let assess = ["assess", "site.ron", "--json"];
    let (before, log) = (bench.json(&assess), bench.run(&["log", "site.ron"]).done());
    // PH-2 goes from 10 W to 20 W a loudspeaker; a loudspeaker comes to SD-5.
    let old = std::fs::read_to_string(shipped("glasshouse-schedule.csv")).unwrap();
    let mut revised = String::new();
    for row in old.lines() {
        let cells: Vec<&str> = row.split(',').collect();
        let mut cells = cells;
        if cells[5] == "PH-2" {
            cells[8] = "20";
        }
        revised.push_str(&cells.join(","));
        revised.push('\n');
    }
    let last = old
        .lines()
        .rfind(|row| row.split(',').nth(5) == Some("SD-5"))
        .unwrap();
    let added = last.replace(last.split(',').nth(6).unwrap(), "LS-NEW");
    revised = revised.replace(last, &format!("{last}\n{added}"));
    bench.write("revised.csv", revised);
    let ran = bench.run(&["import", "revised.csv", "--to", "site.ron"]);
    assert!(ran.err.contains("5 items revised"), "{}", ran.err);
    ran.done();
    let after = bench.json(&assess);
    assert_eq!(bench.run(&["log", "site.ron"]).done(), log);
    assert_eq!(
        after["site"], before["site"],
        "the name stays without --name"
    );
    let line = |all: &Value, label: &str| -> Value {
        let lines = all["lines"].as_array().unwrap();
        lines
            .iter()
            .find(|line| line["line"] == label)
            .unwrap()
            .clone()
    };
    assert_eq!(line(&after, "PH-2")["design_w"], 80.0);
    assert_eq!(
        line(&after, "PH-2")["measured"]["ohms"],
        line(&before, "PH-2")["measured"]["ohms"]
    );
    assert_eq!(line(&after, "PH-2")["verdict"], "out-of-tolerance");
    assert_eq!(line(&after, "SD-5")["heard"][1], 4);
    // What is told of the other lines alone is as it was; odds may move, for all lines teach
    // what the meter and the types share.
    for label in ["PH-1", "PH-3", "TH-1", "SD-4", "ST-1"] {
        for field in [
            "expected", "measured", "as_found", "as_left", "heard", "off",
        ] {
            let (after, before) = (line(&after, label), line(&before, label));
            assert_eq!(after[field], before[field], "{label}: {field}");
        }
    }
    // The same schedule once more changes nothing.
    let files = bench.files();
    let ran = bench.run(&["import", "revised.csv", "--to", "site.ron"]);
    assert!(ran.err.contains("0 items revised"), "{}", ran.err);
    ran.done();
    assert_eq!(bench.files(), files);
}

#[test]
fn own_cables_are_read_from_their_file() {
    let bench = Bench::new();
    bench.write(
        "schedule.csv",
        "amplifier,rated_w,zone,line,loudspeaker,tap_w,run_m,cable\nA1,100,Hall,L-1,LS-1,20,100,flat pair\n",
    );
    let ran = bench.run(&["import", "schedule.csv", "--to", "site.ron"]);
    assert_eq!(ran.status, 2);
    assert!(
        ran.err.contains("flat pair") && ran.err.contains("--cables"),
        "{}",
        ran.err
    );
    bench.write(
        "cables.csv",
        "name,r20_ohm_km,l_uh_m,c_pf_m\nflat pair,100,0.65,100\n",
    );
    bench
        .run(&[
            "import",
            "schedule.csv",
            "--to",
            "site.ron",
            "--cables",
            "cables.csv",
        ])
        .done();
    let all = bench.json(&["assess", "site.ron", "--json"]);
    // 500 ohm and 2 x 100 m of 100 ohm/km: 520 ohm; inductance and capacitance weigh under 0.1 %.
    let expected = all["lines"][0]["expected"]["ohms"].as_f64().unwrap();
    assert!((expected / 520.0 - 1.0).abs() < 1e-3, "{expected}");
}

#[test]
fn an_unknown_column_and_a_missing_rating_are_warnings() {
    let bench = Bench::new();
    bench.write(
        "schedule.csv",
        "amplifier,zone,line,loudspeaker,tap_w,colour\nA1,Hall,L-1,LS-1,20,red\n",
    );
    let ran = bench.run(&["import", "schedule.csv", "--to", "site.ron"]);
    assert!(
        ran.err.contains("colour") && ran.err.contains("A1"),
        "{}",
        ran.err
    );
    ran.done();
    let all = bench.json(&["assess", "site.ron", "--json"]);
    assert_eq!(all["outputs"][0]["verdict"], "unknown");
    assert_eq!(all["outputs"][0]["rated_w"], Value::Null);
    assert_eq!(all["outputs"][0]["headroom"], Value::Null);
}

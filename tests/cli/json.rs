//! `assess --json`.

use super::bench::{Bench, shipped};
use super::shape::{assessment, wrong};
use serde_json::{Value, json};
use std::sync::OnceLock;

const ASSESS: [&str; 3] = ["assess", "site.ron", "--json"];

/// The demo's assessment, reckoned once for all that look at it.
fn demo() -> &'static Value {
    static DEMO: OnceLock<Value> = OnceLock::new();
    DEMO.get_or_init(|| Bench::demo().json(&ASSESS))
}

fn near(found: f64, wanted: f64, what: &str) {
    assert!(
        (found - wanted).abs() <= 1e-9 * wanted.abs().max(1.0),
        "{what}: {found}, {wanted}"
    );
}

fn line<'a>(all: &'a Value, label: &str) -> &'a Value {
    let lines = all["lines"].as_array().unwrap();
    lines.iter().find(|line| line["line"] == label).unwrap()
}

#[test]
fn every_field_of_the_demos_assessment_is_there_with_its_type() {
    let all = demo();
    assert_eq!(wrong(all, &assessment()), [""; 0]);
    assert_eq!(all["schema"], 1);
    assert_eq!(all["lines"].as_array().unwrap().len(), 42);
    assert_eq!(all["outputs"].as_array().unwrap().len(), 8);
}

#[test]
fn the_walk_finds_a_missing_field_a_wrong_type_and_a_foreign_word() {
    let sound = Bench::sound().json(&ASSESS);
    assert_eq!(wrong(&sound, &assessment()), [""; 0]);
    for (at, instead, told) in [
        (
            "/lines/0/verdict",
            json!("fine"),
            ".lines[0].verdict is \"fine\"",
        ),
        ("/lines/0/heard", json!([0]), ".lines[0].heard is [0]"),
        (
            "/lines/0/expected/u_rel",
            json!("0.06"),
            ".lines[0].expected.u_rel is \"0.06\"",
        ),
        (
            "/lines/0/measured",
            json!({}),
            ".lines[0].measured.ohms is missing",
        ),
        ("/lines/0/p_out", json!(1.5), ".lines[0].p_out is 1.5"),
        (
            "/outputs/0/load_w",
            json!(true),
            ".outputs[0].load_w is true",
        ),
        (
            "/lines/0/hints/0/fault",
            json!("gremlin"),
            ".lines[0].hints[0].fault is \"gremlin\"",
        ),
    ] {
        let mut bent = sound.clone();
        *bent.pointer_mut(at).unwrap() = instead;
        let told = told.to_owned();
        assert!(wrong(&bent, &assessment()).contains(&told), "{told}");
    }
}

#[test]
fn hints_are_one_a_fault_the_likeliest_first_and_add_up_to_one() {
    let all = demo();
    let mut seen = 0;
    for line in all["lines"].as_array().unwrap() {
        let hints = line["hints"].as_array().unwrap();
        if hints.is_empty() {
            continue;
        }
        seen += 1;
        let p: Vec<f64> = hints
            .iter()
            .map(|hint| hint["probability"].as_f64().unwrap())
            .collect();
        let label = &line["line"];
        assert!((p.iter().sum::<f64>() - 1.0).abs() < 1e-5, "{label}: {p:?}");
        assert!(p.windows(2).all(|two| two[0] >= two[1]), "{label}: {p:?}");
        let mut faults: Vec<&str> = hints
            .iter()
            .map(|hint| hint["fault"].as_str().unwrap())
            .collect();
        faults.sort_unstable();
        faults.dedup();
        assert_eq!(faults.len(), hints.len(), "{label}");
        for hint in hints {
            for place in hint["places"].as_array().unwrap() {
                // A fault of a hint sits at a place at most as often as there is one.
                let (at, of) = (place["probability"].as_f64(), hint["probability"].as_f64());
                assert!(at.unwrap() <= of.unwrap() + 1e-12, "{label}");
            }
            // What is under 1e-7 may be left out, be it a hint or a place of one.
            if hint["probability"].as_f64() < Some(1e-5) {
                continue;
            }
            let no_place = ["none", "other-voltage"].contains(&hint["fault"].as_str().unwrap());
            let places = hint["places"].as_array().unwrap();
            // A place under 1e-7 is left out, and of an unlikely hint that may be every one.
            if no_place || hint["probability"].as_f64().unwrap() > 1e-5 {
                assert_eq!(places.is_empty(), no_place, "{label}: {hint}");
            }
        }
    }
    assert_eq!(seen, 24, "every line that was read");
}

#[test]
fn an_unread_line_has_no_reading_no_hints_and_no_odds() {
    let all = demo();
    let unread: Vec<&Value> = all["lines"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|line| line["verdict"] == "unmeasured")
        .collect();
    assert_eq!(unread.len(), 42 - 24);
    for line in unread {
        for null in ["measured", "as_found", "as_left", "p_out", "misfit"] {
            assert_eq!(line[null], Value::Null, "{line}");
        }
        assert_eq!(line["hints"], json!([]));
        assert_eq!(line["next"], json!([]));
        assert!(line["expected"]["ohms"].as_f64().unwrap() > 0.0);
    }
}

/// The amplifier and line voltage of each line of the demo's schedule.
fn drawn() -> Vec<(String, String, f64)> {
    let text = std::fs::read_to_string(shipped("glasshouse-schedule.csv")).unwrap();
    let mut out: Vec<(String, String, f64)> = text
        .lines()
        .skip(1)
        .map(|row| {
            let cells: Vec<&str> = row.split(',').collect();
            let output = if cells[1].is_empty() { "1" } else { cells[1] };
            (
                cells[5].to_owned(),
                format!("{} {output}", cells[0]),
                cells[3].parse().unwrap(),
            )
        })
        .collect();
    out.dedup();
    out
}

#[test]
fn loads_deviations_and_headrooms_follow_from_the_ohms_by_v_squared_over_z() {
    let all = demo();
    let drawn = drawn();
    for line in all["lines"].as_array().unwrap() {
        let label = line["line"].as_str().unwrap();
        let volts = drawn.iter().find(|it| it.0 == label).unwrap().2;
        let expected = line["expected"]["ohms"].as_f64().unwrap();
        near(
            line["expected"]["watts"].as_f64().unwrap(),
            volts * volts / expected,
            label,
        );
        if let Some(read) = line["measured"]["ohms"].as_f64() {
            near(
                line["measured"]["watts"].as_f64().unwrap(),
                volts * volts / read,
                label,
            );
            // Load over expected load, less one.
            near(
                line["measured"]["deviation"].as_f64().unwrap(),
                expected / read - 1.0,
                label,
            );
        }
    }
    for output in all["outputs"].as_array().unwrap() {
        let name = format!("{} {}", output["amplifier"], output["output"]).replace('"', "");
        let on: Vec<&Value> = drawn
            .iter()
            .filter(|it| it.1 == name)
            .map(|it| line(all, &it.0))
            .collect();
        let unread = on.iter().filter(|line| line["measured"].is_null()).count();
        assert_eq!(output["unmeasured_lines"], unread, "{name}");
        if name == "A1 1" {
            // PH-4 reads 0.6 ohm: what the output carries is not known.
            assert_eq!(output["load_w"], Value::Null);
            assert_eq!(output["verdict"], "overloaded");
            continue;
        }
        let load: f64 = on
            .iter()
            .map(|line| {
                line["measured"]["watts"]
                    .as_f64()
                    .or(line["expected"]["watts"].as_f64())
                    .unwrap()
            })
            .sum();
        let rated = output["rated_w"].as_f64().unwrap();
        near(output["load_w"].as_f64().unwrap(), load, &name);
        near(
            output["headroom"].as_f64().unwrap(),
            1.0 - load / rated,
            &name,
        );
        // Common practice, no source: 20 % of the rating stays free.
        near(
            output["rating_needed_w"].as_f64().unwrap(),
            load / 0.8,
            &name,
        );
        let word = if load > rated {
            "overloaded"
        } else if load > 0.8 * rated {
            "short-of-headroom"
        } else {
            "ok"
        };
        assert_eq!(output["verdict"], word, "{name}");
    }
}

#[test]
fn readings_answers_and_repairs_are_told_as_recorded() {
    let all = demo();
    let palm = line(all, "PH-1");
    // 156 ohm, a joint remade, 126 ohm; four loudspeakers on 20 W.
    assert_eq!(palm["design_w"], 80.0);
    assert_eq!(palm["as_found"]["ohms"], 156.0);
    assert_eq!(palm["as_found"]["when"], "2026-11-24T08:55:44Z");
    assert_eq!(palm["as_left"]["ohms"], 126.0);
    assert_eq!(palm["measured"]["ohms"], 126.0);
    assert_eq!(line(all, "OH-2")["measured"]["ohms"], "open");
    assert_eq!(line(all, "OH-2")["measured"]["watts"], 0.0);
    // Heard at LS-03 and LS-06, silent at LS-11, of twelve.
    assert_eq!(line(all, "TH-1")["heard"], json!([2, 12]));
    // Noisy is no answer.
    assert_eq!(line(all, "LH-3")["heard"], json!([0, 2]));
    assert_eq!(line(all, "CH-1")["insulation"]["ohms"], 85e6);
    assert_eq!(line(all, "CH-1")["insulation"]["test_v"], 500.0);
    assert_eq!(line(all, "LH-2")["insulation"]["above_range"], true);
}

#[test]
fn a_reading_that_fits_nothing_is_to_be_read_again_first() {
    let bench = Bench::new();
    // Three runs from the rack: no one fault, and no two, make the line read open.
    bench.write(
        "schedule.csv",
        "amplifier,rated_w,zone,line,loudspeaker,tap_w,taps_w,from,run_m\n\
         A1,100,Hall,L-1,LS-1,6,6|3|1.5,rack,20\n\
         A1,100,Hall,L-1,LS-2,6,6|3|1.5,rack,20\n\
         A1,100,Hall,L-1,LS-3,6,6|3|1.5,rack,20\n",
    );
    bench.write("readings.csv", "line,kind,value\nL-1,impedance,open\n");
    bench
        .run(&["import", "schedule.csv", "--to", "site.ron"])
        .done();
    bench.run(&["record", "site.ron", "readings.csv"]).done();
    let all = bench.json(&ASSESS);
    let line = &all["lines"][0];
    assert!(line["misfit"].as_f64().unwrap() > 0.5);
    assert_eq!(line["next"][0]["test"], "reread");
    assert_eq!(line["next"][0]["at"], Value::Null);
    let text = bench.run(&["assess", "site.ron"]).done();
    assert!(
        text.contains("L-1: reads open; fits nothing, >99 %: read it again"),
        "{text}"
    );
    // Read again and found sound (100^2 / 18 = 556 ohm): nothing of it is left.
    bench.write("again.csv", "line,kind,value\nL-1,impedance,556\n");
    bench.run(&["record", "site.ron", "again.csv"]).done();
    let all = bench.json(&ASSESS);
    assert!(all["lines"][0]["misfit"].as_f64().unwrap() < 0.5);
    assert_ne!(all["lines"][0]["next"][0]["test"], "reread");
}

#[test]
fn line_gives_the_one_line_as_it_stands_among_all_and_its_output() {
    let bench = Bench::demo();
    let all = &bench.json(&ASSESS);
    let one = bench.json(&["assess", "site.ron", "--json", "--line", "TH-1"]);
    assert_eq!(one["lines"], json!([line(all, "TH-1")]));
    assert_eq!(one["outputs"], json!([all["outputs"][3]]));
    assert_eq!(wrong(&one, &assessment()), [""; 0]);
}

#[test]
fn a_label_that_is_not_there_is_refused_with_the_one_that_may_be_meant() {
    let bench = Bench::demo();
    for (label, told) in [
        ("th-1", "did you mean TH-1?"),
        ("TH-01", "did you mean TH-1?"),
        ("THH-1", "TH-1?"),
    ] {
        let ran = bench.run(&["assess", "site.ron", "--line", label]);
        assert_eq!(ran.status, 2);
        assert_eq!(ran.out, "");
        assert!(
            ran.err.contains(&format!("{label:?}")) && ran.err.contains(told),
            "{}",
            ran.err
        );
    }
    let ran = bench.run(&["assess", "site.ron", "--line", "XQ-77"]);
    assert_eq!(ran.status, 2);
    assert!(!ran.err.contains("did you mean"), "{}", ran.err);
}

#[test]
fn strict_is_1_with_lines_out_or_outputs_overloaded_and_0_on_a_sound_site() {
    let demo = Bench::demo();
    let plain = demo.run(&["assess", "site.ron"]);
    let strict = demo.run(&["assess", "site.ron", "--strict"]);
    assert_eq!((plain.status, strict.status), (0, 1));
    assert_eq!(plain.out, strict.out);
    let one = |label| {
        demo.run(&["assess", "site.ron", "--strict", "--line", label])
            .status
    };
    // CH-2 is sound, its output is overloaded by CH-1; SD-1 and its output are sound.
    assert_eq!([one("CH-1"), one("CH-2"), one("SD-1")], [1, 1, 0]);
    let sound = Bench::sound();
    assert_eq!(sound.run(&["assess", "site.ron", "--strict"]).status, 0);
    // One line out of tolerance on an output that has room: 35 W drawn, 20 W read.
    sound.write("out.csv", "line,kind,value\nL-1,impedance,500\n");
    sound.run(&["record", "site.ron", "out.csv"]).done();
    assert_eq!(sound.run(&["assess", "site.ron", "--strict"]).status, 1);
}

#[test]
fn two_runs_give_the_same_bytes() {
    let bench = Bench::demo();
    let twice = [bench.run(&ASSESS).done(), bench.run(&ASSESS).done()];
    assert_eq!(twice[0], twice[1]);
    let other = Bench::demo();
    assert_eq!(
        other.run(&ASSESS).done(),
        twice[0],
        "the same site made elsewhere"
    );
}

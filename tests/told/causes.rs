//! Suspects: of a line, and those that are seen over all lines.

use super::done::mended;
use crate::desk::{assessed, demo};
use crate::paper::{glasshouse, line, section, table};
use linewright::analysis::Analyst;
use linewright::report::{markdown, record, text};
#[test]
fn a_cause_seen_over_all_lines_stands_before_the_lines_own_suspects_which_hold_only_without_it() {
    let data = glasshouse();
    let document = record(data);
    for (label, cause) in [
        ("FH-1", "labels of FH-1 and FH-3 swapped"),
        ("FH-3", "labels of FH-1 and FH-3 swapped"),
        ("PH-5", "range multiplier x10 left out on PH-5"),
    ] {
        let points = section(&document, label);
        let suspected: Vec<&String> = points
            .iter()
            .filter(|it| it.starts_with("Suspected, "))
            .collect();
        assert_eq!(suspected.len(), 2, "{suspected:#?}");
        assert!(suspected[0].contains(cause) && suspected[0].contains(" %, seen over all lines"));
        assert!(
            suspected[1].starts_with("Suspected, only if it is not that, of the line itself: ")
        );
        // In the data: the hint of the whole building with its odds, beside the line's own.
        let row = line(data, label);
        let hint = data
            .site_hints
            .iter()
            .find(|it| it.text.starts_with(cause))
            .unwrap();
        assert_eq!(row.site_wide[0].probability, hint.probability);
        assert_eq!(row.site_wide[0].fault, hint.fault);
        assert!(!row.hints.is_empty());
    }
    // A line that no such cause names says nothing of it.
    assert!(line(data, "CH-1").site_wide.is_empty());
    let points = section(&document, "CH-1");
    assert!(points.iter().any(|it| it.starts_with("Suspected, 9")));
}

#[test]
fn assess_says_it_too_and_gives_the_test_that_settles_it() {
    let site = demo();
    let mut analyst = Analyst::new(&site);
    analyst.settle(&site, None);
    let told = text(&site, &analyst, glasshouse());
    let at = told.find("FH-1: reads").unwrap();
    let part: Vec<&str> = told[at..].lines().skip(1).take(2).collect();
    assert!(part[0].contains("seen over all lines: labels of FH-1 and FH-3 swapped"));
    assert!(part[1].trim_start().starts_with("- only if it is not that"));
    let json: serde_json::Value = serde_json::from_str(&glasshouse().to_json().unwrap()).unwrap();
    let rows = json["lines"].as_array().unwrap();
    let row = rows.iter().find(|it| it["line"] == "FH-1").unwrap();
    assert_eq!(row["site_wide"][0]["fault"], "swapped-labels");
    assert_eq!(row["to_do"][0], "put the tone on FH-1, listen at FH-3");
}

#[test]
fn a_short_has_no_deviation_in_the_record_and_places_behind_a_shared_cause_say_when_they_hold() {
    let told = markdown(&record(glasshouse()));
    // 1111 ohm drawn over 0.60 is 1852 times the load.
    assert!(!told.contains("x 185"), "{told}");
    let wanted = "As left: 0.60 ohm, as good as short, out of tolerance; should read 1111 ohm.";
    assert!(told.contains(wanted), "{told}");
    // A line is not searched along its cable before what is seen over all lines is looked at.
    assert!(!told.contains("FH-1: its cable as drawn"));
    let drawn = told.split("OH-2: its cable as drawn").nth(1).unwrap();
    // The rack begins the cable, below the headings: it is none of them.
    let mut rows = drawn.lines().filter(|row| !row.is_empty()).skip(2);
    let head: Vec<&str> = rows.next().unwrap().split_whitespace().collect();
    assert_eq!(head, ["at", "run", "tap", "heard", "suspect"]);
    assert_eq!(rows.next(), Some("rack"));
    assert!(rows.next().unwrap().starts_with("LS-01"));
    let note = drawn
        .lines()
        .find(|row| row.starts_with("Suspect: "))
        .unwrap();
    assert!(
        note.contains("the odds that the one fault, of whatever kind, sits there"),
        "{note}"
    );
}

#[test]
fn a_record_says_whether_confirmed_causes_count() {
    let mut data = assessed(&mended().site);
    let off = "Causes that repairs confirmed are not counted here";
    let told = markdown(&record(&data));
    assert!(
        told.contains("| bad joint ") && !told.contains(off),
        "{told}"
    );
    // A limit is listed where it is not the default: this one stands in for the switch.
    let switch = data.limits.last_mut().unwrap();
    (switch.name, switch.value) = ("learn_rates", 0.0);
    let told = markdown(&record(&data));
    assert!(
        told.contains(off) && !told.contains("| looked at |"),
        "{told}"
    );
}

#[test]
fn one_dead_loudspeaker_of_n_alike_lowers_the_load_by_an_nth_and_shows_only_from_more() {
    let document = record(glasshouse());
    let table = table(&document, "one dead lowers the load by");
    let percents = |cell: &str| -> Vec<f64> {
        let figures = cell
            .split(" to ")
            .map(|it| it.trim_end_matches(" %").parse());
        figures.map(Result::unwrap).collect()
    };
    let mut alike = 0;
    for row in &table.rows {
        let (lowers, shows) = (percents(&row.cells[2]), percents(&row.cells[3]));
        assert!(lowers.iter().zip(&shows).all(|(a, b)| a < b), "{row:?}");
        // TH-1: twelve of 3 W; cables take less than a tenth of one in a hundred.
        if row.cells[0] == "TH-1" {
            alike += 1;
            assert!((lowers[0] - 100.0 / 12.0).abs() < 0.1, "{row:?}");
        }
        let of: f64 = row.cells[1].parse().unwrap();
        assert!(
            lowers
                .iter()
                .all(|it| (it / (100.0 / of) - 1.0).abs() < 0.1),
            "{row:?}"
        );
    }
    assert_eq!(alike, 1);
}

#[test]
fn a_first_suspect_under_six_in_ten_has_the_second_beside_it() {
    let data = glasshouse();
    let document = record(data);
    let why = table(&document, "likeliest why");
    for row in &why.rows {
        let Some(line) = data.lines.iter().find(|it| it.line == row.cells[0]) else {
            continue;
        };
        if line.site_wide.iter().any(|it| it.probability >= 0.5) || line.is_mended() {
            continue;
        }
        let wanted = line.hints[0].probability < 0.6;
        assert_eq!(
            row.cells[4].contains(&line.hints[1].text),
            wanted,
            "{row:?}"
        );
    }
    let row = why.rows.iter().find(|it| it.cells[0] == "OH-2").unwrap();
    assert!(
        row.cells[4].contains("; 36 %: the reading mistaken"),
        "{row:?}"
    );
    // Of what was mended the old guess stands in its own section alone.
    let row = why.rows.iter().find(|it| it.cells[0] == "PH-1").unwrap();
    assert!(
        row.cells[4].starts_with("repaired, reads right since; "),
        "{row:?}"
    );
    assert!(!row.cells[4].contains("71 %"));
    assert!(section(&document, "PH-1").join(" ").contains("71 %"));
}

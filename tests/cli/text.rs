//! The text of `assess` and the files of `report`: every figure is the JSON's own, rounded.

use super::bench::Bench;
use serde_json::Value;
use std::sync::OnceLock;

/// The rows of the table under a heading, header first.
fn table(text: &str, heading: &str) -> Vec<Vec<String>> {
    let part = text
        .split("\n## ")
        .find(|part| part.starts_with(heading))
        .unwrap();
    let cells = |row: &str| {
        row.trim_matches('|')
            .split('|')
            .map(|cell| cell.trim().to_owned())
            .collect()
    };
    let mut rows: Vec<Vec<String>> = part
        .lines()
        .filter(|line| line.starts_with('|'))
        .map(cells)
        .collect();
    let rule = rows.remove(1);
    assert!(
        rule.iter()
            .all(|cell| cell.trim_end_matches(':').chars().all(|c| c == '-')),
        "{rule:?}"
    );
    rows
}

fn column<'a>(rows: &'a [Vec<String>], at: usize, title: &str) -> &'a str {
    let column = rows[0]
        .iter()
        .position(|cell| cell == title)
        .unwrap_or_else(|| panic!("no column {title}"));
    &rows[at][column]
}

/// Whether a printed figure is this number to its last digit.
#[track_caller]
fn same(printed: &str, number: Option<f64>, what: &str) {
    let Some(number) = number else {
        assert_eq!(printed, "", "{what}");
        return;
    };
    if let Some(times) = printed.strip_prefix("x ") {
        // Of a large deviation: how many times.
        return same(times, Some(number + 1.0), what);
    }
    if let Some(bound) = printed.strip_prefix('<') {
        return assert!(
            number < bound.trim().parse().unwrap(),
            "{what}: {number} {printed}"
        );
    }
    if let Some(bound) = printed.strip_prefix('>') {
        return assert!(
            number > bound.trim().parse().unwrap(),
            "{what}: {number} {printed}"
        );
    }
    let (figure, unit) = printed.split_once(' ').unwrap_or((printed, ""));
    let scale = match unit {
        "" | "ohm" | "W" | "V" | "dB" => 1.0,
        "%" => 0.01,
        "kohm" | "kW" => 1e3,
        "Mohm" => 1e6,
        other => panic!("{what}: unit {other}"),
    };
    let decimals = figure.split_once('.').map_or(0, |(_, rest)| rest.len());
    let half = 0.5 * 10f64.powi(-i32::try_from(decimals).unwrap()) * scale;
    let value: f64 = figure.parse::<f64>().unwrap() * scale;
    assert!(
        (value - number).abs() <= half * (1.0 + 1e-9),
        "{what}: {printed} for {number}"
    );
}

/// Ohms are a figure or a word.
#[track_caller]
fn same_ohms(printed: &str, ohms: &Value, what: &str) {
    match ohms.as_str() {
        Some(word) => assert_eq!(printed, word, "{what}"),
        None => same(printed, ohms.as_f64(), what),
    }
}

/// The demo's text and its JSON, reckoned once for all that compare them.
fn both() -> &'static (String, Value) {
    static BOTH: OnceLock<(String, Value)> = OnceLock::new();
    BOTH.get_or_init(|| {
        let bench = Bench::new();
        let demo = super::bench::shipped("glasshouse.ron");
        (
            bench.run(&["assess", &demo]).done(),
            bench.json(&["assess", &demo, "--json"]),
        )
    })
}

#[test]
fn every_figure_of_the_lines_is_the_jsons_to_its_printed_digits() {
    let (text, all) = both();
    let rows = table(text, "Lines");
    let lines = all["lines"].as_array().unwrap();
    assert_eq!(rows.len(), 1 + lines.len());
    for (at, line) in (1..).zip(lines) {
        let cell = |title| column(&rows, at, title);
        let label = line["line"].as_str().unwrap();
        assert_eq!(cell("line"), label);
        assert_eq!(cell("zone"), line["zone"]);
        same(cell("taps"), line["design_w"].as_f64(), label);
        same_ohms(cell("should read"), &line["expected"]["ohms"], label);
        same(
            cell("should take"),
            line["expected"]["watts"].as_f64(),
            label,
        );
        same_ohms(cell("reads"), &line["measured"]["ohms"], label);
        same(cell("takes"), line["measured"]["watts"].as_f64(), label);
        same(
            cell("deviation"),
            line["measured"]["deviation"].as_f64(),
            label,
        );
        same(cell("p out"), line["p_out"].as_f64(), label);
        same(cell("far end"), line["far_end_db"].as_f64(), label);
        let verdict = line["verdict"].as_str().unwrap().replace('-', " ");
        assert_eq!(cell("verdict"), verdict.replace("unmeasured", "unread"));
        assert_eq!(cell("off") == "OFF", line["off"].as_bool().unwrap());
        let found = if line["as_found"] == line["as_left"] {
            &Value::Null
        } else {
            &line["as_found"]["ohms"]
        };
        same_ohms(cell("as found"), found, label);
        let (heard, asked) = (&line["heard"][0], &line["asked"]);
        let told = if *asked == 0 {
            String::new()
        } else {
            format!("{heard} of {asked}")
        };
        assert_eq!(cell("heard"), told);
    }
}

#[test]
fn every_figure_of_the_outputs_is_the_jsons_to_its_printed_digits() {
    let (text, all) = both();
    let rows = table(text, "Outputs");
    let outputs = all["outputs"].as_array().unwrap();
    assert_eq!(rows.len(), 1 + outputs.len());
    for (at, output) in (1..).zip(outputs) {
        let cell = |title| column(&rows, at, title);
        let name = format!(
            "{} out {}",
            output["amplifier"].as_str().unwrap(),
            output["output"].as_str().unwrap()
        );
        assert_eq!(cell("output"), name);
        same(cell("line"), output["line_v"].as_f64(), &name);
        same(
            cell("carries").trim_start_matches("not known"),
            output["load_w"].as_f64(),
            &name,
        );
        same(cell("rating"), output["rated_w"].as_f64(), &name);
        same(
            cell("used"),
            output["headroom"].as_f64().map(|left| 1.0 - left),
            &name,
        );
        same(
            cell("rating needed"),
            output["rating_needed_w"].as_f64(),
            &name,
        );
        let unread = output["unmeasured_lines"]
            .as_f64()
            .filter(|count| *count > 0.0);
        same(cell("unread lines"), unread, &name);
        let word = match output["verdict"].as_str().unwrap() {
            "overloaded" if output["load_w"].is_null() => "STOP: PH-4 must not be connected",
            "overloaded" => "past the rating",
            "short-of-headroom" => "past the headroom",
            word => word,
        };
        assert_eq!(cell("verdict"), word);
    }
}

#[test]
fn every_flagged_line_stands_in_the_list_with_its_likeliest_hints() {
    let (text, all) = both();
    let part = text
        .split("\n## ")
        .find(|part| part.starts_with("Wants a look"))
        .unwrap();
    let mut named: Vec<String> = Vec::new();
    let mut hints: Vec<&str> = Vec::new();
    let lines = all["lines"].as_array().unwrap();
    let check = |label: &str, hints: &[&str]| {
        let Some(line) = lines.iter().find(|line| line["line"] == label) else {
            return assert_eq!(hints, [""; 0], "{label} is an output");
        };
        // A cause seen over all lines stands first, and the line's own in one sentence behind it.
        let wide = &line["site_wide"][0];
        if wide["probability"].as_f64() >= Some(0.5) {
            assert_eq!(hints.len(), 2, "{label}");
            let (_, words) = hints[0].split_once(" %, seen over all lines: ").unwrap();
            assert_eq!(words, wide["text"].as_str().unwrap());
            let own = hints[1].strip_prefix("only if it is not that, of the line itself: ");
            assert!(
                own.unwrap()
                    .contains(line["hints"][0]["text"].as_str().unwrap())
            );
            return;
        }
        let shown = line["hints"].as_array().unwrap().iter();
        let shown: Vec<&Value> = shown
            .filter(|hint| hint["probability"].as_f64() >= Some(0.01))
            .take(5)
            .collect();
        assert_eq!(hints.len(), shown.len(), "{label}");
        for (printed, hint) in hints.iter().zip(shown) {
            let (figure, words) = printed.split_once(": ").unwrap();
            assert_eq!(words, hint["text"].as_str().unwrap());
            let p = hint["probability"].as_f64().unwrap();
            if let Some(bound) = figure.strip_prefix('>') {
                assert_eq!(bound, "99 %");
                assert!(p >= 0.995, "{label}: {p}");
            } else {
                same(figure, Some(p), label);
            }
        }
    };
    for row in part.lines().skip(2) {
        if let Some(next) = row.strip_prefix("    - next: ") {
            let label = named.last().unwrap();
            let line = lines.iter().find(|line| line["line"] == *label).unwrap();
            assert_eq!(next, line["next"][0]["text"].as_str().unwrap(), "{label}");
        } else if let Some(hint) = row.strip_prefix("    - ") {
            hints.push(hint);
        } else if let Some((_, rest)) = row.split_once(". ") {
            if let Some(last) = named.last() {
                check(last, &hints);
            }
            hints.clear();
            named.push(rest.split_once(':').unwrap().0.to_owned());
        }
    }
    check(named.last().unwrap(), &hints);
    let flagged: Vec<&str> = lines
        .iter()
        .filter(|line| line["verdict"] == "out-of-tolerance" || line["verdict"] == "too-close")
        .map(|line| line["line"].as_str().unwrap())
        .collect();
    assert!(
        flagged
            .iter()
            .all(|label| named.iter().any(|it| it == label)),
        "{named:?}"
    );
    // Nine lines, and three outputs: A1 out 1 is past its headroom even while PH-4, which stops it, is OFF.
    assert_eq!(named.len(), flagged.len() + 3, "{named:?}");
    assert_eq!(named[0], "PH-4", "what must not be connected comes first");
}

#[test]
fn insulation_is_told_with_its_voltage_and_verdict() {
    let (text, all) = both();
    let rows = table(text, "Insulation");
    let read: Vec<&Value> = all["lines"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|line| !line["insulation"].is_null())
        .collect();
    assert_eq!(rows.len(), 1 + read.len());
    for (at, line) in (1..).zip(read) {
        let label = line["line"].as_str().unwrap();
        let printed = column(&rows, at, "insulation");
        let above = printed.starts_with("over ");
        assert_eq!(above, line["insulation"]["above_range"].as_bool().unwrap());
        let (ohms, volts) = printed
            .trim_start_matches("over ")
            .split_once(" at ")
            .unwrap();
        same(ohms, line["insulation"]["ohms"].as_f64(), label);
        same(volts, line["insulation"]["test_v"].as_f64(), label);
        assert_eq!(
            column(&rows, at, "verdict").replace(' ', "-"),
            line["insulation"]["verdict"]
        );
    }
}

#[test]
fn the_counts_at_the_top_are_those_of_the_lines() {
    let (text, all) = both();
    let lines = all["lines"].as_array().unwrap();
    let count = |word: &str| lines.iter().filter(|line| line["verdict"] == word).count();
    let off: Vec<&str> = lines
        .iter()
        .filter(|line| line["off"] == true)
        .map(|line| line["line"].as_str().unwrap())
        .collect();
    let first = format!(
        "{} of {} lines read: {} in tolerance, {} out of tolerance.\n{} OFF the amplifier: {}.\n",
        lines.len() - count("unmeasured"),
        lines.len(),
        count("in-tolerance"),
        count("out-of-tolerance"),
        off.len(),
        off.join(", ")
    );
    assert!(text.contains(&first), "{first}");
}

#[test]
fn a_site_without_readings_says_so_and_shows_no_empty_columns() {
    let bench = Bench::new();
    bench.write("schedule.csv", super::bench::SMALL);
    bench
        .run(&[
            "import",
            "schedule.csv",
            "--to",
            "site.ron",
            "--name",
            "Hall",
        ])
        .done();
    let text = bench.run(&["assess", "site.ron"]).done();
    assert!(
        text.contains("0 of 1 lines read.\nNo line is noted as OFF the amplifier;"),
        "{text}"
    );
    assert!(text.contains("Nothing that was read so far."), "{text}");
    let rows = table(&text, "Lines");
    assert_eq!(
        rows[0],
        [
            "line",
            "zone",
            "taps",
            "should read",
            "should take",
            "verdict",
            "far end"
        ]
    );
}

#[test]
fn a_line_that_must_not_be_connected_and_fits_nothing_is_said_to_be_both() {
    let bench = Bench::sound();
    bench.write("more.csv", "line,kind,value\nL-1,impedance,0.001\n");
    bench.run(&["record", "site.ron", "more.csv"]).done();
    let text = bench.run(&["assess", "site.ron"]).done();
    let row = text.lines().find(|row| row.starts_with("1. L-1")).unwrap();
    for words in ["must not be connected", "fits nothing", "read it again"] {
        assert!(row.contains(words), "{row}");
    }
}

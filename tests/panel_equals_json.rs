//! On every line of the demo the figures on the screen, parsed back, are those of `assess --json`
//! to their printed digits. The JSON comes from the real binary; it is rounded here, by the digits
//! that the screen shows, and by nothing of the program's own.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;

use desk::{Desk, demo};
use linewright::session::{Key, RowId};
use serde_json::Value;
use std::process::Command;

fn assess() -> Value {
    let out = Command::new(env!("CARGO_BIN_EXE_linewright"))
        .args(["assess", "sites/glasshouse.ron", "--json"])
        .output()
        .unwrap();
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    serde_json::from_slice(&out.stdout).unwrap()
}

/// Every page of the panel, column after column, one text a row, the frame off.
fn panel(desk: &mut Desk) -> Vec<String> {
    let mut out = Vec::new();
    let view = desk.session.view();
    let first = view.panel;
    loop {
        let screen = desk.screen();
        // Under the rows of the panel a long message may stand in the rule.
        let rows = screen.lines().count() - 6;
        let body = screen
            .lines()
            .skip(2)
            .take(rows)
            .take_while(|row| !row.starts_with('\u{2500}'));
        let rows: Vec<&str> = body.collect();
        for column in 0..first.len() {
            let start = view.tree_width + 1 + column * (view.panel_width + 1);
            let cells = |row: &&str| row.chars().skip(start).take(view.panel_width).collect();
            out.extend(rows.iter().map(cells));
            out.push(String::new());
        }
        desk.press(Key::Tab);
        if desk.session.view().panel == first {
            return out;
        }
    }
}

/// The words of the one row that holds a word at its start, sign off.
fn row<'a>(panel: &'a [String], name: &str) -> Option<Vec<&'a str>> {
    panel
        .iter()
        .map(|row| row.trim_start_matches([' ', '=', '+', '-', '~', '!', '?', '*', '/']))
        .find(|row| row.starts_with(name))
        .map(|row| row.split_whitespace().collect())
}

/// Holds a printed number against the exact one: the same when rounded to the digits shown.
#[track_caller]
fn same(shown: &str, exact: f64, what: &str) {
    let number = shown.trim_start_matches('+').trim_end_matches(',');
    let (number, times) = match number.strip_suffix('k') {
        Some(number) => (number, 1e3),
        None => match number.strip_suffix('M') {
            Some(number) => (number, 1e6),
            None => (number, 1.0),
        },
    };
    let decimals = number.split_once('.').map_or(0, |(_, after)| after.len());
    let rounded = format!("{:.decimals$}", exact / times);
    let rounded = match rounded.strip_prefix('-') {
        Some(zero) if zero.parse::<f64>() == Ok(0.0) => zero.to_owned(),
        _ => rounded,
    };
    assert_eq!(
        number, rounded,
        "{what}: {shown} on the screen, {exact} in the JSON"
    );
}

/// `412 ohm` or `16.7 kohm`, as two words.
#[track_caller]
fn same_ohm(words: &[&str], exact: &Value, what: &str) {
    match exact.as_f64() {
        None => assert_eq!(words[0], exact.as_str().unwrap(), "{what}"),
        Some(exact) => {
            let times = match words[1] {
                "ohm" => 1.0,
                "kohm" => 1e3,
                "Mohm" => 1e6,
                other => panic!("{what}: {other}"),
            };
            same(words[0], exact / times, what);
        }
    }
}

/// `48.8 W` or `16.7 kW`.
#[track_caller]
fn same_watt(words: &[&str], exact: f64, what: &str) {
    let times = if words[1].trim_end_matches(',') == "kW" {
        1e3
    } else {
        1.0
    };
    same(words[0], exact / times, what);
}

/// `94 %`, `<1 %`, `>99 %`: whole percent that never claim certainty.
#[track_caller]
fn same_probability(shown: &str, exact: f64, what: &str) {
    match shown {
        "<1" => assert!(exact < 0.005, "{what}: {exact}"),
        ">99" => assert!(exact >= 0.995, "{what}: {exact}"),
        _ => same(shown, exact * 100.0, what),
    }
}

fn check_line(panel: &[String], line: &Value, label: &str) {
    let all = || panel.join("\n");
    // Expected and its spread.
    let design = row(panel, "design").unwrap_or_else(|| panic!("{label}: {}", all()));
    same_ohm(&design[1..], &line["expected"]["ohms"], label);
    same_watt(
        &design[3..],
        line["expected"]["watts"].as_f64().unwrap(),
        label,
    );
    let spread = design[5].trim_start_matches("+-");
    same(
        spread,
        line["expected"]["u_rel"].as_f64().unwrap() * 100.0,
        label,
    );
    // Measured, its deviation and its verdict.
    let measured = &line["measured"];
    if measured.is_null() {
        assert!(row(panel, "unread").is_some(), "{label}");
        assert!(row(panel, "read ").is_none(), "{label}");
        assert_eq!(line["verdict"], "unmeasured");
    } else {
        let read = row(panel, "read ").unwrap();
        same_ohm(&read[1..], &measured["ohms"], label);
        if let Some(watts) = measured["watts"].as_f64() {
            let at = if measured["ohms"] == "open" { 2 } else { 3 };
            // What a short would draw is no load to reckon with: below 5 ohm it is not told.
            if measured["ohms"].as_f64().is_some_and(|ohm| ohm < 5.0) {
                assert_eq!(read[at], "-", "{label}");
            } else {
                same_watt(&read[at..], watts, label);
            }
        }
        match measured["deviation"].as_f64() {
            None => assert!(!read.contains(&"%"), "{label}: {read:?}"),
            // Beyond ten times the screen says how many times.
            Some(deviation) if read[read.len() - 2] == "x" => {
                assert!(deviation > 9.99, "{label}");
                same(read[read.len() - 1], deviation + 1.0, label);
            }
            Some(deviation) => {
                assert_eq!(read[read.len() - 1], "%", "{label}");
                same(read[read.len() - 2], deviation * 100.0, label);
            }
        }
        let p_out = line["p_out"].as_f64().unwrap();
        match panel.iter().find_map(|row| row.split_once(", p out ")) {
            None => {
                let short = panel
                    .iter()
                    .any(|row| row.contains("reads short: must not"));
                assert!(
                    short && measured["ohms"].as_f64().is_none_or(|ohm| ohm < 5.0),
                    "{label}"
                );
            }
            Some((words, shown)) => {
                // In full, or as short as a narrow panel has room for.
                let (wanted, short) = match line["verdict"].as_str().unwrap() {
                    "in-tolerance" => ("in tolerance", " in tol"),
                    "out-of-tolerance" => ("out of tolerance", " out"),
                    _ => ("close", "close"),
                };
                assert!(
                    words.contains(wanted) || words.ends_with(short),
                    "{label}: {words}"
                );
                match shown.trim() {
                    "> 0.99" => assert!(p_out > 0.99, "{label}: {p_out}"),
                    "< 0.01" => assert!(p_out < 0.01, "{label}: {p_out}"),
                    shown => same(shown, p_out, label),
                }
            }
        }
    }
    check_hints(panel, line, label);
    // The far end is the lowest level of a loudspeaker in the cable list.
    let levels = cable_rows(panel);
    let places = line["heard"][1].as_u64().unwrap() as usize;
    assert!(levels.len() >= places, "{label}: {levels:?}");
    let lowest = levels.iter().map(|row| row.1.as_str()).min_by(|a, b| {
        a.parse::<f64>()
            .unwrap()
            .total_cmp(&b.parse::<f64>().unwrap())
    });
    same(lowest.unwrap(), line["far_end_db"].as_f64().unwrap(), label);
}

/// Probabilities and sentences under a heading, from the last page that begins it: that one has all.
fn listed(panel: &[String], title: &str) -> Vec<(String, String)> {
    let mut shown: Vec<(String, String)> = Vec::new();
    let Some(start) = panel.iter().rposition(|row| row.contains(title)) else {
        return shown;
    };
    // A list that goes on over a page has the title once more.
    let mut rest: Vec<&String> = panel[start + 1..].iter().collect();
    while let Some(at) = rest
        .windows(2)
        .position(|two| two[0].is_empty() && two[1].contains(" Tab "))
    {
        rest.drain(at..at + 2);
    }
    for row in rest {
        let row = row.trim_end();
        let ends = row.trim_start().starts_with("next ") || row.contains("likeliest first");
        if row.is_empty() || is_cable_head(row) || ends {
            break;
        }
        match row
            .get(..8)
            .map(str::trim)
            .and_then(|start| start.strip_suffix('%'))
        {
            Some(percent) => shown.push((percent.trim().to_owned(), row[8..].trim().to_owned())),
            None => {
                let words = &mut shown.last_mut().unwrap().1;
                words.push(' ');
                words.push_str(row.trim());
            }
        }
    }
    shown
}

/// The panel's words one after the other.
fn words_of(panel: &[String]) -> String {
    let words = panel.iter().flat_map(|row| row.split_whitespace());
    words.collect::<Vec<_>>().join(" ")
}

/// Suspects: their probabilities in order, their sentences, the misfit, and the place of each.
fn check_hints(panel: &[String], line: &Value, label: &str) {
    let hints = line["hints"].as_array().unwrap();
    let start = panel.iter().position(|row| row.contains("likeliest first"));
    if hints.is_empty() {
        assert_eq!(start, None, "{label}");
        return;
    }
    let shown = listed(panel, "likeliest first");
    assert!(!shown.is_empty(), "{label}");
    // What the whole site shows of the line stands before, under its own heading.
    let site = line["site"].as_array().unwrap();
    let of_site = listed(panel, "of the whole site");
    assert_eq!(of_site.len(), site.len(), "{label}: {of_site:?}");
    for ((percent, text), hint) in of_site.iter().zip(site) {
        same_probability(percent, hint["probability"].as_f64().unwrap(), label);
        // The test that its sentence ends with may stand below, as what is next, and then stands there alone.
        let told = hint["text"].as_str().unwrap();
        let test = told.strip_prefix(text.as_str());
        let test = test.and_then(|rest| rest.strip_prefix("; "));
        let is_next = test.is_some_and(|test| words_of(panel).contains(&format!("next {test}")));
        assert!(text == told || is_next, "{label}: {text:?} {told:?}");
    }
    let mut rest = 1.0;
    for (at, (percent, text)) in shown.iter().enumerate() {
        if text == "all else" {
            assert_eq!(at, shown.len() - 1, "{label}");
            same_probability(percent, rest, label);
            break;
        }
        let probability = hints[at]["probability"].as_f64().unwrap();
        same_probability(percent, probability, label);
        assert_eq!(text, hints[at]["text"].as_str().unwrap(), "{label}");
        rest -= probability;
    }
    let misfit = line["misfit"].as_f64().unwrap();
    match panel
        .iter()
        .find_map(|row| row.split_once("fits nothing, "))
    {
        None => assert!(misfit <= 0.5, "{label}: {misfit}"),
        Some((_, shown)) => {
            assert!(misfit > 0.5, "{label}");
            same_probability(shown.split_whitespace().next().unwrap(), misfit, label);
        }
    }
    // Place by place in the cable list: a place counts once a hint names it.
    for (place, _, fault) in cable_rows(panel).iter().filter(|row| !row.2.is_empty()) {
        let named: f64 = hints
            .iter()
            .flat_map(|hint| hint["places"].as_array().unwrap())
            .filter(|it| it["at"] == place.as_str())
            .map(|it| it["probability"].as_f64().unwrap())
            .sum();
        same_probability(fault, named, &format!("{label} at {place}"));
    }
}

/// The head of the cable list; where it begins a page the count of pages stands in it.
fn is_cable_head(row: &str) -> bool {
    row.trim_start().starts_with("cable") && row.contains("   m  ")
}

/// Label, level and suspicion of the loudspeakers and devices in the cable list.
fn cable_rows(panel: &[String]) -> Vec<(String, String, String)> {
    let Some(start) = panel.iter().position(|row| is_cable_head(row)) else {
        return Vec::new();
    };
    panel[start + 1..]
        .iter()
        .map(|row| row.trim_end())
        .filter_map(|row| {
            let row = row.trim_start_matches(|c: char| !c.is_alphanumeric());
            let words: Vec<&str> = row.split_whitespace().collect();
            let level = words.iter().position(|word| {
                word.split_once('.')
                    .is_some_and(|(_, after)| after.len() == 2)
                    && word.parse::<f64>().is_ok_and(|level| level <= 0.5)
            })?;
            // Label, metres, watts, level; a joint has no watts.
            let fault = words.get(level + 1).filter(|_| words.last() == Some(&"%"));
            (level >= 2).then(|| {
                let fault = fault.map_or_else(String::new, |it| (*it).to_owned());
                (words[0].to_owned(), words[level].to_owned(), fault)
            })
        })
        .collect()
}

fn check_output(panel: &[String], output: &Value, what: &str) {
    let rated = output["rated_w"].as_f64().unwrap();
    let title = panel
        .iter()
        .find(|row| row.contains(&format!(", {rated} W, ")))
        .unwrap();
    let unread = output["unmeasured_lines"].as_u64().unwrap();
    let wanted = if unread == 0 {
        "all read".to_owned()
    } else {
        format!("{unread} unread")
    };
    assert!(title.contains(&wanted), "{what}: {title}");
    let stops = output["stop"].as_array().unwrap();
    let Some(load) = output["load_w"].as_f64().filter(|_| stops.is_empty()) else {
        let stop = panel.iter().find(|row| row.contains("STOP: ")).unwrap();
        assert!(
            stops
                .iter()
                .all(|line| stop.contains(line.as_str().unwrap())),
            "{what}: {stop}"
        );
        return;
    };
    let carries = row(panel, "carries").unwrap();
    same_watt(&carries[1..], load, what);
    same(carries[3], load / rated * 100.0, what);
    let headroom = output["headroom"].as_f64().unwrap();
    match output["verdict"].as_str().unwrap() {
        "overloaded" => {
            let over = row(panel, "over by").unwrap();
            same(over[2], -headroom * 100.0, what);
        }
        verdict => {
            let left = panel.iter().find(|row| row.contains(" % left, ")).unwrap();
            let words: Vec<&str> = left
                .trim_start_matches([' ', '~'])
                .split_whitespace()
                .collect();
            same(words[0], headroom * 100.0, what);
            assert_eq!(
                verdict == "short-of-headroom",
                left.contains("needs"),
                "{what}"
            );
        }
    }
    if let Some((_, needs)) = panel.iter().find_map(|row| row.split_once("needs ")) {
        let words: Vec<&str> = needs.split_whitespace().collect();
        same_watt(&words, output["rating_needed_w"].as_f64().unwrap(), what);
    }
}

/// The line's own row in the tree: ohms, deviation, OFF.
fn check_tree(desk: &Desk, line: &Value, label: &str) {
    let screen = desk.screen();
    let row = screen.lines().find(|row| row.starts_with('>')).unwrap();
    let cells = desk.session.view().tree_width;
    let row: String = row.chars().take(cells).collect();
    assert_eq!(
        row.trim_end().ends_with("OFF"),
        line["off"].as_bool().unwrap(),
        "{label}"
    );
    let words: Vec<&str> = row.split_whitespace().collect();
    let at = words.iter().position(|word| *word == label).unwrap();
    let measured = &line["measured"];
    match measured["ohms"].as_f64() {
        Some(ohms) => same(words[at + 1], ohms, label),
        None if measured.is_null() => assert_eq!(words[at + 1], "unread", "{label}"),
        None => assert_eq!(words[at + 1], measured["ohms"].as_str().unwrap(), "{label}"),
    }
    if let Some(deviation) = measured["deviation"].as_f64() {
        match row.split_once(" x ") {
            Some((_, times)) => {
                same(
                    times.split_whitespace().next().unwrap(),
                    deviation + 1.0,
                    label,
                );
            }
            None => {
                let at = words.iter().position(|word| *word == "%").unwrap();
                same(words[at - 1], deviation * 100.0, label);
            }
        }
    }
}

fn walk(size: (usize, usize)) {
    let json = assess();
    let mut desk = Desk::at(demo());
    desk.rest();
    desk.resize(size.0, size.1);
    desk.rest().press(Key::Home);
    let mut seen = 0;
    loop {
        let before = desk.session.cursor().clone();
        desk.press(Key::Down);
        if *desk.session.cursor() == before {
            break;
        }
        if !matches!(desk.session.cursor(), RowId::Line(_)) {
            continue;
        }
        let label = desk.on();
        let lines = json["lines"].as_array().unwrap();
        let line = lines
            .iter()
            .find(|line| line["line"] == label.as_str())
            .unwrap();
        let mut line = line.clone();
        let of_line = |hint: &&Value| {
            hint["lines"]
                .as_array()
                .unwrap()
                .contains(&label.as_str().into())
        };
        line["site"] = json["site_hints"]
            .as_array()
            .unwrap()
            .iter()
            .filter(of_line)
            .cloned()
            .collect();
        let line = &line;
        let panel = panel(&mut desk);
        check_line(&panel, line, &label);
        let outputs = json["outputs"].as_array().unwrap();
        let output = outputs
            .iter()
            .find(|it| it["amplifier"] == line["amplifier"] && it["output"] == line["output"])
            .unwrap();
        check_output(&panel, output, &label);
        // A narrower tree leaves the ohms to the panel.
        if size.0 >= 80 {
            check_tree(&desk, line, &label);
        }
        seen += 1;
    }
    assert_eq!(seen, json["lines"].as_array().unwrap().len());
    assert_eq!(seen, 42);
}

#[test]
fn on_every_line_of_the_demo_the_panel_says_what_assess_says_at_80_by_24() {
    walk((80, 24));
}

#[test]
fn on_every_line_of_the_demo_the_panel_says_what_assess_says_at_160_by_48() {
    walk((160, 48));
}

#[test]
fn on_every_line_of_the_demo_the_panel_says_what_assess_says_at_60_by_20() {
    walk((60, 20));
}

#[test]
fn the_sites_own_panel_says_what_assess_says_of_every_output() {
    let json = assess();
    let mut desk = Desk::at(demo());
    desk.rest();
    desk.resize(160, 48);
    desk.press(Key::Home);
    let panel = panel(&mut desk);
    let start = panel
        .iter()
        .position(|row| row.contains("outputs, load against rating"))
        .unwrap();
    for output in json["outputs"].as_array().unwrap() {
        let (amplifier, own) = (
            output["amplifier"].as_str().unwrap(),
            output["output"].as_str().unwrap(),
        );
        let title = format!("{amplifier} out {own}");
        let rows = || panel[start + 1..].iter().map(|row| row.trim_end());
        // An amplifier with one output is called by its own name.
        let alone = format!("{amplifier} ");
        let row = rows()
            .find(|row| row.contains(&title))
            .or_else(|| rows().find(|row| row.get(3..).is_some_and(|row| row.starts_with(&alone))))
            .unwrap();
        if !output["stop"].as_array().unwrap().is_empty() {
            assert!(
                row.contains("load unknown") && row.ends_with("STOP"),
                "{row}"
            );
            continue;
        }
        let words: Vec<&str> = row.split_whitespace().collect();
        let at = words.iter().position(|word| *word == "W").unwrap();
        let load = output["load_w"].as_f64().unwrap();
        same(words[at - 1], load, &title);
        same(
            words[at + 1],
            load / output["rated_w"].as_f64().unwrap() * 100.0,
            &title,
        );
        let wanted = match output["verdict"].as_str().unwrap() {
            "ok" => "ok",
            "overloaded" => "over",
            _ => "tight",
        };
        assert_eq!(words.last(), Some(&wanted), "{title}");
    }
}

#[test]
fn a_figure_that_differs_in_its_last_digit_is_told_apart() {
    same("+84.9", 84.92, "itself");
    same("16.7", 16.74, "itself");
    same("0.0", -0.04, "itself");
    let differs = std::panic::catch_unwind(|| same("84.8", 84.92, "not itself"));
    assert!(differs.is_err());
}

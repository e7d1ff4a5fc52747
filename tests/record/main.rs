//! The hand-over record in every format: its figures are those of the JSON, the same facts make the
//! same bytes, and no label harms it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "../common/desk.rs"]
mod desk;
#[path = "../common/paper.rs"]
mod paper;
#[path = "../common/pen.rs"]
mod pen;
#[path = "../common/screen.rs"]
mod screen;

mod drawn;
mod figures;
mod harmless;
mod pdf;
mod signed;
mod words;

use desk::{assessed, demo, hall, site_of};
use linewright::quantity::{Decibel, Fraction, Ohm, Probability, Watt, show};
use linewright::report::document::{Block, Document, Table};
use linewright::report::{
    Assessment, Paper, Separator, csv, html, labels, markdown, pdf, record, walk_sheet,
};
use linewright::site::{Heard, Ref, Site};
use paper::{glasshouse, table};
use pen::Pen;
use screen::folded;
use serde_json::Value;
use std::io::Write;
use std::process::Command;

fn json(data: &Assessment) -> Value {
    serde_json::from_str(&data.to_json().unwrap()).unwrap()
}

fn ohms(value: &Value) -> String {
    match value {
        Value::Number(it) => show::ohm(Ohm(it.as_f64().unwrap())),
        Value::String(it) => it.clone(),
        _ => String::new(),
    }
}

/// What the JSON says of a line, as it is to stand in a text: column and words.
fn wanted(line: &Value) -> Vec<(&'static str, String)> {
    let number = |it: &Value| it.as_f64();
    let watts = |it: &Value| number(it).map_or_else(String::new, |w| show::watt(Watt(w)));
    let left = &line["as_left"];
    vec![
        (
            "taps",
            number(&line["design_w"]).map_or_else(String::new, |w| show::marked_watt(Watt(w))),
        ),
        ("should read", ohms(&line["expected"]["ohms"])),
        ("should take", watts(&line["expected"]["watts"])),
        ("as found", ohms(&line["as_found"]["ohms"])),
        ("as left", ohms(&left["ohms"])),
        ("takes", watts(&left["watts"])),
        (
            "deviation",
            number(&left["deviation"])
                .map_or_else(String::new, |d| show::signed_percent(Fraction(d))),
        ),
        (
            "p out",
            number(&line["p_out"]).map_or_else(String::new, |p| show::p_figure(Probability(p))),
        ),
    ]
}

fn cell<'a>(heads: &[String], row: &'a [String], column: &str) -> &'a str {
    let at = heads.iter().position(|it| it == column);
    at.map_or("", |at| row[at].as_str())
}

/// What the record tells of a line: what a short takes is not known, since resistance of leads and
/// contacts is all that it reads.
fn told(data: &Value, line: &Value) -> Vec<(&'static str, String)> {
    let outputs = data["outputs"].as_array().unwrap().iter();
    let mut stops = outputs.flat_map(|it| it["stop"].as_array().unwrap());
    let short = stops.any(|it| *it == line["line"]);
    let told = wanted(line).into_iter().map(|(column, words)| {
        let words = match column {
            "takes" if short => "not known".to_owned(),
            "deviation" | "95 %" if short => String::new(),
            _ => words,
        };
        (column, words)
    });
    told.collect()
}

/// Heads and rows of a spreadsheet.
fn csv_table(bytes: &[u8], between: u8) -> (Vec<String>, Vec<Vec<String>>) {
    let text = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap();
    let mut reader = ::csv::ReaderBuilder::new()
        .delimiter(between)
        .from_reader(text);
    let cells = |row: &::csv::StringRecord| row.iter().map(str::to_owned).collect();
    let heads = cells(reader.headers().unwrap());
    let rows = reader.records().map(|row| cells(&row.unwrap())).collect();
    (heads, rows)
}

/// Labels that wish harm, or are hard to write.
const HOSTILE: [&str; 7] = [
    "<script>alert(1)</script>",
    "=1+1",
    "@SUM(A1)",
    "\u{5d0}\u{5d5}\u{5dc}\u{5dd} \u{645}\u{631}\u{62d}\u{628}\u{627}",
    "\u{1f50a} loud",
    "a|b `c` *d* [e](f)",
    "& \"quoted\" 'so'",
];

fn hostile() -> Site {
    let mut schedule = String::from("amplifier,rated_w,zone,line,loudspeaker,tap_w\n");
    let long = "n".repeat(200);
    for (at, label) in HOSTILE.iter().chain([&long.as_str()]).enumerate() {
        let label = label.replace('"', "\"\"");
        schedule.push_str(&format!(
            "A{at},100,\"{label}\",\"{label}\",\"{label}\",20\n"
        ));
    }
    let mut site = site_of(&schedule, "<b>=cmd</b> \u{5d0}\u{5d1}");
    let ids: Vec<_> = site
        .plan()
        .lines
        .iter()
        .map(|line| line.id.clone())
        .collect();
    let mut pen = Pen::on(site);
    for id in &ids {
        pen.read(id.as_str(), "380");
        pen.accept(
            id.as_str(),
            "=HYPERLINK(\"x\") <img src=x onerror=y> \u{202e}back",
        );
    }
    site = pen.site;
    site
}

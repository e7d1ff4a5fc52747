//! The next visit against the last: how often a drift is called where there is none, and when it is
//! called where there is one.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;

use desk::hall;
use linewright::analysis::{Analyst, Baseline, Drifted, compare};
use linewright::quantity::{Fraction, Ohm, Value};
use linewright::report::{Assessment, Older, OlderError};
use linewright::site::{Design, Elements, Item, Log, Ref, Site};
use linewright::verdict::{Datum, Factor, Limits, drift};
use pen::Pen;

/// A small generator of even numbers; the same every time. Source: G. Marsaglia, "Xorshift RNGs",
/// Journal of Statistical Software 8 (2003).
struct Draw(u64);

impl Draw {
    fn even(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A standard Normal, by the method of Box and Muller.
    fn normal(&mut self) -> f64 {
        let (a, b) = (self.even().max(1e-300), self.even());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }
}

#[test]
fn over_2000_pairs_of_visits_without_drift_the_call_comes_at_the_stated_rate() {
    let limits = Limits::of(&linewright::site::Figures::default());
    let factor = Factor::of_accuracy(Fraction(0.05));
    let mut draw = Draw(0x9e37_79b9_7f4a_7c15);
    let mut called = 0;
    const PAIRS: usize = 2000;
    for _ in 0..PAIRS {
        // From 60 ohm to 3 kohm, evenly over the logarithm; each visit with a meter of its own.
        let truth = (60f64.ln() + draw.even() * 50f64.ln()).exp();
        let mut visit = || {
            let step = if truth < 1000.0 { 1.0 } else { 10.0 };
            let g = draw.normal() * factor.ln_var.sqrt();
            let contacts = draw.normal() * limits.contacts.get() / truth;
            let shown = (truth * (g + contacts).exp() / step).round() * step;
            Datum {
                read: Ohm(shown),
                step: Ohm(step),
                factor,
            }
        };
        let (then, now) = (visit(), visit());
        if drift(then, now, false, &limits).probability.get() > 0.99 {
            called += 1;
        }
    }
    let rate = 0.01;
    let error = (rate * (1.0 - rate) / PAIRS as f64).sqrt();
    let found = called as f64 / PAIRS as f64;
    assert!(
        (found - rate).abs() < 3.0 * error,
        "{found}, {rate} +- {error}"
    );
}

/// Two visits to the hall, each line read at these ohms times.
fn visits(change: impl Fn(&str) -> f64) -> (Site, Site) {
    let read = |times: &dyn Fn(&str) -> f64, writer: &str, second: i64| {
        let site = hall();
        let analyst = Analyst::new(&site);
        let lines: Vec<(String, f64)> = site
            .plan()
            .lines
            .iter()
            .enumerate()
            .map(|(at, line)| {
                let ohm = analyst.line(at).design.expected.unwrap().get();
                (line.id.to_string(), ohm)
            })
            .collect();
        let mut pen = Pen::by(site, writer, second);
        for (line, ohm) in lines {
            pen.read(&line, &format!("{:.0}", ohm * times(&line)));
        }
        pen.site
    };
    (
        read(&|_| 1.0, "thenthenthenthen", 0),
        read(&change, "nownownownownown", 1000),
    )
}

fn compared(then: &Site, now: &Site) -> Baseline {
    let rest = |site: &Site| {
        let mut analyst = Analyst::new(site);
        analyst.settle(site, None);
        analyst
    };
    let (old, new) = (rest(then), rest(now));
    compare((then, &old), (now, &new))
}

/// The same site as another stay: a visit of its own.
fn next_visit(site: &Site, change: impl Fn(&mut Item)) -> Site {
    let mut rows = site.elements().rows();
    for row in &mut rows {
        if row.id == "visit-1" && matches!(row.is, Design::Visit(_)) {
            row.id = "visit-2".to_owned();
        }
        change(row);
    }
    let mut log = Log::default();
    for entry in site.log().entries() {
        let mut entry = entry.clone();
        if let linewright::site::Do::Read(read) = &mut entry.what {
            read.state = "visit-2".into();
        }
        log.add(entry);
    }
    Site::new(site.id().clone(), Elements::from_iter(rows), log)
}

#[test]
fn one_line_that_drifted_by_a_quarter_is_called_and_three_per_cent_are_not() {
    for (times, called) in [(1.03, false), (1.25, true)] {
        let (then, now) = visits(|line| if line == "B-1" { times } else { 1.0 });
        let now = next_visit(&now, |_| {});
        let all = compared(&then, &now);
        assert_eq!(all.lines.len(), 6);
        let of = |label: &str| all.lines.iter().find(|it| it.line == label).unwrap();
        assert_eq!(
            of("B-1").how.is_called(),
            called,
            "{times}: {:?}",
            of("B-1")
        );
        assert!(!of("H-1").how.is_called());
    }
}

#[test]
fn a_line_that_reads_open_now_has_turned_and_one_not_read_again_is_said_to_be_that() {
    let (then, _) = visits(|_| 1.0);
    let mut pen = Pen::by(hall(), "nownownownownown", 1000);
    pen.read("H-1", "open");
    let now = next_visit(&pen.site, |_| {});
    let all = compared(&then, &now);
    let how = |label: &str| &all.lines.iter().find(|it| it.line == label).unwrap().how;
    assert!(matches!(
        how("H-1"),
        Drifted::Turned {
            now: Value::Open,
            ..
        }
    ));
    assert_eq!(*how("H-2"), Drifted::NotRead);
    // Of what was not read, it says on which of the two visits.
    let words = |then: &Site, now: &Site, label: &str| {
        let it = linewright::report::baseline(&compared(then, now), "then");
        let row = it.lines.into_iter().find(|it| it.line == label);
        row.unwrap().left.text
    };
    let unread = hall();
    assert_eq!(words(&then, &now, "H-2"), "read then, not now");
    assert_eq!(words(&unread, &then, "H-2"), "read now, not then");
    assert_eq!(words(&unread, &unread, "H-2"), "read on neither visit");
    assert_eq!(words(&then, &then, "H-2"), "not read again since");
    // The record counts what could be held against then: H-1, which reads open now, of six lines.
    let mut analyst = linewright::analysis::Analyst::new(&now);
    analyst.settle(&now, None);
    let mut data = linewright::report::Assessment::of(&now, &analyst, None);
    data.baseline = Some(linewright::report::baseline(&all, "then"));
    let told = linewright::report::markdown(&linewright::report::record(&data));
    let wanted =
        "1 of 6 lines read on both visits as drawn alike; of these 1 changed by more than both";
    assert!(told.contains(wanted), "{told}");
    // The very same record on both sides was not read again either.
    let same = compared(&then, &then);
    assert!(same.lines.iter().all(|it| it.how == Drifted::NotRead));
}

#[test]
fn a_line_renamed_is_the_same_line_and_one_redrawn_is_not_compared() {
    let (then, now) = visits(|_| 1.0);
    let now = next_visit(&now, |row| match &mut row.is {
        Design::Line(it) if row.id == "L-2" => it.label = "Lobby east".to_owned(),
        Design::Loudspeaker(it) if row.id == "C-1/LS-2" => {
            it.tap_w = linewright::quantity::Watt(20.0);
        }
        _ => {}
    });
    let all = compared(&then, &now);
    let of = |label: &str| all.lines.iter().find(|it| it.line == label).unwrap();
    assert_eq!(of("Lobby east").renamed_from.as_deref(), Some("L-2"));
    assert!(matches!(
        of("Lobby east").how,
        Drifted::By { called: false, .. }
    ));
    assert_eq!(of("C-1").how, Drifted::Redesigned);
    assert!(all.new.is_empty() && all.gone.is_empty());
    let _ = Ref::Site;
}

/// The record of a visit as the program writes it.
fn json(site: &Site) -> serde_json::Value {
    let mut analyst = Analyst::new(site);
    analyst.settle(site, None);
    let text = Assessment::of(site, &analyst, None).to_json().unwrap();
    serde_json::from_str(&text).unwrap()
}

fn against(older: &serde_json::Value, now: &Site) -> Baseline {
    let older = Older::read(&older.to_string()).unwrap();
    let mut analyst = Analyst::new(now);
    analyst.settle(now, None);
    compare(&older, (now, &analyst))
}

/// Both visits of the hall, B-1 a quarter up, B-2 open.
fn a_year_apart() -> (Site, Site) {
    let (then, _) = visits(|_| 1.0);
    let (_, now) = visits(|line| if line == "B-1" { 1.25 } else { 1.02 });
    let mut pen = Pen::by(now, "lastlastlastlast", 2000);
    pen.read("H-2", "open");
    (then, next_visit(&pen.site, |_| {}))
}

#[test]
fn the_json_of_an_older_record_compares_as_its_site_file_does() {
    let (then, now) = a_year_apart();
    let (by_file, by_json) = (compared(&then, &now), against(&json(&then), &now));
    assert_eq!(by_file.lines.len(), by_json.lines.len());
    assert!(by_file.lines.iter().any(|it| it.how.is_called()));
    for (a, b) in by_file.lines.iter().zip(&by_json.lines) {
        assert_eq!((&a.line, a.then, a.now), (&b.line, b.then, b.now));
        match (&a.how, &b.how) {
            (Drifted::By { drift: a, .. }, Drifted::By { drift: b, .. }) => {
                // u^2 went through its root and back.
                assert!((a.u.get() - b.u.get()).abs() < 1e-12);
                assert!((a.load.get() - b.load.get()).abs() < 1e-12);
            }
            (a, b) => assert_eq!(a, b),
        }
    }
    // Against itself nothing was read since.
    let itself = against(&json(&now), &now);
    assert!(itself.lines.iter().all(|it| it.how == Drifted::NotRead));
}

#[test]
fn a_record_from_before_those_fields_compares_by_label_and_by_its_stated_uncertainty() {
    let (then, now) = a_year_apart();
    let mut old = json(&then);
    for field in ["site_id", "visit_id"] {
        assert!(
            old.as_object_mut().unwrap().remove(field).is_some(),
            "{field}"
        );
    }
    for line in old["lines"].as_array_mut().unwrap() {
        let line = line.as_object_mut().unwrap();
        for field in ["reading", "id", "nodes", "site_wide", "to_do"] {
            assert!(line.remove(field).is_some(), "{field}");
        }
    }
    let all = against(&old, &now);
    let called: Vec<&str> = all
        .lines
        .iter()
        .filter(|it| it.how.is_called())
        .map(|it| it.line.as_str())
        .collect();
    assert_eq!(called, ["H-2", "B-1"]);
    assert!(all.new.is_empty() && all.gone.is_empty());
    // Another drawing is seen by what it should have read.
    let c1 = old["lines"].as_array_mut().unwrap().iter_mut();
    let c1 = c1.into_iter().find(|it| it["line"] == "C-1").unwrap();
    let ohms = c1["expected"]["ohms"].as_f64().unwrap();
    c1["expected"]["ohms"] = (ohms * 1.5).into();
    let all = against(&old, &now);
    let c1 = all.lines.iter().find(|it| it.line == "C-1").unwrap();
    assert_eq!(c1.how, Drifted::Redesigned);
}

#[test]
fn what_is_no_older_record_is_refused_with_its_place() {
    let refused = |text: &str| Older::read(text).unwrap_err();
    assert!(matches!(
        refused("{\"schema\": 1,\n \"lines\": 7}"),
        OlderError::NotOne { line: 2, .. }
    ));
    assert!(matches!(refused("schedule"), OlderError::NotOne { .. }));
    assert!(matches!(
        refused("{\"schema\": 2, \"lines\": []}"),
        OlderError::Schema(2)
    ));
    for ohms in ["-4", "0", "\"wet\"", "null"] {
        let text = format!(
            "{{\"schema\": 1, \"lines\": [{{\"line\": \"A\", \"measured\": {{\"ohms\": {ohms}}}}}]}}"
        );
        let words = refused(&text).to_string();
        assert!(
            words.contains("line \"A\"") && words.contains(ohms),
            "{words}"
        );
    }
}

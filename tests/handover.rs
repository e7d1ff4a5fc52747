//! The end of a stay and the beginning of the next, told at the keyboard: a word on each flagged line,
//! the signature, the record another engineer reads, and what drifted a year later.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;

use desk::{Desk, assessed};
use linewright::analysis::{Analyst, compare};
use linewright::report::{Assessment, Older, baseline, csv, html, markdown, record};
use linewright::report::{Paper, Separator, pdf};
use linewright::session::Key;
use linewright::site::{CORES_ON, Design, Elements, Log, Ref, Site};
use pen::{Pen, evening};

/// The evening reviewed and signed at the keyboard.
fn signed() -> Site {
    let mut desk = Desk::at(evening());
    desk.keys("gv");
    desk.press(Key::Home)
        .press(Key::Down)
        .keys("lshort near the rack, N. N., 2026-12-01\n");
    // The cursor goes on by itself, at last to the row that is signed.
    desk.keys(" 20 W wanted here\n");
    desk.keys("llocked room\n");
    desk.press(Key::Enter);
    desk.keys("N. Engineer, commissioning engineer\n");
    desk.session.site().clone()
}

#[test]
fn the_log_of_a_line_names_the_day_where_the_next_one_begins_by_the_clock_of_the_place() {
    let day = 86_400;
    for (hours, wanted) in [
        (0, ["2026-11-26", "2026-11-28"]),
        (11, ["2026-11-27", "2026-11-29"]),
    ] {
        // 14:00 on the 25th, an hour later, the next day and two days after that.
        let mut site = desk::hall();
        for (second, text) in [
            (0, "1667"),
            (3600, "1660"),
            (day, "1650"),
            (3 * day, "1640"),
        ] {
            let mut pen = Pen::by(site, &format!("penpenpenpenpe{second:02}"), second);
            pen.read("L-2", text);
            site = pen.site;
        }
        let mut opening = desk::opening("deskdeskdeskdesk");
        opening.zone = jiff::tz::TimeZone::fixed(jiff::tz::offset(hours));
        let mut desk = Desk::with(site, opening, None);
        desk.resize(160, 60).keys("/L-2\n");
        let screen = desk.screen();
        let log = screen
            .split("log of this line")
            .nth(1)
            .unwrap()
            .lines()
            .skip(1)
            .take(6);
        let log: Vec<&str> = log
            .map(|row| row.rsplit('\u{2502}').next().unwrap().trim())
            .collect();
        // At +11 h the reading of 14:00 is of one in the morning: each day is one later, the first unnamed.
        assert_eq!([log[2], log[4]], wanted, "{screen}");
        for (at, text) in [(0, "1667"), (1, "1660"), (3, "1650"), (5, "1640")] {
            assert!(log[at].contains(text), "{at} {text}: {screen}");
        }
    }
}

#[test]
fn the_day_is_reviewed_signed_and_handed_over_as_one_record_in_every_format() {
    // Before: no record of this evening could be signed.
    let before = markdown(&record(&assessed(&evening())));
    assert!(
        before.contains("4 things stand in the way of signing"),
        "{before}"
    );
    assert!(before.contains("Not signed in the site file"));
    // A word each and a name: the record says who, what was decided and what is left.
    let data = assessed(&signed());
    let document = record(&data);
    let told = markdown(&document);
    for wanted in [
        "Nothing stands in the way of signing; left out with a reason: 1 line not read, 1 line OFF the amplifier.",
        "N. Engineer, commissioning engineer",
        "intact: nothing that was signed has changed",
        "owner N. N., by 2026-12-01: short near the rack",
        "accepted: 20 W wanted here",
        "skipped: locked room",
        "MUST NOT BE CONNECTED",
        "OFF the amplifier, 1: H-2.",
    ] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    // A short stays off whatever was said; what was skipped still waits; of what was accepted, nothing.
    let row = |label: &str| data.lines.iter().find(|row| row.line == label).unwrap();
    assert_eq!(
        row("H-2").to_do,
        [
            "keep it off the amplifier until it is mended and read again",
            "fits nothing, >99 %: read it again; zero the leads; is this the right pair?",
            "mend what that shows and read it again",
            "snag, owner N. N., by 2026-12-01: short near the rack"
        ]
    );
    assert!(row("L-1").to_do.is_empty());
    assert_eq!(row("B-1").to_do, ["read it (skipped: locked room)"]);
    // The others say the same.
    assert!(html(&document).contains("short near the rack"));
    assert!(pdf(&document, Paper::A4).unwrap().starts_with(b"%PDF-"));
    let sheet = String::from_utf8(csv(&data, Separator::Comma)).unwrap();
    assert!(sheet.contains("accepted: 20 W wanted here"));
    assert!(data.to_json().unwrap().contains("\"intact\": true"));
}

/// The same building on its next visit: nothing read yet, the log as it was.
fn next_visit(site: &Site) -> Site {
    let mut rows = site.elements().rows();
    let mut visit = rows
        .iter()
        .find(|row| matches!(row.is, Design::Visit(_)))
        .unwrap()
        .clone();
    visit.id = "visit-2".to_owned();
    if let Design::Visit(it) = &mut visit.is {
        it.label = "a year later".to_owned();
        it.returning = true;
    }
    rows.push(visit);
    let mut log = Log::default();
    for entry in site.log().entries() {
        log.add(entry.clone());
    }
    Site::new(site.id().clone(), Elements::from_iter(rows), log)
}

#[test]
fn a_year_later_the_old_record_says_what_drifted_and_its_seal_still_stands() {
    let then = signed();
    let old = assessed(&then).to_json().unwrap();
    let mut pen = Pen::by(next_visit(&then), "nextnextnextnext", 40_000_000);
    assert_eq!(pen.site.visit().as_str(), "visit-2");
    // The short was mended, L-2 lost a third of its load, the others are as they were.
    for line in ["H-1", "H-2", "C-1"] {
        pen.read_as_drawn(line);
    }
    let at = pen.site.plan().line(&"L-2".into()).unwrap();
    let ohm = Analyst::new(&pen.site)
        .line(at)
        .design
        .expected
        .unwrap()
        .get();
    pen.read("L-2", &format!("{:.0}", 1.5 * ohm));
    pen.tick(CORES_ON, vec![Ref::Line("H-2".into())]);
    let mut analyst = Analyst::new(&pen.site);
    analyst.settle(&pen.site, None);
    let older = Older::read(&old).unwrap();
    let row = baseline(&compare(&older, (&pen.site, &analyst)), &older.name());
    let called: Vec<&str> = row
        .lines
        .iter()
        .filter(|it| it.left.called)
        .map(|it| it.line.as_str())
        .collect();
    // H-2 read short and reads a figure now: it has turned, and is told too.
    assert_eq!(called, ["H-2", "L-2"]);
    let l2 = row.lines.iter().find(|it| it.line == "L-2").unwrap();
    assert!((l2.left.drift.unwrap() + 1.0 / 3.0).abs() < 0.02, "{l2:?}");
    assert!(l2.left.probability.unwrap() > 0.99);
    // What was signed last year still is.
    let mut data = Assessment::of(&pen.site, &analyst, None);
    assert!(data.seals[0].intact, "{:?}", data.seals[0].changes);
    data.baseline = Some(row);
    let told = markdown(&record(&data));
    assert!(told.contains("## Against the last visit"), "{told}");
    // Four of the six lines were read again.
    let wanted = "4 of 6 lines read on both visits as drawn alike; of these 2 changed by more than both meters can explain";
    assert!(told.contains(wanted), "{told}");
}

//! The yearly visit to a building that was handed over: nothing of the last visit is told as if it were of
//! today, and nothing of it is lost.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, assessed, hall, json_of, opening};
use linewright::analysis::{Analyst, compare};
use linewright::quantity::{DecimalSign, Ohm, reading};
use linewright::report::{self, markdown, record};
use linewright::review::{Item, Matter, review};
use linewright::session::Key;
use linewright::site::{
    CORES_OFF, CORES_ON, Check, Decision, Design, Do, Edit, Heard, Ref, Site, Visit,
};
use pen::{Pen, day};
use screen::{down_to, folded, has};

/// The next visit begins, as `g y` would have it.
fn next_visit(pen: &mut Pen) {
    pen.write(Do::Edit(Edit {
        of: Ref::Visit("visit-2".into()),
        was: Vec::new(),
        now: Design::Visit(Visit {
            label: "yearly".to_owned(),
            returning: true,
        }),
        undoes: None,
    }));
}

/// A known resistor of 330 ohm is read with the meter.
fn check(pen: &mut Pen, text: &str) {
    let typed = reading(text, DecimalSign::Either).unwrap();
    pen.write(Do::Check(Check {
        visit: pen.site.visit(),
        instrument: "meter".into(),
        known_ohm: Ohm(330.0),
        value: Ohm(pen::ohms(typed.value)),
        step_ohm: typed.step,
        text: text.to_owned(),
        note: None,
    }));
}

fn page(site: &Site) -> String {
    folded(&markdown(&record(&assessed(site))))
}

fn line(label: &str) -> Ref {
    Ref::Line(label.into())
}

fn items(site: &Site, matter: Matter) -> Vec<Item> {
    let mut analyst = Analyst::new(site);
    analyst.settle(site, None);
    let items = review(site, &analyst, &Ref::Site).items;
    items.into_iter().filter(|it| it.matter == matter).collect()
}

// ---- the meter ----

#[test]
fn what_the_meter_was_like_on_the_last_visit_is_no_finding_of_this_one() {
    let meter = |site: &Site| {
        let hints = assessed(site).site_hints.into_iter();
        let own = hints.filter(|it| it.instrument.is_some());
        own.map(|it| it.text).collect::<Vec<_>>()
    };
    let mut pen = Pen::on(hall());
    check(&mut pen, "343");
    assert_eq!(meter(&pen.site).len(), 1, "{:?}", meter(&pen.site));
    next_visit(&mut pen);
    assert_eq!(meter(&pen.site), [""; 0]);
    check(&mut pen, "330");
    pen.read_as_drawn("H-1");
    assert_eq!(meter(&pen.site), [""; 0]);
    assert!(!page(&pen.site).contains("high on all lines"));
    // Nor does the old check hide that the meter is off today.
    check(&mut pen, "318");
    check(&mut pen, "318");
    check(&mut pen, "318");
    let now = meter(&pen.site);
    assert!(now[0].contains("low on all lines"), "{now:?}");
}

// ---- done ----

#[test]
fn a_repair_of_the_last_visit_is_no_answer_to_what_is_found_on_this_one() {
    let mut pen = Pen::on(hall());
    pen.read("H-1", "417");
    pen.repair("H-1", "joint before LS-4 remade", None);
    pen.read_as_drawn("H-1");
    next_visit(&mut pen);
    pen.second += 240 * 24 * 3600;
    pen.read("H-1", "417");
    let told = page(&pen.site);
    let (front, rest) = told.split_once("## Amplifiers and their outputs").unwrap();
    assert!(front.contains("| H-1 | Hall |"), "{front}");
    assert!(!front.contains("joint before LS-4 remade"), "{front}");
    let words = "Before this visit, on visit-1, 2026-11-25 UTC, engineer A: repaired: joint before LS-4 remade.";
    assert!(rest.contains(words), "{rest}");
    // What is done on this visit stands under done.
    pen.repair("H-1", "LS-5 replaced", None);
    pen.read_as_drawn("H-1");
    let told = page(&pen.site);
    let (front, _) = told.split_once("## Amplifiers and their outputs").unwrap();
    assert!(
        front.contains("| repaired: LS-5 replaced; as found 417 ohm"),
        "{front}"
    );
    assert!(!front.contains("joint before LS-4 remade"), "{front}");
}

// ---- what was read beside ----

#[test]
fn a_reading_that_later_ones_outvote_stays_in_the_record_and_in_the_json() {
    let mut pen = Pen::on(hall());
    pen.read("L-1", "556");
    pen.person = "M. Okoro".to_owned();
    pen.read("L-1", "417");
    pen.person = "engineer A".to_owned();
    pen.read("L-1", "555");
    let told = page(&pen.site);
    for words in [
        "| L-1 | 556 ohm | agrees with 555 ohm, which was read later | 2026-11-25 14:00 | engineer A |",
        "| L-1 | **417 ohm** |",
        "not believed: does not agree with 555 ohm, which was read later",
        "M. Okoro",
    ] {
        let plain = told.replace("**", "");
        let words = words.replace("**", "");
        assert!(plain.contains(&words), "{words}: {told}");
    }
    let json: serde_json::Value = serde_json::from_str(&json_of(&pen.site)).unwrap();
    let lines = json["lines"].as_array().unwrap();
    let also = |label: &str| {
        let row = lines.iter().find(|it| it["line"] == label).unwrap();
        row["also_read"].as_array().unwrap().clone()
    };
    let said: Vec<_> = also("L-1")
        .iter()
        .map(|it| (it["ohms"].as_f64(), it["by"].clone(), it["agrees"].clone()))
        .collect();
    let wanted = [
        (Some(556.0), "engineer A".into(), true.into()),
        (Some(417.0), "M. Okoro".into(), false.into()),
    ];
    assert_eq!(said, wanted);
    assert_eq!(also("L-2"), [serde_json::Value::Null; 0]);
}

#[test]
fn readings_as_found_and_as_left_are_not_told_a_second_time() {
    let mut pen = Pen::on(hall());
    for (ohm, what) in [("417", "one"), ("370", "two")] {
        pen.read("H-1", ohm);
        pen.repair("H-1", what, None);
    }
    pen.read_as_drawn("H-1");
    let data = assessed(&pen.site);
    let row = data.lines.iter().find(|it| it.line == "H-1").unwrap();
    let also: Vec<_> = row.also_read.iter().collect();
    assert_eq!(also.len(), 1, "{also:?}");
    assert_eq!(also[0].ohms, 370.0);
    assert_eq!(
        (also[0].before_repair, also[0].text.as_str()),
        (true, "it stood until the next repair")
    );
}

#[test]
fn a_correction_says_what_it_corrects() {
    let mut pen = Pen::on(hall());
    let slip = pen.read("L-2", "55.6");
    pen.correct("L-2", "556", slip);
    let told = page(&pen.site);
    for words in [
        "corrected 2026-11-25 14:00 by engineer A, was 55.6",
        "corrected to L-2 impedance reading 556, was 55.6",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    assert!(json_of(&pen.site).contains("\"corrected_from\": \"55.6\""));
}

// ---- a name and a day ----

/// All done but H-1, which nobody listened to.
fn unheard() -> Pen {
    let mut pen = Pen::on(hall());
    for label in ["H-1", "H-2", "L-1", "L-2", "B-1", "C-1"] {
        pen.read_as_drawn(label);
        if label != "H-1" {
            pen.hear_all(label);
        }
    }
    pen.tick_all();
    pen.not_here("heard-main", Ref::Amplifier("A1".into()), "all but H-1");
    pen
}

/// `l` on it in the review, in these words.
fn left_for_later(words: &str) -> Site {
    let mut desk = Desk::at(unheard().site);
    desk.keys("gv");
    down_to(&mut desk, "H-1");
    desk.keys("l").keys(words).keys("\n");
    assert!(has(&desk, "nothing in the way"), "{}", desk.screen());
    desk.session.site().clone()
}

#[test]
fn what_is_left_for_later_with_a_name_and_a_day_is_a_snag_and_stays_open_on_the_next_visit() {
    let site = left_for_later("locked plaster room, N. Ward, 2026-12-10");
    let row = &items(&site, Matter::NotListened)[0];
    let said = row.word.as_ref().unwrap();
    assert_eq!(
        (row.open, said.words().as_str()),
        (
            false,
            "snag, owner N. Ward, by 2026-12-10: locked plaster room"
        )
    );
    let told = page(&site);
    for words in [
        "On the snag list, 1: H-1.",
        "| H-1 | 5 of 5 loudspeakers not listened to | N. Ward | 2026-12-10 | locked plaster room |",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    let json: serde_json::Value = serde_json::from_str(&json_of(&site)).unwrap();
    assert_eq!(json["lines"][0]["decision"], "snag");

    let mut pen = Pen::by(site, "nextnextnextnext", 240 * 24 * 3600);
    next_visit(&mut pen);
    pen.read_as_drawn("H-1");
    let left = items(&pen.site, Matter::LeftOpen);
    assert_eq!(left.len(), 1, "{left:?}");
    assert_eq!(
        (left[0].open, left[0].words.as_str()),
        (
            true,
            "left open on visit-1: locked plaster room; owner N. Ward, due 2026-12-10, OVERDUE"
        )
    );
    // Left for later without a name is no answer to it; that it was done is.
    pen.decide(line("H-1"), Decision::Skipped, Some("sampled only"));
    assert!(items(&pen.site, Matter::LeftOpen)[0].open);
    pen.hear_all("H-1");
    assert_eq!(items(&pen.site, Matter::LeftOpen), []);
}

#[test]
fn what_is_left_for_later_without_a_name_or_with_a_day_that_is_past_stays_a_reason() {
    for words in [
        "locked room",
        "wards, east wing",
        "asked, N. Ward, 2026-11-01",
    ] {
        let site = left_for_later(words);
        let row = &items(&site, Matter::NotListened)[0];
        let said = row.word.as_ref().unwrap().words();
        assert_eq!((row.open, said), (false, format!("skipped: {words}")));
        assert!(page(&site).contains("Nothing is on the snag list."));
    }
}

#[test]
fn a_name_and_a_day_on_what_was_not_heard_say_nothing_of_a_load_that_is_out() {
    let mut pen = unheard();
    pen.read("H-1", "417");
    pen.decide(
        line("H-1"),
        Decision::Skipped,
        Some("locked plaster room, N. Ward, 2026-12-10"),
    );
    let mut analyst = Analyst::new(&pen.site);
    analyst.settle(&pen.site, None);
    let open = review(&pen.site, &analyst, &Ref::Site).items;
    let flagged = open.iter().find(|it| it.of == line("H-1")).unwrap();
    assert!(flagged.open, "{flagged:?}");
    assert_eq!(flagged.word.as_ref().unwrap().is, Decision::Skipped);
    // Accepted since: the load stays so, and the list still has the name.
    pen.accept("H-1", "wanted so");
    let page = page(&pen.site);
    assert!(page.contains("| N. Ward | 2026-12-10 |"), "{page}");
}

// ---- against the last visit ----

#[test]
fn the_comparison_says_what_a_line_was_found_at_also_once_it_is_mended() {
    let mut pen = Pen::on(hall());
    for label in ["H-1", "H-2", "L-1"] {
        pen.read_as_drawn(label);
    }
    let old = pen.site.clone();
    next_visit(&mut pen);
    pen.second += 240 * 24 * 3600;
    for label in ["H-2", "L-1"] {
        pen.read_as_drawn(label);
    }
    pen.read("H-1", "417");
    pen.repair("H-1", "LS-5 replaced", None);
    pen.read_as_drawn("H-1");
    let rest = |site: &Site| {
        let mut analyst = Analyst::new(site);
        analyst.settle(site, None);
        analyst
    };
    let (then, now) = (rest(&old), rest(&pen.site));
    let data = assessed(&pen.site);
    let compared = compare((&old, &then), (&pen.site, &now));
    let named = report::baseline(&compared, "Old seed hall, visit-1");
    let told = folded(&markdown(&record(&data))).replace("**", "");
    assert!(
        told.contains("of these 1 changed by more than both meters can explain"),
        "{told}"
    );
    let (_, table) = told.split_once("## Against the last visit").unwrap();
    let found = table.split("| H-1 |").nth(1).unwrap();
    let left = table.split("| H-1 |").nth(2).unwrap();
    assert!(found.contains("as found | 417 ohm"), "{table}");
    assert!(found.contains("drifted"), "{table}");
    assert!(
        left.contains("as left | 333 ohm") || left.contains("as left | 334 ohm"),
        "{table}"
    );
    let left = left.split("| H-2 |").next().unwrap();
    assert!(!left.contains("drifted"), "{table}");
    let own = data.baseline.as_ref().unwrap();
    let found = own.lines[0].as_found.as_ref().unwrap();
    assert_eq!((own.lines[0].left.called, found.called), (false, true));
    // The log alone says what a copy of the file of then says.
    assert_eq!(json_text(own), json_text(&named));
    let words =
        "Changed since Old seed hall, visit-1, by more than both meters can explain, 1: H-1.";
    assert!(told.contains(words), "{told}");
}

fn json_text(row: &report::BaselineRow) -> String {
    serde_json::to_string_pretty(row).unwrap()
}

#[test]
fn what_was_drawn_since_the_visit_before_is_taken_back_for_the_comparison() {
    let mut pen = Pen::on(hall());
    check(&mut pen, "350");
    for label in ["H-1", "H-2", "C-1", "L-1", "L-2"] {
        pen.read_as_drawn(label);
    }
    let old = pen.site.clone();
    next_visit(&mut pen);
    pen.second += 240 * 24 * 3600;
    // Another name, another run, the same run put back, a line that stands no more, a new one.
    let design = |pen: &Pen, of: &Ref| pen.site.elements().standing(of).to_vec();
    let edit = |pen: &mut Pen, of: Ref, change: &dyn Fn(Design) -> Design| {
        let was = design(pen, &of);
        let now = change(was[0].1.clone());
        pen.write(Do::Edit(Edit {
            of,
            was,
            now,
            undoes: None,
        }))
    };
    edit(&mut pen, line("H-2"), &|design| match design {
        Design::Line(it) => Design::Line(linewright::site::Line {
            label: "H-2b".to_owned(),
            ..it
        }),
        other => other,
    });
    pen.edit_run("C-1/LS-1", 99.0);
    pen.edit_run("L-1/LS-1", 99.0);
    let Some(Design::Loudspeaker(was)) = old.elements().settled(&Ref::Node("L-1/LS-1".into()))
    else {
        panic!("LS-1 is a loudspeaker");
    };
    pen.edit_run("L-1/LS-1", was.run_m.unwrap().get());
    edit(&mut pen, line("B-1"), &|was| {
        Design::Retired(linewright::site::Retired {
            was: Box::new(was),
            why: "taken down".to_owned(),
        })
    });
    let Some(Design::Line(own)) = pen.site.elements().settled(&line("L-2")).cloned() else {
        panic!("L-2 is a line");
    };
    pen.write(Do::Edit(Edit {
        of: line("N-1"),
        was: Vec::new(),
        now: Design::Line(linewright::site::Line {
            label: "N-1".to_owned(),
            ..own
        }),
        undoes: None,
    }));
    for label in ["H-2", "C-1", "L-1"] {
        pen.read_as_drawn(label);
    }
    pen.read("H-1", "650");
    let before = pen.site.before_visit().unwrap();
    assert_eq!(before.elements(), old.elements());
    assert_eq!(before.log(), old.log());
    let rest = |site: &Site| {
        let mut analyst = Analyst::new(site);
        analyst.settle(site, None);
        analyst
    };
    let compared = compare((&old, &rest(&old)), (&pen.site, &rest(&pen.site)));
    let named = report::baseline(&compared, "Old seed hall, visit-1");
    let own = assessed(&pen.site).baseline.unwrap();
    assert_eq!(json_text(&own), json_text(&named));
    let of = |label: &str| own.lines.iter().find(|it| it.line == label).unwrap();
    assert_eq!(of("H-2b").renamed_from.as_deref(), Some("H-2"));
    assert_eq!(of("C-1").left.text, "the design is another");
    assert!(of("L-1").left.drift.is_some(), "{:?}", of("L-1"));
    assert!(of("H-1").left.called && !of("H-2b").left.called);
    assert_eq!(
        (&own.new[..], &own.gone[..]),
        (&["N-1".to_owned()][..], &["B-1".to_owned()][..])
    );
    // Of a first visit there is none before.
    assert!(old.before_visit().is_none() && assessed(&old).baseline.is_none());
}

#[test]
fn a_clock_that_is_behind_and_a_slip_corrected_after_the_visit_began_do_not_change_what_was_then() {
    let mut pen = Pen::on(hall());
    let slip = pen.read("H-1", "33.4");
    let old = pen.site.clone();
    pen.second += 240 * 24 * 3600;
    next_visit(&mut pen);
    // One engineer draws a run anew, another whose clock is half a year behind draws it anew on that.
    let mut first = Pen::by(pen.site.clone(), "wwwwwwwwwwwwwwww", pen.second + 600);
    first.edit_run("C-1/LS-1", 50.0);
    let mut second = Pen::by(first.site.clone(), "vvvvvvvvvvvvvvvv", 120 * 24 * 3600);
    second.edit_run("C-1/LS-1", 60.0);
    let mut pen = Pen::by(second.site, "xxxxxxxxxxxxxxxx", first.second + 600);
    pen.correct("H-1", "334", slip);
    pen.read_as_drawn("H-2");
    let before = pen.site.before_visit().unwrap();
    assert_eq!(before.elements(), old.elements());
    let own = assessed(&pen.site).baseline.unwrap();
    let of = |label: &str| own.lines.iter().find(|it| it.line == label).unwrap();
    assert_eq!(of("H-1").then, serde_json::json!(334.0));
}

// ---- the summary ----

#[test]
fn the_summary_says_that_all_that_were_taken_off_were_ticked_back_on() {
    let mut pen = Pen::on(hall());
    pen.finish();
    assert!(
        page(&pen.site)
            .contains("All 6 lines that were taken off the amplifier were ticked back on.")
    );
    // Read on the next visit and not ticked as taken off: that is not known.
    next_visit(&mut pen);
    for label in ["H-1", "L-1"] {
        pen.read_as_drawn(label);
    }
    assert!(page(&pen.site).contains("what was not ticked is not known."));
    pen.tick(CORES_OFF, vec![line("H-1")]);
    pen.tick(CORES_ON, vec![line("H-1")]);
    let words = "1 line taken off and ticked back on; what was not ticked is not known.";
    assert!(page(&pen.site).contains(words), "{}", page(&pen.site));
}

#[test]
fn the_summary_names_a_line_that_was_moved_to_another_output_on_this_visit() {
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("L-2");
    let of = line("L-2");
    let was = pen.site.elements().standing(&of).to_vec();
    let mut now = was[0].1.clone();
    if let Design::Line(it) = &mut now {
        it.output = "A1/2".into();
    }
    pen.write(Do::Edit(Edit {
        of,
        was,
        now,
        undoes: None,
    }));
    let words = "Moved to another output on the drawing, 1: L-2 from A1 out 1 to A1 out 2.";
    let told = page(&pen.site);
    let (front, _) = told.split_once("## What is wrong").unwrap_or((&told, ""));
    assert!(front.contains(words), "{front}");
    next_visit(&mut pen);
    assert!(!page(&pen.site).contains("Moved to another output"));
}

// ---- the log of a line ----

#[test]
fn the_log_of_a_line_has_the_day_of_an_earlier_visit_and_who_it_was() {
    let mut pen = Pen::on(hall());
    pen.second -= 3 * 24 * 3600;
    pen.read("L-1", "556");
    pen.person = "M. Okoro".to_owned();
    pen.hear("L-1/LS-1", Heard::Heard);
    let mut desk = Desk::with(pen.site, opening("deskdeskdeskdesk"), None);
    desk.resize(160, 60).keys("/L-1\n").press(Key::Down);
    desk.press(Key::Up);
    let screen = desk.screen();
    let log = screen.split("log of this line").nth(1).unwrap();
    let log: Vec<&str> = log
        .lines()
        .skip(1)
        .take(3)
        .map(|row| row.rsplit('\u{2502}').next().unwrap().trim())
        .collect();
    assert_eq!(log[0], day("2026-11-22").to_string(), "{screen}");
    assert!(log[1].ends_with("556 ohm, 18.0 W, engineer A"), "{screen}");
    assert!(log[2].ends_with(", M. Okoro"), "{screen}");
}

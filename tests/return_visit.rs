//! The return visit: what the last one left open stays open, whose signature stands on the record, how a
//! line was found that was repaired before anybody read it. And what is said of loudspeakers that give no
//! sound where the reading shows nothing.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, assessed, hall, hall_with};
use linewright::analysis::Analyst;
use linewright::quantity::{Insulation, Ohm, Volt};
use linewright::report::{self, markdown, record, review_text};
use linewright::review::{Item, Matter, review, seals, unfit_word};
use linewright::session::Key;
use linewright::site::{
    Amplifier, Decision, Design, Do, Edit, Heard, Insulate, Leg, Ref, Site, Visit,
};
use pen::{Pen, day};
use screen::{folded, has, panel, prompt};

/// The second visit begins, as `g y` would have it.
fn return_to(pen: &mut Pen) {
    let label = "return".to_owned();
    pen.write(Do::Edit(Edit {
        of: Ref::Visit("visit-2".into()),
        was: Vec::new(),
        now: Design::Visit(Visit {
            label,
            returning: true,
        }),
        undoes: None,
    }));
    assert_eq!(pen.site.visits().len(), 2);
}

fn line(label: &str) -> Ref {
    Ref::Line(label.into())
}

fn snag(due: &str) -> Decision {
    Decision::Snag {
        owner: "N. N.".to_owned(),
        due: Some(day(due)),
    }
}

/// All done and signed but for a dead loudspeaker, which is on the snag list; the next visit began.
fn signed_with_a_snag(due: &str) -> Pen {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.hear("B-1/LS-6", Heard::Silent);
    pen.decide(line("B-1"), snag(due), Some("LS-6 silent, driver dead"));
    let a1 = Ref::Amplifier("A1".into());
    pen.not_here("heard-main", a1, "B-1 LS-6, driver dead");
    pen.sign(Ref::Site);
    return_to(&mut pen);
    pen
}

fn left_open(site: &Site) -> Vec<Item> {
    let mut analyst = Analyst::new(site);
    analyst.settle(site, None);
    let items = review(site, &analyst, &Ref::Site).items;
    let own = items.into_iter().filter(|it| it.matter == Matter::LeftOpen);
    own.collect()
}

fn page(site: &Site) -> String {
    folded(&markdown(&record(&assessed(site))))
}

fn text(site: &Site) -> String {
    let mut analyst = Analyst::new(site);
    analyst.settle(site, None);
    folded(&report::text(site, &analyst, &assessed(site)))
}

// ---- what was left open ----

#[test]
fn a_snag_of_an_earlier_visit_stands_in_the_way_of_this_one_in_review_record_and_json() {
    let pen = signed_with_a_snag("2026-12-01");
    let found = left_open(&pen.site);
    assert_eq!(found.len(), 1, "{found:#?}");
    let words = "left open on visit-1: LS-6 silent, driver dead; owner N. N., due 2026-12-01";
    assert_eq!(
        (
            found[0].label.as_str(),
            found[0].words.as_str(),
            found[0].open
        ),
        ("B-1", words, true)
    );
    let mut analyst = Analyst::new(&pen.site);
    analyst.settle(&pen.site, None);
    let list = review_text(
        &pen.site,
        &analyst,
        &review(&pen.site, &analyst, &Ref::Site),
        &Ref::Site,
    );
    assert!(list.contains(&format!("- B-1: {words}\n")), "{list}");
    let json: serde_json::Value =
        serde_json::from_str(&assessed(&pen.site).to_json().unwrap()).unwrap();
    let rows = json["review"].as_array().unwrap();
    let row = rows.iter().find(|row| row["text"] == words).unwrap();
    assert_eq!((&row["of"], &row["open"]), (&"B-1".into(), &true.into()));
    let page = page(&pen.site);
    // On the first pages, in the table of what is wrong, and on the snag list with its owner.
    let (first, rest) = page.split_once("## Outputs").unwrap_or((&page, ""));
    assert!(first.contains("On the snag list, 1: B-1."), "{first}");
    assert!(
        first.contains(
            "LEFT OPEN on an earlier visit, and nobody said on this one what became of it, 1: B-1."
        ),
        "{first}"
    );
    assert!(
        first.contains(&format!("say what became of what was {words}")),
        "{first}"
    );
    assert!(
        rest.contains(words) || page.matches(words).count() > 1,
        "{rest}"
    );
}

#[test]
fn past_its_date_it_is_overdue() {
    let mut pen = signed_with_a_snag("2026-11-26");
    assert!(!left_open(&pen.site)[0].words.contains("OVERDUE"));
    // Two days later: the last entry is of the 27th.
    pen.second += 2 * 24 * 3600;
    pen.read_as_drawn("H-1");
    assert!(
        left_open(&pen.site)[0]
            .words
            .ends_with("due 2026-11-26, OVERDUE")
    );
    assert!(page(&pen.site).contains("OVERDUE: B-1"));
}

#[test]
fn a_word_of_this_visit_settles_it_and_so_does_a_repair_that_was_read() {
    for is in [Decision::Accepted, snag("2027-01-01")] {
        let mut pen = signed_with_a_snag("2026-12-01");
        pen.decide(line("B-1"), is, Some("as agreed"));
        let found = left_open(&pen.site);
        assert!(!found[0].open, "{found:?}");
        assert!(
            found[0]
                .word
                .as_ref()
                .unwrap()
                .words()
                .contains("as agreed")
        );
    }
    // The command takes it of a line that was not read, as it is a word on the snag.
    let pen = signed_with_a_snag("2026-12-01");
    let analyst = Analyst::new(&pen.site);
    let fits = |label| unfit_word(&pen.site, &analyst, &line(label), &Decision::Accepted).is_none();
    assert!(fits("B-1") && !fits("H-1"));
    // What merely skips says nothing of it, nor does a reading: a dead loudspeaker may not show.
    let mut pen = signed_with_a_snag("2026-12-01");
    pen.decide(line("B-1"), Decision::Skipped, Some("locked"));
    pen.read_as_drawn("B-1");
    assert!(left_open(&pen.site)[0].open);
    pen.repair("B-1", "driver of LS-6 new", None);
    assert!(left_open(&pen.site)[0].open, "nothing was read since");
    pen.read_as_drawn("B-1");
    assert_eq!(left_open(&pen.site), []);
}

#[test]
fn accepted_or_mended_on_its_own_visit_nothing_is_left_open_of_it() {
    for mended in [true, false] {
        let mut pen = Pen::on(hall());
        pen.finish();
        pen.decide(line("B-1"), snag("2026-12-01"), Some("driver dead"));
        if mended {
            pen.repair("B-1", "driver new", None);
            pen.read_as_drawn("B-1");
        } else {
            pen.accept("B-1", "wanted so");
        }
        return_to(&mut pen);
        assert_eq!(left_open(&pen.site), []);
    }
}

#[test]
fn a_snag_on_an_output_is_over_when_all_of_it_was_read_and_it_carries_what_it_may() {
    let mut pen = Pen::on(hall());
    pen.finish();
    let output = Ref::Output("A2/1".into());
    pen.decide(output, snag("2026-12-01"), Some("amplifier too small"));
    return_to(&mut pen);
    assert_eq!(left_open(&pen.site)[0].label, "A2 out 1");
    pen.read_as_drawn("C-1");
    assert_eq!(left_open(&pen.site), []);
}

#[test]
fn at_the_keyboard_it_is_in_the_review_and_takes_a_word() {
    let mut desk = Desk::at(signed_with_a_snag("2026-12-01").site);
    desk.keys("/b1\n");
    let words = "? left open on visit-1: LS-6 silent, driver dead; owner N. N., due 2026-12-01";
    assert!(panel(&desk).contains(words), "{}", panel(&desk));
    desk.keys("gv").press(Key::Home).press(Key::Down);
    assert!(has(&desk, "left open on visit-1"), "{}", desk.screen());
    desk.keys("lstill dead, N. N., 2027-01-01\n");
    let found = left_open(desk.session.site());
    assert!(!found[0].open, "{found:?}\n{}", desk.screen());
}

// ---- whose signature ----

#[test]
fn a_record_of_an_unsigned_visit_says_that_and_which_one_was_signed() {
    let mut pen = signed_with_a_snag("2026-12-01");
    pen.read_as_drawn("H-1");
    assert!(
        seals(&pen.site)[0].is_intact(),
        "a later visit is no part of it"
    );
    for told in [page(&pen.site), text(&pen.site)] {
        assert!(told.contains("this visit, return, is not signed"), "{told}");
        assert!(told.contains("on visit-1, an earlier visit"), "{told}");
    }
    let foot = record(&assessed(&pen.site)).foot;
    assert!(
        foot.contains("this visit, return, is not signed; visit-1 signed"),
        "{foot}"
    );
}

#[test]
fn a_new_visit_to_what_was_signed_breaks_nothing_and_is_a_return() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.sign(Ref::Site);
    let mut desk = Desk::at(pen.site);
    desk.keys("gy");
    assert!(!prompt(&desk).contains("seal"), "{}", prompt(&desk));
    assert!(
        desk.typed().is_some_and(|it| it.ends_with(" return")),
        "{:?}",
        desk.typed()
    );
    assert!(desk.message().contains("a return"), "{}", desk.message());
    desk.press(Key::Clear).keys("spring return\n").rest();
    assert!(desk.session.site().returning());
    assert!(seals(desk.session.site())[0].is_intact());
    assert!(has(&desk, "spring; visit-1 signed"), "{}", desk.screen());
    desk.resize(60, 20);
    assert!(has(&desk, "spring not signed"), "{}", desk.screen());
}

#[test]
fn on_a_new_visit_the_panel_says_what_the_line_read_on_the_last() {
    let mut pen = Pen::on(hall());
    pen.read("H-1", "336");
    let mut desk = Desk::at(pen.site.clone());
    desk.keys("/h1\n");
    assert!(!panel(&desk).contains("visit-1"), "{}", panel(&desk));
    return_to(&mut pen);
    let mut desk = Desk::at(pen.site.clone());
    desk.keys("/h1\n3");
    let last = "visit-1 336 ohm 2026-11-25";
    assert!(panel(&desk).contains(last), "{}", panel(&desk));
    desk.keys("34");
    assert!(panel(&desk).contains(last), "{}", panel(&desk));
    desk.keys("\n/h1\n").rest();
    assert!(panel(&desk).contains(last), "{}", panel(&desk));
    assert!(!panel(&desk).contains("otherwise"), "{}", panel(&desk));
    // By more than two plain meters can differ.
    let mut desk = Desk::at(pen.site.clone());
    desk.keys("/h1\n500");
    let otherwise = format!("{last}: otherwise");
    assert!(panel(&desk).contains(&otherwise), "{}", panel(&desk));
    desk.keys("\n/h1\n").rest();
    assert!(panel(&desk).contains(&otherwise), "{}", panel(&desk));
    // H-2 was read on none.
    desk.keys("/h2\n");
    assert!(!panel(&desk).contains("visit-1"), "{}", panel(&desk));
}

#[test]
fn what_is_done_on_a_later_visit_breaks_no_seal_and_nothing_says_so() {
    let mut desk = Desk::at(signed_with_a_snag("2026-12-01").site);
    assert!(has(&desk, "visit-1 signed"), "{}", desk.screen());
    desk.keys("/h1\n").keys("33");
    assert!(!prompt(&desk).contains("seal"), "{}", prompt(&desk));
    // Its cores were ticked back on then: that is asked about, and Enter once more takes it.
    desk.keys("3\n\njtap");
    assert!(!prompt(&desk).contains("seal"), "{}", prompt(&desk));
    desk.keys("\n");
    assert!(seals(desk.session.site())[0].is_intact());
    assert!(!desk.message().contains("BROKEN"), "{}", desk.message());
    // The drawing is one for all visits.
    desk.keys("ecount");
    assert!(
        prompt(&desk).contains("breaks the seal"),
        "{}",
        prompt(&desk)
    );
    desk.keys("\x1bgv").press(Key::Home);
    let screen = folded(&desk.screen());
    let words = "this visit is not signed; visit-1 was";
    assert!(screen.contains(words), "{screen}");
}

// ---- as found ----

fn insulate(pen: &mut Pen, line: &str, ohm: f64) {
    let state = pen.site.history(&line.into()).state();
    pen.write(Do::Insulate(Insulate {
        line: line.into(),
        state,
        leg: Leg::Both,
        text: format!("{:.1}M", ohm / 1e6),
        after_s: None,
        value: Insulation::Ohm(Ohm(ohm)),
        test_v: Volt(500.0),
        instrument: "insulation".into(),
        note: None,
    }));
}

#[test]
fn a_line_repaired_before_its_first_reading_is_found_as_it_read_next() {
    let mut pen = Pen::on(hall());
    insulate(&mut pen, "L-1", 0.2e6);
    pen.repair("L-1", "joint dried", None);
    insulate(&mut pen, "L-1", 200e6);
    pen.read("L-1", "88");
    let row = |pen: &Pen| {
        let data = assessed(&pen.site);
        data.lines.into_iter().find(|it| it.line == "L-1").unwrap()
    };
    // Nothing came after it yet: it is how the line is left.
    assert_eq!(row(&pen).as_found, None);
    pen.repair("L-1", "tap set", None);
    pen.read("L-1", "556");
    let now = row(&pen);
    assert_eq!(now.as_found.unwrap().ohms, 88.0);
    assert_eq!(now.as_left.unwrap().ohms, 556.0);
    insulate(&mut pen, "L-1", 200e6);
    let page = page(&pen.site);
    assert!(
        page.contains("200 kohm | 500 V | out of tolerance, before the repair"),
        "{page}"
    );
    // What was suspected stands behind that reading, not before the repair that came first.
    let told: Vec<String> = row(&pen).story.into_iter().map(|it| it.words).collect();
    let place = |words: &str| told.iter().position(|it| it.contains(words)).unwrap();
    assert!(
        place("88.0 ohm, as found") < place("Likeliest before the repair"),
        "{told:?}"
    );
    assert!(
        place("Likeliest before the repair") < place("tap set"),
        "{told:?}"
    );
    // The rule as it was: the first state's own reading, where it has one.
    let mut pen = Pen::on(hall());
    for (ohm, what) in [("88", "one"), ("120", "two")] {
        pen.read("L-1", ohm);
        pen.repair("L-1", what, None);
    }
    pen.read("L-1", "556");
    assert_eq!(row(&pen).as_found.unwrap().ohms, 88.0);
}

// ---- not all heard ----

#[test]
fn l_on_every_zone_heard_asks_what_was_not_and_the_record_says_so() {
    let pen = signed_with_a_snag("2026-12-01");
    let page = page(&{
        let mut site = Pen::on(hall());
        site.finish();
        let a1 = Ref::Amplifier("A1".into());
        site.not_here("heard-main", a1, "B-1 LS-6, driver dead");
        site.site
    });
    assert!(
        page.contains("A1 (not all heard: B-1 LS-6, driver dead; "),
        "{page}"
    );
    assert!(!page.contains("not here, B-1"), "{page}");
    let mut desk = Desk::at(pen.site);
    desk.keys("gr");
    for _ in 0..60 {
        if prompt(&desk).contains("zone") {
            break;
        }
        desk.press(Key::Down);
    }
    desk.keys("l");
    assert!(
        prompt(&desk).contains("not heard: what, and why"),
        "{}",
        prompt(&desk)
    );
    assert!(
        desk.message().contains("what was not heard, and why"),
        "{}",
        desk.message()
    );
    desk.keys("LS-6 dead\n");
    desk.press(Key::Up);
    assert!(
        panel(&desk).contains("Not all heard, said"),
        "{}",
        panel(&desk)
    );
}

// ---- a dead loudspeaker that the reading does not show ----

/// The hall with a voice alarm on A1; B-1 reads as drawn, and LS-6 of it is silent.
fn silent() -> Pen {
    let mut pen = Pen::on(hall_with(|design| match design {
        Design::Amplifier(it) => Design::Amplifier(Amplifier {
            voice_alarm: true,
            ..it
        }),
        other => other,
    }));
    pen.finish();
    pen.hear("B-1/LS-6", Heard::Silent);
    pen
}

#[test]
fn where_a_loudspeaker_is_silent_nothing_says_that_nothing_is_wrong() {
    let pen = silent();
    let data = assessed(&pen.site);
    let row = data.lines.iter().find(|it| it.line == "B-1").unwrap();
    let none = row.hints.iter().find(|it| it.fault == "none").unwrap();
    assert_eq!(
        none.text,
        "no fault that the reading shows; LS-6 was silent: look there"
    );
    let mut desk = Desk::at(pen.site);
    desk.keys("/b1\n").rest();
    assert!(!panel(&desk).contains("nothing wrong"), "{}", panel(&desk));
    let found = data.review.iter().find(|it| it.of == "B-1").unwrap();
    assert_eq!(found.text, "not all heard as they should be: LS-6 silent");
    // A line that was heard through and through keeps its words.
    let other = data.lines.iter().find(|it| it.line == "H-1").unwrap();
    let none = other.hints.iter().find(|it| it.fault == "none").unwrap();
    assert_eq!(none.text, "nothing wrong");
}

#[test]
fn the_summary_names_silent_loudspeakers_counts_snags_and_says_what_is_left_on_a_voice_alarm() {
    let mut pen = silent();
    assert!(page(&pen.site).contains("Nothing is on the snag list."));
    pen.decide(line("B-1"), snag("2026-12-01"), Some("driver dead"));
    let page = page(&pen.site);
    for words in [
        "Listened to and not heard as they should be, 1: B-1 LS-6 silent.",
        "On the snag list, 1: B-1.",
        "Voice alarm is carried by A1, A2; flagged, or on the snag list: B-1.",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
}

// ---- two readings that do not agree ----

#[test]
fn a_line_whose_readings_do_not_agree_is_in_nobodys_count_of_in_tolerance() {
    let mut pen = Pen::on(hall());
    pen.read("L-1", "417");
    pen.read_as_drawn("L-1");
    for told in [text(&pen.site), page(&pen.site)] {
        assert!(!told.contains("1 in tolerance"), "{told}");
        assert!(told.contains("read again"), "{told}");
    }
    assert!(text(&pen.site).contains("1 of 6 lines read: 1 to be read again."));
}

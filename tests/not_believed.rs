//! What a word or one reading alone does not make good: a short repaired and not read since, two readings
//! that do not agree, lines that go back unread, lines left OFF when the program is left.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, hall};
use linewright::analysis::Analyst;
use linewright::report::{Assessment, text};
use linewright::review::{Review, review};
use linewright::session::Key;
use linewright::site::{CORES_OFF, Ref, Site};
use pen::Pen;
use screen::{down_to, has};

fn line(label: &str) -> Ref {
    Ref::Line(label.into())
}

fn reviewed(site: &Site) -> Review {
    let mut analyst = Analyst::new(site);
    analyst.settle(site, None);
    review(site, &analyst, &Ref::Site)
}

/// What stands in the way of a line, and not what was only not done of it.
fn in_the_way(site: &Site, label: &str) -> Vec<String> {
    let review = reviewed(site);
    let own = review.open().filter(|item| item.of == line(label));
    own.map(|item| item.words.clone())
        .filter(|words| !words.contains("listened"))
        .collect()
}

/// H-1 OFF, short, and called cleared.
fn cleared() -> Pen {
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("B-1");
    pen.tick(CORES_OFF, vec![line("H-1")]);
    pen.read("H-1", "0.60");
    pen.repair("H-1", "cleared", None);
    pen
}

// ---- a word mends nothing until a meter says so ----

#[test]
fn a_short_that_was_repaired_and_not_read_since_does_not_go_back_on_until_it_is_read() {
    let mut desk = Desk::at(cleared().site);
    desk.keys("/l1\n556\n/h1\n");
    assert!(
        has(&desk, "was 0.60 ohm, repaired 14:"),
        "{}",
        desk.screen()
    );
    desk.keys("gr");
    down_to(&mut desk, "cores back on");
    let before = desk.log_len();
    desk.keys(" ");
    assert_eq!(desk.log_len(), before, "{}", desk.message());
    assert!(
        desk.message()
            .contains("H-1 read short before its repair: read it first"),
        "{}",
        desk.message()
    );
    // Read and right, it goes back on.
    desk.keys("\x1b/h1\n336\n/h1\ngr");
    down_to(&mut desk, "cores back on");
    desk.keys(" ");
    assert!(
        desk.message().contains("H-1: cores back on"),
        "{}",
        desk.message()
    );
}

#[test]
fn it_stands_first_in_the_review_among_the_flagged_and_in_what_first_power_says() {
    let mut pen = cleared();
    let review = reviewed(&pen.site);
    let first = review.open().next().unwrap();
    assert_eq!(
        (first.label.as_str(), first.words.as_str()),
        ("H-1", "repaired, not read again: was 0.60 ohm")
    );
    // Once, and not as a plain unread line too.
    assert_eq!(
        in_the_way(&pen.site, "H-1"),
        [
            "repaired, not read again: was 0.60 ohm",
            "OFF the amplifier, not back on"
        ]
    );
    let mut desk = Desk::at(pen.site.clone());
    desk.keys("f");
    assert!(has(&desk, "? H-1"), "{}", desk.screen());
    desk.keys("ff\x1b/h1\ngr");
    down_to(&mut desk, "first power at low level");
    desk.keys("  ");
    assert!(
        desk.message().contains("flagged H-1 OFF"),
        "{}",
        desk.message()
    );
    // Read again it is as any other.
    pen.read_as_drawn("H-1");
    assert_eq!(
        in_the_way(&pen.site, "H-1"),
        ["OFF the amplifier, not back on"]
    );
}

#[test]
fn insulation_that_was_low_before_a_repair_is_flagged_until_it_is_read_again() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\ni0.1M\n").press(Key::Esc);
    desk.keys("/h1\njdried out\n");
    let site = desk.session.site();
    let all = in_the_way(site, "H-1");
    assert!(
        all.iter()
            .any(|it| it.starts_with("repaired, not read again: was insulation LOW 100 kohm")),
        "{all:?}"
    );
}

// ---- two readings that do not agree ----

#[test]
fn a_short_and_then_a_good_reading_are_not_believed_until_a_third_agrees() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n0\n/h1\n336\n").rest();
    assert!(desk.message().contains("does not agree with short"));
    assert!(has(&desk, "? H-1"), "{}", desk.screen());
    let words = "read short, then 336 ohm, nothing repaired: read it again";
    let mut pen = Pen::on(hall());
    pen.read("H-1", "0");
    let second = pen.read("H-1", "336");
    assert_eq!(in_the_way(&pen.site, "H-1"), [words]);
    // The record names it.
    let mut analyst = Analyst::new(&pen.site);
    analyst.settle(&pen.site, None);
    let told = text(
        &pen.site,
        &analyst,
        &Assessment::of(&pen.site, &analyst, None),
    );
    assert!(told.contains(words), "{told}");
    // A third that agrees with the last, a strike, a repair or a word: each settles it.
    let none: [&str; 0] = [];
    let mut third = Pen::on(pen.site.clone());
    third.read("H-1", "336");
    assert_eq!(in_the_way(&third.site, "H-1"), none);
    let mut struck = Pen::by(pen.site.clone(), "bbbbbbbbbbbbbbbb", 900);
    struck.void(&second);
    assert!(!in_the_way(&struck.site, "H-1").contains(&words.to_owned()));
    pen.accept("H-1", "a loose clip at the meter, held down");
    assert_eq!(in_the_way(&pen.site, "H-1"), none);
    desk.event(linewright::session::Event::Idle);
}

#[test]
fn a_repeat_two_percent_off_is_told_alike_by_message_row_and_review() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n336\n/h1\n343\n").rest();
    let message = desk.message().to_owned();
    assert!(
        message.contains("does not agree with 336 ohm") && !message.contains("in tol"),
        "{message}"
    );
    assert!(
        has(&desk, "? H-1") && has(&desk, "reread"),
        "{}",
        desk.screen()
    );
    assert!(!has(&desk, "misfit"), "{}", desk.screen());
    assert_eq!(
        in_the_way(desk.session.site(), "H-1"),
        ["read 336 ohm, then 343 ohm, nothing repaired: they do not agree, read it again"]
    );
    desk.keys("/h1\n343\n").rest();
    assert!(!has(&desk, "reread"), "{}", desk.screen());
}

// ---- leaving, and lines that nobody read ----

#[test]
fn leaving_with_lines_off_names_them_once_and_joins_them_with_a_split() {
    let mut pen = Pen::on(hall());
    pen.tick(CORES_OFF, vec![line("H-1"), line("H-2")]);
    let mut desk = Desk::at(pen.site.clone());
    desk.keys("q");
    assert_eq!(desk.message(), "2 OFF: H-1, H-2; q again leaves");
    assert!(!desk.left);
    desk.keys("q");
    assert!(desk.left);
    let mut desk = Desk::at(pen.site);
    desk.keys("/h1\nw");
    down_to(&mut desk, "LS-3");
    desk.keys("b\x1bq");
    assert_eq!(
        desk.message(),
        "1 split still OPEN: H-1 before LS-3; 2 OFF: H-1, H-2; q again leaves"
    );
    desk.keys("q");
    assert!(desk.left);
}

#[test]
fn cores_back_on_over_a_group_and_first_power_say_how_many_were_not_read() {
    let mut pen = Pen::on(hall());
    let all = ["H-1", "H-2", "L-1", "L-2", "B-1"].map(line).to_vec();
    pen.tick(CORES_OFF, all.clone());
    pen.tick("joints-closed", all);
    for label in ["H-1", "H-2", "L-1"] {
        pen.read_as_drawn(label);
    }
    let mut desk = Desk::at(pen.site);
    desk.keys("gr");
    down_to(&mut desk, "cores back on");
    desk.keys(" ");
    assert!(
        desk.message().ends_with("2 of 5 not read"),
        "{}",
        desk.message()
    );
    down_to(&mut desk, "first power at low level");
    desk.keys("  ");
    assert!(
        desk.message().ends_with("meter, L-2 +1 not read: g v"),
        "{}",
        desk.message()
    );
}

#[test]
fn an_untouched_rack_list_has_nothing_ticked_and_lines_ticked_are_counted() {
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("B-1");
    let mut desk = Desk::at(pen.site.clone());
    desk.resize(160, 48);
    desk.keys("/l1\n556\n/h1\n");
    assert!(has(&desk, "0 ticked,"), "{}", desk.screen());
    pen.tick(CORES_OFF, vec![line("H-1"), line("H-2")]);
    let mut desk = Desk::at(pen.site);
    desk.resize(160, 48);
    desk.keys("/l1\n556\n/h1\n");
    assert!(has(&desk, "; of lines 2 ticked"), "{}", desk.screen());
}

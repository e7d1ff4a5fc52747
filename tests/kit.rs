//! Instruments, visits and assumed figures at the keyboard: seen with their source, changed as entries,
//! taken back with one key; and the other places that an engineer comes back to.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, hall, opening};
use linewright::quantity::Fraction;
use linewright::review::review;
use linewright::session::{Key, Place, Resume};
use linewright::site::{Design, Do, Figure, Ref};
use screen::{folded, panel, row};

/// The cursor of the place on the row that begins so.
fn go_to(desk: &mut Desk, words: &str) {
    desk.press(Key::Home);
    for _ in 0..80 {
        if folded(&row(desk)[1..]).starts_with(words) {
            return;
        }
        desk.press(Key::Down);
    }
    panic!("no row begins with {words}");
}

#[test]
fn a_meter_gets_its_serial_number_accuracy_and_calibration_and_one_u_takes_it_back() {
    let mut desk = Desk::at(hall());
    desk.keys("gi");
    assert_eq!(folded(&row(&desk)), "> meter 5.0 % no date");
    assert!(
        panel(&desk).contains("serial no. not known"),
        "{}",
        panel(&desk)
    );
    let before = desk.json();
    // Its words stand in the entry; what is typed behind them is added.
    desk.keys("e");
    desk.keys(" sn:A-17 2% cal:2026-01-05 due:2027-01-05");
    assert!(panel(&desk).contains("due 2027-01-05"), "{}", panel(&desk));
    desk.keys("\n");
    let Some(Do::Edit(edit)) = desk.sent.last().map(|it| it[0].what.clone()) else {
        panic!("an edit was wanted");
    };
    assert_eq!(edit.of, Ref::Instrument("meter".into()));
    let Design::Instrument(it) = edit.now else {
        panic!("an instrument was wanted");
    };
    assert_eq!(it.accuracy, Fraction(0.02));
    assert_eq!(it.serial.as_deref(), Some("A-17"));
    assert!(
        panel(&desk).contains("set by engineer A on 2026-11-25"),
        "{}",
        panel(&desk)
    );
    assert_eq!(folded(&row(&desk)), "> meter 2.0 % 2027-01-05");
    desk.keys("u");
    assert!(desk.json() == before);
    // A second meter of the bag, and a date that is none.
    desk.keys("ameter 2 reads:impedance 1% due:soon\n");
    assert!(
        desk.message().contains("a date such as 2026-12-01"),
        "{}",
        desk.message()
    );
    for _ in 0.."soon".len() {
        desk.keys("\x08");
    }
    desk.keys("2027-06-01\n");
    assert_eq!(folded(&row(&desk)), "> meter 2 1.0 % 2027-06-01");
}

#[test]
fn an_assumed_figure_is_set_by_name_and_day_and_given_back_its_default() {
    let mut desk = Desk::at(hall());
    desk.keys("gi");
    go_to(&mut desk, "minutes.split");
    assert_eq!(folded(&row(&desk)), "> minutes.split 6 assumed");
    assert!(panel(&desk).contains("source assumed"), "{}", panel(&desk));
    let before = desk.json();
    desk.keys("e");
    assert_eq!(desk.typed().as_deref(), Some("6"));
    desk.keys("\x0812\n");
    assert_eq!(
        desk.session.site().figures().get(Figure::MinutesSplit),
        12.0
    );
    assert_eq!(folded(&row(&desk)), "> minutes.split 12 set");
    assert!(
        panel(&desk).contains("source set by engineer A on 2026-11-25"),
        "{}",
        panel(&desk)
    );
    assert!(
        panel(&desk).contains("default 6, assumed"),
        "{}",
        panel(&desk)
    );
    desk.keys("e\x08\x08default\n");
    assert_eq!(desk.session.site().figures().get(Figure::MinutesSplit), 6.0);
    assert_eq!(folded(&row(&desk)), "> minutes.split 6 assumed");
    desk.keys("uu");
    assert!(desk.json() == before);
    // Out of its range it is refused with the range, and stays typed.
    desk.keys("e00000\n");
    assert!(
        desk.message().contains("0.01 to 600 was wanted"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.typed().as_deref(), Some("600000"));
    // A verdict follows a figure: 336 ohm of 333 is in tolerance of 10 %, and out of 0.1 %.
    let mut desk = Desk::at(hall());
    desk.keys("336\n").keys("gi");
    go_to(&mut desk, "tolerance");
    desk.keys("e");
    for _ in 0..3 {
        desk.keys("\x08");
    }
    desk.keys("0.001\n");
    assert!(
        desk.screen().lines().next().unwrap().contains("1 out"),
        "{}",
        desk.screen()
    );
}

#[test]
fn a_visit_says_who_began_it_and_when_and_the_next_begins_with_nothing_read() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n").keys("gi");
    go_to(&mut desk, "visit-1");
    assert_eq!(folded(&row(&desk)), "> visit-1 2026-11-25");
    assert!(
        panel(&desk).contains("begun 2026-11-25 14:07"),
        "{}",
        panel(&desk)
    );
    assert!(
        panel(&desk).contains("engineers engineer A"),
        "{}",
        panel(&desk)
    );
    let before = desk.json();
    desk.keys("aspring check return\n");
    assert_eq!(folded(&row(&desk)), "> spring check not begun return");
    assert!(
        panel(&desk).starts_with("spring check is a return visit"),
        "{}",
        panel(&desk)
    );
    assert_eq!(desk.session.site().visit().as_str(), "visit-2");
    assert!(desk.session.site().returning());
    assert!(
        desk.screen()
            .lines()
            .next()
            .unwrap()
            .contains("0 of 6 read"),
        "{}",
        desk.screen()
    );
    desk.keys("u");
    assert!(desk.json() == before);
}

#[test]
fn whoever_left_in_any_place_stands_there_again() {
    for (keys, place) in [
        ("gb", Place::Building),
        ("ga", Place::Amplifier),
        ("gd", Place::Drawing),
        ("gi", Place::Kit),
        ("w", Place::Walk),
        ("gr", Place::Rack),
        ("gv", Place::Review),
    ] {
        let mut desk = Desk::at(hall());
        desk.keys("/b1\n").keys(keys);
        desk.press(Key::Down);
        let resume = Resume::from_text(desk.remembered.as_ref().unwrap()).unwrap();
        assert_eq!(resume.place, place, "{keys}");
        let again = Desk::with(hall(), opening("nextnextnextnext"), Some(resume.clone()));
        assert_eq!(again.session.resume().place, place);
        let body = |desk: &Desk| {
            let screen = desk.screen();
            screen
                .lines()
                .take(20)
                .map(str::to_owned)
                .collect::<Vec<_>>()
        };
        assert_eq!(body(&again), body(&desk), "{keys}");
    }
}

#[test]
fn from_the_building_picture_things_are_added_changed_and_repeated() {
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n").keys("gb");
    desk.keys("a12m\n");
    let nodes = |desk: &Desk| {
        let plan = desk.session.site().plan();
        plan.lines[plan.line_labelled("B-1").unwrap()].nodes.len()
    };
    assert_eq!(nodes(&desk), 7);
    assert!(
        desk.screen().contains("building"),
        "one stays on the picture"
    );
    desk.keys("y");
    assert_eq!(nodes(&desk), 8);
    desk.keys("e");
    assert!(panel(&desk).contains("typed: B-1 "), "{}", desk.screen());
    desk.keys("\x1buu");
    assert_eq!(nodes(&desk), 6);
}

/// The hall, two lines of it read with the meter of the bag by two persons on two copies.
fn read_by_two() -> linewright::site::Site {
    let mut site = hall();
    for (n, (line, by)) in [("H-1", "engineer A"), ("H-2", "engineer B")]
        .into_iter()
        .enumerate()
    {
        let mut pen = pen::Pen::by(site, ["aaaaaaaaaaaaaaaa", "bbbbbbbbbbbbbbbb"][n], 60);
        pen.person = by.to_owned();
        pen.read_as_drawn(line);
        site = pen.site;
    }
    site
}

#[test]
fn a_meter_that_two_read_with_is_asked_about_in_the_review_and_its_serial_number_is_the_answer() {
    let mut desk = Desk::at(read_by_two());
    desk.keys("gv");
    go_to(&mut desk, "~ meter taken for two meters");
    assert!(
        folded(&desk.screen())
            .contains("where it is one meter, say so: Enter goes there, e, and sn:"),
        "{}",
        desk.screen()
    );
    desk.keys("\ne sn:A-17\n");
    assert!(
        desk.session
            .site()
            .hands()
            .persons(&"meter".into(), &"visit-1".into())
            .is_empty()
    );
    let is_asked = |desk: &Desk| {
        let (site, analyst) = (desk.session.site(), desk.session.analyst());
        let items = review(site, analyst, &Ref::Site).items;
        items.iter().any(|it| it.words.contains("two meters"))
    };
    assert!(!is_asked(&desk));
    // Taken back, it is asked again.
    desk.keys("u");
    assert!(is_asked(&desk));
}

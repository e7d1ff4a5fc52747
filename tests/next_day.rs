//! The morning after, and what a hand does without looking: another day on the same visit, undo past what
//! was dropped, what is proposed first, taps beyond any, key lines whole. Each as what stands before, the keys,
//! what stands after.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;

use desk::{Desk, hall, opening, site_of};
use jiff::{SignedDuration, Timestamp};
use linewright::session::keys::footer;
use linewright::session::{Event, Key, ModeName, Opening, Place, Resume};
use linewright::site::{CORES_OFF, LISTS, Ref, Site};
use pen::Pen;

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

fn has(desk: &Desk, words: &str) -> bool {
    let screen = desk.screen().replace('\u{2502}', " ");
    let screen = screen.split_whitespace().collect::<Vec<_>>().join(" ");
    screen.contains(words)
}

/// The panel as running words.
fn shown(desk: &Desk) -> String {
    let columns = desk.session.view().panel;
    let rows: Vec<String> = columns.iter().flatten().map(|row| row.text()).collect();
    let rows = rows.join(" ");
    rows.split_whitespace().collect::<Vec<_>>().join(" ")
}

// ---- another day ----

/// H-1 and L-1 read on 25 November, L-1 left OFF; the pen's hand is the desk's.
fn yesterday() -> Site {
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("H-1");
    pen.read_as_drawn("L-1");
    pen.tick(CORES_OFF, vec![Ref::Line("L-1".into())]);
    pen.site
}

/// Opened at this time.
fn opened(site: Site, now: &str) -> Desk {
    opened_by("engineer A", site, now, Some(Resume::default()))
}

fn opened_by(who: &str, site: Site, now: &str, stood: Option<Resume>) -> Desk {
    let opening = Opening {
        by: who.to_owned(),
        at: at(now),
        ..opening("deskdeskdeskdesk")
    };
    let mut desk = Desk::with(site, opening, stood);
    desk.now = at(now);
    desk.event(Event::Opened);
    desk
}

const OFFER: &str = "another day: goes on where it stood";

#[test]
fn on_another_day_the_survey_goes_on_and_the_key_of_a_new_visit_and_what_is_open_are_told() {
    let mut desk = opened(yesterday(), "2026-11-26T08:00:00Z");
    assert!(
        desk.message().contains("2 of 6 lines read"),
        "{}",
        desk.message()
    );
    assert!(desk.message().ends_with(OFFER), "{}", desk.message());
    for words in [
        "last entry 2026-11-25 14:00 on visit-1",
        "1 line OFF the amplifier: L-1",
        "4 lines unread",
        "resistor was read. g r reads it again",
    ] {
        assert!(has(&desk, words), "{words}: {}", desk.screen());
    }
    // Nothing waits for an answer: the next key does what it always does, and the list goes.
    let before = desk.log_len();
    desk.press(Key::Down);
    assert!(!has(&desk, "last entry"), "{}", desk.screen());
    // Its key says what it means before it is done; the date is proposed.
    desk.keys("gy");
    assert_eq!(desk.typed().as_deref(), Some("2026-11-26"));
    assert!(
        desk.message().contains("each line is read anew") && desk.message().contains("visit-1"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.log_len(), before);
    desk.keys("\n").rest();
    assert_eq!(desk.session.site().visits().len(), 2);
    assert_eq!(desk.session.analyst().counts().read, 0);
    // L-1 is off as it was: a visit puts nothing back on.
    assert_eq!(desk.session.analyst().counts().off, 1);
    desk.keys("u").rest();
    assert_eq!(desk.session.site().visits().len(), 1);
    assert_eq!(desk.session.analyst().counts().read, 2);
}

#[test]
fn after_more_days_than_a_visit_goes_on_for_a_new_one_is_proposed_first() {
    // From 25 November on, 30 days and no more: it goes on where it stood.
    let desk = opened(yesterday(), "2026-12-25T08:00:00Z");
    assert!(desk.message().ends_with(OFFER), "{}", desk.message());
    let mut desk = opened(yesterday(), "2027-07-27T18:00:00Z");
    let said = desk.message().to_owned();
    assert!(
        said.ends_with("244 days since: g y begins a new visit"),
        "{said}"
    );
    assert!(said.contains(", 2026-11-25"), "{said}");
    assert!(!said.contains("goes on"), "{said}");
    assert!(
        has(&desk, "a new visit") && has(&desk, "g y begins a new visit: 244 days"),
        "{}",
        desk.screen()
    );
    let screen = desk.screen();
    assert!(screen.find(" g y ") < screen.find("last entry"), "{screen}");
    desk.keys("gy\n").rest();
    assert_eq!(desk.session.site().visits().len(), 2);
    // On a machine that the site is new to, and of another hand, it is said as well.
    let desk = opened_by("engineer B", yesterday(), "2027-07-27T18:00:00Z", None);
    let said = desk.message();
    assert!(said.contains("244 days since: g y"), "{said}");
    // Of today the day is left out.
    let desk = opened(yesterday(), "2026-11-25T18:00:00Z");
    let said = desk.message();
    assert!(said.contains(" at 14:") && !said.contains("2026"), "{said}");
}

#[test]
fn a_shift_past_midnight_the_same_day_and_another_hands_site_are_offered_none() {
    for now in ["2026-11-25T18:30:00Z", "2026-11-25T23:59:00Z"] {
        let desk = opened(yesterday(), now);
        assert!(!desk.message().contains(OFFER), "{now}: {}", desk.message());
    }
    // Read at 23:50, opened again at 0:30.
    let mut pen = Pen::on(hall());
    pen.second = 9 * 3600 + 50 * 60;
    pen.read_as_drawn("H-1");
    let desk = opened(pen.site, "2026-11-26T00:30:00Z");
    assert!(!desk.message().contains(OFFER), "{}", desk.message());
    // Whoever did nothing on it only looks.
    let stood = Some(Resume::default());
    let desk = opened_by("engineer B", yesterday(), "2026-11-26T08:00:00Z", stood);
    assert!(!desk.message().contains(OFFER), "{}", desk.message());
}

#[test]
fn a_program_left_open_over_the_night_offers_it_with_the_first_key() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n");
    desk.now += SignedDuration::from_hours(17);
    desk.press(Key::Down);
    assert!(
        desk.message().contains("another day: goes on"),
        "{}",
        desk.message()
    );
    desk.press(Key::Down).press(Key::Down);
    desk.keys("417\n");
    assert!(
        !desk.message().contains("another day"),
        "{}",
        desk.message()
    );
}

// ---- undo past what was dropped ----

#[test]
fn u_twice_after_esc_takes_back_what_was_recorded_before_it() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n41\x1b");
    assert!(desk.message().starts_with("dropped, not recorded: 41"));
    desk.keys("u");
    assert_eq!(desk.typed().as_deref(), Some("41"));
    desk.keys("u");
    assert_eq!(desk.typed(), None);
    assert!(
        desk.message().starts_with("dropped 41; taken back: H-1"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.session.analyst().counts().read, 0);
    desk.keys("r");
    assert_eq!(desk.session.analyst().counts().read, 1);
}

#[test]
fn what_was_brought_back_and_typed_on_is_not_lost_by_u() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n41\x1bu2u");
    assert_eq!(desk.typed().as_deref(), Some("412"));
    assert_eq!(desk.session.analyst().counts().read, 1);
    // Words too, and a letter u later in them is one.
    let mut desk = Desk::at(hall());
    desk.keys("336\n/h1\nj").keys("joint").keys("\x1bu");
    assert_eq!(desk.typed().as_deref(), Some("joint"));
    desk.keys(" u");
    assert_eq!(desk.typed().as_deref(), Some("joint u"));
}

#[test]
fn what_esc_dropped_stands_over_no_caution() {
    // The next reading begins with its own message or none, not with the one before.
    let mut pen = Pen::on(hall());
    pen.tick(CORES_OFF, vec![Ref::Line("H-2".into())]);
    let mut desk = Desk::at(pen.site);
    desk.keys("/h2\n417\n/h2\n4\x1b4");
    assert!(!desk.message().contains("dropped"), "{}", desk.message());
    // Brought back, the caution it was begun with stands again.
    for (keys, caution) in [
        ("\x1b/h1\n4", "H-1 is not ticked OFF: no meter on it"),
        ("\x1b/h2\ni2", "never core to core; discharge after"),
    ] {
        desk.keys(keys);
        assert!(desk.message().contains(caution), "{}", desk.message());
        desk.keys("\x1b");
        assert!(desk.message().starts_with("dropped"), "{}", desk.message());
        desk.keys("u");
        assert!(
            desk.message().starts_with("brought back") && desk.message().contains(caution),
            "{}",
            desk.message()
        );
    }
    // A line that stands opened stays so when a reading of its side is dropped, and that is said.
    desk.keys("\x1b/h2\nw").press(Key::Down);
    desk.keys("b4\x1b");
    assert!(
        desk.message().contains("; still OPEN before ")
            && desk.message().ends_with("b when closed"),
        "{}",
        desk.message()
    );
    desk.keys("u");
    assert!(
        desk.message()
            .contains("no tone or test while hands are on it"),
        "{}",
        desk.message()
    );
}

// ---- what is proposed ----

/// C-1 of 20 W on A1 out 1. A2 out 1 is planned to 90 of 100 W and reads 25; A3 out 1 is planned to 40 of 100 W
/// and nothing of it is read. Taps are not known.
const THREE: &str = "\
amplifier,output,rated_w,zone,line,loudspeaker,tap_w,run_m
A1,1,100,Hall,C-1,LS-1,20,10
A2,1,100,Lobby,D-1,LS-1,90,10
A3,1,100,Court,E-1,LS-1,40,10
";

#[test]
fn an_output_that_only_reads_low_and_is_planned_full_is_not_proposed_before_one_that_has_room() {
    let mut desk = Desk::at(site_of(THREE, "Old seed court"));
    // 10 kV2 over 400 ohm: 25 W.
    desk.keys("/d1\n400\n/c1\ngah");
    assert_eq!(desk.typed().as_deref(), Some("to A3/1"));
    desk.keys("\t");
    assert_eq!(desk.typed().as_deref(), Some("to A2/1"));
}

#[test]
fn where_nothing_fits_that_is_said_and_nothing_is_put_into_ones_hand() {
    // With 45 W on C-1 both others would be short of the 20 % that is asked.
    let text = THREE.replace("LS-1,20,", "LS-1,45,");
    let mut desk = Desk::at(site_of(&text, "Old seed court"));
    desk.keys("/c1\ngah");
    assert_eq!(desk.typed().as_deref().unwrap_or_default(), "");
    assert_eq!(
        desk.message(),
        "no other output has room for it; Tab: what comes nearest, or type one"
    );
    desk.keys("\t");
    assert_eq!(desk.typed().as_deref(), Some("to A3/1"));
}

#[test]
fn what_goes_between_a_voice_alarm_and_an_ordinary_amplifier_is_not_proposed_and_is_said() {
    // A2 carries the voice alarm and has the most room.
    let text = THREE.replace("run_m\n", "run_m,voice_alarm\n");
    let text = text.replace("LS-1,20,10", "LS-1,20,10,");
    let text = text.replace("LS-1,90,10", "LS-1,10,10,yes");
    let text = text.replace("LS-1,40,10", "LS-1,40,10,");
    let mut desk = Desk::at(site_of(&text, "Old seed court"));
    desk.keys("/c1\ngah");
    for _ in 0..4 {
        let typed = desk.typed();
        assert_ne!(typed.as_deref(), Some("to A2/1"));
        desk.keys("\t");
    }
    desk.press(Key::Clear).keys("to A2/1");
    let said = "from an ordinary amplifier to one of a voice alarm";
    assert!(shown(&desk).contains(said), "{}", desk.screen());
    desk.press(Key::Clear).keys("to A3/1");
    assert!(!shown(&desk).contains("voice alarm"), "{}", desk.screen());
    desk.keys("\x1b\x1b/d1\ngah");
    assert!(
        !desk.typed().is_some_and(|it| it.starts_with("to ")),
        "{:?}",
        desk.typed()
    );
}

#[test]
fn a_tap_beyond_any_is_refused_with_what_was_wanted() {
    let mut desk = Desk::at(site_of(THREE, "Old seed court"));
    desk.keys("/c1\ngah999999w\n");
    let said = "a tap of LS-1 is 999999 W, 0.01 to 2000 W was wanted: type it again, such as 6w";
    assert_eq!(desk.message(), said);
    assert_eq!(desk.typed().as_deref(), Some("999999w"));
    desk.keys("\x1bh30w\n").rest();
    assert!(desk.message().contains("30w"), "{}", desk.message());
    // Typed in as a design it is refused as well.
    desk.keys("gs/c1\na").press(Key::Clear);
    desk.keys("999999w\n");
    assert!(
        desk.message().contains("0.01 to 2000 W was wanted"),
        "{}",
        desk.message()
    );
}

// ---- said in a sentence ----

#[test]
fn the_building_says_how_a_line_stands_in_a_sentence() {
    let mut pen = Pen::on(hall());
    pen.read("H-1", "open");
    pen.read("H-2", "400");
    pen.tick(CORES_OFF, vec![Ref::Line("H-1".into())]);
    for (keys, words) in [
        ("/h1\ngb", "H-1 reads open, 0.0 W; OFF the amplifier"),
        ("/h2\ngb", "H-2 reads 400 ohm, 25.0 W, +"),
        ("/h2\ngb", "%: in tolerance"),
        ("/b1\ngb", "B-1 is not read"),
    ] {
        let mut desk = Desk::at(pen.site.clone());
        desk.keys(keys);
        assert!(has(&desk, words), "{words}: {}", desk.screen());
    }
}

// ---- key lines ----

#[test]
fn what_space_ticks_is_named_whole() {
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n275\n/h1\n");
    let mut pen = Pen::on(desk.session.site().clone());
    let lines = ["H-1", "H-2"].map(|it| Ref::Line(it.into())).to_vec();
    pen.tick(CORES_OFF, lines);
    for (columns, rows) in [(80, 24), (60, 20)] {
        let mut desk = Desk::at(pen.site.clone());
        desk.resize(columns, rows);
        desk.keys("/h1\ngr").press(Key::Home);
        for _ in 0..60 {
            let screen = desk.screen();
            let prompt = screen.lines().rev().nth(1).unwrap().trim_end();
            assert!(!prompt.contains('~'), "{prompt}");
            if prompt.starts_with(" Space ticks 2 lines: cores back on") {
                break;
            }
            desk.press(Key::Down);
        }
        let screen = desk.screen();
        assert!(
            screen.contains("Space ticks 2 lines: cores back on"),
            "{screen}"
        );
    }
    // Whatever is in the lists fits behind it at eighty columns.
    for row in LISTS {
        let words = format!(" Space ticks 100 lines: {}> ", row.words);
        assert!(words.chars().count() < 80, "{words}");
    }
}

#[test]
fn the_keys_of_a_walk_name_the_split_at_eighty_columns() {
    let line = footer(ModeName::Key, Place::Walk, true, 80);
    assert!(line.contains("b split") && line.len() <= 80, "{line}");
    for word in [
        "Space heard",
        "s silent",
        "- quiet",
        "+ loud",
        "z distorted",
        "c unsure",
    ] {
        assert!(line.contains(word), "{word}: {line}");
    }
}

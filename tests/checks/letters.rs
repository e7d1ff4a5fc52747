//! One meaning a letter, told on the footer and under the question mark.

use super::*;

#[test]
fn check_8_a_letter_has_one_meaning_in_a_mode_wherever_it_holds() {
    // What a key does in another place under the same meaning: all right (Space), left out with a
    // reason (l), one place back or on (Left, Right).
    let kin: [&[Action]; 4] = [
        &[
            Action::Answer,
            Action::Tick,
            Action::NextTick,
            Action::Accept,
        ],
        &[Action::Later, Action::NotHere, Action::LeaveOpen],
        &[Action::Help, Action::Escape, Action::Quit],
        &[Action::Escape, Action::Enter, Action::GoNext],
    ];
    let mut seen: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for row in keys::table() {
        let Keys::These(own) = row.keys else { continue };
        for key in own {
            let action = kin
                .iter()
                .position(|kin| kin.contains(&row.action))
                .map_or_else(|| format!("{:?}", row.action), |at| format!("kin {at}"));
            let name = format!("{:?} {}", row.mode, key.name());
            seen.entry(name).or_default().insert(action);
        }
    }
    for (key, actions) in seen {
        let escape = key.ends_with("Esc") || key.ends_with("Enter") || key.ends_with(" q");
        assert!(actions.len() == 1 || escape, "{key}: {actions:?}");
    }
}

#[test]
fn check_8_what_belongs_to_a_reading_is_never_a_command_in_any_place() {
    for place in [Place::Survey, Place::Walk, Place::Rack] {
        for c in "0123456789.,".chars() {
            let action = keys::action(ModeName::Key, place, Key::Char(c));
            assert_eq!(action, Some(Action::StartReading), "{place:?} {c}");
        }
        for c in "kmvx".chars() {
            let action = keys::action(ModeName::Key, place, Key::Char(c));
            assert!(
                matches!(action, None | Some(Action::TakeUpLast)),
                "{place:?} {c}: {action:?}"
            );
        }
    }
}

#[test]
fn check_8_every_key_of_a_place_stands_under_the_question_mark_and_the_footer_fits() {
    for (keys, place) in [
        ("", Place::Survey),
        ("w", Place::Walk),
        ("gr", Place::Rack),
        ("gv", Place::Review),
    ] {
        let mut desk = Desk::at(hall());
        desk.keys(keys).keys("?");
        desk.resize(160, 200);
        let screen = desk.screen();
        for mode in [
            ModeName::Key,
            ModeName::Reading,
            ModeName::Text,
            ModeName::GoList,
        ] {
            for row in keys::rows(mode, place) {
                assert!(
                    screen.lines().any(|line| {
                        line.contains(row.help) && line.trim_start().starts_with(row.shown)
                    }),
                    "{place:?} {mode:?} {}: {screen}",
                    row.shown
                );
            }
        }
        for width in 40..200 {
            desk.keys("\x1b").resize(width, 24);
            let footer = desk.session.view().footer.width();
            assert!(footer <= width, "{place:?} {width}: {footer}");
            desk.keys("?");
        }
    }
}

#[test]
fn check_8_the_footer_offers_nothing_that_the_row_does_not_take() {
    let mut desk = Desk::at(hall());
    let footer = |desk: &Desk| desk.session.view().footer.text();
    assert!(footer(&desk).contains("digits read"));
    desk.press(Key::Home);
    assert!(!footer(&desk).contains("digits read"), "{}", footer(&desk));
    assert!(!footer(&desk).contains("walk"), "{}", footer(&desk));
}

#[test]
fn check_8_the_letters_of_a_reading_stand_on_the_screen_while_one_is_typed() {
    let mut desk = Desk::at(hall());
    desk.keys("2");
    let below = |desk: &Desk| {
        let view = desk.session.view();
        format!("{} {}", view.entry.text(), view.footer.text())
    };
    for letter in [
        "k thousand",
        "m million",
        "x10 range",
        "d ohmmeter",
        "i insulation",
        "n note",
        "t instrument",
        "p phase",
    ] {
        assert!(below(&desk).contains(letter), "{letter}: {}", below(&desk));
    }
    desk.keys("i");
    assert!(
        below(&desk).contains("a b core  v500 volts"),
        "{}",
        below(&desk)
    );
    let words = desk.session.view().entry.text();
    desk.keys("0");
    let more = desk.session.view().entry.text();
    assert_eq!(
        words.split("  ").last(),
        more.split("  ").last(),
        "the next digit moves no word"
    );
}

#[test]
fn whoever_is_here_for_the_first_time_is_told_five_lines_until_something_is_done() {
    let mut desk = Desk::at(hall());
    let told = |desk: &Desk| desk.screen().contains("first time here, in five lines");
    assert!(told(&desk));
    desk.press(Key::Enter);
    assert!(told(&desk), "nothing was done yet");
    desk.keys("3");
    assert!(!told(&desk), "{}", desk.screen());
    let resume = Resume::from_text(desk.remembered.as_ref().unwrap());
    let again = Desk::with(hall(), opening("nextnextnextnext"), resume);
    assert!(!told(&again), "told once");
    let mut desk = Desk::at(hall());
    desk.resize(80, 200).keys("?");
    assert!(
        desk.screen().contains("in five lines"),
        "and under ? ever after"
    );
}

//! The list itself: its rows and cautions, where the cursor goes, where it stands again.

use super::*;

#[test]
fn the_cautions_stand_where_the_act_happens_and_nothing_is_called_safe() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    let mut seen = String::new();
    for _ in 0..40 {
        for _ in 0..3 {
            let screen = desk.screen().to_lowercase();
            assert!(!screen.contains("safe"), "{screen}");
            let panel = screen.lines().filter_map(|row| row.split_once('\u{2502}'));
            let words: Vec<String> = panel
                .map(|(_, panel)| panel.split_whitespace().collect::<Vec<_>>().join(" "))
                .collect();
            seen.push_str(&words.join(" "));
            desk.press(Key::Tab);
        }
        desk.press(Key::Down);
    }
    // 100 V times the root of 2; 50 V a.c. is the limit of extra-low voltage in IEC 61140.
    for caution in [
        "141 v at the peak",
        "above extra-low voltage, which ends at 50 v rms",
        "can come back by itself",
        "a meter on a driven line dies",
        "local codes and licensed practice decide",
        "polarity is kept",
        "tester proved again",
    ] {
        assert!(seen.contains(caution), "{caution}: {seen}");
    }
}

#[test]
fn a_voice_alarm_has_its_own_steps_and_an_insulation_list_stands_where_it_is_asked_for() {
    let plain = list(Desk::at(hall()));
    assert!(!plain.iter().any(|row| row.contains("voice-alarm cover")));
    let site = hall_with(|design| match design {
        Design::Amplifier(it) => Design::Amplifier(Amplifier {
            voice_alarm: true,
            ..it
        }),
        Design::Line(it) => Design::Line(Line {
            insulation_asked: it.label == "H-2",
            ..it
        }),
        other => other,
    });
    let rows = list(Desk::at(site));
    for wanted in [
        "voice-alarm cover in place",
        "heard on standby, microphone",
        "insulation, before the impedance",
        "H-2     devices off at both ends",
        "H-2     both cores discharged",
    ] {
        assert!(
            rows.iter().any(|row| row.contains(wanted)),
            "{wanted}: {rows:#?}"
        );
    }
    assert!(!rows.iter().any(|row| row.contains("H-1     devices off")));
}

#[test]
fn left_and_right_go_from_amplifier_to_amplifier_and_enter_to_the_line() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    desk.press(Key::Right);
    assert!(
        desk.screen().contains("A2  before a line"),
        "{}",
        desk.screen()
    );
    desk.press(Key::Right);
    assert_eq!(desk.message(), "this is the last amplifier");
    desk.press(Key::Left);
    down_to(&mut desk, "L-2");
    desk.press(Key::Enter);
    assert_eq!(desk.on(), "L-2");
    assert!(desk.screen().contains("survey, as found"));
}

#[test]
fn space_in_the_survey_goes_to_what_waits_and_ticks_nothing_unseen() {
    let mut desk = Desk::at(demo());
    desk.keys("/ch1\n ");
    assert!(
        desk.screen().contains("rack list, as found"),
        "{}",
        desk.screen()
    );
    assert!(ticks(&desk).is_empty());
    desk.keys("\x1b");
    assert_eq!(desk.on(), "CH-1");
}

#[test]
fn a_line_is_found_on_the_list_itself() {
    let mut desk = Desk::at(hall());
    desk.keys("gr/c1");
    assert!(desk.screen().contains("rack list"), "{}", desk.screen());
    desk.keys("\n");
    assert!(
        row(&desk).contains("C-1     both cores off"),
        "{}",
        row(&desk)
    );
    assert!(desk.screen().contains("A2  before a line is touched"));
}

#[test]
fn cut_off_on_the_list_one_stands_there_again() {
    let mut desk = Desk::at(hall());
    desk.keys("gr  lno st");
    let resume = Resume::from_text(desk.remembered.as_ref().unwrap()).unwrap();
    let again = Session::new(
        desk.session.site().clone(),
        opening("nextnextnextnext"),
        Some(resume),
    );
    assert_eq!(again.resume().ticking, desk.session.resume().ticking);
    assert_eq!(again.mode(), desk.session.mode());
}

/// Every row of the list, from a screen tall enough.
fn list(mut desk: Desk) -> Vec<String> {
    desk.resize(80, 100);
    desk.keys("gr");
    let screen = desk.screen();
    screen
        .lines()
        .filter_map(|row| row.split('\u{2502}').next())
        .map(str::to_owned)
        .collect()
}

#[test]
fn space_goes_through_a_line_and_on_to_the_joints_of_the_next() {
    let mut desk = Desk::at(demo());
    desk.keys("/ch1\n").rest();
    desk.keys("gr");
    go_to(&mut desk, "CH-1 joints closed");
    let mut said = Vec::new();
    for _ in 0..4 {
        said.push(folded(&row(&desk)));
        desk.keys(" ");
    }
    let wanted = [
        "CH-1 joints closed, covers on",
        "CH-1 devices back at both ends",
        "CH-1 cores back on",
        "CH-2 joints closed, covers on",
    ];
    assert!(
        said.iter()
            .zip(wanted)
            .all(|(it, wanted)| it.ends_with(wanted)),
        "{said:?}"
    );
}

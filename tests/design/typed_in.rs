//! A building typed in, on a disk that is slow or full.

use super::*;

#[test]
fn an_old_building_is_typed_in_from_nothing_to_its_first_reading() {
    let mut desk = Desk::begun();
    let message = desk.message();
    assert!(message.contains("a adds an amplifier"), "{message}");
    // The amplifier with its outputs; the cursor goes to it.
    desk.keys("aA1 2x240w 100v\n");
    assert!(
        desk.message()
            .starts_with("recorded 14:07  added: amplifier A1"),
        "{}",
        desk.message()
    );
    let plan = desk.session.site().plan();
    let outputs: Vec<String> = plan
        .outputs
        .iter()
        .map(|it| {
            format!(
                "{} {} {:?}",
                it.amplifier,
                it.label,
                it.rated.map(|it| it.get())
            )
        })
        .collect();
    assert_eq!(outputs, ["A1 1 Some(240.0)", "A1 2 Some(240.0)"]);
    // A line on its first output, with its zone; then loudspeaker after loudspeaker.
    desk.keys("aR-01 Reading room\n");
    assert_eq!(desk.on(), "R-01");
    desk.keys("a6w 38m s:3/6/12 t:bowl\n")
        .keys("a9m\n")
        .keys("yyy");
    assert_eq!(
        nodes(&desk, "R-01"),
        [
            "LS-1 6W 38m rack",
            "LS-2 6W 9m LS-1",
            "LS-3 6W 9m LS-2",
            "LS-4 6W 9m LS-3",
            "LS-5 6W 9m LS-4"
        ]
    );
    // Five of 6 W at 100 V: 333 ohm, less a little for the cable.
    let expected = desk
        .session
        .analyst()
        .line(0)
        .design
        .expected
        .unwrap()
        .get();
    assert!((expected - 333.3).abs() < 3.0, "{expected}");
    assert_eq!(desk.on(), "R-01");
    desk.keys("336\n");
    assert_eq!(desk.readings(), ["R-01 336"]);
    assert!(desk.message().contains("in tol"), "{}", desk.message());
    // The file that would be written is sound and reads back to the same building.
    let bytes = format1::write(desk.session.site()).unwrap();
    let again = format1::read("typed.ron", &bytes).unwrap().site;
    assert_eq!(json_of(&again), desk.json());
}

#[test]
fn a_line_is_copied_with_its_loudspeakers_and_yet_another_takes_one_key() {
    let mut desk = Desk::at(hall());
    // The first of all is asked about once.
    desk.keys("/h1\n").keys("yy");
    assert_eq!(desk.on(), "H-3", "the next label that is free");
    assert!(
        desk.message().contains("added: line H-3 with 5 places"),
        "{}",
        desk.message()
    );
    assert_eq!(nodes(&desk, "H-3"), nodes(&desk, "H-1"));
    assert_eq!(line(&desk, "H-3").zone_label, "Hall");
    desk.keys("y");
    assert_eq!(desk.on(), "H-4");
    // Typed: another label, another output, like H-2.
    desk.keys("a");
    desk.press(Key::Up);
    assert!(desk.screen().contains("add line>"), "{}", desk.screen());
    desk.keys("B-2 Balcony l:H-2 o:A1/2\n");
    assert_eq!(nodes(&desk, "B-2"), nodes(&desk, "H-2"));
    let plan = desk.session.site().plan();
    assert_eq!(plan.outputs[line(&desk, "B-2").output].label, "2");
}

#[test]
fn a_pasted_row_is_seen_in_the_entry_before_it_counts_and_is_one_undo() {
    let mut desk = Desk::at(hall());
    let before = desk.json();
    desk.keys("/c1\n").keys("a");
    desk.event(Event::Paste(
        "LS-3\t10\t12\t2.5 mm2\thorn\r\nLS-4\t5\t8".into(),
    ));
    assert_eq!(
        desk.typed().as_deref(),
        Some("LS-3 10w 12m 2.5mm2 t:horn; LS-4 5w 8m")
    );
    assert!(desk.sent.is_empty(), "a paste is data");
    assert!(desk.screen().contains("LS-4"), "{}", desk.screen());
    desk.keys("\n");
    assert_eq!(
        nodes(&desk, "C-1")[2..],
        ["LS-3 10W 12m LS-2", "LS-4 5W 8m LS-3"]
    );
    assert!(
        desk.message()
            .contains("added: 2 loudspeakers, the last LS-4 on C-1"),
        "{}",
        desk.message()
    );
    desk.keys("u");
    assert_eq!(desk.json(), before);
    desk.keys("r");
    assert_eq!(nodes(&desk, "C-1").len(), 4);
}

#[test]
fn a_slow_disk_lets_one_type_on_and_a_full_one_keeps_what_was_typed() {
    let mut desk = Desk::at(hall());
    desk.keys("/c1\n");
    desk.disk = DiskIs::Slow;
    desk.keys("a5w 9m\n").keys("yy");
    assert_eq!(
        nodes(&desk, "C-1").len(),
        2,
        "nothing counts before the disk has it"
    );
    desk.answer();
    assert_eq!(
        nodes(&desk, "C-1")[2..],
        ["LS-3 5W 9m LS-2", "LS-4 5W 9m LS-3", "LS-5 5W 9m LS-4"]
    );
    desk.disk = DiskIs::Full;
    desk.keys("y");
    assert!(
        desk.message().starts_with("NOT RECORDED"),
        "{}",
        desk.message()
    );
    assert_eq!(nodes(&desk, "C-1").len(), 5);
    // The next act takes what was refused along, first.
    desk.disk = DiskIs::Fast;
    desk.keys("y");
    assert_eq!(nodes(&desk, "C-1").len(), 7, "{}", desk.message());
}

#[test]
fn keys_typed_ahead_of_the_disk_go_on_along_the_cable() {
    let mut desk = Desk::at(hall());
    desk.keys("/c1\n").keys("gd");
    desk.press(Key::Home);
    desk.press(Key::Down);
    desk.disk = DiskIs::Slow;
    desk.keys("aLS-3 5w 9m\n").keys("yy");
    desk.answer();
    assert_eq!(
        nodes(&desk, "C-1"),
        [
            "LS-1 10W 60m rack",
            "LS-3 5W 9m LS-1",
            "LS-4 5W 9m LS-3",
            "LS-5 5W 9m LS-4",
            "LS-2 10W 25m LS-1"
        ]
    );
}

#[test]
fn a_half_typed_design_survives_leaving_and_esc_keeps_it_for_undo() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\naLS-9 3w");
    let resume = linewright::session::Resume::from_text(desk.remembered.as_deref().unwrap());
    let mut again = Desk::with(hall(), desk::opening("nextnextnextnext"), resume);
    assert_eq!(again.typed().as_deref(), Some("LS-9 3w"));
    again.keys("\x1b");
    assert_eq!(again.message(), "dropped, not recorded: LS-9 3w");
    again.keys("u");
    assert_eq!(again.typed().as_deref(), Some("LS-9 3w"));
    again.keys("\n");
    assert_eq!(nodes(&again, "H-1").len(), 6);
}

#[test]
fn after_repeated_slow_letters_the_cautions_of_the_first_reading_still_stand() {
    let mut desk = Desk::begun();
    desk.keys("aA1 60w\n")
        .keys("aH-1 Hall\n")
        .keys("a10w 3m s:5/10\n")
        .keys("5");
    assert!(desk.message().contains("proved dead"), "{}", desk.message());
}

//! Insulation: what it is taken as, and until when.

use super::*;

#[test]
fn an_insulation_reading_of_a_line_that_is_not_ticked_off_is_asked_about_first() {
    let pasted = |desk: &mut Desk| {
        desk.keys("i").event(Event::Paste("50M".into()));
    };
    let typed = |desk: &mut Desk| {
        desk.keys("50Mi");
    };
    for begin in [&typed as &dyn Fn(&mut Desk), &pasted] {
        let mut desk = one_is_off();
        begin(&mut desk);
        desk.keys("\n");
        assert_eq!(insulations(&desk), 0, "{}", desk.message());
        let said = desk.message();
        assert!(said.contains("L-1 is not ticked OFF"), "{said}");
        assert!(said.contains("Enter once more records it"), "{said}");
        desk.keys("\n");
        assert_eq!(insulations(&desk), 1, "{}", desk.message());
    }
    // Any other key is a no; of a line that is OFF nothing is asked.
    let mut desk = one_is_off();
    desk.keys("50Mi\n").keys("0").keys("\n");
    assert_eq!(insulations(&desk), 0, "{}", desk.message());
    desk.keys("\x1b").keys("/h2\n").keys("50Mi\n");
    assert_eq!(insulations(&desk), 1, "{}", desk.message());
}

#[test]
fn a_low_insulation_stands_until_a_repair_or_two_as_good_at_no_less_volts() {
    // IEC 60364-6: less than 1 Mohm at 500 V is low.
    let low = |desk: &Desk| line(desk, "L-1").insulation_is_low();
    let mut desk = Desk::at(hall());
    desk.keys("/l1\n").keys("556\n").keys("/l1\n");
    desk.keys("0.3Mi\n").rest();
    assert!(low(&desk));
    desk.keys("/l1\n").keys("200Miv250\n").rest();
    assert!(low(&desk), "less volts");
    assert!(
        desk.message()
            .contains("LOW 300 kohm at 500 V of 14:07 stands"),
        "{}",
        desk.message()
    );
    desk.keys("/l1\n");
    let shown = panel(&desk);
    assert!(shown.contains("LOW 300 kohm at 500 V"), "{shown}");
    assert!(shown.contains("less volts clear nothing"), "{shown}");
    assert!(desk.screen().contains("ins lo"), "{}", desk.screen());
    assert_eq!(
        in_the_way(&desk, "L-1")[0],
        "insulation low: 300 kohm at 500 V"
    );
    desk.keys("200Miv250\n").rest();
    assert!(low(&desk), "less volts, however often");
    desk.keys("/l1\n").keys("200Mi\n").rest();
    assert!(low(&desk), "one does not agree");
    desk.keys("/l1\n");
    assert!(panel(&desk).contains("one more as good settles it"));
    desk.keys("150Mi\n").rest();
    assert!(!low(&desk), "two agree");
    // A repair begins a state of its own.
    let mut desk = Desk::at(hall());
    desk.keys("/l1\n").keys("0.3Mi\n").keys("/l1\n");
    desk.keys("jgland remade\n")
        .keys("/l1\n")
        .keys("200Mi\n")
        .rest();
    assert!(!low(&desk));
}

#[test]
fn an_insulation_reading_says_what_it_is_worth_that_its_voltage_is_assumed_and_discharge() {
    let mut desk = Desk::at(hall());
    desk.keys("/l1\n").keys("0.3Mi");
    let shown = panel(&desk);
    assert!(
        shown.contains(
            "300 kohm at 500 V, assumed (v250 typed behind it says another): LOW, least 1.0 Mohm"
        ),
        "{shown}"
    );
    desk.keys("\n").rest();
    let said = desk.message();
    for wanted in [
        "300 kohm at 500 V, assumed (u, then v250 behind it: another)",
        "LOW, least 1",
        "Discharge both cores",
    ] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    // The panel keeps saying so in this sitting, and of one that was said says nothing.
    desk.keys("/l1\n").rest();
    assert!(
        panel(&desk).contains("300 kohm at 500 V (assumed)"),
        "{}",
        panel(&desk)
    );
    desk.keys("/l2\n").keys("200Miv500\n");
    let said = desk.message();
    assert!(!said.contains("assumed"), "{said}");
    assert!(said.contains("ok, least 1"), "{said}");
    assert!(said.contains("Discharge both cores"), "{said}");
}

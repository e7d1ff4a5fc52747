//! What was done: repairs, insulation, what was heard, edits of the drawing.

use crate::desk::{Desk, assessed, hall};
use crate::paper::{glasshouse, line, section, table};
use crate::pen::Pen;
use linewright::report::{markdown, record};
use linewright::site::Do;

/// The hall with a line that was read, split, listened to, mended and read again.
pub fn mended() -> Pen {
    use linewright::quantity::{Insulation, Ohm, Volt};
    use linewright::site::{Cut, Heard, Insulate, Leg, StateId};
    let mut pen = Pen::on(hall());
    let line = || linewright::site::LineId::from("L-1");
    let at = pen.site.plan().line(&line()).unwrap();
    let nodes = pen.site.plan().lines[at].nodes.clone();
    let [first, second] = [0, 1].map(|at| nodes[at].id.to_string());
    pen.read("L-1", "1700");
    let state: StateId = pen.site.history(&line()).state();
    for (text, cut) in [
        ("1690", Cut::Near(nodes[1].id.clone())),
        ("820", Cut::Far(nodes[1].id.clone())),
    ] {
        pen.read_at("L-1", text, Some(cut));
    }
    pen.hear(&first, Heard::Heard);
    pen.hear(&second, Heard::Silent);
    pen.write(Do::Insulate(Insulate {
        line: line(),
        state,
        value: Insulation::Ohm(Ohm(55e6)),
        text: "55M".to_owned(),
        instrument: "insulation".into(),
        test_v: Volt(500.0),
        leg: Leg::Both,
        after_s: None,
        note: None,
    }));
    let struck = pen.read("L-1", "99");
    pen.void(&struck);
    pen.repair("L-1", "joint remade", Some("bad-joint"));
    pen.read_as_drawn("L-1");
    pen
}

#[test]
fn the_story_of_a_mended_line_stands_in_the_order_of_time_with_what_was_suspected_before() {
    let pen = mended();
    let document = record(&assessed(&pen.site));
    let points = section(&document, "L-1");
    let all = points.join(" ");
    let place = |words: &str| {
        let at = all.find(words);
        at.unwrap_or_else(|| panic!("{words}: {points:#?}"))
    };
    let order = [
        "Done 2026-11-25 UTC, engineer A: 14:00 read 1700 ohm, as found",
        " read 1690 ohm, split before LS-2, from the rack to there",
        " read 820 ohm, split before LS-2, from LS-2 on",
        " heard LS-1; silent LS-2",
        " insulation 55.0 Mohm at 500 V",
        "Likeliest before the repair, by all that is known of the site now, ",
        " repaired: joint remade, found: bad joint",
        ", as left",
    ];
    let places = order.map(place);
    assert!(places.is_sorted(), "{places:?} {points:#?}");
    assert!(!points.iter().any(|it| it.contains("nothing wrong")));
    // What was struck is in the log of changes alone, once.
    assert!(
        !points
            .iter()
            .any(|it| it.contains("struck") || it.contains("99 ohm"))
    );
    let told = markdown(&document);
    assert_eq!(told.matches("struck: L-1 impedance reading 99").count(), 1);
    // The table of the first pages has the same suspicion, and the summary the repair.
    let row = &table(&document, "likeliest why").rows;
    let row = row.iter().find(|row| row.cells[0] == "L-1").unwrap();
    assert!(
        row.cells[4].starts_with("repaired, reads right since"),
        "{row:?}"
    );
    assert!(
        row.cells[4].ends_with("; cause found: bad joint"),
        "{row:?}"
    );
    assert!(told.contains("Repaired, 1: L-1 (joint remade, found: bad joint)."));
}

#[test]
fn insulation_read_before_a_repair_is_told_and_wants_reading_again() {
    let pen = mended();
    let data = assessed(&pen.site);
    let to_do = &line(&data, "L-1").to_do;
    let again = "read its insulation again: it was read before the repair".to_owned();
    assert!(to_do.contains(&again), "{to_do:?}");
    let told = markdown(&record(&data));
    assert!(
        told.contains(
            "Insulation was read on 1 of 6 lines; before a repair, and wants reading again: L-1."
        ),
        "{told}"
    );
    assert!(told.contains("read before the repair, wants reading again"));
    // What is ticked before insulation is read was asked for then, and nobody ticked it.
    let document = record(&data);
    let checks = &table(&document, "not ticked").rows;
    let from = checks
        .iter()
        .position(|it| it.cells[0] == "Before insulation was read");
    let asked = &checks[from.expect("no steps of insulation") + 1..];
    let asked: Vec<&str> = asked
        .iter()
        .map(|it| it.cells.last().unwrap().as_str())
        .collect();
    let amplifier = &line(&data, "L-1").amplifier;
    assert_eq!(asked[0], format!("{amplifier} 1 of 1"));
}

#[test]
fn answers_of_a_line_are_one_row_each_with_all_that_gave_it_and_insulation_names_its_verdict() {
    use linewright::quantity::{Insulation, Ohm, Volt};
    use linewright::site::{Insulate, Leg};
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("L-1");
    pen.hear_all("L-1");
    let state = pen.site.history(&"L-1".into()).state();
    // Under 1 Mohm at 500 V: IEC 60364-6, table 6.1.
    pen.write(Do::Insulate(Insulate {
        line: "L-1".into(),
        state,
        value: Insulation::Ohm(Ohm(4e5)),
        text: "400k".to_owned(),
        instrument: "insulation".into(),
        test_v: Volt(500.0),
        leg: Leg::Both,
        after_s: None,
        note: None,
    }));
    let data = assessed(&pen.site);
    let document = record(&data);
    let heard = table(&document, "answer");
    assert_eq!(heard.rows.len(), 1);
    let count = line(&data, "L-1").heard[1];
    assert_eq!(
        heard.rows[0].cells[..3],
        ["L-1", "heard", &format!("all {count}")]
    );
    let row = &table(&document, "test voltage").rows[0];
    assert!(row.strong);
    assert_eq!(
        row.cells[..5],
        ["L-1", "joined", "400 kohm", "500 V", "out of tolerance"]
    );
}

#[test]
fn what_finds_a_fault_is_told_apart_from_what_is_heard_after_mending() {
    let data = glasshouse();
    let to_do = |label: &str| line(data, label).to_do.join("; ");
    assert!(to_do("CH-1").starts_with("to find it: listen at LS-01, then at the 7 others"));
    assert!(to_do("CH-1").ends_with("; after mending: listen at all 8 loudspeakers"));
    // What was heard before a repair does not count after it.
    assert!(to_do("TH-1").starts_with("to find it: listen at LS-08; "));
    assert!(to_do("TH-1").ends_with("; after mending: listen at all 12 loudspeakers"));
    // A label or a range that is looked at is no mending.
    assert!(!to_do("PH-5").contains("mending") && !to_do("FH-1").contains("mending"));
}

#[test]
fn an_edit_in_the_log_of_changes_says_from_what_to_what() {
    let mut pen = Pen::on(hall());
    pen.edit_run("H-1/LS-2", 12.5);
    let document = record(&assessed(&pen.site));
    let rows = &table(&document, "by").rows;
    let was = hall();
    let at = was.plan().line(&"H-1".into()).unwrap();
    let run = was.plan().lines[at].nodes[1].run.unwrap().get();
    let wanted = format!("H-1 LS-2 design edited: run {run} m -> 12.5 m");
    assert!(
        rows.iter().any(|row| row.cells.contains(&wanted)),
        "{rows:#?}"
    );
}

#[test]
fn what_one_person_draws_in_a_row_is_one_row_and_what_is_drawn_after_a_reading_its_own() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\ngda6w 9m; ; ;\n\x1b");
    let told = |desk: &Desk| -> Vec<String> {
        let document = record(&assessed(desk.session.site()));
        let rows = &table(&document, "by").rows;
        rows.iter().map(|row| row.cells[2].clone()).collect()
    };
    assert_eq!(told(&desk), ["drawn: 3 loudspeakers"]);
    // The JSON has each of them.
    assert_eq!(assessed(desk.session.site()).changes.len(), 3);
    // Found on a line that was read: what the reading is held against was changed.
    desk.keys("\x1b\x1b/h1\n205\n/h1\ngda6w 9m; ; ;\n");
    let rows = told(&desk);
    assert_eq!(rows[0], "drawn: 3 loudspeakers");
    assert_eq!(rows.len(), 4, "{rows:#?}");
    for row in &rows[1..] {
        assert!(row.starts_with("H-1 LS-"), "{row}");
        assert!(
            row.contains("design edited: added: is loudspeaker"),
            "{row}"
        );
    }
}

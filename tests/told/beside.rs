//! Readings beside those at the rack, line whole: what the drawing gives for them.

use crate::paper::{glasshouse, line, table};
use linewright::report::record;

#[test]
fn a_reading_at_direct_current_or_of_a_side_has_what_is_drawn_beside_it() {
    let document = record(glasshouse());
    let also = table(&document, "taken");
    let at = |title: &str| {
        also.columns
            .iter()
            .position(|it| it.title == title)
            .unwrap()
    };
    let rows = |label: &str| {
        let rows = also.rows.iter().filter(|it| it.cells[0] == label);
        let cells = rows.map(|it| it.cells[at("as drawn")].clone());
        cells.collect::<Vec<_>>()
    };
    let ohm = |words: &str| -> f64 {
        let number = words
            .strip_suffix(" ohm")
            .unwrap_or_else(|| panic!("{words}"));
        number.parse().unwrap()
    };
    // Three blocked loudspeakers and an end-of-line resistor of 22 kohm.
    assert_eq!(rows("LH-2"), ["22.0 kohm"]);
    // 7.5 W at 100 V, windings 0.08 of that, and some cable.
    let windings = &rows("FH-2")[0];
    let about = ohm(windings.strip_prefix("about ").unwrap());
    assert!(
        (about / (0.08 * 1e4 / 7.5) - 1.0).abs() < 0.05,
        "{windings}"
    );
    // The sides of a split add up to the line: one over the other.
    let sides = rows("LH-1");
    let whole = line(glasshouse(), "LH-1").expected.ohms.as_f64().unwrap();
    let sum = 1.0 / (1.0 / ohm(&sides[0]) + 1.0 / ohm(&sides[1]));
    assert!((sum / whole - 1.0).abs() < 0.02, "{sides:?}");
}

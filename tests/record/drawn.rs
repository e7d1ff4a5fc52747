//! Every line as drawn: nothing that is needed to rebuild one is lost where rows are shared.

use super::*;
use crate::desk::hall_with;
use linewright::quantity::{MicroHenryPerMetre, OhmPerKm, PicoFaradPerMetre};
use linewright::site::{Cable, Design, Elements, Log, Retired, Stamp};

/// Rows of the chapter, their cells by column, of all outputs.
fn rows(document: &Document) -> Vec<Vec<(String, String)>> {
    let tables = document.blocks.iter().filter_map(|it| match it {
        Block::Table(table) if table.columns.iter().any(|it| it.title == "runs, in order") => {
            Some(table)
        }
        _ => None,
    });
    tables
        .flat_map(|table| {
            table.rows.iter().map(|row| {
                let cells = table.columns.iter().zip(&row.cells);
                cells
                    .map(|(column, cell)| (column.title.clone(), cell.clone()))
                    .collect()
            })
        })
        .collect()
}

/// The rows of a line, without its label and without empty cells.
fn of(document: &Document, line: &str) -> Vec<Vec<String>> {
    let own = rows(document).into_iter().filter(|row| row[0].1 == line);
    own.map(|row| {
        row.into_iter()
            .skip(1)
            .map(|it| it.1)
            .filter(|it| !it.is_empty())
            .collect()
    })
    .collect()
}

#[test]
fn a_line_of_the_demo_can_be_rebuilt_from_its_rows() {
    let document = record(glasshouse());
    // As sites/glasshouse-schedule.csv has them.
    assert_eq!(
        of(&document, "PH-4"),
        [[
            "LS-01 to LS-06",
            "rack, then in turn",
            "46 m, 6 m, 2 x 9 m, 6 m, 7 m",
            "1.5 mm2",
            "1.5 W each",
            "0.75, 1.5, 3, 6 W",
            "ceiling 6",
            "9 W"
        ]]
    );
    let supervised = of(&document, "LH-2");
    assert_eq!(
        supervised[0],
        [
            "LS-01 to LS-03",
            "rack, then in turn",
            "102 m, 18 m, 14 m",
            "1.5 mm2",
            "3.75 W each",
            "3.75, 7.5, 15 W",
            "horn 15",
            "blocks direct current",
            "11.25 W"
        ]
    );
    assert_eq!(
        supervised[1],
        ["EOL", "LS-03", "0 m", "1.5 mm2", "device, 22.0 kohm"]
    );
    assert!(of(&document, "FH-2")[0][2].starts_with("run not known, 2 x 10 m"));
    assert_eq!(of(&document, "LH-1")[0][5], "no other");
    // A level control sits before the first place alone.
    let control = &of(&document, "CF-1")[0];
    assert!(
        control.contains(&"level control before it".to_owned()),
        "{control:?}"
    );
    let text = markdown(&document);
    assert!(text.contains("### A1 out 1, 100 V, rated 240 W\n"));
    assert!(text.contains("### A3 out 1, 70.7 V, rated 120 W\n"));
    assert!(html(&document).contains("102 m, 18 m, 14 m"));
}

/// How many places a cell names: `LS-01 to LS-12, KITCHEN`.
fn places(cell: &str) -> usize {
    let number = |label: &str| -> usize {
        let start = label.trim_end_matches(|c: char| c.is_ascii_digit()).len();
        label[start..].parse().unwrap()
    };
    let parts = cell.split(", ").map(|part| match part.split_once(" to ") {
        Some((first, last)) => number(last) - number(first) + 1,
        None => 1,
    });
    parts.sum()
}

/// How many runs: `66 m, 11 x 9 m`.
fn runs(cell: &str) -> usize {
    let count = |part: &str| -> usize {
        let first = part.split(' ').next().unwrap();
        match part.contains(" x ") || part.contains("runs") {
            true => first.parse().unwrap(),
            false => 1,
        }
    };
    cell.split(", ").map(count).sum()
}

#[test]
fn no_place_and_no_run_of_any_line_is_lost_where_rows_are_shared() {
    let data = glasshouse();
    let rows = rows(&record(data));
    assert!(rows.len() < 2 * data.lines.len(), "{}", rows.len());
    for line in &data.lines {
        let own: Vec<_> = rows.iter().filter(|row| row[0].1 == line.line).collect();
        let of = |column: &str, count: fn(&str) -> usize| -> usize {
            let cells = own
                .iter()
                .map(|row| row.iter().find(|it| it.0 == column).unwrap());
            cells.map(|it| count(&it.1)).sum()
        };
        assert_eq!(of("places", places), line.nodes.len(), "{}", line.line);
        assert_eq!(
            of("runs, in order", runs),
            line.nodes.len(),
            "{}",
            line.line
        );
    }
}

#[test]
fn a_branch_says_where_it_begins_a_changed_run_is_as_changed_and_what_was_taken_out_is_left_out() {
    let site = hall_with(|design| match design {
        Design::Loudspeaker(it) if it.line.as_str() == "H-1" && it.label == "LS-5" => {
            Design::Retired(Retired {
                why: "not built".to_owned(),
                was: Box::new(Design::Loudspeaker(it)),
            })
        }
        other => other,
    });
    let mut pen = Pen::on(site);
    pen.edit_run("H-1/LS-1", 21.5);
    let document = record(&assessed(&pen.site));
    let own = of(&document, "H-1");
    assert_eq!(
        own[0][..3],
        ["LS-1 to LS-3", "rack, then in turn", "21.5 m, 2 x 8 m"]
    );
    assert_eq!(own[0].last().unwrap(), "24 W");
    assert_eq!(own[1][..3], ["LS-4", "LS-2", "6 m"]);
    assert_eq!(own.len(), 2);
}

#[test]
fn a_long_line_of_equal_places_is_one_row_and_one_of_unlike_labels_names_each() {
    let mut schedule = String::from("amplifier,rated_w,zone,line,loudspeaker,tap_w,run_m\n");
    for at in 1..=60 {
        schedule.push_str(&format!("A1,240,Hall,L-1,LS-{at},6,9\n"));
    }
    for label in ["Foyer N", "Foyer S", "Bar"] {
        schedule.push_str(&format!("A1,240,Hall,L-2,{label},6,\n"));
    }
    let document = record(&assessed(&site_of(&schedule, "Long site")));
    let long = of(&document, "L-1");
    assert_eq!(long.len(), 1);
    assert_eq!(
        long[0][..3],
        ["LS-1 to LS-60", "rack, then in turn", "60 x 9 m"]
    );
    let named = of(&document, "L-2");
    assert_eq!(
        named[0][..3],
        [
            "Foyer N, Foyer S, Bar",
            "rack, then in turn",
            "3 runs not known"
        ]
    );
    assert!(named[0].contains(&"not known".to_owned()), "{named:?}");
    assert!(markdown(&document).contains("### A1 out 1, 100 V, rated 240 W\n"));
}

#[test]
fn a_cable_of_the_sites_own_is_told_once_with_what_it_is_made_of() {
    let cable = Design::Cable(Cable {
        label: "old twin".to_owned(),
        r20_ohm_km: OhmPerKm(9.5),
        l_uh_m: MicroHenryPerMetre(0.7),
        c_pf_m: PicoFaradPerMetre(90.0),
    });
    let mut elements = Elements::default();
    elements.add(Ref::Cable("old".into()), Stamp::of_import(&cable), cable);
    for (of, stamp, design) in hall().elements().iter() {
        let design = match design.clone() {
            Design::Loudspeaker(mut it) if it.line.as_str() == "H-2" => {
                it.cable = "old".into();
                Design::Loudspeaker(it)
            }
            other => other,
        };
        elements.add(of.clone(), stamp.clone(), design);
    }
    let site = Site::new(hall().id().clone(), elements, Log::default());
    let document = record(&assessed(&site));
    assert_eq!(of(&document, "H-2")[0][3], "old twin");
    let made = &table(&document, "made of").rows;
    assert_eq!(made.len(), 1);
    let words = "one conductor 9.5 ohm/km at 20 C, loop 0.7 uH/m, between the cores 90 pF/m";
    assert_eq!(made[0].cells, ["old twin", words]);
}

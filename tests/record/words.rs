//! Small prints, and the words of the record.

use super::*;

#[test]
fn walk_sheet_and_labels_name_every_loudspeaker_and_line() {
    let data = glasshouse();
    let (walk, label) = (markdown(&walk_sheet(data)), markdown(&labels(data)));
    for line in &data.lines {
        assert!(walk.contains(&line.line) && label.contains(&line.line));
        for node in &line.nodes {
            assert!(walk.contains(&node.at), "{} {}", line.line, node.at);
        }
    }
}

#[test]
fn a_label_has_the_line_voltage_of_its_output() {
    let label = markdown(&labels(glasshouse()));
    assert!(label.contains("PH-1  Palm house  A1 out 1, 100 V, 80 W, should read 126 ohm"));
    assert!(label.contains("SD-1  Seed hall  A3 out 1, 70.7 V, 30 W, should read 167 ohm"));
}

#[test]
fn the_record_ends_with_its_words_each_once_and_instruments_measure_what_lines_read() {
    let document = record(glasshouse());
    let Some(Block::Table(words)) = document.blocks.last() else {
        panic!("no words at the end")
    };
    assert!((10..=14).contains(&words.rows.len()));
    let (text, page) = (markdown(&document), html(&document));
    for wanted in [
        "line",
        "output",
        "rating",
        "headroom",
        "tap",
        "split",
        "as found, as left",
        "suspect",
        "probability",
        "uncertainty",
        "OFF",
        "sealed",
    ] {
        let own = words.rows.iter().filter(|it| it.cells[0] == wanted);
        assert_eq!(own.count(), 1, "{wanted}");
        assert!(text.contains(&format!("\n| {wanted} ")), "{wanted}");
        assert!(page.contains(&format!("{wanted}</")), "{wanted}");
    }
    let titles: Vec<&str> = document
        .blocks
        .iter()
        .filter_map(|it| match it {
            Block::Table(table) => Some(table.columns.iter().map(|it| it.title.as_str())),
            _ => None,
        })
        .flatten()
        .collect();
    assert!(titles.contains(&"measures") && titles.contains(&"line voltage"));
    assert!(!titles.contains(&"read with"));
}

//! A row of a spreadsheet as the line that would be typed: cells by their place, or by their header.
//! It goes into the entry, where it is seen before it counts.

use super::thing::Thing;
use super::typed::{cable_text, quoted};
use crate::site::Conductor;

/// What a cell holds, by the words of a schedule.
const COLUMNS: [(Thing, &[&str]); 3] = [
    (Thing::Amplifier, &["amplifier", "rated_w", "line_v"]),
    (Thing::Line, &["line", "zone"]),
    (
        Thing::Loudspeaker,
        &["loudspeaker", "tap_w", "run_m", "cable", "type", "from"],
    ),
];

/// Rows pasted, as typed rows; none for what is no table.
pub(super) fn typed(thing: Thing, text: &str) -> Option<String> {
    let lines: Vec<&str> = text
        .split(['\r', '\n'])
        .filter(|line| !line.trim().is_empty())
        .collect();
    let sign = ['\t', ';', ',']
        .into_iter()
        .find(|sign| lines.iter().any(|line| line.contains(*sign)))?;
    let mut names: Vec<String> = COLUMNS
        .iter()
        .find(|(of, _)| *of == thing)
        .map_or(
            &["loudspeaker", "run_m", "cable", "from"][..],
            |(_, names)| names,
        )
        .iter()
        .map(|name| (*name).to_owned())
        .collect();
    let mut out = Vec::new();
    for line in lines {
        let cells = cells(line, sign);
        let known = |cell: &String| field(cell, "1").is_some();
        // A head says what the cells below it are.
        if cells
            .iter()
            .filter(|cell| known(&cell.to_lowercase()))
            .count()
            * 2
            > cells.len()
        {
            names = cells.iter().map(|cell| cell.to_lowercase()).collect();
            continue;
        }
        let row: Vec<String> = names
            .iter()
            .zip(&cells)
            .filter(|(_, cell)| !cell.is_empty())
            .filter_map(|(name, cell)| field(name, cell))
            .collect();
        out.push(row.join(" "));
    }
    (!out.is_empty()).then(|| out.join("; "))
}

/// The cells of a row; in marks the sign is part of a cell.
fn cells(line: &str, sign: char) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut inside = false;
    for c in line.chars() {
        match c {
            '"' => inside = !inside,
            c if c == sign && !inside => out.push(String::new()),
            c if c.is_control() => {}
            c => {
                if let Some(cell) = out.last_mut() {
                    cell.push(c);
                }
            }
        }
    }
    out.into_iter().map(|cell| cell.trim().to_owned()).collect()
}

/// A cell as it is typed; none for a column that says nothing here.
fn field(name: &str, cell: &str) -> Option<String> {
    let with = |unit: &str| {
        if cell.ends_with(|c: char| c.is_ascii_digit()) {
            format!("{cell}{unit}")
        } else {
            cell.to_owned()
        }
    };
    Some(match name {
        "amplifier" | "line" | "loudspeaker" => quoted(cell),
        "zone" => format!("z:{}", quoted(cell)),
        "tap_w" | "rated_w" => with("w"),
        "run_m" => with("m"),
        "line_v" => with("v"),
        "cable" => cable_text(Conductor::named(cell), || cell.to_owned()),
        "type" => format!("t:{}", quoted(cell)),
        "from" => format!("f:{}", quoted(cell)),
        "taps_w" => format!("s:{}", cell.replace('|', "/")),
        "control" if cell == "yes" || cell == "1" => "control".to_owned(),
        "dc_block" if cell == "yes" || cell == "1" => "block".to_owned(),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_of_cells_becomes_the_line_that_would_be_typed() {
        let speaker = |text| typed(Thing::Loudspeaker, text).unwrap();
        assert_eq!(
            speaker("LS-4\t6\t9\t1.5 mm2\tbowl"),
            "LS-4 6w 9m 1.5mm2 t:bowl"
        );
        assert_eq!(speaker("LS-4,6,9.5"), "LS-4 6w 9.5m");
        assert_eq!(speaker("LS-1;6\r\nLS-2;3"), "LS-1 6w; LS-2 3w");
        assert_eq!(
            speaker("loudspeaker,run_m,tap_w,from\n\"LS 1\",9,6,rack"),
            "\"LS 1\" 9m 6w f:rack"
        );
        assert_eq!(
            typed(Thing::Line, "R-05\tReading room"),
            Some("R-05 z:\"Reading room\"".into())
        );
        assert_eq!(typed(Thing::Line, "R-05"), None);
    }
}

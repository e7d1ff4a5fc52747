//! `--cables` CSV -> cables of the site's own.

use super::column::{Column, Holds, needed, optional};
use super::near::Near;
use super::problem::{Fault, RowProblem, Warning, by_line, not_too_many};
use super::table::{Row, Table, read_table};
use crate::quantity::{MicroHenryPerMetre, OhmPerKm, PicoFaradPerMetre};
use crate::site::{AWG, Cable, Conductor, Figure, IEC_60228};
use std::collections::HashMap;

const COLUMNS: [Column; 4] = [
    needed("name", Holds::Text),
    needed("r20_ohm_km", Holds::Number),
    optional("l_uh_m", Holds::Number),
    optional("c_pf_m", Holds::Number),
];

/// Reads a cables CSV: `name`, `r20_ohm_km` of one conductor at 20 C, `l_uh_m`, `c_pf_m`. A blank
/// inductance or capacitance takes the assumed one of a standard cable, with a warning.
///
/// # Errors
/// Every row that is wrong, by line.
pub fn read_cables(
    file_name: &str,
    bytes: &[u8],
) -> Result<(Vec<Cable>, Vec<Warning>), Vec<RowProblem>> {
    let mut table = read_table(file_name, bytes, &COLUMNS)?;
    let rows = std::mem::take(&mut table.rows);
    let (mut cables, mut problems) = (Vec::new(), Vec::new());
    let mut seen: HashMap<String, usize> = HashMap::new();
    for row in &rows {
        let name = table
            .label(row, "name", "the name of a cable")
            .map_err(|p| problems.push(p));
        let positive = "a number above 0 in ohm/km of one conductor";
        let r20 = table
            .number(row, "r20_ohm_km", "ohm/km", positive, |v| v > 0.0)
            .and_then(|r20| r20.ok_or_else(|| table.problem(row, "r20_ohm_km", positive, "")))
            .map_err(|problem| problems.push(problem));
        let mut per_metre = |column, unit, figure: Figure, wanted| match table.number(
            row,
            column,
            unit,
            wanted,
            |v| v >= 0.0,
        ) {
            Ok(Some(value)) => Ok(value),
            Ok(None) => {
                let value = figure.row().default;
                let what = format!("blank: {value} {unit}, assumed of standard cables, was taken");
                table.warn(Some(row.line), Some(column), what);
                Ok(value)
            }
            Err(problem) => {
                problems.push(problem);
                Err(())
            }
        };
        let l = per_metre(
            "l_uh_m",
            "uH/m",
            Figure::CableUhM,
            "a number of 0 or more in uH/m",
        );
        let c = per_metre(
            "c_pf_m",
            "pF/m",
            Figure::CablePfM,
            "a number of 0 or more in pF/m",
        );
        let (Ok(name), Ok(r20), Ok(l), Ok(c)) = (name, r20, l, c) else {
            continue;
        };
        let label = match Conductor::named(&name) {
            Some(standard) => {
                let what = format!("stands in place of the standard {}", standard.name());
                table.warn(Some(row.line), Some("name"), what);
                standard.name()
            }
            None => name,
        };
        if let Some(first) = seen.insert(label.clone(), row.line) {
            problems.push(table.problem(
                row,
                "name",
                format!("a name that row {first} has not"),
                "rename or remove one of the two",
            ));
        }
        cables.push(Cable {
            label,
            r20_ohm_km: OhmPerKm(r20),
            l_uh_m: MicroHenryPerMetre(l),
            c_pf_m: PicoFaradPerMetre(c),
        });
    }
    if problems.is_empty() {
        Ok((cables, not_too_many(table.warnings)))
    } else {
        Err(by_line(problems))
    }
}

/// What a `cable` cell names: a cable of the site's own, or a standard size in any spelling.
pub(super) fn cable_name(table: &Table, row: &Row, cables: &[Cable]) -> Result<String, Fault> {
    let text = table.cell(row, "cable");
    if text.is_empty() {
        return Ok(crate::site::DEFAULT_CABLE.to_owned());
    }
    if cables.iter().any(|cable| cable.label == text) {
        return Ok(text.to_owned());
    }
    if let Some(standard) = Conductor::named(text) {
        return Ok(standard.name());
    }
    let areas: Vec<String> = IEC_60228.iter().map(|(area, _)| area.to_string()).collect();
    let wanted = format!(
        "a standard size ({} mm2, {} to {} AWG) or a name of --cables",
        areas.join(" "),
        AWG.start(),
        AWG.end()
    );
    let near = Near::new(cables.iter().map(|cable| cable.label.as_str()));
    Err(table.problem(
        row,
        "cable",
        wanted,
        near.advice(text, "list it in a file for --cables"),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cable_is_read_and_what_is_blank_is_said() {
        let text = "name,r20_ohm_km,l_uh_m,c_pf_m\nfire 2x1,18.1,0.7,120\nbell,40,,\n";
        let (cables, warnings) = read_cables("cables.csv", text.as_bytes()).unwrap();
        assert_eq!(cables[0].label, "fire 2x1");
        assert_eq!(cables[0].r20_ohm_km, OhmPerKm(18.1));
        assert_eq!(cables[1].c_pf_m, PicoFaradPerMetre(100.0));
        assert_eq!(warnings.len(), 2);
        assert!(
            warnings[0]
                .to_string()
                .starts_with("cables.csv:3: l_uh_m: blank")
        );
    }

    #[test]
    fn every_bad_row_is_said() {
        let text = "name,r20_ohm_km\nbell,0\n,18\nbell,abc\nok,12\nok,13\n";
        let problems = read_cables("cables.csv", text.as_bytes()).unwrap_err();
        let lines: Vec<usize> = problems.iter().map(|p| p.line).collect();
        assert_eq!(lines, [2, 3, 4, 6]);
    }
}

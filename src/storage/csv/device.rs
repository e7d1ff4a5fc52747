//! What stands in a `device` cell: `22k`, `100nF`, `22k + 100nF` in series.

use super::problem::Fault;
use super::table::{Row, Table};
use crate::quantity::{Farad, Ohm, decimal, ohms};

const WANTED: &str = "a resistance, a capacitance or both in series, such as 22k + 100nF";

/// Series resistance and capacitance.
pub(super) fn device(table: &Table, row: &Row) -> Result<(Option<Ohm>, Option<Farad>), Fault> {
    let text = table.cell(row, "device");
    table.sound(row, "device", WANTED)?;
    let refuse = |advice: String| Err(table.problem(row, "device", WANTED, advice));
    let sign = table.numbers().sign();
    let (mut ohm, mut farad) = (None, None);
    for part in text.split('+').map(str::trim) {
        table.one_way(row, "device", part, WANTED)?;
        if let Some((number, factor)) = capacitance(part) {
            match decimal(number, sign) {
                Ok(value) if value.value > 0.0 => {
                    if farad.replace(Farad(value.value * factor)).is_some() {
                        return refuse("write one capacitance only".to_owned());
                    }
                }
                _ => return refuse(String::new()),
            }
        } else {
            match ohms(part, sign) {
                Ok((value, _)) => {
                    if ohm.replace(value).is_some() {
                        return refuse("write one resistance only".to_owned());
                    }
                }
                Err(_) => return refuse(String::new()),
            }
        }
    }
    Ok((ohm, farad))
}

/// The number and what its prefix is worth in farads; none for what is no capacitance.
fn capacitance(part: &str) -> Option<(&str, f64)> {
    let (body, named) = match part.strip_suffix(['F', 'f']) {
        Some(body) => (body.trim_end(), true),
        None => (part, false),
    };
    for (prefixes, factor) in [
        (&['p', 'P'][..], 1e-12),
        (&['n', 'N'][..], 1e-9),
        (&['u', 'U', '\u{b5}', '\u{3bc}'][..], 1e-6),
        (&['m'][..], 1e-3),
    ] {
        if factor == 1e-3 && !named {
            continue;
        }
        if let Some(number) = body.strip_suffix(prefixes) {
            return Some((number.trim_end(), factor));
        }
    }
    named.then_some((body, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::storage::csv::column::{Holds, needed};
    use crate::storage::csv::table::read_table;

    fn read(cell: &str) -> Result<(Option<Ohm>, Option<Farad>), String> {
        let known = [needed("device", Holds::Parts)];
        let table = read_table("s.csv", format!("device\n{cell}\n").as_bytes(), &known).unwrap();
        device(&table, &table.rows[0]).map_err(|p| p.to_string())
    }

    #[test]
    fn resistance_and_capacitance_are_read_in_any_order() {
        let near = |found: Option<Farad>, wanted: f64| {
            (found.unwrap().get() - wanted).abs() < 1e-12 * wanted
        };
        assert_eq!(read("22k"), Ok((Some(Ohm(22e3)), None)));
        for text in ["22k + 100nF", "100 nF + 22k", "22k+0.1uF", "22 kohm + 100n"] {
            let (ohm, farad) = read(text).unwrap();
            assert_eq!(ohm, Some(Ohm(22e3)), "{text}");
            assert!(near(farad, 1e-7), "{text}: {farad:?}");
        }
        assert!(near(read("4.7µF").unwrap().1, 4.7e-6));
    }

    #[test]
    fn anything_else_is_refused() {
        for text in [
            "22k + 33k",
            "22k +",
            "abc",
            "0",
            "1nF + 2nF",
            "03-Jan",
            "1.2E+03",
        ] {
            assert!(read(text).is_err(), "{text}");
        }
        assert!(read("1.200k").unwrap_err().contains("write 1200k or 1.2k"));
    }
}

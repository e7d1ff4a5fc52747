//! How one file writes its numbers: one decimal sign, no thousands signs, no spreadsheet damage.
//!
//! Never here: which column is which.

use super::column::Holds;
use crate::quantity::{DecimalSign, NumberError, decimal, insulation, reading, two_ways};
use std::collections::HashSet;

/// The decimal sign of a file and the columns that are known to have decimals.
#[derive(Debug)]
pub(super) struct Numbers {
    sign: DecimalSign,
    with_decimals: HashSet<usize>,
}

/// The pieces of a list parted by `|`, space or `/`.
pub(super) fn parts(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| c == '|' || c == '/' || c.is_whitespace())
        .filter(|part| !part.is_empty())
}

/// The digits and signs a text begins with.
fn leading(text: &str) -> &str {
    let text = text.trim_start_matches(['>', ' ', '-', '+']);
    let end = text
        .find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',')
        .unwrap_or(text.len());
    &text[..end]
}

fn numbers_of(holds: Holds, cell: &str) -> Vec<&str> {
    let is_reading = |sign| reading(cell, sign).is_ok() || insulation(cell, sign).is_ok();
    match holds {
        Holds::Text => Vec::new(),
        Holds::Number => vec![leading(cell)],
        Holds::Numbers => parts(cell).map(leading).collect(),
        Holds::Parts => cell.split('+').map(|part| leading(part.trim())).collect(),
        Holds::Reading if is_reading(DecimalSign::Point) || is_reading(DecimalSign::Comma) => {
            vec![leading(cell)]
        }
        Holds::Reading => Vec::new(),
    }
}

impl Numbers {
    /// Looks through every cell that holds numbers, column by column.
    pub(super) fn of<'a, C: Iterator<Item = &'a str>>(
        comma_separated: bool,
        columns: impl Iterator<Item = (usize, Holds, C)>,
    ) -> Self {
        // Places 0 and 1: numbers with a point, with a comma.
        let (mut sure, mut either) = ([0usize; 2], [0usize; 2]);
        let mut with_decimals = HashSet::new();
        for (at, holds, cells) in columns {
            for number in cells.flat_map(|cell| numbers_of(holds, cell)) {
                let Some(sign) = number.find(['.', ',']) else {
                    continue;
                };
                let comma = usize::from(number[sign..].starts_with(','));
                if two_ways(number).is_some() {
                    either[comma] += 1;
                } else if decimal(number, DecimalSign::Point).is_ok()
                    || decimal(number, DecimalSign::Comma).is_ok()
                {
                    sure[comma] += 1;
                    with_decimals.insert(at);
                }
            }
        }
        let commas = sure[1] > sure[0] || (sure == [0, 0] && either[1] > either[0]);
        let sign = if commas && !comma_separated {
            DecimalSign::Comma
        } else {
            DecimalSign::Point
        };
        Self {
            sign,
            with_decimals,
        }
    }

    pub(super) const fn sign(&self) -> DecimalSign {
        self.sign
    }

    /// With the decimal sign as a point, whatever the file writes.
    pub(super) fn with_point(&self, text: &str) -> String {
        match self.sign {
            DecimalSign::Comma => text.replace(',', "."),
            _ => text.to_owned(),
        }
    }

    /// Refuses a number that can be read two ways or has the other sign, with what to write.
    pub(super) fn one_way(&self, column: usize, text: &str) -> Result<(), String> {
        let number = leading(text);
        let (own, other) = match self.sign {
            DecimalSign::Comma => (',', '.'),
            _ => ('.', ','),
        };
        let ambiguous = number.contains(other) || !self.with_decimals.contains(&column);
        if let Some((whole, decimal)) = two_ways(number).filter(|_| ambiguous) {
            let decimal = decimal.replace('.', &own.to_string());
            return Err(format!(
                "write {} or {}",
                text.replace(number, &whole),
                text.replace(number, &decimal)
            ));
        }
        if number.contains(other) && number.contains(own) {
            return Err("write it without thousands signs".to_owned());
        }
        if number.contains(other) {
            let sign = if own == ',' { "comma" } else { "point" };
            return Err(format!(
                "the decimal sign of this file is the {sign}: write {}",
                text.replace(other, &own.to_string())
            ));
        }
        Ok(())
    }

    /// A plain number; else what to do about it.
    pub(super) fn number(&self, column: usize, text: &str) -> Result<f64, String> {
        self.one_way(column, text)?;
        match decimal(text, self.sign) {
            Ok(number) => Ok(number.value),
            Err(NumberError::OtherSign { wanted, .. }) => Err(format!("write {wanted}")),
            Err(_) => Err(String::new()),
        }
    }
}

/// What a spreadsheet has made of a number, if it has.
pub(super) fn damage(text: &str) -> Option<&'static str> {
    if is_power(text) {
        Some("a power of ten")
    } else if is_full_date(text) || is_short_date(text) {
        Some("a date")
    } else {
        None
    }
}

/// The same for a label, where only the very shapes of a spreadsheet are suspect.
pub(super) fn label_damage(text: &str) -> Option<&'static str> {
    let month_case = text.split('-').any(|part| {
        part.len() == 3 && MONTHS.contains(&part.to_lowercase().as_str()) && {
            let mut chars = part.chars();
            chars.next().is_some_and(char::is_uppercase) && chars.all(char::is_lowercase)
        }
    });
    if is_power(text) && text.contains("E+") {
        Some("a power of ten")
    } else if is_full_date(text) || (month_case && is_short_date(text)) {
        Some("a date")
    } else {
        None
    }
}

/// First three letters of months as spreadsheets write them in some languages.
const MONTHS: [&str; 29] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec", "mai",
    "okt", "dez", "mrz", "gen", "mag", "giu", "lug", "ago", "set", "ott", "dic", "fev", "avr",
    "aou", "ene", "abr",
];

fn all_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())
}

/// `1.2E+03`, `3e5`.
fn is_power(text: &str) -> bool {
    text.split_once(['e', 'E']).is_some_and(|(number, power)| {
        decimal(&number.replace(',', "."), DecimalSign::Point).is_ok()
            && all_digits(power.trim_start_matches(['+', '-']))
    })
}

/// `2026-01-03`, `03/01/2026`, `03.01.2026`, each with or without a time behind it.
fn is_full_date(text: &str) -> bool {
    let date = text.split([' ', 'T']).next().unwrap_or("");
    ['-', '/', '.'].iter().any(|sign| {
        let parts: Vec<&str> = date.split(*sign).collect();
        let lengths: Vec<usize> = parts.iter().map(|part| part.len()).collect();
        parts.iter().all(|part| all_digits(part))
            && matches!(lengths[..], [4, 1..=2, 1..=2] | [1..=2, 1..=2, 4])
    })
}

/// `03-Jan`, `Jan-03`, `3. Jan`, `03-Jan-26`.
fn is_short_date(text: &str) -> bool {
    let parts: Vec<String> = text
        .split(['-', '/', '.', ' '])
        .filter(|part| !part.is_empty())
        .map(str::to_lowercase)
        .collect();
    let is_month = |part: &str| {
        part.len() <= 9
            && part.chars().all(char::is_alphabetic)
            && MONTHS.iter().any(|month| part.starts_with(month))
    };
    let months = parts.iter().filter(|part| is_month(part)).count();
    let numbers = parts
        .iter()
        .filter(|part| part.len() <= 4 && all_digits(part))
        .count();
    months == 1 && (1..=2).contains(&numbers) && months + numbers == parts.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers(comma_separated: bool, column: &[&'static str]) -> Numbers {
        let cells = column.iter().copied();
        Numbers::of(comma_separated, std::iter::once((0, Holds::Number, cells)))
    }

    #[test]
    fn the_decimal_sign_is_found_from_the_file() {
        assert_eq!(numbers(false, &["1,5", "6"]).sign(), DecimalSign::Comma);
        assert_eq!(numbers(false, &["1.5", "6"]).sign(), DecimalSign::Point);
        assert_eq!(numbers(true, &["1,5", "6"]).sign(), DecimalSign::Point);
    }

    #[test]
    fn three_digits_after_the_only_sign_are_refused_unless_the_column_has_other_decimals() {
        let alone = numbers(true, &["1.000", "3"]);
        assert_eq!(alone.number(0, "1.000").unwrap_err(), "write 1000 or 1.0");
        let among = numbers(true, &["1.000", "2.5"]);
        assert_eq!(among.number(0, "1.000"), Ok(1.0));
        let comma = numbers(false, &["1,200", "3"]);
        assert_eq!(comma.number(0, "1,200").unwrap_err(), "write 1200 or 1,2");
    }

    #[test]
    fn the_other_sign_and_thousands_signs_are_refused_with_what_to_write() {
        let comma = numbers(false, &["1,5", "2,5", "3.5"]);
        assert!(comma.number(0, "3.5").unwrap_err().contains("write 3,5"));
        assert!(
            comma
                .number(0, "1.000")
                .unwrap_err()
                .contains("1000 or 1,0")
        );
        assert!(
            comma
                .number(0, "1.000,5")
                .unwrap_err()
                .contains("thousands")
        );
    }

    #[test]
    fn what_a_spreadsheet_makes_of_numbers_is_known() {
        for text in [
            "03-Jan",
            "Jan-03",
            "2026-01-03",
            "3/1/2026",
            "03.01.2026",
            "2026-01-03 00:00:00",
            "03. Jan",
        ] {
            assert_eq!(damage(text), Some("a date"), "{text}");
        }
        for text in ["1.2E+03", "1,2E+03", "3e5"] {
            assert_eq!(damage(text), Some("a power of ten"), "{text}");
        }
        for text in ["10/20/40", "1.5/3/6", "6", "1.5 3 6", "22k", "open", ""] {
            assert_eq!(damage(text), None, "{text}");
        }
        for text in ["MAR-1", "GEN 1", "LS-03", "SET-12", "E5", "3e5"] {
            assert_eq!(label_damage(text), None, "{text}");
        }
        assert_eq!(label_damage("03-Jan"), Some("a date"));
    }
}

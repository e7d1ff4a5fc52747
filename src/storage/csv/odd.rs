//! Cells of a schedule that can be so and seldom are: a lost decimal sign, a letter for a digit. They are
//! read as they stand, and said.
//!
//! Never here: what cannot be.

use super::schedule_node::{Is, Node};
use super::table::Table;
use std::collections::HashSet;

/// A longer run is asked about, m. Common practice, no source.
const LONG_RUN_M: f64 = 1000.0;
/// A larger tap is asked about, W: those of large horns end at about half of it. Common practice, no source.
const LARGE_TAP_W: f64 = 200.0;

/// A number with a letter in it that looks like a digit, as `1O` for 10: from its first digit to the end of the
/// label. None where the label holds no such.
fn letter_for_digit(label: &str) -> Option<String> {
    let is_digit = |c: char| c.is_ascii_digit();
    let number = label.rsplit(|c: char| !c.is_alphanumeric()).next()?;
    let alike = |c: char| match c {
        'O' | 'o' => Some('0'),
        'l' | 'I' => Some('1'),
        c => is_digit(c).then_some(c),
    };
    let read: Option<String> = number.chars().map(alike).collect();
    let read = read.filter(|read| number.starts_with(is_digit) && read != number)?;
    Some(format!("{}{read}", label.strip_suffix(number)?))
}

/// Says what is odd in the rows.
pub(super) fn odd(table: &mut Table, nodes: &[Node]) {
    let mut said: HashSet<&str> = HashSet::new();
    for node in nodes {
        let row = Some(node.line_no);
        if let Some(run) = node.run.filter(|run| *run > LONG_RUN_M) {
            let what = format!("a run of {run} m: read so; is it metres, and one run?");
            table.warn(row, Some("run_m"), what);
        }
        if let Is::Loudspeaker { tap, .. } = node.is
            && tap > LARGE_TAP_W
        {
            let what = format!("a tap of {tap} W: read so; is a decimal sign lost?");
            table.warn(row, Some("tap_w"), what);
        }
        for (column, label) in [("line", &node.line), ("loudspeaker", &node.label)] {
            let of_line = column == "line";
            if let Some(meant) = letter_for_digit(label)
                && (!of_line || said.insert(label))
            {
                let what =
                    format!("{label:?} has a letter in its number: read so; is it {meant:?}?");
                table.warn(row, Some(column), what);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::letter_for_digit;

    #[test]
    fn a_letter_among_digits_is_found_and_a_letter_of_a_name_is_not() {
        let meant = |label: &str| letter_for_digit(label);
        assert_eq!(meant("LS-1O").as_deref(), Some("LS-10"));
        assert_eq!(meant("2l").as_deref(), Some("21"));
        for label in [
            "LS-10", "O-1", "LO", "Hall", "3B", "LS-1a", "lo-1", "", "O1",
        ] {
            assert_eq!(meant(label), None, "{label}");
        }
    }
}

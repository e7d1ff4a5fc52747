//! Cells that a spreadsheet would run as a formula, made harmless and taken back.
//!
//! Never here: separators, quotes, columns.

/// Starts of cells that a spreadsheet would run as a formula.
const RUNS: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

fn would_run(cell: &str) -> bool {
    cell.trim_start_matches('\'').starts_with(RUNS)
        && (cell.starts_with('\'') || cell.parse::<f64>().map_or(true, |n| !n.is_finite()))
}

/// Puts a quote before what a spreadsheet would run as a formula; numbers stay.
#[must_use]
pub fn defuse(cell: &str) -> String {
    if would_run(cell) {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

/// Takes back what [`defuse`] did.
pub fn undefuse(cell: &mut String) {
    if cell.starts_with('\'') && would_run(cell) {
        cell.remove(0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(cell: &str, written: &str) {
        assert_eq!(defuse(cell), written);
        let mut back = written.to_owned();
        undefuse(&mut back);
        assert_eq!(back, cell);
    }

    #[test]
    fn what_would_run_is_quoted_and_comes_back() {
        check("=1+1", "'=1+1");
        check("@once", "'@once");
        check("-no", "'-no");
        check("'=quoted by hand", "''=quoted by hand");
    }

    #[test]
    fn numbers_and_plain_words_stay() {
        for cell in ["-3.5", "+4", "412", "", "LS-1", "'tis", "a=b"] {
            check(cell, cell);
        }
    }
}

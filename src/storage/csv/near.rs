//! Near misses: what somebody may have meant by a label that is not there.
//!
//! Never guesses for the user: a suggestion is text in a message, nothing is read by it.

use std::collections::HashMap;

/// Labels to compare with, prepared once so that a file full of slips stays quick.
#[derive(Debug, Default)]
pub(super) struct Near<'a> {
    folded: HashMap<String, &'a str>,
    by_digits: HashMap<String, Vec<&'a str>>,
}

impl<'a> Near<'a> {
    pub(super) fn new(labels: impl IntoIterator<Item = &'a str>) -> Self {
        let mut out = Self::default();
        for label in labels {
            out.folded.entry(fold(label)).or_insert(label);
            out.by_digits.entry(digits(label)).or_default().push(label);
        }
        out
    }

    /// The label that differs by case, spaces, signs or leading zeros only, else one that is a
    /// letter or two away and has the same numbers in it (LS-07 is no slip for LS-08).
    pub(super) fn to(&self, word: &str) -> Option<&'a str> {
        if word.chars().count() > 60 {
            return None;
        }
        if let Some(label) = self.folded.get(&fold(word)) {
            return Some(label);
        }
        let most = (word.chars().count() / 3).min(2);
        self.by_digits
            .get(&digits(word))?
            .iter()
            .map(|label| (distance(&fold(word), &fold(label)), *label))
            .filter(|(far, _)| *far <= most)
            .min_by_key(|(far, _)| *far)
            .map(|(_, label)| label)
    }

    /// `; did you mean X?`-like advice, or `otherwise`.
    pub(super) fn advice(&self, word: &str, otherwise: &str) -> String {
        self.to(word).map_or_else(
            || otherwise.to_owned(),
            |label| format!("did you mean {label}?"),
        )
    }
}

/// Letters in lower case, numbers without leading zeros; signs count only between two numbers.
pub(super) fn fold(text: &str) -> String {
    let mut out = String::new();
    let mut parted = false;
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        if !c.is_alphanumeric() {
            parted = true;
            continue;
        }
        let after_number = out.ends_with(|last: char| last.is_ascii_digit());
        let begins = !after_number || parted;
        let leading_zero = c == '0' && begins && chars.peek().is_some_and(char::is_ascii_digit);
        if leading_zero {
            continue;
        }
        if c.is_ascii_digit() && after_number && parted {
            out.push('-');
        }
        parted = false;
        out.extend(c.to_lowercase());
    }
    out
}

fn digits(text: &str) -> String {
    fold(text)
        .chars()
        .filter(|c| c.is_ascii_digit() || *c == '-')
        .collect()
}

/// Letters put in, left out or changed between two words, two swapped neighbours being one slip.
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    if a.len().abs_diff(b.len()) > 2 || b.len() > 100 {
        return usize::MAX;
    }
    let mut rows = vec![(0..=b.len()).collect::<Vec<usize>>()];
    for (i, x) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, y) in b.iter().enumerate() {
            let change = rows[i][j] + usize::from(x != y);
            let mut least = change.min(rows[i][j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && *x == b[j - 1] && a[i - 1] == *y {
                least = least.min(rows[i - 1][j - 1] + 1);
            }
            row.push(least);
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_in_case_zeros_signs_or_a_letter_is_a_near_miss() {
        let near = Near::new(["L-014", "L-015", "Foyer", "PH-1"]);
        for (word, meant) in [
            ("l-014", "L-014"),
            ("L014", "L-014"),
            ("L-14", "L-014"),
            ("Foyre", "Foyer"),
            ("PK-1", "PH-1"),
        ] {
            assert_eq!(near.to(word), Some(meant), "{word}");
        }
        assert_eq!(near.to("Kitchen"), None);
    }

    #[test]
    fn signs_between_numbers_count() {
        assert_ne!(fold("L-1-1"), fold("L-11"));
        assert_eq!(fold("L-1-01"), fold("l1/1"));
        assert_eq!(fold("L-100"), "l100");
        assert_eq!(fold("0"), "0");
    }

    #[test]
    fn another_number_is_another_label() {
        assert_eq!(Near::new(["LS-08"]).to("LS-09"), None);
    }
}

//! What somebody may have meant by a word that is not there.
//!
//! Never here: taking the guess for the word. It is shown, nothing more.

/// The word that differs by case, signs or leading zeros only; else the nearest within two letters
/// and a third of the word that has the same numbers in it (LS-07 is no slip for LS-08).
pub(super) fn nearest<'a>(
    found: &str,
    words: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let folded = fold(found);
    let most = (folded.chars().count() / 3).min(2);
    words
        .into_iter()
        .map(|word| (fold(word), word))
        .filter(|(other, _)| numbers(other) == numbers(&folded))
        .map(|(other, word)| (distance(&folded, &other), word))
        .filter(|(far, _)| *far <= most)
        .min_by_key(|(far, _)| *far)
        .map(|(_, word)| word)
}

fn fold(text: &str) -> String {
    let plain: String = text
        .chars()
        .filter(|c| c.is_alphanumeric())
        .take(64)
        .flat_map(char::to_lowercase)
        .collect();
    let mut out = String::new();
    let mut last = ' ';
    let mut rest = plain.chars().peekable();
    while let Some(c) = rest.next() {
        let leading =
            c == '0' && !last.is_ascii_digit() && rest.peek().is_some_and(char::is_ascii_digit);
        if !leading {
            out.push(c);
            last = c;
        }
    }
    out
}

fn numbers(text: &str) -> String {
    text.chars().filter(char::is_ascii_digit).collect()
}

/// Letters to change, add or drop (Levenshtein).
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut corner = i;
        row[0] = i + 1;
        for (j, y) in b.iter().enumerate() {
            let change = corner + usize::from(x != *y);
            corner = row[j + 1];
            row[j + 1] = change.min(row[j] + 1).min(corner + 1);
        }
    }
    row[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_is_suggested_for_its_case_its_signs_its_zeros_or_a_letter_but_never_another_number()
    {
        let labels = ["PH-1", "PH-12", "FH-1", "Gate-3"];
        for (found, wanted) in [
            ("ph-1", Some("PH-1")),
            ("PH 1", Some("PH-1")),
            ("PH-01", Some("PH-1")),
            ("PG-1", Some("PH-1")),
            ("gat-3", Some("Gate-3")),
            ("PH-2", None),
            ("XYZ-1", None),
            ("", None),
        ] {
            assert_eq!(nearest(found, labels), wanted, "{found}");
        }
    }
}

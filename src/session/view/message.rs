//! The message row. A sentence that one row does not hold goes on in the rule above it: nothing moves
//! for it, and nothing of it is cut.

use super::super::{Message, Session};
use super::text::{self, Line, Tone};
use crate::quantity::show::harmless;

/// What can be done, in fewer words, where all of them do not fit behind what happened.
fn shorter(hint: &str) -> Option<&'static str> {
    match hint {
        "u takes it back" | "all lines again; u takes it back" => Some("u undo"),
        "last of these; u takes it back" => Some("last of these"),
        "the last: meter off; u takes it back" => Some("the last: meter off"),
        "r does it again" => Some("r redo"),
        "u brings it back" => Some("u back"),
        _ => None,
    }
}

/// The rows of a sentence. Where a word of it is longer than a row, such as a path, it goes on in the
/// next wherever the first is full.
fn broken(said: &str, room: usize) -> Vec<String> {
    if said.split(' ').all(|word| text::width(word) <= room) {
        return text::wrap(said, room, room);
    }
    let mut rows = vec![String::new()];
    for c in harmless(said).chars() {
        let mut cell = [0; 4];
        let own = text::width(c.encode_utf8(&mut cell));
        if rows.last().is_some_and(|row| text::width(row) + own > room) {
            rows.push(String::new());
        }
        if let Some(row) = rows.last_mut() {
            row.push(c);
        }
    }
    rows
}

/// Two rows of a sentence that is longer: its end is kept whole, since what can be done stands there, and
/// what comes before gives way at a blank, marked with `~`.
fn with_its_end(said: &str, room: usize) -> Vec<String> {
    let said = harmless(said);
    // A part begins behind a mark of the sentence; the longest end that leaves room for a word before it.
    let marks = ["; ", ". ", ": ", "? ", ", "];
    let parts = said.char_indices().map(|(at, _)| at);
    let begins = |at: &usize| marks.iter().any(|mark| said[..*at].ends_with(mark));
    let fits = |at: &usize| text::width(&said[*at..]) + 2 <= room;
    let end = parts.filter(begins).find(fits);
    let (head, end) = match end {
        Some(at) => (said[..at].trim_end(), format!("~ {}", &said[at..])),
        None => (said.as_str(), String::from("~")),
    };
    let mut rows = vec![String::new(), String::new()];
    for word in head.split(' ').filter(|word| !word.is_empty()) {
        let of = |row: &str| match row.is_empty() {
            true => word.to_owned(),
            false => format!("{row} {word}"),
        };
        let first = of(&rows[0]);
        if rows[1].is_empty() && text::width(&first) <= room {
            rows[0] = first;
            continue;
        }
        let second = of(&rows[1]);
        if text::width(&second) + 1 + text::width(&end) > room {
            break;
        }
        rows[1] = second;
    }
    if rows[0].is_empty() {
        // One word longer than a row, such as a path.
        rows[0] = text::cut(head, room);
    }
    rows[1] = match rows[1].is_empty() {
        true => end,
        false => format!("{} {end}", rows[1]),
    };
    rows
}

/// The rows that a message takes, the last of them on the row of messages.
#[must_use]
pub fn message_rows(message: &Message, columns: usize) -> Vec<Line> {
    let tone = if message.alarm {
        Tone::Alarm
    } else {
        Tone::Plain
    };
    let row = |text: &str, hint: &str| {
        let hint = match hint {
            "" => String::new(),
            hint => format!("{hint} "),
        };
        Line::ends(&format!(" {text}"), &hint, columns, tone)
    };
    let fits = |text: &str, hint: &str| {
        let hint = match hint {
            "" => 0,
            hint => text::width(hint) + 3,
        };
        text::width(text) + 1 + hint < columns.max(1) + usize::from(hint > 0)
    };
    let (said, hint) = (message.text.as_str(), message.hint);
    if fits(said, hint) {
        return vec![row(said, hint)];
    }
    if let Some(short) = shorter(hint).filter(|short| fits(said, short)) {
        return vec![row(said, short)];
    }
    let room = columns.saturating_sub(2).max(1);
    let mut rows = match fits(said, "") {
        true => vec![said.to_owned()],
        false => broken(said, room),
    };
    if rows.len() > 2 {
        // What is longer than that holds words that somebody typed, a path, or stands on a narrow screen.
        rows = with_its_end(said, room);
    }
    let last = rows.pop().unwrap_or_default();
    let hints = [Some(hint), shorter(hint)];
    let hint = hints.into_iter().flatten().find(|hint| fits(&last, hint));
    let mut out: Vec<Line> = rows.iter().map(|text| row(text, "")).collect();
    match hint {
        Some(hint) => out.push(row(&last, hint)),
        None if out.is_empty() && !message.hint.is_empty() => {
            out.extend([row(&last, ""), row("", message.hint)]);
        }
        None => out.push(row(&last, "")),
    }
    out
}

impl Session {
    /// The message, and what of it stands in the rule above.
    pub(super) fn message_lines(&self, columns: usize) -> (Option<Line>, Line) {
        let mut rows = message_rows(&self.message, columns);
        let message = rows.pop().unwrap_or_default();
        (rows.pop(), message)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &str, hint: &'static str, columns: usize) -> Vec<String> {
        let message = Message {
            text: text.to_owned(),
            hint,
            alarm: false,
        };
        let rows = message_rows(&message, columns);
        assert!(rows.len() <= 2 && rows.iter().all(|row| row.width() <= columns));
        rows.iter()
            .map(|row| row.text().trim_end().to_owned())
            .collect()
    }

    #[test]
    fn what_fits_one_row_stands_there_with_what_can_be_done() {
        let row = rows("recorded 14:07  R-03  416 ohm", "u takes it back", 60);
        assert_eq!(
            row,
            [" recorded 14:07  R-03  416 ohm              u takes it back"]
        );
    }

    #[test]
    fn what_can_be_done_is_said_in_fewer_words_before_it_takes_a_row_of_its_own() {
        for long in [40, 63, 64, 65, 70, 71, 72, 73, 78, 79, 80] {
            let said = format!("{}b", "a ".repeat(long / 2));
            let got = rows(&said, "u takes it back", 80).join("\n");
            let words = |text: &str| text.split_whitespace().filter(|it| *it == "a").count();
            assert!(words(&got) == words(&said) && !got.contains('~'), "{got}");
            assert!(
                got.contains("u takes it back") || got.contains("u undo"),
                "{got}"
            );
        }
        assert_eq!(rows(&"a".repeat(63), "u takes it back", 80).len(), 1);
        assert_eq!(rows(&"a".repeat(70), "u takes it back", 80).len(), 1);
        assert_eq!(rows(&"a".repeat(71), "u takes it back", 80).len(), 2);
    }

    #[test]
    fn a_long_sentence_goes_on_in_a_second_row_and_no_word_of_it_is_lost() {
        let said = "H-1 reads short: it must not be connected, whatever else is said here of it";
        let got = rows(said, "", 60);
        assert_eq!(got.len(), 2);
        let words: Vec<&str> = got.iter().flat_map(|row| row.split_whitespace()).collect();
        assert_eq!(words, said.split_whitespace().collect::<Vec<_>>());
    }

    #[test]
    fn a_path_longer_than_a_row_goes_on_in_the_next() {
        let path = "/home/folder".repeat(9);
        let got = rows(&format!("saved in {path}"), "", 80);
        let all: String = got
            .iter()
            .flat_map(|row| row.chars())
            .filter(|c| *c != ' ')
            .collect();
        assert_eq!(all, format!("savedin{path}"));
    }

    #[test]
    fn what_two_rows_do_not_hold_gives_way_before_its_end_where_the_keys_stand() {
        let said = "house.ron.journal-aaaabbbbccccdddd holds 3 entries that house.ron lacks: an older version \
                    of it was put back; the journal is kept, g j joins what it holds";
        for columns in [60, 72] {
            let got = rows(said, "", columns);
            assert_eq!(got.len(), 2, "{got:?}");
            assert!(
                got[0].starts_with(" house.ron.journal-aaaabbbbccccdddd holds 3"),
                "{got:?}"
            );
            assert!(
                got[1].ends_with("~ the journal is kept, g j joins what it holds"),
                "{got:?}"
            );
            // Nothing but whole words stands before the mark.
            let words = got.concat().replace('~', " ");
            let whole: Vec<&str> = said.split_whitespace().collect();
            assert!(
                words.split_whitespace().all(|word| whole.contains(&word)),
                "{got:?}"
            );
        }
    }

    #[test]
    fn what_two_rows_do_not_hold_is_marked() {
        let got = rows(&"word ".repeat(60), "", 80);
        assert!(got.len() == 2 && got[1].ends_with('~'), "{got:?}");
    }
}

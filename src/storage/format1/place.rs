//! Places in a site file: line, column, and where each row begins.

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use std::fmt;

/// A place in a file; both count from 1, columns in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// The line.
    pub line: usize,
    /// The column.
    pub column: usize,
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.line, self.column)
    }
}

impl Place {
    /// The place of a byte.
    pub(super) fn of_byte(text: &str, at: usize) -> Self {
        Self::on_lines(text, &line_starts(text), at)
    }

    /// The place of a byte, with the starts of the lines at hand.
    pub(super) fn on_lines(text: &str, starts: &[usize], at: usize) -> Self {
        let line = starts.partition_point(|start| *start <= at).max(1);
        let start = starts.get(line - 1).copied().unwrap_or(0);
        let before = text.get(start..at).unwrap_or("");
        Self {
            line,
            column: before.chars().count() + 1,
        }
    }
}

/// Where each line begins, in bytes.
pub(super) fn line_starts(text: &str) -> Vec<usize> {
    let ends = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
    std::iter::once(0)
        .chain(ends.map(|(at, _)| at + 1))
        .collect()
}

/// How much of a line is shown on each side of a place, in characters.
const SHOWN: usize = 120;

/// The line of a place with a caret under it, as plain text; of a long line what is near the place.
pub(super) fn snippet(name: &str, text: &str, place: Place, title: &str, label: &str) -> String {
    let line = text.lines().nth(place.line - 1).unwrap_or("");
    let before = (place.column - 1).min(line.chars().count());
    let from = before.saturating_sub(SHOWN);
    let shown: String = line.chars().skip(from).take(2 * SHOWN).collect();
    let start: usize = shown.chars().take(before - from).map(char::len_utf8).sum();
    let end = shown[start..]
        .chars()
        .next()
        .map_or(start, |c| start + c.len_utf8());
    // Of a piece cut out the column would mislead: the place goes before the title then.
    let source = Snippet::source(&shown)
        .line_start(place.line)
        .annotation(AnnotationKind::Primary.span(start..end).label(label));
    let source = if from > 0 { source } else { source.path(name) };
    let title = if from > 0 {
        format!("{name}:{place}: {title}")
    } else {
        title.to_owned()
    };
    let report = &[Level::ERROR.primary_title(title).element(source)];
    Renderer::plain().render(report)
}

/// Where the rows of each list begin, in bytes.
#[derive(Debug, Default, PartialEq)]
pub(super) struct Rows {
    pub items: Vec<usize>,
    pub log: Vec<usize>,
    pub questions: Vec<usize>,
}

/// Finds the rows of a text that has been read without an error: `( name: [ (row), (row) ] )`.
pub(super) fn rows(text: &str) -> Rows {
    let bytes = text.as_bytes();
    let mut out = Rows::default();
    let (mut depth, mut at) = (0usize, 0usize);
    let mut name = "";
    while let Some(byte) = bytes.get(at) {
        match byte {
            b'"' => at = after_string(bytes, at),
            b'r' if matches!(bytes.get(at + 1), Some(b'"' | b'#')) => {
                at = after_raw_string(bytes, at);
                continue;
            }
            b'/' if bytes.get(at + 1) == Some(&b'/') => {
                at = bytes[at..]
                    .iter()
                    .position(|b| *b == b'\n')
                    .map_or(bytes.len(), |n| at + n);
            }
            b'/' if bytes.get(at + 1) == Some(&b'*') => at = after_comment(bytes, at),
            b'(' | b'[' | b'{' => {
                if depth == 2 {
                    match name {
                        "items" => out.items.push(at),
                        "log" => out.log.push(at),
                        "questions" => out.questions.push(at),
                        _ => {}
                    }
                }
                depth += 1;
            }
            b')' | b']' | b'}' => depth = depth.saturating_sub(1),
            b'a'..=b'z' | b'A'..=b'Z' | b'_' => {
                let end = bytes[at..]
                    .iter()
                    .position(|b| !b.is_ascii_alphanumeric() && *b != b'_')
                    .map_or(bytes.len(), |n| at + n);
                if depth == 1 {
                    name = &text[at..end];
                }
                at = end;
                continue;
            }
            _ => {}
        }
        at += 1;
    }
    out
}

/// The closing quote of a string.
fn after_string(bytes: &[u8], start: usize) -> usize {
    let mut at = start + 1;
    while let Some(byte) = bytes.get(at) {
        match byte {
            b'\\' => at += 1,
            b'"' => return at,
            _ => {}
        }
        at += 1;
    }
    bytes.len()
}

/// The byte behind `r#".."#`, or behind the `r` when it is none.
fn after_raw_string(bytes: &[u8], start: usize) -> usize {
    let hashes = bytes[start + 1..]
        .iter()
        .take_while(|b| **b == b'#')
        .count();
    let open = start + 1 + hashes;
    if bytes.get(open) != Some(&b'"') {
        return start + 1;
    }
    let mut close = vec![b'"'];
    close.resize(1 + hashes, b'#');
    bytes[open + 1..]
        .windows(close.len())
        .position(|window| window == close)
        .map_or(bytes.len(), |n| open + 1 + n + close.len())
}

/// The closing slash of a comment; they nest.
fn after_comment(bytes: &[u8], start: usize) -> usize {
    let (mut depth, mut at) = (0usize, start);
    while at + 1 < bytes.len() {
        match (bytes[at], bytes[at + 1]) {
            (b'/', b'*') => (depth, at) = (depth + 1, at + 2),
            (b'*', b'/') if depth == 1 => return at + 1,
            (b'*', b'/') => (depth, at) = (depth - 1, at + 2),
            _ => at += 1,
        }
    }
    bytes.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_found_past_strings_and_comments() {
        let text = concat!(
            "Site(format: 1, // a ( here\n id: \"s-\\\"(\", items: [ /* ( */\n",
            "(id: \"[(\", is: Zone(label: r#\"\"(\"#)),\n (rest: (1)) ], log: [(at: 1)],",
            " questions: [])"
        );
        let rows = rows(text);
        let starts: Vec<&str> = rows.items.iter().map(|at| &text[*at..*at + 5]).collect();
        assert_eq!(starts, ["(id: ", "(rest"]);
        assert_eq!(rows.log.len(), 1);
        assert!(rows.questions.is_empty());
    }

    #[test]
    fn a_place_counts_characters() {
        let text = "one\n\u{3a9}\u{3a9}x";
        let at = text.find('x').unwrap();
        assert_eq!(Place::of_byte(text, at).to_string(), "2:3");
    }
}

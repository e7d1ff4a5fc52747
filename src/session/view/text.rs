//! Text on a grid of cells: spans with a tone, cut and filled by display width.

pub use crate::quantity::show::few;
use crate::quantity::show::{self, harmless};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// How a span stands out. Colour is only ever a painted ground; each tone has its sign or word in
/// the text as well.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tone {
    /// The terminal's own two colours.
    #[default]
    Plain,
    /// A title.
    Title,
    /// Typed, not recorded.
    Draft,
    /// Wants a look: out, open, fits nothing.
    Alarm,
    /// Must not be connected.
    Stop,
}

/// Text in one tone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    /// The text.
    pub text: String,
    /// The tone.
    pub tone: Tone,
}

/// A line of spans.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line(pub Vec<Span>);

/// Width in cells.
#[must_use]
pub fn width(text: &str) -> usize {
    text.width()
}

/// Cut to a width; what was cut is marked with `~`.
#[must_use]
pub fn cut(text: &str, cells: usize) -> String {
    show::cut(text, cells, '~')
}

/// Text that is being typed, the part around the caret: what does not fit before it is marked with
/// `~`. Returns the cells and where among them the caret stands.
#[must_use]
pub fn window(text: &str, caret: usize, cells: usize) -> (String, usize) {
    let before: String = text.chars().take(caret).collect();
    let before = harmless(&before);
    if width(&before) < cells || cells < 4 {
        return (cut(text, cells), width(&before).min(cells));
    }
    let mut skipped = 0;
    let mut gone = 0;
    for c in before.chars() {
        if width(&before) - gone + 2 <= cells {
            break;
        }
        gone += c.width().unwrap_or(0);
        skipped += c.len_utf8();
    }
    let after: String = text.chars().skip(caret).collect();
    let shown = format!("~{}", &before[skipped..]);
    let at = width(&shown);
    (cut(&format!("{shown}{}", harmless(&after)), cells), at)
}

/// The first of so many rows to show where only some have room, so that one of them stands in the middle as
/// far as there are rows to fill the screen.
#[must_use]
pub fn first_shown(at: usize, room: usize, all: usize) -> usize {
    at.saturating_sub(room / 2).min(all.saturating_sub(room))
}

/// Cut or filled with blanks on the right.
#[must_use]
pub fn left(text: &str, cells: usize) -> String {
    let text = cut(text, cells);
    let fill = cells.saturating_sub(width(&text));
    text + &" ".repeat(fill)
}

/// A label with the longest of these words behind it that has room; with none where none has: a word is
/// left out, not cut.
#[must_use]
pub fn with_word(label: &str, words: &[&str], cells: usize) -> String {
    let mut whole = words.iter().map(|word| format!("{label} {word}"));
    let fits = whole.find(|it| width(it) <= cells);
    fits.unwrap_or_else(|| label.to_owned())
}

/// Filled with blanks on the left; a figure is never cut.
#[must_use]
pub fn right(text: &str, cells: usize) -> String {
    " ".repeat(cells.saturating_sub(width(text))) + text
}

/// Broken into lines of at most `first` and then `rest` cells, at blanks where there are any.
#[must_use]
pub fn wrap(text: &str, first: usize, rest: usize) -> Vec<String> {
    let text = harmless(text);
    let mut out: Vec<String> = vec![String::new()];
    for word in glued(&text) {
        let word = word.as_str();
        let limit = if out.len() == 1 { first } else { rest };
        let Some(line) = out.last_mut() else { break };
        let gap = usize::from(!line.is_empty());
        if !line.is_empty() && width(line) + gap + width(word) > limit {
            out.push(cut(word, rest));
        } else {
            if gap == 1 {
                line.push(' ');
            }
            let room = limit.saturating_sub(width(line));
            line.push_str(&cut(word, room));
        }
    }
    out
}

/// The words of a text; a unit stays with its figure.
fn glued(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let unit = word.trim_end_matches([',', ';', '.', ':']);
        let is_unit =
            ["%", "W", "kW", "ohm", "kohm", "Mohm", "V", "m", "dB", "min"].contains(&unit);
        match out.last_mut() {
            Some(figure) if is_unit && figure.ends_with(|c: char| c.is_ascii_digit()) => {
                figure.push(' ');
                figure.push_str(word);
            }
            // So many times: `x 696`.
            Some(times) if times == "x" && word.starts_with(|c: char| c.is_ascii_digit()) => {
                times.push(' ');
                times.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
    }
    out
}

impl Line {
    /// Plain text.
    #[must_use]
    pub fn plain(text: impl ToString) -> Self {
        Self::tone(text, Tone::Plain)
    }

    /// Text in one tone.
    #[must_use]
    pub fn tone(text: impl ToString, tone: Tone) -> Self {
        Self(vec![Span {
            text: text.to_string(),
            tone,
        }])
    }

    /// The line with more text behind it.
    #[must_use]
    pub fn and(mut self, text: impl ToString, tone: Tone) -> Self {
        self.0.push(Span {
            text: text.to_string(),
            tone,
        });
        self
    }

    /// Text at the left and at the right end of a width; the left gives way.
    #[must_use]
    pub fn ends(start: &str, end: &str, cells: usize, tone: Tone) -> Self {
        let room = cells.saturating_sub(width(end) + usize::from(!end.is_empty()));
        let start = left(start, room);
        let gap = if end.is_empty() { "" } else { " " };
        Self::tone(format!("{start}{gap}{end}"), tone)
    }

    /// Whether it is a heading.
    #[must_use]
    pub fn is_title(&self) -> bool {
        matches!(self.0.as_slice(), [one] if one.tone == Tone::Title)
    }

    /// Width in cells.
    #[must_use]
    pub fn width(&self) -> usize {
        self.0.iter().map(|span| width(&span.text)).sum()
    }

    /// The text without tones.
    #[must_use]
    pub fn text(&self) -> String {
        self.0.iter().map(|span| span.text.as_str()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wide_and_combining_characters_are_counted_in_cells() {
        assert_eq!(left("\u{5927}\u{5ef3}", 6), "\u{5927}\u{5ef3}  ");
        assert_eq!(cut("\u{5927}\u{5ef3}", 3), "\u{5927}~");
        assert_eq!(width(&left("e\u{301}te", 5)), 5);
    }

    #[test]
    fn what_is_typed_beyond_the_width_keeps_its_caret_in_sight() {
        assert_eq!(window("abc", 3, 10), ("abc".to_owned(), 3));
        assert_eq!(window("abcdefghij", 10, 6), ("~ghij".to_owned(), 5));
        assert_eq!(window("abcdefghij", 2, 6), ("abcde~".to_owned(), 2));
    }

    #[test]
    fn an_escape_code_in_a_label_is_shown_and_not_obeyed() {
        assert_eq!(cut("A\u{1b}[2J", 40), "A\\u{1b}[2J");
    }

    #[test]
    fn words_wrap_within_their_width_and_none_is_lost() {
        let lines = wrap("one tapped 12 W instead of 6 W: LS-1 to LS-7 alike", 20, 16);
        assert!(
            lines
                .iter()
                .enumerate()
                .all(|(at, line)| width(line) <= if at == 0 { 20 } else { 16 })
        );
        assert_eq!(
            lines.join(" "),
            "one tapped 12 W instead of 6 W: LS-1 to LS-7 alike"
        );
    }
}

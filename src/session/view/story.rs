//! The entries of a line's log, as the panel lists them.

use super::super::Session;
use super::section::Section;
use super::text::{Line, Tone};
use crate::site::Do;
use jiff::Timestamp;

impl Session {
    pub(super) fn readings(&self, at: usize, width: usize) -> Section {
        let line = &self.site.plan().lines[at];
        let history = self.site.history(&line.id);
        let mut out = Section::titled("log of this line");
        if history.entries().is_empty() {
            out.push(Line::plain("   nothing recorded yet"));
        }
        let day = |at: Timestamp| at.to_zoned_datetime(self.opening.zone.clone()).date();
        // Hours alone would read as those of today: where another day begins its date stands.
        let mut last = self.now.map(day);
        let several = self.several_persons();
        for entry in history.entries() {
            let of = day(entry.at);
            if last.replace(of).is_none_or(|last| last != of) {
                out.push(Line::plain(format!("   {of}")));
            }
            let words = match &entry.what {
                // Of a tick for many lines this one's log tells its own part.
                Do::Tick(tick) => self.tick_words(tick),
                _ => without_verb(&self.title(entry).replacen(&line.label, "", 1)).to_owned(),
            };
            let start = format!("   {}  ", self.clock(entry.at));
            let note = match &entry.what {
                Do::Read(read) => read.note.as_deref(),
                Do::Listen(it) => it.note.as_deref(),
                Do::Insulate(it) => it.note.as_deref(),
                _ => None,
            };
            let words = note.map_or(words.clone(), |note| format!("{words}: {note}"));
            let words = match several {
                true => format!("{words}, {}", entry.by),
                false => words,
            };
            out.words(&start, &words, width, Tone::Plain);
        }
        out
    }

    /// Whether more than one person has recorded something on this site.
    fn several_persons(&self) -> bool {
        let mut entries = self.site.log().entries().iter();
        let first = entries.next();
        first.is_some_and(|first| entries.any(|it| it.by != first.by))
    }
}

/// The words of a reading whose line is named above: `reads 412 ohm` is `412 ohm` there.
pub(super) fn without_verb(title: &str) -> &str {
    let title = title.trim();
    title.strip_prefix("reads ").unwrap_or(title)
}

//! What two engineers said differently, in the review: each by its number, and how one is chosen.

use super::super::Session;
use super::super::review_takes::settled_by;
use super::section::{Parts, Section};
use super::text::Tone;
use crate::report;
use crate::review::Item;

impl Session {
    /// The question on the thing under the cursor.
    pub(super) fn question_parts(&self, item: &Item, width: usize) -> Parts {
        let mut out = Section::default();
        match report::question(&self.site, &item.of) {
            Some(it) if self.is_to_be_chosen(&it) => {
                let said = format!("{}: {}", item.label, item.words);
                out.words(" ", &said, width.saturating_sub(2), Tone::Plain);
                for (at, (stamp, words)) in it.choices.iter().enumerate() {
                    let said = self.site.log().get(&stamp.as_str().into());
                    let said = said.map_or_else(String::new, |entry| {
                        format!(", {} {}", entry.by, self.day_or_clock(entry.at))
                    });
                    let words = format!("{words}{said}");
                    out.words(&format!(" {}  ", at + 1), &words, width, Tone::Plain);
                }
                out.words(" settled by: ", settled_by(item.matter), width, Tone::Plain);
            }
            Some(it) => {
                let words = format!("{}: {}", item.label, it.text);
                out.words(" ", &words, width.saturating_sub(2), Tone::Plain);
            }
            None => out.words(" ", &item.words, width, Tone::Plain),
        }
        Parts {
            first: vec![out],
            ..Parts::default()
        }
    }
}

//! The keys that the row of the review under the cursor takes.
//!
//! Never here: what they do.

use super::super::Session;
use super::super::review_takes::{may_be_accepted, takes_a_word};
use super::text;

impl Session {
    /// What the footer says of the row under the cursor: the words that it takes, and no other.
    pub(super) fn review_footer(&self, footer: &str, columns: usize) -> String {
        let Some((briefs, keys)) = footer
            .rsplit_once("? keys")
            .map(|(briefs, _)| (briefs.trim_end(), "? keys"))
        else {
            return footer.to_owned();
        };
        let row = self.review.under();
        let words = row.is_some_and(|row| !row.gone && takes_a_word(row.item.matter));
        let accepts = words && row.is_some_and(|row| may_be_accepted(row.item.matter));
        let mut briefs = briefs.to_owned();
        if !accepts {
            briefs = briefs.replacen("Space accept  ", "", 1);
        }
        if !words {
            briefs = briefs.replacen("l later  ", "", 1);
        }
        if row.is_none() {
            briefs = briefs.replacen("Enter go there", "Enter sign", 1);
        }
        let room = columns.saturating_sub(keys.len() + 2);
        format!("{} {keys}", text::left(&briefs, room))
    }
}

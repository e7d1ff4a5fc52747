//! The review as text: what stands in the way of signing, worst first, then what is settled.
//!
//! Never here: what is worse than what.

use super::collect;
use crate::analysis::Analyst;
use crate::review::{Item, Matter, Review, Why, Word, scope_words};
use crate::site::{Decision, Ref, Site};
use std::fmt::Write;

fn row(item: &Item, out: &mut String) {
    // Of what was left open before the words say all.
    let is_left = item.matter == Matter::LeftOpen && item.open;
    let said = item.word.as_ref().filter(|_| !is_left);
    let word = said.map_or_else(String::new, |word| {
        let lacking = match (&item.matter, &word.is) {
            _ if !item.open => "",
            _ if !word.is_whole() => " (lacks its reason, owner or date)",
            (Matter::Flagged(Why::Stop), _) => " (and the line must be OFF until then)",
            (Matter::Flagged(_) | Matter::Redrawn | Matter::Off, Decision::Skipped) => {
                " (settles only what was not read or heard)"
            }
            (Matter::Off, Decision::Accepted) => " (of what it reads; that it stays OFF is a snag)",
            (_, Decision::Repaired { .. }) => " (it still wants a word)",
            _ => " (said before this was known)",
        };
        format!("; {}{lacking}", Word::words(word))
    });
    let note = item
        .note
        .as_ref()
        .map_or_else(String::new, |note| format!(", {note}"));
    let cause = item
        .cause
        .as_ref()
        .map_or_else(String::new, |cause| format!("; likeliest, {cause}"));
    let _ = writeln!(out, "- {}: {}{note}{cause}{word}", item.label, item.words);
}

/// The review of a scope as text; of the whole site with what the drawing itself comes to.
#[must_use]
pub fn review_text(site: &Site, analyst: &Analyst, review: &Review, scope: &Ref) -> String {
    let open: Vec<&Item> = review.open().collect();
    let mut out = format!(
        "# {}: review of {}\n\n",
        site.label(),
        scope_words(site, scope)
    );
    if open.is_empty() {
        out.push_str("Nothing stands in the way of signing.\n");
    } else {
        let _ = writeln!(out, "In the way of signing: {}, worst first\n", open.len());
        open.iter().for_each(|item| row(item, &mut out));
    }
    let mut settled = review.settled().peekable();
    if settled.peek().is_some() {
        out.push_str("\nSettled, or only to be known:\n\n");
        settled.for_each(|item| row(item, &mut out));
    }
    let design = match scope {
        Ref::Site => collect::design(site, analyst),
        _ => Vec::new(),
    };
    if !design.is_empty() {
        out.push_str("\nOf the drawing, in nobody's way:\n\n");
        for it in design {
            let _ = writeln!(out, "- {}: {}", it.of, it.text);
        }
    }
    out.push_str("\nThis list is no statement that anything is safe.\n");
    out
}

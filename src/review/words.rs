//! An entry in words, for lists and records.
//!
//! Never here: what it is worth.

use super::contradicted::{not_here_words, says_all_heard};
use super::edit_words::edit_words;
use super::scope::{label_of, own_label_of};
use crate::quantity::show;
use crate::site::{Cut, Decision, Do, Entry, NodeId, Ref, Site, TickIs, Void, list_item};

/// Where on a line a reading was taken, as other rows of a list or record say it.
#[must_use]
pub fn cut_words(site: &Site, cut: &Cut) -> String {
    let place = |at: &NodeId| own_label_of(site, &Ref::Node(at.clone()));
    match cut {
        Cut::Near(at) => format!("split before {}, from the rack to there", place(at)),
        Cut::Far(at) => format!("split before {0}, from {0} on", place(at)),
        Cut::Whole(at) => format!("at {}, line whole", place(at)),
    }
}

/// An entry in one line, without who and when.
#[must_use]
pub fn entry_words(site: &Site, entry: &Entry) -> String {
    let node = |id: &NodeId| label_of(site, &Ref::Node(id.clone()));
    // Where the line is named already.
    let place = |id: &NodeId| own_label_of(site, &Ref::Node(id.clone()));
    let line = |id: &crate::site::LineId| label_of(site, &Ref::Line(id.clone()));
    let words = match &entry.what {
        Do::Read(it) => {
            let kind = if it.is_dc() { "ohmmeter" } else { "impedance" };
            let where_cut = it.cut.as_ref();
            let where_cut =
                where_cut.map_or_else(String::new, |cut| format!(", {}", cut_words(site, cut)));
            format!("{} {kind} reading {}{where_cut}", line(&it.line), it.text)
        }
        Do::Insulate(it) => {
            let value = show::insulation(it.value);
            format!(
                "{} insulation {value} at {}{}",
                line(&it.line),
                show::volt(it.test_v),
                it.leg.behind()
            )
        }
        Do::Check(it) => format!(
            "known resistor {} read {} with {}",
            show::ohm(it.known_ohm),
            it.text,
            label_of(site, &Ref::Instrument(it.instrument.clone()))
        ),
        Do::Listen(it) => format!("{} {}", node(&it.at), it.gives.word()),
        Do::Repair(it) => {
            let repaired_at = it
                .place
                .as_ref()
                .map_or_else(String::new, |at| format!(", at {}", place(at)));
            let cause = it.cause.as_ref().map_or_else(String::new, |cause| {
                format!(", found: {}", cause.replace('-', " "))
            });
            format!(
                "{} repaired: {}{repaired_at}{cause}",
                line(&it.line),
                it.what
            )
        }
        Do::Tick(it) => {
            let of: Vec<String> = it.of.iter().map(|of| label_of(site, of)).collect();
            let word = list_item(&it.item)
                .map_or_else(|| it.item.replace('-', " "), |row| row.words.to_owned());
            match &it.is {
                TickIs::Done => format!("{word}: {}", of.join(", ")),
                TickIs::NotHere(why) if says_all_heard(&it.item) => {
                    let said = not_here_words(&it.item, why);
                    format!("{word}: {}; {said}", of.join(", "))
                }
                TickIs::NotHere(why) => format!("not here, {why}: {word}: {}", of.join(", ")),
            }
        }
        Do::Decide(it) => {
            let of = label_of(site, &it.of);
            match &it.is {
                Decision::Repaired { .. } => format!("{of} repaired"),
                Decision::Accepted => format!("{of} accepted"),
                Decision::Snag { owner, due } => {
                    let due = due.map_or_else(String::new, |due| format!(", by {due}"));
                    format!("{of} on the snag list, owner {owner}{due}")
                }
                Decision::Skipped => format!("{of} skipped"),
            }
        }
        Do::Note(it) => format!("{} note: {}", label_of(site, &it.of), it.text),
        Do::Edit(it) => format!(
            "{} design edited: {}",
            label_of(site, &it.of),
            edit_words(site, it)
        ),
        Do::Void(it) => {
            let struck: Vec<String> = it
                .of
                .iter()
                .filter_map(|id| site.log().get(id))
                .filter(|struck| !matches!(struck.what, Do::Void(_)))
                .map(|struck| entry_words(site, struck))
                .collect();
            if struck.is_empty() {
                match done_again(site, it) {
                    again if again.is_empty() => "a strike taken back".to_owned(),
                    again => format!("done again: {}", again.join("; ")),
                }
            } else {
                format!("struck: {}", struck.join("; "))
            }
        }
        Do::Seal(it) => format!(
            "signed for {} by {}, {}",
            super::scope_words(site, &it.scope),
            it.name,
            it.role
        ),
    };
    match &entry.why {
        Some(why) => format!("{words}; {why}"),
        None => words,
    }
}

/// What a strike of strikes brings back, in words.
fn done_again(site: &Site, strike: &Void) -> Vec<String> {
    let log = site.log();
    let strikes = strike.of.iter().filter_map(|id| log.get(id));
    let struck = strikes.flat_map(|entry| match &entry.what {
        Do::Void(strike) => &strike.of[..],
        _ => &[],
    });
    let struck = struck.filter_map(|id| log.get(id));
    let struck = struck.filter(|entry| !matches!(entry.what, Do::Void(_)));
    struck.map(|entry| entry_words(site, entry)).collect()
}

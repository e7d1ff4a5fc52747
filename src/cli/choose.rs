//! `choose`: one of the things that two engineers said differently is chosen.
//!
//! Never here: which is right.

use super::here::{this_second, who};
use super::site_file::{Writing, store_failure};
use super::{Refusal, TerminalArguments, say};
use crate::quantity::show::count;
use crate::review::{self, ANSWERED, NoChoice};
use crate::site::{Do, Entry, Site};
use crate::storage::{self, Disk};
use anyhow::Result;
use std::path::Path;

/// `choose`.
pub(super) fn choose(path: &Path, choice: &str, terminal: &TerminalArguments) -> Result<u8> {
    // Looked at before it is opened to write: a refusal leaves nothing beside it.
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?.site;
    answer(&looked, path, choice)?;
    let mut writing = Writing::open(path, terminal)?;
    let what = answer(&writing.site, path, choice)?;
    let entry = Entry {
        at: this_second(),
        id: writing.next_id(),
        by: who(terminal).name,
        what,
        act: None,
        row: None,
        corrects: None,
        why: Some(ANSWERED.to_owned()),
    };
    let mut site = writing.site.clone();
    storage::apply(&mut site, vec![entry.clone()]);
    writing.record(vec![entry])?;
    let left = site.elements().question_count() + site.log().rivals().len();
    say(format!(
        "{}: chosen; {} left",
        path.display(),
        count(left, "question")
    ));
    Ok(0)
}

/// The entry that answers the question in which this may be chosen.
fn answer(site: &Site, path: &Path, choice: &str) -> Result<Do> {
    review::answer(site, choice).map_err(|why| {
        Refusal::of(match why {
            NoChoice::Alone(of) => format!(
                "{choice}: nothing else stands for {} {}; it does not fit with another item: change \
                 one of them, by a revised schedule",
                of.kind().word(),
                of.id()
            ),
            NoChoice::Unknown => format!(
                "{choice}: no question of {} has that; `linewright assess` tells each with the words to \
                 choose by, in brackets",
                path.display()
            ),
        })
    })
}

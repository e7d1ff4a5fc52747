//! `choose`: one of the things that two engineers said differently is chosen, as an entry like any
//! other.
//!
//! Never here: which is right.

use super::here::{this_second, who};
use super::site_file::{Writing, store_failure};
use super::{Refusal, TerminalArguments, say};
use crate::quantity::show::count;
use crate::site::{Do, Edit, Entry, EntryId, Site, Void};
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
        why: Some("question answered".to_owned()),
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

/// The entry that answers the question in which this may be chosen: a design that takes the place
/// of all that stand, a strike of the other corrections.
fn answer(site: &Site, path: &Path, choice: &str) -> Result<Do> {
    let elements = site.elements();
    let asked = elements.questions().find_map(|(of, standing)| {
        let found = standing.iter().find(|(stamp, _)| stamp.as_str() == choice);
        found.map(|(_, design)| (of, standing, design))
    });
    if let Some((of, standing, design)) = asked {
        let alone = elements.contested().all(|(other, _)| other != of) && !elements.is_doubted(of);
        if alone {
            return Err(Refusal::of(format!(
                "{choice}: nothing else stands for {} {}; it does not fit with another item: change \
                 one of them, by a revised schedule",
                of.kind().word(),
                of.id()
            )));
        }
        return Ok(Do::Edit(Edit {
            of: of.clone(),
            was: standing.to_vec(),
            now: design.clone(),
            undoes: None,
        }));
    }
    let chosen = EntryId::from(choice);
    for (_, entries) in site.log().rivals() {
        if entries.iter().any(|entry| entry.id == chosen) {
            let others = entries.iter().map(|entry| entry.id.clone());
            let of = others.filter(|id| *id != chosen).collect();
            return Ok(Do::Void(Void { of }));
        }
    }
    Err(Refusal::of(format!(
        "{choice}: no question of {} has that; `linewright assess` tells each with the words to \
         choose by, in brackets",
        path.display()
    )))
}

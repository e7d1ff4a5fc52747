//! Site -> bytes.

use super::{FORMAT, FileRef, MOST_ENTRIES, MOST_ITEMS, Question, SUM, options, unfit};
use crate::site::{Design, Do, Elements, Entry, EntryId, Log, Ref, Site, Stamp, in_order};
use jiff::Timestamp;
use ron::ser::PrettyConfig;
use thiserror::Error;

/// Why a site cannot be written.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum WriteError {
    /// Something the format has no words for.
    #[error("the site cannot be put into words: {why}")]
    Unwritable {
        /// What the writer said.
        why: String,
    },
}

/// The bytes of a site file.
///
/// # Errors
/// When it could not be read again: a number that is not finite, a text over
/// [`super::LONGEST_NOTE`], more rows than are read.
pub fn write(site: &Site) -> Result<Vec<u8>, WriteError> {
    let mut log: Vec<&Entry> = site.log().rows();
    // Two entries under one forged id have no order of their own: their text decides.
    log.sort_by(|a, b| in_order(a, b).then_with(|| tie(a, b)));
    let file = FileRef {
        format: FORMAT,
        id: site.id(),
        items: site.elements().rows(),
        log,
        questions: questions(site.elements(), site.log()),
    };
    for (what, count, most) in [
        ("items", file.items.len(), MOST_ITEMS),
        ("entries", file.log.len(), MOST_ENTRIES),
        ("questions", file.questions.len(), MOST_ITEMS),
    ] {
        if count > most {
            let why = format!("{count} {what}; at most {most} are read");
            return Err(WriteError::Unwritable { why });
        }
    }
    let items = file.items.iter().map(|row| (row.id.as_str(), unfit(row)));
    let log = file.log.iter().map(|row| (row.id.as_str(), unfit(row)));
    if let Some((id, why)) = items.chain(log).find_map(|(id, why)| Some((id, why?))) {
        let why = format!("{id}: {why}");
        return Err(WriteError::Unwritable { why });
    }
    let pretty = PrettyConfig::new()
        .new_line("\n")
        .indentor(" ")
        .depth_limit(2);
    let unwritable = |why: ron::Error| WriteError::Unwritable {
        why: why.to_string(),
    };
    let mut text = options()
        .to_string_pretty(&file, pretty)
        .map_err(unwritable)?;
    text.push('\n');
    let sum = crc32fast::hash(text.as_bytes());
    text.push_str(&format!("{SUM}{sum:08x}\n"));
    Ok(text.into_bytes())
}

fn tie(a: &Entry, b: &Entry) -> std::cmp::Ordering {
    if a == b {
        std::cmp::Ordering::Equal
    } else {
        format!("{a:?}").cmp(&format!("{b:?}"))
    }
}

fn questions(elements: &Elements, log: &Log) -> Vec<Question> {
    elements
        .questions()
        .map(|(of, standing)| {
            let mut was: Vec<Design> = Vec::new();
            let mut designs = Vec::new();
            for (stamp, design) in standing {
                let (by, at) = match edit(log, of, stamp) {
                    Some((entry, replaced)) => {
                        for (_, design) in replaced {
                            if !was.contains(design) {
                                was.push(design.clone());
                            }
                        }
                        (entry.by.clone(), entry.at)
                    }
                    // Set by an import: nobody in particular, no time.
                    None => (String::new(), Timestamp::UNIX_EPOCH),
                };
                designs.push((stamp.clone(), by, at, design.clone()));
            }
            Question {
                of: of.clone(),
                was,
                designs,
            }
        })
        .collect()
}

/// The edit that set a stamp, and what it replaced.
fn edit<'a>(log: &'a Log, of: &Ref, stamp: &Stamp) -> Option<(&'a Entry, &'a [(Stamp, Design)])> {
    let entry = log.get(&EntryId(stamp.0.clone()))?;
    match &entry.what {
        Do::Edit(edit) if edit.of == *of => Some((entry, &edit.was)),
        _ => None,
    }
}

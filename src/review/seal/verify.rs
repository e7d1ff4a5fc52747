//! Whether a seal still stands, and if not, what changed: each change by the entry that made it
//! where one did, else by the line that differs.
//!
//! A digest tells only that a text differs. Which entry makes the difference is found by trying: the
//! text without what came after the signature, without each single entry, without all of one
//! opening (a merge brings those), with each later edit taken back.

use super::facts::{Before, Facts};
use super::{CANON, limits_in_force, whole};
use crate::review::{entry_words, label_of};
use crate::site::{Design, Do, Edit, Entry, EntryId, Figure, Ref, Seal, Site, in_order};
use std::cell::Cell;
use std::collections::HashMap;

/// A seal and whether it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct SealState {
    /// The entry.
    pub entry: Entry,
    /// What it says.
    pub seal: Seal,
    /// What changed since; nothing where it is intact.
    pub breaks: Vec<Broken>,
}

impl SealState {
    /// Nothing changed.
    #[must_use]
    pub fn is_intact(&self) -> bool {
        self.breaks.is_empty()
    }
}

/// One change since the signature.
#[derive(Clone, Debug, PartialEq)]
pub struct Broken {
    /// The line or item that is no longer what was signed.
    pub of: Ref,
    /// How it came.
    pub how: Break,
}

/// How a change came.
#[derive(Clone, Debug, PartialEq)]
pub enum Break {
    /// An entry recorded after the signature.
    Later(EntryId),
    /// An entry that is older than the signature and was not there.
    BroughtIn(EntryId),
    /// An edit of one of its items.
    Edited(EntryId),
    /// No entry explains it: the file was changed by hand, or by a merge.
    Unexplained,
    /// It was not there.
    New,
    /// It is not there any more.
    Gone,
    /// A limit in force has another value.
    Limit {
        /// Its name.
        name: String,
        /// As signed.
        was: f64,
        /// Now.
        now: f64,
    },
    /// The seal's own words (name, role, date, digests) are not those that were signed.
    OwnWords,
    /// The signature was taken back.
    Withdrawn,
    /// Its text is of a version that this program does not write.
    Version(u32),
}

impl Broken {
    /// In words, the line first.
    #[must_use]
    pub fn words(&self, site: &Site) -> String {
        let label = label_of(site, &self.of);
        let entry = |id: &EntryId| {
            site.log().get(id).map_or_else(
                || id.to_string(),
                |it| format!("{} {} by {}", it.at, entry_words(site, it), it.by),
            )
        };
        match &self.how {
            Break::Later(id) => format!("{label}: after the signature, {}", entry(id)),
            Break::BroughtIn(id) => {
                format!("{label}: was not there when it was signed, {}", entry(id))
            }
            Break::Edited(id) => format!("{label}: the design was changed, {}", entry(id)),
            Break::Unexplained => format!(
                "{label}: is not what was signed, and no entry explains it; the file was changed by \
                 hand or by a merge"
            ),
            Break::New => format!("{label}: was not there when it was signed"),
            Break::Gone => format!("{label}: was signed and is not there any more"),
            Break::Limit { name, was, now } => {
                format!("the limit {name} was {was} when it was signed and is {now}")
            }
            Break::OwnWords => {
                "the seal itself was changed: name, role, date or digests are not those signed"
                    .to_owned()
            }
            Break::Withdrawn => "the signature was taken back".to_owned(),
            Break::Version(canon) => {
                format!("its text is of version {canon}, which this program cannot check")
            }
        }
    }
}

/// Every seal of a site in order of time, and whether it stands.
#[must_use]
pub fn seals(site: &Site) -> Vec<SealState> {
    seals_among(site, |_, _| true)
}

/// The same of some of them alone: each costs digests of all that it is for.
#[must_use]
pub fn seals_among(site: &Site, is_asked: impl Fn(&EntryId, &Seal) -> bool) -> Vec<SealState> {
    let mut out: Vec<SealState> = site
        .log()
        .entries()
        .iter()
        .filter_map(|entry| match &entry.what {
            Do::Seal(seal) if is_asked(&entry.id, seal) => Some(SealState {
                breaks: verify(site, entry, seal),
                entry: entry.clone(),
                seal: seal.clone(),
            }),
            _ => None,
        })
        .collect();
    out.sort_by(|a, b| in_order(&a.entry, &b.entry));
    out
}

fn verify(site: &Site, entry: &Entry, seal: &Seal) -> Vec<Broken> {
    let scope = || seal.scope.clone();
    let one = |how| vec![Broken { of: scope(), how }];
    if seal.canon != CANON {
        return one(Break::Version(seal.canon));
    }
    let mut out = Vec::new();
    if !site.log().counts(&entry.id) {
        out.extend(one(Break::Withdrawn));
    }
    if whole(seal, entry.at, &entry.by) != seal.sha256 {
        out.extend(one(Break::OwnWords));
    }
    for (name, was, now) in limits_changed(site, seal) {
        out.extend(one(Break::Limit { name, was, now }));
    }
    let none = Before::new();
    let back = before_edits(site, |it| in_order(it, entry).is_gt());
    let now = Facts::of(site, &seal.scope, &seal.visit, entry.at, &none);
    let then = Facts::of(site, &seal.scope, &seal.visit, entry.at, &back);
    let tries = Tries(Cell::new(MOST_GUESSES));
    for (of, signed) in &seal.facts {
        if !now.has(of) && !then.has(of) {
            out.push(Broken {
                of: of.clone(),
                how: Break::Gone,
            });
        } else if now.digest_now(of) != *signed {
            out.extend(explain((&now, &then), of, signed, entry, &tries));
        }
    }
    for of in now.things() {
        if !seal.facts.iter().any(|(it, _)| it == of) {
            out.push(Broken {
                of: of.clone(),
                how: Break::New,
            });
        }
    }
    out
}

fn limits_changed(site: &Site, seal: &Seal) -> Vec<(String, f64, f64)> {
    let mut out = Vec::new();
    let figure = |name: &str| Figure::named(name);
    for (name, was) in &seal.limits {
        if let Some(now) = figure(name).map(|it| site.figures().get(it))
            && now != *was
        {
            out.push((name.clone(), *was, now));
        }
    }
    for (name, now) in limits_in_force(site) {
        let signed = seal.limits.iter().any(|(it, _)| *it == name);
        if let Some(was) = figure(&name).map(|it| it.row().default)
            && !signed
            && was != now
        {
            out.push((name, was, now));
        }
    }
    out
}

/// The designs before the edits that are taken back.
fn before_edits(site: &Site, taken_back: impl Fn(&Entry) -> bool) -> Before {
    let mut first: HashMap<&Ref, (&Entry, &Edit)> = HashMap::new();
    for entry in site.log().entries() {
        let Do::Edit(edit) = &entry.what else {
            continue;
        };
        if !taken_back(entry) {
            continue;
        }
        first
            .entry(&edit.of)
            .and_modify(|known| {
                if in_order(entry, known.0).is_lt() {
                    *known = (entry, edit);
                }
            })
            .or_insert((entry, edit));
    }
    first
        .into_iter()
        .map(|(of, (_, edit))| {
            let was: Option<Design> = edit.was.first().map(|(_, design)| design.clone());
            (of.clone(), was)
        })
        .collect()
}

/// The opening an entry was made in.
fn writer(id: &EntryId) -> &str {
    id.as_str()
        .rsplit_once('-')
        .map_or("", |(writer, _)| writer)
}

/// Most entries of a line of which every pair is tried.
const MOST_FOR_PAIRS: usize = 60;

/// How many guesses are tried for all that a signature does not fit any more; what is left after
/// that stays unexplained. Each is a digest of some kilobytes. \[assumed\]
const MOST_GUESSES: usize = 20_000;
/// Putting all facts together anew counts as so many. \[assumed\]
const ALL_FACTS: usize = 500;

/// How many guesses are left.
struct Tries(Cell<usize>);

impl Tries {
    /// Whether so many more may be made; then they count.
    fn take(&self, count: usize) -> bool {
        let left = self.0.get().checked_sub(count);
        self.0.set(left.unwrap_or(0));
        left.is_some()
    }
}

/// Sets of entries, of those older than the signature, that may have come in later.
fn guesses<'a>(old: &[&'a Entry]) -> Vec<Vec<&'a Entry>> {
    let mut out: Vec<Vec<&Entry>> = vec![Vec::new()];
    out.extend(old.iter().map(|entry| vec![*entry]));
    let mut writers: Vec<&str> = old.iter().map(|entry| writer(&entry.id)).collect();
    writers.sort_unstable();
    writers.dedup();
    for one in writers {
        out.push(
            old.iter()
                .copied()
                .filter(|entry| writer(&entry.id) == one)
                .collect(),
        );
    }
    if old.len() <= MOST_FOR_PAIRS {
        for (at, one) in old.iter().enumerate() {
            out.extend(old[..at].iter().map(|other| vec![*other, *one]));
        }
    }
    out
}

fn explain(
    (now, then): (&Facts<'_>, &Facts<'_>),
    of: &Ref,
    signed: &str,
    seal: &Entry,
    tries: &Tries,
) -> Vec<Broken> {
    let broken = |how| Broken {
        of: of.clone(),
        how,
    };
    let all = now.entries(of);
    let (old, late): (Vec<&Entry>, Vec<&Entry>) = all
        .iter()
        .copied()
        .partition(|entry| in_order(entry, seal).is_lt());
    let later = || {
        late.iter()
            .map(|entry| broken(Break::Later(entry.id.clone())))
    };
    let edits = || {
        let mut items: Vec<&Ref> = now.items(of);
        items.extend(then.items(of));
        edits_after(now.site(), &items, seal)
    };
    // With an edit taken back or not, with each set of entries left out.
    for (facts, edited) in [(now, false), (then, true)] {
        for left_out in guesses(&old) {
            // That nothing but what came later changed, which is nearly always so, is looked at always.
            if !left_out.is_empty() && !tries.take(1) {
                break;
            }
            let kept: Vec<&Entry> = old
                .iter()
                .copied()
                .filter(|entry| !left_out.iter().any(|it| it.id == entry.id))
                .collect();
            if facts.digest(of, &kept) == signed {
                let brought = left_out
                    .iter()
                    .map(|entry| broken(Break::BroughtIn(entry.id.clone())));
                let mut out: Vec<Broken> = later().chain(brought).collect();
                if edited {
                    out.extend(edits().into_iter().map(|id| broken(Break::Edited(id))));
                }
                return out;
            }
        }
    }
    // An edit older than the signature that a merge brought.
    let items = now.items(of);
    for entry in now.site().log().entries() {
        let Do::Edit(edit) = &entry.what else {
            continue;
        };
        if !items.contains(&&edit.of) || !tries.take(ALL_FACTS) {
            continue;
        }
        let back = before_edits(now.site(), |it| {
            it.id == entry.id || in_order(it, seal).is_gt()
        });
        let Do::Seal(what) = &seal.what else {
            continue;
        };
        let facts = Facts::of(now.site(), &what.scope, &what.visit, seal.at, &back);
        if facts.digest(of, &old) == signed {
            return later()
                .chain([broken(Break::Edited(entry.id.clone()))])
                .collect();
        }
    }
    later()
        .chain(edits().into_iter().map(|id| broken(Break::Edited(id))))
        .chain([broken(Break::Unexplained)])
        .collect()
}

fn edits_after(site: &Site, items: &[&Ref], seal: &Entry) -> Vec<EntryId> {
    let mut edits: Vec<&Entry> = site
        .log()
        .entries()
        .iter()
        .filter(|entry| {
            matches!(&entry.what, Do::Edit(edit) if items.contains(&&edit.of))
                && in_order(entry, seal).is_gt()
        })
        .collect();
    edits.sort_by(|a, b| in_order(a, b));
    edits.into_iter().map(|entry| entry.id.clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn guesses_end_when_they_are_used_up_and_a_dear_one_uses_up_many() {
        let tries = Tries(Cell::new(ALL_FACTS + 2));
        assert!(tries.take(1) && tries.take(ALL_FACTS) && tries.take(1));
        assert!(!tries.take(1));
        let tries = Tries(Cell::new(3));
        assert!(!tries.take(ALL_FACTS), "and nothing is left after that");
        assert!(!tries.take(1));
    }
}

//! Recorded entries put into a site. The replay of a journal and a merge are the same thing.
//!
//! Replaying twice, or onto another version of the file, can only add what is missing.

use crate::site::{Design, Do, Edit, Elements, Entry, Log, Ref, Site, Stamp, in_order};
use std::collections::{HashMap, HashSet};

/// The site with all entries that it lacks, and those.
pub(super) fn replay(site: &Site, entries: Vec<Entry>) -> (Site, Vec<Entry>) {
    let mut log = site.log().clone();
    let mut new: Vec<Entry> = Vec::new();
    for entry in entries {
        if log.add(entry.clone()) {
            new.push(entry);
        }
    }
    if new.is_empty() {
        return (site.clone(), new);
    }
    new.sort_by(in_order);
    let elements = with_edits(site.elements(), &log, &new);
    (Site::new(site.id().clone(), elements, log), new)
}

/// Takes recorded entries into a site. One edit puts the plan together anew; for a whole schedule of
/// them once is enough.
pub fn apply(site: &mut Site, entries: Vec<Entry>) {
    let edits = entries
        .iter()
        .filter(|entry| matches!(entry.what, Do::Edit(_)))
        .count();
    if edits > 1 {
        *site = replay(site, entries).0;
    } else {
        for entry in entries {
            site.apply(entry);
        }
    }
}

/// One log out of several, the same in whatever order they are named: of a CSV row that stands in
/// two of them with another place in its file, the earlier place is kept.
pub(super) fn union(logs: &[&Log]) -> Log {
    let mut entries: Vec<&Entry> = logs.iter().flat_map(|log| log.entries()).collect();
    entries.sort_by(|a, b| in_order(a, b).then_with(|| a.act.cmp(&b.act)));
    let mut out = Log::default();
    for entry in entries {
        out.add(entry.clone());
    }
    out
}

type Element<'a> = (&'a Ref, &'a Stamp);

/// The elements after new edits. They may come in any order: a design that another edit of the log
/// replaced does not come back.
fn with_edits(elements: &Elements, log: &Log, new: &[Entry]) -> Elements {
    let edits: Vec<(&Entry, &Edit)> = new
        .iter()
        .filter_map(|entry| match &entry.what {
            Do::Edit(edit) => Some((entry, edit)),
            _ => None,
        })
        .collect();
    if edits.is_empty() {
        return elements.clone();
    }
    let mut gone: HashSet<Element<'_>> = HashSet::new();
    for entry in log.entries() {
        if let Do::Edit(edit) = &entry.what {
            gone.extend(edit.was.iter().map(|(stamp, _)| (&edit.of, stamp)));
        }
    }
    let mut all = elements.clone();
    let mut replaced: HashMap<&Ref, HashSet<&Stamp>> = HashMap::new();
    for (entry, edit) in &edits {
        let stamp = Stamp(entry.id.0.clone());
        if !gone.contains(&(&edit.of, &stamp)) {
            all.add(edit.of.clone(), stamp, edit.now.clone());
        }
        replaced
            .entry(&edit.of)
            .or_default()
            .extend(edit.was.iter().map(|(stamp, _)| stamp));
    }
    let mut out = Elements::default();
    for (of, stamp, design) in all.iter() {
        let goes = replaced.get(of).is_some_and(|was| was.contains(stamp));
        // An item never vanishes: where all its designs are said to be replaced (a file changed by
        // another hand), all stay.
        let others = |(s, _): &(Stamp, Design)| replaced.get(of).is_some_and(|w| !w.contains(s));
        if !goes || !all.standing(of).iter().any(others) {
            out.add(of.clone(), stamp.clone(), design.clone());
        }
    }
    out.doubt_as(elements);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::site::example::zone;

    fn edit(id: &str, second: i64, was: (&str, &str), now: &str) -> Entry {
        Entry {
            at: jiff::Timestamp::from_second(second).unwrap(),
            id: id.into(),
            by: "engineer A".into(),
            what: Do::Edit(Edit {
                of: Ref::Zone("Z".into()),
                was: vec![(was.0.into(), zone(was.1))],
                now: zone(now),
                undoes: None,
            }),
            act: None,
            row: None,
            corrects: None,
            why: None,
        }
    }

    fn site() -> Site {
        let mut elements = Elements::default();
        elements.add(Ref::Zone("Z".into()), "i-1".into(), zone("one"));
        Site::new("s-a".into(), elements, Log::default())
    }

    #[test]
    fn edits_come_out_the_same_in_any_order_and_any_number_of_times() {
        let first = edit("w-1", 10, ("i-1", "one"), "two");
        // A clock that ran backwards.
        let second = edit("v-1", 5, ("w-1", "two"), "three");
        let (both, new) = replay(&site(), vec![second.clone(), first.clone()]);
        assert_eq!(new.len(), 2);
        let of = Ref::Zone("Z".into());
        assert_eq!(both.elements().settled(&of), Some(&zone("three")));
        let (one, _) = replay(&site(), vec![second.clone()]);
        let (late, _) = replay(&one, vec![first.clone()]);
        assert_eq!(late.elements(), both.elements());
        let (again, new) = replay(&both, vec![first, second]);
        assert_eq!(new, []);
        assert_eq!(again.elements(), both.elements());
    }

    #[test]
    fn logs_that_hold_one_csv_row_of_two_files_join_to_the_same_in_any_order() {
        let row = |act: &str, row| {
            let mut entry = edit("c-3frmpj46qumsj3nv", 1, ("i-1", "one"), "two");
            entry.act = Some(act.into());
            entry.row = Some(row);
            let mut log = Log::default();
            log.add(entry);
            log
        };
        for (a, b) in [
            (row("csv-a", 2), row("csv-b", 2)),
            (row("csv-a", 3), row("csv-b", 2)),
        ] {
            let (ours, theirs) = (union(&[&a, &b]), union(&[&b, &a]));
            assert_eq!(ours.rows(), theirs.rows());
            assert_eq!(ours.rows().len(), 1);
            assert_eq!(ours.rows()[0].row, Some(2));
        }
    }

    #[test]
    fn two_edits_of_one_design_are_a_question() {
        let (site, _) = replay(
            &site(),
            vec![
                edit("w-1", 1, ("i-1", "one"), "two"),
                edit("v-1", 1, ("i-1", "one"), "three"),
            ],
        );
        assert_eq!(site.elements().questions().count(), 1);
    }
}

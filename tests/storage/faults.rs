//! Every operation made to fail.

use super::bench::*;
use super::faulty::{Faulty, Plan};
use linewright::site::Entry;
use linewright::storage::Access;
use linewright::storage::format1::read;
use std::fs;
use std::sync::Arc;
use std::sync::atomic::Ordering;

/// A whole day: an opening that finds a killed one, entries, saves, an edit, the close. Returns
/// the entries that were answered as recorded.
fn day(bench: &Bench, plan: &Arc<Plan>) -> Vec<Entry> {
    let mut shown = Vec::new();
    let plan = plan.clone();
    let Ok(opened) = bench.open_through(Arc::new(Faulty { plan }), 1) else {
        return shown;
    };
    let Access::Writes(mut store) = opened.access else {
        return shown;
    };
    let mut site = opened.site;
    for (n, entry) in [
        note(1, 1),
        edit(1, 2, STAIRS, "Back stairs"),
        note(1, 3),
        note(1, 4),
    ]
    .into_iter()
    .enumerate()
    {
        if store.record(std::slice::from_ref(&entry)).is_ok() {
            site.apply(entry.clone());
            shown.push(entry);
        }
        if n % 2 == 1 {
            let _ = store.checkpoint(&site);
        }
    }
    let _ = store.close(&site);
    shown
}

#[test]
fn with_any_one_operation_failing_once_or_for_good_nothing_shown_is_lost() {
    for for_good in [false, true] {
        let mut reached = 0;
        for fails in 0.. {
            let bench = Bench::new();
            killed(&bench);
            let plan = Plan::new(fails, for_good);
            let shown = day(&bench, &plan);
            let names = plan.names.lock().unwrap().clone();
            if names.len() <= fails {
                assert_eq!(shown.len(), 4);
                reached = fails;
                break;
            }
            let what = names[fails];
            // The file is whole at every moment: what was there, or a later whole.
            let file = read("S.ron", bench.text().as_bytes());
            let file = file.unwrap_or_else(|why| panic!("{what} {fails}: {why}"));
            assert!(file.site.log().entries().len() >= 33, "{what} {fails}");
            let found = bench.open(2);
            for entry in shown.iter().chain(&[note(0, 1), note(0, 2), note(0, 3)]) {
                assert!(holds(&found.site, entry), "{what} {fails}: {}", entry.id);
            }
            let (store, site) = store(found);
            store.close(&site).unwrap();
            // A third opening finds nothing left to do, and no litter but what was put aside.
            let again = bench.open(3);
            assert_eq!(again.site.log(), site.log(), "{what} {fails}");
            assert_eq!(again.site.elements(), site.elements(), "{what} {fails}");
            let beside = bench.beside();
            assert_eq!(beside, ["journal-dddddddddddddddd-1"], "{what} {fails}");
        }
        // Far enough that every operation of the day was made to fail.
        assert!(reached > 40, "{reached}");
    }
}

#[test]
fn an_entry_refused_once_is_recorded_in_the_next_part() {
    // The operations of an opening without leftovers, counted.
    let bench = Bench::new();
    let count = Plan::new(usize::MAX, false);
    let opened = bench.open_through(
        Arc::new(Faulty {
            plan: count.clone(),
        }),
        0,
    );
    drop(opened);
    let opening = count.done.load(Ordering::SeqCst);
    for (step, what) in [(0, "append"), (1, "sync"), (2, "stat")] {
        let bench = Bench::new();
        let plan = Plan::new(opening + step, false);
        let files = Arc::new(Faulty { plan: plan.clone() });
        let (mut ours, mut site) = store(bench.open_through(files, 0).unwrap());
        record(&mut ours, &mut site, note(0, 1));
        record(&mut ours, &mut site, note(0, 2));
        assert_eq!(plan.names.lock().unwrap()[opening + step], what);
        let second = bench.at(".journal-aaaaaaaaaaaaaaaa-2");
        assert!(second.exists(), "{what}");
        drop(ours);
        // The second part holds all of it, whatever became of the first.
        fs::remove_file(bench.at(".journal-aaaaaaaaaaaaaaaa-1")).unwrap();
        let opened = bench.open(1);
        assert!(holds(&opened.site, &note(0, 1)) && holds(&opened.site, &note(0, 2)));
        assert_eq!(opened.site.log(), site.log());
    }
}

#[cfg(unix)]
#[test]
fn a_journal_removed_while_open_is_written_anew() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, note(0, 1));
    fs::remove_file(bench.at(".journal-aaaaaaaaaaaaaaaa-1")).unwrap();
    record(&mut ours, &mut site, note(0, 2));
    fs::remove_file(bench.at(".journal-aaaaaaaaaaaaaaaa-2")).unwrap();
    ours.look().unwrap();
    drop(ours);
    assert_eq!(bench.open(1).site.log(), site.log());
}

#[test]
fn a_full_disk_leaves_no_litter_and_the_entry_can_be_given_again() {
    let bench = Bench::new();
    let count = Plan::new(usize::MAX, false);
    drop(bench.open_through(
        Arc::new(Faulty {
            plan: count.clone(),
        }),
        0,
    ));
    let opening = count.done.load(Ordering::SeqCst);
    let bench = Bench::new();
    let plan = Plan::new(opening, true);
    let files = Arc::new(Faulty { plan });
    let (mut ours, _) = store(bench.open_through(files, 0).unwrap());
    for _ in 0..3 {
        let why = ours.record(&[note(0, 1)]).unwrap_err().to_string();
        assert!(why.contains("made to fail"), "{why}");
    }
    assert_eq!(bench.beside(), ["journal-aaaaaaaaaaaaaaaa-1"]);
}

#[test]
fn an_opening_that_fails_anywhere_and_is_killed_right_after_loses_nothing_it_found() {
    for fails in 0.. {
        let bench = Bench::new();
        killed(&bench);
        let plan = Plan::new(fails, false);
        drop(bench.open_through(Arc::new(Faulty { plan: plan.clone() }), 1));
        let names = plan.names.lock().unwrap().clone();
        if names.len() <= fails {
            assert!(fails > 15, "{fails}");
            break;
        }
        let found = bench.open(2);
        for n in 1..=3 {
            let what = names[fails];
            assert!(holds(&found.site, &note(0, n)), "{what} {fails}: note {n}");
        }
    }
}

//! The thread that storage runs on.

use super::bench::*;
use super::faulty::{Faulty, Plan};
use linewright::site::{Do, Note, Ref};
use linewright::storage::{Answer, Keeper};
use std::sync::Arc;
use std::sync::atomic::Ordering;

#[test]
fn the_keeper_answers_in_order_and_closes_with_all_saved() {
    let bench = Bench::new();
    let (ours, mut site) = store(bench.open(0));
    let (keeper, answers) = Keeper::spawn(ours, site.clone()).unwrap();
    let acts = [
        vec![note(0, 1)],
        vec![
            edit(0, 2, STAIRS, "Back stairs"),
            edit(0, 3, ("aaaaaaaaaaaaaaaa-2", "Back stairs"), "Yard stairs"),
        ],
    ];
    for act in acts {
        for entry in &act {
            site.apply(entry.clone());
        }
        keeper.record(act).unwrap();
    }
    keeper.save();
    keeper.join();
    let answers: Vec<Answer> = answers.iter().collect();
    let [
        Answer::Recorded(one),
        Answer::Recorded(two),
        Answer::Saved,
        Answer::Saved,
        Answer::Closed,
    ] = answers.as_slice()
    else {
        panic!("{answers:?}")
    };
    assert_eq!((one.len(), two.len()), (1, 2));
    assert_eq!(linewright_site(&bench), site);
    assert_eq!(bench.open(1).notices, []);
}

#[test]
fn the_keeper_returns_what_it_could_not_record() {
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
    let files = Arc::new(Faulty {
        plan: Plan::new(opening, true),
    });
    let (ours, site) = store(bench.open_through(files, 0).unwrap());
    let (keeper, answers) = Keeper::spawn(ours, site).unwrap();
    keeper.record(vec![note(0, 1)]).unwrap();
    keeper.save();
    let Answer::NotRecorded { entries, why } = answers.recv().unwrap() else {
        panic!("recorded on a disk that is gone")
    };
    assert_eq!(entries, [note(0, 1)]);
    assert!(why.contains("made to fail"), "{why}");
    assert!(matches!(answers.recv().unwrap(), Answer::Saved));
}

#[test]
fn a_text_that_could_not_be_read_again_is_refused_and_the_file_stays_sound() {
    let bench = Bench::new();
    let (mut ours, site) = store(bench.open(0));
    let long = entry(
        0,
        1,
        Do::Note(Note {
            of: Ref::Line("P-02".into()),
            text: "a".repeat(4001),
        }),
    );
    let why = ours
        .record(std::slice::from_ref(&long))
        .unwrap_err()
        .to_string();
    assert!(why.contains("4001 characters; at most 4000"), "{why}");
    let mut with = site.clone();
    with.apply(long);
    let why = linewright::storage::format1::write(&with)
        .unwrap_err()
        .to_string();
    assert!(why.contains("4001 characters; at most 4000"), "{why}");
    ours.close(&site).unwrap();
    assert_eq!(linewright_site(&bench), site);
}

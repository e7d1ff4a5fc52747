//! Journals of other machines, removed locks, versions put in the file's place, another folder.

use super::bench::*;
use super::faulty::{Faulty, Plan};
use jiff::Timestamp;
use linewright::site::WriterId;
use linewright::storage::{
    Access, Answer, Disk, Files, Keeper, Opened, Who, open, read_only, save_elsewhere,
};
use std::fs;
use std::sync::Arc;

fn who(machine: &str) -> Who {
    Who {
        name: "engineer B".into(),
        machine: machine.into(),
    }
}

fn now() -> Timestamp {
    "2026-11-25T13:58:00Z".parse().unwrap()
}

fn open_on(bench: &Bench, machine: &str, writer: usize) -> Opened {
    let writer = WriterId::from(WRITERS[writer]);
    let at = Timestamp::now();
    open(Arc::new(Disk), &bench.path(), &who(machine), at, &writer).unwrap()
}

#[test]
fn the_open_journal_of_another_machine_is_read_named_and_never_deleted() {
    let bench = Bench::new();
    let foreign = killed(&bench);
    let opened = open_on(&bench, "TABLET", 1);
    let words = said(&opened.notices).join("\n");
    assert!(
        words.contains("engineer A on LAPTOP-2 wrote here at"),
        "{words}"
    );
    assert!(holds(&opened.site, &note(0, 3)));
    let (store, site) = store(opened);
    store.close(&site).unwrap();
    assert!(foreign.exists());
    // Its own machine tidies it away.
    drop(open_on(&bench, "LAPTOP-2", 2));
    assert!(!foreign.exists());
}

#[test]
fn more_journals_than_are_read_at_once_are_said_and_read_the_next_time() {
    let bench = Bench::new();
    let journal = fs::read(killed(&bench)).unwrap();
    for n in 2..=103 {
        fs::write(
            bench.at(&format!(".journal-aaaaaaaaaaaaaaaa-{n}")),
            &journal,
        )
        .unwrap();
    }
    let words = said(&bench.open(1).notices).join("\n");
    assert!(
        words.contains("3 journals of S.ron are not read yet, 100 are at once"),
        "{words}"
    );
    let words = said(&bench.open(2).notices).join("\n");
    assert!(!words.contains("not read yet"), "{words}");
}

#[test]
fn a_lock_that_was_removed_is_taken_again_or_the_site_file_is_left_alone() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, note(0, 1));
    fs::remove_file(bench.at(".lock")).unwrap();
    ours.checkpoint(&site).unwrap();
    assert!(matches!(bench.open(1).access, Access::ReadsOnly { .. }));
    // Someone else is faster.
    fs::remove_file(bench.at(".lock")).unwrap();
    let (theirs, _) = store(bench.open(2));
    record(&mut ours, &mut site, note(0, 2));
    let saved = bench.text();
    let why = ours.checkpoint(&site).unwrap_err().to_string();
    assert!(why.contains("open elsewhere"), "{why}");
    assert_eq!(bench.text(), saved);
    drop((ours, theirs));
    assert!(holds(&bench.open(3).site, &note(0, 2)));
}

#[test]
fn an_older_version_put_in_its_place_right_behind_a_save_is_not_taken_for_ours() {
    let bench = Bench::new();
    let plan = Plan::new(usize::MAX, false);
    let files = Arc::new(Faulty { plan: plan.clone() });
    let (mut ours, mut site) = store(bench.open_through(files, 0).unwrap());
    record(&mut ours, &mut site, note(0, 1));
    let path = bench.path();
    *plan.behind_rename.lock().unwrap() = Some(Box::new(move || fs::write(path, FROZEN).unwrap()));
    ours.checkpoint(&site).unwrap();
    assert_eq!(bench.text(), FROZEN);
    record(&mut ours, &mut site, note(0, 2));
    let why = ours.checkpoint(&site).unwrap_err().to_string();
    assert!(why.contains("lacks 1 entry"), "{why}");
    assert_eq!(bench.text(), FROZEN, "not overwritten");
}

#[test]
fn an_older_version_put_in_its_place_leaves_ours_aside_and_is_joined_on_request() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, edit(0, 1, STAIRS, "Back stairs"));
    ours.checkpoint(&site).unwrap();
    record(&mut ours, &mut site, note(0, 2));
    fs::write(bench.path(), FROZEN).unwrap();
    assert!(ours.checkpoint(&site).is_err());
    assert!(ours.checkpoint(&site).is_err());
    let aside = read_only(&Disk, &bench.at(".aside-aaaaaaaaaaaaaaaa-1")).unwrap();
    assert_eq!(aside.site.log(), site.log());
    assert!(!bench.at(".aside-aaaaaaaaaaaaaaaa-2").exists(), "once");
    let (joined, new) = ours.take_in(&site).unwrap();
    assert_eq!(new, 0);
    assert_eq!(joined.elements(), site.elements());
    ours.close(&joined).unwrap();
    assert_eq!(linewright_site(&bench), site);
}

#[test]
fn what_a_closed_journal_holds_of_a_version_that_was_put_back_is_joined_on_request() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    first.close(&site).unwrap();
    fs::write(bench.path(), FROZEN).unwrap();
    let (mut ours, older) = store(bench.open(1));
    assert!(!holds(&older, &note(0, 1)));
    let (joined, new) = ours.take_in(&older).unwrap();
    assert_eq!(new, 1);
    ours.close(&joined).unwrap();
    assert_eq!(linewright_site(&bench), site);
    assert_eq!(said(&bench.open(2).notices), [""; 0]);
}

#[test]
fn a_site_file_that_is_gone_is_said_and_written_anew_on_request() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, note(0, 1));
    fs::remove_file(bench.path()).unwrap();
    let why = ours.checkpoint(&site).unwrap_err().to_string();
    assert!(why.contains("g j writes it anew"), "{why}");
    assert!(!bench.path().exists());
    let (joined, _) = ours.take_in(&site).unwrap();
    ours.close(&joined).unwrap();
    assert_eq!(linewright_site(&bench), site);
}

#[test]
fn a_site_saved_elsewhere_goes_on_there_and_joins_a_copy_that_lies_there() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, note(0, 1));
    record(&mut ours, &mut site, edit(0, 2, STAIRS, "Back stairs"));
    let other = tempfile::tempdir().unwrap();
    let files: Arc<dyn Files> = Arc::new(Disk);
    let go = |writer: usize, to: &std::path::Path| {
        let writer = WriterId::from(WRITERS[writer]);
        let by = (&who("LAPTOP-2"), now(), &writer);
        save_elsewhere(&files, &bench.path(), to, &site, by)
    };
    let mut moved = go(1, other.path()).unwrap();
    assert_eq!(moved.path, other.path().join("S.ron"));
    assert_eq!(moved.site.elements(), site.elements());
    record(&mut moved.store, &mut moved.site, note(1, 1));
    moved.store.close(&moved.site).unwrap();
    // Once more onto what lies there now: nothing of it is lost.
    let again = go(2, &moved.path).unwrap();
    assert!(holds(&again.site, &note(1, 1)) && holds(&again.site, &note(0, 1)));
    assert_eq!(again.site.elements(), site.elements());
    drop(again);
    let another = FROZEN.replace("s-q4m7tz2kd6hw3pxa", "s-aaaaaaaaaaaaaaaa");
    fs::write(other.path().join("T.ron"), &another).unwrap();
    let why = go(3, &other.path().join("T.ron")).unwrap_err().to_string();
    assert!(why.contains("another site"), "{why}");
    let kept = fs::read_to_string(other.path().join("T.ron")).unwrap();
    assert_eq!(kept, another);
}

#[test]
fn an_entry_that_the_site_file_could_not_hold_never_reaches_the_journal() {
    let bench = Bench::new();
    let (ours, site) = store(bench.open(0));
    let (keeper, answers) = Keeper::spawn(ours, site).unwrap();
    // A label that another zone has, and beside it a note that is sound.
    let batch = vec![edit(0, 1, STAIRS, "Pool hall"), note(0, 2)];
    keeper.record(batch).unwrap();
    keeper.join();
    let answers: Vec<Answer> = answers.iter().collect();
    let [
        Answer::Unfit(refused),
        Answer::Recorded(ids),
        Answer::Saved,
        Answer::Closed,
    ] = answers.as_slice()
    else {
        panic!("{answers:?}")
    };
    assert!(refused[0].1.contains("used twice"), "{refused:?}");
    assert_eq!((refused.len(), ids.len()), (1, 1));
    let saved = linewright_site(&bench).0;
    assert!(holds(&saved, &note(0, 2)));
    let journal = fs::read_to_string(bench.at(".journal-aaaaaaaaaaaaaaaa-1")).unwrap();
    assert!(!journal.contains("Pool hall"));
}

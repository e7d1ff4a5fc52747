//! Results kept up entry by entry are those of a fresh start.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use linewright::analysis::{Analyst, Progress};
use linewright::quantity::Ohm;
use linewright::site::{Check, Do, Entry, EntryId, LineId, Log, Site, Void};
use linewright::storage::format1;

fn demo() -> Site {
    let bytes = include_bytes!("../sites/glasshouse.ron");
    format1::read("demo", bytes).unwrap().site
}

/// Takes an entry in as the session does: the lines it touches before and after, then a look.
fn take(site: &mut Site, analyst: &mut Analyst, entry: Entry) {
    let mut touched: Vec<LineId> = site.log().touched(&entry);
    site.apply(entry.clone());
    let mut anew = Log::default();
    for entry in site.log().entries() {
        anew.add(entry.clone());
    }
    assert_eq!(site.log().last_read(), anew.last_read());
    touched.extend(site.log().touched(&entry));
    analyst.touched(site, &touched);
    for id in &touched {
        analyst.look(site, site.plan().line(id).unwrap());
    }
}

#[track_caller]
fn same_as_fresh(site: &Site, kept: &Analyst) {
    let mut fresh = Analyst::new(site);
    for at in 0..site.plan().lines.len() {
        fresh.look(site, at);
        let label = &site.plan().lines[at].label;
        assert_eq!(kept.suspects(at), fresh.suspects(at), "{label}");
        let (kept, fresh) = (kept.line(at), fresh.line(at));
        assert_eq!(format!("{kept:?}"), format!("{fresh:?}"), "{label}");
    }
    assert_eq!(kept.counts(), fresh.counts());
}

#[test]
fn a_survey_taken_in_entry_by_entry_ends_as_one_read_whole() {
    let whole = demo();
    let mut site = Site::new(whole.id().clone(), whole.elements().clone(), Log::default());
    let mut analyst = Analyst::new(&site);
    for entry in whole.log().rows().into_iter().cloned() {
        take(&mut site, &mut analyst, entry);
    }
    assert_eq!(site.log(), whole.log());
    same_as_fresh(&site, &analyst);
}

#[test]
fn the_suspects_of_a_reading_go_with_it_when_it_is_struck() {
    let mut site = demo();
    let mut analyst = Analyst::new(&site);
    let at = site.plan().line_labelled("CH-1").unwrap();
    analyst.look(&site, at);
    assert!(analyst.suspects(at).is_some());
    let read = analyst.line(at).taken.clone().unwrap();
    let strike = Entry {
        at: "2026-11-24T12:00:00Z".parse().unwrap(),
        id: EntryId("ffffffffffffffff-1".to_owned()),
        by: "engineer A".to_owned(),
        what: Do::Void(Void {
            of: vec![read.entry.unwrap()],
        }),
        act: None,
        row: None,
        corrects: None,
        why: None,
    };
    take(&mut site, &mut analyst, strike);
    assert_eq!(analyst.suspects(at), None);
    same_as_fresh(&site, &{
        let mut all = analyst;
        (0..site.plan().lines.len()).for_each(|at| all.look(&site, at));
        all
    });
}

#[test]
fn a_known_resistor_read_in_between_is_swept_over_all_lines() {
    let mut site = demo();
    let mut analyst = Analyst::new(&site);
    analyst.settle(&site, None);
    let check = Entry {
        at: "2026-11-24T12:00:00Z".parse().unwrap(),
        id: EntryId("ffffffffffffffff-1".to_owned()),
        by: "engineer A".to_owned(),
        what: Do::Check(Check {
            visit: site.visit(),
            instrument: "meter".into(),
            known_ohm: Ohm(330.0),
            value: Ohm(347.0),
            step_ohm: Ohm(1.0),
            text: "347".to_owned(),
            note: None,
        }),
        act: None,
        row: None,
        corrects: None,
        why: None,
    };
    take(&mut site, &mut analyst, check);
    assert!(!analyst.is_at_rest(0));
    loop {
        match analyst.catch_up(&site) {
            Progress::Rest => break,
            Progress::GoOn => {}
            Progress::Away(ahead) => analyst.take(ahead.run()),
        }
    }
    let mut fresh = Analyst::new(&site);
    fresh.settle(&site, None);
    for at in 0..site.plan().lines.len() {
        assert_eq!(analyst.line(at).verdict, fresh.line(at).verdict);
        assert_eq!(analyst.suspects(at), fresh.suspects(at));
    }
}

//! Copies of a site joined: no order shows, nothing is lost.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use linewright::site::{Design, Do, Edit, Entry, Note, Ref, Site, Zone};
use linewright::storage::format1::{read, write};
use linewright::storage::{MergeError, merge};
use proptest::prelude::*;

const FROZEN: &str = include_str!("data/format1.ron");

fn base() -> Site {
    read("base", FROZEN.as_bytes()).unwrap().site
}

fn bytes(site: &Site) -> Vec<u8> {
    write(site).unwrap()
}

fn entry(id: String, what: Do) -> Entry {
    Entry {
        at: "2026-11-26T08:00:00Z".parse().unwrap(),
        id: id.into(),
        by: "engineer B".into(),
        what,
        act: None,
        row: None,
        corrects: None,
        why: None,
    }
}

/// An edit of a zone over all that stands for it.
fn rename(site: &mut Site, id: String, zone: &str, label: &str) {
    let of = Ref::Zone(zone.into());
    let edit = Edit {
        was: site.elements().standing(&of).to_vec(),
        of,
        now: Design::Zone(Zone {
            label: label.into(),
            order: 2.0,
        }),
        undoes: None,
    };
    site.apply(entry(id, Do::Edit(edit)));
}

fn note(site: &mut Site, id: String) {
    let note = Note {
        of: Ref::Site,
        text: id.clone(),
    };
    site.apply(entry(id, Do::Note(note)));
}

#[test]
fn two_engineers_who_did_different_things_have_both() {
    let (mut ours, mut theirs) = (base(), base());
    rename(&mut ours, "a-1".into(), "Stairs", "Back stairs");
    note(&mut theirs, "b-1".into());
    let (joined, questions) = merge(FROZEN.as_bytes(), &bytes(&ours), &bytes(&theirs)).unwrap();
    // The base had one question already.
    assert_eq!(questions, 1);
    assert_eq!(
        joined.log().entries().len(),
        base().log().entries().len() + 2
    );
    let stairs = joined.elements().settled(&Ref::Zone("Stairs".into()));
    assert_eq!(stairs.and_then(Design::label), Some("Back stairs"));
}

#[test]
fn two_names_for_one_zone_are_a_question_until_an_edit_answers() {
    let (mut ours, mut theirs) = (base(), base());
    rename(&mut ours, "a-1".into(), "Stairs", "Back stairs");
    rename(&mut theirs, "b-1".into(), "Stairs", "Yard stairs");
    let (joined, questions) = merge(FROZEN.as_bytes(), &bytes(&ours), &bytes(&theirs)).unwrap();
    assert_eq!(questions, 2);
    let text = String::from_utf8(bytes(&joined)).unwrap();
    let row = r#"  (of: Zone("Stairs"), was: [Zone(label: "Stairs", order: 2.0)], designs: [("a-1", "engineer B", "2026-11-26T08:00:00Z", Zone(label: "Back stairs", order: 2.0)), ("b-1", "engineer B", "2026-11-26T08:00:00Z", Zone(label: "Yard stairs", order: 2.0))]),"#;
    assert!(text.lines().any(|line| line == row), "{text}");
    let mut answered = joined.clone();
    rename(&mut answered, "c-1".into(), "Stairs", "Yard stairs");
    let (last, questions) = merge(&bytes(&joined), &bytes(&answered), &bytes(&joined)).unwrap();
    assert_eq!(questions, 1);
    assert_eq!(bytes(&last), bytes(&answered));
}

#[test]
fn without_an_ancestor_what_differs_is_a_question() {
    let (ours, mut theirs) = (base(), base());
    rename(&mut theirs, "b-1".into(), "Stairs", "Yard stairs");
    let (joined, questions) = merge(b"", &bytes(&ours), &bytes(&theirs)).unwrap();
    assert_eq!(questions, 2);
    assert!(
        joined
            .elements()
            .settled(&Ref::Zone("Stairs".into()))
            .is_none()
    );
}

#[test]
fn what_cannot_be_joined_is_refused_in_words() {
    let other = FROZEN.replace("s-q4m7tz2kd6hw3pxa", "s-aaaaaaaaaaaaaaaa");
    let why = merge(b"", FROZEN.as_bytes(), other.as_bytes()).unwrap_err();
    assert!(matches!(why, MergeError::OtherSite { side: "theirs", .. }));
    let newer = FROZEN.replace("format: 1,", "format: 2,");
    let why = merge(b"", FROZEN.as_bytes(), newer.as_bytes()).unwrap_err();
    assert!(why.to_string().contains("theirs:2:10"), "{why}");
    // Each label is free on its own copy; together they are two of one name.
    let (mut ours, mut theirs) = (base(), base());
    rename(&mut ours, "a-1".into(), "Stairs", "Hall");
    rename(&mut theirs, "b-1".into(), "Pool hall", "Hall");
    let why = merge(FROZEN.as_bytes(), &bytes(&ours), &bytes(&theirs)).unwrap_err();
    assert!(why.to_string().contains("Hall is used twice"), "{why}");
}

/// What an engineer does on a copy: note, or rename one of two zones to one of three names.
fn acts() -> impl Strategy<Value = Vec<(bool, bool, u8)>> {
    prop::collection::vec((any::<bool>(), any::<bool>(), 0u8..3), 0..5)
}

fn worked(from: &Site, who: &str, acts: &[(bool, bool, u8)]) -> Site {
    let mut site = from.clone();
    for (n, (is_note, stairs, name)) in acts.iter().enumerate() {
        let id = format!("{who}-{n}");
        let zone = if *stairs { "Stairs" } else { "Pool hall" };
        if *is_note {
            note(&mut site, id);
        } else {
            rename(&mut site, id, zone, &format!("{zone} {name}"));
        }
    }
    site
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn no_order_shows_joining_again_changes_nothing_and_nothing_is_lost(
        first in acts(), ours in acts(), theirs in acts(), third in acts()
    ) {
        let base_site = worked(&base(), "base", &first);
        let (ours, theirs) = (worked(&base_site, "a", &ours), worked(&base_site, "b", &theirs));
        let third = worked(&base_site, "d", &third);
        let base = bytes(&base_site);
        let join = |a: &[u8], b: &[u8]| bytes(&merge(&base, a, b).unwrap().0);
        let (o, t, d) = (bytes(&ours), bytes(&theirs), bytes(&third));
        let joined = join(&o, &t);
        prop_assert_eq!(&joined, &join(&t, &o));
        prop_assert_eq!(&joined, &join(&joined, &t));
        prop_assert_eq!(&joined, &join(&o, &joined));
        prop_assert_eq!(join(&joined, &d), join(&o, &join(&t, &d)));
        let site = read("joined", &joined).unwrap().site;
        for entry in ours.log().entries().iter().chain(theirs.log().entries()) {
            prop_assert!(site.log().entries().contains(entry));
        }
        for (of, ..) in base_site.elements().iter() {
            prop_assert!(!site.elements().standing(of).is_empty());
        }
    }
}

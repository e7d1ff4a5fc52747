//! Copies of a site joined: no order shows, nothing is lost, what does not fit is a question.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use linewright::quantity::{Hertz, Ohm, Value, Watt};
use linewright::site::{
    Design, Do, Edit, Elements, Entry, EntryId, LineId, Log, Note, Read, Ref, Retired, Site,
    TangleIs, Void, Zone, check,
};
use linewright::storage::format1::{ReadError, read, write};
use linewright::storage::{MergeError, Merged, Schedule, merge, read_schedule};
use proptest::prelude::*;

const FROZEN: &str = include_str!("data/format1.ron");

fn base() -> Site {
    site_of(FROZEN.as_bytes())
}

fn site_of(bytes: &[u8]) -> Site {
    read("site", bytes)
        .unwrap_or_else(|why| panic!("{why}"))
        .site
}

fn bytes(site: &Site) -> Vec<u8> {
    write(site).unwrap()
}

fn joined(base: &[u8], ours: &[u8], theirs: &[u8]) -> Merged {
    merge(("base", base), ("ours", ours), ("theirs", theirs)).unwrap_or_else(|why| panic!("{why}"))
}

fn refused(base: &[u8], ours: &[u8], theirs: &[u8]) -> MergeError {
    merge(("base", base), ("ours", ours), ("theirs", theirs)).unwrap_err()
}

/// Entries come second by second in the order of `n`.
fn entry(id: &str, n: i64, what: Do) -> Entry {
    Entry {
        at: jiff::Timestamp::from_second(1_800_000_000 + n).unwrap(),
        id: id.into(),
        by: "engineer B".into(),
        what,
        act: None,
        row: None,
        corrects: None,
        why: None,
    }
}

/// An edit over all that stands.
fn edit(site: &mut Site, id: &str, n: i64, of: Ref, now: Design) {
    let edit = Edit {
        was: site.elements().standing(&of).to_vec(),
        of,
        now,
        undoes: None,
    };
    site.apply(entry(id, n, Do::Edit(edit)));
}

fn zone(label: &str) -> Design {
    Design::Zone(Zone {
        label: label.into(),
        order: 2.0,
    })
}

fn note(site: &mut Site, id: &str, n: i64) {
    let note = Note {
        of: Ref::Site,
        text: id.to_owned(),
    };
    site.apply(entry(id, n, Do::Note(note)));
}

fn reading(line: &str, ohm: f64) -> Do {
    Do::Read(Read {
        line: line.into(),
        state: "visit-1".into(),
        value: Value::Ohm(Ohm(ohm)),
        step_ohm: Ohm(1.0),
        text: ohm.to_string(),
        instrument: "meter".into(),
        hz: Hertz(1000.0),
        phase_deg: None,
        cut: None,
        note: None,
    })
}

/// Two lines of three loudspeakers on one output.
fn hall() -> Site {
    let mut csv = String::from("amplifier,rated_w,zone,line,loudspeaker,tap_w,taps_w,run_m\n");
    for line in ["L-1", "L-2"] {
        for n in 1..=3 {
            csv.push_str(&format!("A1,100,Hall,{line},LS-{n},6,3|6|12,10\n"));
        }
    }
    let Schedule { id, items, .. } =
        read_schedule("hall.csv", csv.as_bytes(), &[], "Hall").unwrap();
    Site::new(id, Elements::from_iter(items), Log::default())
}

/// A loudspeaker changed.
fn with(
    site: &Site,
    node: &str,
    change: impl FnOnce(&mut linewright::site::Loudspeaker),
) -> Design {
    match site.elements().standing(&Ref::Node(node.into())).first() {
        Some((_, Design::Loudspeaker(it))) => {
            let mut it = it.clone();
            change(&mut it);
            Design::Loudspeaker(it)
        }
        other => panic!("{node}: {other:?}"),
    }
}

fn retired(site: &Site, of: &Ref) -> Design {
    Design::Retired(Retired {
        why: "not there any more".into(),
        was: Box::new(site.elements().settled(of).unwrap().clone()),
    })
}

#[test]
fn two_engineers_who_did_different_things_have_both() {
    let (mut ours, mut theirs) = (base(), base());
    edit(
        &mut ours,
        "a-1",
        1,
        Ref::Zone("Stairs".into()),
        zone("Back stairs"),
    );
    note(&mut theirs, "b-1", 2);
    let merged = joined(FROZEN.as_bytes(), &bytes(&ours), &bytes(&theirs));
    // The base had one question already.
    assert_eq!(merged.questions, 1);
    let site = merged.site;
    assert_eq!(site.log().entries().len(), base().log().entries().len() + 2);
    let stairs = site.elements().settled(&Ref::Zone("Stairs".into()));
    assert_eq!(stairs.and_then(Design::label), Some("Back stairs"));
}

#[test]
fn two_names_for_one_zone_are_a_question_until_an_edit_answers() {
    let (mut ours, mut theirs) = (base(), base());
    let stairs = || Ref::Zone("Stairs".into());
    edit(&mut ours, "a-1", 0, stairs(), zone("Back stairs"));
    edit(&mut theirs, "b-1", 0, stairs(), zone("Yard stairs"));
    let merged = joined(FROZEN.as_bytes(), &bytes(&ours), &bytes(&theirs));
    assert_eq!(merged.questions, 2);
    let both = bytes(&merged.site);
    let text = String::from_utf8(both.clone()).unwrap();
    let row = r#"  (of: Zone("Stairs"), was: [Zone(label: "Stairs", order: 2.0)], designs: [("a-1", "engineer B", "2027-01-15T08:00:00Z", Zone(label: "Back stairs", order: 2.0)), ("b-1", "engineer B", "2027-01-15T08:00:00Z", Zone(label: "Yard stairs", order: 2.0))]),"#;
    assert!(text.lines().any(|line| line == row), "{text}");
    let mut answered = merged.site;
    edit(&mut answered, "c-1", 3, stairs(), zone("Yard stairs"));
    let last = joined(&both, &bytes(&answered), &both);
    assert_eq!(last.questions, 1);
    assert_eq!(bytes(&last.site), bytes(&answered));
}

#[test]
fn one_name_given_by_both_is_no_question() {
    let (mut ours, mut theirs) = (base(), base());
    edit(
        &mut ours,
        "a-1",
        1,
        Ref::Zone("Stairs".into()),
        zone("Yard stairs"),
    );
    edit(
        &mut theirs,
        "b-1",
        2,
        Ref::Zone("Stairs".into()),
        zone("Yard stairs"),
    );
    let merged = joined(FROZEN.as_bytes(), &bytes(&ours), &bytes(&theirs));
    assert_eq!(merged.questions, 1, "that of the base");
}

#[test]
fn without_an_ancestor_what_differs_is_a_question() {
    let (ours, mut theirs) = (base(), base());
    edit(
        &mut theirs,
        "b-1",
        1,
        Ref::Zone("Stairs".into()),
        zone("Yard stairs"),
    );
    let merged = joined(b"", &bytes(&ours), &bytes(&theirs));
    assert_eq!(merged.questions, 2);
    let stairs = Ref::Zone("Stairs".into());
    assert!(merged.site.elements().settled(&stairs).is_none());
}

#[test]
fn what_cannot_be_joined_is_refused_in_words() {
    let frozen = FROZEN.as_bytes();
    let other = FROZEN.replace("s-q4m7tz2kd6hw3pxa", "s-aaaaaaaaaaaaaaaa");
    for (base, theirs) in [(&b""[..], other.as_bytes()), (other.as_bytes(), frozen)] {
        let why = refused(base, frozen, theirs);
        assert!(matches!(why, MergeError::OtherSite { .. }), "{why}");
        // Which of the three it is, what it is of, and what was wanted.
        let (name, role) = match base.is_empty() {
            true => ("theirs", "theirs"),
            false => ("base", "the base"),
        };
        let words = format!(
            "{name}, given as {role}, is another site: a copy of \"Lantern Quay Baths\" (s-aaaaaaaaaaaaaaaa) \
             was found, one of \"Lantern Quay Baths\" (s-q4m7tz2kd6hw3pxa) as ours is was wanted; only copies \
             of one site can be joined, nothing was changed"
        );
        assert_eq!(why.to_string(), words);
    }
    let newer = FROZEN.replace("format: 1,", "format: 2,");
    let why = refused(b"", frozen, newer.as_bytes()).to_string();
    assert!(why.contains("theirs:2:10"), "{why}");
    let open = FROZEN.replace(" items: [", "<<<<<<< HEAD\n items: [");
    let why = refused(b"", open.as_bytes(), frozen).to_string();
    assert!(why.contains("git show :1:./ours"), "{why}");
}

#[test]
fn entries_of_the_base_that_a_side_lacks_are_kept_and_counted() {
    let mut with = hall();
    note(&mut with, "a-1", 1);
    let merged = joined(&bytes(&with), &bytes(&hall()), &bytes(&with));
    assert_eq!(merged.site.log().entries().len(), 1);
    assert_eq!(merged.kept, [("ours".to_owned(), 1)]);
}

#[test]
fn a_side_that_never_knew_a_design_of_the_base_does_not_drop_it() {
    let hall = hall();
    let of = Ref::Zone("Hall".into());
    let mut base = hall.clone();
    edit(&mut base, "a-1", 1, of.clone(), zone("Great hall"));
    let mut theirs = base.clone();
    note(&mut theirs, "a-2", 2);
    // The base is no ancestor of ours: a commit picked out of another branch.
    for sides in [[&hall, &theirs], [&theirs, &hall]] {
        let merged = joined(&bytes(&base), &bytes(sides[0]), &bytes(sides[1]));
        asks(&merged, 1, std::slice::from_ref(&of));
        let standing = merged.site.elements().standing(&of);
        assert_eq!(standing.len(), 2, "{standing:?}");
        let again = joined(&bytes(&base), &bytes(&merged.site), &bytes(sides[1]));
        assert_eq!(bytes(&again.site), bytes(&merged.site));
    }
    // What a side knew and replaced is no question.
    let mut ours = base.clone();
    edit(&mut ours, "b-1", 3, of.clone(), zone("Old hall"));
    let merged = joined(&bytes(&base), &bytes(&ours), &bytes(&theirs));
    assert_eq!(merged.questions, 0);
    assert_eq!(merged.site.elements().settled(&of), Some(&zone("Old hall")));
}

/// The joined site asks `questions`, none of `items` is settled, and file and memory agree on it.
#[track_caller]
fn asks(merged: &Merged, questions: usize, items: &[Ref]) -> Site {
    assert_eq!(merged.questions, questions);
    let text = bytes(&merged.site);
    let again = site_of(&text);
    assert_eq!(bytes(&again), text);
    assert_eq!(again.elements().question_count(), questions);
    for site in [&merged.site, &again] {
        for of in items {
            assert!(site.elements().settled(of).is_none(), "{of:?}");
            assert!(site.elements().questions().any(|(asked, _)| asked == of));
        }
    }
    again
}

fn node(id: &str) -> Ref {
    Ref::Node(id.into())
}

#[test]
fn cables_that_two_engineers_drew_into_a_ring_are_one_question_of_all_its_items() {
    let base = hall();
    let (mut ours, mut theirs) = (hall(), hall());
    // As drawn rack - 1 - 2 - 3. Ours: 2 from 3, 3 from the rack. Theirs: 3 from 2 still, said anew.
    let two = with(&base, "L-1/LS-2", |it| it.from = "L-1/LS-3".into());
    let three = with(&base, "L-1/LS-3", |it| it.from = "rack".into());
    edit(&mut ours, "a-1", 1, node("L-1/LS-3"), three);
    edit(&mut ours, "a-2", 2, node("L-1/LS-2"), two);
    let one = with(&base, "L-1/LS-1", |it| it.from = "L-1/LS-2".into());
    let two_first = with(&base, "L-1/LS-3", |it| it.from = "L-1/LS-1".into());
    edit(&mut theirs, "b-1", 1, node("L-1/LS-3"), two_first);
    let rack = with(&base, "L-1/LS-2", |it| it.from = "rack".into());
    edit(&mut theirs, "b-2", 2, node("L-1/LS-2"), rack);
    edit(&mut theirs, "b-3", 3, node("L-1/LS-1"), one);
    // Both changed 2 and 3: two designs each. The ring is drawn by items that one side changed.
    let merged = joined(&bytes(&base), &bytes(&ours), &bytes(&theirs));
    asks(&merged, 2, &[node("L-1/LS-2"), node("L-1/LS-3")]);

    let (mut ours, mut theirs) = (hall(), hall());
    let one = with(&base, "L-1/LS-1", |it| it.from = "L-1/LS-3".into());
    let two = with(&base, "L-1/LS-2", |it| it.from = "rack".into());
    edit(&mut ours, "a-1", 1, node("L-1/LS-2"), two);
    edit(&mut ours, "a-2", 2, node("L-1/LS-1"), one);
    // Theirs moves 3 behind 1, in its own copy no ring: 1 comes from the rack there.
    let three = with(&base, "L-1/LS-3", |it| it.from = "L-1/LS-1".into());
    edit(&mut theirs, "b-1", 1, node("L-1/LS-3"), three);
    for copy in [&ours, &theirs] {
        assert_eq!(check(copy.elements(), copy.log()), []);
    }
    let merged = joined(&bytes(&base), &bytes(&ours), &bytes(&theirs));
    let site = asks(&merged, 1, &[node("L-1/LS-1"), node("L-1/LS-3")]);
    let why = &site.elements().tangles()[0].why;
    assert!(
        matches!(why, TangleIs::Ring { labels } if labels.len() == 2),
        "{why:?}"
    );
    // One of them drawn from the rack again answers it; the other is a plain item again.
    let mut answered = site;
    let rack = with(&answered, "L-1/LS-1", |it| it.from = "rack".into());
    edit(&mut answered, "c-1", 9, node("L-1/LS-1"), rack);
    assert_eq!(answered.elements().question_count(), 0);
    assert_eq!(answered.plan().lines[0].nodes.len(), 3);
}

#[test]
fn a_ring_that_no_merge_left_is_a_problem_of_its_file() {
    let text = String::from_utf8(bytes(&hall())).unwrap();
    let first = r#"(line: "L-1", label: "LS-1", order: 1.0, from: "rack""#;
    assert_eq!(text.matches(first).count(), 1);
    let ring = text.replace(first, &first.replace("rack", "L-1/LS-3"));
    let why = read("S.ron", ring.as_bytes()).unwrap_err();
    assert!(matches!(why, ReadError::Problems { .. }));
    assert!(why.to_string().contains("runs in a ring"), "{why}");
}

#[test]
fn two_items_with_one_label_are_one_question() {
    let base = hall();
    let (mut ours, mut theirs) = (hall(), hall());
    edit(
        &mut ours,
        "a-1",
        1,
        node("L-1/LS-1"),
        with(&base, "L-1/LS-1", |it| it.label = "X".into()),
    );
    edit(
        &mut theirs,
        "b-1",
        1,
        node("L-1/LS-2"),
        with(&base, "L-1/LS-2", |it| it.label = "X".into()),
    );
    let merged = joined(&bytes(&base), &bytes(&ours), &bytes(&theirs));
    let site = asks(&merged, 1, &[node("L-1/LS-1"), node("L-1/LS-2")]);
    let why = &site.elements().tangles()[0].why;
    assert_eq!(*why, TangleIs::Label { label: "X".into() });
}

#[test]
fn a_loudspeaker_added_on_a_line_that_was_retired_is_a_question() {
    let base = hall();
    let (mut ours, mut theirs) = (hall(), hall());
    for id in ["L-2/LS-1", "L-2/LS-2", "L-2/LS-3"] {
        edit(
            &mut ours,
            &format!("a-{id}"),
            1,
            node(id),
            retired(&base, &node(id)),
        );
    }
    let line = Ref::Line("L-2".into());
    edit(&mut ours, "a-9", 1, line.clone(), retired(&base, &line));
    let new = with(&base, "L-2/LS-1", |it| {
        it.label = "LS-4".into();
        it.from = "L-2/LS-3".into();
    });
    edit(&mut theirs, "b-1", 1, node("L-2/LS-4"), new);
    let merged = joined(&bytes(&base), &bytes(&ours), &bytes(&theirs));
    // Its line is retired, and so is where its cable comes from.
    asks(&merged, 2, &[node("L-2/LS-4")]);
}

#[test]
fn a_reading_on_a_line_that_the_other_engineer_retired_is_a_question_until_it_is_answered() {
    let base = hall();
    let (mut ours, mut theirs) = (hall(), hall());
    // Whichever clock was ahead.
    ours.apply(entry("a-1", 1, reading("L-2", 555.0)));
    let line = Ref::Line("L-2".into());
    for id in ["L-2/LS-1", "L-2/LS-2", "L-2/LS-3"] {
        edit(
            &mut theirs,
            &format!("b-{id}"),
            5,
            node(id),
            retired(&base, &node(id)),
        );
    }
    edit(&mut theirs, "b-9", 5, line.clone(), retired(&base, &line));
    let (b, o, t) = (bytes(&base), bytes(&ours), bytes(&theirs));
    let merged = joined(&b, &o, &t);
    let site = asks(&merged, 1, std::slice::from_ref(&line));
    let m = bytes(&site);
    for again in [joined(&b, &t, &o), joined(&b, &m, &t), joined(&b, &o, &m)] {
        assert_eq!(bytes(&again.site), m);
    }
    // Retired once more by somebody who knows of the reading: answered, and it stays so.
    let mut answered = site;
    let gone = answered.elements().standing(&line)[0].1.clone();
    edit(&mut answered, "c-1", 3, line.clone(), gone);
    assert_eq!(answered.elements().question_count(), 0);
    assert_eq!(site_of(&bytes(&answered)).elements().question_count(), 0);
    assert_eq!(joined(&m, &bytes(&answered), &m).questions, 0);
    assert_eq!(joined(&b, &bytes(&answered), &o).questions, 0);
}

#[test]
fn a_line_retired_by_the_one_who_read_it_is_no_question() {
    let base = hall();
    let mut ours = hall();
    ours.apply(entry("a-1", 1, reading("L-2", 555.0)));
    let line = Ref::Line("L-2".into());
    edit(&mut ours, "a-2", 2, line.clone(), retired(&base, &line));
    for id in ["L-2/LS-1", "L-2/LS-2", "L-2/LS-3"] {
        edit(
            &mut ours,
            &format!("a-{id}"),
            3,
            node(id),
            retired(&base, &node(id)),
        );
    }
    let merged = joined(&bytes(&base), &bytes(&ours), &bytes(&base));
    assert_eq!(merged.questions, 0);
}

#[test]
fn two_corrections_of_one_reading_that_differ_are_a_question() {
    let mut base = hall();
    base.apply(entry("a-1", 1, reading("L-2", 555.0)));
    let correction = |id: &str, ohm| Entry {
        corrects: Some("a-1".into()),
        why: Some("misread".into()),
        ..entry(id, 2, reading("L-2", ohm))
    };
    let (mut ours, mut theirs) = (base.clone(), base.clone());
    ours.apply(correction("b-1", 515.0));
    theirs.apply(correction("c-1", 550.0));
    let merged = joined(&bytes(&base), &bytes(&ours), &bytes(&theirs));
    assert_eq!(merged.questions, 1);
    let mut answered = merged.site;
    let of = vec!["b-1".into()];
    answered.apply(entry("d-1", 3, Do::Void(Void { of })));
    let a = bytes(&answered);
    assert_eq!(joined(&a, &a, &a).questions, 0);
}

// ---------------------------------------------------------------------------------------------

/// Something an engineer does on a copy: which kind, on what, with what value.
type Act = (u8, u8, u8);

fn acts(most: usize) -> impl Strategy<Value = Vec<Act>> {
    prop::collection::vec((0u8..12, 0u8..6, 0u8..6), 0..most)
}

const NODES: [&str; 6] = [
    "L-1/LS-1", "L-1/LS-2", "L-1/LS-3", "L-2/LS-1", "L-2/LS-2", "L-2/LS-3",
];

/// What is done by one act; what an engineer could not do on that copy is not done.
fn act(site: &mut Site, who: &str, n: usize, (kind, of, to): Act) {
    let id = format!("{who}-{n}");
    let at = i64::try_from(n).unwrap() + i64::from(to);
    let own: Vec<Entry> = site
        .log()
        .rows()
        .into_iter()
        .filter(|entry| entry.id.as_str().starts_with(who))
        .cloned()
        .collect();
    let place = usize::from(of);
    let line = if of < 3 { "L-1" } else { "L-2" };
    let line_of = Ref::Line(line.into());
    let there = site
        .elements()
        .settled(&line_of)
        .is_some_and(|it| matches!(it, Design::Line(_)));
    let change = |site: &Site, change: &dyn Fn(&mut linewright::site::Loudspeaker)| match site
        .elements()
        .standing(&node(NODES[place]))
        .first()
    {
        Some((_, Design::Loudspeaker(it))) => {
            let mut it = it.clone();
            change(&mut it);
            vec![(node(NODES[place]), Design::Loudspeaker(it))]
        }
        _ => Vec::new(),
    };
    let edited = match kind {
        0 => return note(site, &id, at),
        1 | 2 if there => {
            site.apply(entry(&id, at, reading(line, 400.0 + f64::from(to))));
            return;
        }
        // Undo, and redo: the strike of a strike.
        3 => {
            if let Some(last) = own.iter().rev().find(|it| site.log().counts(&it.id)) {
                let of: Vec<EntryId> = vec![last.id.clone()];
                site.apply(entry(&id, at, Do::Void(Void { of })));
            }
            return;
        }
        4 => {
            let readings = site.log().of_line(&LineId::from(line));
            let read = readings
                .iter()
                .rev()
                .find(|it| matches!(it.what, Do::Read(_)));
            if let Some(read) = read {
                let corrects = Some(read.id.clone());
                let what = reading(line, 500.0 + f64::from(to));
                site.apply(Entry {
                    corrects,
                    ..entry(&id, at, what)
                });
            }
            return;
        }
        5 => vec![(Ref::Zone("Hall".into()), zone(&format!("Hall {to}")))],
        6 => change(site, &|it| {
            it.tap_w = Watt([3.0, 6.0, 12.0][usize::from(to) % 3])
        }),
        7 => change(site, &|it| {
            let from = NODES[usize::from(to)];
            it.from = if from == NODES[place] {
                "rack".into()
            } else {
                from.into()
            };
        }),
        8 => change(site, &|it| it.label = format!("X-{to}")),
        9 => {
            // The whole line with what hangs on it, gone or back.
            let items = site.elements().iter();
            let all: Vec<(Ref, Design)> = items
                .filter(|(of, _, design)| **of == line_of || drawn(design).parent() == line)
                .map(|(of, _, design)| match design {
                    Design::Retired(it) => (of.clone(), (*it.was).clone()),
                    Design::Line(_) | Design::Loudspeaker(_) if there => {
                        let (why, was) = ("gone".to_owned(), Box::new(design.clone()));
                        (of.clone(), Design::Retired(Retired { why, was }))
                    }
                    other => (of.clone(), other.clone()),
                })
                .collect();
            all
        }
        // A loudspeaker of one's own, or of the name that the other may give too.
        10 => {
            let mut new = change(site, &|it| it.label = format!("N-{to}"));
            for (of, _) in &mut new {
                let own = if to < 3 { "" } else { who };
                *of = node(&format!("{line}/N-{to}{own}"));
            }
            new
        }
        // An answer: the last of the designs in question.
        _ => {
            let questions: Vec<(Ref, Design)> = site
                .elements()
                .questions()
                .map(|(of, standing)| (of.clone(), standing.last().unwrap().1.clone()))
                .collect();
            let chosen = questions.get(place % questions.len().max(1));
            chosen.cloned().into_iter().collect()
        }
    };
    let mut trial = site.clone();
    for (nth, (of, now)) in edited.into_iter().enumerate() {
        edit(&mut trial, &format!("{id}{nth}"), at, of, now);
    }
    // Nobody makes a tangle in his own copy: the program refuses it.
    let before = site.elements().tangles().len();
    let sound = linewright::site::unsound(trial.elements(), trial.log()).is_empty();
    if sound && trial.elements().tangles().len() <= before {
        *site = trial;
    }
}

fn drawn(design: &Design) -> &Design {
    match design {
        Design::Retired(it) => &it.was,
        other => other,
    }
}

fn worked(from: &Site, who: &str, acts: &[Act]) -> Site {
    let mut site = from.clone();
    for (n, one) in acts.iter().enumerate() {
        act(&mut site, who, n, *one);
    }
    // What the next one has is what the file says.
    site_of(&bytes(&site))
}

/// Random cases; more of them by `PROPTEST_CASES`.
fn cases() -> ProptestConfig {
    let asked = std::env::var("PROPTEST_CASES").ok();
    ProptestConfig::with_cases(asked.and_then(|text| text.parse().ok()).unwrap_or(64))
}

proptest! {
    #![proptest_config(cases())]

    #[test]
    fn no_order_shows_joining_again_changes_nothing_and_nothing_is_lost(
        before in (acts(4), acts(4)), ours in acts(7), theirs in acts(7), third in acts(5)
    ) {
        // A base that may have questions of its own.
        let first = bytes(&hall());
        let base_a = worked(&hall(), "e", &before.0);
        let base_b = worked(&hall(), "f", &before.1);
        let base_site = joined(&first, &bytes(&base_a), &bytes(&base_b)).site;
        let base = bytes(&base_site);
        let (ours, theirs) = (worked(&base_site, "a", &ours), worked(&base_site, "b", &theirs));
        let third = worked(&base_site, "d", &third);
        let join = |a: &[u8], b: &[u8]| bytes(&joined(&base, a, b).site);
        let (o, t, d) = (bytes(&ours), bytes(&theirs), bytes(&third));
        let both = join(&o, &t);
        prop_assert_eq!(&both, &join(&t, &o));
        prop_assert_eq!(&both, &join(&both, &t));
        prop_assert_eq!(&both, &join(&o, &both));
        prop_assert_eq!(&both, &join(&both, &both));
        let all = join(&both, &d);
        prop_assert_eq!(&all, &join(&o, &join(&t, &d)));
        prop_assert_eq!(&all, &join(&t, &join(&d, &o)));
        let merged = joined(&base, &o, &t);
        prop_assert_eq!(merged.questions, joined(&base, &t, &o).questions);
        let site = site_of(&both);
        // Read from the file the same questions stand.
        let count = site.elements().question_count() + site.log().rivals().len();
        prop_assert_eq!(merged.questions, count);
        for entry in ours.log().entries().iter().chain(theirs.log().entries()) {
            prop_assert!(site.log().entries().contains(entry));
        }
        for side in [&ours, &theirs] {
            for (of, stamp, design) in side.elements().iter() {
                let old = base_site.elements().has(of, stamp, design);
                prop_assert!(old || site.elements().has(of, stamp, design), "{:?} {}", of, stamp);
                prop_assert!(!site.elements().standing(of).is_empty());
            }
        }
    }
}

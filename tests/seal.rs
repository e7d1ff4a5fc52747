//! A signature, and every way in which what was signed may change after it: each is seen, and the
//! line is named.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;

use desk::hall;
use linewright::quantity::Ohm;
use linewright::review::{Break, SealState, Standing, latest_seals, seals};
use linewright::site::{Design, Do, Elements, Entry, FigureDesign, Log, Ref, Site, Stamp, Visit};
use linewright::storage::{format1, merge};
use pen::Pen;

fn signed() -> Pen {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.sign(Ref::Site);
    pen
}

fn only(site: &Site) -> SealState {
    let mut all = seals(site);
    assert_eq!(all.len(), 1);
    all.remove(0)
}

/// What broke the one seal, as line and how.
fn broken(site: &Site) -> Vec<(String, Break)> {
    let seal = only(site);
    seal.breaks
        .iter()
        .map(|it| (it.of.id().to_owned(), it.how.clone()))
        .collect()
}

#[track_caller]
fn words(site: &Site) -> String {
    let seal = only(site);
    let all: Vec<String> = seal.breaks.iter().map(|it| it.words(site)).collect();
    all.join("\n")
}

/// The same site with its entries changed by hand.
fn by_hand(site: &Site, change: impl Fn(&mut Entry)) -> Site {
    let mut log = Log::default();
    for entry in site.log().entries() {
        let mut entry = entry.clone();
        change(&mut entry);
        log.add(entry);
    }
    Site::new(
        site.id().clone(),
        Elements::from_iter(site.elements().rows()),
        log,
    )
}

#[test]
fn what_nobody_touched_is_intact_also_after_a_round_through_the_file() {
    let pen = signed();
    assert!(only(&pen.site).is_intact());
    let bytes = format1::write(&pen.site).unwrap();
    let again = format1::read("site.ron", &bytes).unwrap().site;
    assert!(only(&again).is_intact());
    // One digest a line and item, and one over all.
    let seal = only(&again).seal;
    let lines = seal
        .facts
        .iter()
        .filter(|(of, _)| matches!(of, Ref::Line(_)));
    assert_eq!(lines.count(), 6);
    assert_eq!(seal.sha256.len(), 64);
    assert!(seal.limits.contains(&("tolerance".to_owned(), 0.1)));
}

#[test]
fn the_same_facts_and_the_same_signature_make_the_same_digests() {
    assert_eq!(only(&signed().site), only(&signed().site));
}

#[test]
fn signing_is_refused_with_what_stands_in_the_way_worst_first() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.read("L-1", "417");
    pen.read("B-1", "0.6");
    let open = pen.try_sign(Ref::Site).unwrap_err();
    let labels: Vec<&str> = open.iter().map(|item| item.label.as_str()).collect();
    assert_eq!(labels, ["B-1", "L-1"]);
    // What is not in its way may be signed.
    assert!(pen.try_sign(Ref::Amplifier("A2".into())).is_ok());
}

#[test]
fn a_later_reading_breaks_it_and_is_named() {
    let mut pen = signed();
    let id = pen.read("H-1", "340");
    assert_eq!(broken(&pen.site), [("H-1".to_owned(), Break::Later(id))]);
    let words = words(&pen.site);
    assert!(words.starts_with("H-1: after the signature, "), "{words}");
    assert!(words.contains("H-1 impedance reading 340"), "{words}");
}

#[test]
fn a_reading_struck_later_breaks_it_and_is_named() {
    let mut pen = signed();
    let read = pen.site.log().last_read().unwrap().clone();
    let line = read.what.line().unwrap().to_string();
    let id = pen.void(&read.id);
    assert_eq!(
        broken(&pen.site),
        [(line.clone(), Break::Later(id.clone()))]
    );
    assert!(words(&pen.site).contains(&format!("struck: {line} impedance reading")));
    // Taking the strike back is a change too: the log only grows.
    pen.void(&id);
    assert_eq!(broken(&pen.site).len(), 2);
}

#[test]
fn a_reading_that_a_merge_brings_in_breaks_it_though_it_is_older_than_the_signature() {
    let mut base = Pen::on(hall());
    base.read_as_drawn("H-1");
    let mut theirs = Pen::by(base.site.clone(), "theirstheirsthei", 5);
    let id = theirs.read("L-2", "560");
    let mut ours = base;
    ours.second = 100;
    let start = format1::write(&ours.site).unwrap();
    ours.finish();
    ours.sign(Ref::Site);
    let merged = merge(
        ("base", &start),
        ("ours", &format1::write(&ours.site).unwrap()),
        ("theirs", &format1::write(&theirs.site).unwrap()),
    )
    .unwrap();
    assert_eq!(merged.questions, 0);
    let joined = merged.site;
    assert_eq!(broken(&joined), [("L-2".to_owned(), Break::BroughtIn(id))]);
    assert!(words(&joined).contains("L-2: was not there when it was signed"));
}

#[test]
fn many_readings_brought_in_by_one_merge_are_all_named() {
    let base = hall();
    let mut theirs = Pen::by(base.clone(), "theirstheirsthei", 5);
    for _ in 0..4 {
        theirs.read("L-2", "560");
    }
    let mut ours = Pen::by(base.clone(), "oursoursoursours", 100);
    ours.finish();
    ours.sign(Ref::Site);
    let joined = merge(
        ("base", &format1::write(&base).unwrap()),
        ("ours", &format1::write(&ours.site).unwrap()),
        ("theirs", &format1::write(&theirs.site).unwrap()),
    )
    .unwrap()
    .site;
    let all = broken(&joined);
    assert_eq!(all.len(), 4);
    assert!(
        all.iter()
            .all(|(of, how)| of == "L-2" && matches!(how, Break::BroughtIn(_)))
    );
}

#[test]
fn an_edit_of_the_design_breaks_it_and_undoing_the_edit_mends_it() {
    let mut pen = signed();
    let id = pen.edit_run("C-1/LS-2", 90.0);
    assert_eq!(broken(&pen.site), [("C-1".to_owned(), Break::Edited(id))]);
    assert!(words(&pen.site).contains("C-1: the design was changed"));
    pen.edit_run("C-1/LS-2", 25.0);
    assert_eq!(broken(&pen.site), []);
}

#[test]
fn a_reading_changed_by_hand_in_the_file_breaks_it_and_names_the_line() {
    let pen = signed();
    let changed = by_hand(&pen.site, |entry| {
        if let Do::Read(read) = &mut entry.what
            && read.line.as_str() == "B-1"
        {
            read.value = linewright::quantity::Value::Ohm(Ohm(281.0));
            read.text = "281".to_owned();
        }
    });
    assert_eq!(broken(&changed), [("B-1".to_owned(), Break::Unexplained)]);
    assert!(words(&changed).starts_with("B-1: is not what was signed"));
}

#[test]
fn a_design_changed_by_hand_names_its_line_and_one_of_an_output_the_output() {
    let pen = signed();
    let mut rows = pen.site.elements().rows();
    for row in &mut rows {
        match &mut row.is {
            Design::Loudspeaker(it) if row.id == "H-2/LS-3" => it.control = true,
            Design::Output(it) if row.id == "A1/2" => it.rated_w = None,
            _ => {}
        }
    }
    let mut log = Log::default();
    for entry in pen.site.log().entries() {
        log.add(entry.clone());
    }
    let changed = Site::new(pen.site.id().clone(), Elements::from_iter(rows), log);
    let mut all = broken(&changed);
    all.sort_by(|a, b| a.0.cmp(&b.0));
    assert_eq!(
        all,
        [
            ("A1/2".to_owned(), Break::Unexplained),
            ("H-2".to_owned(), Break::Unexplained)
        ]
    );
}

#[test]
fn the_seals_own_name_date_and_digests_cannot_be_changed_unseen() {
    let pen = signed();
    for change in [
        (|entry: &mut Entry| {
            if let Do::Seal(seal) = &mut entry.what {
                seal.name = "Somebody Else".to_owned();
            }
        }) as fn(&mut Entry),
        |entry| {
            if matches!(entry.what, Do::Seal(_)) {
                entry.at = "2027-01-01T00:00:00Z".parse().unwrap();
            }
        },
        |entry| {
            if let Do::Seal(seal) = &mut entry.what {
                seal.limits[0].1 = 0.3;
            }
        },
    ] {
        let changed = by_hand(&pen.site, change);
        let all = broken(&changed);
        assert!(
            all.iter().any(|(_, how)| *how == Break::OwnWords),
            "{all:?}"
        );
    }
}

#[test]
fn a_limit_changed_after_the_signature_is_told_with_both_values() {
    let pen = signed();
    let mut elements = Elements::from_iter(pen.site.elements().rows());
    elements.add(
        Ref::Figure("tolerance".to_owned()),
        Stamp("i-x".to_owned()),
        Design::Figure(FigureDesign { value: 0.2 }),
    );
    let mut log = Log::default();
    for entry in pen.site.log().entries() {
        log.add(entry.clone());
    }
    let changed = Site::new(pen.site.id().clone(), elements, log);
    assert!(
        words(&changed).contains("the limit tolerance was 0.1 when it was signed and is 0.2"),
        "{}",
        words(&changed)
    );
}

#[test]
fn the_next_visit_reads_on_without_breaking_the_last_ones_seal() {
    let pen = signed();
    let mut elements = Elements::from_iter(pen.site.elements().rows());
    elements.add(
        Ref::Visit("visit-2".into()),
        Stamp("i-v".to_owned()),
        Design::Visit(Visit {
            label: "visit-2".to_owned(),
            returning: true,
        }),
    );
    let mut log = Log::default();
    for entry in pen.site.log().entries() {
        log.add(entry.clone());
    }
    let mut next = Pen::by(
        Site::new(pen.site.id().clone(), elements, log),
        "nextnextnextnext",
        90_000_000,
    );
    next.read("H-1", "300");
    assert_eq!(broken(&next.site), []);
}

#[test]
fn a_tick_struck_after_the_signature_is_seen_be_it_of_the_visit_an_amplifier_or_a_line() {
    for item in ["leads-zeroed", "locked", "joints-closed"] {
        let mut pen = signed();
        let tick = pen
            .site
            .log()
            .entries()
            .iter()
            .find(|entry| matches!(&entry.what, Do::Tick(tick) if tick.item == item));
        let tick = tick.unwrap().id.clone();
        let id = pen.void(&tick);
        let all = broken(&pen.site);
        assert!(!all.is_empty(), "{item}");
        assert!(
            all.iter().all(|(_, how)| *how == Break::Later(id.clone())),
            "{item}"
        );
    }
}

#[test]
fn a_seal_of_one_zone_is_not_broken_by_what_happens_in_another() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.sign(Ref::Zone("Lobby".into()));
    pen.read("H-1", "340");
    assert_eq!(broken(&pen.site), []);
    let id = pen.read("L-1", "560");
    assert_eq!(broken(&pen.site), [("L-1".to_owned(), Break::Later(id))]);
}

#[test]
fn one_signed_again_speaks_for_its_part_and_the_whole_site_for_every_part() {
    let lobby = || Ref::Zone("Lobby".into());
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.sign(lobby());
    pen.read("L-1", "560");
    let again = pen.sign(lobby());
    let latest = |pen: &Pen| {
        let all = latest_seals(&pen.site).into_iter();
        all.map(|it| (it.entry.id.clone(), it.is_intact()))
            .collect::<Vec<_>>()
    };
    assert_eq!(seals(&pen.site).len(), 2);
    assert_eq!(latest(&pen), [(again.clone(), true)]);
    pen.read("L-1", "559");
    assert_eq!(latest(&pen), [(again, false)]);
    let whole = pen.sign(Ref::Site);
    assert_eq!(latest(&pen), [(whole.clone(), true)]);
    // A part signed after the whole stands beside it, the newest first.
    let part = pen.sign(lobby());
    assert_eq!(latest(&pen), [(part, true), (whole, true)]);
}

#[test]
fn a_signature_taken_back_is_shown_as_that() {
    let mut pen = Pen::on(hall());
    pen.finish();
    let id = pen.sign(Ref::Site);
    pen.void(&id);
    assert_eq!(broken(&pen.site), [("site".to_owned(), Break::Withdrawn)]);
}

/// How the one seal stands.
fn standing(site: &Site) -> Standing {
    only(site).standing(site)
}

#[test]
fn what_came_later_and_was_taken_back_leaves_the_figures_as_sealed_and_names_its_line() {
    let mut pen = signed();
    assert_eq!(standing(&pen.site), Standing::Intact);
    let slip = pen.read("H-1", "340");
    assert_eq!(standing(&pen.site), Standing::Broken);
    let strike = pen.void(&slip);
    assert_eq!(standing(&pen.site), Standing::TakenBack);
    assert_eq!(only(&pen.site).labels(&pen.site), ["H-1"]);
    // The slip and its strike are both still told.
    assert_eq!(words(&pen.site).lines().count(), 2);
    // Done again it differs, and so on.
    let again = pen.void(&strike);
    assert_eq!(standing(&pen.site), Standing::Broken);
    pen.void(&again);
    assert_eq!(standing(&pen.site), Standing::TakenBack);
    // Another slip that stands beside one that does not.
    pen.read("H-2", "340");
    assert_eq!(standing(&pen.site), Standing::Broken);
}

#[test]
fn a_strike_of_what_was_signed_is_broken_until_that_strike_is_struck() {
    let mut pen = Pen::on(hall());
    let read = pen.read_as_drawn("H-1");
    pen.finish();
    pen.sign(Ref::Site);
    assert_eq!(standing(&pen.site), Standing::Intact);
    let strike = pen.void(&read);
    assert_eq!(standing(&pen.site), Standing::Broken);
    pen.void(&strike);
    assert_eq!(standing(&pen.site), Standing::TakenBack);
    // One strike of both something later and something signed is none of the calm ones.
    let later = pen.read("H-2", "340");
    pen.write(Do::Void(linewright::site::Void {
        of: vec![later, read],
    }));
    assert_eq!(standing(&pen.site), Standing::Broken);
}

#[test]
fn a_figure_corrected_after_the_signature_differs_until_the_correction_is_struck() {
    let mut pen = Pen::on(hall());
    let read = pen.read_as_drawn("H-1");
    pen.finish();
    pen.sign(Ref::Site);
    let what = pen.site.log().get(&read).unwrap().what.clone();
    let correction = pen.write_with(what, None, Some(read));
    // Its figure is the same, the entry is another: that is not for a program to weigh.
    assert_eq!(standing(&pen.site), Standing::Broken);
    pen.void(&correction);
    assert_eq!(standing(&pen.site), Standing::TakenBack);
}

#[test]
fn beside_a_change_of_another_kind_nothing_is_calm() {
    let mut pen = signed();
    let slip = pen.read("H-1", "340");
    pen.void(&slip);
    assert_eq!(standing(&pen.site), Standing::TakenBack);
    // A hand in the file, a design.
    let forged = by_hand(&pen.site, |entry| {
        if matches!(entry.what, Do::Read(_)) && entry.id != slip {
            entry.by = "someone else".to_owned();
        }
    });
    assert_eq!(standing(&forged), Standing::Broken);
    pen.edit_run("H-1/LS-1", 99.0);
    assert_eq!(standing(&pen.site), Standing::Broken);
}

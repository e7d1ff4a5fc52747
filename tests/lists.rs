//! The lists at the rack are evaluated once: the list on the screen, what stands in the way of signing
//! and the record never say different things of one tick.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;

use desk::{Desk, hall};
use linewright::analysis::Analyst;
use linewright::quantity::{Insulation, Ohm, Volt};
use linewright::report::Assessment;
use linewright::review::{ListStands, Lists, Matter, review};
use linewright::site::{CORES_OFF, CORES_ON, Do, Insulate, LISTS, Leg, Ref, Site, Tick, TickIs};
use pen::Pen;

/// Before what is ticked, on the screen.
const DONE: char = '=';

/// What the record says of an item of the first amplifier: its word, lines done of how many.
fn in_record(site: &Site, item: &str) -> Option<(Option<&'static str>, Option<[usize; 2]>)> {
    let data = Assessment::of(site, &Analyst::new(site), None);
    let row = data.ticks.iter().find(|row| row.item == item)?;
    Some((row.is, row.lines))
}

/// Whether an item stands in the way of signing, and its words.
fn in_review(site: &Site, item: &str) -> Option<String> {
    let at = LISTS.iter().position(|row| row.item == item).unwrap();
    let list = review(site, &Analyst::new(site), &Ref::Site);
    let found = list.open().find(|row| row.matter == Matter::Tick(at));
    found.map(|row| row.words.clone())
}

/// Rows of the list on the screen that have these words, each with the sign before it.
fn on_screen(site: &Site, words: &str) -> Vec<String> {
    let mut desk = Desk::at(site.clone());
    desk.resize(80, 100);
    desk.keys("gr");
    desk.screen()
        .lines()
        .filter_map(|row| row.split('\u{2502}').next())
        .filter(|row| row.contains(words))
        .map(|row| row.trim_start_matches('>').trim().to_owned())
        .collect()
}

fn insulation(pen: &mut Pen, line: &str) {
    let state = pen.site.history(&line.into()).state();
    pen.write(Do::Insulate(Insulate {
        line: line.into(),
        state,
        leg: Leg::Both,
        text: ">999M".to_owned(),
        after_s: None,
        value: Insulation::Above(Ohm(999e6)),
        test_v: Volt(500.0),
        instrument: "insulation".into(),
        note: None,
    }));
}

#[test]
fn insulation_read_without_being_asked_for_has_its_steps_on_all_three() {
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("H-1");
    assert_eq!(in_record(&pen.site, "discharged"), None);
    assert_eq!(in_review(&pen.site, "discharged"), None);
    assert!(on_screen(&pen.site, "both cores discharged").is_empty());
    insulation(&mut pen, "H-1");
    assert_eq!(
        in_record(&pen.site, "discharged"),
        Some((None, Some([0, 1])))
    );
    assert_eq!(
        in_review(&pen.site, "discharged").as_deref(),
        Some("not ticked: both cores discharged, H-1")
    );
    assert_eq!(on_screen(&pen.site, "both cores discharged").len(), 1);
    pen.tick("discharged", vec![Ref::Line("H-1".into())]);
    assert_eq!(
        in_record(&pen.site, "discharged"),
        Some((Some("done"), Some([1, 1])))
    );
    assert_eq!(in_review(&pen.site, "discharged"), None);
    assert!(on_screen(&pen.site, "both cores discharged")[0].starts_with(DONE));
}

#[test]
fn a_tick_for_the_whole_site_holds_for_every_amplifier_on_all_three() {
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("H-1");
    assert!(in_review(&pen.site, "told").is_some());
    pen.tick("told", vec![Ref::Site]);
    assert_eq!(in_record(&pen.site, "told"), Some((Some("done"), None)));
    assert_eq!(in_review(&pen.site, "told"), None);
    // Ticked, and after the reading it comes before.
    let row = &on_screen(&pen.site, "occupants, monitoring told")[0];
    assert!(row.starts_with("~ late"), "{row}");
}

#[test]
fn what_is_left_out_without_a_reason_waits_and_with_one_does_not() {
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("H-1");
    for (why, waits) in [(" ", true), ("no supervision fitted", false)] {
        let visit = pen.site.visit();
        let of = vec![Ref::Amplifier(pen.site.plan().amplifiers[0].id.clone())];
        pen.write(Do::Tick(Tick {
            item: "supervision".to_owned(),
            of,
            visit,
            is: TickIs::NotHere(why.to_owned()),
        }));
        assert_eq!(in_review(&pen.site, "supervision").is_some(), waits);
        let is = (!waits).then_some("not here");
        assert_eq!(in_record(&pen.site, "supervision"), Some((is, None)));
        let shown = on_screen(&pen.site, "supervision re-taught");
        assert_eq!(shown[0].starts_with('.'), waits, "{shown:?}");
    }
}

#[test]
fn a_line_taken_off_once_more_after_it_went_back_is_not_back_on_any_of_the_three() {
    let mut pen = Pen::on(hall());
    let line = || vec![Ref::Line("H-1".into())];
    pen.tick(CORES_OFF, line());
    pen.tick(CORES_ON, line());
    assert_eq!(
        in_record(&pen.site, CORES_ON),
        Some((Some("done"), Some([1, 1])))
    );
    pen.tick(CORES_OFF, line());
    assert_eq!(in_record(&pen.site, CORES_ON), Some((None, Some([0, 1]))));
    let rows = Lists::of(&pen.site).rows(0);
    let back = rows
        .iter()
        .filter(|row| row.item.item == CORES_ON && row.stands.waits());
    assert_eq!(back.count(), 1);
    // Of the others nothing was off: nothing to put back.
    let nothing = rows.iter().filter(|row| {
        row.item.item == CORES_ON && matches!(row.stands, ListStands::Nothing("not off"))
    });
    let plan = pen.site.plan();
    let lines = plan.outputs[plan.amplifiers[0].outputs.clone()].iter();
    assert_eq!(
        nothing.count(),
        lines.map(|it| it.lines.len()).sum::<usize>() - 1
    );
}

#[test]
fn insulation_read_before_a_repair_has_its_steps_asked_for_and_so_has_a_line_that_is_back_on() {
    let mut pen = Pen::on(hall());
    pen.tick(CORES_OFF, vec![Ref::Line("H-1".into())]);
    pen.read_as_drawn("H-1");
    insulation(&mut pen, "H-1");
    pen.repair("H-1", "joint remade", None);
    pen.read_as_drawn("H-1");
    pen.tick(CORES_ON, vec![Ref::Line("H-1".into())]);
    // A test at 500 V was made, whatever was mended after it.
    for (item, words) in [
        ("devices-off", "devices off at both ends"),
        ("far-ends-warned", "nobody touching, ends warned"),
        ("cores-joined", "cores joined, against earth"),
        ("discharged", "both cores discharged"),
    ] {
        assert_eq!(in_record(&pen.site, item), Some((None, Some([0, 1]))));
        let wanted = format!("not ticked: {words}, H-1");
        assert_eq!(in_review(&pen.site, item), Some(wanted));
        let (brief, _) = words.split_once(',').unwrap_or((words, ""));
        let row = on_screen(&pen.site, &format!("H-1     {brief}"));
        assert_eq!(row.len(), 1, "{row:?}");
        pen.tick(item, vec![Ref::Line("H-1".into())]);
        assert_eq!(in_review(&pen.site, item), None);
    }
}

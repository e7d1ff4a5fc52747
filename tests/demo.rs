//! The demo site: its RON says what its two CSV files say, and has lines still off the amplifier.
//!
//! To make sites/glasshouse.ron anew after a change of the CSV files:
//! `cargo test --test demo -- --ignored`

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use linewright::analysis::Analyst;
use linewright::diagnosis::{
    KnownResistor, Meter, Prepared, Reading, SiteFault, SiteHint, SiteLine, SiteTerm, Surveyed,
    learn, site_hints,
};
use linewright::quantity::{Fraction, Ohm};
use linewright::site::{
    CORES_OFF, CORES_ON, Do, Elements, Entry, InstrumentId, LineId, Log, Ref, Site, Tick, TickIs,
};
use linewright::storage::{
    Disk, Files, Schedule, format1, overwrite, read_readings, read_schedule,
};
use std::path::Path;

const NAME: &str = "Fernmoth Glasshouse";
const RON: &str = "sites/glasshouse.ron";

fn from_csv() -> Site {
    let file = |name: &str| Disk.read(Path::new(name), 1 << 20).unwrap();
    let schedule = "sites/glasshouse-schedule.csv";
    let Schedule {
        id,
        items,
        warnings,
        ..
    } = read_schedule(schedule, &file(schedule), &[], NAME).unwrap();
    assert_eq!(warnings, []);
    let mut site = Site::new(id, Elements::from_iter(items), Log::default());
    let readings = "sites/glasshouse-readings.csv";
    let now = "2026-11-25T00:00:00Z".parse().unwrap();
    let recorded = read_readings(readings, &file(readings), &site, now, "nobody", &mut || {
        panic!("no time")
    })
    .unwrap();
    for entry in recorded.entries {
        site.apply(entry);
    }
    site
}

/// What the readings CSV has no rows for: lines taken off the amplifier, and put back.
fn ticks() -> Vec<Entry> {
    let rows: [(&str, &str, &[&str]); 4] = [
        (
            "2026-11-24T08:51:10Z",
            CORES_OFF,
            &[
                "PH-1", "PH-2", "PH-3", "PH-4", "PH-5", "FH-1", "FH-2", "FH-3", "OH-1", "OH-2",
            ],
        ),
        (
            "2026-11-24T09:29:30Z",
            CORES_ON,
            &[
                "PH-1", "PH-2", "PH-3", "PH-5", "FH-1", "FH-2", "FH-3", "OH-1",
            ],
        ),
        (
            "2026-11-24T10:04:20Z",
            CORES_OFF,
            &[
                "CH-1", "CH-2", "LH-1", "LH-2", "LH-3", "TH-1", "TH-2", "SH-1", "CF-1", "CF-2",
            ],
        ),
        (
            "2026-11-24T10:54:05Z",
            CORES_ON,
            &["CH-2", "LH-2", "LH-3", "TH-2", "SH-1", "CF-2"],
        ),
    ];
    (1..)
        .zip(rows)
        .map(|(count, (at, item, lines))| Entry {
            at: at.parse().unwrap(),
            id: format!("demo2glasshouse2-{count}").into(),
            by: "engineer A".to_owned(),
            what: Do::Tick(Tick {
                item: item.to_owned(),
                of: lines
                    .iter()
                    .map(|line| Ref::Line(LineId::from(*line)))
                    .collect(),
                visit: "visit-1".into(),
                is: TickIs::Done,
            }),
            act: None,
            row: None,
            corrects: None,
            why: None,
        })
        .collect()
}

#[test]
fn the_demo_file_holds_what_its_csv_files_make_and_the_ticks_beside() {
    let bytes = Disk.read(Path::new(RON), 1 << 20).unwrap();
    let demo = format1::read(RON, &bytes).unwrap().site;
    let made = from_csv();
    assert_eq!(demo.id(), made.id());
    assert_eq!(demo.elements(), made.elements());
    let (ticked, read): (Vec<_>, Vec<_>) = demo
        .log()
        .rows()
        .into_iter()
        .cloned()
        .partition(|entry| matches!(entry.what, Do::Tick(_)));
    assert_eq!(
        read,
        made.log().rows().into_iter().cloned().collect::<Vec<_>>()
    );
    assert_eq!(ticked, ticks());
    let off: Vec<&str> = demo
        .plan()
        .lines
        .iter()
        .filter(|line| demo.history(&line.id).is_off())
        .map(|line| line.label.as_str())
        .collect();
    assert_eq!(off, ["PH-4", "OH-2", "CH-1", "LH-1", "TH-1", "CF-1"]);
}

#[test]
#[ignore = "writes sites/glasshouse.ron"]
fn make_the_demo_file_anew() {
    let mut site = from_csv();
    for tick in ticks() {
        site.apply(tick);
    }
    overwrite(&Disk, Path::new(RON), &site).unwrap();
}

/// What the whole demo site shows, from the readings on record.
fn shown() -> Vec<SiteHint> {
    let bytes = Disk.read(Path::new(RON), 1 << 20).unwrap();
    let site = format1::read(RON, &bytes).unwrap().site;
    let figures = site.figures();
    let analyst = Analyst::new(&site);
    let meter = |instrument: &InstrumentId| Meter {
        instrument: instrument.clone(),
        visit: site.visit(),
        hand: None,
    };
    let (mut terms, mut small) = (Vec::new(), Vec::new());
    for (plan, result) in site.plan().lines.iter().zip(analyst.lines()) {
        let reading = result.taken.as_ref().map(|taken| Reading {
            meter: meter(taken.instrument.as_ref().unwrap()),
            ..Reading::at_rack(taken.value, taken.step, Fraction(0.05), figures)
        });
        let Some(reading) = reading else {
            terms.push(None);
            small.push(None);
            continue;
        };
        let prepared = Prepared::new(plan, figures, site.returning());
        terms.push(SiteTerm::of(&prepared, &reading));
        small.push(SiteLine::of(&prepared, &reading));
    }
    // Its log begins with a known resistor: 325 for 330 ohm.
    let check = KnownResistor {
        meter: meter(&"meter".into()),
        accuracy: Fraction(0.05),
        known: Ohm(330.0),
        read: Ohm(325.0),
        step: Ohm(1.0),
    };
    let terms: Vec<Option<&SiteTerm>> = terms.iter().map(Option::as_ref).collect();
    let checks = [check];
    let shared = learn(&terms, &checks, figures).shared();
    let lines = site.plan().lines.iter().zip(&small);
    let lines: Vec<Surveyed<'_>> = lines
        .enumerate()
        .map(|(turn, (plan, read))| Surveyed {
            plan,
            read: read.as_ref(),
            turn,
        })
        .collect();
    site_hints(&lines, &shared, &checks, figures, site.returning())
}

#[test]
fn the_demo_shows_its_swapped_labels_and_its_lost_multiplier_and_not_much_else() {
    let hints = shown();
    let mut found: Vec<(SiteFault, Vec<&str>)> = hints
        .iter()
        .filter(|hint| hint.probability.get() > 0.5)
        .map(|hint| (hint.fault, hint.lines.iter().map(LineId::as_str).collect()))
        .collect();
    found.sort();
    // The meter is 1.5 % low and some types draw 2 to 3 % less than marked, as its README says.
    let wanted = [
        (SiteFault::SwappedLabels, vec!["FH-1", "FH-3"]),
        (SiteFault::RangeMultiplier, vec!["PH-5"]),
        (SiteFault::CommonFactor, vec![]),
        (SiteFault::CommonType, vec![]),
    ];
    assert_eq!(found, wanted, "{hints:#?}");
}

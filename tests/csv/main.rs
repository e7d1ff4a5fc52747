//! Schedules and readings as spreadsheets hand them in: read, refused row by row, read again.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod anything;
mod log;
mod readings;
mod revised;
mod schedule;

use linewright::site::{
    Cable, Design, Do, Elements, Entry, EntryId, Item, LineId, Log, Ref, Site, check,
};
use linewright::storage::{
    Recorded, RowProblem, Schedule, is_revision, read_cables, read_readings, read_schedule, revise,
    write_log,
};
use std::path::Path;

fn file(path: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

fn text(path: &str) -> String {
    String::from_utf8(file(path)).unwrap()
}

fn now() -> jiff::Timestamp {
    "2026-11-25T09:00:00Z".parse().unwrap()
}

fn import(schedule: &[u8]) -> Site {
    let Schedule { id, items, .. } = read_schedule("schedule.csv", schedule, &[], "Test").unwrap();
    Site::new(id, items.into_iter().collect(), Log::default())
}

fn record(site: &mut Site, readings: &[u8]) -> Recorded {
    let recorded = read(site, readings).unwrap();
    for entry in &recorded.entries {
        assert!(site.apply(entry.clone()));
    }
    recorded
}

fn read(site: &Site, readings: &[u8]) -> Result<Recorded, Vec<RowProblem>> {
    // Ids go on counting over what the site holds.
    let mut n = site.log().entries().len();
    let mut next = || {
        n += 1;
        EntryId(format!("w-{n}"))
    };
    read_readings(
        "readings.csv",
        readings,
        site,
        now(),
        "engineer A",
        &mut next,
    )
}

fn words(problems: &[RowProblem]) -> Vec<String> {
    problems.iter().map(ToString::to_string).collect()
}

#[track_caller]
fn sound(site: &Site) {
    assert_eq!(check(site.elements(), site.log()), []);
}

const SMALL: &str = "\
amplifier,output,rated_w,line_v,zone,line,loudspeaker,what,tap_w,taps_w,type,dc_block,control,device,from,run_m,cable
A1,1,240,100,Hall,L-1,LS-1,,6,1.5|3|6,bowl,,,,,12.5,1.5 mm2
A1,1,240,100,Hall,L-1,LS-2,,1.5,1.5|3|6,,,yes,,LS-1,8,16 AWG
A1,2,,70.7,Yard,L-2,J-1,junction,,,,,,,rack,20,\"2,5 mm²\"
A1,2,,70.7,Yard,L-2,LS-1,,10,,horn,yes,,,,,
A1,2,,70.7,Yard,L-2,EOL,device,,,,,,22k + 100nF,J-1,0,
";

const KINDS: &str = "\
line,kind,value,at,side,leg,test_v,known_ohms,visit,instrument,phase_deg,hz,when,person,note,corrects
,check,325,,,,,330,,,,,2026-11-24T08:50:00Z,engineer A,leads zeroed,
L-2,insulation,>999M,,,a,500,,,,,,2026-11-24T08:52:00Z,engineer A,,
L-1,impedance,1.6k,,,,,,visit-1,meter,-3.5,1000,2026-11-24T08:55:00Z,engineer A,\"damp, cold\",
L-1,impedance,41 x10,LS-2,near,,,,,,,,2026-11-24T08:56:00Z,engineer B,,
L-1,impedance,2.2k,LS-2,far,,,,,,,,2026-11-24T08:57:00Z,engineer B,,
L-1,impedance,900,LS-2,,,,,,,,,2026-11-24T08:58:00Z,engineer B,,
L-1,dc,12.5,,,,,,,,,,2026-11-24T08:59:00Z,engineer A,,
L-1,listen,Silent,LS-2,,,,,,amplifier,,,2026-11-24T09:00:00Z,engineer A,,
L-1,repair,\"=joint remade, LS-2\",LS-2,,,,,,,,,2026-11-24T09:10:00Z,engineer A,@once,
L-1,impedance,open,,,,,,,,,,2026-11-24T09:12:00Z,engineer A,,
L-2,impedance,short,,,,,,,,,,,,-no when,
";

//! A spreadsheet of a stranger is a schedule, readings, cables, or a list of what is wrong with it.

#![no_main]

use libfuzzer_sys::fuzz_target;
use layers::site::{Elements, EntryId, Log, Site};
use layers::storage::{Schedule, read_cables, read_readings, read_schedule, write_log};
use std::sync::OnceLock;

const SCHEDULE: &[u8] = include_bytes!("../../../sites/glasshouse-schedule.csv");

fn glasshouse() -> &'static Site {
    static SITE: OnceLock<Site> = OnceLock::new();
    SITE.get_or_init(|| {
        let Schedule { id, items, .. } = read_schedule("schedule.csv", SCHEDULE, &[], "Glasshouse").unwrap();
        Site::new(id, Elements::from_iter(items), Log::default())
    })
}

fuzz_target!(|bytes: &[u8]| {
    let _ = read_cables("cables.csv", bytes);
    if let Ok(Schedule { id, items, .. }) = read_schedule("schedule.csv", bytes, &[], "Made up") {
        let site = Site::new(id, Elements::from_iter(items), Log::default());
        // What was accepted can be put together and written.
        let _ = site.plan();
        layers::storage::format1::write(&site).unwrap();
    }
    let now = "2026-11-25T12:00:00Z".parse().unwrap();
    let mut n = 0;
    let mut next = || {
        n += 1;
        EntryId(format!("fuzzfuzzfuzzfuzz-{n}"))
    };
    if let Ok(read) = read_readings("r.csv", bytes, glasshouse(), now, "engineer A", &mut next) {
        let mut site = glasshouse().clone();
        for entry in read.entries {
            site.apply(entry);
        }
        assert!(!write_log(&site).is_empty());
    }
});

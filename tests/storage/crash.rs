//! A power cut or a kill before every operation, and every operation failing, on the simulated disk.
//!
//! What must hold at the end: every entry that was shown as recorded is there; nothing is there that
//! was not typed; a second opening changes nothing; every failure has its sentence, and once it is
//! over entries are recorded again.

use super::bench::entry_by;
use super::simulated::{EACCES, EIO, ENOSPC, EROFS, Plan, Simulated};
use jiff::Timestamp;
use linewright::site::{Elements, Entry, Log, Site, WriterId, birth_items};
use linewright::storage::format1::write;
use linewright::storage::{Access, Files, Notice, Opened, Store, StoreError, Who, open};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

const SITE: &str = "/site/S.ron";
const OPENINGS: usize = 3;

/// How long the seeds of one test may take; a named variable asks for more.
fn budget() -> (Duration, u64) {
    let named = std::env::var("LINEWRIGHT_CRASH_SEEDS").ok();
    match named.and_then(|text| text.parse().ok()) {
        Some(seeds) => (Duration::from_secs(24 * 3600), seeds),
        None => (Duration::from_secs(6), 300),
    }
}

/// Runs the seeds on both halves of the machine until the time is up; at least two each.
fn over_seeds(what: &str, run: impl Fn(u64) -> usize + Sync) {
    let (time, most) = budget();
    let until = Instant::now() + time;
    let (mut seeds, mut states) = (0, 0);
    std::thread::scope(|scope| {
        let half = |first: u64| {
            let run = &run;
            scope.spawn(move || {
                let mut done = (0, 0);
                for seed in (first..most).step_by(2) {
                    if done.0 >= 2 && Instant::now() > until {
                        break;
                    }
                    done = (done.0 + 1, done.1 + run(seed));
                }
                done
            })
        };
        for handle in [half(0), half(1)] {
            let (own, own_states) = handle.join().unwrap();
            seeds += own;
            states += own_states;
        }
    });
    println!("{what}: {states} states of {seeds} seeds, 0 lost");
}

fn base() -> Site {
    Site::new(
        "s-a".into(),
        Elements::from_iter(birth_items()),
        Log::default(),
    )
}

fn writer(n: usize) -> WriterId {
    let letter = |at: usize| char::from(b'a' + u8::try_from(at % 26).unwrap());
    WriterId(format!("aaaaaaaaaaaaaa{}{}", letter(n / 26), letter(n)))
}

/// What went on, over all programs that ran.
#[derive(Default)]
struct Day {
    openings: usize,
    typed: Vec<Entry>,
    shown: Vec<Entry>,
    said: Vec<String>,
}

impl Day {
    fn open(&mut self, disk: &Simulated) -> Result<Opened, StoreError> {
        let who = Who {
            name: "engineer A".into(),
            machine: "LAPTOP-2".into(),
        };
        self.openings += 1;
        let writer = writer(self.openings);
        let now = Timestamp::from_second(1_800_000_000).unwrap();
        open(Arc::new(disk.clone()), Path::new(SITE), &who, now, &writer)
    }

    fn type_one(&mut self, store: &mut Store, site: &mut Site, count: usize) {
        let writer = writer(self.openings);
        let new: Vec<Entry> = (0..count)
            .map(|_| {
                let entry = entry_by(&writer, self.typed.len() + 1);
                self.typed.push(entry.clone());
                entry
            })
            .collect();
        // The session keeps what was refused and gives it again under the same ids.
        let mut done = store.record(&new);
        if let Err(why) = &done {
            self.said.push(why.to_string());
            done = store.record(&new);
        }
        match done {
            Ok(()) => {
                self.shown.extend(new.iter().cloned());
                for entry in new {
                    site.apply(entry);
                }
            }
            Err(why) => self.said.push(why.to_string()),
        }
    }

    fn save(&mut self, store: &mut Store, site: &mut Site) {
        match store.checkpoint(site) {
            Ok(Some(joined)) => *site = joined,
            Ok(None) => {}
            Err(why) => self.said.push(why.to_string()),
        }
    }

    /// One program from its opening to its end; `closes` or is killed.
    fn sitting(&mut self, disk: &Simulated, closes: bool) {
        let opened = match self.open(disk) {
            Ok(opened) => opened,
            Err(why) => {
                self.said.push(why.to_string());
                return;
            }
        };
        self.said
            .extend(opened.notices.iter().map(ToString::to_string));
        let (mut store, mut site) = match opened.access {
            Access::Writes(store) => (store, opened.site),
            Access::ReadsOnly { held_by } => {
                self.said.push(held_by);
                return;
            }
        };
        self.type_one(&mut store, &mut site, 1);
        self.type_one(&mut store, &mut site, 2);
        self.save(&mut store, &mut site);
        self.type_one(&mut store, &mut site, 1);
        if let Err(why) = store.look() {
            self.said.push(why.to_string());
        }
        self.type_one(&mut store, &mut site, 1);
        if closes && let Err(why) = store.close(&site) {
            self.said.push(why.to_string());
        }
    }

    /// Openings without a fault: all is there, nothing else is, and the second changes nothing.
    fn reckon(&mut self, disk: &Simulated, how: &str) {
        disk.plan(Plan::Well);
        let first = match self.open(disk) {
            Ok(opened) => opened,
            Err(why) => panic!("{how}: {why}"),
        };
        for entry in &self.shown {
            let there = first.site.log().entries().contains(entry);
            assert!(there, "{how}: {} is lost: {:?}", entry.id, first.notices);
        }
        for entry in first.site.log().entries() {
            assert!(self.typed.contains(entry), "{how}: {} came up", entry.id);
        }
        let Access::Writes(mut store) = first.access else {
            panic!("{how}: read only")
        };
        let mut site = first.site;
        self.type_one(&mut store, &mut site, 1);
        assert!(
            self.shown.last() == self.typed.last(),
            "{how}: no new entry"
        );
        store
            .close(&site)
            .unwrap_or_else(|why| panic!("{how}: {why}"));
        let second = self.open(disk).unwrap();
        assert_eq!(second.site.log(), site.log(), "{how}");
        assert_eq!(second.site.elements(), site.elements(), "{how}");
        let recovers = |notice: &Notice| matches!(notice, Notice::Recovered { .. });
        assert!(!second.notices.iter().any(recovers), "{how}");
        disk.kill();
        let litter: Vec<String> = disk
            .files()
            .into_keys()
            .filter(|name| name.contains(".tmp-") || name.contains(".journal-"))
            .collect();
        assert_eq!(litter.len(), 1, "{how}: {litter:?}");
    }
}

fn disk(seed: u64) -> Simulated {
    Simulated::with(Path::new(SITE), &write(&base()).unwrap(), seed)
}

/// Three sittings, the second killed at its end; none after the one that is killed by plan.
fn sittings(day: &mut Day, disk: &Simulated) {
    for n in 0..OPENINGS {
        day.sitting(disk, n != 1);
        if disk.killed() {
            break;
        }
        disk.kill();
    }
}

/// The operations of three sittings without a fault.
fn operations() -> Vec<&'static str> {
    let disk = disk(0);
    let mut day = Day::default();
    disk.plan(Plan::Well);
    sittings(&mut day, &disk);
    let names = disk.names();
    assert_eq!(day.shown.len(), OPENINGS * 5);
    day.reckon(&disk, "without a fault");
    names
}

#[test]
fn a_power_cut_or_a_kill_before_any_operation_loses_nothing_that_was_shown() {
    let all = operations().len();
    assert!(all > 90, "{all}");
    over_seeds("power cuts and kills", |seed| {
        for before in 0..all {
            let disk = disk(seed * 1_000 + before as u64);
            let mut day = Day::default();
            let ends = |disk: &Simulated| {
                if disk.below(4) == 0 {
                    disk.kill();
                } else {
                    disk.cut();
                }
            };
            disk.plan(Plan::Killed { before });
            sittings(&mut day, &disk);
            assert!(disk.killed(), "{before} of {all}");
            ends(&disk);
            // The recovery is cut too, and the sitting after it.
            for _ in 0..disk.below(3) {
                let before = disk.below(45);
                disk.plan(Plan::Killed { before });
                day.sitting(&disk, true);
                ends(&disk);
            }
            day.reckon(&disk, &format!("seed {seed}, before {before}"));
        }
        all
    });
}

#[test]
fn any_operation_failing_once_or_for_good_is_said_and_loses_nothing_at_a_cut() {
    let names = operations();
    over_seeds("failures, then a cut", |seed| {
        let mut states = 0;
        for at in 0..names.len() {
            // Each failure for each operation is one of any four seeds that follow each other.
            let errno = [ENOSPC, EIO, EROFS, EACCES][(seed as usize + at) % 4];
            for for_good in [false, true] {
                let how = format!(
                    "seed {seed}, {} ({at}) fails with {errno}{}",
                    names[at],
                    if for_good { " for good" } else { "" }
                );
                let disk = disk(seed * 1_000 + at as u64);
                let mut day = Day::default();
                // Half of them live to the end; the others do not come to the next save.
                let lives = disk.below(2) == 0;
                let more = 1 + disk.below(30);
                disk.plan(Plan::Fails {
                    at,
                    errno,
                    for_good,
                    dies_before: if lives { usize::MAX } else { at + more },
                });
                sittings(&mut day, &disk);
                if for_good && lives {
                    // A refusal says what the system said.
                    let words = std::io::Error::from_raw_os_error(errno).to_string();
                    let said = |text: &String| {
                        text.contains(&words)
                            || text.contains("cannot be")
                            || text.contains("is missing")
                    };
                    assert!(day.said.iter().any(said), "{how}: {:?}", day.said);
                }
                disk.plan(Plan::Well);
                // Someone looks at what is left, records nothing, and is killed: of what a failed
                // sync has doomed nothing may be taken for kept.
                if disk.below(2) == 0 {
                    let _ = day.open(&disk);
                    disk.kill();
                }
                if disk.below(4) == 0 {
                    disk.kill();
                } else {
                    disk.cut();
                }
                day.reckon(&disk, &how);
                states += 1;
            }
        }
        states
    });
}

#[test]
fn journals_removed_by_hand_are_written_anew_with_the_next_entry() {
    over_seeds("journals removed by hand", |seed| {
        let disk = disk(seed);
        let mut day = Day::default();
        let opened = day.open(&disk).unwrap();
        let Access::Writes(mut store) = opened.access else {
            panic!("read only")
        };
        let mut site = opened.site;
        for _ in 0..3 {
            day.type_one(&mut store, &mut site, 1);
            if disk.below(2) == 0 {
                day.save(&mut store, &mut site);
            }
            for name in disk.files().keys().filter(|it| it.contains(".journal-")) {
                disk.remove(&Path::new("/site").join(name)).unwrap();
            }
            // An idle program looks once a second; a busy one at the next entry.
            if disk.below(2) == 0 {
                store.look().unwrap();
            }
        }
        day.type_one(&mut store, &mut site, 1);
        if disk.below(2) == 0 {
            disk.cut();
        } else {
            disk.kill();
        }
        day.reckon(&disk, &format!("seed {seed}"));
        1
    });
}

#[test]
fn the_openings_reach_every_one_of_the_eleven_operations_but_the_copy() {
    let names: BTreeSet<&str> = operations().into_iter().collect();
    let wanted = [
        "append",
        "create_new",
        "list",
        "lock",
        "read",
        "remove",
        "rename",
        "stat",
        "sync",
        "sync_dir",
    ];
    assert_eq!(names.into_iter().collect::<Vec<_>>(), wanted);
}

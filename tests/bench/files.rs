//! The disk's part: recording one reading, and opening a large site.

use crate::lines;
use crate::table::{Limit, Table, in_turn, time};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use linewright::session::{Access as May, Event, Opening, Session, update};
use linewright::site::{Do, Entry, EntryId, Item, Note, Ref, Site, SiteId};
use linewright::storage::{self, Access, Disk, Who, format1};
use serde::Deserialize;
use std::fs::OpenOptions;
use std::io::Write as _;
use std::path::Path;
use std::sync::Arc;

fn who() -> Who {
    Who {
        name: "engineer A".into(),
        machine: "bench".into(),
    }
}

fn open(path: &Path) -> storage::Opened {
    let now = Timestamp::now();
    let writer = storage::new_writer(path, &who(), now);
    storage::open(Arc::new(Disk), path, &who(), now, &writer).unwrap()
}

fn in_file(site: &Site) -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("site.ron");
    std::fs::write(&path, format1::write(site).unwrap()).unwrap();
    (folder, path)
}

/// (e) A reading into the journal, against an append and fsync of the same bytes and nothing else.
pub fn recording_against_append(quick: bool, table: &mut Table) {
    let (folder, path) = in_file(&lines::site(50, 6, 0));
    let Access::Writes(mut store) = open(&path).access else {
        panic!("read only")
    };
    let journal = format!("site.ron.journal-{}-1", store.writer());
    let journal = folder.path().join(journal);
    let length = || std::fs::metadata(&journal).unwrap().len();
    let template = template(&path);
    let raw = folder.path().join("raw");
    let mut raw = OpenOptions::new()
        .create_new(true)
        .append(true)
        .open(raw)
        .unwrap();
    let mut line = vec![b'x'; 400];
    line.push(b'\n');
    let mut n = 0;
    let times = if quick { 200 } else { 1_500 };
    let bytes = std::cell::Cell::new(0_usize);
    let (own, theirs) = in_turn(
        times,
        || {
            n += 1;
            let entry = Entry {
                id: EntryId(format!("aaaaaaaaaaaaaaaa-{n}")),
                ..template.clone()
            };
            let before = length();
            let (took, done) = time(|| store.record(std::slice::from_ref(&entry)));
            done.unwrap();
            bytes.set(usize::try_from(length() - before).unwrap());
            took
        },
        || {
            let same = &line[..bytes.get().min(line.len())];
            time(|| {
                raw.write_all(same).unwrap();
                raw.sync_all().unwrap();
            })
            .0
        },
    );
    table.row(
        "e: recording one reading : append and fsync of the same bytes",
        own / theirs,
        Limit::AtMost(1.1),
    );
}

/// A reading of the site, else a note.
fn template(path: &Path) -> Entry {
    let site = storage::read_only(&Disk, path).unwrap().site;
    let mut entries = site.log().entries().iter();
    let read = entries.find(|entry| matches!(entry.what, Do::Read(_)));
    read.cloned().unwrap_or_else(|| Entry {
        at: Timestamp::UNIX_EPOCH,
        id: "aaaaaaaaaaaaaaaa-1".into(),
        by: "engineer A".into(),
        what: Do::Note(Note {
            of: Ref::Site,
            text: "a note".repeat(20),
        }),
        act: None,
        row: None,
        corrects: None,
        why: None,
    })
}

/// The types of the file, as the reader has them.
#[derive(Deserialize)]
#[serde(rename = "Site", deny_unknown_fields)]
#[allow(dead_code)]
struct File {
    format: u32,
    id: SiteId,
    items: Vec<Item>,
    log: Vec<Entry>,
    questions: Vec<()>,
}

/// (f) From the file to the first frame, against `ron` reading the same bytes into the same types.
pub fn opening_against_ron(quick: bool, table: &mut Table) {
    let count = if quick { 500 } else { 5_000 };
    let (_folder, path) = in_file(&lines::site(count, 20, 100));
    let options = ron::Options::default()
        .with_default_extension(ron::extensions::Extensions::UNWRAP_VARIANT_NEWTYPES);
    let ours = || {
        let opened = open(&path);
        let Access::Writes(store) = opened.access else {
            panic!("read only")
        };
        let opening = Opening {
            by: "engineer A".into(),
            writer: store.writer().clone(),
            at: Timestamp::UNIX_EPOCH,
            access: May::Writes,
            zone: TimeZone::UTC,
            ascii: false,
        };
        let mut session = Session::new(opened.site, opening, None);
        update(&mut session, Event::Resize(100, 30));
        (session.view(), session, store)
    };
    let theirs = || -> File {
        let text = std::fs::read_to_string(&path).unwrap();
        options.from_str(&text).unwrap()
    };
    let (own, plain) = in_turn(
        if quick { 5 } else { 7 },
        || {
            let (took, (_, session, store)) = time(ours);
            // Closed, so that the next opening finds what a quiet evening leaves.
            store.close(session.site()).unwrap();
            took
        },
        || time(theirs).0,
    );
    let what = format!(
        "f: opening {} loudspeakers to the first frame : ron reading the file",
        count * 20
    );
    table.row(&what, own / plain, Limit::AtMost(1.3));
}

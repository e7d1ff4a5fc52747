//! A folder with the frozen site file in it, and entries to record.

use jiff::Timestamp;
use linewright::site::{Design, Do, Edit, Entry, EntryId, Note, Ref, Site, WriterId, Zone};
use linewright::storage::format1::read;
use linewright::storage::{Access, Disk, Files, Notice, Opened, Store, StoreError, Who, open};
use std::fs;
use std::path::PathBuf;
use std::sync::Arc;

pub const FROZEN: &str = include_str!("../data/format1.ron");
pub const WRITERS: [&str; 4] = [
    "aaaaaaaaaaaaaaaa",
    "bbbbbbbbbbbbbbbb",
    "cccccccccccccccc",
    "dddddddddddddddd",
];

pub struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("S.ron"), FROZEN).unwrap();
        Self { folder }
    }

    pub fn path(&self) -> PathBuf {
        self.folder.path().join("S.ron")
    }

    pub fn at(&self, ending: &str) -> PathBuf {
        self.folder.path().join(format!("S.ron{ending}"))
    }

    #[track_caller]
    pub fn open(&self, writer: usize) -> Opened {
        self.open_through(Arc::new(Disk), writer).unwrap()
    }

    pub fn open_through(&self, files: Arc<dyn Files>, writer: usize) -> Result<Opened, StoreError> {
        // 13:58 in the site's zone, Europe/Lisbon, where winter time is UTC.
        self.open_at("2026-11-25T13:58:00Z", files, writer)
    }

    pub fn open_at(
        &self,
        now: &str,
        files: Arc<dyn Files>,
        writer: usize,
    ) -> Result<Opened, StoreError> {
        let who = Who {
            name: "engineer A".into(),
            machine: "LAPTOP-2".into(),
        };
        let now: Timestamp = now.parse().unwrap();
        open(files, &self.path(), &who, now, &WRITERS[writer].into())
    }

    /// Names beside the site file, without the lock.
    pub fn beside(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.folder.path())
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter_map(|name| name.strip_prefix("S.ron.").map(str::to_owned))
            .filter(|name| name != "lock")
            .collect();
        names.sort();
        names
    }

    pub fn text(&self) -> String {
        fs::read_to_string(self.path()).unwrap()
    }
}

#[track_caller]
pub fn store(opened: Opened) -> (Store, Site) {
    match opened.access {
        Access::Writes(store) => (store, opened.site),
        Access::ReadsOnly { held_by } => panic!("{held_by}"),
    }
}

pub fn said(notices: &[Notice]) -> Vec<String> {
    notices.iter().map(ToString::to_string).collect()
}

pub fn entry(writer: usize, n: usize, what: Do) -> Entry {
    Entry {
        at: "2026-11-25T16:07:00Z".parse().unwrap(),
        id: EntryId(format!("{}-{n}", WRITERS[writer])),
        by: "engineer A".into(),
        what,
        act: None,
        row: None,
        corrects: None,
        why: None,
    }
}

/// A note by any opening.
pub fn entry_by(writer: &WriterId, n: usize) -> Entry {
    let of = Ref::Site;
    let text = format!("note {n}");
    Entry {
        id: EntryId(format!("{writer}-{n}")),
        ..entry(0, n, Do::Note(Note { of, text }))
    }
}

pub fn note(writer: usize, n: usize) -> Entry {
    entry(
        writer,
        n,
        Do::Note(Note {
            of: Ref::Line("P-02".into()),
            text: format!("note {n}"),
        }),
    )
}

/// An edit of a zone that stands under the stamp and label given.
pub fn edit(writer: usize, n: usize, was: (&str, &str), now: &str) -> Entry {
    let zone = |label: &str| {
        Design::Zone(Zone {
            label: label.into(),
            order: 2.0,
        })
    };
    entry(
        writer,
        n,
        Do::Edit(Edit {
            of: Ref::Zone("Stairs".into()),
            was: vec![(was.0.into(), zone(was.1))],
            now: zone(now),
            undoes: None,
        }),
    )
}

pub const STAIRS: (&str, &str) = ("i-aaaaaaaaaaaaaaag", "Stairs");

pub fn holds(site: &Site, entry: &Entry) -> bool {
    site.log().entries().contains(entry)
}

/// Records and takes in, as the session does.
#[track_caller]
pub fn record(store: &mut Store, site: &mut Site, entry: Entry) {
    store.record(std::slice::from_ref(&entry)).unwrap();
    site.apply(entry);
}

/// The site in the file itself, journals left out, as its log and elements.
pub fn linewright_site(bench: &Bench) -> Facts {
    Facts(read("S.ron", bench.text().as_bytes()).unwrap().site)
}

#[derive(Debug)]
pub struct Facts(pub Site);

impl PartialEq<Site> for Facts {
    fn eq(&self, other: &Site) -> bool {
        self.0.log() == other.log() && self.0.elements() == other.elements()
    }
}

/// A journal with three notes of an opening that was killed.
pub fn killed(bench: &Bench) -> PathBuf {
    let (mut first, mut site) = store(bench.open(0));
    for n in 1..=3 {
        record(&mut first, &mut site, note(0, n));
    }
    bench.at(".journal-aaaaaaaaaaaaaaaa-1")
}

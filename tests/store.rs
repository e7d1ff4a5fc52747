//! What was answered as recorded is on the disk, whatever happens in between.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use jiff::Timestamp;
use linewright::site::{Design, Do, Edit, Entry, EntryId, Note, Ref, Site, WriterId, Zone};
use linewright::storage::format1::{read, write};
use linewright::storage::{
    Access, Answer, Disk, Files, Keeper, Locking, Notice, OpenFile, Opened, Stat, Store,
    StoreError, Who, create, open, read_only,
};
use std::ffi::OsString;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

const FROZEN: &str = include_str!("data/format1.ron");
const WRITERS: [&str; 4] = [
    "aaaaaaaaaaaaaaaa",
    "bbbbbbbbbbbbbbbb",
    "cccccccccccccccc",
    "dddddddddddddddd",
];

struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("S.ron"), FROZEN).unwrap();
        Self { folder }
    }

    fn path(&self) -> PathBuf {
        self.folder.path().join("S.ron")
    }

    fn at(&self, ending: &str) -> PathBuf {
        self.folder.path().join(format!("S.ron{ending}"))
    }

    #[track_caller]
    fn open(&self, writer: usize) -> Opened {
        self.open_through(Arc::new(Disk), writer).unwrap()
    }

    fn open_through(&self, files: Arc<dyn Files>, writer: usize) -> Result<Opened, StoreError> {
        let who = Who {
            name: "engineer A".into(),
            machine: "LAPTOP-2".into(),
        };
        // 13:58 in the site's zone, Europe/Lisbon, where winter time is UTC.
        let now: Timestamp = "2026-11-25T13:58:00Z".parse().unwrap();
        open(files, &self.path(), &who, now, &WRITERS[writer].into())
    }

    /// Names beside the site file, without the lock.
    fn beside(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(self.folder.path())
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter_map(|name| name.strip_prefix("S.ron.").map(str::to_owned))
            .filter(|name| name != "lock")
            .collect();
        names.sort();
        names
    }

    fn text(&self) -> String {
        fs::read_to_string(self.path()).unwrap()
    }
}

#[track_caller]
fn store(opened: Opened) -> (Store, Site) {
    match opened.access {
        Access::Writes(store) => (store, opened.site),
        Access::ReadsOnly { held_by } => panic!("{held_by}"),
    }
}

fn said(notices: &[Notice]) -> Vec<String> {
    notices.iter().map(ToString::to_string).collect()
}

fn entry(writer: usize, n: usize, what: Do) -> Entry {
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

fn note(writer: usize, n: usize) -> Entry {
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
fn edit(writer: usize, n: usize, was: (&str, &str), now: &str) -> Entry {
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

const STAIRS: (&str, &str) = ("i-aaaaaaaaaaaaaaag", "Stairs");

fn holds(site: &Site, entry: &Entry) -> bool {
    site.log().entries().contains(entry)
}

/// Records and takes in, as the session does.
#[track_caller]
fn record(store: &mut Store, site: &mut Site, entry: Entry) {
    store.record(std::slice::from_ref(&entry)).unwrap();
    site.apply(entry);
}

// --- Opening, closing, killing ---------------------------------------------------------------

#[test]
fn an_opening_without_an_entry_leaves_the_file_as_it_was() {
    let bench = Bench::new();
    let (store, site) = store(bench.open(0));
    assert_eq!(bench.beside(), ["journal-aaaaaaaaaaaaaaaa-1"]);
    store.close(&site).unwrap();
    assert_eq!(bench.text(), FROZEN);
    let opened = bench.open(1);
    assert_eq!(opened.notices, []);
    assert_eq!(bench.beside(), ["journal-bbbbbbbbbbbbbbbb-1"]);
}

#[test]
fn what_was_recorded_is_there_after_a_kill_and_is_told_once() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    let read = r#"{"Read":{"line":"P-02","state":"visit-1","value":{"Ohm":416.0},"step_ohm":1.0,
        "text":"416","instrument":"meter","hz":1000.0}}"#;
    let mut reading = entry(0, 2, serde_json::from_str(read).unwrap());
    reading.at = "2026-11-25T16:08:00Z".parse().unwrap();
    record(&mut first, &mut site, reading.clone());
    drop(first);
    assert_eq!(bench.text(), FROZEN);
    let opened = bench.open(1);
    assert_eq!(
        said(&opened.notices),
        ["2 entries recovered, the last P-02 416 ohm 16:08"]
    );
    assert!(holds(&opened.site, &reading));
    // Saved before anything else, and the dead journal is gone.
    let (second, _) = store(opened);
    let saved = read_only(&Disk, &bench.path()).unwrap();
    assert!(holds(&saved.site, &note(0, 1)));
    assert_eq!(bench.beside(), ["journal-bbbbbbbbbbbbbbbb-1"]);
    assert_eq!(linewright_site(&bench), site);
    drop(second);
    assert_eq!(bench.open(2).notices, []);
}

/// The site in the file itself, journals left out, as its log and elements.
fn linewright_site(bench: &Bench) -> Facts {
    Facts(read("S.ron", bench.text().as_bytes()).unwrap().site)
}

#[derive(Debug)]
struct Facts(Site);

impl PartialEq<Site> for Facts {
    fn eq(&self, other: &Site) -> bool {
        self.0.log() == other.log() && self.0.elements() == other.elements()
    }
}

#[test]
fn who_comes_second_is_told_who_writes_and_sees_what_is_recorded() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, edit(0, 1, STAIRS, "Back stairs"));
    let second = bench.open(1);
    let Access::ReadsOnly { held_by } = &second.access else {
        panic!("two writers")
    };
    assert_eq!(held_by, "engineer A on LAPTOP-2 writes here since 13:58");
    assert_eq!(second.notices, []);
    assert_eq!(second.site.elements(), site.elements());
    assert_eq!(bench.beside(), ["journal-aaaaaaaaaaaaaaaa-1"]);
    let looked = read_only(&Disk, &bench.path()).unwrap();
    assert_eq!(looked.site.log(), site.log());
    assert_eq!(
        said(&looked.notices),
        [
            "1 entry not in the site file yet is taken from the journal, the last edit of Back stairs 16:07"
        ]
    );
    first.close(&site).unwrap();
    assert!(matches!(bench.open(1).access, Access::Writes(_)));
}

#[test]
fn a_writer_under_whose_name_no_journal_would_be_found_is_refused() {
    let bench = Bench::new();
    let who = Who {
        name: "engineer A".into(),
        machine: String::new(),
    };
    let writer = WriterId::from("../a");
    let now = Timestamp::UNIX_EPOCH;
    let why = open(Arc::new(Disk), &bench.path(), &who, now, &writer).unwrap_err();
    assert!(matches!(why, StoreError::Writer { .. }));
}

#[test]
fn closing_saves_and_the_next_opening_removes_the_journal() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, edit(0, 1, STAIRS, "Back stairs"));
    first.close(&site).unwrap();
    assert_eq!(linewright_site(&bench), site);
    assert_eq!(bench.text().as_bytes(), write(&site).unwrap());
    assert_eq!(bench.beside(), ["journal-aaaaaaaaaaaaaaaa-1"]);
    assert_eq!(bench.open(1).notices, []);
    assert_eq!(bench.beside(), ["journal-bbbbbbbbbbbbbbbb-1"]);
}

#[test]
fn an_older_version_put_back_is_told_and_the_journal_kept() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    first.close(&site).unwrap();
    fs::write(bench.path(), FROZEN).unwrap();
    let opened = bench.open(1);
    let words = said(&opened.notices).join("\n");
    assert!(words.contains("holds 1 entry that S.ron lacks"), "{words}");
    assert!(!holds(&opened.site, &note(0, 1)));
    assert_eq!(bench.beside().len(), 2);
}

#[test]
fn a_missing_site_file_is_told_with_what_its_journals_hold() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    drop(first);
    fs::remove_file(bench.path()).unwrap();
    let why = bench.open_through(Arc::new(Disk), 1).unwrap_err();
    assert!(matches!(
        why,
        StoreError::MissingButJournals { entries: 1, .. }
    ));
    fs::remove_file(bench.at(".journal-aaaaaaaaaaaaaaaa-1")).unwrap();
    let why = bench.open_through(Arc::new(Disk), 1).unwrap_err();
    assert!(matches!(why, StoreError::Missing { .. }));
}

#[test]
fn a_refused_file_stays_byte_for_byte_and_so_do_its_journals() {
    let bench = Bench::new();
    let (mut first, mut site) = store(bench.open(0));
    record(&mut first, &mut site, note(0, 1));
    drop(first);
    let broken = FROZEN.replace("voice_alarm: true,", "voice_alarm: yes,");
    fs::write(bench.path(), &broken).unwrap();
    let why = bench
        .open_through(Arc::new(Disk), 1)
        .unwrap_err()
        .to_string();
    assert!(why.contains("S.ron:12:"), "{why}");
    assert_eq!(bench.text(), broken);
    assert_eq!(bench.beside(), ["journal-aaaaaaaaaaaaaaaa-1"]);
}

// --- Damaged journals ------------------------------------------------------------------------

/// A journal with three notes of an opening that was killed.
fn killed(bench: &Bench) -> PathBuf {
    let (mut first, mut site) = store(bench.open(0));
    for n in 1..=3 {
        record(&mut first, &mut site, note(0, n));
    }
    bench.at(".journal-aaaaaaaaaaaaaaaa-1")
}

#[test]
fn a_torn_end_is_dropped_and_told() {
    let bench = Bench::new();
    let journal = killed(&bench);
    let bytes = fs::read(&journal).unwrap();
    fs::write(&journal, &bytes[..bytes.len() - 5]).unwrap();
    let opened = bench.open(1);
    assert!(holds(&opened.site, &note(0, 2)) && !holds(&opened.site, &note(0, 3)));
    let words = said(&opened.notices).join("\n");
    assert!(words.contains("the last line of S.ron.journal"), "{words}");
    assert!(words.contains("2 entries recovered"), "{words}");
    assert_eq!(bench.beside(), ["journal-bbbbbbbbbbbbbbbb-1"]);
}

#[test]
fn a_damaged_line_costs_itself_alone_and_the_journal_is_put_aside() {
    let bench = Bench::new();
    let journal = killed(&bench);
    let text = fs::read_to_string(&journal).unwrap();
    fs::write(&journal, text.replace("note 2", "note 7")).unwrap();
    let opened = bench.open(1);
    assert!(holds(&opened.site, &note(0, 1)) && holds(&opened.site, &note(0, 3)));
    let words = said(&opened.notices).join("\n");
    assert!(words.contains("is damaged: line 3 is lost"), "{words}");
    let names = ["aside-aaaaaaaaaaaaaaaa-1", "journal-bbbbbbbbbbbbbbbb-1"];
    assert_eq!(bench.beside(), names);
    drop(opened);
    let words = said(&bench.open(2).notices).join("\n");
    assert!(
        words.contains("aside-aaaaaaaaaaaaaaaa-1 was put aside"),
        "{words}"
    );
}

#[test]
fn a_journal_cut_or_flipped_anywhere_never_gives_a_note_that_nobody_typed() {
    let bench = Bench::new();
    let journal = killed(&bench);
    let whole = fs::read(&journal).unwrap();
    let typed = |site: &Site| {
        let new: Vec<_> = site.log().entries()[read("", FROZEN.as_bytes())
            .unwrap()
            .site
            .log()
            .entries()
            .len()..]
            .to_vec();
        assert!(
            new.iter().all(|e| (1..=3).any(|n| *e == note(0, n))),
            "{new:?}"
        );
        new.len()
    };
    for at in (0..whole.len()).step_by(7) {
        fs::write(&journal, &whole[..at]).unwrap();
        typed(&read_only(&Disk, &bench.path()).unwrap().site);
        let mut flipped = whole.clone();
        flipped[at] ^= 1 << (at % 8);
        fs::write(&journal, &flipped).unwrap();
        let found = read_only(&Disk, &bench.path()).unwrap();
        let count = typed(&found.site);
        let told = found
            .notices
            .iter()
            .any(|n| matches!(n, Notice::Damaged { .. }));
        assert!(
            told && count >= 2,
            "byte {at}: {count}, {:?}",
            found.notices
        );
    }
}

#[test]
fn a_journal_of_another_site_or_moved_from_another_opening_adds_nothing() {
    let bench = Bench::new();
    let journal = killed(&bench);
    let text = fs::read(&journal).unwrap();
    fs::rename(&journal, bench.at(".journal-cccccccccccccccc-1")).unwrap();
    let opened = bench.open(1);
    assert!(!holds(&opened.site, &note(0, 1)));
    assert!(bench.at(".aside-cccccccccccccccc-1").exists());
    drop(opened);
    fs::write(&journal, text).unwrap();
    let other = FROZEN.replace("s-q4m7tz2kd6hw3pxa", "s-aaaaaaaaaaaaaaaa");
    fs::write(bench.path(), other).unwrap();
    let opened = bench.open(2);
    let words = said(&opened.notices).join("\n");
    assert!(words.contains("belongs to another site"), "{words}");
    assert!(journal.exists());
    assert!(!holds(&opened.site, &note(0, 1)));
}

// --- The file changed under an open store ----------------------------------------------------

#[test]
fn a_file_that_gained_something_meanwhile_is_joined() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, edit(0, 1, STAIRS, "Back stairs"));
    let mut theirs = read("", FROZEN.as_bytes()).unwrap().site;
    theirs.apply(note(3, 1));
    fs::write(bench.path(), write(&theirs).unwrap()).unwrap();
    let joined = ours.checkpoint(&site).unwrap().unwrap();
    assert!(holds(&joined, &note(3, 1)) && holds(&joined, &edit(0, 1, STAIRS, "Back stairs")));
    assert_eq!(linewright_site(&bench), joined);
}

#[test]
fn an_older_or_another_site_put_in_its_place_is_not_overwritten() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, note(0, 1));
    ours.checkpoint(&site).unwrap();
    record(&mut ours, &mut site, note(0, 2));
    fs::write(bench.path(), FROZEN).unwrap();
    let why = ours.checkpoint(&site).unwrap_err().to_string();
    assert!(why.contains("lacks 1 entries"), "{why}");
    assert_eq!(bench.text(), FROZEN);
    let other = FROZEN.replace("s-q4m7tz2kd6hw3pxa", "s-aaaaaaaaaaaaaaaa");
    fs::write(bench.path(), &other).unwrap();
    let why = ours.checkpoint(&site).unwrap_err().to_string();
    assert!(why.contains("another site"), "{why}");
    fs::write(bench.path(), "(").unwrap();
    assert!(ours.checkpoint(&site).is_err());
    assert_eq!(bench.text(), "(");
}

#[test]
fn a_file_edited_by_hand_is_kept_aside_before_it_is_replaced() {
    let bench = Bench::new();
    let hand = FROZEN.replace("hand-over", "handover");
    fs::write(bench.path(), &hand).unwrap();
    let opened = bench.open(0);
    assert_eq!(
        said(&opened.notices),
        ["S.ron was changed outside linewright since 15:00"]
    );
    let (mut ours, mut site) = store(opened);
    assert_eq!(bench.text(), hand);
    record(&mut ours, &mut site, note(0, 1));
    ours.checkpoint(&site).unwrap();
    let aside = fs::read_to_string(bench.at(".aside-aaaaaaaaaaaaaaaa-1")).unwrap();
    assert_eq!(aside, hand);
    assert_eq!(linewright_site(&bench), site);
}

#[test]
fn problems_that_the_file_must_not_have_stay_out_of_it() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, edit(0, 1, STAIRS, "Pool hall"));
    let why = ours.checkpoint(&site).unwrap_err().to_string();
    assert!(why.contains("used twice"), "{why}");
    assert_eq!(bench.text(), FROZEN);
    drop(ours);
    // It can still be opened, told and put right.
    let opened = bench.open(1);
    let words = said(&opened.notices).join("\n");
    assert!(
        words.contains("1 entry recovered") && words.contains("used twice"),
        "{words}"
    );
    let (mut ours, mut site) = store(opened);
    let was = ("aaaaaaaaaaaaaaaa-1", "Pool hall");
    record(&mut ours, &mut site, edit(1, 1, was, "Stairs"));
    ours.close(&site).unwrap();
    assert_eq!(linewright_site(&bench), site);
}

#[cfg(unix)]
#[test]
fn a_link_is_followed_and_the_mode_kept() {
    use std::os::unix::fs::{PermissionsExt as _, symlink};
    let bench = Bench::new();
    fs::set_permissions(bench.path(), fs::Permissions::from_mode(0o640)).unwrap();
    let elsewhere = tempfile::tempdir().unwrap();
    let link = elsewhere.path().join("link.ron");
    symlink(bench.path(), &link).unwrap();
    let who = Who {
        name: "engineer A".into(),
        machine: String::new(),
    };
    let writer = WriterId::from(WRITERS[0]);
    let now = Timestamp::UNIX_EPOCH;
    let (mut ours, mut site) = store(open(Arc::new(Disk), &link, &who, now, &writer).unwrap());
    record(&mut ours, &mut site, note(0, 1));
    ours.close(&site).unwrap();
    assert_eq!(linewright_site(&bench), site);
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    for path in [bench.path(), bench.at(".journal-aaaaaaaaaaaaaaaa-1")] {
        let mode = fs::metadata(path).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o640);
    }
}

#[test]
fn a_new_site_file_is_made_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("N.ron");
    let site = read("", FROZEN.as_bytes()).unwrap().site;
    create(&Disk, &path, &site).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), FROZEN);
    fs::write(&path, "mine").unwrap();
    let why = create(&Disk, &path, &site).unwrap_err();
    assert!(matches!(why, StoreError::Exists { .. }));
    assert_eq!(fs::read_to_string(&path).unwrap(), "mine");
}

// --- Faults ----------------------------------------------------------------------------------

/// The disk with one operation that fails.
struct Faulty {
    plan: Arc<Plan>,
}

struct Plan {
    /// Operations so far.
    done: AtomicUsize,
    /// The one that fails; none before the first.
    fails: usize,
    /// All after it fail too: the program was killed there, or the disk is gone.
    for_good: bool,
    /// Names of the operations, to see that the test reaches what it means to.
    names: Mutex<Vec<&'static str>>,
}

impl Plan {
    fn new(fails: usize, for_good: bool) -> Arc<Self> {
        Arc::new(Self {
            done: AtomicUsize::new(0),
            fails,
            for_good,
            names: Mutex::new(Vec::new()),
        })
    }

    fn step(&self, name: &'static str) -> io::Result<()> {
        let n = self.done.fetch_add(1, Ordering::SeqCst);
        self.names.lock().unwrap().push(name);
        if n == self.fails || (self.for_good && n > self.fails) {
            Err(io::Error::other(format!("{name} made to fail")))
        } else {
            Ok(())
        }
    }
}

struct FaultyFile {
    plan: Arc<Plan>,
    inner: Box<dyn OpenFile>,
}

impl OpenFile for FaultyFile {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.plan.step("append").inspect_err(|_| {
            // A full disk takes half of it.
            let _ = self.inner.append(&bytes[..bytes.len() / 2]);
        })?;
        self.inner.append(bytes)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.plan.step("sync")?;
        self.inner.sync()
    }
}

impl Files for Faulty {
    fn read(&self, path: &Path, limit: u64) -> io::Result<Vec<u8>> {
        self.plan.step("read")?;
        Disk.read(path, limit)
    }
    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        self.plan.step("list")?;
        Disk.list(folder)
    }
    fn stat(&self, path: &Path) -> io::Result<Stat> {
        self.plan.step("stat")?;
        Disk.stat(path)
    }
    fn create_new(&self, path: &Path, like: Option<&Path>) -> io::Result<Box<dyn OpenFile>> {
        self.plan.step("create_new")?;
        let inner = Disk.create_new(path, like)?;
        let plan = self.plan.clone();
        Ok(Box::new(FaultyFile { plan, inner }))
    }
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.plan.step("rename")?;
        Disk.rename(from, to)
    }
    fn copy_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.plan.step("copy_new")?;
        Disk.copy_new(from, to)
    }
    fn remove(&self, path: &Path) -> io::Result<()> {
        self.plan.step("remove")?;
        Disk.remove(path)
    }
    fn sync_dir(&self, folder: &Path) -> io::Result<()> {
        self.plan.step("sync_dir")?;
        Disk.sync_dir(folder)
    }
    fn lock(&self, path: &Path) -> io::Result<Locking> {
        self.plan.step("lock")?;
        Disk.lock(path)
    }
}

/// A whole day: an opening that finds a killed one, entries, saves, an edit, the close. Returns
/// the entries that were answered as recorded.
fn day(bench: &Bench, plan: &Arc<Plan>) -> Vec<Entry> {
    let mut shown = Vec::new();
    let plan = plan.clone();
    let Ok(opened) = bench.open_through(Arc::new(Faulty { plan }), 1) else {
        return shown;
    };
    let Access::Writes(mut store) = opened.access else {
        return shown;
    };
    let mut site = opened.site;
    for (n, entry) in [
        note(1, 1),
        edit(1, 2, STAIRS, "Back stairs"),
        note(1, 3),
        note(1, 4),
    ]
    .into_iter()
    .enumerate()
    {
        if store.record(std::slice::from_ref(&entry)).is_ok() {
            site.apply(entry.clone());
            shown.push(entry);
        }
        if n % 2 == 1 {
            let _ = store.checkpoint(&site);
        }
    }
    let _ = store.close(&site);
    shown
}

#[test]
fn with_any_one_operation_failing_once_or_for_good_nothing_shown_is_lost() {
    for for_good in [false, true] {
        let mut reached = 0;
        for fails in 0.. {
            let bench = Bench::new();
            killed(&bench);
            let plan = Plan::new(fails, for_good);
            let shown = day(&bench, &plan);
            let names = plan.names.lock().unwrap().clone();
            if names.len() <= fails {
                assert_eq!(shown.len(), 4);
                reached = fails;
                break;
            }
            let what = names[fails];
            // The file is whole at every moment: what was there, or a later whole.
            let file = read("S.ron", bench.text().as_bytes());
            let file = file.unwrap_or_else(|why| panic!("{what} {fails}: {why}"));
            assert!(file.site.log().entries().len() >= 33, "{what} {fails}");
            let found = bench.open(2);
            for entry in shown.iter().chain(&[note(0, 1), note(0, 2), note(0, 3)]) {
                assert!(holds(&found.site, entry), "{what} {fails}: {}", entry.id);
            }
            let (store, site) = store(found);
            store.close(&site).unwrap();
            // A third opening finds nothing left to do, and no litter but what was put aside.
            let again = bench.open(3);
            assert_eq!(again.site.log(), site.log(), "{what} {fails}");
            assert_eq!(again.site.elements(), site.elements(), "{what} {fails}");
            let beside = bench.beside();
            assert_eq!(beside, ["journal-dddddddddddddddd-1"], "{what} {fails}");
        }
        // Far enough that every operation of the day was made to fail.
        assert!(reached > 40, "{reached}");
    }
}

#[test]
fn an_entry_refused_once_is_recorded_in_the_next_part() {
    // The operations of an opening without leftovers, counted.
    let bench = Bench::new();
    let count = Plan::new(usize::MAX, false);
    let opened = bench.open_through(
        Arc::new(Faulty {
            plan: count.clone(),
        }),
        0,
    );
    drop(opened);
    let opening = count.done.load(Ordering::SeqCst);
    for (step, what) in [(0, "append"), (1, "sync"), (2, "stat")] {
        let bench = Bench::new();
        let plan = Plan::new(opening + step, false);
        let files = Arc::new(Faulty { plan: plan.clone() });
        let (mut ours, mut site) = store(bench.open_through(files, 0).unwrap());
        record(&mut ours, &mut site, note(0, 1));
        record(&mut ours, &mut site, note(0, 2));
        assert_eq!(plan.names.lock().unwrap()[opening + step], what);
        let second = bench.at(".journal-aaaaaaaaaaaaaaaa-2");
        assert!(second.exists(), "{what}");
        drop(ours);
        // The second part holds all of it, whatever became of the first.
        fs::remove_file(bench.at(".journal-aaaaaaaaaaaaaaaa-1")).unwrap();
        let opened = bench.open(1);
        assert!(holds(&opened.site, &note(0, 1)) && holds(&opened.site, &note(0, 2)));
        assert_eq!(opened.site.log(), site.log());
    }
}

#[cfg(unix)]
#[test]
fn a_journal_removed_while_open_is_written_anew() {
    let bench = Bench::new();
    let (mut ours, mut site) = store(bench.open(0));
    record(&mut ours, &mut site, note(0, 1));
    fs::remove_file(bench.at(".journal-aaaaaaaaaaaaaaaa-1")).unwrap();
    record(&mut ours, &mut site, note(0, 2));
    fs::remove_file(bench.at(".journal-aaaaaaaaaaaaaaaa-2")).unwrap();
    ours.look().unwrap();
    drop(ours);
    assert_eq!(bench.open(1).site.log(), site.log());
}

#[test]
fn a_full_disk_leaves_no_litter_and_the_entry_can_be_given_again() {
    let bench = Bench::new();
    let count = Plan::new(usize::MAX, false);
    drop(bench.open_through(
        Arc::new(Faulty {
            plan: count.clone(),
        }),
        0,
    ));
    let opening = count.done.load(Ordering::SeqCst);
    let bench = Bench::new();
    let plan = Plan::new(opening, true);
    let files = Arc::new(Faulty { plan });
    let (mut ours, _) = store(bench.open_through(files, 0).unwrap());
    for _ in 0..3 {
        let why = ours.record(&[note(0, 1)]).unwrap_err().to_string();
        assert!(why.contains("made to fail"), "{why}");
    }
    assert_eq!(bench.beside(), ["journal-aaaaaaaaaaaaaaaa-1"]);
}

// --- The keeper ------------------------------------------------------------------------------

#[test]
fn the_keeper_answers_in_order_and_closes_with_all_saved() {
    let bench = Bench::new();
    let (ours, mut site) = store(bench.open(0));
    let (keeper, answers) = Keeper::spawn(ours, site.clone()).unwrap();
    let acts = [
        vec![note(0, 1)],
        vec![
            edit(0, 2, STAIRS, "Back stairs"),
            edit(0, 3, ("aaaaaaaaaaaaaaaa-2", "Back stairs"), "Yard stairs"),
        ],
    ];
    for act in acts {
        for entry in &act {
            site.apply(entry.clone());
        }
        keeper.record(act).unwrap();
    }
    keeper.save();
    keeper.join();
    let answers: Vec<Answer> = answers.iter().collect();
    let [
        Answer::Recorded(one),
        Answer::Recorded(two),
        Answer::Saved,
        Answer::Saved,
        Answer::Closed,
    ] = answers.as_slice()
    else {
        panic!("{answers:?}")
    };
    assert_eq!((one.len(), two.len()), (1, 2));
    assert_eq!(linewright_site(&bench), site);
    assert_eq!(bench.open(1).notices, []);
}

#[test]
fn the_keeper_returns_what_it_could_not_record() {
    let bench = Bench::new();
    let count = Plan::new(usize::MAX, false);
    drop(bench.open_through(
        Arc::new(Faulty {
            plan: count.clone(),
        }),
        0,
    ));
    let opening = count.done.load(Ordering::SeqCst);
    let bench = Bench::new();
    let files = Arc::new(Faulty {
        plan: Plan::new(opening, true),
    });
    let (ours, site) = store(bench.open_through(files, 0).unwrap());
    let (keeper, answers) = Keeper::spawn(ours, site).unwrap();
    keeper.record(vec![note(0, 1)]).unwrap();
    keeper.save();
    let Answer::NotRecorded { entries, why } = answers.recv().unwrap() else {
        panic!("recorded on a disk that is gone")
    };
    assert_eq!(entries, [note(0, 1)]);
    assert!(why.contains("made to fail"), "{why}");
    assert!(matches!(answers.recv().unwrap(), Answer::Saved));
}

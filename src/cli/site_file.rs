//! Commands that make, change and join site files.

use super::asked::{doubtful_checks, heard_at_all, no_checks, read_off_and_whole};
use super::here::{now, recorded_as, wait_for_next_second, who};
use super::{Refusal, TerminalArguments, print, say};
use crate::quantity::show::count;
use crate::site::{Elements, Entry, EntryId, Log, Site};
use crate::storage::{self, Access, Disk, RowProblem, Store, StoreError};
use anyhow::{Context, Result, anyhow, bail};
use jiff::Timestamp;
use std::io::ErrorKind;
use std::path::Path;
use std::sync::Arc;

/// The largest file that is read as CSV.
const LARGEST_CSV: u64 = 64 * 1024 * 1024;

/// A file that was handed in, of at most so many bytes.
pub(super) fn read(path: &Path, largest: u64) -> Result<Vec<u8>> {
    use crate::storage::Files;
    Disk.read(path, largest).map_err(|why| {
        let words = format!("{}: cannot be read: {why}", path.display());
        match why.kind() {
            // What was handed in is at fault, not the disk.
            ErrorKind::FileTooLarge | ErrorKind::InvalidInput => Refusal::of(words),
            _ => anyhow!(words),
        }
    })
}

fn name(path: &Path) -> String {
    path.display().to_string()
}

/// How a store error leaves the program.
pub(super) fn store_failure(error: StoreError) -> anyhow::Error {
    if error.is_input() {
        Refusal::of(error)
    } else {
        error.into()
    }
}

/// What a forged file can hold and no linewright writes.
pub(super) fn strikes_itself(first: &EntryId) -> String {
    format!(
        "entries strike each other in a ring (the first is {first}): they count for nothing, what \
         they strike stands"
    )
}

pub(super) fn rows(problems: Vec<RowProblem>) -> anyhow::Error {
    let mut lines: Vec<String> = problems.iter().map(ToString::to_string).collect();
    lines.push(format!(
        "{}; nothing was written",
        count(lines.len(), "problem")
    ));
    Refusal::of_all(lines)
}

/// `import`.
pub(super) fn import(
    schedule: &Path,
    to: &Path,
    label: Option<&str>,
    cables: Option<&Path>,
    terminal: &TerminalArguments,
) -> Result<u8> {
    if let Some(label) = label.filter(|label| label.trim().is_empty()) {
        return Err(Refusal::of(format!(
            "--name: found {label:?}, what the building is called was wanted"
        )));
    }
    let own = match cables {
        None => Vec::new(),
        Some(path) => {
            let (own, warnings) =
                storage::read_cables(&name(path), &read(path, LARGEST_CSV)?).map_err(rows)?;
            warnings.iter().for_each(say);
            own
        }
    };
    let stem = to.file_stem().map_or_else(
        || "site".to_owned(),
        |stem| stem.to_string_lossy().into_owned(),
    );
    let it = storage::read_schedule(
        &name(schedule),
        &read(schedule, LARGEST_CSV)?,
        &own,
        label.unwrap_or(&stem),
    )
    .map_err(rows)?;
    it.warnings.iter().for_each(say);
    if to.exists() {
        return revise(to, &it, label.is_some(), terminal);
    }
    let site = Site::new(it.id, Elements::from_iter(it.items), Log::default());
    storage::create(&Disk, to, &site).map_err(store_failure)?;
    let plan = site.plan();
    let loudspeakers: usize = plan.lines.iter().map(|line| line.loudspeakers()).sum();
    say(format!(
        "{}: {}, {}, {}",
        to.display(),
        count(plan.amplifiers.len(), "amplifier"),
        count(plan.lines.len(), "line"),
        count(loudspeakers, "loudspeaker")
    ));
    Ok(0)
}

fn revise(
    to: &Path,
    revised: &storage::Schedule,
    named: bool,
    terminal: &TerminalArguments,
) -> Result<u8> {
    let is_revision = |site: &Site| {
        if storage::is_revision(site, &revised.items) {
            return Ok(());
        }
        Err(Refusal::of(format!(
            "{}: is another site; it is not overwritten; import to a new file, or revise the site with its own schedule",
            to.display()
        )))
    };
    // Looked at before it is opened to write: a refusal, or nothing new, leaves nothing beside it.
    let looked = storage::read_only(&Disk, to).map_err(store_failure)?.site;
    is_revision(&looked)?;
    // Without --name the building keeps the name it has.
    let new: Vec<_> = revised
        .items
        .iter()
        .filter(|item| named || item.is.kind() != crate::site::Kind::Site)
        .cloned()
        .collect();
    let by = who(terminal).name;
    let no_id = || EntryId("preview".to_owned());
    let mut entries = storage::revise(&looked, (new.clone(), &revised.unsaid), no_id, now(), &by);
    if !entries.is_empty() {
        let mut writing = Writing::open(to, terminal)?;
        is_revision(&writing.site)?;
        let site = writing.site.clone();
        entries = storage::revise(
            &site,
            (new, &revised.unsaid),
            || writing.next_id(),
            now(),
            &by,
        );
        writing.record(entries.clone())?;
    }
    say(format!(
        "{}: {} revised",
        to.display(),
        count(entries.len(), "item")
    ));
    Ok(0)
}

/// `log`.
pub(super) fn log(path: &Path) -> Result<u8> {
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?;
    print(&storage::write_log(&looked.site))
}

/// `record`.
pub(super) fn record(
    path: &Path,
    readings: &Path,
    read_while_off: bool,
    terminal: &TerminalArguments,
) -> Result<u8> {
    let bytes = read(readings, LARGEST_CSV)?;
    let by = who(terminal).name;
    let file = name(readings);
    // Looked at before it is opened to write: bad rows, and rows that are there already, leave
    // nothing beside it.
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?.site;
    let mut counter = 0;
    let preview = storage::read_readings(&file, &bytes, &looked, now(), &by, &mut || {
        counter += 1;
        EntryId(format!("preview-{counter}"))
    })
    .map_err(rows)?;
    heard_at_all(&file, &looked, &preview.entries)?;
    no_checks(&file, &looked, &preview.entries)?;
    if !read_while_off {
        read_off_and_whole(&file, &looked, &preview.entries)?;
    }
    let mut recorded = preview;
    if !recorded.entries.is_empty() {
        if share_a_second(&looked, &recorded.entries, now()) {
            wait_for_next_second();
        }
        let mut writing = Writing::open(path, terminal)?;
        let site = writing.site.clone();
        let read =
            storage::read_readings(&file, &bytes, &site, now(), &by, &mut || writing.next_id());
        let read = read.map_err(rows).and_then(|recorded| {
            heard_at_all(&file, &site, &recorded.entries)?;
            no_checks(&file, &site, &recorded.entries)?;
            if !read_while_off {
                read_off_and_whole(&file, &site, &recorded.entries)?;
            }
            Ok(recorded)
        });
        recorded = match read {
            Ok(recorded) => recorded,
            Err(refusal) => {
                writing.close()?;
                return Err(refusal);
            }
        };
        writing.record(recorded.entries.clone())?;
    }
    recorded.warnings.iter().for_each(say);
    let doubtful = doubtful_checks(&looked, &recorded.entries);
    doubtful.iter().for_each(say);
    say(format!(
        "{}: {} recorded, {} there already",
        path.display(),
        count(recorded.entries.len(), "row"),
        recorded.skipped
    ));
    // Rows that say who keep that name.
    if recorded.entries.iter().any(|entry| entry.by == by) {
        recorded_as(terminal).iter().for_each(say);
    }
    Ok(0)
}

/// Rows without a time of their own would stand in the same second as what another run recorded:
/// which came later could not be told any more.
fn share_a_second(site: &Site, new: &[Entry], now: Timestamp) -> bool {
    let undated = new
        .iter()
        .any(|entry| entry.at.as_second() == now.as_second());
    let mut old = site.log().entries().iter();
    undated && old.any(|entry| entry.at.as_second() == now.as_second())
}

/// `merge`.
pub(super) fn merge(base: &Path, ours: &Path, theirs: &Path) -> Result<u8> {
    let merged = storage::merge_files(&Disk, base, ours, theirs).map_err(|error| {
        if error.is_input() {
            Refusal::of(error)
        } else {
            anyhow::Error::from(error)
        }
    })?;
    let name = ours.display();
    for (side, lacks) in &merged.kept {
        let entries = if *lacks == 1 { "entry" } else { "entries" };
        say(format!(
            "{side} lacks {lacks} {entries} that were recorded before; kept in {name}"
        ));
    }
    merged
        .site
        .log()
        .rings()
        .first()
        .map(strikes_itself)
        .iter()
        .for_each(say);
    if merged.questions == 0 {
        return Ok(0);
    }
    say(format!(
        "{name}: {}: what the two copies say differently, nothing of it dropped; `linewright \
         assess` tells each",
        count(merged.questions, "question")
    ));
    Ok(1)
}

/// A site opened by a command to be written at once.
pub(super) struct Writing {
    pub(super) site: Site,
    store: Option<Store>,
    writer: crate::site::WriterId,
    counter: u64,
}

impl Writing {
    pub(super) fn open(path: &Path, terminal: &TerminalArguments) -> Result<Self> {
        let who = who(terminal);
        let writer = storage::new_writer(path, &who, now());
        let opened =
            storage::open(Arc::new(Disk), path, &who, now(), &writer).map_err(store_failure)?;
        opened.notices.iter().for_each(say);
        match opened.access {
            Access::Writes(store) => Ok(Self {
                site: opened.site,
                store: Some(store),
                writer,
                counter: 0,
            }),
            Access::ReadsOnly { held_by } => {
                bail!("{}: nothing recorded, read only: {held_by}", path.display())
            }
        }
    }

    pub(super) fn next_id(&mut self) -> EntryId {
        self.counter += 1;
        EntryId(format!("{}-{}", self.writer, self.counter))
    }

    pub(super) fn record(mut self, entries: Vec<Entry>) -> Result<()> {
        if let Some((id, why)) = storage::unfit_entries(&self.site, &entries).first() {
            let words = format!("nothing recorded: entry {id}: {why}");
            self.close()?;
            return Err(Refusal::of(words));
        }
        if let Some(store) = self.store.as_mut().filter(|_| !entries.is_empty()) {
            store.record(&entries).context("nothing recorded")?;
        }
        storage::apply(&mut self.site, entries);
        self.close()
    }

    pub(super) fn close(mut self) -> Result<()> {
        match self.store.take() {
            Some(store) => store.close(&self.site).map_err(store_failure),
            None => Ok(()),
        }
    }
}

//! Commands that make, change and join site files.

use super::open::{now, who};
use super::{Failure, TerminalArguments, print, say};
use crate::site::{Elements, EntryId, Log, Site};
use crate::storage::{self, Access, Disk, RowProblem, Store, StoreError};
use std::path::Path;
use std::sync::Arc;

/// The largest file that is read as CSV.
const LARGEST_CSV: u64 = 64 * 1024 * 1024;

fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    use crate::storage::Files;
    Disk.read(path, LARGEST_CSV)
        .map_err(|error| Failure::disk(format!("{}: cannot be read: {error}", path.display())))
}

fn name(path: &Path) -> String {
    path.display().to_string()
}

/// How a store error leaves the program.
pub(super) fn store_failure(error: StoreError) -> Failure {
    if error.is_input() {
        Failure::input(error)
    } else {
        Failure::disk(error)
    }
}

fn rows(problems: Vec<RowProblem>) -> Failure {
    let mut failure = Failure::all_input(problems);
    failure.lines.push(format!(
        "{} rows in the way; nothing was written",
        failure.lines.len()
    ));
    failure
}

/// `import`.
pub(super) fn import(
    schedule: &Path,
    to: &Path,
    label: Option<&str>,
    cables: Option<&Path>,
    terminal: &TerminalArguments,
) -> Result<u8, Failure> {
    let own = match cables {
        None => Vec::new(),
        Some(path) => {
            let (own, warnings) = storage::read_cables(&name(path), &read(path)?).map_err(rows)?;
            warnings.iter().for_each(say);
            own
        }
    };
    let stem = to.file_stem().map_or_else(
        || "site".to_owned(),
        |stem| stem.to_string_lossy().into_owned(),
    );
    let (id, items, warnings) = storage::read_schedule(
        &name(schedule),
        &read(schedule)?,
        &own,
        label.unwrap_or(&stem),
    )
    .map_err(rows)?;
    warnings.iter().for_each(say);
    if to.exists() {
        return revise(to, items, label.is_some(), terminal);
    }
    let site = Site::new(id, Elements::from_iter(items), Log::default());
    storage::create(&Disk, to, &site).map_err(store_failure)?;
    let plan = site.plan();
    let loudspeakers: usize = plan.lines.iter().map(|line| line.loudspeakers()).sum();
    say(format!(
        "{}: {} amplifiers, {} lines, {loudspeakers} loudspeakers",
        to.display(),
        plan.amplifiers.len(),
        plan.lines.len()
    ));
    Ok(0)
}

fn revise(
    to: &Path,
    items: Vec<crate::site::Item>,
    named: bool,
    terminal: &TerminalArguments,
) -> Result<u8, Failure> {
    let mut writing = Writing::open(to, terminal)?;
    if !storage::is_revision(&writing.site, &items) {
        return Err(Failure::input(format!(
            "{}: is another site; it is not overwritten; import to a new file, or revise the site with its own schedule",
            to.display()
        )));
    }
    // Without --name the building keeps the name it has.
    let items = items
        .into_iter()
        .filter(|item| named || item.is.kind() != crate::site::Kind::Site)
        .collect();
    let site = writing.site.clone();
    let by = writing.by.clone();
    let entries = storage::revise(&site, items, || writing.next_id(), now(), &by);
    let count = entries.len();
    writing.record(entries)?;
    say(format!("{}: {count} items revised", to.display()));
    Ok(0)
}

/// `log`.
pub(super) fn log(path: &Path) -> Result<u8, Failure> {
    let looked = storage::read_only(&Disk, path).map_err(store_failure)?;
    print(&storage::write_log(&looked.site))
}

/// `record`.
pub(super) fn record(
    path: &Path,
    readings: &Path,
    terminal: &TerminalArguments,
) -> Result<u8, Failure> {
    let bytes = read(readings)?;
    let mut writing = Writing::open(path, terminal)?;
    let site = writing.site.clone();
    let by = writing.by.clone();
    let read = storage::read_readings(&name(readings), &bytes, &site, now(), &by, &mut || {
        writing.next_id()
    });
    let recorded = match read {
        Ok(recorded) => recorded,
        Err(problems) => {
            writing.close()?;
            return Err(rows(problems));
        }
    };
    recorded.warnings.iter().for_each(say);
    let count = recorded.entries.len();
    writing.record(recorded.entries)?;
    say(format!(
        "{}: {count} rows recorded, {} there already",
        path.display(),
        recorded.skipped
    ));
    Ok(0)
}

/// `merge`.
pub(super) fn merge(base: &Path, ours: &Path, theirs: &Path) -> Result<u8, Failure> {
    let bytes = [read(base)?, read(ours)?, read(theirs)?];
    let (site, questions) =
        storage::merge(&bytes[0], &bytes[1], &bytes[2]).map_err(Failure::input)?;
    storage::overwrite(&Disk, ours, &site).map_err(store_failure)?;
    if questions > 0 {
        say(format!(
            "{}: {questions} questions stand: one item, two designs",
            ours.display()
        ));
        return Ok(1);
    }
    Ok(0)
}

/// A site opened by a command to be written at once.
struct Writing {
    site: Site,
    store: Option<Store>,
    writer: crate::site::WriterId,
    by: String,
    counter: u64,
}

impl Writing {
    fn open(path: &Path, terminal: &TerminalArguments) -> Result<Self, Failure> {
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
                by: who.name,
                counter: 0,
            }),
            Access::ReadsOnly { held_by } => Err(Failure::disk(format!(
                "{}: nothing recorded, read only: {held_by}",
                path.display()
            ))),
        }
    }

    fn next_id(&mut self) -> EntryId {
        self.counter += 1;
        EntryId(format!("{}-{}", self.writer, self.counter))
    }

    fn record(mut self, entries: Vec<crate::site::Entry>) -> Result<(), Failure> {
        if let Some(store) = self.store.as_mut().filter(|_| !entries.is_empty()) {
            store
                .record(&entries)
                .map_err(|error| Failure::disk(format!("nothing recorded: {error}")))?;
        }
        for entry in entries {
            self.site.apply(entry);
        }
        self.close()
    }

    fn close(mut self) -> Result<(), Failure> {
        match self.store.take() {
            Some(store) => store.close(&self.site).map_err(store_failure),
            None => Ok(()),
        }
    }
}

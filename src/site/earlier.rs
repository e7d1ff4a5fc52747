//! The site as it stood when the latest visit began.
//!
//! Never here: what became of it since.

use super::clock::in_order;
use super::entry::{Do, Edit, Entry};
use super::log::Log;
use super::{Kind, Ref, Site};
use std::collections::HashSet;

/// Begins a visit.
fn begins(entry: &Entry, visit: &Ref) -> bool {
    matches!(&entry.what, Do::Edit(it) if it.of == *visit && it.was.is_empty())
}

/// A correction stands where what it corrects was read.
fn as_read(entry: &Entry, measured: &Entry) -> Entry {
    let mut entry = entry.clone();
    match (&mut entry.what, &measured.what) {
        (Do::Read(it), Do::Read(of)) => it.state.clone_from(&of.state),
        (Do::Insulate(it), Do::Insulate(of)) => it.state.clone_from(&of.state),
        (Do::Listen(it), Do::Listen(of)) => it.state.clone_from(&of.state),
        (Do::Check(it), Do::Check(of)) => it.visit.clone_from(&of.visit),
        _ => {}
    }
    entry
}

impl Site {
    /// The site without what the latest visit drew and recorded. What was struck or corrected since of an
    /// earlier visit stays struck and corrected. None on a first visit, where no entry of the log began the
    /// latest, and where joined copies leave open what a visit is.
    #[must_use]
    pub fn before_visit(&self) -> Option<Self> {
        let (latest, earlier) = self.visits().split_last()?;
        let mut contested = self.elements().contested();
        if earlier.is_empty() || contested.any(|(of, _)| of.kind() == Kind::Visit) {
            return None;
        }
        let of = Ref::Visit(latest.clone());
        let entries = self.log().entries();
        let first = entries.iter().filter(|it| begins(it, &of));
        let began = first.min_by(|a, b| in_order(a, b))?;
        let edits = self.edits_since(began);
        let made: HashSet<&str> = edits.iter().map(|(entry, _)| entry.id.as_str()).collect();
        let is_before = |visit: &str| earlier.iter().any(|it| it.as_str() == visit);
        let stays = |measured: &Entry| match &measured.what {
            Do::Read(it) => is_before(self.visit_of(&it.state)),
            Do::Listen(it) => is_before(self.visit_of(&it.state)),
            Do::Insulate(it) => is_before(self.visit_of(&it.state)),
            Do::Repair(it) => is_before(self.visit_of(&it.after)),
            Do::Decide(it) => is_before(self.visit_of(&it.state)),
            Do::Check(it) => is_before(it.visit.as_str()),
            Do::Tick(it) => is_before(it.visit.as_str()),
            Do::Void(_) => true,
            Do::Note(_) | Do::Seal(_) => in_order(measured, began).is_lt(),
            Do::Edit(_) => !made.contains(measured.id.as_str()),
        };
        let mut log = Log::default();
        for entry in entries {
            let measured = self.log().measured(entry);
            if stays(measured) {
                log.add(as_read(entry, measured));
            }
        }
        let mut elements = self.elements().clone();
        for (_, edit) in &edits {
            elements.take_back(edit, |stamp| made.contains(stamp.as_str()));
        }
        Some(Self::new(self.id().clone(), elements, log))
    }

    /// Edits that came after an entry, and those that took the place of what one of these made: of two
    /// engineers one's clock may be behind.
    fn edits_since(&self, began: &Entry) -> Vec<(&Entry, &Edit)> {
        let mut left: Vec<(&Entry, &Edit)> = Vec::new();
        for entry in self.log().entries() {
            if let Do::Edit(edit) = &entry.what {
                left.push((entry, edit));
            }
        }
        let mut made: HashSet<&str> = HashSet::new();
        let mut out = Vec::new();
        loop {
            let is_since = |(entry, edit): &(&Entry, &Edit)| {
                in_order(entry, began).is_ge()
                    || edit
                        .was
                        .iter()
                        .any(|(stamp, _)| made.contains(stamp.as_str()))
            };
            let (since, rest): (Vec<_>, Vec<_>) = left.into_iter().partition(is_since);
            if since.is_empty() {
                return out;
            }
            made.extend(since.iter().map(|(entry, _)| entry.id.as_str()));
            out.extend(since);
            left = rest;
        }
    }
}

//! The site as it stood when the latest visit began.
//!
//! Never here: what became of it since.

use super::entry::{Do, Edit, Entry};
use super::log::{Log, in_order};
use super::{Design, Ref, Site, Stamp};

/// Begins a visit.
fn begins(entry: &Entry, visit: &Ref) -> bool {
    matches!(&entry.what, Do::Edit(it) if it.of == *visit && it.was.is_empty())
}

impl Site {
    /// The site without what the latest visit drew and recorded. What was struck or corrected since of an
    /// earlier visit stays struck and corrected. None on a first visit, and where no entry of the log began
    /// the latest.
    #[must_use]
    pub fn before_visit(&self) -> Option<Self> {
        if self.visits().len() < 2 {
            return None;
        }
        let visit = self.visit();
        let of = Ref::Visit(visit.clone());
        let entries = self.log().entries();
        let began = entries.iter().find(|it| begins(it, &of))?;
        let is_later = |entry: &Entry| in_order(entry, began).is_ge();
        let is_taken_back = |entry: &Entry| match &entry.what {
            Do::Read(it) => self.visit_of(&it.state) == visit.as_str(),
            Do::Listen(it) => self.visit_of(&it.state) == visit.as_str(),
            Do::Insulate(it) => self.visit_of(&it.state) == visit.as_str(),
            Do::Repair(it) => self.visit_of(&it.after) == visit.as_str(),
            Do::Decide(it) => self.visit_of(&it.state) == visit.as_str(),
            Do::Check(it) => it.visit == visit,
            Do::Tick(it) => it.visit == visit,
            Do::Void(_) => false,
            Do::Note(_) | Do::Edit(_) | Do::Seal(_) => is_later(entry),
        };
        let mut edits: Vec<(&Entry, &Edit)> = Vec::new();
        let mut log = Log::default();
        for entry in entries {
            match &entry.what {
                _ if !is_taken_back(entry) => {
                    log.add(entry.clone());
                }
                Do::Edit(edit) => edits.push((entry, edit)),
                _ => {}
            }
        }
        // The latest first, each on what it made.
        edits.sort_by(|a, b| in_order(b.0, a.0));
        let mut elements = self.elements().clone();
        for (entry, edit) in edits {
            let made: (Stamp, Design) = (Stamp(entry.id.0.clone()), edit.now.clone());
            elements.take_back(&edit.of, &made, &edit.was);
        }
        Some(Self::new(self.id().clone(), elements, log))
    }
}

//! Moves of all writing: to another place, or to this hand. Done on a thread of their own, since a
//! folder that no longer answers would hold the screen; keys and readings go on meanwhile.

use super::keeping::Place;
use crate::session::Wish;
use crate::site::{Site, WriterId};
use crate::storage::{Access, Files, Notice, Store, new_writer, open, save_elsewhere};
use jiff::Timestamp;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Where all writing goes from now on.
pub(super) struct Landing {
    pub store: Store,
    pub site: Site,
    pub writer: WriterId,
    /// The new place; none where this hand took over the old one.
    pub path: Option<PathBuf>,
    pub notices: Vec<Notice>,
}

/// A move as it is asked for.
pub(super) struct Move {
    pub files: Arc<dyn Files>,
    pub place: Place,
    pub wish: Wish,
    pub site: Site,
    pub now: Timestamp,
}

impl Move {
    /// Does it, however long the disk takes; none where the wish is no move.
    pub fn make(self) -> Option<Result<Landing, String>> {
        match self.wish.clone() {
            Wish::Join => None,
            Wish::TakeOver => Some(self.take_over()),
            Wish::Elsewhere(to) => Some(self.go_to(Path::new(&to))),
        }
    }

    fn take_over(self) -> Result<Landing, String> {
        let Place { path, who } = self.place;
        let writer = new_writer(&path, &who, self.now);
        let opened =
            open(self.files, &path, &who, self.now, &writer).map_err(|why| why.to_string())?;
        match opened.access {
            Access::Writes(store) => Ok(Landing {
                store,
                site: opened.site,
                writer,
                path: None,
                notices: opened.notices,
            }),
            Access::ReadsOnly { held_by } => Err(format!("still read only: {held_by}")),
        }
    }

    fn go_to(self, to: &Path) -> Result<Landing, String> {
        let Place { path, who } = self.place;
        let writer = new_writer(to, &who, self.now);
        let by = (&who, self.now, &writer);
        let moved = save_elsewhere(&self.files, &path, to, &self.site, by)
            .map_err(|why| format!("not saved there: {why}"))?;
        Ok(Landing {
            store: moved.store,
            site: moved.site,
            writer,
            path: Some(moved.path),
            notices: moved.notices,
        })
    }
}

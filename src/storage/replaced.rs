//! What another hand did to the files of an open site: the lock removed, the site file changed,
//! replaced by an older version, or gone.
//!
//! Nothing is overwritten that holds less than we do, unless the engineer says so.

use super::files::Locking;
use super::format1::{self, LARGEST, Sum};
use super::recover::lacking;
use super::replay::replay;
use super::store::{Held, Known, Store, join, sound_bytes, write_temp};
use super::words::StoreError;
use crate::site::Site;
use std::io::ErrorKind;

impl Store {
    /// The lock's name must still mean the file we hold: `git clean -X` removes what is ignored, and
    /// whoever came next would hold another. Then that one is taken too.
    pub(super) fn hold_lock(&mut self) -> Result<(), StoreError> {
        let Some(held) = &self.lock else {
            return Ok(());
        };
        let path = held.path.clone();
        let now = self.files.stat(&path).ok();
        if now.is_some_and(|stat| stat.identity == held.identity) {
            return Ok(());
        }
        match self.files.lock(&path) {
            Ok(Locking::Held(guard)) => {
                let identity = self.files.stat(&path).ok().and_then(|stat| stat.identity);
                self.lock = Some(Held {
                    path,
                    identity,
                    _guard: guard,
                });
                Ok(())
            }
            Ok(Locking::Unsupported) => Ok(()),
            Ok(Locking::ByAnother) => Err(StoreError::Held {
                path: self.path.clone(),
                held_by: "its lock was removed, and another linewright took a new one".to_owned(),
            }),
            Err(why) => Err(StoreError::disk("locked", &path)(why)),
        }
    }

    /// What lies on the disk now, joined with what we hold, if another hand changed it.
    pub(super) fn join_file(&mut self, ours: &Site) -> Result<Option<Site>, StoreError> {
        let stat = match self.files.stat(&self.path) {
            Ok(stat) => stat,
            // Known to be gone, and to be written anew.
            Err(why) if why.kind() == ErrorKind::NotFound && self.known.stat.is_none() => {
                return Ok(None);
            }
            Err(why) if why.kind() == ErrorKind::NotFound => {
                let path = self.path.clone();
                return Err(StoreError::Gone { path });
            }
            Err(why) => return Err(StoreError::disk("read", &self.path)(why)),
        };
        if self.known.stat.as_ref() == Some(&stat) {
            return Ok(None);
        }
        let bytes = self
            .files
            .read(&self.path, LARGEST)
            .map_err(StoreError::disk("read", &self.path))?;
        if bytes == self.known.bytes {
            self.known.stat = Some(stat);
            return Ok(None);
        }
        let name = self.path.display().to_string();
        let theirs = format1::read(&name, &bytes)?;
        self.same_site(ours, &theirs.site)?;
        let base = format1::read(&name, &self.known.bytes)?.site;
        let lacks = lacking(theirs.site.log(), base.log().entries()).len();
        if lacks > 0 {
            self.keep_ours(ours)?;
            let path = self.path.clone();
            return Err(StoreError::Replaced { path, lacks });
        }
        let joined = join(&base, ours, &theirs.site);
        self.foreign |= theirs.sum != Sum::Right;
        *self.known = Known {
            stat: Some(stat),
            bytes,
        };
        Ok(Some(joined))
    }

    fn same_site(&self, ours: &Site, theirs: &Site) -> Result<(), StoreError> {
        if theirs.id() == ours.id() {
            return Ok(());
        }
        Err(StoreError::OtherSite {
            path: self.path.clone(),
            found: theirs.id().clone(),
        })
    }

    /// All that we hold, in a file beside the older version that took its place.
    fn keep_ours(&mut self, ours: &Site) -> Result<(), StoreError> {
        if !self.kept_ours {
            let aside = self.free("aside");
            write_temp(&*self.files, &aside, None, &sound_bytes(ours)?)?;
            self.kept_ours = true;
        }
        Ok(())
    }

    /// Takes in what was offered: what closed journals hold and the file lacks, and the version that
    /// another hand put in the file's place. Returns the joined site and how many entries were
    /// new to `ours`; the next checkpoint writes it.
    ///
    /// # Errors
    /// When what lies there cannot be read or is another site.
    pub fn take_in(&mut self, ours: &Site) -> Result<(Site, usize), StoreError> {
        let mut joined = ours.clone();
        match self.files.stat(&self.path) {
            Err(why) if why.kind() == ErrorKind::NotFound => {
                *self.known = Known {
                    stat: None,
                    bytes: Vec::new(),
                };
                self.again = true;
            }
            Err(why) => return Err(StoreError::disk("read", &self.path)(why)),
            Ok(stat) if self.known.stat.as_ref() == Some(&stat) => {}
            Ok(stat) => {
                let bytes = self
                    .files
                    .read(&self.path, LARGEST)
                    .map_err(StoreError::disk("read", &self.path))?;
                let theirs = format1::read(&self.path.display().to_string(), &bytes)?.site;
                self.same_site(ours, &theirs)?;
                // Onto theirs, entry by entry: of a design that ours replaced, ours stands.
                joined = replay(&theirs, ours.log().entries().to_vec()).0;
                *self.known = Known {
                    stat: Some(stat),
                    bytes,
                };
                self.foreign = true;
                self.again = true;
            }
        }
        let (joined, _) = replay(&joined, std::mem::take(&mut self.older));
        let new = lacking(ours.log(), joined.log().entries()).len();
        self.unsaved = true;
        // Another version in the file's place would lack what was joined just now.
        self.kept_ours = false;
        Ok((joined, new))
    }
}

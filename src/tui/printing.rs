//! The hand-over record put on the disk, on a thread of its own: reckoning a building takes seconds, and
//! keys go on meanwhile. No file that is there is written over.

use super::run::Incoming;
use crate::session::{Print, Printed};
use crate::storage::{Disk, format1, try_whole, write_whole};
use std::path::{Path, PathBuf, absolute};
use std::sync::mpsc::Sender;

/// Where a record goes: a name stands beside the site file.
fn place_of(to: &str, site: &Path) -> PathBuf {
    let folder = site.parent().unwrap_or_else(|| Path::new(""));
    let path = folder.join(to);
    absolute(&path).unwrap_or(path)
}

fn write(print: &Print, site: &Path) -> Printed {
    let path = place_of(&print.to, site);
    let shown = path.display().to_string();
    if path.symlink_metadata().is_ok() {
        return Printed::There(shown, print.to.clone());
    }
    let bytes = || match print.copied() {
        Some(site) => format1::write(site).map_err(|why| why.to_string()),
        None => print.record(),
    };
    // At once, before the building is reckoned: the entry is opened again with what was typed.
    let written = try_whole(&Disk, &path)
        .map_err(|why| why.to_string())
        .and_then(|()| bytes())
        .and_then(|bytes| write_whole(&Disk, &path, &bytes).map_err(|why| why.to_string()));
    match written {
        Ok(()) => Printed::Written(shown),
        Err(why) => Printed::Failed(why),
    }
}

/// Sets out to write it; what became of it comes back to the loop.
pub(super) fn set_out(print: Print, site: PathBuf, tell: Sender<Incoming>) -> Option<Printed> {
    let work = move || {
        // Nobody listens any more when the engineer has left.
        let _ = tell.send(Incoming::Printed(write(&print, &site)));
    };
    let thread = std::thread::Builder::new().name("printing".to_owned());
    let failed = thread.spawn(work).err();
    failed.map(|why| Printed::Failed(why.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Access, Effect, Event, Key, Opening, Session, update};
    use crate::storage::Files;
    use std::sync::mpsc::channel;

    /// More than either file has, bytes.
    const LARGEST: u64 = 1 << 24;

    /// The record of the demo, asked for by keys.
    fn asked() -> Print {
        let bytes = Disk
            .read(Path::new("sites/glasshouse.ron"), LARGEST)
            .unwrap();
        let site = format1::read("demo", &bytes).unwrap().site;
        let now: jiff::Timestamp = "2026-11-25T14:07:00Z".parse().unwrap();
        let opening = Opening {
            by: "engineer A".to_owned(),
            writer: "deskdeskdeskdesk".into(),
            at: now,
            access: Access::Writes,
            zone: jiff::tz::TimeZone::UTC,
            ascii: false,
        };
        let mut session = Session::new(site, opening, None);
        let mut effects = Vec::new();
        for key in [Key::Char('g'), Key::Char('p'), Key::Enter] {
            effects = update(&mut session, Event::Key(key, now));
        }
        let print = effects.into_iter().find_map(|effect| match effect {
            Effect::Print(print) => Some(*print),
            _ => None,
        });
        print.unwrap()
    }

    #[test]
    fn a_record_lies_beside_the_site_file_and_no_file_is_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let site = folder.path().join("S.ron");
        let (tell, incoming) = channel();
        let wait = std::time::Duration::from_secs(120);
        let mut said = Vec::new();
        for _ in 0..2 {
            assert_eq!(set_out(asked(), site.clone(), tell.clone()), None);
            match incoming.recv_timeout(wait).unwrap() {
                Incoming::Printed(printed) => said.push(printed),
                _ => panic!("another answer"),
            }
        }
        let name = "Fernmoth-Glasshouse-2026-11-25.pdf";
        let path = folder.path().join(name);
        let shown = path.display().to_string();
        assert_eq!(said[0], Printed::Written(shown.clone()));
        assert_eq!(said[1], Printed::There(shown, name.to_owned()));
        assert!(Disk.read(&path, LARGEST).unwrap().starts_with(b"%PDF-"));
        // A copy for a colleague opens as the very site.
        let mut copy = asked();
        copy.to = "for B.ron".to_owned();
        let Printed::Written(path) = write(&copy, &site) else {
            panic!("not written")
        };
        let bytes = Disk.read(Path::new(&path), LARGEST).unwrap();
        let read = format1::read("copy", &bytes).unwrap().site;
        assert_eq!(
            Some(&read.log().rows()),
            copy.copied().map(|it| it.log().rows()).as_ref()
        );
        let nowhere = write(&asked(), Path::new("/nowhere at all/S.ron"));
        assert!(matches!(nowhere, Printed::Failed(_)), "{nowhere:?}");
    }
}

//! A site file that there is nothing to say of, which is nearly every one, read without keeping
//! places: in the time of the reader itself and little more.

use super::scan::amiss;
use super::{FORMAT, File, LONGEST_NOTE, MOST_ENTRIES, MOST_ITEMS, options};
use crate::site::{Elements, Log, Ref, Site, check};

/// The site of a text; none where anything is to be said of it, which a slower look then finds and
/// places.
pub(super) fn quick(text: &str) -> Option<Site> {
    let file: File = options().from_str(text).ok()?;
    let fits = file.format == FORMAT
        && file.items.len() <= MOST_ITEMS
        && file.log.len() <= MOST_ENTRIES
        && file.questions.is_empty();
    let odd_item = || {
        file.items
            .iter()
            .any(|row| amiss(row, LONGEST_NOTE).is_some())
    };
    let odd_entry = || {
        file.log
            .iter()
            .any(|row| amiss(row, LONGEST_NOTE).is_some())
    };
    if !fits || odd_item() || odd_entry() {
        return None;
    }
    let mut elements = Elements::default();
    for item in file.items {
        let of = Ref::new(item.is.kind(), &item.id);
        if !elements.standing(&of).is_empty() {
            return None;
        }
        elements.add(of, item.stamp, item.is);
    }
    let mut log = Log::default();
    for entry in file.log {
        log.add(entry);
    }
    // Looked over on one core while the plan is put together on another.
    std::thread::scope(|scope| {
        let sound = scope.spawn(|| check(&elements, &log).is_empty());
        let site = Site::new(file.id, elements.clone(), log.clone());
        sound.join().is_ok_and(|sound| sound).then_some(site)
    })
}

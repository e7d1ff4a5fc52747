//! How the items of the rack list and the hand-back list stand.
//!
//! Never here: whether something is safe. A tick records that a thing was done, by whom and when.

use crate::site::{
    AmplifierPlan, Do, Entry, LEADS_ZEROED, LineId, ListItem, ListOf, Ref, Site, Tick, TickIs,
    in_order,
};

/// Whether an item is asked of an amplifier at all.
#[must_use]
pub const fn is_asked(item: &ListItem, amplifier: &AmplifierPlan) -> bool {
    match item.of {
        ListOf::VoiceAlarm => amplifier.voice_alarm,
        ListOf::Visit | ListOf::Amplifier | ListOf::Line | ListOf::InsulationLine => true,
    }
}

/// The latest counting entry of this visit that says an item is done, or not here, for one of these.
fn latest<'a>(site: &'a Site, item: &str, of: &dyn Fn(&Ref) -> bool) -> Option<&'a Entry> {
    let visit = site.visit();
    site.log()
        .entries()
        .iter()
        .filter(|entry| match &entry.what {
            Do::Tick(tick) => tick.item == item && tick.visit == visit && tick.of.iter().any(of),
            // A known resistor read is leads zeroed and more.
            Do::Check(check) => item == LEADS_ZEROED && check.visit == visit,
            _ => false,
        })
        .filter(|entry| site.log().counts(&entry.id))
        .max_by(|a, b| in_order(a, b))
}

/// The latest counting tick of an item for an amplifier, on the latest visit; one for the visit or
/// the whole site holds for every amplifier.
#[must_use]
pub fn ticked<'a>(site: &'a Site, item: &str, amplifier: &AmplifierPlan) -> Option<&'a Entry> {
    let own = Ref::Amplifier(amplifier.id.clone());
    latest(site, item, &|of| {
        *of == own || *of == Ref::Site || matches!(of, Ref::Visit(_))
    })
}

/// The same of an item that is asked once a visit.
#[must_use]
pub fn ticked_once<'a>(site: &'a Site, item: &str) -> Option<&'a Entry> {
    latest(site, item, &|_| true)
}

/// The same of an item for a line.
#[must_use]
pub fn line_ticked<'a>(site: &'a Site, item: &str, line: &LineId) -> Option<&'a Entry> {
    let visit = site.visit();
    let mut entries = site.log().of_line(line).into_iter();
    entries.rfind(
        |entry| matches!(&entry.what, Do::Tick(tick) if tick.item == item && tick.visit == visit),
    )
}

/// Whether an entry says enough: done, or not here with a reason.
#[must_use]
pub fn is_done(entry: &Entry) -> bool {
    !matches!(&entry.what, Do::Tick(Tick { is: TickIs::NotHere(why), .. }) if why.trim().is_empty())
}

/// Why an item is not here, where an entry says so.
#[must_use]
pub fn not_here(entry: &Entry) -> Option<&str> {
    match &entry.what {
        Do::Tick(Tick {
            is: TickIs::NotHere(why),
            ..
        }) => Some(why),
        _ => None,
    }
}

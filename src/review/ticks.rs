//! The lists whose items are ticked at a rack: before anything is measured, and when it is handed
//! back. Common practice of the trade, no source; local codes and licensed practice decide.
//!
//! Never here: whether something is safe. A tick records that a thing was done, by whom and when.

use crate::site::{AmplifierPlan, Entry, Ref, Site, Tick, TickIs, VisitId, in_order};

/// Which of the two lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TickList {
    /// At the rack, before a meter goes on.
    Rack,
    /// Handing back.
    HandBack,
}

/// An item of a list; one for each amplifier.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TickRow {
    /// As it stands in the file.
    pub item: &'static str,
    /// Of which list.
    pub list: TickList,
    /// In words.
    pub words: &'static str,
    /// Asked only of amplifiers that carry voice alarm.
    pub voice_alarm: bool,
}

const fn row(item: &'static str, list: TickList, words: &'static str) -> TickRow {
    TickRow {
        item,
        list,
        words,
        voice_alarm: false,
    }
}

const fn alarm(item: &'static str, list: TickList, words: &'static str) -> TickRow {
    TickRow {
        voice_alarm: true,
        ..row(item, list, words)
    }
}

use TickList::{HandBack, Rack};

/// Both lists in order.
pub const TICKS: [TickRow; 14] = [
    row(
        "told",
        Rack,
        "occupants, fire and alarm monitoring, control room told",
    ),
    alarm("cover", Rack, "voice-alarm cover in place and logged"),
    row(
        "amplifier-off",
        Rack,
        "amplifier and standby off; changeover, battery supply and emergency paging inhibited",
    ),
    row("locked", Rack, "isolated, locked, key kept"),
    row(
        "proved-dead",
        Rack,
        "tester proved; lines proved dead core to core and to earth; tester proved again",
    ),
    row(
        "neighbours-dead",
        Rack,
        "neighbours in the same cable proved dead",
    ),
    row(
        "label-checked",
        Rack,
        "amplifier, outputs and line voltage checked against the label on the unit",
    ),
    row(
        "controls-up",
        Rack,
        "level controls full up, override relays energised",
    ),
    row(
        "meter-zeroed",
        Rack,
        "meter leads zeroed, known resistor read",
    ),
    row(
        "joints-closed",
        HandBack,
        "joints closed, covers on, controls as found",
    ),
    row(
        "supervision",
        HandBack,
        "supervision re-taught, fault lamps clear",
    ),
    row("first-power", HandBack, "first power at low level"),
    row(
        "zones-heard",
        HandBack,
        "every zone heard on main and on standby from the emergency microphone",
    ),
    alarm(
        "cover-stood-down",
        HandBack,
        "cover stood down, monitoring told, log book signed",
    ),
];

/// The row of this name.
#[must_use]
pub fn tick_named(item: &str) -> Option<&'static TickRow> {
    TICKS.iter().find(|row| row.item == item)
}

impl TickRow {
    /// Whether it is asked of an amplifier.
    #[must_use]
    pub const fn is_asked_of(&self, amplifier: &AmplifierPlan) -> bool {
        amplifier.voice_alarm || !self.voice_alarm
    }
}

/// The latest counting tick of an item for an amplifier on a visit; one for the whole site holds for
/// every amplifier.
#[must_use]
pub fn ticked<'a>(
    site: &'a Site,
    item: &str,
    amplifier: &AmplifierPlan,
    visit: &VisitId,
) -> Option<(&'a Entry, &'a Tick)> {
    let own = Ref::Amplifier(amplifier.id.clone());
    site.log()
        .entries()
        .iter()
        .filter_map(|entry| match &entry.what {
            crate::site::Do::Tick(tick)
                if tick.item == item
                    && tick.visit == *visit
                    && tick.of.iter().any(|of| *of == own || *of == Ref::Site)
                    && site.log().counts(&entry.id) =>
            {
                Some((entry, tick))
            }
            _ => None,
        })
        .max_by(|a, b| in_order(a.0, b.0))
}

/// Whether a tick says enough: done, or not here with a reason.
#[must_use]
pub fn is_done(tick: &Tick) -> bool {
    match &tick.is {
        TickIs::Done => true,
        TickIs::NotHere(why) => !why.trim().is_empty(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_item_has_a_name_of_its_own_and_is_found_by_it() {
        for row in &TICKS {
            assert_eq!(tick_named(row.item), Some(row));
            assert_eq!(TICKS.iter().filter(|it| it.item == row.item).count(), 1);
        }
        assert_eq!(tick_named("nothing"), None);
    }
}

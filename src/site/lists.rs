//! The short lists at the rack: what is ticked before a line is touched and when it is handed back.
//!
//! A tick is an entry with a time and a name. It says that somebody said so; it makes nothing safe.
//! The steps are those of the trade, common practice, no source; local codes and licensed practice
//! decide.

use super::history::{CORES_OFF, CORES_ON};

/// What a list item is ticked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ListOf {
    /// Once a visit.
    Visit,
    /// Each amplifier.
    Amplifier,
    /// Each amplifier that carries a voice alarm.
    VoiceAlarm,
    /// Each line.
    Line,
    /// Each line whose insulation is asked for.
    InsulationLine,
}

/// When a list item is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ListWhen {
    /// Before a line is touched.
    Before,
    /// Before an insulation reading.
    Insulation,
    /// When lines are handed back.
    Back,
}

/// One item of a list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ListItem {
    /// Its name in the log; it never changes again.
    pub item: &'static str,
    /// What it is ticked for.
    pub of: ListOf,
    /// When it is due.
    pub when: ListWhen,
    /// In a few words, at most 34 cells.
    pub words: &'static str,
    /// In full, with the caution that belongs to it.
    pub full: &'static str,
}

/// List item that says the known resistor was read, the leads zeroed before; a check says the first half.
pub const LEADS_ZEROED: &str = "leads-zeroed";
/// List item that says the meter was switched off after the last reading.
pub const METER_OFF: &str = "meter-off";
/// List item that says an amplifier is off, and that nothing switches it on again.
pub const AMPLIFIER_OFF: &str = "amplifier-off";
/// List item that says the lines of an amplifier are proved dead.
pub const PROVED_DEAD: &str = "proved-dead";
/// List item that says other lines in the same cables are dead too.
pub const NEIGHBOURS_DEAD: &str = "neighbours-dead";
/// List item that says level controls are up and relays energised.
pub const CONTROLS_UP: &str = "controls-up";
/// List item that says an amplifier is isolated and cannot come back.
pub const ISOLATED: &str = "locked";
/// List item that says the cores of a line were discharged after its insulation was tested.
pub const DISCHARGED: &str = "discharged";
/// List item that says the joints of a line are closed, while it is still off the amplifier.
pub const JOINTS_CLOSED: &str = "joints-closed";
/// List item that says everybody is off the lines and knows that power comes.
pub const LOCKS_OFF: &str = "locks-off";
/// List item that says an amplifier was powered at low level.
pub const FIRST_POWER: &str = "low-power";
/// List items that say every zone was heard.
pub const ALL_HEARD: [&str; 2] = ["heard-main", "heard-standby"];

const fn row(
    item: &'static str,
    of: ListOf,
    when: ListWhen,
    words: &'static str,
    full: &'static str,
) -> ListItem {
    ListItem {
        item,
        of,
        when,
        words,
        full,
    }
}

use ListOf::{Amplifier, InsulationLine, Line, Visit, VoiceAlarm};
use ListWhen::{Back, Before, Insulation};

/// Every item, in the order of the work.
pub const LISTS: [ListItem; 27] = [
    row(
        "told",
        Amplifier,
        Before,
        "occupants, monitoring told",
        "Occupants, fire and alarm monitoring and the control room are told.",
    ),
    row(
        "cover",
        VoiceAlarm,
        Before,
        "voice-alarm cover in place",
        "Cover for the voice alarm is in place and logged: while its lines are off it warns nobody.",
    ),
    row(
        AMPLIFIER_OFF,
        Amplifier,
        Before,
        "amplifier and standby off",
        "Amplifier and standby amplifier off; automatic changeover, battery supply and emergency paging inhibited. An amplifier that is off can come back by itself.",
    ),
    row(
        ISOLATED,
        Amplifier,
        Before,
        "isolated, locked, key kept",
        "Isolated and locked, and the key is kept by whoever works on the lines.",
    ),
    row(
        PROVED_DEAD,
        Amplifier,
        Before,
        "lines proved dead",
        "Tester proved, lines proved dead core to core and each core to earth, tester proved again.",
    ),
    row(
        NEIGHBOURS_DEAD,
        Amplifier,
        Before,
        "neighbours in the cable dead",
        "Other lines in the same cables are dead too, those of other amplifiers among them.",
    ),
    row(
        "label-read",
        Amplifier,
        Before,
        "labels on the unit checked",
        "Amplifier, output and line voltage checked against the label on the unit itself, not the drawing.",
    ),
    row(
        CONTROLS_UP,
        Amplifier,
        Before,
        "controls up, relays energised",
        "Level controls full up and override relays energised, else a line reads lighter than it is. With the rack isolated the relays want a supply of their own.",
    ),
    row(
        CORES_OFF,
        Line,
        Before,
        "both cores off",
        "Both cores off the amplifier. Note which is which: polarity is kept when they go back.",
    ),
    row(
        LEADS_ZEROED,
        Visit,
        Before,
        "known resistor read",
        "A known resistor read with the meter, its leads zeroed first, before the first reading of the visit. A meter on a driven line dies.",
    ),
    row(
        "devices-off",
        InsulationLine,
        Insulation,
        "devices off at both ends",
        "Supervision, end-of-line devices and electronics are off the line at both ends: the test voltage kills them.",
    ),
    row(
        "far-ends-warned",
        InsulationLine,
        Insulation,
        "nobody touching, ends warned",
        "Nobody touches the line, and whoever is at its far ends is warned.",
    ),
    row(
        "cores-joined",
        InsulationLine,
        Insulation,
        "cores joined, against earth",
        "Cores joined, tested against earth, never core to core: 500 V DC on lines of 70.7 V and more, 250 V on true extra-low voltage or where equipment must stay; until it is steady.",
    ),
    row(
        DISCHARGED,
        InsulationLine,
        Insulation,
        "both cores discharged",
        "Both cores discharged after the test: a long cable keeps its charge.",
    ),
    row(
        JOINTS_CLOSED,
        Line,
        Back,
        "joints closed, covers on",
        "Joints closed, covers on, controls as they were found.",
    ),
    row(
        "devices-on",
        InsulationLine,
        Back,
        "devices back at both ends",
        "Supervision, end-of-line devices and electronics back on the line at both ends, as they were found.",
    ),
    row(
        CORES_ON,
        Line,
        Back,
        "cores back on, polarity kept",
        "Both cores back on the amplifier, polarity kept. A line that reads short is not connected.",
    ),
    row(
        METER_OFF,
        Visit,
        Back,
        "meter off and put away",
        "Meter off after the last reading, and off every line before an amplifier is switched on.",
    ),
    row(
        LOCKS_OFF,
        Amplifier,
        Back,
        "everybody off, locks taken off",
        "Everybody off the lines and told that power comes; locks off, and the key back with whoever keeps it.",
    ),
    row(
        FIRST_POWER,
        Amplifier,
        Back,
        "first power at low level",
        "First power at low level, everybody off the lines and off ladders.",
    ),
    row(
        "inhibits-lifted",
        Amplifier,
        Back,
        "changeover, battery, paging back",
        "Automatic changeover, battery supply and emergency paging no longer inhibited, as they were found.",
    ),
    row(
        "supervision",
        Amplifier,
        Back,
        "supervision re-taught",
        "Line supervision re-taught with the lines as they are now.",
    ),
    row(
        "faults-clear",
        Amplifier,
        Back,
        "fault lamps clear",
        "No fault lamp is lit on amplifier, standby and supervision.",
    ),
    row(
        ALL_HEARD[0],
        Amplifier,
        Back,
        "every zone heard on main",
        "Every zone heard on the main amplifier.",
    ),
    row(
        ALL_HEARD[1],
        VoiceAlarm,
        Back,
        "heard on standby, microphone",
        "Every zone heard on the standby amplifier, and from the emergency microphone.",
    ),
    row(
        "cover-down",
        VoiceAlarm,
        Back,
        "cover stood down",
        "Cover stood down once the voice alarm speaks again.",
    ),
    row(
        "signed",
        Amplifier,
        Back,
        "monitoring told, book signed",
        "Monitoring and control room told that it is back; the building's log book signed.",
    ),
];

/// The item of that name.
#[must_use]
pub fn list_item(item: &str) -> Option<&'static ListItem> {
    LISTS.iter().find(|it| it.item == item)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_item_is_named_once_in_few_words_and_none_says_that_anything_is_safe() {
        for (at, it) in LISTS.iter().enumerate() {
            assert!(
                LISTS[..at].iter().all(|other| other.item != it.item),
                "{}",
                it.item
            );
            assert!(it.words.len() <= 34, "{}", it.words);
            for text in [it.words, it.full] {
                assert!(!text.to_lowercase().contains("safe"), "{text}");
                assert!(text.is_ascii(), "{text}");
            }
        }
        assert_eq!(list_item(CORES_OFF).map(|it| it.of), Some(Line));
    }
}

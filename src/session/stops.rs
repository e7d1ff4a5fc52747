//! A tick that cannot be so as things stand, at the keyboard: `review` has the rule, here is said which key
//! to press instead.

use super::Session;
use super::keys::Action;
use super::tick_row::TickRow;
use crate::review::{Asks, BesidePower, Situation, Stop};
use crate::site::{FIRST_POWER, ListOf, TickIs};

impl Session {
    /// How things stand, what is on its way to the disk counted in.
    pub(super) fn situation(&self) -> Situation<'_> {
        let sent = self
            .pending
            .iter()
            .filter(|it| !self.is_struck_ahead(&it.entry.id))
            .map(|it| &it.entry.what);
        Situation::of(&self.site).with(sent)
    }

    /// Why a row of the rack list cannot be ticked as things stand; none where it can.
    pub(super) fn stopped(&self, row: &TickRow<'_>, is: &TickIs) -> Option<String> {
        let lines = self.lines_of_tick(row);
        let stop = self.situation().stop(&self.analyst, row.item, is, &lines)?;
        Some(in_keys(&stop))
    }

    fn lines_of_tick(&self, row: &TickRow<'_>) -> Vec<usize> {
        let of_amplifier = matches!(row.item.of, ListOf::Amplifier | ListOf::VoiceAlarm);
        match (of_amplifier, self.amplifier_under()) {
            (true, Some(amplifier)) => self.lines_of_amplifier(amplifier),
            _ => row.lines.clone(),
        }
    }

    /// Whether the row under the cursor is asked about before Space ticks it: power onto a line that reads
    /// short or open or onto too much load, a line off an amplifier that was powered again.
    pub(super) fn asks_of_tick(&mut self) -> bool {
        let rows = self.tick_rows();
        let Some(row) = rows.get(self.tick_at(&rows)) else {
            return false;
        };
        let lines = self.lines_of_tick(row);
        let first_power = row.item.item == FIRST_POWER;
        let amplifier = self.amplifier_under().filter(|_| first_power);
        let beside = amplifier.map(|at| self.beside_power(at));
        // Who may be at the lines comes before what is on them.
        let people = beside.as_ref().and_then(BesidePower::people);
        let question = match (
            people,
            self.situation().asks(&self.analyst, row.item, &lines),
        ) {
            (None, None) => return false,
            (Some(words), None) => {
                format!("{words}: power all the same? Space once more ticks it")
            }
            (Some(people), Some(Asks::Faulty(words) | Asks::Load(words))) => {
                format!("{people}; {words}: power on it all the same? Space once more ticks it")
            }
            (None, Some(Asks::Faulty(words) | Asks::Load(words))) => {
                format!("{words}: power on it all the same? Space once more ticks it")
            }
            (_, Some(Asks::Powered(words))) => {
                format!("{words}: off, locked, proved dead first. Space once more ticks it")
            }
        };
        self.asks_first(Action::Tick, question)
    }

    /// Whether a known resistor was read in this visit, the leads zeroed before.
    pub(super) fn resistor_was_read(&self) -> bool {
        self.situation().resistor_was_read()
    }
}

/// What stands in the way, and the keys that clear it.
pub(super) fn in_keys(stop: &Stop) -> String {
    match stop {
        Stop::NoResistor => "type what the meter shows on a known resistor, 398r400: that ticks \
                             it; l: no resistor"
            .to_owned(),
        Stop::Short(_) | Stop::NotReadAgain(_) => stop.to_string(),
        Stop::Opened(_) => format!("{stop}: w there, then b when closed again"),
        Stop::Off(lines) => {
            let them = if lines.len() == 1 { "it" } else { "them" };
            format!("{stop}: put {them} back, or say in g v why not")
        }
    }
}

//! What is said before and after a tick for handing back: which lines are flagged, since a tick says
//! nothing of their load; what contradicts that all was heard; which cores are still to be moved.

use super::Session;
use super::tick_row::{TickId, TickRow};
use super::view::text::few;
use crate::quantity::show;
use crate::review::{
    BesidePower, Late, ListRow, ListStands, Lists, against_heard, flagged_beside, is_check,
    lines_in, not_here, says_all_heard, to_move_words,
};
use crate::site::{CORES_ON, Do, Entry, FIRST_POWER, ListOf, Ref, TickIs, list_item};

/// So many lines are named on the message line, whose eighty cells hold the lines ticked as well.
const MOST_NAMED: usize = 1;

impl Session {
    /// What stands beside first power of an amplifier, by its place in the plan.
    pub(super) fn beside_power(&self, amplifier: usize) -> BesidePower {
        BesidePower::of(&self.site, &self.analyst, &self.situation(), amplifier)
    }

    /// Flagged lines that a row of the rack list is ticked for, each with why: `TH-1 reads open`.
    pub(super) fn flagged_under(&self, row: &TickRow<'_>) -> Vec<String> {
        let lines = match (row.item.of, self.amplifier_under()) {
            (ListOf::Amplifier | ListOf::VoiceAlarm, Some(at)) => self.lines_of_amplifier(at),
            _ => row.lines.clone(),
        };
        let flagged = flagged_beside(&self.site, &self.analyst, row.item, &lines);
        let words = flagged
            .iter()
            .map(|(label, why)| format!("{label} {}", why.words()));
        words.collect()
    }

    /// The same of a tick that was recorded, for the message.
    pub(super) fn flagged_words(&self, entry: &Entry) -> Option<String> {
        let Do::Tick(tick) = &entry.what else {
            return None;
        };
        if tick.is != TickIs::Done {
            return None;
        }
        let lines = tick.of.iter().flat_map(|of| lines_in(&self.site, of));
        let lines: Vec<usize> = lines.collect();
        let item = list_item(&tick.item)?;
        if says_all_heard(item.item)
            && let Some(against) = against_heard(&self.site, &self.analyst, lines.iter().copied())
        {
            return Some(format!("yet {against}: g v"));
        }
        let amplifiers = &self.site.plan().amplifiers;
        let own = |of: &Ref| {
            amplifiers
                .iter()
                .position(|it| Ref::Amplifier(it.id.clone()) == *of)
        };
        if item.item == FIRST_POWER
            && let [of] = &tick.of[..]
            && let Some(at) = own(of)
        {
            return self.beside_power(at).brief();
        }
        let flagged = flagged_beside(&self.site, &self.analyst, item, &lines);
        let labels: Vec<String> = flagged.into_iter().map(|(label, _)| label).collect();
        let flagged =
            (!labels.is_empty()).then(|| format!("flagged: {}", few(&labels, MOST_NAMED)));
        let unread = (item.item == CORES_ON).then(|| self.unread_words(&lines));
        let told: Vec<String> = [flagged, unread.flatten()].into_iter().flatten().collect();
        (!told.is_empty()).then(|| told.join("; "))
    }

    /// Of lines that went back on, how many were not read: nobody knows what is on the amplifier then.
    fn unread_words(&self, lines: &[usize]) -> Option<String> {
        let unread = lines.iter().filter(|at| !self.analyst.line(**at).is_read());
        match (unread.count(), lines.len()) {
            (0, _) => None,
            (1, 1) => Some("not read".to_owned()),
            (unread, all) => Some(format!("{unread} of {all} not read")),
        }
    }

    /// What was read before a row was ticked, in words: `after 3 readings (first 14:52)`.
    pub(super) fn late_words(&self, late: Late) -> String {
        let first = self.day_or_clock(late.first);
        format!(
            "after {} (first {first})",
            show::count(late.readings, "reading")
        )
    }

    /// The same of a tick, or of a known resistor, that was recorded, for the message.
    pub(super) fn ticked_late(&self, entry: &Entry) -> Option<String> {
        if !matches!(entry.what, Do::Tick(_) | Do::Check(_)) {
            return None;
        }
        let rows = Lists::of(&self.site).rows(self.amplifier_under()?);
        let own = |row: &&ListRow<'_>| row.stands.done().is_some_and(|it| it.id == entry.id);
        let late = rows.iter().filter(own).filter_map(|row| row.late);
        let verb = match entry.what {
            Do::Check(_) => "read",
            _ => "ticked",
        };
        let late = late.reduce(Late::and)?;
        Some(format!("{verb} {}", self.late_words(late)))
    }

    /// What contradicts a row of the rack list that was ticked as heard everywhere; none where nothing does.
    pub(super) fn contradicts(&self, row: &TickRow<'_>) -> Option<String> {
        let done = matches!(&row.stands, ListStands::Done(entry) if not_here(entry).is_none());
        if !done || !says_all_heard(row.item.item) {
            return None;
        }
        let lines = self.lines_of_amplifier(self.amplifier_under()?);
        let against = against_heard(&self.site, &self.analyst, lines)?;
        Some(against.to_string())
    }

    /// What is said of a row that was ticked: who did, and what to do where it is contradicted.
    pub(super) fn ticked_already(&self, row: &TickRow<'_>, entry: &Entry) -> String {
        let ticked = format!("ticked {} by {}", self.day_or_clock(entry.at), entry.by);
        match self.contradicts(row) {
            Some(against) => format!("{ticked}, yet {against}: l says what was not heard"),
            None => format!("{ticked}; u takes back what was ticked last"),
        }
    }

    /// Whether a row that was ticked is ticked again: a reading came since, or it is contradicted and said
    /// not to be so; or the known resistor alone has ticked it, and its leads are said to be zeroed.
    pub(super) fn is_said_again(&self, row: &TickRow<'_>, is: &TickIs) -> bool {
        let otherwise = || *is != TickIs::Done && self.contradicts(row).is_some();
        let ListStands::Done(entry) = row.stands else {
            return false;
        };
        row.read_since.is_some() || otherwise() || (*is == TickIs::Done && is_check(entry))
    }

    /// What the panel says of a row of the rack list before it is ticked, and after, that is not as it
    /// should be.
    pub(super) fn wrong_with(&self, row: &TickRow<'_>) -> Vec<String> {
        let mut out = Vec::new();
        if let Some(against) = self.contradicts(row) {
            out.push(format!(
                "contradicted: {against}. Listen to them (w); else l says what was not heard"
            ));
        }
        if row.item.item == CORES_ON {
            let words = row.lines.iter().filter_map(|at| self.to_move_words(*at));
            out.extend(words);
        }
        if row.item.item == FIRST_POWER
            && let Some(at) = self.amplifier_under()
        {
            out.extend(self.beside_power(at).sentences());
        }
        out
    }

    /// What is still to be done of a line that was tried out on another output and applied.
    pub(super) fn to_move_words(&self, at: usize) -> Option<String> {
        let line = &self.site.plan().lines[at];
        let words = to_move_words(&self.site, self.analyst.to_move(), &line.id)?;
        Some(format!(
            "{}: {words}: move them, then tick that (g r)",
            line.label
        ))
    }

    /// The cursor of the rack list on the row that says of the line under the cursor that it is back on.
    pub(super) fn stand_on_cores(&mut self) {
        self.tick_at = TickId {
            item: CORES_ON.to_owned(),
            line: self.cursor_line(),
            output: None,
        };
    }
}

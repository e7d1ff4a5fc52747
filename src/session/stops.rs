//! What stands in the way of a tick: an item of the rack list that cannot be true as things stand is
//! not ticked, and whoever tries is told why and what to do. What is ticked is still no proof.

use super::Session;
use super::rack::TickRow;
use super::view::text::few;
use crate::site::{CORES_ON, Decision, Do, LEADS_ZEROED, ListOf, ListWhen};

/// First power at low level is how lines come back one after the other: it may be done with some OFF.
const WITH_SOME_OFF: &str = "low-power";
/// Said of each line, while it is still off the amplifier.
const JOINTS_CLOSED: &str = "joints-closed";

/// So many labels fit a message.
const MOST_LABELS: usize = 4;

impl Session {
    /// Why a row of the rack list cannot be ticked as things stand; none where it can.
    pub(super) fn stopped(&self, row: &TickRow<'_>) -> Option<String> {
        let item = row.item;
        if item.item == LEADS_ZEROED {
            return (!self.resistor_was_read()).then(|| {
                "type what the meter shows on a known resistor, 398r400: that ticks it; l: no \
                 resistor"
                    .to_owned()
            });
        }
        let of_amplifier = matches!(item.of, ListOf::Amplifier | ListOf::VoiceAlarm);
        let handed_back = item.when == ListWhen::Back && of_amplifier;
        if !handed_back && ![CORES_ON, JOINTS_CLOSED].contains(&item.item) {
            return None;
        }
        let lines = match (of_amplifier, self.amplifier_under()) {
            (true, Some(amplifier)) => self.lines_of_amplifier(amplifier),
            _ => row.lines.clone(),
        };
        let named = |wanted: &dyn Fn(usize) -> bool| -> Vec<String> {
            let lines = lines.iter().copied().filter(|at| wanted(*at));
            lines
                .map(|at| self.site.plan().lines[at].label.clone())
                .collect()
        };
        if item.item == CORES_ON {
            let limits = self.analyst.limits();
            let short = named(&|at| self.analyst.line(at).is_stop(limits));
            if !short.is_empty() {
                let (read, it) = plural(&short, ["reads", "it"], ["read", "they"]);
                return Some(format!(
                    "{} {read} short: {it} must not be connected",
                    few(&short, MOST_LABELS)
                ));
            }
        }
        let open = named(&|at| self.open_split_ahead(at).is_some());
        if !open.is_empty() {
            let (stands, _) = plural(&open, ["stands", ""], ["stand", ""]);
            return Some(format!(
                "{} {stands} opened: w there, then b when closed again",
                few(&open, MOST_LABELS)
            ));
        }
        if !handed_back || item.item == WITH_SOME_OFF {
            return None;
        }
        // A line that stays off for a reason that was said stands in nobody's way.
        let said = |at: usize| {
            let decision = &self.analyst.line(at).decision;
            matches!(decision, Some(Decision::Accepted | Decision::Snag { .. }))
        };
        let off = named(&|at| self.is_off_ahead(at) && !said(at));
        if off.is_empty() {
            return None;
        }
        let (is, it) = plural(&off, ["is", "it"], ["are", "them"]);
        Some(format!(
            "{} {is} OFF: put {it} back, or say in g v why not",
            few(&off, MOST_LABELS)
        ))
    }

    /// Whether a known resistor was read in this visit, the leads zeroed before.
    pub(super) fn resistor_was_read(&self) -> bool {
        let (log, visit) = (self.site.log(), self.site.visit());
        let check = |what: &Do| matches!(what, Do::Check(check) if check.visit == visit);
        let mut entries = log.entries().iter();
        let mut sent = self.pending.iter();
        entries.any(|entry| check(&entry.what) && log.counts(&entry.id))
            || sent.any(|it| check(&it.entry.what) && !self.is_struck_ahead(&it.entry.id))
    }
}

fn plural(
    labels: &[String],
    one: [&'static str; 2],
    several: [&'static str; 2],
) -> (&'static str, &'static str) {
    let [verb, pronoun] = if labels.len() == 1 { one } else { several };
    (verb, pronoun)
}

//! What the terminal asks about or refuses before a reading counts, of the rows of a file: refused by row,
//! or told.
//!
//! Never here: what cannot be so, which is `review`'s and `analysis`' to say.

use super::Refusal;
use crate::analysis::{CheckDoubt, check_doubt};
use crate::quantity::show::count;
use crate::review::{Cores, Situation, Unheard};
use crate::site::{Do, Entry, PLAIN_ACCURACY, Site};
use anyhow::Result;

/// Refuses answers that no tone could have given: of a line that was off the amplifier with its own
/// tone, of what hung behind an opening. Every such row is named.
pub(super) fn heard_at_all(file: &str, site: &Site, entries: &[Entry]) -> Result<()> {
    let plan = site.plan();
    let unheard = |entry: &Entry| {
        let Do::Listen(it) = &entry.what else {
            return None;
        };
        let at = plan.line(&it.line)?;
        let node = plan.lines[at].node(&it.at)?;
        let why = Situation::of(site)
            .at(entry.at)
            .unheard(at, node, &it.tone)?;
        let advice = match why {
            Unheard::Off(_) => {
                "name the instrument whose tone it was, or `linewright tick SITE.ron cores-on` first"
            }
            Unheard::Opened { .. } => "give a time (`when`) after it was closed again",
        };
        let row = entry.row.unwrap_or_default();
        Some(format!(
            "{file}: row {row} under the header: {why}; {advice}"
        ))
    };
    refuse(entries.iter().filter_map(unheard).collect())
}

/// Refuses readings that want a word first, as the terminal asks about them: of a line that was ticked back
/// on at that time, where a meter dies; of a line whole that stood opened for a split; of insulation, its
/// time not given, of a line that is not ticked off where others are. Every such row is named; what corrects
/// another was read before.
pub(super) fn read_off_and_whole(file: &str, site: &Site, entries: &[Entry]) -> Result<()> {
    let plan = site.plan();
    let asked = |entry: &Entry| {
        let (line, whole) = match &entry.what {
            Do::Read(it) => (&it.line, it.cut.is_none()),
            Do::Insulate(it) => (&it.line, true),
            _ => return None,
        };
        let at = plan.line(line).filter(|_| entry.corrects.is_none())?;
        let label = &plan.lines[at].label;
        let situation = Situation::of(site).at(entry.at);
        let is_tester = matches!(entry.what, Do::Insulate(_));
        // A row with `when` is named by a hash of what it says.
        let has_when = entry.id.as_str().starts_with("c-");
        let why = if situation.cores(at) == Cores::BackOn {
            format!("{label} is back on the amplifier: no meter on it")
        } else if is_tester && !has_when && situation.cores(at) == Cores::NotTicked {
            format!(
                "{label} is not ticked off the amplifier: no insulation tester, 250 to 500 V, on it"
            )
        } else if whole && situation.open_split(at).is_some() {
            format!("{label} stands opened for a split: no reading of it whole")
        } else {
            return None;
        };
        let row = entry.row.unwrap_or_default();
        Some(format!(
            "{file}: row {row} under the header: {why}; give the time (`when`) it was read at, or \
             --read-while-off if it was off and whole then"
        ))
    };
    refuse(entries.iter().filter_map(asked).collect())
}

/// All that is wrong with the rows, or nothing.
fn refuse(mut lines: Vec<String>) -> Result<()> {
    if lines.is_empty() {
        return Ok(());
    }
    lines.push(format!(
        "{}; nothing was written",
        count(lines.len(), "problem")
    ));
    Err(Refusal::of_all(lines))
}

/// What is doubtful of each known resistor among the rows, with its row.
fn doubts(site: &Site, entries: &[Entry]) -> Vec<(u32, CheckDoubt)> {
    let doubt = |entry: &Entry| {
        let Do::Check(it) = &entry.what else {
            return None;
        };
        let made = site.plan().instrument(&it.instrument);
        let accuracy = made.map_or(PLAIN_ACCURACY, |it| it.accuracy);
        let read = (it.value, it.step_ohm);
        let doubt = check_doubt(&it.text, read, it.known_ohm, accuracy, site.figures())?;
        Some((entry.row.unwrap_or_default(), doubt))
    };
    entries.iter().filter_map(doubt).collect()
}

/// Refuses known resistors that no meter could read so: a slip there turns over what is held of every line
/// read with that meter. Every such row is named.
pub(super) fn no_checks(file: &str, site: &Site, entries: &[Entry]) -> Result<()> {
    let slips = doubts(site, entries).into_iter();
    let slips = slips.filter_map(|(row, doubt)| match doubt {
        CheckDoubt::Beyond(_) => None,
        CheckDoubt::NoMeter(words, alike) => {
            let fits = alike.map_or_else(String::new, |alike| format!(" {alike}."));
            Some(format!(
                "{file}: row {row} under the header: {words}{fits} Look at the range and the digits of \
                 `value` and `known_ohms`, or read it again"
            ))
        }
    });
    refuse(slips.collect())
}

/// Known resistors that are off by more than the meter's accuracy, each by its row: that may be so.
pub(super) fn doubtful_checks(site: &Site, entries: &[Entry]) -> Vec<String> {
    let doubts = doubts(site, entries).into_iter();
    let told = doubts.filter_map(|(row, doubt)| match doubt {
        CheckDoubt::Beyond(words) => Some(format!("row {row} under the header: {words}")),
        CheckDoubt::NoMeter(..) => None,
    });
    told.collect()
}

//! What stands beside first power: joints that nobody ticked closed, cores that are still to be moved,
//! outputs past their headroom, flagged lines that stay OFF, lines not read. Said before it is ticked, each with what to
//! do, and in one line after.
//!
//! Never here: whether power may go on.

use super::Session;
use crate::quantity::show::few;
use crate::review::{self, Lists, Why, flagged_beside};
use crate::site::list_item;

/// The item of the hand-back list.
pub(super) const FIRST_POWER: &str = "low-power";
/// Said of each line.
const JOINTS_CLOSED: &str = "joints-closed";
/// So many labels are named where there is room for a sentence each.
const MOST_LABELS: usize = 4;

/// What is not as it should be when an amplifier is powered, labels each.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Beside {
    /// Joints not ticked closed.
    joints: Vec<String>,
    /// Cores that are on another output than drawn.
    cores: Vec<String>,
    /// Outputs past rating or headroom, as the amplifier counts them.
    outputs: Vec<(String, Why)>,
    /// Flagged, and OFF.
    off: Vec<String>,
    /// Flagged, and not OFF.
    on: Vec<String>,
    /// Not read, and not OFF.
    unread: Vec<String>,
}

impl Session {
    /// What stands beside first power of an amplifier, by its place in the plan.
    pub(super) fn beside_power(&self, amplifier: usize) -> Beside {
        let (site, analyst, plan) = (&self.site, &self.analyst, self.site.plan());
        let lines = self.lines_of_amplifier(amplifier);
        let label = |at: usize| plan.lines[at].label.clone();
        let mut out = Beside::default();
        for row in Lists::of(site).rows(amplifier) {
            let line = row.line.filter(|at| review::is_asked(site, row.item, *at));
            if let (JOINTS_CLOSED, Some(at), true) = (row.item.item, line, row.stands.waits()) {
                out.joints.push(label(at));
            }
        }
        let moves = analyst.to_move();
        let to_move = lines.iter().filter(|at| moves.has(&plan.lines[**at].id));
        out.cores = to_move.map(|at| label(*at)).collect();
        for at in plan.amplifiers[amplifier].outputs.clone() {
            if let Some(why) = review::output(site, analyst, at) {
                out.outputs.push((plan.outputs[at].label.clone(), why));
            }
        }
        if let Some(item) = list_item(FIRST_POWER) {
            let stands = self.stands();
            for at in lines {
                let flagged = flagged_beside(site, analyst, item, &[at]);
                match (flagged.is_empty(), stands.is_off(at)) {
                    (true, false) if !analyst.line(at).is_read() => out.unread.push(label(at)),
                    (true, _) => {}
                    (false, true) => out.off.push(label(at)),
                    (false, false) => out.on.push(label(at)),
                }
            }
        }
        out
    }
}

/// The first label, and how many more.
fn first(labels: &[String]) -> String {
    match labels {
        [] => String::new(),
        [one] => one.clone(),
        [one, more @ ..] => format!("{one} +{}", more.len()),
    }
}

impl Beside {
    /// In one line: of one matter with what to do, of several which they are and where that stands.
    pub(super) fn brief(&self) -> Option<String> {
        let outputs: Vec<String> = self.outputs.iter().map(|it| it.0.clone()).collect();
        let over = self.outputs.iter().any(|it| it.1 == Why::Over);
        let past = if over { "rating" } else { "headroom" };
        let told = [
            (&self.joints, "joints ", "", ": close them, tick that"),
            (&self.cores, "cores of ", " not moved", ": g v"),
            (&outputs, "out ", "", ": h takes load off"),
            (&self.off, "flagged ", " OFF", ": keep it so"),
            (&self.on, "flagged ", "", ": a word in g v"),
            (&self.unread, "", " not read", ": read first"),
        ];
        let told = told.into_iter().filter(|it| !it.0.is_empty());
        let told: Vec<(String, &str)> = told
            .map(|(labels, before, after, cure)| {
                let after = match before {
                    "out " => format!(" past {past}"),
                    _ => after.to_owned(),
                };
                (format!("{before}{}{after}", first(labels)), cure)
            })
            .collect();
        match &told[..] {
            [] => None,
            [(words, cure)] => Some(format!("{words}{cure}")),
            several => {
                let words: Vec<&str> = several.iter().map(|it| it.0.as_str()).collect();
                Some(format!("{}: g v", words.join(", ")))
            }
        }
    }

    /// A sentence each, with what to do; flagged lines that are on have theirs on every such row.
    pub(super) fn sentences(&self) -> Vec<String> {
        let mut out = Vec::new();
        let some = |labels: &[String]| {
            let named = few(labels, MOST_LABELS);
            (!labels.is_empty()).then_some(named)
        };
        if let Some(named) = some(&self.joints) {
            out.push(format!(
                "joints not ticked closed: {named}. Close them, then tick that"
            ));
        }
        if let Some(named) = some(&self.cores) {
            out.push(format!(
                "cores not where they are drawn: {named}. Move them, then tick that they are back on"
            ));
        }
        for (label, why) in &self.outputs {
            out.push(format!(
                "out {label} is {}: take load off it (h), or say in g v why it stays",
                why.words()
            ));
        }
        if let Some(named) = some(&self.off) {
            out.push(format!(
                "OFF and flagged: {named}. Keep them OFF until they are mended and read again"
            ));
        }
        if let Some(named) = some(&self.unread) {
            out.push(format!(
                "not read and not OFF: {named}. Read them first, or keep them OFF"
            ));
        }
        out
    }
}

//! What stands beside first power: people who may still be at the lines, a meter that nobody ticked off, cores not discharged, joints not
//! closed, cores that are still to be moved, outputs past their headroom, flagged lines that stay OFF,
//! lines not read. Said before it is ticked, each with what to do, and in one line after.
//!
//! Never here: whether power may go on.

use super::stops::MOST_LABELS;
use super::{Lists, Situation, Why, flagged_beside, label_of};
use crate::analysis::Analyst;
use crate::quantity::Value;
use crate::quantity::show::few;
use crate::site::{
    CORES_OFF, DISCHARGED, Decision, Do, FIRST_POWER, ISOLATED, JOINTS_CLOSED, LOCKS_OFF, ListItem,
    METER_OFF, Ref, Site, TickIs, list_item,
};
use crate::verdict::OutputWord;

/// What is not as it should be when an amplifier is powered, labels each.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BesidePower {
    /// That everybody is off is not ticked.
    people: bool,
    /// Joints not ticked closed.
    joints: Vec<String>,
    /// Cores not ticked discharged after an insulation test.
    charged: Vec<String>,
    /// The meter is not ticked off.
    meter: bool,
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

impl BesidePower {
    /// What stands beside first power of an amplifier, by its place in the plan, as things stand.
    #[must_use]
    pub fn of(site: &Site, analyst: &Analyst, situation: &Situation<'_>, amplifier: usize) -> Self {
        let plan = site.plan();
        let label = |at: usize| plan.lines[at].label.clone();
        let mut out = Self::default();
        for row in Lists::of(site).rows(amplifier) {
            let waits = row.stands.waits();
            let line = row.line.filter(|at| super::is_asked(site, row.item, *at));
            match (row.item.item, line) {
                (JOINTS_CLOSED, Some(at)) if waits => out.joints.push(label(at)),
                // A test that was never made charged nothing.
                (DISCHARGED, Some(at)) if waits && analyst.line(at).insulation.is_some() => {
                    out.charged.push(label(at));
                }
                (METER_OFF, _) => out.meter = waits,
                (LOCKS_OFF, _) => out.people = waits,
                _ => {}
            }
        }
        let outputs = plan.amplifiers[amplifier].outputs.clone();
        let lines = outputs
            .clone()
            .flat_map(|at| plan.outputs[at].lines.clone());
        let lines: Vec<usize> = lines.collect();
        let moves = analyst.to_move();
        let to_move = lines.iter().filter(|at| moves.has(&plan.lines[**at].id));
        out.cores = to_move.map(|at| label(*at)).collect();
        for at in outputs {
            if let Some(why) = super::output(site, analyst, at) {
                out.outputs.push((plan.outputs[at].label.clone(), why));
            }
        }
        if let Some(item) = list_item(FIRST_POWER) {
            for at in lines {
                let flagged = flagged_beside(site, analyst, item, &[at]);
                match (flagged.is_empty(), situation.is_off(at)) {
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

impl Situation<'_> {
    /// What is asked before an item is ticked for lines, places in the plan, in words, and what to do: before
    /// first power of lines that are faulty and not OFF and of outputs past their rating, before a line is
    /// taken off an amplifier that was powered again.
    #[must_use]
    pub fn asks(&self, analyst: &Analyst, item: &ListItem, lines: &[usize]) -> Option<Asks> {
        match item.item {
            FIRST_POWER => self
                .faulty_on(analyst, lines)
                .map(Asks::Faulty)
                .or_else(|| self.past_rating(analyst, lines).map(Asks::Load)),
            CORES_OFF => self.powered(lines).map(Asks::Powered),
            _ => None,
        }
    }

    /// Lines among these that read short or open, no word on them, and are not ticked OFF.
    fn faulty_on(&self, analyst: &Analyst, lines: &[usize]) -> Option<String> {
        let wanted = |at: &&usize| {
            let why = super::line(analyst, **at);
            let decision = &analyst.line(**at).decision;
            let left = decision.as_ref().is_some_and(Decision::leaves);
            let doubt = analyst.line(**at).in_doubt.as_ref();
            let faulty = match why {
                Some(Why::Stop | Why::NotReadAgain) => true,
                Some(Why::Open) => !left,
                // One of its two readings was no figure.
                Some(Why::InDoubt) => {
                    let figure = |value| matches!(value, Value::Ohm(_));
                    !left && doubt.is_some_and(|it| !figure(it.before) || !figure(it.after))
                }
                _ => false,
            };
            faulty && !self.is_off(**at)
        };
        let lines = lines.iter().filter(wanted);
        let labels = lines.map(|at| self.site.plan().lines[*at].label.clone());
        let labels: Vec<String> = labels.collect();
        told(
            &labels,
            "reads short or open and is not ticked OFF",
            "read short or open and are not ticked OFF",
        )
    }

    /// Outputs of these lines that would be past their rating with what is on them now.
    fn past_rating(&self, analyst: &Analyst, lines: &[usize]) -> Option<String> {
        let plan = self.site.plan();
        let mut outputs: Vec<usize> = lines.iter().map(|at| plan.lines[*at].output).collect();
        outputs.sort_unstable();
        outputs.dedup();
        let over = |at: &usize| analyst.output(self.site, *at, None).now.word == OutputWord::Over;
        let labels = outputs.into_iter().filter(over);
        let labels: Vec<String> = labels
            .map(|at| label_of(self.site, &Ref::Output(plan.outputs[at].id.clone())))
            .collect();
        told(
            &labels,
            "is past its rating with the lines that are on",
            "are past their rating with the lines that are on",
        )
    }

    /// Amplifiers of these lines that were powered since they were last ticked isolated.
    fn powered(&self, lines: &[usize]) -> Option<String> {
        let plan = self.site.plan();
        let last = |amplifier: &Ref, item: &str| {
            let is = |what: &&Do| {
                matches!(what, Do::Tick(tick) if tick.item == item && tick.of.contains(amplifier)
                    && tick.is == TickIs::Done)
            };
            let log = self.site.log();
            let counting = log.entries().iter().filter(|entry| log.counts(&entry.id));
            let all = counting
                .map(|entry| &entry.what)
                .chain(self.sent.iter().copied());
            all.enumerate()
                .filter(|(_, what)| is(what))
                .map(|it| it.0)
                .last()
        };
        let mut labels: Vec<String> = Vec::new();
        for it in &plan.amplifiers {
            let own = |at: &usize| {
                let outputs = it.outputs.clone();
                outputs
                    .into_iter()
                    .any(|output| output == plan.lines[*at].output)
            };
            let of = Ref::Amplifier(it.id.clone());
            // None is before any.
            if lines.iter().any(own) && last(&of, FIRST_POWER) > last(&of, ISOLATED) {
                labels.push(it.label.clone());
            }
        }
        told(
            &labels,
            "was powered since it was ticked isolated",
            "were powered since they were ticked isolated",
        )
    }
}

/// What is to be said of some things, the verb for one of them and for several; nothing of none.
fn told(labels: &[String], one: &str, several: &str) -> Option<String> {
    let verb = match labels.len() {
        0 => return None,
        1 => one,
        _ => several,
    };
    Some(format!("{} {verb}", few(labels, MOST_LABELS)))
}

/// What is asked once before a tick, in words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Asks {
    /// Lines that read short or open get power.
    Faulty(String),
    /// Outputs get more load than they are rated for.
    Load(String),
    /// A line is taken off an amplifier that may drive it.
    Powered(String),
}

/// The first label, and how many more.
fn first(labels: &[String]) -> String {
    match labels {
        [] => String::new(),
        [one] => one.clone(),
        [one, more @ ..] => format!("{one} +{}", more.len()),
    }
}

impl BesidePower {
    /// That somebody may still be at the lines, in words; none where everybody is ticked off them.
    #[must_use]
    pub fn people(&self) -> Option<&'static str> {
        self.people
            .then_some("everybody off, locks taken off is not ticked")
    }

    /// In one line: of one matter with what to do, of several which they are and where that stands.
    #[must_use]
    pub fn brief(&self) -> Option<String> {
        let outputs: Vec<String> = self.outputs.iter().map(|it| it.0.clone()).collect();
        let past = match self.outputs.iter().any(|it| it.1 == Why::Over) {
            true => " past rating",
            false => " past headroom",
        };
        let once = |is: bool| if is { vec![String::new()] } else { Vec::new() };
        let (people, meter) = (once(self.people), once(self.meter));
        let told = [
            (
                &people,
                "everybody not off",
                "",
                ": tell them, tick that first",
            ),
            (&meter, "meter", "", ": off and put away first, tick that"),
            (
                &self.charged,
                "not discharged: ",
                "",
                ": discharge, tick that",
            ),
            (&self.joints, "joints ", "", ": close them, tick that"),
            (&self.cores, "cores of ", " not moved", ": g v"),
            (&outputs, "out ", past, ": h takes load off"),
            (&self.off, "flagged ", " OFF", ": keep it so"),
            (&self.on, "flagged ", "", ": a word in g v"),
            (&self.unread, "", " not read", ": read first"),
        ];
        let told = told.into_iter().filter(|it| !it.0.is_empty());
        let told: Vec<(String, &str)> = told
            .map(|(labels, before, after, cure)| {
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
    #[must_use]
    pub fn sentences(&self) -> Vec<String> {
        let mut out = Vec::new();
        let some = |labels: &[String]| {
            let named = few(labels, MOST_LABELS);
            (!labels.is_empty()).then_some(named)
        };
        if let Some(words) = self.people() {
            out.push(format!(
                "{words}: power comes onto whoever is still at a line"
            ));
        }
        if self.meter {
            out.push(
                "the meter is not ticked off and put away: it dies on a driven line".to_owned(),
            );
        }
        if let Some(named) = some(&self.charged) {
            out.push(format!(
                "cores not ticked discharged after the insulation test: {named}"
            ));
        }
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

//! Entries, times and messages in words.

use super::{Message, Session};
use crate::quantity::{Fraction, Value, show};
use crate::review::not_here_words;
use crate::site::{Decision, Do, Entry, NodeId, Ref, Tick, TickIs, list_item};
use jiff::Timestamp;
use jiff::civil::Date;

impl Session {
    /// An entry in a few words, the label of its line first.
    pub(super) fn title(&self, entry: &Entry) -> String {
        match &entry.what {
            Do::Read(read) => {
                let place = read
                    .cut
                    .as_ref()
                    .map(|cut| format!(" {}", self.cut_words(cut)));
                // A load is that of the whole line at the rack; of a part it would mislead.
                let load = match (self.site.plan().line(&read.line), read.value) {
                    (Some(at), Value::Ohm(ohm))
                        if !read.is_dc()
                            && place.is_none()
                            && ohm >= self.analyst.limits().stop =>
                    {
                        let volts = self.site.plan().lines[at].volts;
                        format!(", {}", show::watt(crate::verdict::load(volts, ohm)))
                    }
                    _ => String::new(),
                };
                let kind = if read.is_dc() { " by ohmmeter" } else { "" };
                let place = place.unwrap_or_default();
                format!(
                    "{}{place} reads {}{kind}{load}",
                    self.label_of(&read.line),
                    show::value(read.value)
                )
            }
            Do::Insulate(it) => {
                let value = show::insulation(it.value);
                format!(
                    "{} insulation reads {value} at {}",
                    self.label_of(&it.line),
                    show::volt(it.test_v)
                )
            }
            Do::Listen(it) => {
                let node = self.node_label(&it.at);
                format!("{}  {node} {}", self.label_of(&it.line), it.gives.word())
            }
            Do::Repair(it) => {
                let node = it.place.as_ref().map(|node| self.node_label(node));
                let cause = it.cause.as_ref().map(|cause| cause.replace('-', " "));
                let found = match (cause, node) {
                    (Some(cause), Some(node)) => format!(", found {cause} at {node}"),
                    (Some(cause), None) => format!(", found {cause}"),
                    (None, Some(node)) => format!(", at {node}"),
                    (None, None) => String::new(),
                };
                format!("{}  repaired: {}{found}", self.label_of(&it.line), it.what)
            }
            Do::Tick(it) => {
                let of = it.of.iter().filter(|of| !matches!(of, Ref::Node(_)));
                let labels: Vec<String> = of.map(|of| self.ref_label(of)).collect();
                let labels = match labels.len() {
                    0..=4 => labels.join(" "),
                    n if it.of.iter().all(|of| matches!(of, Ref::Amplifier(_))) => {
                        format!("{n} amplifiers")
                    }
                    n => format!("{n} lines"),
                };
                format!("{labels}: {}", self.tick_words(it))
            }
            Do::Check(it) => {
                let off = Fraction(it.value.get() / it.known_ohm.get() - 1.0);
                format!(
                    "{} reads {} on a known {}, {}",
                    it.instrument,
                    show::ohm(it.value),
                    show::ohm(it.known_ohm),
                    show::signed_percent(off)
                )
            }
            Do::Decide(it) => {
                let word = match &crate::review::word(entry, it).is {
                    Decision::Skipped => "left for later",
                    Decision::Accepted => "accepted",
                    Decision::Snag { .. } => "left on the snag list",
                    Decision::Repaired { .. } => "settled as repaired",
                };
                let why = entry.why.as_ref().map(|why| format!(": {why}"));
                format!(
                    "{}  {word}{}",
                    crate::review::label_of(&self.site, &it.of),
                    why.unwrap_or_default()
                )
            }
            Do::Note(it) => format!("{}  note: {}", self.ref_label(&it.of), it.text),
            Do::Edit(it) => {
                let label = it.now.label().unwrap_or(it.of.id());
                format!("{label} of the design")
            }
            Do::Void(_) => "a strike".to_owned(),
            Do::Seal(_) => crate::review::entry_words(&self.site, entry),
        }
    }

    /// A tick without its lines: `split opened before LS-08`.
    pub(super) fn tick_words(&self, tick: &Tick) -> String {
        let node = tick.of.iter().find_map(|of| match of {
            Ref::Node(node) => Some(format!(" before {}", self.node_label(node))),
            _ => None,
        });
        let words = list_item(&tick.item).map(|item| item.words.to_owned());
        let words = words.unwrap_or_else(|| tick.item.replace('-', " "));
        let why = match &tick.is {
            TickIs::Done => String::new(),
            TickIs::NotHere(why) => format!(", {}", not_here_words(&tick.item, why)),
        };
        words + &node.unwrap_or_default() + &why
    }

    /// What a reference is called on the screen.
    pub(super) fn ref_label(&self, of: &Ref) -> String {
        match of {
            Ref::Line(line) => self.label_of(line),
            Ref::Node(node) => self.node_label(node),
            Ref::Site => self.site.label().to_owned(),
            Ref::Visit(_) => "this visit".to_owned(),
            _ => {
                let design = self.site.elements().settled(of);
                let label = design.and_then(|design| design.label());
                label.unwrap_or_else(|| of.id()).to_owned()
            }
        }
    }

    /// The label of a node; its id where it is not on the site.
    pub(super) fn node_label(&self, id: &NodeId) -> String {
        let mut lines = self.site.plan().lines.iter();
        let label = lines.find_map(|line| line.node(id).map(|at| line.nodes[at].label.clone()));
        label.unwrap_or_else(|| id.to_string())
    }

    /// The time of day where the site is.
    pub(super) fn clock(&self, at: Timestamp) -> String {
        at.to_zoned_datetime(self.opening.zone.clone())
            .strftime("%H:%M")
            .to_string()
    }

    /// The time of day, its day before it where that is not the day of the last key: `11-24 08:50`.
    pub(super) fn day_or_clock(&self, at: Timestamp) -> String {
        match self.now.is_some_and(|now| self.date(now) == self.date(at)) {
            true => self.clock(at),
            false => format!("{} {}", self.date(at).strftime("%m-%d"), self.clock(at)),
        }
    }

    /// The date where the site is.
    pub(super) fn date(&self, at: Timestamp) -> Date {
        at.to_zoned_datetime(self.opening.zone.clone()).date()
    }

    /// The day where the site is.
    pub(super) fn day(&self, at: Timestamp) -> String {
        self.date(at).strftime("%Y-%m-%d").to_string()
    }

    /// The same with its day, for what may be of another.
    pub(super) fn day_and_clock(&self, at: Timestamp) -> String {
        at.to_zoned_datetime(self.opening.zone.clone())
            .strftime("%Y-%m-%d %H:%M")
            .to_string()
    }

    /// Says something on the message line.
    pub(super) fn say(&mut self, text: &str) {
        self.message = Message {
            text: text.to_owned(),
            ..Message::default()
        };
    }
}

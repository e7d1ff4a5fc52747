//! Entries, times and messages in words.

use super::view::heard_word;
use super::{Message, Session};
use crate::quantity::{Insulation, Value, show};
use crate::site::{Do, Entry, NodeId, Ref, Tick};
use jiff::Timestamp;

impl Session {
    /// An entry in a few words, the label of its line first.
    pub(super) fn title(&self, entry: &Entry) -> String {
        match &entry.what {
            Do::Read(read) => {
                let place = read
                    .cut
                    .as_ref()
                    .map(|cut| format!("  {}", self.cut_words(cut)));
                // A load is that of the whole line at the rack; of a part it would mislead.
                let load = match (self.site.plan().line(&read.line), read.value) {
                    (Some(at), Value::Ohm(ohm)) if !read.is_dc() && place.is_none() => {
                        let volts = self.site.plan().lines[at].volts;
                        format!("  {}", show::watt(crate::verdict::load(volts, ohm)))
                    }
                    _ => String::new(),
                };
                let kind = if read.is_dc() { "  ohmmeter" } else { "" };
                let place = place.unwrap_or_default();
                format!(
                    "{}{kind}{place}  {}{load}",
                    self.label_of(&read.line),
                    show::value(read.value)
                )
            }
            Do::Insulate(it) => {
                let value = match it.value {
                    Insulation::Ohm(ohm) => show::ohm(ohm),
                    Insulation::Above(ohm) => format!("over {}", show::ohm(ohm)),
                };
                format!(
                    "{}  insulation {value} at {}",
                    self.label_of(&it.line),
                    show::volt(it.test_v)
                )
            }
            Do::Listen(it) => {
                let node = self.node_label(&it.at);
                format!(
                    "{}  {node} {}",
                    self.label_of(&it.line),
                    heard_word(it.gives)
                )
            }
            Do::Repair(it) => format!("{}  repaired: {}", self.label_of(&it.line), it.what),
            Do::Tick(it) => {
                let lines = it.of.iter().filter_map(|of| match of {
                    Ref::Line(line) => Some(self.label_of(line)),
                    _ => None,
                });
                let lines: Vec<String> = lines.take(4).collect();
                format!("{}  {}", lines.join(" "), self.tick_words(it))
            }
            Do::Edit(it) => {
                let label = it.now.label().unwrap_or(it.of.id());
                format!("{label} of the design")
            }
            Do::Void(_) => "a strike".to_owned(),
            _ => "an entry".to_owned(),
        }
    }

    /// A tick without its lines: `split opened before LS-08`.
    pub(super) fn tick_words(&self, tick: &Tick) -> String {
        let node = tick.of.iter().find_map(|of| match of {
            Ref::Node(node) => Some(format!(" before {}", self.node_label(node))),
            _ => None,
        });
        tick.item.replace('-', " ") + &node.unwrap_or_default()
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

    /// Says something on the message line.
    pub(super) fn say(&mut self, text: &str) {
        self.message = Message {
            text: text.to_owned(),
            ..Message::default()
        };
    }
}

//! Entries, times and messages in words.

use super::{Message, Session};
use crate::quantity::show;
use crate::site::{Do, Entry, LineId};
use jiff::Timestamp;

impl Session {
    /// An entry in a few words.
    pub(super) fn title(&self, entry: &Entry) -> String {
        let plan = self.site.plan();
        let label = |line: &LineId| {
            plan.line(line)
                .map_or_else(|| line.to_string(), |at| plan.lines[at].label.clone())
        };
        match &entry.what {
            Do::Read(read) => {
                let figure = show::value(read.value);
                let load = match (plan.line(&read.line), read.value) {
                    (Some(at), crate::quantity::Value::Ohm(ohm)) if !read.is_dc() => {
                        let volts = plan.lines[at].volts;
                        format!("  {}", show::watt(crate::verdict::load(volts, ohm)))
                    }
                    _ => String::new(),
                };
                let kind = if read.is_dc() { "  ohmmeter" } else { "" };
                format!("{}{kind}  {figure}{load}", label(&read.line))
            }
            Do::Insulate(it) => format!("{}  insulation {}", label(&it.line), it.text),
            Do::Repair(it) => format!("{}  repaired: {}", label(&it.line), it.what),
            Do::Void(_) => "a strike".to_owned(),
            _ => "an entry".to_owned(),
        }
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

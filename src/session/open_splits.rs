//! Lines that stand opened for a split: what is said of them where a job is called done, and, with lines
//! that are OFF, once before the program is left. Nobody hears past an opening, and the next day nobody remembers it.
//!
//! Never here: opening and closing, which is the walk's.

use super::{Message, Session};
use crate::quantity::show;
use crate::site::Decision;

/// So many are named, each with its place.
const MOST_NAMED: usize = 3;

impl Session {
    /// Where a line of the plan stands opened, and what closes it; none where it does not.
    pub(super) fn still_open(&self, at: usize) -> Option<String> {
        let node = self.open_split_ahead(at)?;
        let place = self.node_label(&node);
        Some(format!("still OPEN before {place}: w, then b when closed"))
    }

    /// `H-1 before LS-3` of every line that stands opened.
    pub(super) fn open_splits(&self) -> Vec<String> {
        let lines = self.site.plan().lines.iter().enumerate();
        let open = lines.filter_map(|(at, line)| {
            let node = self.open_split_ahead(at)?;
            Some(format!("{} before {}", line.label, self.node_label(&node)))
        });
        open.collect()
    }

    /// Labels of lines that are OFF, and of which no word says why they stay so.
    pub(super) fn left_off(&self) -> Vec<String> {
        let situation = self.situation();
        let said = |at: usize| {
            let decision = &self.analyst.line(at).decision;
            decision.as_ref().is_some_and(Decision::leaves)
        };
        let lines = self.site.plan().lines.iter().enumerate();
        let off = lines.filter(|(at, _)| situation.is_off(*at) && !said(*at));
        off.map(|(_, line)| line.label.clone()).collect()
    }

    /// Said once, when the program is to be left: `q` once more leaves, and so does one who knows. Whoever
    /// only reads left nothing so.
    pub(super) fn says_what_is_open(&mut self) -> bool {
        if self.leaving {
            return false;
        }
        let open = self.open_splits();
        let off = match self.may_write() {
            true => self.left_off(),
            false => Vec::new(),
        };
        let splits = match open.len() {
            1 => "1 split still OPEN".to_owned(),
            count => format!("{count} splits still OPEN"),
        };
        let splits = format!("{splits}: {}", show::few(&open, MOST_NAMED));
        let lines = format!("{} OFF: {}", off.len(), show::few(&off, MOST_NAMED));
        let words = match (open.is_empty(), off.is_empty()) {
            (true, true) => return false,
            (false, true) => format!("{splits}. w, then b when closed"),
            (true, false) => lines,
            (false, false) => format!("{splits}; {lines}"),
        };
        self.leaving = true;
        self.message = Message {
            text: format!("{words}; q again leaves"),
            hint: "",
            alarm: true,
        };
        true
    }
}

//! Lines that stand opened for a split: what is said of them where a job is called done, and once before
//! the program is left. Nobody hears past an opening, and the next day nobody remembers it.
//!
//! Never here: opening and closing, which is the walk's.

use super::{Message, Session};
use crate::quantity::show;

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
    fn open_splits(&self) -> Vec<String> {
        let lines = self.site.plan().lines.iter().enumerate();
        let open = lines.filter_map(|(at, line)| {
            let node = self.open_split_ahead(at)?;
            Some(format!("{} before {}", line.label, self.node_label(&node)))
        });
        open.collect()
    }

    /// Said once, when the program is to be left: `q` once more leaves, and so does one who knows.
    pub(super) fn says_what_is_open(&mut self) -> bool {
        let open = self.open_splits();
        if open.is_empty() || self.leaving {
            return false;
        }
        self.leaving = true;
        let lines = match open.len() {
            1 => "1 split still OPEN".to_owned(),
            count => format!("{count} splits still OPEN"),
        };
        self.message = Message {
            text: format!(
                "{lines}: {}. w, then b when closed; q again leaves",
                show::few(&open, MOST_NAMED)
            ),
            hint: "",
            alarm: true,
        };
        true
    }
}

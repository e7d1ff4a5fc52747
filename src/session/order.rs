//! In which order lines stand, and which of them: chosen by the engineer, frozen until asked again.

use super::Session;
use crate::review::{self, Flagged};
use crate::site::LineId;
use serde::{Deserialize, Serialize};

/// Lines, by their places in the plan.
pub(super) type Lines = Vec<usize>;

/// In which order lines stand, and are read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Order {
    /// Amplifier by amplifier.
    #[default]
    Rack,
    /// Zone by zone, as one walks.
    Zone,
    /// What wants a look most, then what is unread, then the rest.
    Worst,
}

/// Which lines are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Only {
    /// All.
    #[default]
    All,
    /// Those that want a look.
    Flagged,
    /// Those that are unread.
    Unread,
    /// Those off the amplifier.
    Off,
}

/// Order and filter, with the lines as they were when asked for: what is recorded since moves none.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Arrangement {
    /// The order.
    #[serde(default)]
    pub order: Order,
    /// Worst first, as it was when asked for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sorted: Vec<LineId>,
    /// The filter.
    #[serde(default)]
    pub only: Only,
    /// The lines it lets through, as they were when asked for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub shown: Vec<LineId>,
}

impl Order {
    const fn next(self) -> Self {
        match self {
            Self::Rack => Self::Zone,
            Self::Zone => Self::Worst,
            Self::Worst => Self::Rack,
        }
    }

    const fn words(self) -> &'static str {
        match self {
            Self::Rack => "in rack order",
            Self::Zone => "zone by zone",
            Self::Worst => "worst first, as it stands now; g o asks again",
        }
    }
}

impl Only {
    const fn next(self) -> Self {
        match self {
            Self::All => Self::Flagged,
            Self::Flagged => Self::Unread,
            Self::Unread => Self::Off,
            Self::Off => Self::All,
        }
    }

    /// What it lets through, in words; nothing where it lets all through.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::All => "",
            Self::Flagged => "only what wants a look, worst first",
            Self::Unread => "only unread",
            Self::Off => "only OFF",
        }
    }
}

impl Arrangement {
    /// What of it the header says; nothing for all lines in rack order.
    #[must_use]
    pub const fn header(&self) -> Option<&'static str> {
        match (self.only, self.order) {
            (Only::Flagged, _) => Some("wants a look"),
            (Only::Unread, _) => Some("unread only"),
            (Only::Off, _) => Some("OFF only"),
            (Only::All, Order::Zone) => Some("by zone"),
            (Only::All, Order::Worst) => Some("worst first"),
            (Only::All, Order::Rack) => None,
        }
    }
}

impl Session {
    /// Places in the plan of all lines, in the order chosen.
    pub(super) fn in_order(&self) -> Lines {
        let plan = self.site.plan();
        let mut out: Lines = (0..plan.lines.len()).collect();
        if self.arranged.only == Only::Flagged {
            // As it was filtered: worst first, then whatever is not let through.
            let rank = |at: &usize| {
                let shown = &self.arranged.shown;
                shown.iter().position(|id| *id == plan.lines[*at].id)
            };
            out.sort_by_key(|at| (rank(at).unwrap_or(usize::MAX), *at));
            return out;
        }
        match self.arranged.order {
            Order::Rack => {}
            Order::Zone => {
                let mut first = std::collections::HashMap::new();
                for (at, line) in plan.lines.iter().enumerate() {
                    first.entry(&line.zone).or_insert(at);
                }
                out.sort_by_key(|at| (first[&plan.lines[*at].zone], *at));
            }
            Order::Worst => {
                let known: std::collections::HashMap<&LineId, usize> =
                    self.arranged.sorted.iter().zip(0..).collect();
                // What came since stands behind all that was there.
                out.sort_by_key(|at| {
                    let rank = known.get(&plan.lines[*at].id);
                    (rank.copied().unwrap_or(usize::MAX), *at)
                });
            }
        }
        out
    }

    /// The next of the three orders; worst first is sorted anew.
    pub(super) fn next_order(&mut self) {
        self.arranged.order = self.arranged.order.next();
        self.arranged.sorted = if self.arranged.order == Order::Worst {
            self.worst_first()
        } else {
            Vec::new()
        };
        self.rebuild_rows();
        let words = self.arranged.order.words();
        self.say(&format!(
            "lines {words}; Enter goes to the next unread that way"
        ));
    }

    /// Lines that want a look, worst first; behind them those that are to be read again as drawn, whose
    /// reading is judged by nothing.
    pub(super) fn wants_a_look(&self) -> Lines {
        let flagged = review::flagged(&self.site, &self.analyst).into_iter();
        let lines = flagged.filter_map(|(_, it)| match it {
            Flagged::Line(at) => Some(at),
            Flagged::Output(_) => None,
        });
        lines.chain(self.only_reread()).collect()
    }

    /// Lines that want a look for nothing but that they are to be read again.
    pub(super) fn only_reread(&self) -> impl Iterator<Item = usize> {
        let all = 0..self.site.plan().lines.len();
        all.filter(move |at| {
            self.analyst.line(*at).is_to_be_reread() && review::line(&self.analyst, *at).is_none()
        })
    }

    fn worst_first(&self) -> Vec<LineId> {
        let lines = &self.site.plan().lines;
        let mut out = self.wants_a_look();
        let is_flagged: std::collections::HashSet<usize> = out.iter().copied().collect();
        let rest = || (0..lines.len()).filter(|at| !is_flagged.contains(at));
        out.extend(rest().filter(|at| !self.analyst.line(*at).is_read()));
        out.extend(rest().filter(|at| self.analyst.line(*at).is_read()));
        out.into_iter().map(|at| lines[at].id.clone()).collect()
    }

    /// The next of the filters that lets anything through. The cursor goes on to the next line it
    /// lets through when its own is not among them.
    pub(super) fn next_filter(&mut self) {
        let mut only = self.arranged.only;
        let shown = loop {
            only = only.next();
            let shown = self.let_through(only);
            if only == Only::All || !shown.is_empty() {
                break shown;
            }
        };
        let was = self.arranged.only;
        // Whoever only looks through the filters is where they began as soon as their line is shown again.
        let began = match self.filtered_from.take() {
            Some((began, put)) if put == self.cursor => {
                self.show_only(Only::All, &[]);
                began
            }
            _ => self.cursor.clone(),
        };
        if self.row_at(&began).is_some() {
            self.cursor = began.clone();
        }
        let from = self.before_next();
        self.show_only(only, &shown);
        if only == Only::All {
            self.say(match was {
                Only::All => "no line wants a look, none is unread, none is OFF",
                _ => "all lines again",
            });
            return;
        }
        let own = self.cursor_line().and_then(|id| self.site.plan().line(&id));
        if own.is_none_or(|at| !shown.contains(&at)) {
            // What wants a look is gone through from the worst.
            let next = match only {
                Only::Flagged => shown.first().copied(),
                _ => self.next_line(from, |_, at| shown.contains(&at)),
            };
            if let Some(at) = next {
                self.jump(at);
            }
        }
        self.filtered_from = Some((began, self.cursor.clone()));
        let s = if shown.len() == 1 { "" } else { "s" };
        let words = only.words();
        self.message.text = format!("{words}: {} line{s}", shown.len());
        self.message.hint = "f next filter, Esc all lines";
        self.message.alarm = false;
    }

    /// Esc: all lines again; false when they are shown anyway.
    pub(super) fn end_filter(&mut self) -> bool {
        if self.arranged.only == Only::All {
            return false;
        }
        self.show_only(Only::All, &[]);
        self.say("all lines again");
        true
    }

    /// Whether the filter lets a line through.
    pub(super) fn lets_through(&self, at: usize) -> bool {
        self.arranged.only == Only::All
            || self.arranged.shown.contains(&self.site.plan().lines[at].id)
    }

    fn let_through(&self, only: Only) -> Lines {
        if only == Only::Flagged {
            return self.wants_a_look();
        }
        let wanted = |at: &usize| {
            let line = self.analyst.line(*at);
            match only {
                Only::All => true,
                Only::Flagged => line.is_flagged(),
                Only::Unread => !line.is_read(),
                Only::Off => line.off,
            }
        };
        (0..self.site.plan().lines.len()).filter(wanted).collect()
    }

    fn show_only(&mut self, only: Only, shown: &[usize]) {
        let lines = &self.site.plan().lines;
        self.arranged.only = only;
        self.arranged.shown = match only {
            Only::All => Vec::new(),
            _ => shown.iter().map(|at| lines[*at].id.clone()).collect(),
        };
        self.rebuild_rows();
    }
}

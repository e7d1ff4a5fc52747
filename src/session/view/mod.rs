//! The screen as lines ready to paint.
//!
//! ```text
//!   header                                 counts
//!   ---------------------------------------------
//!   tree            | panel (one column, or two)
//!   ---------------------------------------------
//!   last message                    what undoes it
//!   entry line> _
//!   keys of the moment                      ? keys
//! ```
//!
//! Widths and pages are reckoned here.
//!
//! Never here: colours and frames, which are `tui`'s; figures, which are `analysis`'.

mod amplifier;
mod branch_panel;
mod building;
mod cable;
mod dc_row;
mod drawing;
mod entry;
mod figure_row;
mod fitting;
mod flaws;
mod go_list;
mod header;
mod help;
mod insulation;
mod kit;
mod last_visit;
mod left_open;
mod line_panel;
mod message;
mod meter_row;
mod output_panel;
mod output_table;
mod parts;
mod question;
mod rack;
mod repaired;
mod review;
mod review_footer;
mod section;
mod side;
mod story;
pub mod text;
mod tour;
mod tree;
mod typing;
mod walk;
mod why;

pub use message::message_rows;
pub use section::Section;
pub use text::{Line, Span, Tone};

use super::Session;
use super::keys::{self, Place};
use super::mode::{DraftKind, Mode, Purpose};
use super::tree::RowId;
use crate::quantity::{Watt, show};
use crate::site::Cut;

/// Everything the screen shows.
#[derive(Clone, Debug, PartialEq)]
pub struct View {
    /// Name, place, counts.
    pub header: Line,
    /// Rows of the tree, the cursor's marked.
    pub tree: Vec<TreeLine>,
    /// Cells of the tree.
    pub tree_width: usize,
    /// Words of the tree's columns, in the rule above it.
    pub heads: String,
    /// Columns of the panel on the page shown.
    pub panel: Vec<Vec<Line>>,
    /// Cells of each column.
    pub panel_width: usize,
    /// The last message.
    pub message: Line,
    /// What of it one row does not hold: it stands in the rule above.
    pub above: Option<Line>,
    /// Pages of the panel, the one shown among them.
    pub pages: usize,
    /// The entry line.
    pub entry: Line,
    /// Where the caret stands on the entry line.
    pub caret: Option<usize>,
    /// Keys of the moment.
    pub footer: Line,
    /// Frames and bars in ASCII only.
    pub ascii: bool,
}

/// A row of the tree.
#[derive(Clone, Debug, PartialEq)]
pub struct TreeLine {
    /// What it says.
    pub line: Line,
    /// The cursor is on it.
    pub cursor: bool,
}

impl From<Line> for TreeLine {
    /// A row that the cursor is not on.
    fn from(line: Line) -> Self {
        Self {
            line,
            cursor: false,
        }
    }
}

/// From this width on a walk shows metres and watts beside the cable.
pub(super) const ROOM_FOR_A_WALK: usize = 76;
/// From this width on the panel has two columns.
pub(super) const TWO_COLUMNS: usize = 140;

/// Rows of the frame: header, two rules, message, entry, footer.
pub const FRAME_ROWS: usize = 6;

impl Session {
    /// The screen for a size in cells.
    #[must_use]
    pub fn view(&self) -> View {
        let (columns, body) = (self.size.0, self.body_height());
        // While a design is typed its panel stands beside the tree.
        if self.place == Place::Building && self.design_words().is_none() {
            let (mut lines, pages) = self.building_lines(columns, body);
            self.go_list_over(&mut lines, columns, body);
            let view = self.framed(lines, columns, Vec::new(), 0);
            return View { pages, ..view };
        }
        if self.place == Place::Review && columns < TWO_COLUMNS {
            let (mut lines, pages) = self.review_over_panel(columns, body);
            self.go_list_over(&mut lines, columns, body);
            let view = self.framed(lines, columns, Vec::new(), 0);
            return View { pages, ..view };
        }
        let wide = matches!(
            self.place,
            Place::Walk | Place::Rack | Place::Drawing | Place::Amplifier | Place::Kit
        );
        let (tree_width, panel_columns) = match columns {
            _ if self.place == Place::Review => (94, 1),
            0..=75 if matches!(self.place, Place::Rack | Place::Kit) => {
                (34.min(columns.saturating_sub(10)), 1)
            }
            0..ROOM_FOR_A_WALK if self.place == Place::Walk => {
                (28.min(columns.saturating_sub(10)), 1)
            }
            0..=75 => (27.min(columns.saturating_sub(10)), 1),
            76..=99 => (if wide { 44 } else { 36 }, 1),
            100..=139 => (if wide { 56 } else { 42 }, 1),
            _ => (if wide { 60 } else { 50 }, 2),
        };
        let room = columns.saturating_sub(tree_width + panel_columns);
        let panel_width = room / panel_columns;
        let (tree, (panel, pages)) = if self.place == Place::Help {
            let lines = self.help_lines(columns, body);
            return self.framed(Vec::new(), 0, vec![lines], columns);
        } else {
            let left = match self.place {
                Place::Walk => self.walk_lines(tree_width, body),
                Place::Rack => self.rack_lines(tree_width, body),
                Place::Drawing => self.drawing_lines(tree_width, body),
                Place::Amplifier => self.amplifier_lines(tree_width, body),
                Place::Review => self.review_lines(tree_width, body),
                Place::Kit => self.kit_lines(tree_width, body),
                Place::Survey | Place::Help | Place::Building => self.tree_lines(tree_width, body),
            };
            (left, self.panel_columns(panel_width, body, panel_columns))
        };
        let view = self.framed(tree, tree_width, panel, panel_width);
        View { pages, ..view }
    }

    /// Where no panel stands beside a place the list behind `g` covers its last rows.
    fn go_list_over(&self, lines: &mut Vec<TreeLine>, columns: usize, body: usize) {
        if self.mode != Mode::GoList {
            return;
        }
        let list = go_list::foot(self.place, columns);
        let above = body.saturating_sub(list.len() + 1);
        lines.resize(above, Line::default().into());
        lines.push(Line::default().into());
        lines.extend(list.into_iter().map(TreeLine::from));
    }

    fn framed(
        &self,
        tree: Vec<TreeLine>,
        tree_width: usize,
        panel: Vec<Vec<Line>>,
        panel_width: usize,
    ) -> View {
        let columns = self.size.0;
        let (mut entry, caret) = self.entry_line(columns);
        let footer = match &self.mode {
            Mode::Reading(draft) if self.place != Place::Help => {
                let used = entry.width().max(caret.unwrap_or(0) + 1);
                // Two cells more than now, so that the next digits move no word.
                let room = columns.saturating_sub((used + 2).max(columns / 4 + 2));
                let (letters, beside) = keys::letters(self.place, draft.kind, room);
                let letters = with_title(letters, columns, room);
                let gap = columns.saturating_sub(entry.width() + letters.len() + 1);
                entry = entry.and(" ".repeat(gap) + &letters, Tone::Plain);
                keys::reading_footer(self.place, draft.kind, beside, columns)
            }
            // Where there is room the letters of a reading stand there before one is begun.
            Mode::Key if self.takes_readings() && columns >= TWO_COLUMNS => {
                let room = columns.saturating_sub((entry.width() + 3).max(columns / 4 + 2));
                let (letters, _) = keys::letters(self.place, DraftKind::Impedance, room);
                let letters = with_title(letters, columns, room);
                let gap = columns.saturating_sub(entry.width() + letters.len() + 1);
                entry = entry.and(" ".repeat(gap) + &letters, Tone::Plain);
                keys::footer(self.mode_name(), self.place, true, columns)
            }
            _ => keys::footer(
                self.mode_name(),
                self.place,
                self.cursor_line().is_some(),
                columns,
            ),
        };
        let footer = match &self.mode {
            Mode::Key if self.place == Place::Review => self.review_footer(&footer, columns),
            Mode::Text(words) => footer.replacen("Tab next", self.tab_does(&words.purpose), 1),
            Mode::Key if self.place == Place::Walk && self.walks_an_opened_line() => {
                footer.replacen("b split", "b close", 1)
            }
            Mode::Key if self.place == Place::Survey && self.reads_already() => {
                footer.replacen("l later", "n note ", 1)
            }
            _ => footer,
        };
        let (above, message) = self.message_lines(columns);
        View {
            header: self.header(columns),
            tree,
            tree_width,
            heads: if self.place == Place::Survey {
                tree::heads(tree_width)
            } else {
                String::new()
            },
            panel,
            panel_width,
            message,
            above,
            pages: 1,
            entry,
            caret,
            footer: Line::plain(footer),
            ascii: self.opening.ascii,
        }
    }

    /// What Tab does while words are typed, for the footer.
    fn tab_does(&self, purpose: &Purpose) -> &'static str {
        match purpose {
            _ if self.last_reason(purpose).is_some() => "Tab last reason",
            Purpose::Repair(_) => "Tab what was found",
            Purpose::Find | Purpose::Scope => "Tab next",
            design if design.is_design() => "Tab next",
            _ => "",
        }
    }

    fn walks_an_opened_line(&self) -> bool {
        let walked = self.walked();
        walked.is_some_and(|at| self.open_split_ahead(at).is_some())
    }

    /// Whether the line under the cursor was read: what is left open on it is said in the review.
    fn reads_already(&self) -> bool {
        let at = self.cursor_line().and_then(|id| self.site.plan().line(&id));
        at.is_some_and(|at| self.analyst.line(at).is_read())
    }

    /// A digit would begin a reading of the line under the cursor.
    fn takes_readings(&self) -> bool {
        self.cursor_line().is_some() && matches!(self.place, Place::Survey | Place::Walk)
    }

    /// The instrument, where there are several of its kind to be mistaken for.
    pub(super) fn instrument_words(&self, kind: DraftKind) -> String {
        let Some((_, made)) = self.instrument(kind) else {
            return String::new();
        };
        let instruments = &self.site.plan().instruments;
        let kin = instruments.iter().filter(|(_, it)| it.reads == made.reads);
        if kin.count() > 1 {
            format!(", {}", made.label)
        } else {
            String::new()
        }
    }

    /// Where the meter sits and what it sees, in words: `from the rack to LS-08`.
    pub(in crate::session) fn cut_words(&self, cut: &Cut) -> String {
        match cut {
            Cut::Near(node) => format!("from the rack to {}", self.node_label(node)),
            Cut::Far(node) => format!("from {} on", self.node_label(node)),
            Cut::Whole(node) => format!("at {}", self.node_label(node)),
        }
    }

    pub(in crate::session) fn label_of(&self, line: &crate::site::LineId) -> String {
        let plan = self.site.plan();
        plan.line(line)
            .map_or_else(|| line.to_string(), |at| plan.lines[at].label.clone())
    }

    fn panel_columns(&self, width: usize, body: usize, columns: usize) -> (Vec<Vec<Line>>, usize) {
        let parts = match &self.cursor {
            _ if self.mode == Mode::GoList => go_list::parts(self.place, width, body),
            _ if self.tour && self.place == Place::Survey => {
                tour::parts(self.site.plan().lines.is_empty(), width)
            }
            _ if let Some(first) = self.another_day_sections(width) => section::Parts {
                first,
                ..section::Parts::default()
            },
            _ if self.design_words().is_some() => self
                .design_words()
                .map(|words| self.typing_parts(words, width))
                .unwrap_or_default(),
            _ if self.place == Place::Rack => self.rack_parts(width),
            _ if self.place == Place::Review => self.review_parts(width),
            _ if self.place == Place::Kit => self.kit_parts(width),
            _ if self.place == Place::Drawing => self.drawing_parts(width),
            _ if self.place == Place::Amplifier => self.amplifier_parts(width),
            RowId::Line(line) => match self.site.plan().line(line) {
                Some(at) => self
                    .line_parts(at, width, body)
                    .headed(self.refused_part(at, width)),
                None => section::Parts::default(),
            },
            _ => self.branch_parts(width),
        };
        if self.design_words().is_some() {
            // Tab goes on to another kind of thing there.
            return section::page_by(parts, self.page, (width, body), columns, "PgDn");
        }
        section::page(parts, self.page, width, body, columns)
    }

    /// What a line was read to take; none where it reads short, since a load that must not be connected
    /// is no figure to reckon with.
    pub(in crate::session) fn load_of(&self, result: &crate::analysis::LineResult) -> Option<Watt> {
        let known = !result.is_stop(self.analyst.limits());
        result.taken.as_ref().filter(|_| known)?.load
    }

    /// What a meter showed, for a narrow column.
    pub(super) fn value_figure(value: crate::quantity::Value) -> String {
        match value {
            crate::quantity::Value::Ohm(ohm) => show::ohm_figure(ohm),
            crate::quantity::Value::Open => "open".to_owned(),
            crate::quantity::Value::Short => "short".to_owned(),
        }
    }
}

/// The letters of a reading under their title, where there is room for that.
fn with_title(letters: String, columns: usize, room: usize) -> String {
    let titled = format!("in a reading:  {letters}");
    if columns >= TWO_COLUMNS && titled.len() <= room {
        titled
    } else {
        letters
    }
}

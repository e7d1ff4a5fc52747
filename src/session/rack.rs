//! The rack list: what is ticked for an amplifier and its lines, before a line is touched and when it
//! is handed back. A tick says who said so and when; it makes nothing safe.

use super::keys::{Action, Place};
use super::mode::{Mode, Purpose, Words};
use super::movement::along;
use super::stops::in_keys;
use super::tick_row::{TickRow, is_of_building};
use super::tree::RowId;
use super::{Effect, Session};
use crate::review::{ListStands, Lists};
use crate::site::{CORES_OFF, Do, ListOf, ListWhen, Ref, Tick, TickIs};
use jiff::Timestamp;

impl Session {
    /// The amplifier that the cursor is on or under, by its place in the plan.
    pub(super) fn amplifier_under(&self) -> Option<usize> {
        let plan = self.site.plan();
        let output = match &self.cursor {
            RowId::Amplifier(id) => return plan.amplifiers.iter().position(|it| it.id == *id),
            RowId::Output(id) => plan.outputs.iter().position(|it| it.id == *id),
            RowId::Site => None,
            RowId::Line(_) | RowId::Zone(..) | RowId::WholeZone(_) => {
                self.line_under().map(|at| plan.lines[at].output)
            }
        };
        let holds = |output: usize| {
            plan.amplifiers
                .iter()
                .position(|it| it.outputs.contains(&output))
        };
        output
            .and_then(holds)
            .or((!plan.amplifiers.is_empty()).then_some(0))
    }

    /// The row that the cursor of the list is on.
    pub(super) fn tick_at(&self, rows: &[TickRow]) -> usize {
        rows.iter()
            .position(|row| row.id == self.tick_at)
            .unwrap_or(0)
    }

    /// Opens the list at what waits next: for a line under the cursor its own tick, before it is read
    /// or when it goes back; else the first.
    pub(super) fn go_rack(&mut self) {
        if self.site.plan().amplifiers.is_empty() {
            self.say("no amplifier on this site yet");
            return;
        }
        self.under_rack = match self.place {
            Place::Rack => self.under_rack,
            Place::Review => Place::Review,
            _ => Place::Survey,
        };
        self.place = Place::Rack;
        self.page = 0;
        let rows = self.tick_rows();
        let own = self.cursor_line();
        let read = own
            .as_ref()
            .and_then(|id| self.site.plan().line(id))
            .is_some_and(|at| self.analyst.line(at).is_read());
        let due = |row: &&TickRow| row.stands.waits() && (!read || row.item.when == ListWhen::Back);
        let first = rows
            .iter()
            .filter(due)
            .find(|row| row.id.line.is_none() || row.id.line == own);
        let own = rows
            .iter()
            .filter(due)
            .find(|row| row.id.line.is_some() && row.id.line == own);
        // Before a line is touched the amplifier's own ticks come first.
        let before = first.filter(|row| row.item.when == ListWhen::Before);
        let at = before.or(own).or(first).or(rows.first());
        self.tick_at = at.map(|row| row.id.clone()).unwrap_or_default();
        self.say("a tick records who and when; it makes nothing certain. Space ticks");
    }

    /// A step, a screen, an end along the list.
    pub(super) fn travel_rack(&mut self, action: Action) {
        let rows = self.tick_rows();
        let (at, last) = (self.tick_at(&rows), rows.len().saturating_sub(1));
        let screen = self.body_height().saturating_sub(2).max(1);
        let to = along(action, at, last, screen);
        if let Some(id) = rows.get(to).map(|row| row.id.clone()) {
            self.tick_at = id;
        }
    }

    /// The amplifier before or after.
    pub(super) fn step_amplifier(&mut self, on: bool) {
        let plan = self.site.plan();
        let Some(at) = self.amplifier_under() else {
            return;
        };
        let to = if on { at + 1 } else { at.wrapping_sub(1) };
        let Some(made) = plan.amplifiers.get(to) else {
            self.say(if on {
                "this is the last amplifier"
            } else {
                "this is the first amplifier"
            });
            return;
        };
        let id = RowId::Amplifier(made.id.clone());
        let row = self.row_at(&id).map(|_| id).or_else(|| {
            let output = plan.outputs.get(made.outputs.start)?;
            Some(RowId::Output(output.id.clone()))
        });
        if let Some(row) = row {
            let spot = self.spot();
            let from = std::mem::replace(&mut self.cursor, row);
            if self.row_at(&self.cursor).is_none() {
                self.cursor = from;
                self.say("that amplifier is not among the lines shown: Esc, then all lines");
                return;
            }
            self.trail.keep(spot);
            self.go_rack();
        }
    }

    /// Space: done.
    pub(super) fn tick_here(&mut self, now: Timestamp) -> Vec<Effect> {
        let Some((item, of)) = self.tick_wanted(&TickIs::Done) else {
            return Vec::new();
        };
        if self.asks_of_tick() {
            return Vec::new();
        }
        let tick = Tick {
            item,
            of,
            visit: self.site.visit(),
            is: TickIs::Done,
        };
        let effects = self.send(now, Do::Tick(tick), None);
        self.next_tick_row();
        effects
    }

    /// `A`: done for every amplifier of the building that it waits for, in one tick.
    pub(super) fn tick_everywhere(&mut self, now: Timestamp) -> Vec<Effect> {
        let rows = self.tick_rows();
        let under = rows.get(self.tick_at(&rows)).map(|row| row.item);
        let Some(item) = under else { return Vec::new() };
        if !is_of_building(item) {
            self.say(match item.of {
                ListOf::Visit => "once a visit: Space ticks it for every amplifier",
                ListOf::Line | ListOf::InsulationLine => {
                    "a line's own: Space on the row of several lines ticks them at once"
                }
                _ => "done at each amplifier, so ticked at each: Space here, Right for the next",
            });
            return Vec::new();
        }
        if !self.may_write() {
            self.say_read_only();
            return Vec::new();
        }
        let lists = Lists::of(&self.site);
        let waits = |at: &usize| {
            let rows = lists.rows(*at);
            let own = rows.iter().find(|row| row.item.item == item.item);
            own.is_some_and(|row| row.is_due())
        };
        let plan = self.site.plan();
        let amplifiers: Vec<usize> = (0..plan.amplifiers.len()).filter(waits).collect();
        let lines: Vec<usize> = amplifiers
            .iter()
            .flat_map(|at| self.lines_of_amplifier(*at))
            .collect();
        if amplifiers.is_empty() {
            self.say("ticked for every amplifier already");
            return Vec::new();
        }
        let stop = self
            .situation()
            .stop(&self.analyst, item, &TickIs::Done, &lines);
        if let Some(stop) = stop {
            return self.alarm(in_keys(&stop));
        }
        let of = amplifiers
            .iter()
            .map(|at| Ref::Amplifier(plan.amplifiers[*at].id.clone()));
        let tick = Tick {
            item: item.item.to_owned(),
            of: of.collect(),
            visit: self.site.visit(),
            is: TickIs::Done,
        };
        let effects = self.send(now, Do::Tick(tick), None);
        self.next_tick_row();
        effects
    }

    /// `l`: it does not exist here, with a reason.
    pub(super) fn start_not_here(&mut self) {
        if let Some((item, of)) = self.tick_wanted(&TickIs::NotHere(String::new())) {
            self.mode = Mode::Text(Words::new(Purpose::NotHere(item, of)));
            self.say("why it does not exist here, in a word");
        }
    }

    /// What a tick of the row under the cursor would say, that it is done or that it does not exist
    /// here; says why there is none.
    fn tick_wanted(&mut self, is: &TickIs) -> Option<(String, Vec<Ref>)> {
        if !self.may_write() {
            self.say_read_only();
            return None;
        }
        let rows = self.tick_rows();
        let row = rows.get(self.tick_at(&rows))?;
        let plan = self.site.plan();
        let item = row.id.item.clone();
        let of = match row.item.of {
            ListOf::Visit => vec![Ref::Visit(self.site.visit())],
            ListOf::Amplifier | ListOf::VoiceAlarm => {
                let amplifier = self.amplifier_under()?;
                vec![Ref::Amplifier(plan.amplifiers[amplifier].id.clone())]
            }
            ListOf::Line | ListOf::InsulationLine => row
                .lines
                .iter()
                .map(|at| Ref::Line(plan.lines[*at].id.clone()))
                .collect(),
        };
        // A line that went back on may be taken off once more, and what was ticked before a reading is
        // ticked again after it.
        let off_again = item == CORES_OFF && row.lines.iter().any(|at| !self.analyst.line(*at).off);
        let again = self.is_said_again(row, is);
        let why = match &row.stands {
            ListStands::Done(_) if off_again => return Some((item, of)),
            _ if again || row.stands.waits() => match self.stopped(row, is) {
                None => return Some((item, of)),
                Some(why) => {
                    self.alarm(why);
                    return None;
                }
            },
            ListStands::Done(entry) => self.ticked_already(row, entry),
            ListStands::Nothing(why) => format!("nothing to tick: {why}"),
            ListStands::Waits => return None,
        };
        self.say(&why);
        None
    }

    /// The cursor of the rack list on the first row of an item, one that waits before others.
    pub(super) fn stand_on_tick(&mut self, item: &str) {
        let rows = self.tick_rows();
        let own = || rows.iter().filter(|row| row.id.item == item);
        let row = own().find(|row| row.is_due()).or(own().next());
        if let Some(id) = row.map(|row| row.id.clone()) {
            self.tick_at = id;
        }
    }

    /// The cursor of the rack list on the row that a tick was made on: that of the very same lines before
    /// any other of the item.
    pub(super) fn stand_on_ticked(&mut self, tick: &Tick) {
        let rows = self.tick_rows();
        let line_at = |of: &Ref| match of {
            Ref::Line(id) => self.site.plan().line(id),
            _ => None,
        };
        let lines: Vec<usize> = tick.of.iter().filter_map(line_at).collect();
        let same = rows.iter().find(|row| {
            row.id.item == tick.item
                && row.lines.len() == lines.len()
                && row.lines.iter().all(|at| lines.contains(at))
        });
        match same.map(|row| row.id.clone()) {
            Some(id) => self.tick_at = id,
            None => self.stand_on_tick(&tick.item),
        }
    }

    /// The cursor of the rack list on the first row of the line under the cursor that waits, else on its
    /// first.
    pub(super) fn stand_on_line(&mut self) {
        let line = self.cursor_line();
        let rows = self.tick_rows();
        let own = || {
            rows.iter()
                .filter(|row| line.is_some() && row.id.line == line)
        };
        let row = own().find(|row| row.is_due()).or(own().next());
        if let Some(id) = row.map(|row| row.id.clone()) {
            self.tick_at = id;
        }
    }

    /// Esc: back to the row of the review that led here, else to the survey.
    pub(super) fn leave_rack(&mut self) {
        self.place = self.under_rack;
        if self.place == Place::Review {
            self.go_review();
        }
    }

    /// Enter on a line's row: to that line in the survey.
    pub(super) fn enter_rack(&mut self) {
        let line = self.tick_at.line.clone();
        if let Some(at) = line.and_then(|id| self.site.plan().line(&id)) {
            self.jump(at);
        }
    }
}

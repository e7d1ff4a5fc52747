//! The place of instruments, visits and assumed figures: one list, one row each. What stands in it is
//! changed by words like any design, and a change is an entry like any edit.

use super::Session;
use super::keys::{Action, Place};
use super::mode::{DraftKind, Mode};
use super::movement::along;
use crate::site::{Do, EntryId, Figure, InstrumentId, Ref, VisitId};
use jiff::Timestamp;

impl Session {
    /// An instrument, and in whose hands it is: of a correction in those of whoever read the figure.
    pub(super) fn in_hand<'a>(
        &'a self,
        instrument: &'a InstrumentId,
    ) -> (&'a InstrumentId, &'a str) {
        let corrected = match &self.mode {
            Mode::Reading(draft) => draft.corrects.as_ref(),
            _ => None,
        };
        let log = self.site.log();
        let by = corrected
            .and_then(|id| log.get(id))
            .map(|it| &log.measured(it).by);
        (instrument, by.unwrap_or(&self.opening.by))
    }

    /// `g i`.
    pub(super) fn go_kit(&mut self) {
        self.place = Place::Kit;
        self.page = 0;
        if !self.kit_rows().contains(&self.kit_at) {
            // The meter in hand, where there is one.
            let meter = self.instrument(DraftKind::Impedance);
            let first = meter.map(|(id, _)| Ref::Instrument(id));
            let first = first.or_else(|| self.kit_rows().into_iter().next());
            self.kit_at = first.unwrap_or(Ref::Site);
        }
        self.say("e changes what stands here, a adds an instrument; each change has its undo");
    }

    /// Instruments, visits, figures: the rows of the place.
    pub(super) fn kit_rows(&self) -> Vec<Ref> {
        let plan = self.site.plan();
        let instruments = plan.instruments.iter();
        let visits = self.site.visits().iter();
        let figures = Figure::ALL.iter();
        instruments
            .map(|(id, _)| Ref::Instrument(id.clone()))
            .chain(visits.map(|id| Ref::Visit(id.clone())))
            .chain(figures.map(|figure| Ref::Figure(figure.row().name.to_owned())))
            .collect()
    }

    /// The row that the cursor of the place is on.
    pub(super) fn kit_row(&self, rows: &[Ref]) -> usize {
        rows.iter().position(|of| *of == self.kit_at).unwrap_or(0)
    }

    /// A step, a screen, an end along the list.
    pub(super) fn travel_kit(&mut self, action: Action) {
        let rows = self.kit_rows();
        let (at, last) = (self.kit_row(&rows), rows.len().saturating_sub(1));
        let screen = self.body_height().saturating_sub(2).max(1);
        let to = along(action, at, last, screen);
        if let Some(of) = rows.into_iter().nth(to) {
            self.kit_at = of;
            self.page = 0;
        }
    }

    /// Who set an item as it stands and when; none where it came with the file, or nothing was set.
    pub(super) fn set_by(&self, of: &Ref) -> Option<String> {
        let (stamp, _) = self.site.elements().standing(of).first()?;
        let entry = self.site.log().get(&EntryId(stamp.0.clone()))?;
        let day = entry.at.to_zoned_datetime(self.opening.zone.clone()).date();
        Some(format!("{} on {day}", entry.by))
    }

    /// When something was first recorded on a visit, and by whom all.
    pub(super) fn begun(&self, visit: &VisitId) -> Option<(String, Vec<String>)> {
        let log = self.site.log();
        let own = |what: &Do| match what {
            Do::Tick(it) => it.visit == *visit,
            Do::Check(it) => it.visit == *visit,
            // The first state of a line on a visit has the visit's name.
            Do::Read(it) => it.state.as_str() == visit.as_str(),
            Do::Insulate(it) => it.state.as_str() == visit.as_str(),
            Do::Listen(it) => it.state.as_str() == visit.as_str(),
            _ => false,
        };
        let mut by: Vec<String> = Vec::new();
        let mut first: Option<Timestamp> = None;
        for entry in log.entries() {
            if own(&entry.what) && log.counts(&entry.id) {
                first = Some(first.map_or(entry.at, |at| at.min(entry.at)));
                if !by.contains(&entry.by) {
                    by.push(entry.by.clone());
                }
            }
        }
        let at = first?.to_zoned_datetime(self.opening.zone.clone());
        Some((at.strftime("%Y-%m-%d %H:%M").to_string(), by))
    }

    /// Stands where one stood in a place that keeps no more than itself.
    pub(super) fn stand_in(&mut self, place: Place, kit: Option<Ref>) {
        match place {
            Place::Drawing if self.walked().is_some() => self.place = place,
            Place::Building | Place::Amplifier if !self.site.plan().outputs.is_empty() => {
                self.place = place;
            }
            Place::Kit => {
                self.kit_at = kit.unwrap_or(Ref::Site);
                self.go_kit();
            }
            _ => {}
        }
    }
}

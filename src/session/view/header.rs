//! The first row of every screen: whose building, which place, what is counted.
//!
//! Never here: what is counted.

use super::super::Session;
use super::super::keys::Place;
use super::text::{self, Line, Tone};

/// Cells of the building's name that give way to nothing but counts.
const LEAST_NAME: usize = 10;

impl Session {
    pub(super) fn header(&self, columns: usize) -> Line {
        let counts = self.analyst.counts();
        let mut end = format!(
            "{} of {} read   {} out",
            counts.read, counts.lines, counts.out
        );
        // Its reading is neither out nor in: it is counted by itself.
        if counts.reread > 0 {
            end = format!("{end}   {} reread", counts.reread);
        }
        if counts.open > 0 {
            end = format!("{end}   {} OPEN", counts.open);
        }
        let off = format!("   {} OFF ", counts.off);
        let state = match self
            .cursor_line()
            .and_then(|line| self.site.plan().line(&line))
        {
            Some(at) if self.analyst.line(at).state.as_str() != self.site.visit().as_str() => {
                "as left"
            }
            _ => "as found",
        };
        if let super::super::Access::ReadsOnly(_) = self.opening.access {
            end = format!("READ ONLY   {end}");
        }
        if let Some(words) = self.seal_words() {
            end = format!("{words}   {end}");
        }
        let place = match self.place {
            Place::Survey => match self.arranged.header() {
                Some(words) => format!("survey, {state}, {words}"),
                None => format!("survey, {state}"),
            },
            Place::Walk => format!("walk, {state}"),
            Place::Rack => format!("rack list, {state}"),
            Place::Drawing => "drawing".to_owned(),
            Place::Building => format!("building, {state}"),
            Place::Amplifier => format!("amplifier, {state}"),
            Place::Review => self.review_state(),
            Place::Kit => "instruments, figures".to_owned(),
            Place::Help => "keys".to_owned(),
        };
        let room = columns.saturating_sub(text::width(&end) + text::width(&off) + 1);
        // How many stand in the way of a part is said in the list's first row: the building is named first.
        let of_part = self.place == Place::Review && self.review.part.is_some();
        let whole = text::width(&place) + 4 + text::width(self.site.label());
        let place = match place.split_once(',') {
            Some((part, _)) if of_part && whole > room => part.to_owned(),
            _ => place,
        };
        // Where it is narrow the building's name gives way to the place, and that to the counts.
        let place = if columns < 76 {
            place.split(',').next().unwrap_or_default().to_owned()
        } else {
            place
        };
        // Whose figures they are is said whatever else is: what follows the place gives way to the name.
        let least = text::width(self.site.label()).min(LEAST_NAME);
        let place = match place.split_once(',') {
            Some((first, _)) if room < text::width(&place) + 4 + least => first.to_owned(),
            _ => place,
        };
        let room_for_name = room.saturating_sub(text::width(&place) + 4);
        let end = match room_for_name < least {
            true => end.replace("   ", "  ").replacen(" of ", "/", 1),
            false => end,
        };
        let room = columns.saturating_sub(text::width(&end) + text::width(&off) + 1);
        let name = room.saturating_sub(text::width(&place) + 4);
        let name = text::cut(self.site.label(), name);
        let start = text::left(&format!(" {name}   {place}"), room);
        let tone = if counts.off > 0 {
            Tone::Alarm
        } else {
            Tone::Plain
        };
        Line::tone(format!("{start} {end}"), Tone::Title).and(off, tone)
    }
}

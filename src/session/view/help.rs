//! The keys of a place, from the key table, under the cautions of the trade.

use super::super::Session;
use super::super::keys::{self, ModeName, Place};
use super::text::{self, Line, Tone};
use super::tour::TOUR;

/// What a screen can say about people's safety, and no more.
const CAUTIONS: [&str; 4] = [
    "Lines of 70.7, 100 and 200 V are above extra-low voltage: amplifier off, locked, proved dead first.",
    "A meter on a driven line dies; an insulation tester never goes between the two cores.",
    "A voice alarm is out of service while its lines are off: cover in place, monitoring told.",
    "This program records; it never says that anything is safe. Local codes and licensed practice decide.",
];

const fn title_of(place: Place) -> &'static str {
    match place {
        Place::Survey | Place::Help => "keys of the survey",
        Place::Walk => "keys of the walk",
        Place::Rack => "keys of the rack list",
        Place::Drawing => "keys of the drawing",
        Place::Building => "keys of the building",
        Place::Amplifier => "keys of the amplifier",
        Place::Review => "keys of the review",
        Place::Kit => "keys of instruments and figures",
    }
}

impl Session {
    pub(super) fn help_lines(&self, width: usize, rows: usize) -> Vec<Line> {
        let mut out = Vec::new();
        let mut modes = [
            (ModeName::Key, title_of(self.under_help)),
            (ModeName::Reading, "while a reading is typed"),
            (ModeName::Text, "while words are typed"),
            (ModeName::GoList, "after g"),
        ];
        // What was being done comes first.
        modes.sort_by_key(|(mode, _)| *mode != self.mode.name());
        for (mode, title) in modes {
            out.push(Line::tone(format!(" {title}"), Tone::Title));
            for row in keys::rows(mode, self.under_help) {
                let start = format!("   {} ", text::left(row.shown, 10));
                let room = width.saturating_sub(text::width(&start) + 1);
                for (at, words) in text::wrap(row.help, room, room).into_iter().enumerate() {
                    let lead = if at == 0 {
                        start.clone()
                    } else {
                        " ".repeat(text::width(&start))
                    };
                    out.push(Line::plain(lead + &words));
                }
            }
            out.push(Line::default());
        }
        out.push(Line::tone(" in five lines", Tone::Title));
        for (at, words) in TOUR.iter().enumerate() {
            let room = width.saturating_sub(6);
            for (row, words) in text::wrap(words, room, room).into_iter().enumerate() {
                let lead = if row == 0 {
                    format!("   {} ", at + 1)
                } else {
                    "     ".to_owned()
                };
                out.push(Line::plain(lead + &words));
            }
        }
        out.push(Line::default());
        out.push(Line::tone(" signs", Tone::Title));
        for (sign, word) in [
            (". ", "unread, unheard, unticked"),
            ("= ", "in tolerance, heard, ticked"),
            ("_ ", "left for later, or not here, with a reason"),
            ("~ ", "too close to call; an output past its headroom"),
            ("+ -", "out of tolerance: too much load, too little"),
            ("/ ", "open"),
            ("! ", "short: must not be connected"),
            (
                "? ",
                "fits nothing: read it again; contradicted; query: a question",
            ),
            ("* ", "typed, not recorded"),
            (
                "^ ",
                "sent, not yet on the disk; FAILED: the disk refused it",
            ),
            ("OFF", "taken off the amplifier, not back"),
        ] {
            out.push(Line::plain(format!("   {} {word}", text::left(sign, 10))));
        }
        out.push(Line::default());
        out.push(Line::tone(" cautions", Tone::Title));
        let room = width.saturating_sub(6);
        for words in CAUTIONS {
            for (at, words) in text::wrap(words, room, room).into_iter().enumerate() {
                out.push(Line::plain(format!(
                    "{}{words}",
                    if at == 0 { "   " } else { "     " }
                )));
            }
        }
        let all = out.len();
        let top = self.help_top.min(all.saturating_sub(rows));
        let mut shown: Vec<Line> = out.into_iter().skip(top).take(rows).collect();
        if top + rows < all
            && let Some(last) = shown.last_mut()
        {
            *last = Line::tone(
                format!(" {} rows more, Down or PageDown", all - top - rows + 1),
                Tone::Title,
            );
        }
        shown
    }

    /// How far the help can be scrolled is known only to the screen's size.
    pub(in crate::session) fn clamp_help(&mut self) {
        let all = self.help_all().len();
        self.help_top = self.help_top.min(all.saturating_sub(self.body_height()));
    }

    fn help_all(&self) -> Vec<Line> {
        self.help_lines(self.size.0, usize::MAX)
    }
}

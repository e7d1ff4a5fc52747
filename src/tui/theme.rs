//! Tones to styles. Colour is only a painted ground with its own text colour; where colours are
//! not wanted, weight and underline stand in, and every tone has its sign or word anyway. Since each
//! ground brings its text colour, and all else is the terminal's own two, light and dark terminals
//! need no themes of their own.

use crate::session::view::Tone;
use ratatui::style::{Color, Modifier, Style};

/// Which styles a terminal gets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// Three painted grounds.
    Colour,
    /// Weight and underline only (`NO_COLOR` is set).
    Plain,
}

impl Theme {
    /// The style of a tone.
    #[must_use]
    pub fn style(self, tone: Tone) -> Style {
        let style = Style::default();
        match (self, tone) {
            (_, Tone::Plain) => style,
            (_, Tone::Title) => style.add_modifier(Modifier::BOLD),
            (Self::Colour, Tone::Draft) => style.fg(Color::Black).bg(Color::Cyan),
            (Self::Colour, Tone::Alarm) => style.fg(Color::Black).bg(Color::Yellow),
            (Self::Colour, Tone::Stop) => style
                .fg(Color::White)
                .bg(Color::Red)
                .add_modifier(Modifier::BOLD),
            (Self::Plain, Tone::Draft) => style.add_modifier(Modifier::UNDERLINED),
            (Self::Plain, Tone::Alarm) => style.add_modifier(Modifier::BOLD),
            (Self::Plain, Tone::Stop) => style
                .add_modifier(Modifier::BOLD)
                .add_modifier(Modifier::REVERSED),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_painted_ground_has_its_own_text_colour_and_without_colours_there_is_none() {
        for tone in [
            Tone::Plain,
            Tone::Title,
            Tone::Draft,
            Tone::Alarm,
            Tone::Stop,
        ] {
            let style = Theme::Colour.style(tone);
            assert_eq!(style.bg.is_some(), style.fg.is_some(), "{tone:?}");
            let plain = Theme::Plain.style(tone);
            assert_eq!((plain.fg, plain.bg), (None, None), "{tone:?}");
        }
    }

    #[test]
    fn tones_stay_apart_without_colours() {
        let tones = [Tone::Plain, Tone::Draft, Tone::Alarm, Tone::Stop];
        for (at, one) in tones.iter().enumerate() {
            for other in &tones[at + 1..] {
                assert_ne!(Theme::Plain.style(*one), Theme::Plain.style(*other));
            }
        }
    }
}

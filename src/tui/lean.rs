//! Changed cells on their way to the terminal in as few bytes as they take: short moves along a row,
//! one style sequence a change, the sixteen colours by the numbers that every terminal knows.

use ratatui::backend::{Backend, ClearType, CrosstermBackend, WindowSize};
use ratatui::buffer::Cell;
use ratatui::layout::{Position, Size};
use ratatui::style::{Color, Modifier};
use std::io::{self, Write};
use unicode_width::UnicodeWidthStr;

/// Writes changed cells, and leaves the rest to crossterm.
#[derive(Debug)]
pub struct Lean<W: Write>(CrosstermBackend<W>);

impl<W: Write> Lean<W> {
    /// On a writer that goes to the terminal.
    pub const fn new(writer: W) -> Self {
        Self(CrosstermBackend::new(writer))
    }
}

/// The number of a colour among the sixteen; none for the terminal's own.
const fn number(colour: Color) -> Option<u8> {
    Some(match colour {
        Color::Black => 0,
        Color::Red => 1,
        Color::Green => 2,
        Color::Yellow => 3,
        Color::Blue => 4,
        Color::Magenta => 5,
        Color::Cyan => 6,
        Color::Gray | Color::White => 7,
        _ => return None,
    })
}

/// The sequence of a style, from nothing.
fn style(fg: Color, bg: Color, modifier: Modifier) -> String {
    let mut out = String::from("\x1b[0");
    for (is, code) in [
        (Modifier::BOLD, ";1"),
        (Modifier::UNDERLINED, ";4"),
        (Modifier::REVERSED, ";7"),
    ] {
        if modifier.contains(is) {
            out.push_str(code);
        }
    }
    if let Some(number) = number(fg) {
        out.push_str(&format!(";3{number}"));
    }
    if let Some(number) = number(bg) {
        out.push_str(&format!(";4{number}"));
    }
    out + "m"
}

impl<W: Write> Backend for Lean<W> {
    type Error = io::Error;

    fn draw<'a, I>(&mut self, content: I) -> io::Result<()>
    where
        I: Iterator<Item = (u16, u16, &'a Cell)>,
    {
        let plain = (Color::Reset, Color::Reset, Modifier::empty());
        let mut is = plain;
        let mut at: Option<(u16, u16)> = None;
        for (x, y, cell) in content {
            match at {
                Some(here) if here == (x, y) => {}
                Some((from, row)) if row == y && from < x => match x - from {
                    1 => write!(self.0, "\x1b[C")?,
                    step => write!(self.0, "\x1b[{step}C")?,
                },
                _ => write!(self.0, "\x1b[{};{}H", y + 1, x + 1)?,
            }
            let wanted = (cell.fg, cell.bg, cell.modifier);
            if wanted != is {
                write!(self.0, "{}", style(wanted.0, wanted.1, wanted.2))?;
                is = wanted;
            }
            write!(self.0, "{}", cell.symbol())?;
            let cells = u16::try_from(cell.symbol().width()).unwrap_or(1);
            at = Some((x + cells.max(1), y));
        }
        if is != plain {
            write!(self.0, "\x1b[0m")?;
        }
        Ok(())
    }

    fn hide_cursor(&mut self) -> io::Result<()> {
        self.0.hide_cursor()
    }

    fn show_cursor(&mut self) -> io::Result<()> {
        self.0.show_cursor()
    }

    fn get_cursor_position(&mut self) -> io::Result<Position> {
        self.0.get_cursor_position()
    }

    fn set_cursor_position<P: Into<Position>>(&mut self, position: P) -> io::Result<()> {
        self.0.set_cursor_position(position)
    }

    fn clear(&mut self) -> io::Result<()> {
        self.0.clear()
    }

    fn clear_region(&mut self, clear_type: ClearType) -> io::Result<()> {
        self.0.clear_region(clear_type)
    }

    fn size(&self) -> io::Result<Size> {
        self.0.size()
    }

    fn window_size(&mut self) -> io::Result<WindowSize> {
        self.0.window_size()
    }

    fn flush(&mut self) -> io::Result<()> {
        Backend::flush(&mut self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(cells: &[(u16, u16, Cell)]) -> String {
        let mut bytes = Vec::new();
        Lean::new(&mut bytes)
            .draw(cells.iter().map(|(x, y, cell)| (*x, *y, cell)))
            .unwrap();
        String::from_utf8(bytes).unwrap()
    }

    fn cell(symbol: &'static str) -> Cell {
        Cell::new(symbol)
    }

    #[test]
    fn along_a_row_a_short_step_is_taken_and_a_wide_sign_counts_twice() {
        let wide = "\u{5927}";
        let text = written(&[
            (3, 1, cell("a")),
            (4, 1, cell("b")),
            (6, 1, cell("c")),
            (9, 1, cell(wide)),
            (11, 1, cell("d")),
            (0, 2, cell("e")),
        ]);
        assert_eq!(text, format!("\x1b[2;4Hab\x1b[Cc\x1b[2C{wide}d\x1b[3;1He"));
    }

    #[test]
    fn a_ground_is_one_of_the_sixteen_and_the_style_is_taken_back_at_the_end() {
        let mut alarm = cell("+");
        alarm.fg = Color::Black;
        alarm.bg = Color::Yellow;
        let mut stop = cell("!");
        stop.fg = Color::White;
        stop.bg = Color::Red;
        stop.modifier = Modifier::BOLD;
        let text = written(&[(0, 0, alarm), (1, 0, stop)]);
        assert_eq!(text, "\x1b[1;1H\x1b[0;30;43m+\x1b[0;1;37;41m!\x1b[0m");
        assert_eq!(written(&[(0, 0, cell(" "))]), "\x1b[1;1H ");
    }
}

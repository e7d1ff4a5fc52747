//! The terminal, taken and given back: on leaving, on a panic, on a signal.

use super::lean::Lean;
use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use ratatui::Terminal;
use std::io::{self, BufWriter, Stdout};

/// The screen: changed cells, gathered until a frame is whole.
pub type Screen = Terminal<Lean<BufWriter<Stdout>>>;

/// Room for a whole frame of a wide screen.
const FRAME_BYTES: usize = 32 * 1024;

/// Takes the terminal; dropping it gives the terminal back.
#[derive(Debug)]
pub struct Guard {
    terminal: Screen,
}

impl Guard {
    /// Takes the terminal.
    ///
    /// # Errors
    /// When there is no terminal, or it refuses.
    pub fn take() -> io::Result<Self> {
        // Raw mode, the other screen, and both given back on a panic.
        drop(ratatui::try_init()?);
        let stdout = BufWriter::with_capacity(FRAME_BYTES, io::stdout());
        let terminal = Terminal::new(Lean::new(stdout))?;
        // A terminal that knows no pastes sends them as keys; then they are typed, line by line.
        let _ = crossterm::execute!(io::stdout(), EnableBracketedPaste);
        Ok(Self { terminal })
    }

    /// The terminal to draw on.
    pub const fn terminal(&mut self) -> &mut Screen {
        &mut self.terminal
    }
}

impl Drop for Guard {
    fn drop(&mut self) {
        // Nothing is said when this fails: the terminal may be gone, and saying so would panic.
        let _ = crossterm::execute!(io::stdout(), DisableBracketedPaste);
        let _ = ratatui::try_restore();
    }
}

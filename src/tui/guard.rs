//! The terminal, taken and given back: on leaving, on a panic, on a signal.

use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use std::io;

/// Takes the terminal; dropping it gives the terminal back.
#[derive(Debug)]
pub struct Guard {
    terminal: ratatui::DefaultTerminal,
}

impl Guard {
    /// Takes the terminal.
    ///
    /// # Errors
    /// When there is no terminal, or it refuses.
    pub fn take() -> io::Result<Self> {
        let terminal = ratatui::try_init()?;
        // A terminal that knows no pastes sends them as keys; then they are typed, line by line.
        let _ = crossterm::execute!(io::stdout(), EnableBracketedPaste);
        Ok(Self { terminal })
    }

    /// Wipes the screen and forgets what stands on it. Not `Terminal::clear`, which asks the
    /// terminal where its cursor is: the thread that reads keys would get the answer.
    ///
    /// # Errors
    /// When the terminal refuses.
    pub fn wipe(&mut self) -> io::Result<()> {
        use ratatui::backend::{Backend, ClearType};
        self.terminal.backend_mut().clear_region(ClearType::All)?;
        self.terminal.swap_buffers();
        Ok(())
    }

    /// The terminal to draw on.
    pub const fn terminal(&mut self) -> &mut ratatui::DefaultTerminal {
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

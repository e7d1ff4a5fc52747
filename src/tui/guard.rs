//! The terminal, taken and given back: on leaving, on a panic, on a signal.

use crossterm::cursor::{Hide, Show};
use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use crossterm::terminal::EnterAlternateScreen;
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

impl Guard {
    /// Gives the terminal back, stops until the shell continues us, and takes it again.
    ///
    /// # Errors
    /// When the terminal refuses.
    #[cfg(unix)]
    pub fn sleep(&mut self) -> io::Result<()> {
        give_back();
        signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP)?;
        // Here again: the shell has said so.
        crossterm::terminal::enable_raw_mode()?;
        crossterm::execute!(
            io::stdout(),
            EnterAlternateScreen,
            EnableBracketedPaste,
            Hide
        )?;
        self.wipe()
    }

    /// No job control here: the program stays.
    ///
    /// # Errors
    /// None.
    #[cfg(not(unix))]
    pub fn sleep(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn give_back() {
    // Nothing is said when this fails: the terminal may be gone, and saying so would panic.
    let _ = crossterm::execute!(io::stdout(), DisableBracketedPaste, Show);
    let _ = ratatui::try_restore();
}

impl Drop for Guard {
    fn drop(&mut self) {
        give_back();
    }
}

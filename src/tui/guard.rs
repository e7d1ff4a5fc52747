//! The terminal, taken and given back: on leaving, on a panic, on a signal.

use super::lean::Lean;
use crossterm::cursor::{Hide, Show};
use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use crossterm::terminal::{Clear, ClearType, EnterAlternateScreen};
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

impl Guard {
    /// Lets the next frame paint every cell. The library's own way asks the terminal where its
    /// cursor stands, and one that is slow to answer would end the program.
    ///
    /// # Errors
    /// When the terminal refuses.
    pub fn paint_anew(&mut self) -> io::Result<()> {
        crossterm::execute!(io::stdout(), Clear(ClearType::All))?;
        // What was painted last is forgotten.
        self.terminal.swap_buffers();
        Ok(())
    }

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
        self.paint_anew()
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

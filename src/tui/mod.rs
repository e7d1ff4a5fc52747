//! The terminal: the only code that names ratatui or crossterm.
//!
//! Never here: electrical figures, what a key means (the key table is the session's).

mod draw;
mod guard;
mod hearing;
mod input;
mod keeping;
mod lean;
mod leaving;
mod moving;
mod printing;
mod run;
mod theme;

pub use draw::draw;
pub use input::{Input, input};
pub use keeping::{Place, offers};
pub use leaving::Left;
pub use run::{Setup, run};
pub use theme::Theme;

//! The threads that listen: one to the terminal, one to the system's signals.

use super::input::input;
use super::run::Incoming;
use jiff::Timestamp;
use std::sync::mpsc::Sender;

/// Keys, on a thread of their own: a terminal that has gone never answers a read. Each has the time it came, however
/// long the loop has other things to do.
pub(super) fn read_keys(tell: Sender<Incoming>) {
    std::thread::spawn(move || {
        while let Ok(event) = crossterm::event::read() {
            if let Some(input) = input(&event)
                && tell.send(Incoming::Input(input, Timestamp::now())).is_err()
            {
                return;
            }
        }
    });
}

/// Signals that mean the end.
pub(super) fn hear_signals(tell: Sender<Incoming>) {
    // A second handler in one process is refused; then the signal ends the program, and the journal
    // holds everything all the same.
    let _ = ctrlc::set_handler(move || {
        let _ = tell.send(Incoming::Signal);
    });
}

//! Leaving: storage writes what it still holds, and what is not on the disk then is handed out to be
//! printed.

use super::run::{App, Incoming};
use crate::session::{Effect, Event, update};
use crate::site::{Entry, Site};
use crate::storage::Answer;

/// What is not where it should be when the screen has gone, for whoever can still print it.
#[derive(Debug, Default)]
pub struct Left {
    /// Entries that are not on the disk.
    pub unrecorded: Vec<Entry>,
    /// The site without them.
    pub site: Option<Site>,
    /// Why the site file lacks what the journal holds, where it does.
    pub unsaved: Option<String>,
}

impl App {
    /// Closes storage and waits for its last answers.
    /// `next` gives what still comes in; nothing once it was waited for long enough.
    pub fn leave(&mut self, next: &dyn Fn() -> Option<Incoming>) -> Left {
        // A move comes to its end first, if that place answers.
        while self.keeping.is_moving()
            && let Some(event) = next()
        {
            match event {
                Incoming::Arrived(landing) => {
                    let news = Event::News(self.keeping.arrived(*landing));
                    let effects = update(&mut self.session, news);
                    self.carry_out(effects);
                }
                Incoming::Answer(turn, answer) if self.keeping.is_current(turn) => {
                    self.answered(answer);
                }
                _ => {}
            }
        }
        let Some(keeper) = self.keeping.close() else {
            return Left::default();
        };
        while let Some(event) = next() {
            match event {
                Incoming::Answer(turn, Answer::Closed) if self.keeping.is_current(turn) => {
                    keeper.join();
                    break;
                }
                Incoming::Answer(turn, answer) if self.keeping.is_current(turn) => {
                    let effects = self.answered(answer);
                    for effect in effects {
                        if let Effect::Remember(text) = effect {
                            (self.remember)(&text);
                        }
                    }
                }
                _ => {}
            }
        }
        Left {
            unrecorded: self.session.waiting().into_iter().cloned().collect(),
            site: Some(self.session.site().clone()),
            unsaved: self.not_saved.take(),
        }
    }
}

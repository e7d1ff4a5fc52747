//! An engineer at the keyboard of a site, with a disk that answers at once; from each key to the
//! frame that shows it.

use super::table::time;
use jiff::{Timestamp, tz::TimeZone};
use linewright::session::{Access, Ahead, Effect, Event, Key, Opening, Session, update};
use linewright::site::Site;
use linewright::tui::{Theme, draw};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::time::Duration;

/// A screen.
const AREA: Rect = Rect {
    x: 0,
    y: 0,
    width: 120,
    height: 40,
};

/// The keyboard and the screen.
pub struct Keyboard {
    session: Session,
    now: Timestamp,
    buffer: Buffer,
    away: Option<Box<Ahead>>,
}

/// What it took from the last Enter to the figures at rest.
#[derive(Clone, Copy, Default)]
pub struct Swept {
    /// Until the factors are learned, the mistakes of the whole site looked for, and the line that
    /// is looked at is done.
    pub whole: Duration,
    /// The longest that a key had to wait meanwhile.
    pub longest: Duration,
}

impl Keyboard {
    /// At the first unread line of a site, what can be reckoned ahead reckoned.
    pub fn at(site: Site) -> Self {
        let now = Timestamp::from_second(1_795_000_000).expect("a time");
        let opening = Opening {
            by: "engineer A".to_owned(),
            writer: "deskdeskdeskdesk".into(),
            at: now,
            access: Access::Writes,
            zone: TimeZone::UTC,
            ascii: false,
        };
        let mut keyboard = Self {
            session: Session::new(site, opening, None),
            now,
            buffer: Buffer::empty(AREA),
            away: None,
        };
        update(
            &mut keyboard.session,
            Event::Resize(AREA.width.into(), AREA.height.into()),
        );
        keyboard.sweep();
        keyboard
    }

    /// A digit, to the frame with it; then it is taken away again.
    pub fn digit(&mut self) -> Duration {
        let (took, _) = time(|| self.press(Key::Char('7')));
        self.press(Key::Backspace);
        took
    }

    /// Types a reading, Enter, the disk's answer: from Enter to the frame with the next line.
    pub fn enter(&mut self) -> Duration {
        for digit in ['8', '1', '0'] {
            self.press(Key::Char(digit));
        }
        time(|| self.press(Key::Enter)).0
    }

    /// Nothing but idle time until the sweep is done.
    pub fn sweep(&mut self) -> Swept {
        let mut swept = Swept::default();
        let mut rested = false;
        loop {
            let before = rested;
            let (took, more) = time(|| {
                let more = self.idle();
                self.frame();
                more
            });
            swept.whole += took;
            swept.longest = swept.longest.max(took);
            if let Some(ahead) = self.away.take() {
                update(&mut self.session, Event::Reckoned(Box::new(ahead.run())));
            }
            rested = self.is_at_rest();
            if !more || before {
                return swept;
            }
        }
    }

    /// One step of the loop. What goes to a thread of its own is no step of this one: here it is done
    /// at once, and its time is not a key's.
    fn idle(&mut self) -> bool {
        let effects = update(&mut self.session, Event::Idle);
        let more = effects.iter().any(|effect| matches!(effect, Effect::GoOn));
        self.away = effects.into_iter().find_map(|effect| match effect {
            Effect::Reckon(ahead) => Some(ahead),
            _ => None,
        });
        more || self.away.is_some()
    }

    fn is_at_rest(&self) -> bool {
        let plan = self.session.site().plan();
        let line = self.session.cursor_line();
        let at = line.and_then(|line| plan.line(&line)).unwrap_or(0);
        self.session.analyst().is_at_rest(at)
    }

    fn press(&mut self, key: Key) {
        self.now = self
            .now
            .checked_add(jiff::SignedDuration::from_secs(1))
            .expect("a time");
        let mut effects = update(&mut self.session, Event::Key(key, self.now));
        if let Some(until) = self.session.waits_until() {
            effects.extend(update(&mut self.session, Event::Waited(until)));
        }
        for effect in effects {
            if let Effect::Record(entries) = effect {
                let ids = entries.iter().map(|entry| entry.id.clone()).collect();
                update(&mut self.session, Event::Recorded(ids));
            }
        }
        self.frame();
    }

    fn frame(&mut self) {
        self.buffer.reset();
        draw(&self.session.view(), Theme::Colour, AREA, &mut self.buffer);
    }
}

//! The loop: events in, effects out, one frame after each batch of events. It asks once a second
//! whether the terminal is still there.

mod idle;

use super::draw::draw;
use super::guard::Guard;
use super::hearing::{hear_signals, read_keys};
use super::input::Input;
use super::keeping::{Keeping, Place, event_of, news_of, offers};
use super::leaving::Left;
use super::moving::Landing;
use super::printing;
use super::theme::Theme;
use crate::session::view::View;
use crate::session::{
    Ahead, Effect, Event, News, Offer, Opening, Printed, Reckoned, Resume, Session, update,
};
use crate::site::Site;
use crate::storage::{Answer, Notice, Seen, Store};
use jiff::Timestamp;
use std::io::{self, IsTerminal};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::time::{Duration, Instant};

/// A calm moment to write the site file: so long without a key.
const CALM: Duration = Duration::from_secs(3);
/// Between frames while the program reckons ahead.
const CALM_FRAME: Duration = Duration::from_millis(200);
/// A disk that answers so soon is waited for: one frame says `recorded`, not two.
const SOON: Duration = Duration::from_millis(20);
/// How long leaving waits for a slow disk before it goes; the journal holds everything by then.
const PATIENCE: Duration = Duration::from_secs(10);
/// How often the disk is asked again for what it refused.
const AGAIN: Duration = Duration::from_secs(5);
/// How long after a save that went wrong the next is tried.
const SAVE_AGAIN: Duration = Duration::from_secs(30);
/// How long a save may hold up the shell before Ctrl-Z.
const BEFORE_SLEEP: Duration = Duration::from_secs(1);

/// No key waits longer than this.
const LONGEST_WAIT: Duration = Duration::from_secs(1);

/// What a session in the terminal needs.
pub struct Setup {
    /// The site.
    pub site: Site,
    /// Where the site lies, and who sits here.
    pub place: Place,
    /// Where entries go; none when the site may only be read.
    pub store: Option<Store>,
    /// Who sits here.
    pub opening: Opening,
    /// Where they stood.
    pub resume: Option<Resume>,
    /// Keeps where they stand.
    pub remember: Box<dyn Fn(&str)>,
    /// What storage has to say, first things first.
    pub notices: Vec<String>,
    /// What copies in its folder hold that it lacks.
    pub offered: Vec<Offer>,
    /// Styles.
    pub theme: Theme,
}

pub(super) enum Incoming {
    Reckoned(Box<Reckoned>),
    Input(Input, Timestamp),
    Answer(usize, Answer),
    Seen(usize, Seen),
    Arrived(Box<Result<Landing, String>>),
    Printed(Printed),
    Signal,
}

/// Runs until the engineer leaves or the terminal goes. Returns what is left to be told.
///
/// # Errors
/// When the terminal cannot be taken or drawn on.
pub fn run(setup: Setup) -> io::Result<Left> {
    let (tell, incoming) = channel();
    let keeping = Keeping::begin(setup.place, setup.store, &setup.site, tell.clone())?;
    let mut session = Session::new(setup.site, setup.opening, setup.resume);
    let mut guard = Guard::take()?;
    read_keys(tell.clone());
    hear_signals(tell.clone());
    let size = guard.terminal().size()?;
    update(
        &mut session,
        Event::Resize(size.width.into(), size.height.into()),
    );
    if !setup.notices.is_empty() {
        update(&mut session, Event::Told(setup.notices));
    }
    update(&mut session, Event::Offered(setup.offered));
    update(&mut session, Event::Opened);
    let mut app = App {
        session,
        keeping,
        remember: setup.remember,
        unsaved: false,
        not_saved: None,
        busy: true,
        last_key: Instant::now(),
        last_try: Instant::now(),
        last_save: Instant::now(),
        sent: None,
        painted: None,
        tell,
    };
    let result = app.go(&mut guard, &incoming, setup.theme);
    let until = Instant::now() + PATIENCE;
    let patience = || until.saturating_duration_since(Instant::now());
    let left = app.leave(&|| incoming.recv_timeout(patience()).ok());
    drop(guard);
    result.map(|()| left)
}

pub(super) struct App {
    pub session: Session,
    pub keeping: Keeping,
    pub remember: Box<dyn Fn(&str)>,
    unsaved: bool,
    /// Why the last save went wrong; none after one that went well.
    pub not_saved: Option<String>,
    busy: bool,
    last_key: Instant,
    last_try: Instant,
    last_save: Instant,
    /// When entries went to the disk that has not answered yet.
    sent: Option<Instant>,
    painted: Option<View>,
    tell: Sender<Incoming>,
}

impl App {
    fn go(
        &mut self,
        guard: &mut Guard,
        incoming: &Receiver<Incoming>,
        theme: Theme,
    ) -> io::Result<()> {
        let mut drawn: Option<Instant> = None;
        loop {
            // While the program reckons ahead the screen need not follow every line of it.
            let soon = self
                .sent
                .and_then(|at| SOON.checked_sub(at.elapsed()))
                .filter(|soon| !soon.is_zero());
            if soon.is_none() && (!self.busy || drawn.is_none_or(|at| at.elapsed() >= CALM_FRAME)) {
                self.draw(guard, theme)?;
                drawn = Some(Instant::now());
            }
            let calm = [Duration::from_secs(1), Duration::ZERO][usize::from(self.busy)];
            let wait = soon.unwrap_or(calm).min(self.until_due());
            match incoming.recv_timeout(wait) {
                Ok(first) => {
                    drawn = None;
                    // Type-ahead is taken in order and drawn once.
                    let mut next = Some(first);
                    while let Some(event) = next {
                        if self.take(event, guard)? {
                            return Ok(());
                        }
                        next = incoming.try_recv().ok();
                    }
                    self.busy = true;
                }
                Err(RecvTimeoutError::Timeout) if self.until_due().is_zero() => {
                    let effects = update(&mut self.session, Event::Waited(Timestamp::now()));
                    self.carry_out(effects);
                    (drawn, self.busy) = (None, true);
                }
                Err(RecvTimeoutError::Timeout) => {
                    if !self.busy && !io::stdin().is_terminal() {
                        return Ok(());
                    }
                    if self.idle(guard, incoming, theme)? {
                        return Ok(());
                    }
                }
                Err(RecvTimeoutError::Disconnected) => return Ok(()),
            }
        }
    }

    /// How long until a key that waits is due; for ever where none does.
    fn until_due(&self) -> Duration {
        let Some(due) = self.session.waits_until() else {
            return Duration::MAX;
        };
        let left = Duration::try_from(due.duration_since(Timestamp::now())).unwrap_or_default();
        // A clock that was put back keeps no key waiting.
        match left > LONGEST_WAIT {
            true => Duration::ZERO,
            false => left,
        }
    }

    /// Paints what changed; where nothing did, not a byte goes out.
    fn draw(&mut self, guard: &mut Guard, theme: Theme) -> io::Result<()> {
        let view = self.session.view();
        if self.painted.as_ref() == Some(&view) {
            return Ok(());
        }
        guard.terminal().draw(|frame| {
            let area = frame.area();
            if let Some(caret) = draw(&view, theme, area, frame.buffer_mut()) {
                frame.set_cursor_position(caret);
            }
        })?;
        self.painted = Some(view);
        Ok(())
    }

    /// Asks the disk again, now and then, for what it refused.
    fn try_again(&mut self) {
        if self.session.any_refused() && self.last_try.elapsed() >= AGAIN {
            self.last_try = Instant::now();
            let effects = update(&mut self.session, Event::News(News::Retry));
            self.carry_out(effects);
        }
    }

    /// Ctrl-Z: all saved, the terminal given back, and taken again when the shell wakes us.
    fn sleep(&mut self, guard: &mut Guard) -> io::Result<Vec<Effect>> {
        self.keeping.save_within(BEFORE_SLEEP);
        guard.sleep()?;
        self.painted = None;
        let size = guard.terminal().size()?;
        let size = Event::Resize(size.width.into(), size.height.into());
        Ok(update(&mut self.session, size))
    }

    /// Takes one event in; true when it is time to leave.
    fn take(&mut self, event: Incoming, guard: &mut Guard) -> io::Result<bool> {
        let effects = match event {
            Incoming::Signal | Incoming::Input(Input::Break, _) => return Ok(true),
            Incoming::Input(Input::Repaint, _) => {
                guard.paint_anew()?;
                self.painted = None;
                Vec::new()
            }
            Incoming::Input(Input::Key(key), at) => {
                self.last_key = Instant::now();
                update(&mut self.session, Event::Key(key, at))
            }
            Incoming::Input(Input::Paste(text), _) => {
                self.last_key = Instant::now();
                update(&mut self.session, Event::Paste(text))
            }
            Incoming::Input(Input::Resize(columns, rows), _) => {
                self.painted = None;
                let size = Event::Resize(columns.into(), rows.into());
                update(&mut self.session, size)
            }
            Incoming::Input(Input::Sleep, _) => self.sleep(guard)?,
            Incoming::Answer(turn, _) | Incoming::Seen(turn, _)
                if !self.keeping.is_current(turn) =>
            {
                Vec::new()
            }
            Incoming::Answer(_, answer) => self.answered(answer),
            Incoming::Seen(_, seen) => update(&mut self.session, event_of(seen)),
            Incoming::Arrived(landing) => {
                let offered = match &*landing {
                    Ok(landing) => offers(&landing.notices),
                    Err(_) => Vec::new(),
                };
                let news = self.keeping.arrived(*landing);
                // Before the news, whose words have all that is to say of the place. What the place left behind
                // offers is not to be had any more, unless the move failed.
                if matches!(news, News::Writes { .. }) {
                    update(&mut self.session, Event::Offered(offered));
                }
                update(&mut self.session, Event::News(news))
            }
            Incoming::Printed(printed) => update(&mut self.session, Event::Printed(printed)),
            Incoming::Reckoned(reckoned) => update(&mut self.session, Event::Reckoned(reckoned)),
        };
        Ok(self.carry_out(effects))
    }

    pub fn answered(&mut self, answer: Answer) -> Vec<Effect> {
        let event = match answer {
            Answer::Recorded(ids) => {
                self.sent = None;
                self.unsaved = true;
                Event::Recorded(ids)
            }
            Answer::NotRecorded { entries, why } => {
                self.sent = None;
                Event::NotRecorded(entries.into_iter().map(|entry| entry.id).collect(), why)
            }
            Answer::NotSaved(why) => {
                return self.failed_to_save(Notice::NotSaved { why }.to_string());
            }
            Answer::Displaced(words) => return self.failed_to_save(words),
            Answer::Joined(site) => Event::Replaced(site),
            Answer::Offered(notices) => Event::Offered(offers(&notices)),
            Answer::Saved => match self.not_saved.take() {
                Some(_) => Event::Say("saved into the site file again".to_owned()),
                None => return Vec::new(),
            },
            Answer::Closed => return Vec::new(),
            other => match news_of(other) {
                Some(news) => {
                    // Saved with what was joined: that is said, not that the file is well again.
                    self.not_saved.take_if(|_| matches!(news, News::Joined(..)));
                    Event::News(news)
                }
                None => return Vec::new(),
            },
        };
        update(&mut self.session, event)
    }

    /// Said once; tried again later, in silence.
    fn failed_to_save(&mut self, words: String) -> Vec<Effect> {
        self.unsaved = true;
        self.last_save = Instant::now();
        if self.not_saved.replace(words.clone()).is_some() {
            return Vec::new();
        }
        update(&mut self.session, Event::News(News::Refused(words)))
    }

    pub fn carry_out(&mut self, effects: Vec<Effect>) -> bool {
        let mut leave = false;
        for effect in effects {
            match effect {
                Effect::Record(entries) => {
                    self.sent = Some(Instant::now());
                    if let Some(entries) = self.keeping.record(entries) {
                        let ids = entries.into_iter().map(|entry| entry.id).collect();
                        let why = "storage has stopped".to_owned();
                        let more = update(&mut self.session, Event::NotRecorded(ids, why));
                        self.carry_out(more);
                    }
                }
                // Whoever only looks must not wipe out where the one who writes stands.
                Effect::Remember(text) if self.keeping.writes() => (self.remember)(&text),
                Effect::Remember(_) => {}
                Effect::Wish(wish) => {
                    let site = self.session.site();
                    if let Some(news) = self.keeping.meet(wish, site, Timestamp::now()) {
                        let more = update(&mut self.session, Event::News(news));
                        self.carry_out(more);
                    }
                }
                Effect::Print(print) => {
                    let (site, tell) = (self.keeping.path().to_owned(), self.tell.clone());
                    if let Some(failed) = printing::set_out(*print, site, tell) {
                        update(&mut self.session, Event::Printed(failed));
                    }
                }
                Effect::Leave => leave = true,
                Effect::GoOn => {}
                Effect::Reckon(ahead) => self.reckon(*ahead),
            }
        }
        leave
    }

    /// Does a piece of reckoning on a thread of its own; where none is to be had, here.
    fn reckon(&mut self, ahead: Ahead) {
        let tell = self.tell.clone();
        let here = ahead.clone();
        let work = move || {
            // Nobody listens any more when the engineer has left.
            let _ = tell.send(Incoming::Reckoned(Box::new(ahead.run())));
        };
        if std::thread::Builder::new().spawn(work).is_err() {
            update(&mut self.session, Event::Reckoned(Box::new(here.run())));
        }
    }
}

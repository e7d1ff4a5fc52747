//! The application as a pure state machine: an event in, the new state and a list of effects out.
//!
//! ```text
//!   Event --> update --> Session' + [Effect]     view(&Session, size) --> lines ready to paint
//! ```
//!
//! Never here: the terminal library, files, the clock. Time comes in with events; what the outside
//! world must do goes out as [`Effect`].

mod act;
mod agree;
mod another_day;
mod asked;
mod building;
mod choose;
mod design;
mod draft;
mod dropped;
mod event;
mod failing;
mod find;
mod flagged;
mod held;
mod insulation;
mod key;
pub mod keys;
mod kit;
mod line_on;
mod misread;
mod mode;
mod movement;
mod next;
mod open_splits;
mod order;
mod pace;
mod paste;
mod phrase;
mod print;
mod rack;
mod rack_rows;
mod reasons;
mod record;
mod redrawn;
mod resume;
mod review;
mod review_takes;
mod reviewed;
mod said;
mod scope;
mod sealed;
mod side_typed;
mod signature;
mod stops;
mod take_up;
mod taken_back;
mod tick_row;
mod tone;
mod trail;
mod tree;
mod update;
pub mod view;
mod walk;
mod words;

pub use design::Thing;
pub use event::{Effect, Event};
pub use failing::{News, Offer, Wish};
pub use key::Key;
pub use keys::{Action, ModeName, Place};
pub use mode::{Draft, DraftKind, Found, Mode, Purpose, Words};
pub use order::{Arrangement, Only, Order};
pub use print::{Print, Printed};
pub use resume::Resume;
pub use tick_row::TickId;
pub use tree::{Branch, RowId, Shape, TreeRow};
pub use update::update;

pub use crate::analysis::{Ahead, Reckoned};

use crate::analysis::Analyst;
use crate::diagnosis::Posterior;
use crate::quantity::{Ohm, Value};
use crate::site::{Entry, EntryId, InstrumentId, LineId, NodeId, Ref, Site, WriterId};
use act::{Acts, Pending};
use jiff::Timestamp;
use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap};

/// Who may write.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Access {
    /// This opening.
    Writes,
    /// Someone else, named.
    ReadsOnly(String),
}

/// Who sits at the keyboard, and in which opening.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Opening {
    /// The engineer.
    pub by: String,
    /// Writer id of this opening; entry ids are made from it.
    pub writer: WriterId,
    /// When it was opened.
    pub at: Timestamp,
    /// Whether entries can be recorded.
    pub access: Access,
    /// The zone that times are shown in.
    pub zone: jiff::tz::TimeZone,
    /// Frames and bars in ASCII only.
    pub ascii: bool,
}

/// The state of the application.
#[derive(Debug)]
pub struct Session {
    site: Site,
    analyst: Analyst,
    opening: Opening,
    counter: u64,
    place: Place,
    mode: Mode,
    cursor: RowId,
    folded: BTreeSet<RowId>,
    rows: Vec<TreeRow>,
    /// Where each of them stands.
    row_of: HashMap<RowId, usize>,
    size: (usize, usize),
    top: usize,
    page: usize,
    help_top: usize,
    walk_at: NodeId,
    walk_top: usize,
    walk_passed: Option<NodeId>,
    /// The loudspeaker of the walk that was not heard as it should be and that the cursor went on from, until
    /// it is moved.
    walk_went_on: Option<NodeId>,
    tick_at: TickId,
    kit_at: Ref,
    arranged: Arrangement,
    /// The row where lines began to be filtered, and the one that the filter put the cursor on.
    filtered_from: Option<(RowId, RowId)>,
    chosen: Vec<InstrumentId>,
    under_help: Place,
    /// Where the rack list was opened from.
    under_rack: Place,
    leaving: bool,
    /// The key that was asked about: pressed once more it does what it is for.
    asked: Option<Action>,
    /// When that was.
    asked_at: Option<Timestamp>,
    /// The reading just sent that fits nothing, as the panel told while it was typed.
    misfit: Option<EntryId>,
    /// Insulation readings of this sitting at a voltage that nobody said: the site file cannot tell.
    assumed_volts: Vec<EntryId>,
    tour: bool,
    /// The last entry was of another day: a new visit is offered.
    another_day: Option<another_day::Break>,
    /// A line, and its suspects with what is typed of a side of it.
    side_typed: Option<(usize, Posterior)>,
    message: Message,
    /// What of it was told of where one stands, and means nothing elsewhere.
    told: Option<String>,
    /// What was said at the opening: the site's panel keeps it.
    notices: Vec<String>,
    /// What copies of the site hold.
    offered: Vec<Offer>,
    /// The same as it was told last, at this opening or the one before.
    offers_told: Vec<String>,
    pending: Vec<Pending>,
    acts: Acts,
    trail: trail::Trail,
    remembered: String,
    outage: failing::Outage,
    desk: design::Desk,
    review: reviewed::Reviewed,
    worked: pace::Worked,
    found_from: Option<Box<find::Stood>>,
    printing: print::Printing,
    /// When the last key came.
    now: Option<Timestamp>,
    held: held::Held,
}

/// The message line: stands until the next act.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Message {
    /// What happened.
    pub text: String,
    /// What can be done about it, at the right end.
    pub hint: &'static str,
    /// It went wrong.
    pub alarm: bool,
}

impl Session {
    /// A session over a site, standing where `resume` says, else at the first unread line.
    #[must_use]
    pub fn new(site: Site, opening: Opening, resume: Option<Resume>) -> Self {
        let analyst = Analyst::new(&site);
        let mut session = Self {
            site,
            analyst,
            opening,
            counter: 0,
            place: Place::Survey,
            mode: Mode::Key,
            cursor: RowId::Site,
            folded: BTreeSet::new(),
            rows: Vec::new(),
            row_of: HashMap::new(),
            size: (80, 24),
            top: 0,
            page: 0,
            help_top: 0,
            walk_at: NodeId::rack(),
            walk_top: 0,
            walk_passed: None,
            walk_went_on: None,
            tick_at: TickId::default(),
            kit_at: Ref::Site,
            arranged: Arrangement::default(),
            filtered_from: None,
            chosen: Vec::new(),
            under_help: Place::Survey,
            under_rack: Place::Survey,
            leaving: false,
            asked: None,
            asked_at: None,
            misfit: None,
            assumed_volts: Vec::new(),
            tour: false,
            another_day: None,
            side_typed: None,
            message: Message::default(),
            told: None,
            notices: Vec::new(),
            offered: Vec::new(),
            offers_told: Vec::new(),
            pending: Vec::new(),
            acts: Acts::default(),
            trail: trail::Trail::default(),
            remembered: String::new(),
            outage: failing::Outage::default(),
            desk: design::Desk::default(),
            review: reviewed::Reviewed::default(),
            worked: pace::Worked::default(),
            found_from: None,
            printing: print::Printing::default(),
            now: None,
            held: held::Held::default(),
        };
        session.follow_pace();
        session.look_at_seal();
        session.stand(resume);
        session
    }

    /// The site.
    #[must_use]
    pub const fn site(&self) -> &Site {
        &self.site
    }

    /// The analysis that the screen reads.
    #[must_use]
    pub const fn analyst(&self) -> &Analyst {
        &self.analyst
    }

    /// What the keyboard is doing.
    #[must_use]
    pub const fn mode(&self) -> &Mode {
        &self.mode
    }

    /// The row the cursor is on.
    #[must_use]
    pub const fn cursor(&self) -> &RowId {
        &self.cursor
    }

    /// The message line.
    #[must_use]
    pub const fn message(&self) -> &Message {
        &self.message
    }

    /// Entries sent to the disk and not yet there, refused ones included.
    #[must_use]
    pub fn waiting(&self) -> Vec<&Entry> {
        self.pending.iter().map(|pending| &pending.entry).collect()
    }

    /// Where the engineer stands now.
    #[must_use]
    pub fn resume(&self) -> Resume {
        Resume {
            version: Resume::VERSION,
            cursor: self.cursor.clone(),
            folded: self.folded.clone(),
            draft: match &self.mode {
                Mode::Reading(draft) => Some(draft.clone()),
                _ => None,
            },
            words: match &self.mode {
                // What was found or tried out is no entry that could be lost.
                Mode::Text(words)
                    if !matches!(
                        words.purpose,
                        Purpose::Find | Purpose::TryOut(_) | Purpose::Scope
                    ) =>
                {
                    Some(words.clone())
                }
                _ => None,
            },
            page: self.page,
            walking: matches!(self.stands_in(), Place::Walk | Place::Drawing)
                .then(|| self.walk_at.clone()),
            place: self.stands_in(),
            kit: (self.stands_in() == Place::Kit).then(|| self.kit_at.clone()),
            reviewing: self.stands_in() == Place::Review,
            reviewed: match self.stands_in() {
                Place::Review => self.review.under().map(|row| row.item.of.clone()),
                _ => None,
            },
            part: self.review.part.clone(),
            ticking: (self.stands_in() == Place::Rack).then(|| self.tick_at.clone()),
            arranged: self.arranged.clone(),
            chosen: self.chosen.clone(),
            last: self.acts.on_top(),
            offered: self.offers_told.clone(),
        }
    }

    /// The suspects of a line, for the reading on record or for one being typed.
    fn suspects(&self, at: usize, drafted: Option<(Value, Ohm)>) -> Option<Cow<'_, Posterior>> {
        match drafted {
            Some(typed) => {
                let (instrument, _) = self.instrument(DraftKind::Impedance)?;
                let corrects = match &self.mode {
                    Mode::Reading(draft) => draft.corrects.as_ref(),
                    _ => None,
                };
                let with = self.in_hand(&instrument);
                let posterior = self
                    .analyst
                    .suspects_of(&self.site, at, typed, with, corrects)?;
                Some(Cow::Owned(posterior))
            }
            None => {
                let typed = self.suspects_with_side(at);
                typed
                    .or_else(|| self.analyst.suspects(at))
                    .map(Cow::Borrowed)
            }
        }
    }

    /// The place worked in: the one under the help where that is open.
    const fn stands_in(&self) -> Place {
        match self.place {
            Place::Help => self.under_help,
            place => place,
        }
    }

    /// The mode that the key table is asked for: the help has its own keys, whatever waits under it.
    fn mode_name(&self) -> ModeName {
        match self.place {
            Place::Help => ModeName::Key,
            _ => self.mode.name(),
        }
    }

    fn may_write(&self) -> bool {
        self.opening.access == Access::Writes
    }

    /// The line under the cursor.
    #[must_use]
    pub fn cursor_line(&self) -> Option<LineId> {
        match &self.cursor {
            RowId::Line(line) => Some(line.clone()),
            _ => None,
        }
    }
}

//! An engineer at the keyboard without a terminal: keys in, answers of a disk that does as told,
//! the screen as text. The clock moves a second a key and starts at a fixed time.
#![allow(dead_code)]

use jiff::{Timestamp, tz::TimeZone};
use linewright::analysis::Analyst;
use linewright::quantity::show::harmless;
use linewright::report::Assessment;
use linewright::session::view::message_rows;
use linewright::session::{
    Access, Effect, Event, Key, Mode, Opening, Print, Resume, Session, Wish, update,
};
use linewright::site::{Design, Elements, Entry, EntryId, Log, Site, birth_items};
use linewright::storage::{Schedule, format1, read_schedule};
use linewright::tui::{Theme, draw};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::collections::VecDeque;

/// Six lines on three outputs. At 100 V, with cables short enough to be left out of a sum: H-1
/// five of 6 W (333 ohm), H-2 four of 6 W (417), L-1 and L-2 three of 6 W (556), B-1 six of 6 W
/// (278), C-1 two of 10 W (500).
pub const HALL: &str = "\
amplifier,output,rated_w,line_v,zone,line,loudspeaker,what,tap_w,taps_w,type,dc_block,control,device,from,run_m,cable
A1,1,120,100,Hall,H-1,LS-1,loudspeaker,6,12|6|3,ceiling,,,,rack,20,1.5 mm2
A1,1,120,100,Hall,H-1,LS-2,loudspeaker,6,12|6|3,ceiling,,,,,8,1.5 mm2
A1,1,120,100,Hall,H-1,LS-3,loudspeaker,6,12|6|3,ceiling,,,,,8,1.5 mm2
A1,1,120,100,Hall,H-1,LS-4,loudspeaker,6,12|6|3,ceiling,,,,LS-2,6,1.5 mm2
A1,1,120,100,Hall,H-1,LS-5,loudspeaker,6,12|6|3,ceiling,,,,,6,1.5 mm2
A1,1,120,100,Hall,H-2,LS-1,loudspeaker,6,12|6|3,ceiling,,,,rack,24,1.5 mm2
A1,1,120,100,Hall,H-2,LS-2,loudspeaker,6,12|6|3,ceiling,,,,,8,1.5 mm2
A1,1,120,100,Hall,H-2,LS-3,loudspeaker,6,12|6|3,ceiling,,,,,8,1.5 mm2
A1,1,120,100,Hall,H-2,LS-4,loudspeaker,6,12|6|3,ceiling,,,,,8,1.5 mm2
A1,1,120,100,Lobby,L-1,LS-1,loudspeaker,6,12|6|3,ceiling,,,,rack,15,1.5 mm2
A1,1,120,100,Lobby,L-1,LS-2,loudspeaker,6,12|6|3,ceiling,,,,,5,1.5 mm2
A1,1,120,100,Lobby,L-1,LS-3,loudspeaker,6,12|6|3,ceiling,,,,,5,1.5 mm2
A1,1,120,100,Lobby,L-2,LS-1,loudspeaker,6,12|6|3,ceiling,,,,rack,15,1.5 mm2
A1,1,120,100,Lobby,L-2,LS-2,loudspeaker,6,12|6|3,ceiling,,,,,5,1.5 mm2
A1,1,120,100,Lobby,L-2,LS-3,loudspeaker,6,12|6|3,ceiling,,,,,5,1.5 mm2
A1,2,60,100,Balcony,B-1,LS-1,loudspeaker,6,12|6|3,ceiling,,,,rack,30,1.5 mm2
A1,2,60,100,Balcony,B-1,LS-2,loudspeaker,6,12|6|3,ceiling,,,,,5,1.5 mm2
A1,2,60,100,Balcony,B-1,LS-3,loudspeaker,6,12|6|3,ceiling,,,,,5,1.5 mm2
A1,2,60,100,Balcony,B-1,LS-4,loudspeaker,6,12|6|3,ceiling,,,,,5,1.5 mm2
A1,2,60,100,Balcony,B-1,LS-5,loudspeaker,6,12|6|3,ceiling,,,,,5,1.5 mm2
A1,2,60,100,Balcony,B-1,LS-6,loudspeaker,6,12|6|3,ceiling,,,,,5,1.5 mm2
A2,1,60,100,Car park,C-1,LS-1,loudspeaker,10,20|10|5,horn,,,,rack,60,2.5 mm2
A2,1,60,100,Car park,C-1,LS-2,loudspeaker,10,20|10|5,horn,,,,,25,2.5 mm2
";

/// A site from a schedule.
pub fn site_of(schedule: &str, name: &str) -> Site {
    let Schedule {
        id,
        items,
        warnings,
        ..
    } = read_schedule("schedule.csv", schedule.as_bytes(), &[], name).unwrap();
    assert_eq!(warnings, []);
    Site::new(id, Elements::from_iter(items), Log::default())
}

/// The small site above.
pub fn hall() -> Site {
    site_of(HALL, "Old seed hall")
}

/// The same with every design changed.
pub fn hall_with(change: impl Fn(Design) -> Design) -> Site {
    let mut elements = Elements::default();
    for (of, stamp, design) in hall().elements().iter() {
        elements.add(of.clone(), stamp.clone(), change(design.clone()));
    }
    Site::new(hall().id().clone(), elements, Log::default())
}

/// A site that nothing was put into yet.
pub fn empty() -> Site {
    Site::new(
        "s-empty".into(),
        Elements::from_iter(birth_items()),
        Log::default(),
    )
}

/// The demo as it ships.
pub fn demo() -> Site {
    let bytes = std::fs::read("sites/glasshouse.ron").unwrap();
    format1::read("demo", &bytes).unwrap().site
}

/// What the disk does with entries.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiskIs {
    /// They are on it at once.
    Fast,
    /// It has not answered yet; `Desk::answer` lets it.
    Slow,
    /// It refuses.
    Full,
}

/// The engineer's desk.
pub struct Desk {
    pub session: Session,
    pub disk: DiskIs,
    /// Every batch that was sent, in order.
    pub sent: Vec<Vec<Entry>>,
    /// What is to be remembered as the place to stand.
    pub remembered: Option<String>,
    /// `Effect::Leave` came.
    pub left: bool,
    /// What the engineer wanted done about the files.
    pub wishes: Vec<Wish>,
    /// Records that were asked for.
    pub prints: Vec<Print>,
    more: bool,
    waiting: VecDeque<Vec<EntryId>>,
    pub now: Timestamp,
    size: (usize, usize),
}

/// 14:07:00 UTC on a day in November.
pub fn start() -> Timestamp {
    "2026-11-25T14:07:00Z".parse().unwrap()
}

pub fn opening(writer: &str) -> Opening {
    Opening {
        by: "engineer A".to_owned(),
        writer: writer.into(),
        at: start(),
        access: Access::Writes,
        zone: TimeZone::UTC,
        ascii: false,
    }
}

impl Desk {
    /// At a building of which only the name is known.
    pub fn begun() -> Self {
        Self::at(Site::begun("Old seed hall", &"deskdeskdeskdesk".into()))
    }

    pub fn at(site: Site) -> Self {
        Self::with(site, opening("deskdeskdeskdesk"), None)
    }

    pub fn with(site: Site, opening: Opening, resume: Option<Resume>) -> Self {
        let mut desk = Self {
            session: Session::new(site, opening, resume),
            disk: DiskIs::Fast,
            sent: Vec::new(),
            remembered: None,
            left: false,
            wishes: Vec::new(),
            prints: Vec::new(),
            more: false,
            waiting: VecDeque::new(),
            now: start(),
            size: (80, 24),
        };
        desk.event(Event::Resize(80, 24));
        desk
    }

    pub fn event(&mut self, event: Event) {
        if let Event::Resize(columns, rows) = event {
            self.size = (columns, rows);
        }
        for effect in update(&mut self.session, event) {
            match effect {
                Effect::Record(entries) => {
                    let ids = entries.iter().map(|entry| entry.id.clone()).collect();
                    self.sent.push(entries);
                    self.waiting.push_back(ids);
                }
                Effect::Remember(text) => self.remembered = Some(text),
                Effect::Leave => self.left = true,
                Effect::GoOn => self.more = true,
                Effect::Wish(wish) => self.wishes.push(wish),
                Effect::Print(print) => self.prints.push(*print),
                Effect::Reckon(ahead) => {
                    self.event(Event::Reckoned(Box::new(ahead.run())));
                    self.more = true;
                }
            }
        }
        if self.disk != DiskIs::Slow {
            self.answer();
        }
        self.nothing_said_is_cut();
    }

    /// From 80 columns on every message of every story stands whole on the screen, and what can be done
    /// beside it; what somebody typed, or a path, may be longer than two rows.
    fn nothing_said_is_cut(&self) {
        self.no_key_is_cut();
        let (message, columns) = (self.session.message(), self.size.0);
        if columns < 80 || message.text.chars().count() > 2 * (columns - 3) {
            return;
        }
        let rows = message_rows(message, columns);
        let rows: Vec<String> = rows.iter().map(|row| row.text()).collect();
        let shown = rows.concat();
        let plain = |text: &str| text.replace(' ', "");
        assert!(
            plain(&shown).starts_with(&plain(&harmless(&message.text))),
            "{rows:?}"
        );
        let hinted = plain(&shown).len() > plain(&harmless(&message.text)).len();
        assert_eq!(hinted, !message.hint.is_empty(), "{rows:?} {message:?}");
    }

    /// Nor does a message at any width lose the end of what it says, where the keys stand: what two rows
    /// do not hold gives way before that, at a blank.
    fn no_key_is_cut(&self) {
        let message = self.session.message();
        let said = harmless(&message.text);
        let ends = ["; ", ". ", "? "];
        let tail = ends.iter().filter_map(|end| said.rsplit_once(end));
        let tail = tail.map(|it| it.1).min_by_key(|tail| tail.len());
        for columns in [60, 80] {
            let rows = message_rows(message, columns);
            let shown: Vec<String> = rows.iter().map(|row| row.text()).collect();
            let words: Vec<&str> = shown
                .iter()
                .flat_map(|row| row.split_whitespace())
                .collect();
            let shown = words.join(" ");
            let tail = tail.map(|tail| tail.split_whitespace().collect::<Vec<_>>().join(" "));
            if let Some(tail) = tail.filter(|tail| tail.len() + 4 < columns && tail.is_ascii()) {
                assert!(shown.contains(&tail), "{columns}: {shown}\n{said}");
            }
        }
    }

    /// The disk answers what waits.
    pub fn answer(&mut self) {
        while let Some(ids) = self.waiting.pop_front() {
            self.event(if self.disk == DiskIs::Full {
                Event::NotRecorded(ids, "no space left on device".into())
            } else {
                Event::Recorded(ids)
            });
        }
    }

    pub fn press(&mut self, key: Key) -> &mut Self {
        self.now = self
            .now
            .checked_add(jiff::SignedDuration::from_secs(1))
            .unwrap();
        self.event(Event::Key(key, self.now));
        self.wait();
        // A signature is made as soon as no key waits.
        if self.session.is_signing() {
            self.event(Event::Idle);
        }
        self
    }

    /// Nothing is pressed for as long as a key that waits has to.
    pub fn wait(&mut self) -> &mut Self {
        if let Some(until) = self.session.waits_until() {
            self.event(Event::Waited(until));
        }
        self
    }

    /// Types keys: `\n` is Enter, `\x1b` Esc, `\t` Tab, `\x08` Backspace.
    pub fn keys(&mut self, keys: &str) -> &mut Self {
        for c in keys.chars() {
            self.press(match c {
                '\n' => Key::Enter,
                '\x1b' => Key::Esc,
                '\t' => Key::Tab,
                '\x08' => Key::Backspace,
                c => Key::Char(c),
            });
        }
        self
    }

    /// Nothing happens until there is nothing left to reckon.
    pub fn rest(&mut self) -> &mut Self {
        loop {
            self.more = false;
            self.event(Event::Idle);
            if !self.more {
                return self;
            }
        }
    }

    pub fn resize(&mut self, columns: usize, rows: usize) -> &mut Self {
        self.event(Event::Resize(columns, rows));
        self
    }

    /// Label of the line under the cursor; empty on any other row.
    pub fn on(&self) -> String {
        let line = self.session.cursor_line();
        line.map_or_else(String::new, |line| self.label(&line))
    }

    fn label(&self, line: &linewright::site::LineId) -> String {
        let plan = self.session.site().plan();
        plan.lines[plan.line(line).unwrap()].label.clone()
    }

    /// What is typed and not recorded.
    pub fn typed(&self) -> Option<String> {
        match self.session.mode() {
            Mode::Reading(draft) => Some(draft.text.clone()),
            Mode::Text(words) => Some(words.text.clone()),
            _ => None,
        }
    }

    pub fn message(&self) -> &str {
        &self.session.message().text
    }

    pub fn log_len(&self) -> usize {
        self.session.site().log().entries().len()
    }

    /// Readings that count, as `label text`, in the order of the file.
    pub fn readings(&self) -> Vec<String> {
        readings(self.session.site())
    }

    /// The bytes of `assess --json` for the site as it stands, reckoned from nothing.
    pub fn json(&self) -> String {
        json_of(self.session.site())
    }

    /// The screen as the terminal shows it.
    pub fn buffer(&self, theme: Theme) -> Buffer {
        paint(&self.session, theme, self.size)
    }

    /// The screen as text, trailing blanks off.
    pub fn screen(&self) -> String {
        text_of(&self.buffer(Theme::Colour))
    }
}

/// Readings that count, as `label text`.
pub fn readings(site: &Site) -> Vec<String> {
    let plan = site.plan();
    site.log()
        .rows()
        .into_iter()
        .filter(|entry| site.log().counts(&entry.id))
        .filter_map(|entry| match &entry.what {
            linewright::site::Do::Read(read) => {
                // A line that was taken out keeps its readings under its id.
                let at = plan.line(&read.line);
                let label = at.map_or(read.line.as_str(), |at| plan.lines[at].label.as_str());
                Some(format!("{label} {}", read.text))
            }
            _ => None,
        })
        .collect()
}

/// The assessment of a site, reckoned from nothing.
pub fn assessed(site: &Site) -> Assessment {
    let mut analyst = Analyst::new(site);
    analyst.settle(site, None);
    Assessment::of(site, &analyst, None).with_visit_before(site, &analyst, None)
}

/// The bytes of `assess --json`.
pub fn json_of(site: &Site) -> String {
    assessed(site).to_json().unwrap()
}

pub fn paint(session: &Session, theme: Theme, (columns, rows): (usize, usize)) -> Buffer {
    let area = Rect::new(0, 0, columns as u16, rows as u16);
    let mut buffer = Buffer::empty(area);
    draw(&session.view(), theme, area, &mut buffer);
    buffer
}

/// A buffer as text, one line a row, trailing blanks off.
pub fn text_of(buffer: &Buffer) -> String {
    let area = buffer.area;
    let mut out = String::new();
    for y in 0..area.height {
        let row: String = (0..area.width).map(|x| buffer[(x, y)].symbol()).collect();
        out.push_str(row.trim_end());
        out.push('\n');
    }
    out
}

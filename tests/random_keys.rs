//! Whatever is typed, in whatever order the disk answers: no panic, the log only grows, what was
//! answered as recorded is in it, typing moves no cursor; and the real program gives the terminal
//! back.
//!
//! A bounded number at every run; the million each: `cargo test --release --test random_keys -- --ignored`.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;

use desk::{json_of, opening, paint, site_of, text_of};
use jiff::{SignedDuration, Timestamp};
use linewright::session::{
    Action, Ahead, Effect, Event, Key, ModeName, Place, Resume, Session, keys, update,
};
use linewright::site::{Do, EntryId, Site};
use linewright::tui::Theme;
use std::collections::{HashSet, VecDeque};

/// Small, so that a key is cheap: three lines on two outputs, a branch in one.
const COTTAGE: &str = "\
amplifier,output,rated_w,zone,line,loudspeaker,tap_w,taps_w,from,run_m
A1,1,40,Hall,H-1,LS-1,6,12|6|3,rack,20
A1,1,40,Hall,H-1,LS-2,6,12|6|3,LS-1,8
A1,1,40,Hall,H-1,LS-3,6,12|6|3,LS-1,8
A1,1,40,Loft,H-2,LS-1,6,12|6|3,rack,15
A1,2,40,Yard,Y-1,LS-1,10,20|10,rack,60
";

/// Numbers that are the same at every run (xorshift64*, Vigna 2016).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 16
    }

    fn below(&mut self, sides: usize) -> usize {
        usize::try_from(self.roll()).unwrap() % sides
    }

    fn of<T: Copy>(&mut self, these: &[T]) -> T {
        these[self.below(these.len())]
    }
}

const NAMED: [Key; 15] = [
    Key::Enter,
    Key::Esc,
    Key::Tab,
    Key::BackTab,
    Key::Backspace,
    Key::Delete,
    Key::Up,
    Key::Down,
    Key::Left,
    Key::Right,
    Key::Home,
    Key::End,
    Key::PageUp,
    Key::PageDown,
    Key::F1,
];

fn any_key(dice: &mut Dice) -> Key {
    match dice.below(20) {
        0..=6 => Key::Char(dice.of(&['0', '1', '2', '3', '4', '5', '6', '7', '8', '9', '.', ','])),
        7..=9 => dice.of(&[Key::Enter, Key::Enter, Key::Up, Key::Down, Key::Esc]),
        10..=12 => dice.of(&NAMED),
        13..=18 => Key::Char(char::from(b' ' + u8::try_from(dice.below(95)).unwrap())),
        _ => Key::Char(dice.of(&[
            '\u{3a9}',
            '\u{b5}',
            '\u{202e}',
            '\u{1f50a}',
            '\u{301}',
            '\u{7}',
            '\u{ffff}',
        ])),
    }
}

/// Whether a key in this mode leaves the cursor where it is, in whatever place.
fn stays(mode: ModeName, key: Key) -> bool {
    use Action::{
        Backspace, CaretLeft, CaretRight, Help, InsulationKind, Ohmmeter, Quit, StartInsulation,
        StartOhmmeter, StartOpen, StartReading, StartRepair, Type,
    };
    let stays = |action| match mode {
        ModeName::Key => matches!(
            action,
            StartReading | StartOpen | StartOhmmeter | StartInsulation | StartRepair | Help | Quit
        ),
        ModeName::Reading => matches!(
            action,
            Type | Ohmmeter | InsulationKind | Backspace | CaretLeft | CaretRight
        ),
        _ => false,
    };
    let mut rows = keys::table().filter(|row| row.mode == mode);
    let places = [Place::Survey, Place::Walk, Place::Help];
    matches!(mode, ModeName::Key | ModeName::Reading)
        && rows.next().is_some()
        && places
            .iter()
            .all(|place| keys::action(mode, *place, key).is_none_or(stays))
}

/// A session among a disk and a thread that answer when they like.
struct Chaos {
    dice: Dice,
    session: Session,
    now: Timestamp,
    opened: u32,
    sent: VecDeque<Vec<EntryId>>,
    /// Those of them that change the design.
    edits: HashSet<EntryId>,
    away: VecDeque<Box<Ahead>>,
    recorded: Vec<EntryId>,
    remembered: Option<String>,
    refused: usize,
    painted: usize,
}

impl Chaos {
    fn new(site: Site, seed: u64) -> Self {
        Self {
            dice: Dice(seed),
            session: Session::new(site, opening("aaaaaaaaaaaaaaaa"), None),
            now: desk::start(),
            opened: 0,
            sent: VecDeque::new(),
            edits: HashSet::new(),
            away: VecDeque::new(),
            recorded: Vec::new(),
            remembered: None,
            refused: 0,
            painted: 0,
        }
    }

    fn event(&mut self, event: Event) {
        let before = self.session.site().log().entries().len();
        let cursor = self.session.cursor_line();
        let mode = self.session.mode().name();
        let still = match &event {
            Event::Key(key, _) => stays(mode, *key),
            Event::Replaced(_) | Event::Paste(_) => false,
            // The cursor goes along to what was added, unless a figure is being typed.
            Event::Recorded(ids) if ids.iter().any(|id| self.edits.contains(id)) => {
                mode == ModeName::Reading
            }
            _ => true,
        };
        let told = format!("{event:?}");
        let mut leave = false;
        for effect in update(&mut self.session, event) {
            match effect {
                Effect::Record(entries) => {
                    let edits = entries.iter().filter(|it| matches!(it.what, Do::Edit(_)));
                    self.edits.extend(edits.map(|it| it.id.clone()));
                    self.sent
                        .push_back(entries.into_iter().map(|it| it.id).collect());
                }
                Effect::Remember(text) => self.remembered = Some(text),
                Effect::Leave => leave = true,
                Effect::GoOn | Effect::Wish(_) | Effect::Print(_) => {}
                Effect::Reckon(ahead) => self.away.push_back(ahead),
            }
        }
        let after = self.session.site().log().entries().len();
        assert!(after >= before, "the log lost entries at {told}");
        let plan = self.session.site().plan();
        let gone = cursor
            .as_ref()
            .is_some_and(|line| plan.line(line).is_none());
        if still && !gone {
            assert_eq!(
                self.session.cursor_line(),
                cursor,
                "moved by {told} in {mode:?}"
            );
        }
        if leave {
            self.reopen();
        }
    }

    /// The disk answers one batch: yes, or that it is full.
    fn answer(&mut self) {
        let Some(ids) = self.sent.pop_front() else {
            return;
        };
        if self.dice.below(10) == 0 {
            self.refused += 1;
            self.event(Event::NotRecorded(ids, "no space left on device".into()));
        } else {
            self.recorded.extend(ids.iter().cloned());
            self.event(Event::Recorded(ids));
        }
    }

    /// The program was left: the disk gives its answers, then the same site is opened again.
    fn reopen(&mut self) {
        while let Some(ids) = self.sent.pop_front() {
            self.recorded.extend(ids.iter().cloned());
            let more = update(&mut self.session, Event::Recorded(ids));
            self.sent
                .extend(more.into_iter().filter_map(|effect| match effect {
                    Effect::Record(entries) => Some(entries.into_iter().map(|it| it.id).collect()),
                    _ => None,
                }));
        }
        self.check();
        self.away.clear();
        self.opened += 1;
        // A site that has grown large would make every key dear: every now and then a new one.
        let site = if self.session.site().log().entries().len() > 300 {
            self.recorded.clear();
            site_of(COTTAGE, "Cottage")
        } else {
            self.session.site().clone()
        };
        let writer: String = format!("{:0>16}", self.opened)
            .bytes()
            .map(|digit| char::from(digit - b'0' + b'a'))
            .collect();
        let resume = self.remembered.as_deref().and_then(Resume::from_text);
        self.session = Session::new(site, opening(&writer), resume);
    }

    /// All that was answered as recorded is in the log, the log alone makes the same site again, and the
    /// place to stand survives as text.
    fn check(&self) {
        let log = self.session.site().log();
        for id in &self.recorded {
            assert!(log.get(id).is_some(), "{id} was recorded and is gone");
        }
        let mut again = site_of(COTTAGE, "Cottage");
        for entry in log.entries() {
            again.apply(entry.clone());
        }
        assert_eq!(json_of(&again), json_of(self.session.site()));
        let resume = self.session.resume();
        assert_eq!(Resume::from_text(&resume.to_text()), Some(resume));
    }

    fn step(&mut self, nth: usize) {
        let jump = i64::try_from(self.dice.below(3)).unwrap();
        self.now = self
            .now
            .checked_add(SignedDuration::from_secs(jump))
            .unwrap();
        let key = any_key(&mut self.dice);
        self.event(Event::Key(key, self.now));
        match self.dice.below(400) {
            0..=99 => self.answer(),
            100..=103 => self.event(Event::Idle),
            104..=106 => {
                if let Some(ahead) = self.away.pop_front() {
                    let reckoned = ahead.run();
                    self.event(Event::Reckoned(Box::new(reckoned)));
                }
            }
            107 => {
                let (columns, rows) = (self.dice.below(220), self.dice.below(70));
                self.event(Event::Resize(columns, rows));
            }
            108 => self.event(Event::Say("saved".into())),
            109 => {
                let texts = ["416\n", "H-1 416\nH-2 1.7k", "\u{1b}[31m9\u{202e}", "x", ""];
                let text = self.dice.of(&texts);
                self.event(Event::Paste(text.into()));
            }
            _ => {}
        }
        if nth.is_multiple_of(16) {
            let size = self.dice.of(&[(60, 20), (80, 24), (160, 48)]);
            self.event(Event::Resize(size.0, size.1));
            let buffer = paint(&self.session, Theme::Colour, size);
            self.painted += 1;
            let steers = |c: char| c.is_control() || c == '\u{202e}';
            let cells = buffer.content.iter();
            assert!(!cells.flat_map(|cell| cell.symbol().chars()).any(steers));
            let text = text_of(&buffer);
            for bad in ["NaN", " inf", "-inf"] {
                assert!(!text.contains(bad), "{bad} in\n{text}");
            }
        }
        // Nobody types on for ever: the site would grow and every key grow dear.
        if self.session.site().log().entries().len() > 300 {
            self.event(Event::Key(Key::Esc, self.now));
            self.reopen();
        }
    }
}

fn keys_at_random(count: usize, seed: u64) {
    let mut chaos = Chaos::new(site_of(COTTAGE, "Cottage"), seed);
    chaos.event(Event::Resize(80, 24));
    for nth in 0..count {
        chaos.step(nth);
    }
    chaos.reopen();
    assert!(chaos.opened > 0 && chaos.painted > 0 && chaos.refused > 0);
    std::io::Write::write_all(
        &mut std::io::stderr(),
        format!(
            "{count} keys, {} openings, {} refusals, {} screens\n",
            chaos.opened, chaos.refused, chaos.painted
        )
        .as_bytes(),
    )
    .unwrap();
}

#[test]
fn twenty_thousand_keys_at_random_break_nothing() {
    keys_at_random(20_000, 0x5eed);
}

#[test]
#[ignore = "a million keys: many minutes"]
fn a_million_keys_at_random_break_nothing() {
    // On both processors, each its own half.
    std::thread::scope(|scope| {
        for seed in [0x0dd5, 0xe7e4] {
            scope.spawn(move || keys_at_random(500_000, seed));
        }
    });
}

#[cfg(unix)]
mod terminal {
    use super::Dice;
    use portable_pty::{CommandBuilder, PtySize, native_pty_system};
    use std::io::{Read, Write};
    use std::process::Command;
    use std::sync::{Arc, Mutex};
    use std::time::{Duration, Instant};

    const LINEWRIGHT: &str = env!("CARGO_BIN_EXE_linewright");

    /// Longer than a loaded machine takes for any step.
    const PATIENCE: Duration = Duration::from_secs(60);

    fn place(bytes: &[u8], wanted: &str) -> Option<usize> {
        let mut all = bytes.windows(wanted.len());
        all.rposition(|it| it == wanted.as_bytes())
    }

    /// Bytes in one opening.
    const STINT: usize = 20_000;

    /// Types bytes into the program and leaves it; it read them all, since it leaves by the last.
    fn type_into(folder: &std::path::Path, dice: &mut Dice, most: usize) -> usize {
        let size = PtySize {
            rows: 24,
            cols: 80,
            pixel_width: 0,
            pixel_height: 0,
        };
        let pair = native_pty_system().openpty(size).unwrap();
        let modes = pair.master.get_termios().unwrap().local_flags;
        let mut command = CommandBuilder::new(LINEWRIGHT);
        command.env("TERM", "xterm-256color");
        command.env("LC_ALL", "C.UTF-8");
        command.env("LINEWRIGHT_STATE_DIR", folder.join("state"));
        command.env("LINEWRIGHT_DATA_DIR", folder.join("data"));
        command.cwd(folder);
        command.arg("house.ron");
        let mut child = pair.slave.spawn_command(command).unwrap();
        drop(pair.slave);
        let seen = Arc::new(Mutex::new(Vec::new()));
        let (into, mut from) = (Arc::clone(&seen), pair.master.try_clone_reader().unwrap());
        std::thread::spawn(move || {
            let mut buffer = [0; 8192];
            while let Ok(count @ 1..) = from.read(&mut buffer) {
                let mut seen = into.lock().unwrap();
                seen.extend_from_slice(&buffer[..count]);
                // Only the end is looked at.
                let far = seen.len().saturating_sub(1 << 20);
                seen.drain(..far);
            }
        });
        let until = Instant::now() + PATIENCE;
        while place(&seen.lock().unwrap(), "\x1b[?1049h").is_none() {
            assert!(Instant::now() < until, "it did not begin");
            std::thread::sleep(Duration::from_millis(5));
        }
        let mut keys = pair.master.take_writer().unwrap();
        let mut typed = 0;
        let id = child.process_id().unwrap().to_string();
        while typed < most {
            let chunk: Vec<u8> = (0..256.min(most - typed))
                .map(|_| u8::try_from(dice.below(256)).unwrap())
                // Ctrl-Z stops the program, q and Ctrl-C leave it, as they should: what came after
                // them would not be read, so they come last.
                .map(|byte| match byte {
                    0x1a | 0x03 | b'q' => b'1',
                    byte => byte,
                })
                .collect();
            assert!(
                child.try_wait().unwrap().is_none(),
                "it left after {typed} bytes"
            );
            keys.write_all(&chunk).unwrap();
            typed += chunk.len();
        }
        // Out of whatever it is in, then leave; asked again, since a byte before may want more.
        let until = Instant::now() + PATIENCE;
        let status = loop {
            if let Some(status) = child.try_wait().unwrap() {
                break status;
            }
            assert!(Instant::now() < until, "it does not leave");
            let _ = keys.write_all(b"\x1b");
            std::thread::sleep(Duration::from_millis(100));
            let _ = keys.write_all(b"q");
            std::thread::sleep(Duration::from_millis(100));
            let _ = Command::new("kill").args(["-s", "CONT", &id]).status();
        };
        assert!(
            status.success(),
            "{status:?} {}",
            String::from_utf8_lossy(&seen.lock().unwrap())
        );
        let until = Instant::now() + PATIENCE;
        loop {
            let bytes = seen.lock().unwrap().clone();
            let back = [
                ("\x1b[?1049h", "\x1b[?1049l"),
                ("\x1b[?2004h", "\x1b[?2004l"),
            ]
            .iter()
            .all(|(taken, back)| place(&bytes, back) > place(&bytes, taken));
            if back {
                break;
            }
            assert!(Instant::now() < until, "the terminal is not given back");
            std::thread::sleep(Duration::from_millis(5));
        }
        let now = pair.master.get_termios().unwrap().local_flags;
        assert_eq!(now, modes, "the terminal's modes");
        assert!(!String::from_utf8_lossy(&seen.lock().unwrap()).contains("panicked"));
        typed
    }

    fn bytes_at_random(count: usize, seed: u64) {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("s.csv"), super::COTTAGE).unwrap();
        let import = || {
            let _ = std::fs::remove_file(folder.path().join("house.ron"));
            for entry in std::fs::read_dir(folder.path()).unwrap() {
                let path = entry.unwrap().path();
                if path.to_string_lossy().contains("house.ron.journal") {
                    std::fs::remove_file(path).unwrap();
                }
            }
            let done = Command::new(LINEWRIGHT)
                .args(["import", "s.csv", "--to", "house.ron"])
                .current_dir(folder.path())
                .output()
                .unwrap();
            assert!(done.status.success(), "{done:?}");
        };
        let mut dice = Dice(seed);
        let (mut typed, mut openings) = (0, 0);
        while typed < count {
            if openings % 4 == 0 {
                import();
            }
            typed += type_into(folder.path(), &mut dice, STINT.min(count - typed));
            openings += 1;
        }
        let said = format!("{typed} bytes, {openings} openings\n");
        std::io::stderr().write_all(said.as_bytes()).unwrap();
    }

    #[test]
    fn ten_thousand_bytes_at_random_end_with_the_terminal_given_back() {
        bytes_at_random(10_000, 0xb17e);
    }

    #[test]
    #[ignore = "a million bytes into the real program, fifty openings: many minutes"]
    fn a_million_bytes_at_random_end_with_the_terminal_given_back() {
        bytes_at_random(1_000_000, 0xb17e5);
    }
}

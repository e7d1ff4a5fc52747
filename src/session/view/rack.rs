//! The rack list as it is drawn: items at the left, what stands behind one at the right.

use super::super::Session;
use super::super::mode::DraftKind;
use super::super::tick_row::{TickRow, is_of_building};
use super::super::tree::output_title;
use super::TreeLine;
use super::section::{Parts, Section};
use super::text::{self, Line, Tone, few};
use crate::quantity::{Volt, show};
use crate::review::{ListStands, is_check, says_all_heard};
use crate::site::{CORES_OFF, CORES_ON, Do, Entry, LEADS_ZEROED, ListOf, ListWhen, TickIs};

/// So many flagged lines are named in the panel.
const MOST_FLAGGED: usize = 4;

/// Cells of a time of day, and of one with its day.
const CLOCK: usize = 5;
const DAY_AND_CLOCK: usize = 11;
/// So wide, a line's longest row stands whole beside a day and a time.
const ROOM_FOR_A_DAY: usize = 60;

/// Above this a line is no extra-low voltage: 50 V a.c., IEC 61140.
const EXTRA_LOW: f64 = 50.0;

impl Session {
    /// The visible rows of the list, a title before each part of it.
    pub(super) fn rack_lines(&self, width: usize, rows: usize) -> Vec<TreeLine> {
        let list = self.tick_rows();
        let at = self.tick_at(&list);
        let mut out = Vec::new();
        let mut cursor_at = 0;
        let mut part = None;
        // What was ticked on an earlier day says which where there is room, else its day alone.
        let dated = |row: &TickRow| match &row.stands {
            ListStands::Done(entry) => self.day_or_clock(entry.at).len() > CLOCK,
            _ => false,
        };
        let cells = match width >= ROOM_FOR_A_DAY && list.iter().any(dated) {
            true => DAY_AND_CLOCK,
            false => CLOCK,
        };
        for (place, row) in list.iter().enumerate() {
            if part != Some(row.item.when) {
                part = Some(row.item.when);
                let title = text::cut(&self.part_title(row.item.when), width);
                out.push(Line::tone(title, Tone::Title).into());
            }
            if place == at {
                cursor_at = out.len();
            }
            out.push(TreeLine {
                line: self.tick_line(row, (width, cells), place == at),
                cursor: place == at,
            });
        }
        if list.is_empty() {
            out.push(Line::plain("   no amplifier here yet").into());
        }
        let top = text::first_shown(cursor_at, rows, out.len());
        out.into_iter().skip(top).take(rows).collect()
    }

    fn part_title(&self, when: ListWhen) -> String {
        let plan = self.site.plan();
        let amplifier = self
            .amplifier_under()
            .map_or("", |at| plan.amplifiers[at].label.as_str());
        let words = match when {
            ListWhen::Before => "before a line is touched",
            ListWhen::Insulation => "insulation, before the impedance",
            ListWhen::Back => "handing back",
        };
        format!("   {amplifier}  {words}")
    }

    /// A row of the list, so wide, with so many cells for when it was ticked.
    fn tick_line(&self, row: &TickRow, (width, cells): (usize, usize), cursor: bool) -> Line {
        let when =
            |entry: &Entry| -> String { self.day_or_clock(entry.at).chars().take(cells).collect() };
        let room = width.saturating_sub(cells + 4);
        let mark = if cursor { '>' } else { ' ' };
        let sent = self.is_tick_sent(row);
        let (sign, time, tone) = match &row.stands {
            _ if sent => ('^', "sent".to_owned(), Tone::Draft),
            ListStands::Waits => ('.', String::new(), Tone::Plain),
            ListStands::Done(_) if row.read_since.is_some() => {
                ('~', "again".to_owned(), Tone::Draft)
            }
            ListStands::Done(entry) if self.contradicts(row).is_some() => {
                ('?', when(entry), Tone::Alarm)
            }
            ListStands::Done(_) if row.late.is_some() => ('~', "late".to_owned(), Tone::Draft),
            ListStands::Done(entry) => {
                let sign = match &entry.what {
                    Do::Tick(tick) if tick.is != TickIs::Done => '_',
                    _ => '=',
                };
                (sign, when(entry), Tone::Plain)
            }
            ListStands::Nothing(_) => (' ', "-".to_owned(), Tone::Plain),
        };
        let lines = || show::count(row.lines.len(), "line");
        let words = match (&row.id.line, row.item.of) {
            (Some(line), _) => format!("  {:7} {}", self.label_of(line), row.item.words),
            (None, _) if row.id.output.is_some() => {
                let output = row
                    .lines
                    .first()
                    .map(|at| self.site.plan().lines[*at].output);
                let title = output.map(|at| output_title(self.site.plan(), at));
                let title = title.unwrap_or_default();
                let short = format!("{title}: {}", row.item.words);
                // How many it stands for, where that leaves room for what is done to them.
                let long = match row.stands {
                    ListStands::Waits => format!("{}, {short}", lines()),
                    _ => short.clone(),
                };
                match text::width(&shorter(&long, room)) <= room {
                    true => long,
                    false => short,
                }
            }
            (None, ListOf::Line | ListOf::InsulationLine) => match row.stands {
                ListStands::Waits => format!("{}: {}", lines(), row.item.words),
                _ => format!("all: {}", row.item.words),
            },
            _ => row.item.words.to_owned(),
        };
        Line::plain(mark)
            .and(sign, tone)
            .and(format!(" {} ", text::left(&time, cells)), Tone::Plain)
            .and(text::left(&shorter(&words, room), room), Tone::Plain)
    }

    /// An entry of this row is on its way to the disk.
    fn is_tick_sent(&self, row: &TickRow) -> bool {
        self.pending
            .iter()
            .any(|pending| match &pending.entry.what {
                Do::Tick(tick) => {
                    tick.item == row.id.item
                        && row.id.line.as_ref().is_none_or(|line| {
                            tick.of.contains(&crate::site::Ref::Line(line.clone()))
                        })
                }
                _ => false,
            })
    }

    /// What stands behind the row under the cursor: in full, its caution, who ticked it.
    pub(super) fn rack_parts(&self, width: usize) -> Parts {
        let list = self.tick_rows();
        let mut main = Section::default();
        if let Some(row) = list.get(self.tick_at(&list)) {
            let title = match &row.id.line {
                Some(line) => format!("{}: {}", self.label_of(line), row.item.words),
                None => row.item.words.to_owned(),
            };
            for (at, words) in text::wrap(&title, width.saturating_sub(10), width.saturating_sub(4))
                .into_iter()
                .enumerate()
            {
                let lead = if at == 0 { " " } else { "   " };
                main.push(Line::tone(format!("{lead}{words}"), Tone::Title));
            }
            main.words(" ", row.item.full, width, Tone::Plain);
            if row.item.item == LEADS_ZEROED {
                let meter = self.instrument_words(DraftKind::Check);
                let key = match meter.trim_start_matches(", ") {
                    "" => "A digit here starts it, such as 398r400.".to_owned(),
                    name => format!(
                        "A digit here starts it with {name}, such as 398r400; t: the next meter."
                    ),
                };
                main.words(" ", &key, width, Tone::Plain);
                if matches!(&row.stands, ListStands::Done(entry) if is_check(entry)) {
                    let zeroed = "Nobody ticked that its leads were zeroed: Space does.";
                    main.words(" ", zeroed, width, Tone::Plain);
                }
            }
            if is_of_building(row.item) && row.stands.waits() {
                let key = "A ticks it for every amplifier at once.";
                main.words(" ", key, width, Tone::Plain);
            }
            let stands = self.stands_words(row);
            main.words(" ", &stands, width, Tone::Plain);
            if let Some(read) = row.read_since {
                let at = self.day_or_clock(self.site.log().measured(read).at);
                // That it was read is said before it.
                let title = self.title(read).replacen(" reads ", " ", 1);
                let words: Vec<&str> = title.split_whitespace().collect();
                let words = format!("~ read since, {at}: {}. Again?", words.join(" "));
                main.words(" ", &words, width, Tone::Draft);
            }
            for words in self.wrong_with(row) {
                main.words(" ! ", &words, width, Tone::Alarm);
            }
            let flagged = self.flagged_under(row);
            if !flagged.is_empty() {
                let words = format!(
                    "! flagged: {}. A tick says nothing of a load.",
                    few(&flagged, MOST_FLAGGED)
                );
                main.words(" ", &words, width, Tone::Alarm);
            }
        }
        Parts {
            first: vec![main, self.rack_counts(&list, width)],
            beside: vec![self.rack_cautions(width), self.today(width)],
            ..Parts::default()
        }
    }

    fn stands_words(&self, row: &TickRow) -> String {
        match &row.stands {
            ListStands::Waits => match row.lines.len() {
                0 | 1 => "Not ticked yet.".to_owned(),
                many => format!("Not ticked yet. Space ticks {many} lines at once."),
            },
            ListStands::Nothing(why) => format!("Nothing to tick: {why}."),
            ListStands::Done(entry) => {
                let (at, by) = (self.day_or_clock(entry.at), &entry.by);
                let late = row.late.map_or_else(String::new, |it| {
                    format!(", {}. Done before them?", self.late_words(it))
                });
                let late = if late.is_empty() {
                    ".".to_owned()
                } else {
                    late
                };
                match &entry.what {
                    Do::Tick(tick) => match &tick.is {
                        TickIs::Done if row.lines.len() > 1 => {
                            format!("Last ticked {at} by {by}{late}")
                        }
                        TickIs::Done => format!("Ticked {at} by {by}{late}"),
                        TickIs::NotHere(why) if says_all_heard(&tick.item) => {
                            format!("Not all heard, said {at} by {by}: {why}")
                        }
                        TickIs::NotHere(why) => format!("Not here, said {at} by {by}: {why}"),
                    },
                    _ => format!("{at} by {by}: {}{late}", self.title(entry)),
                }
            }
        }
    }

    fn rack_counts(&self, list: &[TickRow], width: usize) -> Section {
        let mut out = Section::default();
        let on = || {
            list.iter()
                .filter(|row| row.id.item == CORES_ON && row.id.line.is_some())
        };
        let waiting = on().filter(|row| row.stands.waits()).count();
        let again = on()
            .filter(|row| !row.stands.waits() && row.is_due())
            .count();
        let open = list
            .iter()
            .filter(|row| row.id.line.is_none() && row.id.output.is_none() && row.is_due())
            .count();
        let off = list
            .iter()
            .filter(|row| row.id.item == CORES_OFF && row.id.line.is_some())
            .filter(|row| row.lines.iter().any(|at| self.analyst.line(*at).off))
            .count();
        out.words(
            " ",
            &format!(
                "{off} line{} OFF, {}",
                if off == 1 { "" } else { "s" },
                match (waiting, again) {
                    (waiting, 0) => format!("{waiting} to go back on"),
                    (0, again) => format!("{again} to tick again"),
                    _ => format!("{waiting} to go back on, {again} to tick again"),
                }
            ),
            width,
            if off > 0 { Tone::Title } else { Tone::Plain },
        );
        out.words(
            " ",
            &match open {
                1 => "1 tick of the amplifier waits".to_owned(),
                open => format!("{open} ticks of the amplifier wait"),
            },
            width,
            Tone::Plain,
        );
        out
    }

    fn rack_cautions(&self, width: usize) -> Section {
        let plan = self.site.plan();
        let volts = self.amplifier_under().and_then(|at| {
            let outputs = &plan.outputs[plan.amplifiers[at].outputs.clone()];
            outputs
                .iter()
                .map(|output| output.volts.get())
                .max_by(f64::total_cmp)
        });
        let mut out = Section::titled("where the act happens");
        if let Some(volts) = volts.filter(|volts| *volts > EXTRA_LOW) {
            let peak = show::volt(Volt((volts * std::f64::consts::SQRT_2).round()));
            let line = show::volt(Volt(volts));
            out.words(
                " - ",
                &format!(
                    "{line} lines (rms; {peak} at the peak) are above extra-low voltage, which ends at 50 V rms"
                ),
                width,
                Tone::Plain,
            );
        }
        for words in [
            "an amplifier that is off can come back by itself",
            "a meter on a driven line dies",
            "a tick is no permission: local codes and licensed practice decide",
        ] {
            out.words(" - ", words, width, Tone::Plain);
        }
        out
    }

    /// The list of the amplifier under the cursor in short, for the survey's panel.
    pub(super) fn rack_section(&self, width: usize) -> Section {
        let list = self.tick_rows();
        let Some(amplifier) = self.amplifier_under() else {
            return Section::default();
        };
        let label = &self.site.plan().amplifiers[amplifier].label;
        let title = format!(" rack list, {label}");
        let mut out = Section(vec![Line::tone(
            Line::ends(&title, "Space goes there ", width, Tone::Title).text(),
            Tone::Title,
        )]);
        let own = list
            .iter()
            .filter(|row| row.id.line.is_none() && row.id.output.is_none());
        let (waits, rest): (Vec<_>, Vec<_>) = own.partition(|row| row.stands.waits());
        // Of what waits for some lines, those that were ticked; what is nothing here is neither.
        let done = |row: &&TickRow| matches!(row.stands, ListStands::Done(_));
        let whole = rest.into_iter().filter(done);
        let waits_of_some = |row: &&TickRow| waits.iter().any(|it| it.id.item == row.id.item);
        let lines = list.iter().filter(|row| row.id.line.is_some());
        let lines = lines.filter(done).filter(waits_of_some);
        let mut words = format!("   {} ticked, {} wait", whole.count(), waits.len());
        match lines.count() {
            0 => {}
            1 => words += "; of lines 1 ticked",
            lines => words += &format!("; of lines {lines} ticked"),
        }
        out.push(Line::plain(text::cut(&words, width)));
        for row in waits.iter().take(3) {
            out.push(self.tick_line(row, (width, CLOCK), false));
        }
        out
    }
}

/// What does not fit loses what stands behind its last comma: the panel says all of it.
fn shorter(words: &str, room: usize) -> String {
    match words.rsplit_once(", ") {
        Some((first, last)) if text::width(words) > room && !last.contains(':') => first.to_owned(),
        _ => words.to_owned(),
    }
}

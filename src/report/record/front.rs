//! Cover and summary in plain words.

use super::super::document::{Block, Document};
use super::super::meters::Given;
use super::super::record_rows::InstrumentRow;
use super::super::rows::{Assessment, LineRow, OutputRow};
use super::cells::{listed, minute, plain_table, watts};
use super::left::{self, of_amplifiers};
use super::{left_out, still};
use crate::quantity::Fraction;
use crate::quantity::show::{self, count};
use crate::site::Reads;

/// What is said at the front of every record.
const STATEMENT: &str = "This record states what was measured, heard and decided, by whom and with what. It is no \
     statement that anything is safe or meets a law or a standard; local codes and licensed practice \
     decide. Loudspeaker lines carry up to 200 V: amplifier off, locked and proved dead before a \
     meter goes on.";

/// The accuracy of an instrument, and whether somebody gave it.
fn accuracy(it: &InstrumentRow) -> String {
    let share = show::percent(Fraction(it.accuracy));
    match it.given {
        Given::Yes => format!("accuracy given as {share}"),
        Given::No => format!("accuracy assumed: {share}"),
        Given::NotKnown => format!("accuracy {share}, given or assumed"),
    }
}

/// What stands before the first chapter: the visit, who, with what, who signed, the contents.
pub(super) fn cover(data: &Assessment, out: &mut Document) {
    let span = data.span.as_ref().map_or_else(
        || "nothing was done".to_owned(),
        |[first, last]| {
            let (first, last) = (minute(first), minute(last));
            match last.strip_prefix(&first[..first.len().min(11)]) {
                Some(time) => format!("{first} to {time} UTC"),
                None => format!("{first} to {last} UTC"),
            }
        },
    );
    let loudspeakers: usize = data.lines.iter().map(|row| row.heard[1]).sum();
    let mut rows = vec![
        vec!["visit".to_owned(), format!("{}, {span}", data.visit)],
        vec![
            "stands".to_owned(),
            format!(
                "{}, {}, {}",
                count(data.outputs.len(), "amplifier output"),
                count(data.lines.len(), "line"),
                count(loudspeakers, "loudspeaker")
            ),
        ],
    ];
    if !data.persons.is_empty() {
        rows.push(vec!["by".to_owned(), data.persons.join(", ")]);
    }
    let mut instruments: Vec<&InstrumentRow> = data.instruments.iter().collect();
    instruments.sort_by_key(|it| match it.kind {
        Reads::Impedance => 0,
        Reads::Dc => 1,
        Reads::Insulation => 2,
    });
    for it in instruments {
        let serial = it.serial.as_ref().map_or_else(
            || "serial number not noted".to_owned(),
            |serial| format!("serial number {serial}"),
        );
        let calibrated = match (&it.flagged, &it.due) {
            (Some(flagged), _) => flagged.clone(),
            (None, Some(due)) => format!("calibrated until {due}"),
            (None, None) => String::new(),
        };
        let reads = it.kind.words();
        let called = match it.instrument == reads {
            true => String::new(),
            false => format!(": {}", it.instrument),
        };
        rows.push(vec![
            "measured with".to_owned(),
            format!("{reads}{called}, {}, {serial}, {calibrated}", accuracy(it)),
        ]);
    }
    if let Some(words) = data.unsigned() {
        rows.push(vec!["signed".to_owned(), words]);
    }
    for seal in &data.seals {
        let state = if seal.intact {
            "intact"
        } else if seal.taken_back {
            "as sealed: changed and taken back after it, see the last chapter"
        } else {
            "BROKEN: something was changed after it, see the last chapter"
        };
        rows.push(vec![
            "signed".to_owned(),
            format!(
                "{}, {}, {} UTC, for {}{}; seal {state}",
                seal.name,
                seal.role,
                minute(&seal.at),
                seal.scope,
                seal.on_visit()
            ),
        ]);
    }
    out.table(plain_table(&["", ""], rows));
    out.text(STATEMENT);
    out.blocks.push(Block::Contents);
}

fn labels<'a>(rows: impl Iterator<Item = &'a LineRow>) -> Vec<&'a str> {
    rows.map(|row| row.line.as_str()).collect()
}

/// An amplifier of so many lines of which none was read is told in a word.
const LEAST_TOLD_AS_ALL: usize = 3;

/// The lines that were not read; all of an amplifier in a word.
pub(super) fn not_read(data: &Assessment) -> String {
    let mut single: Vec<&str> = Vec::new();
    let mut whole: Vec<String> = Vec::new();
    for (amplifier, lines) in of_amplifiers(data) {
        let unread = lines.iter().filter(|row| row.is_unread());
        let unread = labels(unread.copied());
        if unread.len() == lines.len() && unread.len() >= LEAST_TOLD_AS_ALL {
            whole.push(format!("all {} of {amplifier}", unread.len()));
        } else {
            single.extend(unread);
        }
    }
    let single = (!single.is_empty()).then(|| listed(&single));
    let parts: Vec<String> = single.into_iter().chain(whole).collect();
    parts.join(", ")
}

/// `; words: labels`, nothing where there are none.
fn told(words: &str, of: &[&str]) -> String {
    if of.is_empty() {
        String::new()
    } else {
        format!("; {words}: {}", listed(of))
    }
}

/// Which amplifiers carry voice alarm, and which of their lines warn nobody or may not.
fn voice_alarm(data: &Assessment) -> String {
    let mut amplifiers: Vec<&str> = Vec::new();
    for row in data.outputs.iter().filter(|row| row.voice_alarm) {
        if amplifiers.last() != Some(&row.amplifier.as_str()) {
            amplifiers.push(&row.amplifier);
        }
    }
    if amplifiers.is_empty() {
        return "Not recorded whether any amplifier carries voice alarm. This record releases none: local codes and \
                those responsible decide."
            .to_owned();
    }
    let lines = || {
        let lines = data.lines.iter();
        lines.filter(|row| amplifiers.contains(&row.amplifier.as_str()))
    };
    let off = labels(lines().filter(|row| row.off));
    let unread = labels(lines().filter(|row| row.measured.is_none()));
    let left = labels(lines().filter(|row| still::is_left(data, &row.line)));
    // That somebody accepted it makes it no better.
    let low =
        labels(lines().filter(|row| row.insulation.as_ref().is_some_and(|it| it.low().is_some())));
    format!(
        "Voice alarm is carried by {}{}{}{}{}.",
        listed(&amplifiers),
        told("flagged, or on the snag list", &left),
        told("insulation too low", &low),
        told("of its lines OFF", &off),
        told("not read", &unread)
    )
}

/// Behind a line that takes more than drawn: that its reading is in doubt, where nothing says what it would be.
pub(super) fn in_doubt(row: &OutputRow, line: &LineRow) -> &'static str {
    match (line.first_site_wide(), &row.if_slips) {
        (Some(_), None) => ", as read, and that is suspected",
        _ => "",
    }
}

/// `; if PH-5 is 1350 ohm as suspected (98 %): 155.2 W`.
pub(super) fn if_slips(row: &OutputRow) -> String {
    let words = row.if_slips.as_ref();
    words.map_or_else(String::new, |words| format!("; {words}"))
}

/// Outputs that carry more than they should now, beside a line that must not be connected: what of it is
/// more than drawn, and whether the reading that says so is in doubt.
fn past_now(data: &Assessment) -> Vec<String> {
    let past = data.outputs.iter().filter(|row| left::is_past_now(row));
    let words = past.map(|row| {
        let grown = row.grown.iter().filter_map(|it| {
            let line = data.lines.iter().find(|line| line.line == it.line)?;
            let doubt = in_doubt(row, line);
            (!line.off).then(|| {
                format!(
                    "; {} reads {} more than drawn{doubt}",
                    line.line,
                    watts(Some(it.by_w))
                )
            })
        });
        format!(
            "NOW {}: {}, {} of at most {}{}{}.",
            left::past_words(row),
            row.name(),
            watts(row.on_now_w),
            watts(row.limit_w),
            grown.collect::<String>(),
            if_slips(row)
        )
    });
    words.collect()
}

/// The chapter for whoever reads no further.
pub(super) fn summary(data: &Assessment, out: &mut Document) {
    out.chapter("Summary");
    let with = |word: &str| {
        let lines = data.lines.iter();
        labels(lines.filter(|row| row.counted_as() == Some(word)))
    };
    let mut points = vec![format!(
        "{} of {} read; {} in tolerance.",
        data.lines_read(),
        count(data.lines.len(), "line"),
        with("in-tolerance").len()
    )];
    for (word, text) in [
        ("out-of-tolerance", "Out of tolerance"),
        ("too-close", "Too close to call"),
    ] {
        let lines = with(word);
        if !lines.is_empty() {
            points.push(format!("{text}, {}: {}.", lines.len(), listed(&lines)));
        }
    }
    let again = labels(data.lines.iter().filter(|row| row.reread));
    if !again.is_empty() {
        points.push(format!(
            "To be set as drawn and read again, {}: {}.",
            again.len(),
            listed(&again)
        ));
    }
    let doubted = labels(data.lines.iter().filter(|row| row.doubted));
    if !doubted.is_empty() {
        points.push(format!(
            "Two readings do not agree, to be read again, {}: {}.",
            doubted.len(),
            listed(&doubted)
        ));
    }
    let unread = data.lines.iter().filter(|row| row.is_unread()).count();
    if unread > 0 {
        points.push(format!("Not read, {unread}: {}.", not_read(data)));
    }
    points.extend(still::still_open(data));
    points.extend(still::changed(data));
    points.extend(left_out::not_ticked(data));
    let stopped: Vec<String> = data
        .outputs
        .iter()
        .filter(|row| !row.stop.is_empty())
        .map(|row| format!("{} to {}", row.stop.join(", "), row.name()))
        .collect();
    if !stopped.is_empty() {
        points.push(format!(
            "MUST NOT BE CONNECTED, reads as good as short: {}.",
            stopped.join("; ")
        ));
    }
    points.extend(past_now(data));
    for (verdict, text) in [
        ("overloaded", "Past the rating with every line on"),
        ("short-of-headroom", "Past the headroom with every line on"),
    ] {
        let past = data.outputs.iter();
        let past = past.filter(|row| row.verdict == verdict && row.stop.is_empty());
        // One that rests on a reading which is suspected stands by itself: that is a sentence of its own.
        let (rests, stands): (Vec<&OutputRow>, Vec<&OutputRow>) =
            past.partition(|row| row.if_slips.is_some());
        let names: Vec<String> = stands.iter().map(|row| row.name()).collect();
        if !names.is_empty() {
            points.push(format!("{text}: {}.", names.join(", ")));
        }
        let rests = rests.into_iter();
        points.extend(rests.map(|row| format!("{text}: {}{}.", row.name(), if_slips(row))));
    }
    let off = labels(data.lines.iter().filter(|row| row.off));
    points.push(if off.is_empty() {
        left::none_off(data)
    } else {
        format!("OFF the amplifier, {}: {}.", off.len(), listed(&off))
    });
    points.extend(left::moved(data));
    let live = labels(data.lines.iter().filter(|row| left::is_live(row)));
    if !live.is_empty() {
        points.push(format!(
            "Out of tolerance, and BACK ON the amplifier, {}: {}.",
            live.len(),
            listed(&live)
        ));
    }
    points.push(voice_alarm(data));
    let asked: usize = data.lines.iter().map(|row| row.asked).sum();
    let heard: usize = data.lines.iter().map(|row| row.heard[0]).sum();
    let all: usize = data.lines.iter().map(|row| row.heard[1]).sum();
    points.push(format!(
        "Listened to {asked} of {all} loudspeakers; sound came from {heard}."
    ));
    points.extend(still::not_heard(data));
    points.extend(still::insulation_low(data));
    let before = labels(
        data.lines
            .iter()
            .filter(|row| row.insulation_before.is_some()),
    );
    let insulated = data.lines.iter().filter(|row| row.insulation.is_some());
    points.push(format!(
        "Insulation was read on {} of {}{}.",
        insulated.count() + before.len(),
        count(data.lines.len(), "line"),
        told("before a repair, and wants reading again", &before)
    ));
    let reversed: Vec<String> = data
        .lines
        .iter()
        .flat_map(|row| {
            row.nodes
                .iter()
                .filter(|node| node.reversed)
                .map(|node| format!("{} {}", row.line, node.at))
        })
        .collect();
    points.push(if reversed.is_empty() {
        "Polarity of loudspeakers was not checked; nobody called a loudspeaker reversed.".to_owned()
    } else {
        format!("Polarity called reversed at {}.", reversed.join(", "))
    });
    points.push(still::snags(data));
    let open = data.open_things();
    let left = left_out::left_out(data);
    points.push(match open {
        0 => format!("Nothing stands in the way of signing{left}."),
        1 => format!("1 thing stands in the way of signing{left}."),
        _ => format!("{open} things stand in the way of signing{left}."),
    });
    points.extend(left_out::clash(data));
    points.extend(left_out::repaired(data));
    out.points(points);
}

//! What is left to do of a line, in words.
//!
//! Never here: what is worse than what, what is likelier than what.

use super::rows::{LineRow, NextRow, SiteHintRow};
use crate::diagnosis::{FaultKind, NextKind, SiteFault};
use crate::review::{Item, Matter, WAY_TO_EARTH, Why};
use crate::site::{Decision, LineId, Ref};
use std::collections::HashMap;

/// The items of the review that are of lines, by line.
pub(super) fn by_line(review: &[Item]) -> HashMap<LineId, Vec<&Item>> {
    let mut out: HashMap<LineId, Vec<&Item>> = HashMap::new();
    for item in review {
        if let Ref::Line(id) = &item.of {
            out.entry(id.clone()).or_default().push(item);
        }
    }
    out
}

/// What is left to do of a line, the first thing first; one entry a thing to do.
pub(super) fn to_do(row: &LineRow, own: Option<&Vec<&Item>>, hints: &[SiteHintRow]) -> Vec<String> {
    let shared = hints.iter().any(|hint| hint.lines.is_empty());
    let own = own.map_or(&[][..], Vec::as_slice);
    let mut out = Vec::new();
    let flagged = own.iter().find_map(|item| match item.matter {
        Matter::Flagged(why) => Some((why, item.open)),
        _ => None,
    });
    let on_snag_list = own.iter().any(|item| {
        let said = item.word.as_ref().map(|word| &word.is);
        !item.open && !item.matter.is_not_done() && matches!(said, Some(Decision::Snag { .. }))
    });
    match flagged {
        // On the snag list stands who sees to it and when; what is to be done stays the same.
        Some((why, open)) if open || on_snag_list => out.extend(flag(row, why, shared)),
        Some((Why::Stop, _)) => out.push(KEEP_OFF.to_owned()),
        // Accepted, a load may stay as it is; a label that is wrong stays wrong.
        Some(_) => {
            let wide = row.first_site_wide();
            out.extend(wide.map(|wide| wide.test.clone()));
        }
        None => {}
    }
    // A repair begins a state of its own, in which nobody has listened yet.
    let mends = flagged.is_some_and(|(why, open)| (open || on_snag_list) && asks_to_mend(row, why));
    // What was left with a word still waits, and says so.
    for item in own {
        let left = item.word.as_ref().filter(|word| {
            !item.open && !matches!(word.is, Decision::Snag { .. } | Decision::Repaired { .. })
        });
        let left = left.map_or_else(String::new, |word| format!(" ({})", word.words()));
        let wanted = match item.matter {
            Matter::LeftOpen if item.open => {
                Some(format!("say what became of what was {}", item.words))
            }
            Matter::SplitOpen => Some(format!("close it: it was {}", item.words)),
            Matter::ToMove => Some(format!("move its cores: {}", item.words)),
            Matter::Redrawn => {
                Some("read it again: it was read before its drawing was changed".to_owned())
            }
            Matter::Unread => Some("read it".to_owned()),
            Matter::NotListened => Some(match (row.heard[1], row.asked) {
                (1, _) if mends => "after mending: listen at its loudspeaker".to_owned(),
                (all, _) if mends => format!("after mending: listen at all {all} loudspeakers"),
                (1, 0) => "listen at its loudspeaker".to_owned(),
                (all, 0) => format!("listen at all {all} loudspeakers"),
                (all, asked) => {
                    format!("listen at the other {} of {all}", all.saturating_sub(asked))
                }
            }),
            Matter::NoInsulation if row.insulation_before.is_none() => {
                Some("read its insulation".to_owned())
            }
            Matter::Off if !stops(flagged) => Some("put it back on the amplifier".to_owned()),
            _ => None,
        };
        out.extend(wanted.map(|wanted| format!("{wanted}{left}")));
    }
    if row.insulation_before.is_some() {
        out.push("read its insulation again: it was read before the repair".to_owned());
    }
    if let Some(word) = own.iter().filter(|it| !it.open).find_map(|it| {
        let word = it.word.as_ref()?;
        matches!(word.is, Decision::Snag { .. }).then(|| word.words())
    }) {
        out.push(word);
    }
    out
}

const fn stops(flagged: Option<(Why, bool)>) -> bool {
    matches!(flagged, Some((Why::Stop, _)))
}

/// Whether a flag asks for something on the line itself to be mended, not for a label or a range to be looked at.
fn asks_to_mend(row: &LineRow, why: Why) -> bool {
    matches!(why, Why::Stop | Why::Open | Why::Out | Why::FitsNothing)
        && row.first_site_wide().is_none()
}

/// Said of a line that has two designs.
pub(super) const CHOOSE: &str = "choose which of its designs stands";

/// Said of a line whose readings do not agree.
const DOUBTED: &str = "read it again: two readings do not agree, and the fault may come and go";

/// Said of a line that was repaired and not read since.
const READ_FIRST: &str = "read it again before it is connected: only a word says that it is mended";

/// Said of a line that reads short, whatever word is on it.
const KEEP_OFF: &str = "keep it off the amplifier until it is mended and read again";

/// Listening elsewhere that tells nearly as much counts as much: whoever goes there another day starts
/// from no loudspeaker more than from another.
const AS_GOOD: f64 = 0.95;

/// Behind the place to listen at: a likelier one, where listening there tells as much; none where there
/// is none.
fn as_good(row: &LineRow, first: &NextRow) -> Option<String> {
    let other = likelier(row, first);
    let at = other
        .at
        .as_ref()
        .filter(|at| first.at.as_ref() != Some(*at))?;
    Some(format!(", or at {at}, which tells as much"))
}

/// The first of the next tests; of loudspeakers that are as good to listen at, the likeliest.
fn likelier<'a>(row: &'a LineRow, first: &'a NextRow) -> &'a NextRow {
    let percent = |next: &NextRow| {
        let at = next.at.as_deref().unwrap_or_default();
        (100.0 * row.suspect_at(at)).round()
    };
    let gain = |next: &NextRow| next.gain_bits.unwrap_or(0.0);
    let as_good =
        |next: &&NextRow| next.kind == NextKind::Listen && gain(next) >= AS_GOOD * gain(first);
    let mut out = first;
    if first.kind == NextKind::Listen {
        for next in row.next.iter().filter(as_good) {
            if percent(next) > percent(out) {
                out = next;
            }
        }
    }
    out
}

/// Behind the place to listen at: that others are as likely, so that nobody stops at the first.
fn alike(row: &LineRow, next: &NextRow) -> String {
    let percent = |at: &str| (100.0 * row.suspect_at(at)).round();
    let wanted = percent(next.at.as_deref().unwrap_or_default());
    let nodes = row.nodes.iter().filter(|node| node.heard.is_none());
    let same = nodes.filter(|node| percent(&node.at) == wanted).count();
    match next.kind == NextKind::Listen && wanted > 0.0 && same > 1 {
        true => format!(", then at the {} others as likely", same - 1),
        false => String::new(),
    }
}

/// What a flag asks for; `shared` where something is told of a meter or a type of loudspeaker.
fn flag(row: &LineRow, why: Why, shared: bool) -> Vec<String> {
    let mut out = Vec::new();
    if why == Why::NotReadAgain {
        // Of insulation alone that is said below, as of every such line.
        return match row.measured {
            None => vec![READ_FIRST.to_owned()],
            Some(_) => out,
        };
    }
    if why == Why::InDoubt {
        return vec![DOUBTED.to_owned()];
    }
    if why == Why::Stop {
        out.push(KEEP_OFF.to_owned());
    }
    if why == Why::AnotherFitsNothing {
        return row.doubt.iter().cloned().collect();
    }
    let fault = row.hints.first().filter(|hint| !hint.is_no_fault());
    let one = |words: &str| vec![words.to_owned()];
    out.extend(
        match (why, row.first_site_wide(), row.next.first(), fault) {
            (Why::InsulationLow, ..) => one(WAY_TO_EARTH),
            (Why::Question, ..) => one(CHOOSE),
            (_, Some(wide), ..) => {
                let mut asked = one(&wide.test);
                if matches!(
                    wide.kind,
                    SiteFault::SwappedLabels | SiteFault::JoinedLines | SiteFault::MovedLoudspeaker
                ) {
                    asked.push("put right what that shows, line or label".to_owned());
                }
                asked
            }
            (_, None, Some(next), _) => {
                let mends = asks_to_mend(row, why);
                // Reading again finds nothing by itself.
                let finds = mends && next.kind != NextKind::Reread;
                let begins = if finds { "to find it: " } else { "" };
                // The same place first as on the screen.
                let also = as_good(row, next).unwrap_or_else(|| alike(row, next));
                let mut asked = vec![format!("{begins}{}{also}", next.text)];
                // What a test shows is not mended by it.
                if mends {
                    asked.push("mend what that shows and read it again".to_owned());
                }
                asked
            }
            (_, None, None, Some(hint)) => {
                let does = match hint.kind {
                    FaultKind::ControlDown => "turn it up",
                    _ => "find and mend it",
                };
                vec![format!("{does}, read it again: {}", hint.text)]
            }
            (Why::NotAllHeard, ..) => one("see to the loudspeakers that are not heard well"),
            (Why::Out | Why::Close, None, None, None) if shared => {
                one("see what only the whole building shows; then say why it may stay so")
            }
            _ => one("say why it may stay so, or mend it"),
        },
    );
    out
}

//! What a journal holds, and what of it is damaged.

use super::{Closed, Head, JOURNAL_FORMAT, JournalName, LONGEST_LINE, sum};
use crate::site::Entry;

/// How a journal came through.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Journal {
    /// Whose it is; none when that line is damaged.
    pub head: Option<Head>,
    /// Every sound entry, in order.
    pub entries: Vec<Entry>,
    /// It ends as a journal does whose entries all stand in the site file.
    pub closed: bool,
    /// The end is cut off: what a crash leaves of a line that was never shown as recorded.
    pub torn: bool,
    /// Damaged lines, counted from 1.
    pub damaged: Vec<usize>,
    /// Lines of the sequence that are missing altogether.
    pub missing: u64,
    /// A newer program's journal: its number. Nothing else of it is understood.
    pub newer: Option<u64>,
}

impl Journal {
    /// Every line of it could be read; a cut-off end is no damage.
    #[must_use]
    pub const fn is_sound(&self) -> bool {
        self.damaged.is_empty() && self.missing == 0 && (self.head.is_some() || self.is_empty())
    }

    /// Nothing came to the disk.
    const fn is_empty(&self) -> bool {
        self.entries.is_empty() && !self.closed
    }
}

/// Reads a journal. Never fails: what is sound is taken, the rest is told.
#[must_use]
pub fn parse_journal(name: &JournalName, bytes: &[u8]) -> Journal {
    let mut out = Journal::default();
    let sound_end = bytes
        .iter()
        .rposition(|byte| *byte == b'\n')
        .map_or(0, |at| at + 1);
    // A line without its end, or zeros where the system had made room: a crash while writing.
    out.torn = sound_end < bytes.len();
    let mut next: u64 = 0;
    for (n, raw) in bytes[..sound_end]
        .split_inclusive(|b| *b == b'\n')
        .enumerate()
    {
        let Some((sequence, json)) = sound(name, raw) else {
            out.damaged.push(n + 1);
            continue;
        };
        if out.take(sequence, json) {
            // A damaged line is told as such, not as a gap too.
            let gap = sequence.saturating_sub(next);
            out.missing = out.missing.saturating_add(gap);
            next = next.max(sequence.saturating_add(1));
        } else {
            out.damaged.push(n + 1);
        }
    }
    let damaged = u64::try_from(out.damaged.len()).unwrap_or(u64::MAX);
    out.missing = out.missing.saturating_sub(damaged);
    out
}

/// Sequence and JSON of a line whose sum fits.
fn sound<'a>(name: &JournalName, raw: &'a [u8]) -> Option<(u64, &'a str)> {
    if raw.len() > LONGEST_LINE {
        return None;
    }
    let line = std::str::from_utf8(raw).ok()?.strip_suffix('\n')?;
    let (digits, body) = line.split_once(' ')?;
    let own = format!("{:08x}", sum(name, body));
    let (sequence, json) = body.split_once(' ')?;
    (digits == own).then_some((sequence.parse().ok()?, json))
}

impl Journal {
    /// Takes a record in; false when it is none.
    fn take(&mut self, sequence: u64, json: &str) -> bool {
        if sequence == 0 {
            let Ok(value) = serde_json::from_str::<serde_json::Value>(json) else {
                return false;
            };
            let format = value.get("format").and_then(serde_json::Value::as_u64);
            if let Some(newer) = format.filter(|n| *n > u64::from(JOURNAL_FORMAT)) {
                self.newer = Some(newer);
                return true;
            }
            self.head = serde_json::from_value(value).ok();
            return self.head.is_some();
        }
        if self.newer.is_some() {
            return true;
        }
        if let Ok(Closed { closed }) = serde_json::from_str(json) {
            self.closed = closed;
            return true;
        }
        match serde_json::from_str::<Entry>(json) {
            Ok(entry) => {
                self.closed = false;
                self.entries.push(entry);
                true
            }
            Err(_) => false,
        }
    }
}

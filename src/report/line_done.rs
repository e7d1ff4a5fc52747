//! What was done on a line on this visit beside its readings at the rack: taken off the amplifier and
//! put back, insulation, direct current, parts of a split; each with who and when.
//!
//! Never here: what a reading is worth.

use crate::analysis::{Direct, Side};
use crate::quantity::show;
use crate::review::{self, cut_words, entry_words, own_label_of};
use crate::site::{CORES_OFF, CORES_ON, Do, Entry, Read, Reads, Ref, Site, Tick};

/// Who did a thing, and when.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SaidRow {
    /// Who.
    pub by: String,
    /// When, RFC 3339.
    pub at: String,
}

impl SaidRow {
    /// Of an entry.
    pub(super) fn of(entry: &Entry) -> Self {
        Self {
            by: entry.by.clone(),
            at: entry.at.to_string(),
        }
    }

    /// The same of a correction alone.
    pub(super) fn of_correction(entry: &Entry) -> Option<Self> {
        entry.corrects.as_ref().map(|_| Self::of(entry))
    }
}

/// One thing in the story of a line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoryRow {
    /// Who did it and when; none of what was suspected before a repair.
    pub said: Option<SaidRow>,
    /// What, in words.
    pub words: String,
}

impl StoryRow {
    /// What was repaired, and what was found there.
    pub(super) fn repaired(&self) -> Option<&str> {
        self.words.strip_prefix("repaired: ")
    }
}

/// A reading that is none of the line whole at the rack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BesideRow {
    /// What was read.
    pub reads: Reads,
    /// The figure, in words.
    pub text: String,
    /// How: the test voltage, the side of a split.
    pub how: String,
    /// What it should be by the drawing, in words; empty where that does not tell, and of insulation.
    pub drawn: String,
    /// A repair came after it.
    pub before_repair: bool,
    /// Who and when.
    pub said: SaidRow,
}

/// What a reading beside those at the rack should be by the drawing as it is now.
fn drawn(site: &Site, at: usize, read: &Read) -> String {
    let (line, figures) = (&site.plan().lines[at], site.figures());
    if read.is_dc() {
        let direct = Direct::of(line, figures, read.cut.as_ref());
        return direct.map_or_else(String::new, |it| it.words());
    }
    let cut = read.cut.as_ref();
    let side = cut.and_then(|cut| Side::of(line, figures, cut, read.hz));
    let expected = |it: Side| it.expected.map_or_else(|| "open".to_owned(), show::ohm);
    side.map_or_else(String::new, expected)
}

/// An entry of a line in words, where the line is named already.
pub(super) fn words_of_line(site: &Site, entry: &Entry, label: &str) -> String {
    let words = entry_words(site, entry);
    let own = words
        .strip_prefix(label)
        .and_then(|it| it.strip_prefix(' '));
    own.unwrap_or(&words).to_owned()
}

/// What was done on a line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LineDoneRow {
    /// Something was read on it, or it was taken off, on this visit.
    pub worked_on: bool,
    /// The last tick of this visit that took it off the amplifier, or of an earlier one that still holds.
    pub off: Option<SaidRow>,
    /// The last tick that put it back, where none took it off since.
    pub on: Option<SaidRow>,
    /// Readings beside those at the rack, in order.
    pub beside: Vec<BesideRow>,
    /// Repairs of earlier visits: the visit's label, and what was repaired.
    pub before: Vec<(String, StoryRow)>,
}

impl LineDoneRow {
    /// Of a line, by its place in the plan.
    pub(super) fn of(site: &Site, at: usize) -> Self {
        let line = &site.plan().lines[at];
        let history = site.history(&line.id);
        let visit = site.visit();
        let states = history.states(&visit);
        // What was ticked on an earlier visit holds while the line is off since then.
        let holds = |it: &Tick| it.visit == visit || history.is_off();
        let mut out = Self {
            worked_on: review::worked_on(site, at),
            ..Self::default()
        };
        for entry in history.entries() {
            let said = SaidRow::of(entry);
            match &entry.what {
                Do::Repair(it) if !states.contains(&it.after) => {
                    let words = words_of_line(site, entry, &line.label);
                    let on = Ref::Visit(site.visit_of(&it.after).into());
                    let row = StoryRow {
                        said: Some(said),
                        words,
                    };
                    out.before.push((own_label_of(site, &on), row));
                }
                Do::Tick(it) if it.item == CORES_OFF && holds(it) => {
                    (out.off, out.on) = (Some(said), None)
                }
                Do::Tick(it) if it.item == CORES_ON && holds(it) => out.on = Some(said),
                Do::Read(it) if states.contains(&it.state) => {
                    let how = match &it.cut {
                        Some(cut) => cut_words(site, cut),
                        None if it.is_dc() => "at the rack".to_owned(),
                        None => continue,
                    };
                    out.beside.push(BesideRow {
                        reads: if it.is_dc() {
                            Reads::Dc
                        } else {
                            Reads::Impedance
                        },
                        text: show::value(it.value),
                        how,
                        drawn: drawn(site, at, it),
                        before_repair: states.last() != Some(&it.state),
                        said,
                    });
                }
                Do::Insulate(it) if states.contains(&it.state) => out.beside.push(BesideRow {
                    reads: Reads::Insulation,
                    text: show::insulation(it.value),
                    how: show::volt(it.test_v),
                    drawn: String::new(),
                    before_repair: states.last() != Some(&it.state),
                    said,
                }),
                _ => {}
            }
        }
        out
    }
}

//! What wants a word before anybody signs, worst first; what is signed, and whether it still stands.
//!
//! Never here: files, the clock, drawing.

mod beside;
mod calibration;
mod cause;
mod contradicted;
mod edit_words;
mod flag_words;
mod late;
mod left_open;
mod list;
mod list_rows;
mod matter;
mod output_words;
mod power;
mod question;
mod scope;
mod seal;
mod stops;
mod struck;
mod to_move;
mod to_say;
mod unproven;
mod unticked;
mod word;
mod words;

pub use beside::flagged_beside;
pub use calibration::{calibration, one_or_two, used};
pub use cause::{SITE_CAUSE_FIRST, causes, causes_over_lines, likeliest};
pub use contradicted::{Against, against_heard, not_here_words, says_all_heard};
pub use flag_words::{WAY_TO_EARTH, not_heard_well};
pub use late::Late;
pub use left_open::{LeftOpen, left_open};
pub use list::{Item, Review, review};
pub use list_rows::{ListRow, ListStands, Lists, is_check, not_here};
pub use matter::Matter;
pub use output_words::output_words;
pub use power::{Asks, BesidePower};
pub use question::{ANSWERED, NoChoice, answer, asked_on};
pub use scope::{
    WHOLE_SITE, amplifiers_in, has_line, label_of, lines_in, outputs_in, own_label_of, scope_words,
};
pub use seal::{
    Break, Broken, CANON, SealState, Signing, Standing, latest_seals, seal, seals, seals_among,
};
pub use stops::{Cores, Situation, Stop, Unheard};
pub use to_move::{cores_beside, to_move_words};
pub use to_say::{decide, past_due, unfit_word};
pub use unproven::{in_doubt_words, was_before};
pub use unticked::{is_asked, worked_on};
pub use word::{NotOwed, Word, owed, word, word_of_line};
pub use words::{cut_words, entry_words};

use crate::analysis::Analyst;
use crate::quantity::Value;
use crate::site::Site;
use crate::verdict::{LineWord, OutputWord};

/// Why a thing is flagged, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Why {
    /// A line that must not be connected.
    Stop,
    /// A line that read short or open, or whose insulation was low, repaired and not read since.
    NotReadAgain,
    /// An output over its rating.
    Over,
    /// A reading that fits nothing.
    FitsNothing,
    /// Two readings of a line that do not agree, nothing repaired between them.
    InDoubt,
    /// A line that reads open.
    Open,
    /// A line out of tolerance.
    Out,
    /// Insulation below what is wanted.
    InsulationLow,
    /// A reading with direct current, or of an opened line, that fits nothing, while the latest at the
    /// rack fits.
    AnotherFitsNothing,
    /// Something that two engineers said differently.
    Question,
    /// An output short of headroom.
    Tight,
    /// A line too close to call.
    Close,
    /// A loudspeaker not heard as it should be.
    NotAllHeard,
}

impl Why {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Stop => "must not be connected",
            Self::NotReadAgain => "repaired, not read again",
            Self::Over => "past the rating",
            Self::FitsNothing => "fits nothing, read it again",
            Self::InDoubt => "two readings do not agree, read it again",
            Self::Open => "reads open",
            Self::Out => "out of tolerance",
            Self::InsulationLow => "insulation low",
            Self::AnotherFitsNothing => "one of its readings fits nothing",
            Self::Question => "a question stands",
            Self::Tight => "past the headroom",
            Self::Close => "too close to call",
            Self::NotAllHeard => "not all heard as they should be",
        }
    }
}

/// A flagged thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flagged {
    /// A line, by its place in the plan.
    Line(usize),
    /// An output, by its place in the plan.
    Output(usize),
}

/// Everything flagged, worst first; equals stay in rack order.
#[must_use]
pub fn flagged(site: &Site, analyst: &Analyst) -> Vec<(Why, Flagged)> {
    let lines =
        (0..analyst.lines().len()).filter_map(|at| Some((line(analyst, at)?, Flagged::Line(at))));
    let outputs = (0..site.plan().outputs.len())
        .filter_map(|at| Some((output(site, analyst, at)?, Flagged::Output(at))));
    let mut out: Vec<_> = lines.chain(outputs).collect();
    let gravity = |flagged: &Flagged| match flagged {
        Flagged::Line(at) => gravity_of_line(analyst, *at),
        Flagged::Output(_) => OF_AN_OUTPUT,
    };
    out.sort_by(|a, b| {
        let (a_gravity, b_gravity) = (gravity(&a.1), gravity(&b.1));
        a.0.cmp(&b.0)
            .then_with(|| b_gravity.0.total_cmp(&a_gravity.0))
            .then_with(|| b_gravity.1.total_cmp(&a_gravity.1))
    });
    out
}

/// Among things flagged for one reason the worse stand first: by the probability that the load is out of
/// tolerance, then by how far it is off.
type Gravity = (f64, f64);

/// No line is worse than an output.
const OF_AN_OUTPUT: Gravity = (1.0, 0.0);

fn gravity_of_line(analyst: &Analyst, at: usize) -> Gravity {
    analyst.line(at).verdict.map_or((0.0, 0.0), |verdict| {
        let deviation = verdict.deviation.map_or(0.0, |it| it.get().abs());
        (verdict.p_out.get(), deviation)
    })
}

/// The reason for which an output is flagged. One stopped by a line is flagged by that line; where the line
/// is OFF, what is on it now still counts.
#[must_use]
pub fn output(site: &Site, analyst: &Analyst, at: usize) -> Option<Why> {
    let result = analyst.output(site, at, None);
    let word = match result.carries.word {
        OutputWord::Stop => result.now.word,
        word => word,
    };
    match word {
        OutputWord::Over => Some(Why::Over),
        OutputWord::Tight => Some(Why::Tight),
        OutputWord::Ok | OutputWord::Stop | OutputWord::Unknown => None,
    }
}

/// The worst reason for which a line is flagged.
#[must_use]
pub fn line(analyst: &Analyst, at: usize) -> Option<Why> {
    let result = analyst.line(at);
    let word = result.verdict.map(|verdict| verdict.word);
    let taken = result.taken.as_ref();
    if result.is_stop(analyst.limits()) {
        Some(Why::Stop)
    } else if result.is_unproven() {
        Some(Why::NotReadAgain)
    } else if result.in_doubt.is_some() {
        Some(Why::InDoubt)
    } else if analyst.suspects(at).is_some_and(|it| it.fits_nothing()) {
        Some(Why::FitsNothing)
    } else if taken.is_some_and(|taken| taken.value == Value::Open) && word == Some(LineWord::Out) {
        Some(Why::Open)
    } else if word == Some(LineWord::Out) {
        Some(Why::Out)
    } else if result.insulation_is_low() {
        Some(Why::InsulationLow)
    } else if analyst
        .suspects(at)
        .is_some_and(|it| it.doubtful().is_some())
    {
        Some(Why::AnotherFitsNothing)
    } else if result.question {
        Some(Why::Question)
    } else if word == Some(LineWord::Close) {
        Some(Why::Close)
    } else if result.not_all_well {
        Some(Why::NotAllHeard)
    } else {
        None
    }
}

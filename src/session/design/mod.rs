//! The design by typing: one line of words becomes items of the site, and an item becomes words
//! again to be changed.
//!
//! ```text
//!   text --typed--> parts --build (what stands above fills the gaps)--> items --> edits, one act
//!   item --describe--> text
//! ```
//!
//! An unsound design is refused before it is sent; what was typed stays in the entry.
//!
//! Never here: figures of a line, the disk.

mod acts;
mod build;
mod change;
mod describe;
mod drawn;
mod gone;
mod kit;
mod line;
mod moved;
mod names;
mod node;
mod pasted;
mod place;
mod retap;
mod send;
mod start;
mod taken;
mod thing;
mod typed;
mod undo;
mod volts;

pub use thing::Thing;

pub(super) use acts::Desk;
pub(super) use build::Built;
pub(super) use describe::rows;
pub(super) use drawn::Drawn;
pub(super) use kit::return_visit;

use crate::quantity::Farad;
use crate::site::{Conductor, Elements, Ref, What};
use thiserror::Error;

/// Why what was typed is no design.
#[derive(Clone, Debug, PartialEq, Error)]
pub(super) enum Refused {
    /// Something that must be known is not.
    #[error("{what} was wanted: {example}")]
    Wanted {
        what: &'static str,
        example: &'static str,
    },
    /// A figure that cannot be read.
    #[error("{found} cannot be read: {wanted}")]
    Figure { found: String, wanted: &'static str },
    /// Something that this kind of thing has not.
    #[error("{found} does not belong to {thing}")]
    NotHere { found: String, thing: &'static str },
    /// What can be said once was said before.
    #[error("{found} is said twice: {first} stands before it")]
    Twice { found: String, first: String },
    /// A name that nothing there has.
    #[error("{found} is not there: {wanted} was wanted")]
    Unknown { found: String, wanted: String },
    /// Nowhere to put it.
    #[error("no {parent} to put it on yet: add one first (Tab changes what is added)")]
    NoPlace { parent: &'static str },
    /// What other things hang on cannot go.
    #[error("{label} still has {what}: they go first, or move")]
    InUse { label: String, what: &'static str },
    /// The whole would be unsound.
    #[error("{label}: {why}")]
    Unsound { label: String, why: String },
    /// There is no such tap to go to.
    #[error("no loudspeaker of this line {0}")]
    NoTap(&'static str),
    /// A step is counted in taps that nobody knows.
    #[error("the taps of {label} are not known: type a tap such as 3w")]
    TapsUnknown { label: String },
    /// A tap that no loudspeaker has.
    #[error(
        "a tap of {label} is {found} W, {least} to {most} W was wanted: type it again, such as 6w"
    )]
    NoSuchTap {
        label: String,
        found: f64,
        least: f64,
        most: f64,
    },
    /// Nothing would change.
    #[error("nothing is changed: Esc leaves it as it is")]
    Same,
}

impl Refused {
    /// Of an item that does not stand.
    fn gone(of: &Ref) -> Self {
        Self::Unknown {
            found: of.id().to_owned(),
            wanted: "something that stands".to_owned(),
        }
    }
}

/// What would be unsound with these changes and is not so without them.
pub(super) fn sound(elements: &Elements, built: &Built) -> Result<(), Refused> {
    let log = crate::site::Log::default();
    let before = crate::site::check(elements, &log);
    let after = built.onto(elements);
    let new = crate::site::check(&after, &log)
        .into_iter()
        .find(|problem| !before.contains(problem));
    match new {
        None => plausible(&after, built),
        Some(problem) => Err(Refused::Unsound {
            label: match &problem.whence {
                crate::site::Whence::Item(of) => label_of(&after, of),
                crate::site::Whence::Entry(id) => id.to_string(),
            },
            why: in_words(&problem.what),
        }),
    }
}

/// No loudspeaker of a line has a tap past this, nor under that; what lies beyond is a slip of the hand.
/// \[common practice, no source\]
const TAPS: std::ops::RangeInclusive<f64> = 0.01..=2_000.0;

/// Whether every tap that is typed is one that a loudspeaker may have: where its type's taps are known, they
/// were asked before.
fn plausible(after: &Elements, built: &Built) -> Result<(), Refused> {
    for (of, design) in &built.changes {
        let crate::site::Design::Loudspeaker(it) = design else {
            continue;
        };
        let mut taps = it.taps_w.iter().flatten().chain([&it.tap_w]);
        if let Some(tap) = taps.find(|tap| !TAPS.contains(&tap.get())) {
            return Err(Refused::NoSuchTap {
                label: label_of(after, of),
                found: tap.get(),
                least: *TAPS.start(),
                most: *TAPS.end(),
            });
        }
    }
    Ok(())
}

/// What is wrong, for whoever typed it: fields have their names of the panel, not those of the file.
fn in_words(what: &What) -> String {
    match what {
        What::Tap { tap, taps } => {
            format!("{tap} W is none of its taps: {} W", taps.replace(' ', ", "))
        }
        What::Number {
            field,
            found,
            wanted,
        } => format!("{} is {found}, {wanted} was wanted", spoken(field)),
        other => other.to_string(),
    }
}

fn spoken(field: &str) -> &str {
    match field {
        "tap_w" | "taps_w" => "tap",
        "rated_w" => "rating",
        "run_m" => "run",
        "r20_ohm_km" => "resistance",
        "l_uh_m" => "inductance",
        "c_pf_m" => "capacitance",
        "step_ohm" => "last digit",
        "source_ohm" => "source",
        "range_ohm" => "range",
        other => other,
    }
}

/// The label of an item, its id where it has none.
pub(super) fn label_of(elements: &Elements, of: &Ref) -> String {
    elements.label(of).to_owned()
}

/// A cable as it is typed: a standard size such as `1.5mm2` or `16awg`, else `c:` and what people call it.
fn cable_text(size: Option<Conductor>, name: impl FnOnce() -> String) -> String {
    match size {
        Some(conductor) => conductor.name().replace(' ', "").to_lowercase(),
        None => format!("c:{}", typed::quoted(&name())),
    }
}

/// A capacitance with nothing that it does not need, nF.
fn nanofarad(farad: Farad) -> f64 {
    (farad.get() * 1e15).round() / 1e6
}

//! Something wrong with the data of a site: where it sits, what was found, what was wanted.
//!
//! Never here: how it is found.

use super::id::{EntryId, RACK};
use super::item_ref::Ref;
use std::fmt;
use thiserror::Error;

/// Where a problem sits.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Whence {
    /// In a design item.
    Item(Ref),
    /// In an entry of the log.
    Entry(EntryId),
}

impl fmt::Display for Whence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Item(of) => write!(f, "{:?} {}", of.kind(), of.id()),
            Self::Entry(id) => write!(f, "entry {id}"),
        }
    }
}

/// Something wrong with the data of a site.
#[derive(Clone, Debug, PartialEq, Error)]
#[error("{whence}: {what}")]
pub struct Problem {
    /// Where.
    pub whence: Whence,
    /// What.
    pub what: What,
}

/// What is wrong: what was found, what was wanted.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum What {
    /// A number out of its range.
    #[error("{field} is {found}, {wanted} was wanted")]
    Number {
        /// The field.
        field: &'static str,
        /// What stands there.
        found: f64,
        /// What may stand there.
        wanted: &'static str,
    },
    /// A label that another item of the same kind and place has.
    #[error("the label {label} is used twice: {other} has it too; rename one")]
    Twice {
        /// The label.
        label: String,
        /// The other item.
        other: String,
    },
    /// An empty label, a reserved word, one over 200 characters or with control characters in it.
    #[error(
        "the label {label:?} cannot be used: a name of its own was wanted, of at most 200 \
         characters, none of them a control character"
    )]
    Label {
        /// The label.
        label: String,
    },
    /// A reference to something that is not there.
    #[error("{field} names {found}, which is not on the site")]
    Missing {
        /// The field.
        field: &'static str,
        /// The id.
        found: String,
    },
    /// A cable that feeds itself.
    #[error("its cable runs in a ring: {ring}; one of them must come from {RACK} or another label")]
    Ring {
        /// The labels around it.
        ring: String,
    },
    /// A cable that is neither a standard size nor one of the site's.
    #[error(
        "the cable {found} is neither a standard size (1.5 mm2, 16 AWG) nor a cable of the site"
    )]
    Cable {
        /// The name.
        found: String,
    },
    /// A design tap that the loudspeaker does not have.
    #[error("tap_w {tap} is not among its taps {taps}")]
    Tap {
        /// The design tap.
        tap: f64,
        /// Its taps.
        taps: String,
    },
    /// A figure that nobody knows.
    #[error("there is no figure of the name {found}")]
    Figure {
        /// The name.
        found: String,
    },
    /// A text that does not read to its value.
    #[error("the text {text:?} does not read to the value and step beside it")]
    Text {
        /// As typed.
        text: String,
    },
}

//! Why what was typed is no design, each with what to do.

use crate::site::Ref;
use thiserror::Error;

/// Why what was typed is no design.
#[derive(Clone, Debug, PartialEq, Error)]
pub(in crate::session) enum Refused {
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
    pub(super) fn gone(of: &Ref) -> Self {
        Self::Unknown {
            found: of.id().to_owned(),
            wanted: "something that stands".to_owned(),
        }
    }
}

//! What an item of the list before signing can be about.
//!
//! Never here: what is said of it, what settles it.

use super::Why;

/// What an item of the list is about, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Matter {
    /// A flagged line or output, or an item with two designs.
    Flagged(Why),
    /// On the snag list of an earlier visit, and this one did not say yet what became of it.
    LeftOpen,
    /// Opened for a split and not closed again.
    SplitOpen,
    /// Drawn on another output, its cores not moved there yet.
    ToMove,
    /// Read before it was drawn as it is now.
    Redrawn,
    /// Nothing was read in the latest state.
    Unread,
    /// Off the amplifier and not back.
    Off,
    /// A tick says that every zone was heard, and lines of it are off, silent or not listened to; by its
    /// place in [`LISTS`](crate::site::LISTS).
    Contradicted(usize),
    /// Loudspeakers that nobody listened to.
    NotListened,
    /// Insulation was asked for and not read.
    NoInsulation,
    /// An item of the rack list or the hand-back list, by its place in [`LISTS`](crate::site::LISTS).
    Tick(usize),
    /// What only the whole building shows, by its place among such, likeliest first: it wants a word
    /// through its lines alone.
    SiteWide(usize),
    /// What was ticked before a reading came, from this item on; in nobody's way, as that may have come late.
    Again(usize),
    /// Several persons read with an instrument, and no serial number says that it is one; in nobody's way.
    OneOrTwo,
    /// Calibration of an instrument; flagged, and in nobody's way.
    Calibration,
    /// Repaired and read again; nobody's business any more.
    Repaired,
}

impl Matter {
    /// Work not done on a line that was read: the word on it is one that skips, beside any on the load.
    #[must_use]
    pub const fn is_not_done(self) -> bool {
        matches!(self, Self::NotListened | Self::NoInsulation)
    }
}

//! What kinds of fault there are, by the words that scripts know them by.

use std::fmt;

/// A kind of fault, and the two answers that are none: no fault, and two at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaultKind {
    /// Nothing wrong.
    None,
    /// A loudspeaker's voice coil is open.
    LoudspeakerOpen,
    /// A loudspeaker is set to another of its taps.
    WrongTap,
    /// A loudspeaker's terminals are shorted.
    LoudspeakerShort,
    /// A transformer is shorted on its secondary side.
    SecondaryShort,
    /// A voice coil sits straight on the line.
    NoTransformer,
    /// A run is open.
    LineOpen,
    /// A run is shorted.
    LineShort,
    /// A joint has resistance.
    BadJoint,
    /// A level control is down or off.
    ControlDown,
    /// A loudspeaker hangs on the line that is not on the list.
    UnlistedLoad,
    /// All taps are set for another line voltage.
    OtherVoltage,
    /// Two faults at once.
    TwoFaults,
}

impl FaultKind {
    /// All of them, in the order used where nothing else decides.
    pub const ALL: [Self; 13] = [
        Self::None,
        Self::LoudspeakerOpen,
        Self::WrongTap,
        Self::LoudspeakerShort,
        Self::SecondaryShort,
        Self::NoTransformer,
        Self::LineOpen,
        Self::LineShort,
        Self::BadJoint,
        Self::ControlDown,
        Self::UnlistedLoad,
        Self::OtherVoltage,
        Self::TwoFaults,
    ];

    /// The word for it in JSON, which never changes.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::LoudspeakerOpen => "loudspeaker-open",
            Self::WrongTap => "wrong-tap",
            Self::LoudspeakerShort => "loudspeaker-short",
            Self::SecondaryShort => "secondary-short",
            Self::NoTransformer => "no-transformer",
            Self::LineOpen => "line-open",
            Self::LineShort => "line-short",
            Self::BadJoint => "bad-joint",
            Self::ControlDown => "control-down",
            Self::UnlistedLoad => "unlisted-load",
            Self::OtherVoltage => "other-voltage",
            Self::TwoFaults => "two-faults",
        }
    }

    /// The kind that scripts know by this word.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.as_str() == word)
    }
}

impl fmt::Display for FaultKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_found_by_its_own_word_and_stands_at_its_own_place() {
        for (place, kind) in FaultKind::ALL.into_iter().enumerate() {
            assert_eq!(FaultKind::named(kind.as_str()), Some(kind));
            assert_eq!(kind as usize, place);
        }
        assert_eq!(FaultKind::named("gremlins"), None);
    }
}

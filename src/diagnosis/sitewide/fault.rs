//! What kinds of mistake only the whole site shows, by the words that scripts know them by.
//!
//! Never here: how likely one is.

use std::fmt;

/// A mistake of the whole site, or a factor that many of its readings share.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SiteFault {
    /// Two lines carry each other's label.
    SwappedLabels,
    /// Two lines are joined somewhere.
    JoinedLines,
    /// The range multiplier of the meter was left out.
    RangeMultiplier,
    /// A digit too many was entered.
    DigitTooMany,
    /// A direct-current reading was entered as impedance.
    DcReading,
    /// A loudspeaker hangs on the neighbouring line.
    MovedLoudspeaker,
    /// All loudspeakers are set for another line voltage.
    NominalVoltage,
    /// All readings of an instrument on a visit are off by one factor.
    CommonFactor,
    /// All loudspeakers of a type are off their marking by one factor.
    CommonType,
}

impl SiteFault {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::SwappedLabels,
        Self::JoinedLines,
        Self::RangeMultiplier,
        Self::DigitTooMany,
        Self::DcReading,
        Self::MovedLoudspeaker,
        Self::NominalVoltage,
        Self::CommonFactor,
        Self::CommonType,
    ];

    /// Whether it is something that stands so in the building and is mended there: no slip of a reading, and
    /// nothing of the meter or of a make.
    #[must_use]
    pub const fn is_mended(self) -> bool {
        matches!(
            self,
            Self::SwappedLabels | Self::JoinedLines | Self::MovedLoudspeaker | Self::NominalVoltage
        )
    }

    /// The word for it in JSON, which never changes.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::SwappedLabels => "swapped-labels",
            Self::JoinedLines => "joined-lines",
            Self::RangeMultiplier => "range-multiplier",
            Self::DigitTooMany => "digit-too-many",
            Self::DcReading => "dc-reading",
            Self::MovedLoudspeaker => "moved-loudspeaker",
            Self::NominalVoltage => "nominal-voltage",
            Self::CommonFactor => "common-factor",
            Self::CommonType => "common-type",
        }
    }
}

impl fmt::Display for SiteFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

//! Typed identities. A design item's id is its label at birth and stays at a rename.

use serde::{Deserialize, Serialize};
use std::fmt;

macro_rules! id {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub String);

        impl $name {
            /// The id as text.
            #[must_use]
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl From<&str> for $name {
            fn from(text: &str) -> Self {
                Self(text.to_owned())
            }
        }

        impl From<String> for $name {
            fn from(text: String) -> Self {
                Self(text)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    )*};
}

id! {
    /// A site: `s-` and 80 bits in base32.
    SiteId;
    /// A visit.
    VisitId;
    /// An amplifier.
    AmplifierId;
    /// An output: `AMP/LABEL`.
    OutputId;
    /// A zone.
    ZoneId;
    /// A loudspeaker type.
    TypeId;
    /// A cable of the site's own (standard sizes need no item).
    CableId;
    /// An instrument.
    InstrumentId;
    /// A line.
    LineId;
    /// A node of a line, `LINE/LABEL`; as a feeding node also the word `rack`.
    NodeId;
    /// An entry of the log: `W-n` (writer and counter) or `c-` and a hash of a CSV row.
    EntryId;
    /// What set a design: `i-` and a hash at the first import, else the id of the entry.
    Stamp;
    /// A state of a line: the id of a visit, or of the repair that began it.
    StateId;
    /// The program of one opening: 16 characters of `a-z2-7`.
    WriterId;
}

/// The word for the amplifier end of a line, reserved as a label.
pub const RACK: &str = "rack";

/// A label made fit for a composed id: `%` and `/` are written `%25` and `%2F`.
#[must_use]
pub fn escape(label: &str) -> String {
    label.replace('%', "%25").replace('/', "%2F")
}

impl OutputId {
    /// The id an output is born with.
    #[must_use]
    pub fn of(amplifier: &AmplifierId, label: &str) -> Self {
        Self(format!("{}/{}", escape(amplifier.as_str()), escape(label)))
    }
}

impl NodeId {
    /// The id a node is born with.
    #[must_use]
    pub fn of(line: &LineId, label: &str) -> Self {
        Self(format!("{}/{}", escape(line.as_str()), escape(label)))
    }

    /// The amplifier end of a line.
    #[must_use]
    pub fn rack() -> Self {
        Self(RACK.to_owned())
    }

    /// Whether this names the amplifier end.
    #[must_use]
    pub fn is_rack(&self) -> bool {
        self.0 == RACK
    }
}

/// 80 bits of a SHA-256 digest in base32 (`a-z2-7`), 16 characters.
#[must_use]
pub fn short_hash(bytes: &[u8]) -> String {
    use sha2::Digest;
    const ALPHABET: &[u8; 32] = b"abcdefghijklmnopqrstuvwxyz234567";
    let digest = sha2::Sha256::digest(bytes);
    let mut out = String::with_capacity(16);
    for group in digest.as_slice()[..10].chunks(5) {
        let word = group
            .iter()
            .fold(0u64, |acc, byte| acc << 8 | u64::from(*byte));
        for shift in (0..8).rev() {
            out.push(char::from(ALPHABET[(word >> (shift * 5)) as usize & 31]));
        }
    }
    out
}

/// The number behind the last dash of an id, as entries of one opening and visits are counted; 0 where
/// there is none.
pub(super) fn counter(id: &str) -> u64 {
    let tail = id.rsplit('-').next();
    tail.and_then(|tail| tail.parse().ok()).unwrap_or(0)
}

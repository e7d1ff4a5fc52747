//! The identity of one opening, from which the ids of its entries are counted.

use crate::site::{WriterId, short_hash};
use jiff::Timestamp;
use std::hash::{BuildHasher, Hasher, RandomState};
use std::path::Path;

/// Everything that makes two openings differ.
#[derive(Clone, Copy, Debug)]
pub struct Opening<'a> {
    /// Two numbers of the system's randomness.
    pub random: [u64; 2],
    /// When.
    pub at: Timestamp,
    /// Process id.
    pub process: u32,
    /// Machine.
    pub machine: &'a str,
    /// User.
    pub user: &'a str,
    /// The site file.
    pub path: &'a Path,
}

/// 80 bits of SHA-256 over all of it, in base32. Two of ten thousand openings share one with
/// probability n^2 / 2^81 = 4e-17.
#[must_use]
pub fn writer_id(of: &Opening<'_>) -> WriterId {
    let text = format!(
        "{} {} {} {} {:?} {:?} {:?}",
        of.random[0],
        of.random[1],
        of.at.as_nanosecond(),
        of.process,
        of.machine,
        of.user,
        of.path
    );
    WriterId(short_hash(text.as_bytes()))
}

/// The identity of an opening by this very process.
#[must_use]
pub fn new_writer(path: &Path, who: &super::Who, at: Timestamp) -> WriterId {
    // std seeds each RandomState from the system's randomness; nothing else here is random.
    let random = || RandomState::new().build_hasher().finish();
    writer_id(&Opening {
        random: [random(), random()],
        at,
        process: std::process::id(),
        machine: &who.machine,
        user: &who.name,
        path,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_opening_has_an_identity_of_its_own() {
        let of = Opening {
            random: [1, 2],
            at: Timestamp::UNIX_EPOCH,
            process: 7,
            machine: "LAPTOP-2",
            user: "A. M.",
            path: Path::new("S.ron"),
        };
        let id = writer_id(&of);
        assert_eq!(id, writer_id(&of));
        assert_eq!(id.as_str().len(), 16);
        let other = Opening {
            random: [1, 3],
            ..of
        };
        assert_ne!(id, writer_id(&other));
        let who = super::super::Who {
            name: "A. M.".into(),
            machine: String::new(),
        };
        let new = || new_writer(Path::new("S.ron"), &who, Timestamp::UNIX_EPOCH);
        assert_ne!(new(), new());
    }
}

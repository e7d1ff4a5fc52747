//! Bytes -> text: byte-order marks, UTF-8, UTF-16, and windows-1252 as the last guess.
//!
//! A guess is always said.

use encoding_rs::{Encoding, UTF_16BE, UTF_16LE, WINDOWS_1252};
use std::borrow::Cow;

/// The text, and what to say where its encoding was guessed.
pub(super) fn decode(bytes: &[u8]) -> (Cow<'_, str>, Option<String>) {
    if let Some((encoding, mark)) = Encoding::for_bom(bytes) {
        let (text, lossy) = encoding.decode_without_bom_handling(&bytes[mark..]);
        let said = match (encoding == encoding_rs::UTF_8, lossy) {
            (true, false) => None,
            (false, false) => Some(format!(
                "read as {}, as its first bytes say",
                encoding.name()
            )),
            (_, true) => Some(format!(
                "some bytes are no {}, as its first bytes say; they stand as \u{fffd}: check the labels, or save it as UTF-8",
                encoding.name()
            )),
        };
        return (text, said);
    }
    let zeros = |odd: usize| {
        bytes
            .iter()
            .skip(odd)
            .step_by(2)
            .filter(|b| **b == 0)
            .count()
    };
    let half = bytes.len() / 2;
    for (odd, encoding) in [(1, UTF_16LE), (0, UTF_16BE)] {
        if half > 1 && zeros(odd) * 2 > half && zeros(1 - odd) * 2 < half {
            let (text, _) = encoding.decode_without_bom_handling(bytes);
            return (text, Some(guess(encoding)));
        }
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => (Cow::Borrowed(text), None),
        Err(_) => {
            let (text, _) = WINDOWS_1252.decode_without_bom_handling(bytes);
            (text, Some(guess(WINDOWS_1252)))
        }
    }
}

fn guess(encoding: &'static Encoding) -> String {
    format!(
        "not UTF-8: {} was guessed; check labels with accents, or save it as UTF-8",
        encoding.name()
    )
}

/// Every end of line as `\n`.
pub(super) fn lines_normalised(text: &str) -> Cow<'_, str> {
    if text.contains('\r') {
        Cow::Owned(text.replace("\r\n", "\n").replace('\r', "\n"))
    } else {
        Cow::Borrowed(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_byte_order_mark_and_utf_8_are_read_in_silence() {
        assert_eq!(decode("\u{feff}Café".as_bytes()), ("Café".into(), None));
        assert_eq!(decode("Café".as_bytes()), ("Café".into(), None));
    }

    #[test]
    fn other_encodings_are_read_and_said() {
        // Windows-1252 has é at 0xE9.
        let (text, said) = decode(b"Caf\xe9");
        assert_eq!(text, "Café");
        assert!(said.unwrap().contains("windows-1252 was guessed"));
        let wide = |mark: &[u8]| -> Vec<u8> {
            let units = "line,kind".encode_utf16().flat_map(u16::to_le_bytes);
            mark.iter().copied().chain(units).collect()
        };
        for mark in [&b"\xff\xfe"[..], &b""[..]] {
            let bytes = wide(mark);
            let (text, said) = decode(&bytes);
            assert_eq!(text, "line,kind");
            assert!(said.unwrap().contains("UTF-16LE"));
        }
    }
}

//! The canonical text that is signed, and its digest.
//!
//! One text a line or item: its designs, then every entry that touches it, struck ones and strikes
//! included, in the order of the file. Written by this file alone, so that neither the site file's
//! layout nor an order of fields decides a digest; anyone can make it again with SHA-256.
//!
//! ```text
//! linewright canon 1
//! of Line P-01
//! item Line P-01 {"Line":{"label":"P-01", ..}}
//! item Node P-01/LS-1 {"Loudspeaker":{ .. }}
//! entry w-4 2026-11-25T14:07:31Z "engineer A" {"Read":{ .. }}
//! ```
//!
//! Objects have their keys in alphabetical order, numbers their shortest form that reads back the
//! same (`412`, `0.05`), texts the escapes of JSON. Never here: which facts belong to what.

use crate::site::{Design, Entry, Ref};
use serde_json::Value;
use sha2::Digest;
use std::fmt::Write;

/// The version of the canonical text.
pub const CANON: u32 = 1;

/// SHA-256 in hexadecimal. Source: FIPS 180-4.
pub(super) fn sha256(text: &str) -> String {
    let digest = sha2::Sha256::digest(text.as_bytes());
    let mut out = String::with_capacity(64);
    for byte in digest.as_slice() {
        let _ = write!(out, "{byte:02x}");
    }
    out
}

/// A value in its one form.
pub(super) fn canonical(value: &Value, out: &mut String) {
    match value {
        Value::Null => out.push_str("null"),
        Value::Bool(it) => out.push_str(if *it { "true" } else { "false" }),
        Value::Number(it) => match (it.as_i64(), it.as_f64()) {
            (Some(whole), _) => {
                let _ = write!(out, "{whole}");
            }
            (None, Some(number)) => {
                let _ = write!(out, "{number}");
            }
            (None, None) => out.push_str(&it.to_string()),
        },
        Value::String(it) => text(it, out),
        Value::Array(items) => {
            out.push('[');
            for (at, item) in items.iter().enumerate() {
                if at > 0 {
                    out.push(',');
                }
                canonical(item, out);
            }
            out.push(']');
        }
        Value::Object(map) => {
            let mut keys: Vec<&String> = map.keys().collect();
            keys.sort();
            out.push('{');
            for (at, key) in keys.into_iter().enumerate() {
                if at > 0 {
                    out.push(',');
                }
                text(key, out);
                out.push(':');
                canonical(&map[key], out);
            }
            out.push('}');
        }
    }
}

fn text(it: &str, out: &mut String) {
    out.push('"');
    for c in it.chars() {
        match c {
            '"' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            c if c < ' ' => {
                let _ = write!(out, "\\u{:04x}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
}

fn line_of(value: &impl serde::Serialize, out: &mut String) {
    // Plain data with finite numbers always has a JSON form.
    canonical(&serde_json::to_value(value).unwrap_or(Value::Null), out);
    out.push('\n');
}

/// The text of a thing: what it is, and what was recorded of it.
pub(super) fn text_of(of: &Ref, designs: &[(&Ref, &Design)], entries: &[&Entry]) -> String {
    let mut out = format!("linewright canon {CANON}\nof {:?} {}\n", of.kind(), of.id());
    for (item, design) in designs {
        let _ = write!(out, "item {:?} {} ", item.kind(), item.id());
        line_of(design, &mut out);
    }
    for entry in entries {
        let _ = write!(out, "entry {} {} ", entry.id, entry.at);
        text(&entry.by, &mut out);
        out.push(' ');
        let rest = serde_json::json!({
            "do": entry.what,
            "corrects": entry.corrects,
            "why": entry.why,
        });
        line_of(&rest, &mut out);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_digest_is_sha_256_of_fips_180_4() {
        // FIPS 180-4, the example of one block: "abc".
        assert_eq!(
            sha256("abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn a_value_has_one_form_whatever_the_order_of_its_keys() {
        let forms = [
            r#"{"b":[1.0,412.5,null],"a":"x\"\\\u0007"}"#,
            r#"{"a":"x\"\\\u0007","b":[1,412.50,null]}"#,
        ]
        .map(|json| {
            let mut out = String::new();
            canonical(&serde_json::from_str(json).unwrap(), &mut out);
            out
        });
        assert_eq!(forms[0], r#"{"a":"x\"\\\u0007","b":[1,412.5,null]}"#);
        assert_eq!(forms[0], forms[1]);
    }
}

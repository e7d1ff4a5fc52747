//! What fields of the rows that hold one of several words are in JSON Schema.
//!
//! Never here: a field's meaning, which stands beside the field.

use crate::diagnosis::{FaultKind, NextKind, SiteFault};
use crate::verdict::{LineWord, OutputWord};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use std::borrow::Cow;

/// Declares a type that stands for one of the words that scripts know.
macro_rules! words {
    ($($name:ident $list:expr;)*) => {$(
        /// One of them.
        pub(super) struct $name;

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                stringify!($name).into()
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                let words: Vec<&str> = $list;
                json_schema!({ "type": "string", "enum": words })
            }
        }
    )*};
}

words! {
    LineWords {
        let read = [LineWord::In, LineWord::Close, LineWord::Out].map(LineWord::as_str);
        ["unmeasured"].into_iter().chain(read).collect()
    };
    OutputWords {
        let words = [OutputWord::Ok, OutputWord::Tight, OutputWord::Over, OutputWord::Unknown];
        words.map(OutputWord::as_str).to_vec()
    };
    Faults FaultKind::ALL.map(FaultKind::as_str).to_vec();
    SiteFaults SiteFault::ALL.map(SiteFault::as_str).to_vec();
    Tests {
        let kinds = [NextKind::Reread, NextKind::Listen, NextKind::Split, NextKind::Dc];
        kinds.map(NextKind::as_str).to_vec()
    };
}

/// Ohms, or a word where there is no figure.
pub(super) struct Ohms;

impl JsonSchema for Ohms {
    fn schema_name() -> Cow<'static, str> {
        "Ohms".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "Ohms; an infinite resistance is \"open\", a short \"short\".",
            "oneOf": [
                { "type": "number", "minimum": 0 },
                { "type": "string", "enum": ["open", "short"] },
                { "type": "null" }
            ]
        })
    }
}

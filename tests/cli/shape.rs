//! The shape of `assess --json` as other programs may rely on it, and a walk that holds a document
//! against it. New fields may be there; those named must.

use serde_json::Value;

pub enum Is {
    Number,
    Count,
    Probability,
    Text,
    Flag,
    Word(&'static [&'static str]),
    /// A number, `"open"` or `"short"`.
    Ohms,
    OrNull(Box<Is>),
    List(Box<Is>),
    /// A list of exactly so many.
    Exactly(usize, Box<Is>),
    Object(Vec<(&'static str, Is)>),
}

use Is::{Count, Exactly, Flag, List, Number, Object, Ohms, OrNull, Probability, Text, Word};

pub const FAULTS: &[&str] = &[
    "none",
    "loudspeaker-open",
    "wrong-tap",
    "loudspeaker-short",
    "secondary-short",
    "no-transformer",
    "line-open",
    "line-short",
    "bad-joint",
    "control-down",
    "unlisted-load",
    "other-voltage",
    "two-faults",
];
const SITE_FAULTS: &[&str] = &[
    "swapped-labels",
    "joined-lines",
    "range-multiplier",
    "digit-too-many",
    "dc-reading",
    "moved-loudspeaker",
    "nominal-voltage",
    "common-factor",
    "common-type",
];
const OUTPUTS: &[&str] = &["ok", "short-of-headroom", "overloaded", "unknown"];
const LINES: &[&str] = &[
    "unmeasured",
    "in-tolerance",
    "too-close",
    "out-of-tolerance",
];
const TESTS: &[&str] = &["reread", "listen", "split", "dc"];

fn null(is: Is) -> Is {
    OrNull(Box::new(is))
}

fn list(is: Is) -> Is {
    List(Box::new(is))
}

pub fn assessment() -> Is {
    Object(vec![
        ("schema", Count),
        ("outputs", list(output())),
        ("lines", list(line())),
        (
            "site_hints",
            list(Object(vec![
                ("fault", Word(SITE_FAULTS)),
                ("lines", list(Text)),
                ("probability", Probability),
                ("text", Text),
            ])),
        ),
        (
            "questions",
            list(Object(vec![
                ("kind", Text),
                ("of", Text),
                ("designs", Count),
                ("why", Text),
                ("items", list(Text)),
                (
                    "choices",
                    list(Object(vec![
                        ("stamp", Text),
                        ("by", null(Text)),
                        ("at", null(Text)),
                    ])),
                ),
                ("text", Text),
            ])),
        ),
    ])
}

fn output() -> Is {
    Object(vec![
        ("amplifier", Text),
        ("output", Text),
        ("rated_w", null(Number)),
        ("load_w", null(Number)),
        ("unmeasured_lines", Count),
        ("headroom", null(Number)),
        ("verdict", Word(OUTPUTS)),
        ("rating_needed_w", null(Number)),
    ])
}

fn line() -> Is {
    let measured = || {
        Object(vec![
            ("ohms", Ohms),
            ("watts", null(Number)),
            ("deviation", null(Number)),
        ])
    };
    let dated = || {
        Object(vec![
            ("ohms", Ohms),
            ("watts", null(Number)),
            ("deviation", null(Number)),
            ("when", Text),
        ])
    };
    Object(vec![
        ("line", Text),
        ("zone", Text),
        ("verdict", null(Word(LINES))),
        ("p_out", null(Probability)),
        ("design_w", null(Number)),
        (
            "expected",
            Object(vec![
                ("ohms", null(Ohms)),
                ("watts", null(Number)),
                ("u_rel", null(Number)),
            ]),
        ),
        ("measured", null(measured())),
        ("heard", Exactly(2, Box::new(Count))),
        ("misfit", null(Probability)),
        ("far_end_db", null(Number)),
        (
            "hints",
            list(Object(vec![
                ("fault", Word(FAULTS)),
                ("probability", Probability),
                ("text", Text),
                (
                    "places",
                    list(Object(vec![("at", Text), ("probability", Probability)])),
                ),
            ])),
        ),
        (
            "next",
            list(Object(vec![
                ("test", Word(TESTS)),
                ("at", null(Text)),
                ("gain_bits", null(Number)),
                ("minutes", Number),
                ("text", Text),
            ])),
        ),
        ("as_found", null(dated())),
        ("as_left", null(dated())),
        (
            "insulation",
            null(Object(vec![("ohms", Ohms), ("test_v", Number)])),
        ),
        ("off", Flag),
        ("decision", null(Text)),
    ])
}

/// Where a document is not of this shape; empty where it is.
pub fn wrong(value: &Value, is: &Is) -> Vec<String> {
    let mut out = Vec::new();
    walk(value, is, "", &mut out);
    out
}

fn walk(value: &Value, is: &Is, at: &str, out: &mut Vec<String>) {
    let number = || value.as_f64().filter(|it| it.is_finite());
    let fits = match is {
        Number => number().is_some(),
        Count => value.as_u64().is_some(),
        Probability => number().is_some_and(|it| (0.0..=1.0).contains(&it)),
        Text => value.is_string(),
        Flag => value.is_boolean(),
        Word(words) => value.as_str().is_some_and(|it| words.contains(&it)),
        Ohms => {
            number().is_some_and(|it| it >= 0.0)
                || ["open", "short"].map(Some).contains(&value.as_str())
        }
        OrNull(is) => {
            if !value.is_null() {
                walk(value, is, at, out);
            }
            true
        }
        List(is) => {
            for (n, member) in value.as_array().into_iter().flatten().enumerate() {
                walk(member, is, &format!("{at}[{n}]"), out);
            }
            value.is_array()
        }
        Exactly(count, is) => {
            for (n, member) in value.as_array().into_iter().flatten().enumerate() {
                walk(member, is, &format!("{at}[{n}]"), out);
            }
            value
                .as_array()
                .is_some_and(|members| members.len() == *count)
        }
        Object(fields) => {
            for (name, is) in fields {
                match value.get(name) {
                    Some(member) => walk(member, is, &format!("{at}.{name}"), out),
                    None => out.push(format!("{at}.{name} is missing")),
                }
            }
            value.is_object()
        }
    };
    if !fits {
        out.push(format!("{at} is {value}"));
    }
}

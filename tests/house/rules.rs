//! The rules: what each file is held to, as tables, and what is wrong with a source by each.

use super::source::{Named, Source};
use std::collections::BTreeSet;

/// The layers in order, each with those it may use. What an engineer is shown is reckoned in
/// `analysis` alone, so nothing after it may use `circuit`; `storage` stands aside and knows
/// nothing but facts; `tui` paints what `session` says; `cli` puts the parts together.
pub const LAYERS: [(&str, &[&str]); 13] = [
    ("quantity", &[]),
    ("site", &["quantity"]),
    ("circuit", &["quantity", "site"]),
    ("verdict", &["quantity", "site"]),
    ("diagnosis", &["quantity", "site", "circuit"]),
    ("drawer", &["quantity", "site", "circuit", "diagnosis"]),
    (
        "analysis",
        &["quantity", "site", "circuit", "verdict", "diagnosis"],
    ),
    (
        "review",
        &["quantity", "site", "verdict", "diagnosis", "analysis"],
    ),
    (
        "report",
        &[
            "quantity",
            "site",
            "verdict",
            "diagnosis",
            "analysis",
            "review",
        ],
    ),
    (
        "session",
        &[
            "quantity",
            "site",
            "verdict",
            "diagnosis",
            "analysis",
            "review",
            "report",
        ],
    ),
    ("storage", &["quantity", "site"]),
    ("tui", &["quantity", "site", "session", "storage"]),
    (
        "cli",
        &[
            "quantity", "site", "drawer", "analysis", "review", "report", "session", "storage",
            "tui",
        ],
    ),
];

/// Files that alone may use a layer which others of their own layer may not.
pub const DOORS: [(&str, &str, &str); 2] = [
    // The one command file that opens the screen.
    ("cli", "session", "src/cli/open.rs"),
    ("cli", "tui", "src/cli/open.rs"),
];

/// The outside world: a path that begins so, or has such a name in it, may be named only in these
/// layers (empty: the root of the program) or files.
pub const OUTSIDE: [(&str, &[&str]); 17] = [
    ("ratatui", &["tui"]),
    ("crossterm", &["tui"]),
    ("ctrlc", &["tui"]),
    ("clap", &["cli"]),
    ("directories", &["storage"]),
    // A site's files go through the eleven operations of files.rs; places.rs keeps the user's own
    // small files. The command layer makes the demo's folder and asks the machine its name.
    (
        "std::fs",
        &[
            "src/storage/files.rs",
            "src/storage/places.rs",
            "src/cli/open.rs",
            "src/cli/here.rs",
        ],
    ),
    ("std::io", &["storage", "tui", "cli"]),
    ("std::net", &[]),
    (
        "std::env",
        &[
            "src/storage/places.rs",
            "src/cli/open.rs",
            "src/cli/here.rs",
        ],
    ),
    (
        "std::process",
        &["storage", "src/main.rs", "src/cli/git.rs"],
    ),
    (
        "std::thread",
        &[
            "storage",
            "tui",
            "src/cli/here.rs",
            "src/analysis/cores.rs",
            "src/diagnosis/parallel.rs",
        ],
    ),
    ("std::time", &["storage", "tui", "src/cli/here.rs"]),
    ("OpenOptions", &["src/storage/files.rs"]),
    ("SystemTime", &["src/storage/files.rs"]),
    ("Instant", &["src/storage/files.rs", "src/tui/run.rs"]),
    // The clock, whoever's it is.
    (
        "now()",
        &[
            "src/storage/files.rs",
            "src/tui/run.rs",
            // The time that a key was pressed at, however long the loop is busy.
            "src/tui/hearing.rs",
            "src/cli/here.rs",
        ],
    ),
    // The zone that this machine stands in.
    ("TimeZone::system", &["src/cli/open.rs", "src/cli/here.rs"]),
];

/// The most lines of a file. Past this a second idea has moved in, and wants a file of its own.
pub const LONG: usize = 400;

/// Most fields that are yes or no in one type of the layers that hold what goes on: two make four
/// states, three make eight, of which most are never meant.
pub const MOST_YES_OR_NO: usize = 2;

/// Lints that are denied in the package, and the files that may let them in again.
pub const LET_IN: [(&str, &[&str]); 8] = [
    ("unwrap_used", &["src/lib.rs"]),
    ("expect_used", &["src/lib.rs"]),
    ("panic", &["src/lib.rs"]),
    ("todo", &[]),
    ("dbg_macro", &[]),
    // The commands are the one place that prints.
    ("print_stdout", &["src/cli/mod.rs"]),
    ("print_stderr", &["src/cli/mod.rs"]),
    // Enums whose variants are said in full by their names.
    (
        "missing_docs",
        &[
            "src/session/key.rs",
            "src/session/keys/names.rs",
            "src/site/entry.rs",
            "src/site/item.rs",
            "src/site/item_ref.rs",
        ],
    ),
];

pub fn layers(source: &Source) -> Vec<String> {
    let own = source.layer();
    let who = if own.is_empty() { "the root" } else { &own };
    let place = |named: &Named| format!("{}:{}: {named}", source.path, named.line);
    let may = match LAYERS.iter().find(|(layer, _)| *layer == own) {
        Some((_, may)) => *may,
        // The library's root names its modules; the program's hands over to the commands.
        None if source.path == "src/lib.rs" => &[],
        None if source.path == "src/main.rs" => &["cli"],
        None => return vec![format!("{}: {who} is no layer of the table", source.path)],
    };
    let mut out = Vec::new();
    for named in source.named().iter().filter(|named| named.own) {
        let Some(used) = named.names.first() else {
            out.push(format!("{}: names the whole package", place(named)));
            continue;
        };
        let door = DOORS
            .iter()
            .find(|(layer, to, _)| *layer == own && to == used);
        if *used != own && !may.contains(&used.as_str()) {
            out.push(format!("{}: {who} may not use {used}", place(named)));
        } else if door.is_some_and(|(.., file)| *file != source.path) {
            out.push(format!("{}: not through this file", place(named)));
        }
    }
    out
}

pub fn outside(source: &Source) -> Vec<String> {
    let own = source.layer();
    let mut out = Vec::new();
    for named in source.named().iter().filter(|named| !named.own) {
        let path = named.to_string();
        let whole = format!("{path}::");
        let clock = named.names.len() > 1 && path.ends_with("::now");
        for (what, may) in OUTSIDE {
            let is_it = match what {
                "now()" => clock,
                _ if what.starts_with(char::is_uppercase) => {
                    whole.starts_with(&format!("{what}::"))
                        || whole.contains(&format!("::{what}::"))
                }
                _ => whole.starts_with(&format!("{what}::")),
            };
            if is_it && !may.contains(&own.as_str()) && !may.contains(&source.path.as_str()) {
                out.push(format!(
                    "{}:{}: {path}: {what} is not for here",
                    source.path, named.line
                ));
            }
        }
    }
    out
}

pub fn heads(source: &Source) -> Vec<String> {
    let whole = source.path.ends_with("/mod.rs");
    match (whole, source.head().contains("Never here")) {
        (true, false) => vec![format!("{}: does not say what is never here", source.path)],
        _ => Vec::new(),
    }
}

pub fn yes_or_no(source: &Source) -> Vec<String> {
    if !matches!(source.layer().as_str(), "session" | "tui") {
        return Vec::new();
    }
    let types = source.yes_or_no().into_iter();
    types
        .filter(|(_, count)| *count > MOST_YES_OR_NO)
        .map(|(name, count)| format!("{}: {name} has {count} fields of yes or no", source.path))
        .collect()
}

pub fn long(source: &Source) -> Vec<String> {
    match source.text.lines().count() {
        lines if lines > LONG => vec![format!(
            "{}: {lines} lines; which second idea is it?",
            source.path
        )],
        _ => Vec::new(),
    }
}

pub fn lints(source: &Source) -> Vec<String> {
    let mut out = Vec::new();
    for (at, word) in source.words.iter().enumerate() {
        let place = || format!("{}:{}", source.path, word.line);
        if word.text == "unsafe" {
            out.push(format!("{}: unsafe", place()));
        }
        let lint =
            at > 1 && source.words[at - 1].text == "::" && source.words[at - 2].text == "clippy"
                || word.text == "missing_docs";
        let row = LET_IN.iter().find(|(name, _)| lint && *name == word.text);
        if row.is_some_and(|(_, files)| !files.contains(&source.path.as_str())) {
            out.push(format!("{}: lets {} in", place(), word.text));
        }
    }
    out
}

/// What a paper names in backticks and the package has not: files that are not there, names that no
/// source uses. Commands and signs are let pass.
pub fn papers(text: &str, there: impl Fn(&str) -> bool, names: &BTreeSet<&str>) -> Vec<String> {
    let mut out = Vec::new();
    let mut fenced = false;
    for (at, line) in text.lines().enumerate() {
        fenced ^= line.starts_with("```");
        for span in line.split('`').skip(1).step_by(2).filter(|_| !fenced) {
            let is_name = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
            let missing = if span.contains('/') || span.ends_with(".md") {
                !there(span)
            } else if span.starts_with(char::is_alphabetic) && span.chars().all(is_name) {
                !span.split("::").all(|name| names.contains(name))
            } else {
                false
            };
            if missing {
                out.push(format!("{}: {span} is not there", at + 1));
            }
        }
    }
    out
}

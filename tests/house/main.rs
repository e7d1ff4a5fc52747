//! The house: which layer may use which, who may touch the outside world, and a few things that
//! keep files small and honest. Read from the sources, so that no review has to remember it.
//!
//! Each rule is a function from a source to what it finds wrong; beside the test over `src` stands
//! one on made-up sources, so that a rule that has gone blind is noticed.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod rules;
mod source;

use rules::*;
use source::Source;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut out = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            out.extend(rust_files(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            out.push(path);
        }
    }
    out.sort();
    out
}

/// Every source below a folder of the package.
fn sources(folder: &str) -> Vec<Source> {
    let read = |path: PathBuf| {
        let below = path.strip_prefix(root()).unwrap();
        let name = below.to_str().unwrap().replace('\\', "/");
        Source::of(&name, &std::fs::read_to_string(&path).unwrap())
    };
    let out: Vec<Source> = rust_files(&root().join(folder))
        .into_iter()
        .map(read)
        .collect();
    assert!(out.len() > 10, "{folder} was not found");
    out
}

#[track_caller]
fn none(found: Vec<String>) {
    assert!(found.is_empty(), "\n{}\n", found.join("\n"));
}

/// What a rule finds wrong in all of `src`.
fn all(rule: impl Fn(&Source) -> Vec<String>) -> Vec<String> {
    sources("src").iter().flat_map(rule).collect()
}

/// What a rule finds in a made-up source.
#[track_caller]
fn wrong(rule: fn(&Source) -> Vec<String>, path: &str, text: &str, wanted: &[&str]) {
    assert_eq!(rule(&Source::of(path, text)), wanted, "{path}: {text}");
}

#[test]
fn the_table_admits_no_way_round_and_has_every_module() {
    for (at, (layer, may)) in LAYERS.iter().enumerate() {
        for used in *may {
            let before = LAYERS[..at].iter().any(|(other, _)| other == used);
            assert!(
                before,
                "{layer} uses {used}, which does not stand before it"
            );
        }
    }
    let root = sources("src")
        .into_iter()
        .find(|it| it.path == "src/lib.rs")
        .unwrap();
    let mut modules: Vec<&str> = root
        .words
        .windows(2)
        .filter(|pair| pair[0].text == "mod")
        .map(|pair| pair[1].text.as_str())
        .collect();
    let mut listed: Vec<&str> = LAYERS.iter().map(|(layer, _)| *layer).collect();
    modules.sort_unstable();
    listed.sort_unstable();
    assert_eq!(modules, listed);
}

#[test]
fn every_layer_uses_only_those_it_may() {
    none(all(layers));
}

#[test]
fn a_layer_that_uses_what_it_may_not_is_found() {
    wrong(
        layers,
        "src/session/draft.rs",
        "use crate::site::Site;\nuse crate::{analysis, storage::Store};",
        &["src/session/draft.rs:2: storage::Store: session may not use storage"],
    );
    wrong(
        layers,
        "src/storage/store.rs",
        "fn f() { crate::verdict::load() }",
        &["src/storage/store.rs:1: verdict::load: storage may not use verdict"],
    );
    wrong(
        layers,
        "src/verdict/line.rs",
        "mod tests { use super::super::super::diagnosis::Posterior; }",
        &["src/verdict/line.rs:1: diagnosis::Posterior: verdict may not use diagnosis"],
    );
    wrong(
        layers,
        "src/session/view/text.rs",
        "use crate::circuit::Network;",
        &["src/session/view/text.rs:1: circuit::Network: session may not use circuit"],
    );
    wrong(
        layers,
        "src/cli/assess.rs",
        "use crate::tui;",
        &["src/cli/assess.rs:1: tui: not through this file"],
    );
    wrong(
        layers,
        "src/cli/open.rs",
        "use crate::tui::{self, Setup};",
        &[],
    );
    wrong(
        layers,
        "src/site/log.rs",
        "use crate::*;",
        &["src/site/log.rs:1: *: site may not use *"],
    );
    wrong(
        layers,
        "src/helpers.rs",
        "",
        &["src/helpers.rs: helpers is no layer of the table"],
    );
    wrong(
        layers,
        "src/main.rs",
        "use linewright::{cli, storage};",
        &["src/main.rs:1: storage: the root may not use storage"],
    );
}

#[test]
fn files_the_clock_and_the_terminal_are_touched_only_where_they_may_be() {
    none(all(outside));
}

#[test]
fn a_touch_of_the_outside_world_is_found() {
    let path = "src/session/update.rs";
    let cases = [
        ("use std::{fmt, fs};", "std::fs: std::fs"),
        ("use std::io::Write;", "std::io::Write: std::io"),
        ("use std::time::Duration;", "std::time::Duration: std::time"),
        (
            "use ratatui::style::Style;",
            "ratatui::style::Style: ratatui",
        ),
        (
            "let key: crossterm::event::KeyCode;",
            "crossterm::event::KeyCode: crossterm",
        ),
        ("let at = Timestamp::now();", "Timestamp::now: now()"),
        (
            "let zone = jiff::tz::TimeZone::system();",
            "jiff::tz::TimeZone::system: TimeZone::system",
        ),
        ("let home = std::env::var(name);", "std::env::var: std::env"),
        ("OpenOptions::new();", "OpenOptions::new: OpenOptions"),
    ];
    for (text, found) in cases {
        wrong(
            outside,
            path,
            text,
            &[&format!("{path}:1: {found} is not for here")],
        );
    }
    wrong(outside, path, "use std::fmt::Write; // std::fs", &[]);
    wrong(
        outside,
        "src/tui/run.rs",
        "use std::time::Instant; use ratatui::Frame;",
        &[],
    );
    let store = "src/storage/store.rs";
    wrong(
        outside,
        store,
        "use std::fs::File;",
        &["src/storage/store.rs:1: std::fs::File: std::fs is not for here"],
    );
}

#[test]
fn every_module_says_at_its_head_what_is_never_in_it() {
    none(all(heads));
    wrong(
        heads,
        "src/session/view/mod.rs",
        "//! The screen.\n\n// Never here: files.\nmod text;",
        &["src/session/view/mod.rs: does not say what is never here"],
    );
    wrong(
        heads,
        "src/tui/mod.rs",
        "//! The terminal.\n//!\n//! Never here: figures.",
        &[],
    );
}

#[test]
fn states_are_not_kept_as_a_handful_of_yes_and_no() {
    none(all(yes_or_no));
    let text = "struct App { reading: bool, finding: bool, leaving: bool }";
    wrong(
        yes_or_no,
        "src/tui/run.rs",
        text,
        &["src/tui/run.rs: App has 3 fields of yes or no"],
    );
    wrong(yes_or_no, "src/verdict/line.rs", text, &[]);
}

#[test]
fn no_file_is_long() {
    none(all(long));
    let text = "fn f() {}\n".repeat(LONG + 1);
    wrong(
        long,
        "src/site/plan.rs",
        &text,
        &["src/site/plan.rs: 401 lines; which second idea is it?"],
    );
    wrong(long, "src/site/plan.rs", "fn f() {}\n", &[]);
}

#[test]
fn nothing_is_unsafe_and_no_denied_lint_is_let_in_by_the_back_door() {
    none(all(lints));
    let tests = sources("tests");
    let unsafe_tests = tests
        .iter()
        .flat_map(lints)
        .filter(|found| found.ends_with("unsafe"));
    none(unsafe_tests.collect());
    wrong(
        lints,
        "src/site/log.rs",
        "#[allow(clippy::unwrap_used)] fn f() { unsafe { g() } } // unsafe",
        &[
            "src/site/log.rs:1: lets unwrap_used in",
            "src/site/log.rs:1: unsafe",
        ],
    );
    let manifest = std::fs::read_to_string(root().join("Cargo.toml")).unwrap();
    assert!(manifest.contains("unsafe_code = \"forbid\""));
}

#[test]
fn what_the_developers_paper_names_is_there() {
    let text = std::fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let sources = [sources("src"), sources("tests")].concat();
    let words = sources.iter().flat_map(|source| &source.words);
    let names: BTreeSet<&str> = words.map(|word| word.text.as_str()).collect();
    let there = |path: &str| root().join(path).exists();
    none(papers(&text, there, &names));
    let made_up = "See `src/lib.rs` and `src/gone.rs`, `update`, `Session::gone_astray`,\n\
                   `.ron`, `cargo test` and `^`.\n```\n`nowhere`\n```\n`never_heard_of`";
    assert_eq!(
        papers(made_up, there, &BTreeSet::from(["update", "Session"])),
        [
            "1: src/gone.rs is not there",
            "1: Session::gone_astray is not there",
            "6: never_heard_of is not there",
        ]
    );
}

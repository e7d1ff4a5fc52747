//! docs/dependencies.md names every crate that is asked for; each is used; every licence of what they
//! bring is one that we may ship beside.

use serde_json::Value;
use std::process::Command;

/// Licences that ask for no more than their text to be kept, and MPL-2.0, which asks it of its own
/// files alone.
const LICENCES: &[&str] = &[
    "MIT",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "0BSD",
    "Unlicense",
    "Unicode-3.0",
    "Unicode-DFS-2016",
    "WTFPL",
    "CC0-1.0",
    "MPL-2.0",
];

fn metadata() -> Value {
    let out = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked", "--offline"])
        .output()
        .unwrap();
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    serde_json::from_slice(&out.stdout).unwrap()
}

/// Whether one may be chosen of those that an expression offers; `AND` wants all of its parts.
fn may_be_shipped(expression: &str) -> bool {
    let flat = expression.replace('/', " OR ").replace(['(', ')'], "");
    let every = |all: &str| all.split(" AND ").all(|it| LICENCES.contains(&it.trim()));
    // Where both stand the stricter reading: each part of every choice.
    if flat.contains(" AND ") && flat.contains(" OR ") {
        return flat
            .split(" AND ")
            .all(|part| part.split(" OR ").any(every));
    }
    flat.split(" OR ").any(every)
}

#[test]
fn every_licence_is_one_of_the_list() {
    let metadata = metadata();
    let packages = metadata["packages"].as_array().unwrap();
    assert!(packages.len() > 100);
    for package in packages {
        let licence = package["license"].as_str().unwrap_or("none");
        assert!(may_be_shipped(licence), "{}: {licence}", package["name"]);
    }
}

#[test]
fn a_licence_that_is_not_on_the_list_is_found() {
    assert!(may_be_shipped("MIT OR GPL-3.0-only"));
    assert!(may_be_shipped("(MIT OR Apache-2.0) AND Unicode-3.0"));
    assert!(!may_be_shipped("GPL-3.0-only"));
    assert!(!may_be_shipped("MIT AND GPL-3.0-only"));
}

#[test]
fn every_crate_that_is_asked_for_is_told_of_and_used() {
    let metadata = metadata();
    let page = std::fs::read_to_string("docs/dependencies.md").unwrap();
    let packages = metadata["packages"].as_array().unwrap();
    let own = packages
        .iter()
        .find(|it| it["name"] == "linewright")
        .unwrap();
    let source = source("src");
    let tests = source.clone() + &self::source("tests");
    for dependency in own["dependencies"].as_array().unwrap() {
        let name = dependency["name"].as_str().unwrap();
        assert!(
            page.contains(name),
            "docs/dependencies.md does not tell of {name}"
        );
        let word = name.replace('-', "_");
        let of_tests = dependency["kind"] == "dev";
        let searched = if of_tests { &tests } else { &source };
        let used = [format!("{word}::"), format!("use {word}")];
        assert!(
            used.iter().any(|it| searched.contains(it)),
            "{name} is not used"
        );
    }
}

/// Name and version of every package of a lock file.
fn locked(path: &str) -> Vec<(String, String)> {
    let text = std::fs::read_to_string(path).unwrap();
    let value = |block: &str, key: &str| {
        let mut lines = block.lines();
        let line = lines.find_map(|line| line.strip_prefix(&format!("{key} = \"")));
        line.map(|it| it.trim_end_matches('"').to_owned())
    };
    let blocks = text.split("[[package]]").skip(1);
    blocks
        .map(|block| {
            (
                value(block, "name").unwrap(),
                value(block, "version").unwrap(),
            )
        })
        .collect()
}

#[test]
fn the_fuzz_targets_are_built_with_the_crates_of_the_program() {
    let (own, fuzz) = (locked("Cargo.lock"), locked("tests/fuzz/Cargo.lock"));
    let is_known = |name: &str| own.iter().any(|it| it.0 == name);
    let shared: Vec<_> = fuzz.iter().filter(|it| is_known(&it.0)).collect();
    assert!(shared.len() > 40, "{}", shared.len());
    for package in shared {
        assert!(
            own.contains(package),
            "{} {}: tests/fuzz/README.md tells how its lock file follows",
            package.0,
            package.1
        );
    }
}

/// Every source file under a folder, one after the other.
fn source(folder: &str) -> String {
    let mut out = String::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            out += &source(path.to_str().unwrap());
        } else if path.extension().is_some_and(|it| it == "rs") {
            out += &std::fs::read_to_string(&path).unwrap();
        }
    }
    out
}

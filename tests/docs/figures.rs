//! Every figure that a page says in words is reckoned here, or stands in a list with where it is from.
//!
//! A figure is any run of digits outside of blocks, of `code` and of names such as UTF-8. To add one: put the words around it
//! into `reckoned`, with the program's own figure in them, or into `FROM_OUTSIDE`.

use super::blocks::{Piece, cut, pages};
use super::desk::demo;
use linewright::site::NodeIs;
use std::collections::BTreeSet;

/// Words with figures that are no results of the program, and where they are from.
const FROM_OUTSIDE: &[(&str, &str)] = &[
    ("100 V", "a line voltage of the trade"),
    ("70.7 V", "a line voltage of the trade"),
    ("up to 200 V rms", "the highest line voltage of the trade"),
    (
        "above the 50 V limit of extra-low voltage",
        "IEC 61140, table 2",
    ),
    (
        "puts 250 to 500 V DC there",
        "IEC 60364-6, minima of insulation resistance",
    ),
    ("V²/Z", "the square"),
    ("RFC 3339", "the standard of times"),
    (
        "with exit status 2",
        "the shell line above it is run with it",
    ),
    (
        "Rust, 1.92 or newer",
        "rust-version in Cargo.toml, see the test below",
    ),
    ("Apache-2.0", "a licence's name"),
];

/// Pages whose figures are held elsewhere.
const HELD_ELSEWHERE: &[(&str, &str)] = &[
    (
        "DEVELOPERS.md",
        "tests/house holds its tree; it is for contributors",
    ),
    ("docs/CHANGELOG.md", "what was, not what is"),
    (
        "docs/speed.md",
        "ratios of one run of one machine: `cargo bench` prints them anew",
    ),
    ("sites/README.md", "tests/demo.rs"),
];

/// What the program says now, in the words of a page.
fn reckoned() -> Vec<String> {
    let site = demo();
    let plan = site.plan();
    let nodes = plan.lines.iter().flat_map(|line| &line.nodes);
    let loudspeakers = nodes
        .filter(|node| matches!(node.is, NodeIs::Loudspeaker { .. }))
        .count();
    let amplifiers: BTreeSet<_> = plan.outputs.iter().map(|it| &it.amplifier).collect();
    assert_eq!(amplifiers.len(), 5, "the pages say five amplifiers");
    vec![
        format!("{} lines", plan.lines.len()),
        format!("{loudspeakers} loudspeakers"),
    ]
}

/// Prose with code and comments taken out, blanks made one.
fn words(text: &str) -> String {
    let prose: Vec<String> = cut(text)
        .into_iter()
        .filter_map(|piece| match piece {
            Piece::Prose(line) => Some(line),
            _ => None,
        })
        .collect();
    let joined = prose.join(" ");
    let without_code: Vec<&str> = joined.split('`').step_by(2).collect();
    let words: Vec<&str> = without_code
        .iter()
        .flat_map(|it| it.split_whitespace())
        .collect();
    words.join(" ")
}

/// Figures that no claim covers, with the words around them.
fn uncovered(words: &str, claims: &[String]) -> Vec<String> {
    let mut covered = vec![false; words.len()];
    for claim in claims {
        for (at, found) in words.match_indices(claim.as_str()) {
            covered[at..at + found.len()].fill(true);
        }
    }
    // A word that begins with a letter is a name: TH-1, UTF-8.
    let in_name = |at: usize| {
        let start = words[..at].rfind(' ').map_or(0, |it| it + 1);
        words[start..]
            .trim_start_matches(['(', '*'])
            .starts_with(char::is_alphabetic)
    };
    let digits = words
        .char_indices()
        .filter(|(at, c)| c.is_ascii_digit() && !covered[*at] && !in_name(*at));
    digits
        .map(|(at, _)| {
            let from = words.floor_char_boundary(at.saturating_sub(30));
            let to = words.floor_char_boundary((at + 30).min(words.len()));
            words[from..to].to_owned()
        })
        .collect()
}

#[test]
fn every_figure_of_the_pages_is_the_programs_or_has_its_source() {
    let mut claims = reckoned();
    claims.extend(FROM_OUTSIDE.iter().map(|(words, _)| (*words).to_owned()));
    claims.extend(super::method::claims());
    let mut wrong = Vec::new();
    for page in pages() {
        let name = page.to_str().unwrap();
        if HELD_ELSEWHERE.iter().any(|(held, _)| *held == name) {
            continue;
        }
        let text = std::fs::read_to_string(&page).unwrap();
        let left = uncovered(&words(&text), &claims);
        wrong.extend(left.into_iter().map(|it| format!("{name}: {it}")));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn a_figure_that_nobody_claims_is_found() {
    let claims = vec!["42 lines".to_owned()];
    assert_eq!(uncovered("it has 42 lines", &claims), [""; 0]);
    assert_eq!(uncovered("it has 43 lines", &claims).len(), 2);
}

#[test]
fn the_readme_asks_for_the_toolchain_that_the_manifest_does() {
    let manifest = std::fs::read_to_string("Cargo.toml").unwrap();
    let asked = manifest
        .lines()
        .find_map(|line| line.strip_prefix("rust-version = \""));
    let asked = asked.unwrap().trim_end_matches('"');
    let readme = std::fs::read_to_string("README.md").unwrap();
    assert!(
        readme.contains(&format!("(Rust, {asked} or newer)")),
        "{asked}"
    );
}

//! Every link of a page leads to a file of this repository, and to a heading there.

use super::blocks::{Piece, cut, pages};
use std::collections::BTreeSet;
use std::path::Path;

/// A heading as links name it: small letters and digits, blanks as hyphens.
fn anchor(heading: &str) -> String {
    let kept = heading.trim().to_lowercase();
    let kept = kept.chars().filter_map(|c| match c {
        ' ' => Some('-'),
        c if c.is_alphanumeric() || c == '-' || c == '_' => Some(c),
        _ => None,
    });
    kept.collect()
}

fn anchors(page: &Path) -> BTreeSet<String> {
    let text = std::fs::read_to_string(page).unwrap();
    let pieces = cut(&text);
    let prose = pieces.iter().filter_map(|piece| match piece {
        Piece::Prose(line) => line.strip_prefix('#'),
        _ => None,
    });
    prose
        .map(|line| anchor(line.trim_start_matches('#')))
        .collect()
}

#[test]
fn every_link_leads_to_a_file_and_a_heading_that_are_there() {
    let mut links = 0;
    for page in pages() {
        let text = std::fs::read_to_string(&page).unwrap();
        let prose: Vec<String> = cut(&text)
            .into_iter()
            .filter_map(|piece| match piece {
                Piece::Prose(line) => Some(line),
                _ => None,
            })
            .collect();
        let prose = prose.join("\n");
        for link in prose.split("](").skip(1) {
            let link = link.split(')').next().unwrap();
            assert!(!link.contains("://"), "{}: {link}", page.display());
            let (file, heading) = link.split_once('#').unwrap_or((link, ""));
            let target = if file.is_empty() {
                page.clone()
            } else {
                page.parent().unwrap().join(file)
            };
            assert!(target.exists(), "{}: {link}", page.display());
            assert!(
                heading.is_empty() || anchors(&target).contains(heading),
                "{}: {link}: {:?}",
                page.display(),
                anchors(&target)
            );
            links += 1;
        }
    }
    assert!(links > 0);
}

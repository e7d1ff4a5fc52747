//! The table of figures in docs/method.md is that of the program.

use super::blocks::{Piece, block_after, cut, join};
use linewright::site::Figure;

const PAGE: &str = "docs/method.md";

/// Words of docs/method.md with figures: formulas, and names of standards and papers.
pub fn claims() -> Vec<String> {
    [
        "V²/P",
        "V²/|Z|",
        "IEC 60228, class 1 and 2",
        "IEC 60028",
        "JCGM 100",
        "JCGM 106",
        "Minka, 2001",
        "Williams (1987)",
    ]
    .map(str::to_owned)
    .to_vec()
}

fn table() -> String {
    let mut out = String::new();
    for figure in Figure::ALL {
        let row = figure.row();
        out += &format!("{:<24} {:>9}  {}\n", row.name, row.default, row.about);
        out += &format!("{:<24} {:>9}  [{}]\n", "", "", row.source);
    }
    out
}

fn filled() -> (String, String) {
    let text = std::fs::read_to_string(PAGE).unwrap();
    let mut pieces: Vec<Piece> = cut(&text);
    let order = Piece::Order("figures".to_owned(), String::new());
    let at = pieces.iter().position(|it| *it == order).unwrap();
    *block_after(&mut pieces, at) = table();
    (text, join(&pieces))
}

#[test]
fn the_table_of_assumptions_is_the_programs() {
    let (text, real) = filled();
    assert!(
        text == real,
        "{PAGE}: run `cargo test --test docs -- --ignored`"
    );
}

/// Puts the table into the page.
pub fn write() {
    std::fs::write(PAGE, filled().1).unwrap();
}

//! The tables of faults, of figures and of what is fixed in docs/method.md are those of the program.

use super::blocks::{Piece, block_after, cut, join};
use linewright::diagnosis::FAULTS;
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

fn faults() -> String {
    let row = |it: &&linewright::diagnosis::FaultType| {
        format!("{:<18} {}\n", it.kind.as_str(), it.meaning)
    };
    FAULTS.iter().map(row).collect()
}

fn figures() -> String {
    let mut out = String::new();
    for figure in Figure::ALL {
        let row = figure.row();
        out += &format!("{:<24} {:>9}  {}\n", row.name, row.default, row.about);
        out += &format!("{:<24} {:>9}  [{}]\n", "", "", row.source);
    }
    out
}

fn fixed() -> String {
    let rows = linewright::diagnosis::fixed().into_iter();
    let rows = rows.map(|it| {
        format!(
            "{:<22} {}\n{:<22} [{}]\n",
            it.value, it.about, "", it.source
        )
    });
    rows.collect()
}

fn filled() -> (String, String) {
    let text = std::fs::read_to_string(PAGE).unwrap();
    let mut pieces: Vec<Piece> = cut(&text);
    for (name, table) in [
        ("faults", faults()),
        ("figures", figures()),
        ("fixed", fixed()),
    ] {
        let order = Piece::Order(name.to_owned(), String::new());
        let at = pieces.iter().position(|it| *it == order).unwrap();
        *block_after(&mut pieces, at) = table;
    }
    (text, join(&pieces))
}

#[test]
fn the_tables_of_faults_and_of_assumptions_are_the_programs() {
    let (text, real) = filled();
    assert!(
        text == real,
        "{PAGE}: run `cargo test --test docs -- --ignored`"
    );
}

/// Puts the tables into the page.
pub fn write() {
    std::fs::write(PAGE, filled().1).unwrap();
}

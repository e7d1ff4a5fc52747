//! A page cut at its fences: prose, the comments that steer tests, and blocks.
//!
//! ```text
//! <!-- desk: demo 80x24 ascii -->    an engineer sits down at the demo; `empty` for a new site, `evening`
//!                                    for a hall at the end of its day
//! <!-- keys: /th-1{Enter} -->        keys are typed
//! <!-- screen -->                    the next block is the screen as it stands then
//! <!-- output -->                    the next block is what the last shell line printed
//! <!-- faults -->, <!-- figures -->, <!-- fixed -->
//!                                    the next block is the program's table of them
//! <!-- file: record.md Summary -->   the next block is what stands there under that heading
//! ```

use std::path::PathBuf;

/// A piece of a page, in order.
#[derive(Clone, Debug, PartialEq)]
pub enum Piece {
    /// A line outside of every block.
    Prose(String),
    /// `<!-- word: rest -->`.
    Order(String, String),
    /// A fenced block: what it is of, and its text.
    Block(String, String),
}

/// README.md, DEVELOPERS.md and every page of docs/, in the order of their names.
pub fn pages() -> Vec<PathBuf> {
    let mut pages: Vec<PathBuf> = std::fs::read_dir("docs")
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|it| it == "md"))
        .collect();
    pages.extend(["README.md", "DEVELOPERS.md", "sites/README.md"].map(PathBuf::from));
    pages.sort();
    pages
}

/// Cuts a page.
pub fn cut(text: &str) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        if let Some(of) = line.strip_prefix("```") {
            let inside: Vec<&str> = lines.by_ref().take_while(|it| *it != "```").collect();
            let inside: String = inside.iter().map(|it| format!("{it}\n")).collect();
            pieces.push(Piece::Block(of.to_owned(), inside));
        } else if let Some(order) = line
            .strip_prefix("<!-- ")
            .and_then(|it| it.strip_suffix(" -->"))
        {
            let (word, rest) = order.split_once(": ").unwrap_or((order, ""));
            pieces.push(Piece::Order(word.to_owned(), rest.to_owned()));
        } else {
            pieces.push(Piece::Prose(line.to_owned()));
        }
    }
    pieces
}

/// Puts a page together again.
pub fn join(pieces: &[Piece]) -> String {
    let lines = pieces.iter().map(|piece| match piece {
        Piece::Prose(line) => format!("{line}\n"),
        Piece::Order(word, rest) if rest.is_empty() => format!("<!-- {word} -->\n"),
        Piece::Order(word, rest) => format!("<!-- {word}: {rest} -->\n"),
        Piece::Block(of, inside) => format!("```{of}\n{inside}```\n"),
    });
    lines.collect()
}

/// What stands in the block after an order.
pub fn block_after(pieces: &mut [Piece], order: usize) -> &mut String {
    match pieces.get_mut(order + 1) {
        Some(Piece::Block(_, inside)) => inside,
        other => panic!("a block was wanted after the order, found {other:?}"),
    }
}

#[test]
fn a_page_put_together_again_is_the_page() {
    for page in pages() {
        let text = std::fs::read_to_string(&page).unwrap();
        assert_eq!(join(&cut(&text)), text, "{}", page.display());
    }
}

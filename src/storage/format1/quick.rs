//! A site file that there is nothing to say of, which is nearly every one, read without keeping
//! places and on two cores: in the time of the reader itself and little more.

use super::scan::amiss;
use super::{FORMAT, File, LONGEST_NOTE, MOST_ENTRIES, MOST_ITEMS, options};
use crate::site::{Design, Drawn, Elements, Item, Log, Ref, Site, Stamp, unsound};
use serde::Serialize;

/// What stands before the rows of the items, as a linewright writes it.
const ITEMS: &str = "\n items: [\n";
/// What stands behind them.
const LOG: &str = "\n ],\n log: [";
/// Fewer bytes are not worth a second thread.
const WORTH_SHARING: usize = 100_000;

/// An item, named.
type Row = (Ref, Stamp, Design);

/// The site of a text; none where anything is to be said of it, which a slower look then finds and
/// places.
pub(super) fn quick(text: &str) -> Option<Site> {
    let (file, rows) = file(text)?;
    let fits = file.format == FORMAT
        && rows.len() <= MOST_ITEMS
        && file.log.len() <= MOST_ENTRIES
        && file.questions.is_empty();
    if !fits || !file.log.iter().all(is_fit) {
        return None;
    }
    let elements = Elements::of_rows(rows)?;
    let mut log = Log::default();
    for entry in file.log {
        log.add(entry);
    }
    // Looked over on one core while the plan is put together on another.
    let (sound, drawn) = std::thread::scope(|scope| {
        let sound = scope.spawn(|| elements.fit() && unsound(&elements, &log).is_empty());
        let drawn = Drawn::of(&elements);
        (sound.join().is_ok_and(|sound| sound), drawn)
    });
    sound.then(|| Site::of_drawn(file.id, elements, log, drawn))
}

fn is_fit(row: &impl Serialize) -> bool {
    amiss(row, LONGEST_NOTE).is_none()
}

/// The rows of a text, its items apart, which are read in two parts at once where they stand one a
/// line.
fn file(text: &str) -> Option<(File, Vec<Row>)> {
    let Some((before, first, second, after)) = parts(text) else {
        let mut file: File = options().from_str(text).ok()?;
        let rows = sorted(std::mem::take(&mut file.items))?;
        return Some((file, rows));
    };
    let rest = format!("{before}{after}");
    std::thread::scope(|scope| {
        let other = scope.spawn(move || items(second));
        let mut all = items(first)?;
        let file: File = options().from_str(&rest).ok()?;
        all.extend(other.join().ok()??);
        Some((file, all))
    })
}

/// Rows of items that may all stand in a file.
fn items(rows: &str) -> Option<Vec<Row>> {
    sorted(options().from_str(&format!("[{rows}]")).ok()?)
}

/// The same, named and in order; none where one of them may not stand in a file.
fn sorted(items: Vec<Item>) -> Option<Vec<Row>> {
    if !items.iter().all(is_fit) {
        return None;
    }
    let named = |item: Item| (Ref::new(item.is.kind(), &item.id), item.stamp, item.is);
    let mut rows: Vec<Row> = items.into_iter().map(named).collect();
    rows.sort_by(|a, b| a.0.cmp(&b.0));
    Some(rows)
}

/// What stands before the items, two parts of them, and what stands behind: the first part is shorter
/// by what is read with it. Cut at the end of a line: where that is no end of a row, one of the parts
/// cannot be read, and the text is read whole.
fn parts(text: &str) -> Option<(&str, &str, &str, &str)> {
    let from = text.find(ITEMS)? + ITEMS.len();
    let to = from + text[from..].find(LOG)?;
    let rows = &text[from..to];
    if rows.len() < WORTH_SHARING {
        return None;
    }
    let mut middle = rows.len().saturating_sub(text.len() - to) / 2;
    while !rows.is_char_boundary(middle) {
        middle += 1;
    }
    let cut = middle + rows[middle..].find('\n')?;
    Some((&text[..from], &rows[..cut], &rows[cut..], &text[to..]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::Zone;
    use crate::storage::format1::{read, write};

    fn large() -> String {
        let mut items = crate::site::birth_items();
        for n in 0..2_000 {
            let is = Design::Zone(Zone {
                label: format!("Zone {n} of a building"),
                order: f64::from(n),
            });
            items.push(Item {
                id: format!("Zone {n}"),
                stamp: "i-a".into(),
                is,
            });
        }
        let site = Site::new("s-a".into(), Elements::from_iter(items), Log::default());
        String::from_utf8(write(&site).unwrap()).unwrap()
    }

    #[test]
    fn a_large_file_read_in_parts_is_what_it_is_read_whole() {
        let text = large();
        assert!(parts(&text).is_some());
        let site = quick(&text).unwrap();
        assert_eq!(write(&site).unwrap(), text.as_bytes());
    }

    #[test]
    fn a_slip_in_either_part_is_placed_as_in_a_small_file() {
        let text = large();
        for zone in ["Zone 10", "Zone 1990"] {
            let slip = text.replace(&format!("label: \"{zone} of"), "labl: \"x of");
            assert!(quick(&slip).is_none());
            let line = text
                .lines()
                .position(|it| it.contains(&format!("\"{zone}\"")))
                .unwrap()
                + 1;
            let why = read("S.ron", slip.as_bytes()).unwrap_err().to_string();
            assert!(why.contains(&format!("S.ron:{line}:")), "{why}");
        }
    }

    #[test]
    fn words_in_a_text_that_look_like_the_end_of_the_items_do_no_harm() {
        // Refused whole as in parts, since a label has no line ends; never another site.
        let raw = large().replace("\"Zone 7 of a building\"", "r#\"\n ],\n log: [\"#");
        assert!(raw.len() > large().len() - 10 && quick(&raw).is_none());
        let why = read("S.ron", raw.as_bytes()).unwrap_err().to_string();
        assert!(why.contains("label"), "{why}");
    }
}

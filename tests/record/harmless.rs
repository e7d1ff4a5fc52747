//! The same bytes twice, nothing that runs, labels that wish harm.

use super::*;

#[test]
fn the_same_facts_make_the_same_bytes() {
    let (one, other) = (assessed(&demo()), assessed(&demo()));
    let (a, b) = (record(&one), record(&other));
    assert_eq!(a, b);
    assert_eq!(html(&a), html(&b));
    assert_eq!(markdown(&a), markdown(&b));
    assert_eq!(pdf(&a, Paper::A4).unwrap(), pdf(&b, Paper::A4).unwrap());
    assert_eq!(csv(&one, Separator::Comma), csv(&other, Separator::Comma));
}

#[test]
fn a_page_fetches_nothing_and_runs_nothing() {
    let page = html(&record(glasshouse()));
    for word in [
        "<script",
        "javascript:",
        " src=",
        "url(",
        "@import",
        "<link",
        "<iframe",
        "onload",
    ] {
        assert!(!page.contains(word), "{word}");
    }
    assert!(page.contains("default-src 'none'"));
    assert!(page.contains("<svg"));
}

#[test]
fn labels_that_wish_harm_are_harmless_and_legible_in_every_format() {
    let data = assessed(&hostile());
    let document = record(&data);
    let page = html(&document);
    assert!(!page.contains("<script") && !page.contains("<img") && !page.contains("<b>"));
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    assert!(page.contains(HOSTILE[3]) && page.contains("\u{1f50a} loud"));
    assert!(!page.contains('\u{202e}') && page.contains("\\u{202e}back"));
    // In Markdown they are no markup.
    let text = markdown(&document);
    assert!(text.contains("\\<script\\>alert(1)\\</script\\>"), "{text}");
    assert!(text.contains("a\\|b \\`c\\` \\*d\\* \\[e\\](f)"), "{text}");
    // In a spreadsheet they are text.
    let bytes = csv(&data, Separator::Comma);
    let (heads, rows) = csv_table(&bytes, b',');
    for row in &rows {
        for (head, cell) in heads.iter().zip(row) {
            let formula = cell.starts_with(['=', '+', '-', '@']);
            assert!(!formula || cell.parse::<f64>().is_ok(), "{head}: {cell}");
        }
    }
    let labelled: Vec<&String> = rows.iter().map(|row| &row[0]).collect();
    assert_eq!(labelled[0], HOSTILE[0]);
    assert_eq!(labelled[1], "'=1+1");
    assert_eq!(labelled[3], HOSTILE[3]);
    assert_eq!(labelled[7].len(), 200);
    // And the PDF is one.
    assert!(pdf(&document, Paper::Letter).unwrap().starts_with(b"%PDF-"));
}

#[test]
fn a_name_of_300_letters_wraps_in_a_table_and_a_heading() {
    let name = "m".repeat(300);
    let mut table = Table::new(&["line", ">reads"]);
    table.row(vec![name.clone(), "412 ohm".to_owned()]);
    let document = Document {
        title: name.clone(),
        subtitle: "record".to_owned(),
        foot: name.clone(),
        blocks: vec![Block::Heading(1, name.clone()), Block::Table(table)],
    };
    assert!(pdf(&document, Paper::A4).is_ok());
    assert!(html(&document).contains("class=\"w\""));
}

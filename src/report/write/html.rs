//! A document as one HTML file: no script, nothing fetched from elsewhere, prints on A4 and Letter,
//! reads on a phone (a table's rows become cards).

use super::super::document::{Block, Document, Side, Table};
use super::svg::svg;
use crate::quantity::show::harmless;
use maud::{DOCTYPE, Markup, html};

/// Looks. Paper size is the printer's; margins hold both.
const STYLE: &str = "\
:root{color-scheme:light;--ink:#111;--faint:#666;--rule:#bbb}
*{box-sizing:border-box}
body{margin:0 auto;padding:1rem;max-width:60rem;color:var(--ink);background:#fff;
font:16px/1.45 'DejaVu Sans',Verdana,system-ui,sans-serif;overflow-wrap:break-word}
h1{font-size:1.7rem;line-height:1.2;margin:.5rem 0}
h2{font-size:1.25rem;margin:2rem 0 .5rem;border-bottom:2px solid var(--ink)}
h3{font-size:1.05rem;margin:1.2rem 0 .3rem}
p.sub,footer{color:var(--faint)}
figure{margin:1rem 0}figcaption{font-size:.9rem;font-weight:bold;margin-bottom:.3rem}
p.note{font-size:.8rem;color:var(--faint);margin:.2rem 0}
svg{display:block;width:100%;height:auto}
svg text{font:11px 'DejaVu Sans',Verdana,sans-serif;fill:var(--ink)}
svg text.sign{text-anchor:middle;font-weight:bold;font-size:13px}
svg line{stroke:var(--ink);stroke-width:1}svg rect{fill:var(--faint)}
table{border-collapse:collapse;width:100%;margin:.5rem 0;font-size:.85rem;font-variant-numeric:tabular-nums}
th,td{padding:.2rem .4rem;border-bottom:1px solid var(--rule);text-align:left;vertical-align:top}
th{border-bottom:2px solid var(--ink);vertical-align:bottom;background:#ececec}
table.l{font-size:1.05rem}.n{text-align:right}td.n,.k{white-space:nowrap}.w{overflow-wrap:anywhere}tr.s td{font-weight:bold}
nav ol{columns:2;font-size:.9rem}
@media screen and (max-width:640px){
body{padding:.6rem}nav ol{columns:1}
thead{display:none}table,tbody,tr,td{display:block;width:100%}
tr{border:1px solid var(--rule);border-radius:4px;margin:.5rem 0;padding:.2rem .4rem}
td,td.n{border:0;padding:.1rem 0;text-align:left;white-space:normal;overflow-wrap:anywhere}td:empty{display:none}
td[data-h]::before{content:attr(data-h) ': ';color:var(--faint);font-weight:normal}
svg text{font-size:12.5px}svg text.sign{font-size:14px}
}
@media print{
@page{margin:14mm 12mm}
body{max-width:none;padding:0;font-size:9pt}table{font-size:7pt}table.l{font-size:11pt}nav{display:none}
th,td{padding:1pt 3pt}
figcaption{font-size:8pt}p.note{font-size:7pt}
thead{display:table-header-group}tr,li,figure{break-inside:avoid}h2,h3{break-after:avoid}
.page{break-before:page}
}";

/// Letters of a word that no column need hold.
const LONG_WORD: usize = 24;
/// Letters of a label that is kept in one piece.
const SHORT_LABEL: usize = 14;

/// A label such as `PH-4` within words: it does not break at its hyphen.
fn is_label(word: &str) -> bool {
    word.contains('-')
        && word.chars().any(|c| c.is_ascii_digit())
        && word.chars().count() <= SHORT_LABEL
}

/// Words with every label in one piece.
fn unbroken(text: &str) -> Markup {
    let text = harmless(text);
    html! {
        @for word in text.split_inclusive(' ') {
            @match word.strip_suffix(' ').unwrap_or(word) {
                label if is_label(label) => {
                    span.k { (label) } @if label.len() < word.len() { " " }
                }
                _ => { (word) }
            }
        }
    }
}

fn table(it: &Table) -> Markup {
    let class = |at: usize| match it.columns.get(at).map(|column| column.side) {
        Some(Side::Right) => Some("n"),
        _ => None,
    };
    // A short label stays in one piece; a word longer than any column may break anywhere.
    let of_cell = |at: usize, cell: &str| {
        if cell
            .split_whitespace()
            .any(|word| word.chars().count() > LONG_WORD)
        {
            Some("w")
        } else if at == 0 && cell.chars().count() <= SHORT_LABEL {
            Some("k")
        } else {
            class(at)
        }
    };
    let heads = it.columns.iter().any(|column| !column.title.is_empty());
    html! {
        table class=[it.large.then_some("l")] {
            @if heads {
                thead { tr { @for (at, column) in it.columns.iter().enumerate() {
                    th scope="col" class=[class(at)] { (column.title) }
                } } }
            }
            tbody { @for row in &it.rows {
                tr class=[row.strong.then_some("s")] {
                    @for (at, cell) in row.cells.iter().enumerate() {
                        // The title of the rows below is none of the first column's things.
                        @let title = it.columns.get(at).filter(|_| !row.is_title());
                        @let title = title.map_or("", |column| column.title.as_str());
                        td class=[of_cell(at, cell)] data-h=[(!title.is_empty()).then_some(title)] {
                            @if !cell.is_empty() { bdi { (unbroken(cell)) } }
                        }
                    }
                }
            } }
        }
    }
}

fn block(at: usize, it: &Block) -> Markup {
    html! {
        @match it {
            Block::Heading(1, text) => { h2 id=(format!("c{at}")) { (harmless(text)) } }
            Block::Heading(_, text) => { h3 { bdi { (harmless(text)) } } }
            Block::Text(text) => { p { (unbroken(text)) } }
            Block::Points(points) => { ul { @for point in points { li { (unbroken(point)) } } } }
            Block::Table(it) => { (table(it)) }
            Block::Picture(picture) => {
                figure {
                    figcaption { (harmless(&picture.title)) }
                    (svg(picture))
                    @if !picture.note.is_empty() { p.note { (harmless(&picture.note)) } }
                }
            }
            Block::NewPage => { div.page {} }
            Block::Contents => {}
        }
    }
}

/// The document as one HTML file.
#[must_use]
pub fn html(document: &Document) -> String {
    let chapters = document
        .blocks
        .iter()
        .enumerate()
        .filter_map(|(at, it)| match it {
            Block::Heading(1, text) => Some((at, text)),
            _ => None,
        });
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                title { (harmless(&document.title)) ", " (document.subtitle) }
                // Our own text, and no other.
                style { (maud::PreEscaped(STYLE)) }
            }
            body {
                h1 { bdi { (harmless(&document.title)) } }
                p.sub { (document.subtitle) }
                nav { ol { @for (at, text) in chapters {
                    li { a href=(format!("#c{at}")) { (text) } }
                } } }
                @for (at, it) in document.blocks.iter().enumerate() { (block(at, it)) }
                footer { p { bdi { (harmless(&document.foot)) } } }
            }
        }
    };
    markup.into_string() + "\n"
}

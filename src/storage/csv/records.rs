//! Text -> records: the separator found from the header, each record with the line it begins on.

use super::column::Column;

/// The separator under which most cells of the header are known columns; a line `sep=;` says it.
pub(super) fn separator(text: &str, known: &[Column]) -> u8 {
    let first = text
        .lines()
        .find(|line| !line.trim().is_empty())
        .unwrap_or("");
    if let Some(says) = first.trim().to_lowercase().strip_prefix("sep=")
        && let Some(own) = says.bytes().next().filter(|b| b",;\t".contains(b))
    {
        return own;
    }
    let score = |separator: u8| {
        first
            .split(char::from(separator))
            .filter(|cell| {
                let cell = cell.trim().trim_matches('"').trim().to_lowercase();
                known.iter().any(|column| column.name == cell)
            })
            .count()
    };
    let mut best = b',';
    for other in [b';', b'\t'] {
        if score(other) > score(best) {
            best = other;
        }
    }
    best
}

/// Records with the line they begin on; and the line of a quote that never closes.
pub(super) fn records(text: &str, separator: u8) -> (Vec<(usize, Vec<String>)>, Option<usize>) {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .from_reader(text.as_bytes());
    let mut out = Vec::new();
    let mut record = csv::StringRecord::new();
    let (mut line, mut counted, mut start) = (1, 0, 0);
    // The text is UTF-8 and any number of cells is allowed: nothing is left that could fail.
    while reader.read_record(&mut record).unwrap_or(false) {
        // The reader counts empty lines it has skipped to the record behind them.
        let begins = record
            .position()
            .map_or(0, |p| usize::try_from(p.byte()).unwrap_or(0))
            .min(text.len());
        let skipped = text.as_bytes()[begins..]
            .iter()
            .take_while(|byte| **byte == b'\n')
            .count();
        start = begins + skipped;
        line += text.as_bytes()[counted..start]
            .iter()
            .filter(|byte| **byte == b'\n')
            .count();
        counted = start;
        out.push((
            line,
            record.iter().map(|cell| cell.trim().to_owned()).collect(),
        ));
    }
    let last = &text[start.min(text.len())..];
    let open = last.trim_end().contains('\n') && last.matches('"').count() % 2 == 1;
    (out, open.then_some(line))
}

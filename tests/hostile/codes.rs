//! Text of a file that would steer a terminal or run in a spreadsheet.

use super::*;

/// A site with something hostile wherever a text may stand.
fn hostile_site() -> String {
    let evil = "\\u{1b}[2J\\u{9b}31m\\u{202e}\\u{2066}\\u{7}\\r\\n=cmd()\\u{2028}";
    let label = "\\u{202e}gnp\\u{2066}\\u{61c}";
    FROZEN
        .replace("label: \"Stairs\"", &format!("label: \"{label}\""))
        .replace("label: \"Pool hall\"", &format!("label: \"{label}2\""))
        .replace("by: \"engineer A\"", &format!("by: \"{evil}\""))
        .replace("by: \"engineer B\"", &format!("by: \"{evil}\""))
        .replace("\"engineer B\", \"2026", &format!("\"{evil}\", \"2026"))
        .replace("why: Some(\"", &format!("why: Some(\"{evil}"))
        .replace("note: Some(\"", &format!("note: Some(\"{evil}"))
        .replace("what: \"", &format!("what: \"{evil}"))
        .replace("owner: \"", &format!("owner: \"{evil}"))
}

#[test]
fn escape_codes_of_a_file_reach_no_text_that_is_printed() {
    let bench = Bench::new();
    let text = hostile_site();
    assert!(text.matches("u{9b}").count() > 20);
    bench.write("evil.ron", &text);
    let ran = bench.run(&["assess", "evil.ron"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    harmless(&ran.out);
    harmless(&ran.err);
    assert!(ran.out.contains("\\u{202e}"), "{}", ran.out);
    for to in ["evil.md", "evil.html", "evil.csv"] {
        let ran = bench.run(&["report", "evil.ron", "--to", to]);
        assert_eq!(ran.status, 0, "{to}: {}", ran.err);
        // A spreadsheet wants its byte-order mark and carriage returns.
        harmless(&bench.text(to).replace("\r\n", "\n"));
    }
    let ran = bench.run(&["record", "evil.ron", "r.csv"]);
    harmless(&ran.err);
    // Errors quote what they found.
    let label = text.replace(
        "label: \"Lantern Quay Baths\"",
        "label: \"\\u{1b}]0;owned\\u{7}\"",
    );
    for bad in [label, text.replace("format: 1", "\u{1b}[31m\u{202e}: 1")] {
        bench.write("bad.ron", bad);
        bench.refused(&["assess", "bad.ron"], &[]);
    }
    bench.write(
        "bad.csv",
        "line,kind,value\n\u{1b}[31mL-1,imp\u{202e}edance,\u{9b}412\n",
    );
    bench.refused(&["record", "house.ron", "bad.csv"], &["bad.csv:2"]);
    bench.write("bad.csv", "amplifier\u{1b}[2J,\u{202e}\nA,B\n");
    bench.refused(&["import", "bad.csv", "--to", "x.ron"], &[]);
}

#[test]
fn escape_codes_of_a_file_reach_no_screen() {
    let site = format1::read("evil.ron", hostile_site().as_bytes())
        .unwrap()
        .site;
    let mut desk = desk::Desk::at(site);
    let mut seen = 0;
    for size in [(60, 20), (80, 24), (160, 48)] {
        desk.resize(size.0, size.1).press(Key::Home);
        for _ in 0..12 {
            // Every row, the walk of a line, the pages of its panel, the list of places, a search.
            for keys in [
                "",
                "w",
                "\t",
                "\t",
                "?",
                "\x1b",
                "g",
                "\x1b",
                "/\u{202e}gn",
                "\x1b\x1b",
                "j\u{9b}x\u{2066}",
                "\x1b\x1b",
            ] {
                desk.keys(keys);
                let buffer = desk.buffer(linewright::tui::Theme::Colour);
                let cells: String = buffer.content.iter().map(|cell| cell.symbol()).collect();
                harmless(&cells);
                seen += usize::from(cells.contains("\\u{202e}"));
            }
            desk.press(Key::Down);
        }
    }
    assert!(seen > 10, "the texts were on {seen} screens");
}

#[test]
fn a_log_holds_no_cell_that_a_spreadsheet_would_run_and_reads_back_as_it_was() {
    let bench = Bench::new();
    let notes = [
        "=1+1",
        "+cmd|' /C calc'!A0",
        "-2+3",
        "@SUM(A1)",
        "'=x",
        "-3.5",
        "plain",
        "=\"a,b\"",
    ];
    let mut csv = String::from("line,kind,value,when,person,note\n");
    for (n, note) in notes.iter().enumerate() {
        let note = note.replace('"', "\"\"");
        csv.push_str(&format!(
            "L-1,impedance,40{n},2026-11-24T09:0{n}:00Z,=who(),\"{note}\"\n"
        ));
    }
    bench.write("n.csv", csv);
    assert_eq!(bench.run(&["record", "house.ron", "n.csv"]).status, 0);
    let log = bench.run(&["log", "house.ron"]).out;
    let mut cells = 0;
    for record in csv_cells(&log) {
        for cell in record {
            cells += 1;
            let number = cell.parse::<f64>().is_ok();
            assert!(
                number || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']),
                "{cell}"
            );
        }
    }
    assert!(cells > 17 * notes.len());
    bench.write("log.csv", &log);
    let again = bench.run(&["record", "house.ron", "log.csv"]);
    assert!(
        again.err.contains("0 rows recorded, 8 there already"),
        "{}",
        again.err
    );
    // On a fresh copy of the site the same log makes the same log.
    assert_eq!(
        bench.run(&["import", "s.csv", "--to", "fresh.ron"]).status,
        0
    );
    assert_eq!(bench.run(&["record", "fresh.ron", "log.csv"]).status, 0);
    let site = |name: &str| {
        format1::read(name, bench.text(name).as_bytes())
            .unwrap()
            .site
    };
    for name in ["house.ron", "fresh.ron"] {
        let log = site(name);
        let found: Vec<&str> = log
            .log()
            .rows()
            .into_iter()
            .map(|entry| entry.by.as_str())
            .collect();
        assert_eq!(found, ["=who()"; 8], "{name}");
        assert!(write_log(&log).contains(",'=1+1,"));
    }
}

/// Quoted cells and plain ones.
fn csv_cells(text: &str) -> Vec<Vec<String>> {
    let mut out = vec![vec![String::new()]];
    let mut quoted = false;
    for c in text.chars() {
        let record = out.last_mut().unwrap();
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => record.push(String::new()),
            '\n' if !quoted => out.push(vec![String::new()]),
            c => record.last_mut().unwrap().push(c),
        }
    }
    out
}

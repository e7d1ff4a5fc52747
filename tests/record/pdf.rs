//! The PDF read back by other programs.

use super::*;

fn poppler(tool: &str, arguments: &[&str], bytes: &[u8]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("record.pdf");
    std::fs::write(&path, bytes).unwrap();
    let path = path.to_str().unwrap();
    let arguments: Vec<&str> = arguments
        .iter()
        .map(|it| if *it == "FILE" { path } else { *it })
        .collect();
    let out = Command::new(tool).args(arguments).output().unwrap();
    assert!(out.status.success(), "{out:?}");
    String::from_utf8(out.stdout).unwrap()
}

#[test]
#[ignore = "needs pdftotext and pdffonts of poppler-utils"]
fn every_figure_of_the_lines_can_be_selected_in_the_pdf_and_its_fonts_are_embedded() {
    let data = glasshouse();
    let document = record(data);
    let bytes = pdf(&document, Paper::A4).unwrap();
    let text = folded(&poppler("pdftotext", &["-layout", "FILE", "-"], &bytes));
    let squeezed = text.replace(' ', "");
    let lines = table(&document, "should read");
    let heads: Vec<String> = lines.columns.iter().map(|it| it.title.clone()).collect();
    let all = json(data);
    for (line, row) in all["lines"].as_array().unwrap().iter().zip(&lines.rows) {
        for (column, figure) in told(&all, line) {
            assert_eq!(cell(&heads, &row.cells, column), figure);
            let figure = figure.replace(' ', "");
            assert!(
                squeezed.contains(&figure),
                "{} {column} {figure}",
                row.cells[0]
            );
        }
        // A row's figures stand in one line, in order; poppler tears strong rows of two lines apart,
        // and blanks are its guess.
        let figures: String = row.cells[2..5].concat().replace(' ', "");
        assert!(row.strong || squeezed.contains(&figures), "{figures:?}");
    }
    let fonts = poppler("pdffonts", &["FILE"], &bytes);
    let rows: Vec<&str> = fonts.lines().skip(2).collect();
    assert_eq!(rows.len(), 2, "{fonts}");
    // Columns: embedded, subset, with a map to letters.
    assert!(
        rows.iter().all(|row| folded(row).contains("yes yes yes")),
        "{fonts}"
    );
    let info = poppler("pdfinfo", &["FILE"], &bytes);
    assert!(info.contains("A4"), "{info}");
}

#[test]
#[ignore = "needs pdftotext of poppler-utils"]
fn letters_that_the_font_lacks_and_words_from_the_right_are_legible_in_the_pdf() {
    let bytes = pdf(&record(&assessed(&hostile())), Paper::A4).unwrap();
    let text = folded(&poppler("pdftotext", &["-layout", "FILE", "-"], &bytes));
    assert!(text.contains("<script>alert(1)</script>"), "{text}");
    assert!(text.contains("\\u{1f50a} loud"), "{text}");
    assert!(text.contains("\\u{202e}back"), "{text}");
    let note = "Letters that this print has no type for";
    assert_eq!(text.matches(note).count(), 1, "{text}");
    // Poppler gives words from the right back in the order in which they are read.
    assert!(text.contains('\u{5d0}'), "{text}");
    let bytes = pdf(&record(&assessed(&hall())), Paper::A4).unwrap();
    let text = folded(&poppler("pdftotext", &["-layout", "FILE", "-"], &bytes));
    assert!(!text.contains(note), "{text}");
}

#[test]
#[ignore = "needs pdftotext of poppler-utils"]
fn a_site_of_500_lines_breaks_its_tables_across_pages_and_repeats_their_headings() {
    let mut schedule = String::from("amplifier,rated_w,zone,line,loudspeaker,tap_w,run_m\n");
    for line in 0..500 {
        let amplifier = line / 10;
        for node in 0..2 {
            schedule.push_str(&format!(
                "A{amplifier:02},240,Zone {},L-{line:03},LS-{node},6,20\n",
                line / 5
            ));
        }
    }
    let mut pen = Pen::on(site_of(&schedule, "Long site"));
    for line in 0..500 {
        pen.read(
            &format!("L-{line:03}"),
            if line % 50 == 7 { "500" } else { "833" },
        );
        // Where something was heard the cable is drawn.
        if line % 50 == 7 {
            pen.hear(&format!("L-{line:03}/LS-0"), Heard::Heard);
        }
    }
    let data = assessed(&pen.site);
    let document = record(&data);
    // The least of several: others are at work on the machine.
    let took = |work: &dyn Fn()| {
        let runs = (0..9).map(|_| {
            let begun = std::time::Instant::now();
            work();
            begun.elapsed()
        });
        runs.min().unwrap()
    };
    let (page, bytes) = (html(&document), pdf(&document, Paper::A4).unwrap());
    let html_took = took(&|| drop(html(&document)));
    let pdf_took = took(&|| drop(pdf(&document, Paper::A4)));
    let text = poppler("pdftotext", &["-layout", "FILE", "-"], &bytes);
    let pages: Vec<&str> = text
        .split('\u{c}')
        .filter(|page| !page.trim().is_empty())
        .collect();
    let of_lines: Vec<&&str> = pages
        .iter()
        .filter(|page| {
            // The table of lines, not the few that the first page tells of.
            let rows = page.lines().filter(|it| {
                folded(it).starts_with("L-") && it.contains("ohm") && it.contains("12 W")
            });
            rows.count() > 12
        })
        .collect();
    assert!(of_lines.len() >= 8, "{}", of_lines.len());
    for page in of_lines {
        assert!(
            page.contains("deviation") && page.contains("verdict"),
            "{page}"
        );
    }
    for line in 0..500 {
        assert!(text.contains(&format!("L-{line:03}")));
    }
    // The picture of a flagged line's cable is in one piece and names its line; what is told of the line
    // ends on that page or on the one before.
    for line in (0..500).filter(|line| line % 50 == 7) {
        let title = format!("L-{line:03}: its cable as drawn");
        let at = pages.iter().position(|page| page.contains(&title)).unwrap();
        let (_, below) = pages[at].split_once(&title).unwrap();
        assert!(
            below.contains("LS-9") || below.contains("Suspect: "),
            "{below}"
        );
        let heading = format!("L-{line:03}, Zone");
        let led_to = pages[at - 1..=at].iter().any(|page| {
            let headed = page.lines().any(|row| row.trim().starts_with(&heading));
            headed && pages[at - 1..=at].concat().contains("Left to do: ")
        });
        assert!(led_to, "{title}");
        assert!(page.contains(&title));
    }
    assert!(page.contains("figure{break-inside:avoid}"));
    let ratio = pdf_took.as_secs_f64() / html_took.as_secs_f64();
    let (size, of_page) = (bytes.len() / 1000, page.len() / 1000);
    let _ = writeln!(
        std::io::stderr(),
        "{} pages, {size} kB, {ratio:.1} times the HTML's time ({of_page} kB)",
        pages.len()
    );
    assert!(size < 1000, "{size} kB");
}

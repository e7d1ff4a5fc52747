//! Every figure of a record is that of the JSON.

use super::*;

/// Rows of a Markdown table: its heads, and the cells of each row.
fn markdown_table(text: &str, first: &str, second: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let cells = |line: &str| -> Vec<String> {
        let line = line.trim().trim_start_matches('|').trim_end_matches('|');
        line.split(" | ")
            .map(|cell| cell.trim().replace('\\', ""))
            .collect()
    };
    let mut lines = text.lines().skip_while(|line| {
        let heads = cells(line);
        !(line.starts_with('|')
            && heads.first().is_some_and(|it| it == first)
            && heads.iter().any(|it| it == second))
    });
    let heads = cells(lines.next().unwrap());
    let rows = lines.skip(1).take_while(|line| line.starts_with('|'));
    (heads, rows.map(cells).collect())
}

/// Rows of an HTML table with these two heads.
fn html_table(text: &str, first: &str, second: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let plain = |part: &str| {
        let mut out = String::new();
        let mut inside = false;
        for c in part.chars() {
            match c {
                '<' => inside = true,
                '>' => inside = false,
                c if !inside => out.push(c),
                _ => {}
            }
        }
        out.replace("&lt;", "<")
            .replace("&gt;", ">")
            .replace("&quot;", "\"")
            .replace("&amp;", "&")
    };
    for table in text.split("<table>").skip(1) {
        let table = table.split("</table>").next().unwrap();
        let heads: Vec<String> = table
            .split("<th ")
            .skip(1)
            .map(|part| {
                plain(
                    part.split_once('>')
                        .unwrap()
                        .1
                        .split("</th>")
                        .next()
                        .unwrap(),
                )
            })
            .collect();
        if heads.first().is_none_or(|it| it != first) || !heads.iter().any(|it| it == second) {
            continue;
        }
        let body = table.split("<tbody>").nth(1).unwrap();
        let rows = body.split("<tr").skip(1).map(|row| {
            row.split("<td")
                .skip(1)
                .map(|cell| {
                    plain(
                        cell.split_once('>')
                            .unwrap()
                            .1
                            .split("</td>")
                            .next()
                            .unwrap(),
                    )
                })
                .collect()
        });
        return (heads, rows.collect());
    }
    panic!("no table of {first} and {second}");
}

#[track_caller]
fn check_lines(data: &Value, heads: &[String], rows: &[Vec<String>]) {
    let lines = data["lines"].as_array().unwrap();
    assert_eq!(rows.len(), lines.len());
    for (line, row) in lines.iter().zip(rows) {
        assert_eq!(row[0], line["line"].as_str().unwrap());
        for (column, words) in told(data, line) {
            assert_eq!(cell(heads, row, column), words, "{} {column}", row[0]);
        }
    }
}

/// On A3 nobody ticked a line as taken off before it was read; on A4 and A5 nothing was done.
fn on_it_now(output: &Value, known: impl Fn(Option<f64>) -> String) -> String {
    match output["amplifier"].as_str().unwrap() {
        "A3" => "not known".to_owned(),
        "A4" | "A5" => "untouched".to_owned(),
        _ => known(output["on_now_w"].as_f64()),
    }
}

#[track_caller]
fn check_outputs(data: &Value, heads: &[String], rows: &[Vec<String>]) {
    let outputs = data["outputs"].as_array().unwrap();
    assert_eq!(rows.len(), outputs.len());
    for (output, row) in outputs.iter().zip(rows) {
        let short = !output["stop"].as_array().unwrap().is_empty();
        let known =
            |it: Option<f64>| it.map_or_else(|| "not known".to_owned(), |w| show::watt(Watt(w)));
        for (column, words) in [
            (
                "every line on",
                known(output["load_w"].as_f64().filter(|_| !short)),
            ),
            ("on it now", on_it_now(output, known)),
            ("at most", known(output["limit_w"].as_f64())),
            ("all as drawn", known(output["drawn_w"].as_f64())),
        ] {
            assert_eq!(cell(heads, row, column), words, "{} {column}", row[0]);
        }
        let left = output["headroom"].as_f64().filter(|_| !short);
        let used = left.map_or_else(String::new, |it| show::percent(Fraction(1.0 - it)));
        assert_eq!(cell(heads, row, "used"), used);
    }
}

#[test]
fn every_figure_in_markdown_and_html_is_that_of_the_json() {
    let data = glasshouse();
    let all = json(data);
    let document = record(data);
    let text = markdown(&document);
    let page = html(&document);
    let (heads, rows) = markdown_table(&text, "line", "should read");
    check_lines(&all, &heads, &rows);
    let (heads, rows) = markdown_table(&text, "output", "every line on");
    check_outputs(&all, &heads, &rows);
    let (heads, rows) = html_table(&page, "line", "should read");
    check_lines(&all, &heads, &rows);
    let (heads, rows) = html_table(&page, "output", "every line on");
    check_outputs(&all, &heads, &rows);
    // The far ends, in both.
    for (heads, rows) in [
        markdown_table(&text, "line", "far end"),
        html_table(&page, "line", "far end"),
    ] {
        for (line, row) in all["lines"].as_array().unwrap().iter().zip(&rows) {
            let db = Decibel(line["far_end_db"].as_f64().unwrap());
            assert_eq!(cell(&heads, row, "far end"), show::decibel(db));
        }
    }
}

#[test]
fn every_figure_in_the_spreadsheet_is_that_of_the_json_digit_for_digit_in_both_kinds() {
    let data = glasshouse();
    let all = json(data);
    for (separator, between, sign) in [
        (Separator::Comma, b',', "."),
        (Separator::Semicolon, b';', ","),
    ] {
        let bytes = csv(data, separator);
        let (heads, rows) = csv_table(&bytes, between);
        let lines = all["lines"].as_array().unwrap();
        assert_eq!(rows.len(), lines.len());
        for (line, row) in lines.iter().zip(&rows) {
            for (column, value) in [
                ("design_w", &line["design_w"]),
                ("expected_ohms", &line["expected"]["ohms"]),
                ("expected_u_rel", &line["expected"]["u_rel"]),
                ("as_found_ohms", &line["as_found"]["ohms"]),
                ("as_left_ohms", &line["as_left"]["ohms"]),
                ("as_left_w", &line["as_left"]["watts"]),
                ("as_left_deviation", &line["as_left"]["deviation"]),
                ("as_left_u_rel", &line["u_rel"]),
                ("p_out", &line["p_out"]),
                ("misfit", &line["misfit"]),
                ("far_end_db", &line["far_end_db"]),
                ("insulation_ohms", &line["insulation"]["ohms"]),
                ("suspect_probability", &line["hints"][0]["probability"]),
            ] {
                let found = cell(&heads, row, column);
                match value {
                    Value::Number(it) => {
                        let number: f64 = found.replace(sign, ".").parse().unwrap();
                        assert_eq!(number, it.as_f64().unwrap(), "{} {column}", row[0]);
                        assert!(!found.contains('.') || sign == ".", "{found}");
                    }
                    Value::String(it) => assert_eq!(found, it, "{} {column}", row[0]),
                    _ => assert_eq!(found, "", "{} {column}", row[0]),
                }
            }
        }
    }
}

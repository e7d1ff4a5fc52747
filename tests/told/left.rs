//! What is left to do, what was left out, and how the lists that tell it agree.

use crate::desk::{assessed, hall};
use crate::paper::{glasshouse, line, table};
use crate::pen::{Pen, day};
use linewright::report::{markdown, record};
use linewright::site::{CORES_OFF, Decision, Ref};
#[test]
fn every_line_that_is_not_finished_says_what_is_left_and_a_finished_one_says_nothing() {
    let data = glasshouse();
    for row in &data.lines {
        let open = data
            .review
            .iter()
            .any(|it| it.kind == "line" && it.of == row.line && it.open);
        assert_eq!(open, !row.to_do.is_empty(), "{}", row.line);
    }
    // Where one suspect holds nearly all there is no test left, and still something to do.
    let to_do = &line(data, "CF-1").to_do;
    assert!(to_do[0].contains("turn it up, read it again"), "{to_do:?}");
    // A test shows what is wrong; that it is then mended is said before the line goes back on.
    let to_do = line(data, "CH-1").to_do.join("; ");
    assert!(
        to_do.contains("; mend what that shows and read it again; put it back on"),
        "{to_do}"
    );
    let swapped = &line(data, "FH-3").to_do;
    assert_eq!(swapped[1], "put right what that shows, line or label");
    let stop = &line(data, "PH-4").to_do;
    assert!(stop[0].starts_with("keep it off the amplifier"), "{stop:?}");
    assert!(!stop.iter().any(|it| it.contains("put it back")));
    let mut pen = Pen::on(hall());
    pen.finish();
    assert!(
        assessed(&pen.site)
            .lines
            .iter()
            .all(|it| it.to_do.is_empty())
    );
}

#[test]
fn one_word_on_several_matters_of_a_line_is_one_row_of_the_snag_list() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.tick(CORES_OFF, vec![Ref::Line("H-1".into())]);
    pen.read("H-1", "open");
    let snag = Decision::Snag {
        owner: "N. N.".to_owned(),
        due: Some(day("2026-12-24")),
    };
    pen.decide(Ref::Line("H-1".into()), snag, Some("joint under water"));
    let document = record(&assessed(&pen.site));
    let rows = &table(&document, "by when").rows;
    assert_eq!(rows.len(), 1, "{rows:#?}");
    assert_eq!(rows[0].cells[0], "H-1");
    assert!(rows[0].cells[1].contains("open") && rows[0].cells[1].contains("; OFF"));
    assert_eq!(
        rows[0].cells[2..],
        ["N. N.", "2026-12-24", "joint under water"]
    );
}

#[test]
fn a_list_item_is_told_once_for_all_amplifiers() {
    let document = record(glasshouse());
    let table = table(&document, "not ticked");
    let told = |words: &str| {
        let rows = table.rows.iter().filter(|row| row.cells[0].contains(words));
        rows.map(|row| row.cells.clone()).collect::<Vec<_>>()
    };
    let zeroed = told("leads zeroed");
    assert_eq!(zeroed.len(), 1);
    assert_eq!(
        zeroed[0][1],
        "visit-1, meter (engineer A, 2026-11-24 08:50; nobody ticked that its leads were zeroed)"
    );
    let off = told("Both cores off");
    assert!(off[0][1].starts_with("A1 10 of 10 (engineer A"), "{off:?}");
    // Asked of the lines that were worked on, as in what stands in the way of signing.
    assert_eq!(off[0][2], "A3 4 of 4");
}

#[test]
fn what_was_left_out_with_a_word_is_said_where_nothing_stands_in_the_way_and_is_left_to_do() {
    let mut pen = Pen::on(hall());
    for label in ["H-1", "H-2", "L-1", "B-1"] {
        pen.read_as_drawn(label);
        pen.hear_all(label);
    }
    pen.read_as_drawn("L-2");
    pen.tick_all();
    pen.tick(CORES_OFF, vec![Ref::Line("H-1".into())]);
    pen.accept("H-1", "feeds a stage that is rebuilt");
    for (label, why) in [("C-1", "no ladder"), ("L-2", "school party")] {
        pen.decide(Ref::Line(label.into()), Decision::Skipped, Some(why));
    }
    let data = assessed(&pen.site);
    let count = line(&data, "L-2").heard[1];
    let document = record(&data);
    let told = markdown(&document);
    // That every zone was heard was ticked as well: until that says what was not, it stands in the way.
    pen.not_here(
        "heard-main",
        Ref::Amplifier("A1".into()),
        "all but H-1 and L-2",
    );
    pen.not_here("heard-main", Ref::Amplifier("A2".into()), "C-1 is not read");
    let settled = markdown(&record(&assessed(&pen.site)));
    let wanted = format!(
        "Nothing stands in the way of signing; left out with a reason: 1 line not read, \
         {count} loudspeakers not listened to, 1 line OFF the amplifier."
    );
    assert!(settled.contains(&wanted), "{wanted}: {settled}");
    assert!(
        !told.contains("Nothing stands in the way of signing"),
        "{told}"
    );
    // Heard everywhere cannot be while a line is off and another was not listened to.
    let clash = format!("is ticked, and OFF are H-1, {count} loudspeakers not listened to.");
    assert!(
        told.contains("\"every zone heard on main\"") && told.contains(&clash),
        "{told}"
    );
    let to_do = |label: &str| line(&data, label).to_do.join("; ");
    assert_eq!(
        to_do("L-2"),
        format!("listen at all {count} loudspeakers (skipped: school party)")
    );
    assert_eq!(
        to_do("H-1"),
        "put it back on the amplifier (accepted: feeds a stage that is rebuilt)"
    );
    let rows = &table(&document, "left to do").rows;
    // Columns that hold nothing are left out.
    let unread = ["1 line", "unread", "skipped: no ladder", "read C-1"];
    assert!(rows.iter().any(|row| row.cells == unread), "{rows:#?}");
}

#[test]
fn what_is_live_or_unknown_or_was_not_touched_is_told_apart() {
    let data = glasshouse();
    let document = record(data);
    let told = markdown(&document);
    assert!(told.contains("Out of tolerance, and BACK ON the amplifier, 3: PH-5, FH-1, FH-3."));
    let why = table(&document, "likeliest why");
    for label in ["PH-5", "FH-1", "FH-3"] {
        let row = why.rows.iter().find(|it| it.cells[0] == label).unwrap();
        assert_eq!(row.cells[5], "BACK ON since 2026-11-24 09:29");
    }
    let left = table(&document, "ticked by");
    assert!(left.rows.iter().all(|it| !it.cells[2].is_empty()));
    for (label, now) in [
        ("CF-3", "untouched"),
        ("SD-1", "not known"),
        ("GP-1", "untouched"),
    ] {
        let row = left.rows.iter().find(|it| it.cells[0] == label).unwrap();
        assert_eq!(row.cells[2], now, "{label}");
    }
    // What nobody read is no figure of the line, and says so; what is not done has room for a name.
    let snags = table(&document, "by when");
    let row = |what: &str| snags.rows.iter().find(|it| it.cells[0] == what).unwrap();
    assert!(row("A4 out 1").cells[1].contains("as drawn, nothing read"));
    assert!(row("A2 out 1").cells[1].contains("with every line on, 36.1 W now"));
    let unread = data.lines.iter().filter(|it| it.measured.is_none()).count();
    assert_eq!(row(&format!("{unread} lines")).cells[1], "not read");
}

#[test]
fn the_lists_count_the_same_in_the_way_of_signing_and_under_checks() {
    let document = record(glasshouse());
    let things = table(&document, "things");
    let waits = |words: &str| {
        let row = things.rows.iter().find(|it| it.cells[0].contains(words));
        row.unwrap_or_else(|| panic!("{words}")).cells[2].clone()
    };
    let checks = table(&document, "not ticked");
    let open = |words: &str| {
        let row = checks.rows.iter().find(|it| it.cells[0].contains(words));
        row.unwrap_or_else(|| panic!("{words}")).cells[2].clone()
    };
    assert_eq!(waits("both cores discharged"), "A1 (PH-1), A2 (CH-1, LH-2)");
    assert_eq!(open("Both cores discharged"), "A1 1 of 1, A2 2 of 2");
    assert_eq!(
        waits("joints closed"),
        "A1 (10 lines), A2 (10 lines), A3 (SD-1, SD-2, SD-3, SD-4)"
    );
    assert_eq!(open("Joints closed"), "A1 10 of 10, A2 10 of 10, A3 4 of 4");
    assert_eq!(waits("meter off"), "visit-1");
    assert_eq!(open("Meter off"), "visit-1");
}

#[test]
fn the_snag_list_says_how_it_adds_up_to_what_stands_in_the_way_of_signing() {
    let data = glasshouse();
    let document = record(data);
    let snags = table(&document, "by when");
    // A row of a kind begins with how many: `24 lines`.
    let count = |what: &str| match what.split_once(' ') {
        Some((number, "line" | "lines" | "item" | "items")) => number.parse().unwrap(),
        _ => 1usize,
    };
    let all: usize = snags.rows.iter().map(|row| count(&row.cells[0])).sum();
    let open = data.review.iter().filter(|row| row.open).count();
    let told = markdown(&document);
    let wanted = format!(
        "In all {all} things, each line, item and matter counted; {open} of them stand in the way of signing, these \
         do not: "
    );
    assert!(told.contains(&wanted), "{wanted}");
    // Four lines of A3, and PH-1.
    assert_eq!(all - open, 4 + 1);
    assert!(!told.contains("not on this list"));
    let heard = snags
        .rows
        .iter()
        .find(|it| it.cells[1].ends_with("listened to"))
        .unwrap();
    assert!(heard.cells[1].starts_with("read, and not all"), "{heard:?}");
}

#[test]
fn a_tick_that_lines_contradict_is_named_in_the_way_and_is_no_line_that_nobody_listened_on() {
    let mut pen = Pen::on(hall());
    pen.finish();
    // After a repair nobody has listened yet, and the tick that all was heard stands.
    pen.repair("H-1", "joint made anew", None);
    pen.read_as_drawn("H-1");
    let data = assessed(&pen.site);
    let all = line(&data, "H-1").heard[1];
    let document = record(&data);
    let rows: Vec<&[String]> = table(&document, "things")
        .rows
        .iter()
        .map(|row| &row.cells[..])
        .collect();
    let contradicted = format!(
        "contradicted: every zone heard on main is ticked, yet {all} loudspeakers not listened to"
    );
    let row = |starts: &str| rows.iter().find(|row| row[0].starts_with(starts));
    assert_eq!(row(&contradicted).unwrap()[1..], ["1", "A1"], "{rows:#?}");
    assert_eq!(row("line read").unwrap()[1..], ["1", "H-1"], "{rows:#?}");
    // On the snag list it is one line that is left.
    let snags = &table(&document, "by when").rows;
    let unheard = snags.iter().find(|row| row.cells[1].contains("listened"));
    assert_eq!(unheard.unwrap().cells[0], "1 line", "{snags:#?}");
}

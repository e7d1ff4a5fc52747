//! What somebody asks of the record who takes the building over and has never seen the program: is it
//! said once, by whom and when, and do the figures of one place agree with those of another.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/paper.rs"]
mod paper;
#[path = "common/pen.rs"]
mod pen;

use desk::{assessed, demo, hall};
use linewright::quantity::{Fraction, show};
use linewright::report::document::{Block, Document, Row, Table};
use linewright::report::picture::Primitive;
use linewright::report::{LineRow, markdown, record};
use linewright::site::{Decision, Ref};
use paper::{glasshouse, line, pictures, table};
use pen::{Pen, day};

/// Blocks of a chapter or a section, without its heading.
fn under<'a>(document: &'a Document, title: &str) -> Vec<&'a Block> {
    let is = |it: &&Block| matches!(it, Block::Heading(_, text) if text.starts_with(title));
    let mut blocks = document.blocks.iter().skip_while(|it| !is(it));
    blocks.next().unwrap_or_else(|| panic!("no {title}"));
    blocks
        .take_while(|it| !matches!(it, Block::Heading(..)))
        .collect()
}

fn points(document: &Document, title: &str) -> String {
    let all = under(document, title)
        .into_iter()
        .filter_map(|it| match it {
            Block::Points(points) => Some(points.join("\n")),
            _ => None,
        });
    all.collect()
}

fn cell<'a>(table: &Table, row: &'a Row, column: &str) -> &'a str {
    let at = table.columns.iter().position(|it| it.title == column);
    &row.cells[at.unwrap_or_else(|| panic!("no column {column}"))]
}

/// The sum of a column of whole numbers, an empty cell being none; rows of a sum left out.
fn sum(table: &Table, column: &str) -> usize {
    let rows = table.rows.iter().filter(|row| row.cells[0] != "in all");
    rows.map(|row| cell(table, row, column).parse().unwrap_or(0))
        .sum()
}

#[test]
fn the_summary_says_which_lines_were_read_without_a_tick_that_they_were_isolated_and_dead() {
    let told = points(&record(glasshouse()), "Summary");
    let wanted = "NOT TICKED, though lines were read, at A1, A2, A3: amplifier and standby off; isolated, \
                  locked, key kept; lines proved dead; neighbours in the cable dead.";
    assert!(told.contains(wanted), "{told}");
    assert!(
        told.contains("not ticked as taken off the amplifier, 4: SD-1, SD-2, SD-3, SD-4"),
        "{told}"
    );
    let mut pen = Pen::on(hall());
    pen.finish();
    let told = points(&record(&assessed(&pen.site)), "Summary");
    assert!(!told.contains("NOT TICKED"), "{told}");
}

#[test]
fn what_is_off_says_who_took_it_off_and_when_in_its_story_the_log_and_the_table_of_lines() {
    let document = record(glasshouse());
    let story = points(&document, "PH-4, ");
    assert!(
        story
            .contains("Done 2026-11-24 UTC, engineer A: 08:51 both cores off the amplifier; 09:11"),
        "{story}"
    );
    let log = under(&document, "Log of changes");
    let Block::Table(log) = log[0] else {
        panic!("{log:?}")
    };
    let off = |row: &&Row| row.cells[2].contains("both cores off") && row.cells[2].contains("PH-4");
    let row = log.rows.iter().find(off).unwrap();
    assert_eq!(row.cells[..2], ["2026-11-24 08:51", "engineer A"]);
    let left = table(&document, "ticked by");
    for row in &glasshouse().lines {
        let told = left.rows.iter().find(|it| it.cells[0] == row.line).unwrap();
        assert_eq!(cell(left, told, "now") == "OFF", row.off, "{}", row.line);
        let by = cell(left, told, "ticked by");
        assert!(!row.off || by.ends_with(", engineer A"), "{by}");
    }
}

#[test]
fn how_each_amplifier_is_left_adds_up_to_all_lines_and_says_what_is_not_known() {
    let data = glasshouse();
    let document = record(data);
    let left = table(&document, "by the ticks");
    assert_eq!(sum(left, "lines"), data.lines.len());
    let read = data.lines.iter().filter(|it| it.measured.is_some());
    assert_eq!(sum(left, "read"), read.count());
    assert_eq!(
        sum(left, "OFF"),
        data.lines.iter().filter(|it| it.off).count()
    );
    let words = |label: &str| {
        let row = left.rows.iter().find(|it| it.cells[0] == label).unwrap();
        cell(left, row, "by the ticks").to_owned()
    };
    assert!(words("A3").contains("whether on or off is not known"));
    assert_eq!(words("A5"), "nothing was read or taken off here");
}

#[test]
fn an_output_says_apart_what_is_on_it_now_what_with_every_line_on_and_what_as_drawn() {
    let data = glasshouse();
    let watts = |row: &LineRow| row.measured.as_ref().and_then(|it| it.watts).unwrap();
    let row = &data.outputs[2];
    assert_eq!((row.amplifier.as_str(), row.off_lines), ("A2", 2));
    // Without phases loads add as watts.
    let own = || {
        let lines = data.lines.iter();
        lines.filter(|it| it.amplifier == row.amplifier && it.output == row.output)
    };
    let all: f64 = own().map(watts).sum();
    let now: f64 = own().filter(|it| !it.off).map(watts).sum();
    let drawn: f64 = own().filter_map(|it| it.expected.watts).sum();
    assert!((row.load_w.unwrap() - all).abs() < 1e-9);
    assert!((row.on_now_w.unwrap() - now).abs() < 1e-9);
    assert!((row.drawn_w - drawn).abs() < 1e-9);
    // A fifth of the rating is kept free.
    assert!((row.limit_w.unwrap() - 0.8 * 120.0).abs() < 1e-9);
    let document = record(data);
    let why = table(&document, "likeliest why");
    let told = why
        .rows
        .iter()
        .find(|it| it.cells[0] == "A2 out 1")
        .unwrap();
    assert_eq!(told.cells[1], "every line on");
    assert!(told.cells[4].ends_with("; 36.1 W now, 2 of its lines OFF"));
}

#[test]
fn what_was_learned_of_the_meter_stands_beside_its_accuracy_with_what_takes_it_out() {
    let data = glasshouse();
    let document = record(data);
    let instruments = table(&document, "learned");
    let row = instruments
        .rows
        .iter()
        .find(|it| it.cells[0] == "meter")
        .unwrap();
    let reading = line(data, "PH-2").reading.unwrap();
    let wanted = format!(
        "{} \u{b1}{}",
        show::signed_percent(Fraction(reading.ln_factor.exp() - 1.0)),
        show::percent(Fraction(2.0 * reading.u_ln_factor))
    );
    assert_eq!(cell(instruments, row, "learned"), wanted);
    let told = markdown(&document);
    assert!(told.contains("Readings, watts and deviations are printed as read."));
    assert!(told.contains("the known resistor of 330 ohm read 325 ohm"));
    assert!(!told.contains("the known resistor settles it"));
}

#[test]
fn what_stands_in_the_way_can_be_added_up_and_says_why_some_amplifiers_are_not_in_it() {
    let data = glasshouse();
    let document = record(data);
    let open = data.review.iter().filter(|row| row.open).count();
    let things = table(&document, "things");
    assert_eq!(sum(things, "things"), open);
    let last = things.rows.last().unwrap();
    assert_eq!(last.cells[..2], ["in all".to_owned(), open.to_string()]);
    let told = markdown(&document);
    assert!(told.contains(
        "Of A4, A5 no tick is asked, here and under Checks: nothing was read or taken off there."
    ));
    // Loudspeakers add up too.
    let all: usize = data.lines.iter().map(|it| it.heard[1]).sum();
    assert_eq!(sum(table(&document, "ticked by"), "loudspeakers"), all);
}

#[test]
fn the_snag_list_has_room_for_who_and_by_when_for_all_that_is_flagged() {
    let data = glasshouse();
    let document = record(data);
    let snags = table(&document, "by when");
    for row in data
        .lines
        .iter()
        .filter(|it| it.verdict == Some("out-of-tolerance"))
    {
        let told = snags
            .rows
            .iter()
            .find(|it| it.cells[0] == row.line)
            .unwrap();
        assert!(cell(snags, told, "who").starts_with(".."), "{told:?}");
    }
}

#[test]
fn every_loudspeaker_that_was_listened_to_is_named_with_the_answer_the_tone_and_the_time() {
    let document = record(glasshouse());
    let heard = table(&document, "tone from");
    let rows: Vec<[&str; 4]> = heard
        .rows
        .iter()
        .map(|row| {
            let of = |column| cell(heard, row, column);
            [
                of("line"),
                of("answer"),
                of("loudspeakers"),
                of("tone from"),
            ]
        })
        .collect();
    assert_eq!(
        rows,
        [
            ["PH-3", "heard", "LS-07", "meter"],
            ["LH-3", "too noisy to tell", "LS-02", "meter"],
            ["TH-1", "heard", "LS-03, LS-06", "meter"],
            ["TH-1", "silent", "LS-11", "meter"],
            ["SD-3", "heard", "LS-02", "meter"],
        ]
    );
    assert_eq!(
        cell(heard, &heard.rows[2], "when, UTC"),
        "2026-11-24 10:40 to 10:42"
    );
}

#[test]
fn readings_are_printed_as_often_as_they_are_counted_and_the_visit_begins_with_its_first_entry() {
    let data = glasshouse();
    let document = record(data);
    let count = |instrument: &str| {
        let mut all = data.instruments.iter();
        all.find(|it| it.instrument == instrument).unwrap().readings
    };
    let also = table(&document, "taken");
    let with = |kind: &str| also.rows.iter().filter(|it| it.cells[1] == kind).count();
    assert_eq!(with("direct current"), count("ohmmeter"));
    // Line whole as left, line whole as found before a repair, parts of a split.
    let read = data.lines.iter().filter(|it| it.as_left.is_some()).count();
    let found = data.lines.iter().filter(|it| it.as_found != it.as_left);
    assert_eq!(read + found.count() + with("impedance"), count("meter"));
    let insulation = table(&document, "test voltage");
    assert_eq!(insulation.rows.len(), count("insulation"));
    let told = markdown(&document);
    assert!(told.contains("Insulation was read on 3 of 42 lines"));
    assert!(told.contains("visit-1, 2026-11-24 08:50 to 11:03 UTC"));
    // The picture has every line that was read, the open one among them.
    let deviations = pictures(&document).find(|it| it.title.starts_with("Deviation"));
    let has = |words: &str| {
        let mut all = deviations.unwrap().primitives.iter();
        all.any(|it| matches!(it, Primitive::Text { text, .. } if text == words))
    };
    for row in data.lines.iter().filter(|it| it.measured.is_some()) {
        assert!(has(&row.line), "{}", row.line);
    }
    assert!(has("open"));
}

#[test]
fn a_suspect_has_one_figure_wherever_it_stands_and_advice_goes_to_the_likeliest_of_equals() {
    let data = glasshouse();
    let lh = line(data, "LH-1");
    assert_eq!(
        lh.to_do[0],
        "to find it: listen at LS-03, or at LS-04, which tells as much"
    );
    // The place that the screen names first, of every line that is to be listened to next.
    let mut listened = 0;
    for row in data.lines.iter().filter(|row| !row.to_do.is_empty()) {
        let next = row.next.first().filter(|next| next.test == "listen");
        let asks = row.to_do[0].trim_start_matches("to find it: ");
        if let (Some(next), true) = (next, asks.starts_with("listen at LS-")) {
            listened += 1;
            assert!(asks.starts_with(&next.text), "{}", row.line);
        }
    }
    assert!(listened >= 2, "{listened}");
    let document = record(data);
    // 41 % open and 18 % behind a broken cable.
    let of = |label: &str| line(data, "LH-1").suspect_at(label);
    assert!(of("LS-04") > of("LS-03"));
    let story = points(&document, "OH-2, ");
    assert!(
        story.contains("two faults, one of them at LS-01.\n"),
        "{story}"
    );
    // All alike as told, all alike in the picture.
    let ch = line(data, "CH-1");
    let each = format!("{:.0} % each", 100.0 * ch.suspect_at("LS-04"));
    assert!(points(&document, "CH-1, ").contains(&each), "{each}");
    let why = table(&document, "likeliest why");
    let mended = why.rows.iter().find(|it| it.cells[0] == "PH-1").unwrap();
    assert!(mended.cells[4].starts_with("repaired, reads right since; "));
    assert!(mended.cells[4].ends_with("; noted as found: terminals in J-1 green with damp"));
    assert!(
        points(&document, "PH-1, ").contains("; a guess, and the reading since fits no fault.")
    );
    assert_eq!(
        line(data, "CH-1").to_do[0],
        "to find it: listen at LS-01, then at the 7 others as likely"
    );
    assert!(points(&document, "PH-1, ").contains("(noted: terminals in J-1 green with damp)"));
    assert!(line(data, "CF-1").to_do[0].starts_with("turn it up, read it again: "));
}

#[test]
fn a_type_that_draws_less_names_its_lines_and_a_dead_loudspeaker_that_does_not_show_its_figures() {
    let data = glasshouse();
    let document = record(data);
    let told = points(&document, "What only the whole building shows");
    let of_type = told
        .lines()
        .find(|it| it.contains("type ceiling 6"))
        .unwrap();
    let labels = of_type.rsplit_once("; on ").unwrap().1;
    let hint = data
        .site_hints
        .iter()
        .find(|it| it.fault == "common-type")
        .unwrap();
    for row in &data.lines {
        // Of a line that nobody read nothing was learned.
        let read = row.measured.is_some();
        let has = read && row.nodes.iter().any(|it| it.of_type == hint.of_type);
        assert_eq!(
            labels.split(", ").any(|it| it == row.line),
            has,
            "{}",
            row.line
        );
    }
    let lost = table(&document, "shows from");
    let lines: usize = lost
        .rows
        .iter()
        .map(|it| it.cells[0].split(", ").count())
        .sum();
    let wanted = data
        .design
        .iter()
        .filter(|it| it.kind == "lost-in-tolerance");
    assert_eq!(lines, wanted.count());
    // One of n equal taps takes 1 / n away, load over load: of ten 10 %, of twelve 8.3 %.
    let ten = &lost
        .rows
        .iter()
        .find(|it| it.cells[1] == "10")
        .unwrap()
        .cells[2];
    assert!(ten.ends_with("10.0 %"), "{ten}");
    let twelve = lost.rows.iter().find(|it| it.cells[1] == "12").unwrap();
    assert_eq!(twelve.cells[2], "8.3 %");
    assert!(!markdown(&document).contains("dead unseen"));
}

#[test]
fn no_word_of_the_program_stands_in_the_record_and_every_chapter_in_its_contents() {
    let document = record(glasshouse());
    let told = markdown(&document);
    for word in [
        "p\\_out",
        "p_out",
        "linewright",
        "wrong-tap",
        "bad-joint",
        "\\_ohm",
        "drift.",
        "stop_ohm",
    ] {
        assert!(!told.contains(word), "{word}");
    }
    let chapter =
        |it: &&Block| matches!(it, Block::Heading(1, text) if text.starts_with("What is wrong"));
    assert_eq!(document.blocks.iter().filter(chapter).count(), 1);
}

#[test]
fn a_bar_over_its_rating_goes_past_it_and_a_level_that_is_no_matter_is_not_drawn() {
    let data = glasshouse();
    let document = record(data);
    let loads = pictures(&document)
        .find(|it| it.title.starts_with("Load"))
        .unwrap();
    let rating = loads.primitives.iter().find_map(|it| match it {
        Primitive::Line { from, to } if from.0 == to.0 && to.1 - from.1 > 2.0 => Some(from.0),
        _ => None,
    });
    let ends = |y: f64| {
        let boxes = loads.primitives.iter().filter_map(move |it| match it {
            Primitive::Box { x, y: at, w, .. } if *at == y => Some(x + w),
            _ => None,
        });
        boxes.fold(0.0, f64::max)
    };
    for (at, row) in data.outputs.iter().enumerate() {
        let Some(load) = row.load_w else { continue };
        // A stroke is drawn in the middle of its cell.
        let over = ends((at + 1) as f64) > rating.unwrap() + 0.5;
        assert_eq!(over, load > row.rated_w.unwrap(), "{}", row.output);
    }
    for picture in pictures(&document).filter(|it| it.title.contains("cable as drawn")) {
        let flat =
            |it: &Primitive| matches!(it, Primitive::Text { text, .. } if text.ends_with("dB"));
        assert!(!picture.primitives.iter().any(flat), "{}", picture.title);
    }
}

#[test]
fn on_the_snag_list_a_line_still_wants_to_be_mended() {
    let mut pen = Pen::on(demo());
    for label in ["OH-2", "LH-1", "PH-4"] {
        let at = pen.site.plan().line_labelled(label).unwrap();
        let id = pen.site.plan().lines[at].id.clone();
        let snag = Decision::Snag {
            owner: "N. N.".to_owned(),
            due: Some(day("2026-12-24")),
        };
        pen.decide(Ref::Line(id), snag, Some("no ladder"));
    }
    let data = assessed(&pen.site);
    let said = "snag, owner N. N., by 2026-12-24: no ladder";
    for label in ["OH-2", "LH-1"] {
        let to_do = line(&data, label).to_do.join("; ");
        assert!(
            to_do.contains("; mend what that shows and read it again; "),
            "{to_do}"
        );
        assert!(to_do.contains(said), "{to_do}");
    }
    let to_do = &line(&data, "PH-4").to_do;
    assert!(
        to_do[1].starts_with("find and mend it, read it again"),
        "{to_do:?}"
    );
}

//! What a reader of the record is told: which lines are bad, why, what was done, what is left, with
//! which meter.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;

use desk::{demo, hall};
use linewright::analysis::Analyst;
use linewright::report::document::{Block, Document, Picture, Table};
use linewright::report::picture::Primitive;
use linewright::report::{Assessment, LineRow, markdown, record, text};
use linewright::site::{CORES_OFF, Decision, Do, Ref, SPLIT_OPENED, Site, Tick, TickIs};
use pen::{Pen, day};
use std::sync::OnceLock;

fn assessed(site: &Site) -> Assessment {
    let mut analyst = Analyst::new(site);
    analyst.settle(site, None);
    Assessment::of(site, &analyst, None)
}

fn glasshouse() -> &'static Assessment {
    static DEMO: OnceLock<Assessment> = OnceLock::new();
    DEMO.get_or_init(|| assessed(&demo()))
}

fn line<'a>(data: &'a Assessment, label: &str) -> &'a LineRow {
    data.lines.iter().find(|row| row.line == label).unwrap()
}

/// Points of the section of a line.
fn section(document: &Document, line: &str) -> Vec<String> {
    let title = format!("{line}, ");
    let mut blocks = document
        .blocks
        .iter()
        .skip_while(|it| !matches!(it, Block::Heading(2, text) if text.starts_with(&title)));
    blocks
        .next()
        .unwrap_or_else(|| panic!("no section of {line}"));
    match blocks.next() {
        Some(Block::Points(points)) => points.clone(),
        other => panic!("{other:?}"),
    }
}

fn table<'a>(document: &'a Document, column: &str) -> &'a Table {
    let found = document.blocks.iter().find_map(|block| match block {
        Block::Table(table) if table.columns.iter().any(|it| it.title == column) => Some(table),
        _ => None,
    });
    found.unwrap_or_else(|| panic!("no table with a column {column}"))
}

fn pictures(document: &Document) -> impl Iterator<Item = &Picture> {
    document.blocks.iter().filter_map(|it| match it {
        Block::Picture(picture) => Some(picture),
        _ => None,
    })
}

#[test]
fn a_cause_seen_over_all_lines_stands_before_the_lines_own_suspects_which_hold_only_without_it() {
    let data = glasshouse();
    let document = record(data);
    for (label, cause) in [
        ("FH-1", "labels of FH-1 and FH-3 swapped"),
        ("FH-3", "labels of FH-1 and FH-3 swapped"),
        ("PH-5", "range multiplier x10 left out on PH-5"),
    ] {
        let points = section(&document, label);
        let suspected: Vec<&String> = points
            .iter()
            .filter(|it| it.starts_with("Suspected, "))
            .collect();
        assert_eq!(suspected.len(), 2, "{suspected:#?}");
        assert!(suspected[0].contains(cause) && suspected[0].contains(" %, seen over all lines"));
        assert!(
            suspected[1].starts_with("Suspected, only if it is not that, of the line itself: ")
        );
        // In the data: the hint of the whole building with its odds, beside the line's own.
        let row = line(data, label);
        let hint = data
            .site_hints
            .iter()
            .find(|it| it.text.starts_with(cause))
            .unwrap();
        assert_eq!(row.site_wide[0].probability, hint.probability);
        assert_eq!(row.site_wide[0].fault, hint.fault);
        assert!(!row.hints.is_empty());
    }
    // A line that no such cause names says nothing of it.
    assert!(line(data, "CH-1").site_wide.is_empty());
    let points = section(&document, "CH-1");
    assert!(points.iter().any(|it| it.starts_with("Suspected, 9")));
}

#[test]
fn assess_says_it_too_and_gives_the_test_that_settles_it() {
    let site = demo();
    let mut analyst = Analyst::new(&site);
    analyst.settle(&site, None);
    let told = text(&site, &analyst, glasshouse());
    let at = told.find("FH-1: reads").unwrap();
    let part: Vec<&str> = told[at..].lines().skip(1).take(2).collect();
    assert!(part[0].contains("seen over all lines: labels of FH-1 and FH-3 swapped"));
    assert!(part[1].trim_start().starts_with("- only if it is not that"));
    let json: serde_json::Value = serde_json::from_str(&glasshouse().to_json().unwrap()).unwrap();
    let rows = json["lines"].as_array().unwrap();
    let row = rows.iter().find(|it| it["line"] == "FH-1").unwrap();
    assert_eq!(row["site_wide"][0]["fault"], "swapped-labels");
    assert_eq!(row["to_do"][0], "put the tone on FH-1, listen at FH-3");
}

#[test]
fn a_short_has_no_deviation_in_the_record_and_places_behind_a_shared_cause_say_when_they_hold() {
    let told = markdown(&record(glasshouse()));
    // 1111 ohm drawn over 0.60 is 1852 times the load.
    assert!(!told.contains("x 185"), "{told}");
    let wanted = "As left: 0.60 ohm, as good as short, out of tolerance; should read 1111 ohm.";
    assert!(told.contains(wanted), "{told}");
    // A line is not searched along its cable before what is seen over all lines is looked at.
    assert!(!told.contains("FH-1: its cable as drawn"));
    let drawn = told.split("OH-2: its cable as drawn").nth(1).unwrap();
    // The rack begins the cable, below the headings: it is none of them.
    let mut rows = drawn.lines().filter(|row| !row.is_empty()).skip(2);
    let head: Vec<&str> = rows.next().unwrap().split_whitespace().collect();
    assert_eq!(head, ["at", "run", "tap", "heard", "suspect"]);
    assert_eq!(rows.next(), Some("rack"));
    assert!(rows.next().unwrap().starts_with("LS-01"));
    let note = drawn
        .lines()
        .find(|row| row.starts_with("Suspect: "))
        .unwrap();
    assert!(
        note.contains("the odds that the one fault, of whatever kind, sits there"),
        "{note}"
    );
}

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
fn no_key_of_the_terminal_and_no_label_twice_stands_in_the_record() {
    let mut pen = Pen::on(demo());
    let at = pen.site.plan().line_labelled("TH-1").unwrap();
    let plan = &pen.site.plan().lines[at];
    let (line, node) = (plan.id.clone(), plan.nodes[8].id.clone());
    let visit = pen.site.visit();
    pen.write(Do::Tick(Tick {
        item: SPLIT_OPENED.to_owned(),
        of: vec![Ref::Line(line), Ref::Node(node)],
        visit,
        is: TickIs::Done,
    }));
    let told = markdown(&record(&assessed(&pen.site)));
    for word in ["398r400", "a digit", "Space ticks", "Enter"] {
        assert!(!told.contains(word), "{word}");
    }
    assert!(told.contains("opened before LS-09 for a split"), "{told}");
    assert!(!told.contains("before TH-1 LS-09"));
}

#[test]
fn the_front_page_tells_of_every_flagged_thing_why_what_was_done_and_what_is_left() {
    let data = glasshouse();
    let document = record(data);
    let table = table(&document, "likeliest why");
    let row = |what: &str| -> &[String] {
        let found = table.rows.iter().find(|row| row.cells[0] == what);
        &found.unwrap_or_else(|| panic!("{what}: {table:#?}")).cells
    };
    for it in data
        .lines
        .iter()
        .filter(|it| it.verdict == Some("out-of-tolerance"))
    {
        let cells = row(&it.line);
        assert!(
            cells[4].contains(" %: ") && !cells[6].is_empty(),
            "{cells:?}"
        );
    }
    assert!(row("FH-1")[4].contains("swapped"));
    // The output that is over its rating says which line made it so, and by how much.
    let grown = &data.outputs[2].grown;
    assert_eq!(grown[0].line, "CH-1");
    let ch = line(data, "CH-1");
    let by = ch.measured.as_ref().unwrap().watts.unwrap() - ch.expected.watts.unwrap();
    assert!((grown[0].by_w - by).abs() < 1e-9);
    assert!(row("A2 out 1")[4].starts_with("CH-1 takes 33.8 W more than drawn"));
    // 80 % of 120 W.
    assert_eq!(row("A2 out 1")[3], "at most 96.0 W");
    assert!(row("PH-1")[5].contains("repaired: terminals in J-1 cut back and remade"));
    // Which meter, on the cover.
    let told = markdown(&document);
    let cover = told.split("## Summary").next().unwrap();
    assert!(
        cover.contains("meter, ") && cover.contains("accuracy given as 5.0 %"),
        "{cover}"
    );
    assert!(cover.contains("engineer A"));
}

#[test]
fn an_edit_in_the_log_of_changes_says_from_what_to_what() {
    let mut pen = Pen::on(hall());
    pen.edit_run("H-1/LS-2", 12.5);
    let document = record(&assessed(&pen.site));
    let rows = &table(&document, "by").rows;
    let was = hall();
    let at = was.plan().line(&"H-1".into()).unwrap();
    let run = was.plan().lines[at].nodes[1].run.unwrap().get();
    let wanted = format!("H-1 LS-2 design edited: run {run} m -> 12.5 m");
    assert!(
        rows.iter().any(|row| row.cells.contains(&wanted)),
        "{rows:#?}"
    );
}

#[test]
fn every_picture_has_a_title_above_it_and_a_load_far_out_draws_no_bar_across() {
    let document = record(glasshouse());
    assert!(pictures(&document).count() > 2);
    assert!(pictures(&document).all(|it| !it.title.is_empty() && !it.note.is_empty()));
    let deviations = pictures(&document)
        .find(|it| it.title.starts_with("Deviation"))
        .unwrap();
    let edges: Vec<f64> = deviations
        .primitives
        .iter()
        .filter_map(|it| match it {
            Primitive::Line { from, to } if from.0 == to.0 => Some(from.0),
            _ => None,
        })
        .collect();
    let row_of = |label: &str| {
        deviations.primitives.iter().find_map(|it| match it {
            Primitive::Text { at, text } if text == label => Some(at.1),
            _ => None,
        })
    };
    let y = row_of("PH-4").unwrap();
    // 0.60 ohm with twice its uncertainty is still some hundred times what it should take.
    let crosses = deviations.primitives.iter().any(|it| {
        matches!(it, Primitive::Line { from, to }
            if from.1 == y && to.1 == y && edges.iter().any(|edge| from.0 < *edge && *edge < to.0))
    });
    assert!(!crosses);
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
        "visit-1, meter (engineer A, 2026-11-24 08:50)"
    );
    let off = told("Both cores off");
    assert!(off[0][1].starts_with("A1 10 of 10 (engineer A"), "{off:?}");
    // Asked of the lines that were worked on, as in what stands in the way of signing.
    assert_eq!(off[0][2], "A3 4 of 4");
}

#[test]
fn whoever_answers_for_the_voice_alarm_is_told_which_of_its_lines_warn_nobody() {
    use linewright::site::{Amplifier, Design, Elements, Log};
    let told = |site: &Site| markdown(&record(&assessed(site)));
    assert!(told(&hall()).contains(
        "Not recorded whether any amplifier carries voice alarm. This record releases none"
    ));
    let mut elements = Elements::default();
    let mut marked = None;
    for (of, stamp, design) in hall().elements().iter() {
        let design = match design.clone() {
            Design::Amplifier(it) if marked.is_none() => {
                marked = Some(it.label.clone());
                Design::Amplifier(Amplifier {
                    voice_alarm: true,
                    ..it
                })
            }
            other => other,
        };
        elements.add(of.clone(), stamp.clone(), design);
    }
    let marked = marked.unwrap();
    let mut pen = Pen::on(Site::new(hall().id().clone(), elements, Log::default()));
    let lines: Vec<(String, String)> = pen
        .site
        .plan()
        .lines
        .iter()
        .map(|line| (line.id.to_string(), line.label.clone()))
        .collect();
    for (id, _) in &lines {
        pen.read_as_drawn(id);
    }
    let data = assessed(&pen.site);
    let own = |row: &&LineRow| row.amplifier == marked;
    let first = data.lines.iter().find(own).unwrap().line.clone();
    let id = &lines.iter().find(|it| it.1 == first).unwrap().0;
    pen.tick(CORES_OFF, vec![Ref::Line(id.as_str().into())]);
    let wanted = format!("Voice alarm is carried by {marked}; of its lines OFF: {first}.");
    let text = told(&pen.site);
    assert!(text.contains(&wanted), "{wanted}: {text}");
}

/// The hall with a line that was read, split, listened to, mended and read again.
fn mended() -> Pen {
    use linewright::quantity::{DecimalSign, Hertz, Insulation, Ohm, Volt, reading};
    use linewright::site::{Cut, Heard, Insulate, Leg, Read, StateId};
    let mut pen = Pen::on(hall());
    let line = || linewright::site::LineId::from("L-1");
    let at = pen.site.plan().line(&line()).unwrap();
    let nodes = pen.site.plan().lines[at].nodes.clone();
    let [first, second] = [0, 1].map(|at| nodes[at].id.to_string());
    pen.read("L-1", "1700");
    let state: StateId = pen.site.history(&line()).state();
    for (text, cut) in [
        ("1690", Cut::Near(nodes[1].id.clone())),
        ("820", Cut::Far(nodes[1].id.clone())),
    ] {
        let typed = reading(text, DecimalSign::Either).unwrap();
        pen.write(Do::Read(Read {
            line: line(),
            state: state.clone(),
            value: typed.value,
            step_ohm: typed.step,
            text: text.to_owned(),
            instrument: "meter".into(),
            hz: Hertz(1000.0),
            phase_deg: None,
            cut: Some(cut),
            note: None,
        }));
    }
    pen.hear(&first, Heard::Heard);
    pen.hear(&second, Heard::Silent);
    pen.write(Do::Insulate(Insulate {
        line: line(),
        state,
        value: Insulation::Ohm(Ohm(55e6)),
        text: "55M".to_owned(),
        instrument: "insulation".into(),
        test_v: Volt(500.0),
        leg: Leg::Both,
        after_s: None,
        note: None,
    }));
    let struck = pen.read("L-1", "99");
    pen.void(&struck);
    pen.repair("L-1", "joint remade", Some("bad-joint"));
    pen.read_as_drawn("L-1");
    pen
}

#[test]
fn the_story_of_a_mended_line_stands_in_the_order_of_time_with_what_was_suspected_before() {
    let pen = mended();
    let document = record(&assessed(&pen.site));
    let points = section(&document, "L-1");
    let all = points.join(" ");
    let place = |words: &str| {
        let at = all.find(words);
        at.unwrap_or_else(|| panic!("{words}: {points:#?}"))
    };
    let order = [
        "Done 2026-11-25 UTC, engineer A: 14:00 read 1700 ohm, as found",
        " read 1690 ohm, split before LS-2, rack side",
        " read 820 ohm, split before LS-2, far side",
        " heard LS-1; silent LS-2",
        " insulation 55.0 Mohm at 500 V",
        "Suspected as found, before the repair, ",
        " repaired: joint remade, found: bad joint",
        ", as left",
    ];
    let places = order.map(place);
    assert!(places.is_sorted(), "{places:?} {points:#?}");
    assert!(!points.iter().any(|it| it.contains("nothing wrong")));
    // What was struck is in the log of changes alone, once.
    assert!(
        !points
            .iter()
            .any(|it| it.contains("struck") || it.contains("99 ohm"))
    );
    let told = markdown(&document);
    assert_eq!(told.matches("struck: L-1 impedance reading 99").count(), 1);
    // The table of the first pages has the same suspicion, and the summary the repair.
    let row = &table(&document, "likeliest why").rows;
    let row = row.iter().find(|row| row.cells[0] == "L-1").unwrap();
    assert!(
        row.cells[4].starts_with("repaired, reads right since"),
        "{row:?}"
    );
    assert!(
        row.cells[4].ends_with("; cause found: bad joint"),
        "{row:?}"
    );
    assert!(told.contains("Repaired, 1: L-1 (joint remade, found: bad joint)."));
}

#[test]
fn insulation_read_before_a_repair_is_told_and_wants_reading_again() {
    let pen = mended();
    let data = assessed(&pen.site);
    let to_do = &line(&data, "L-1").to_do;
    let again = "read its insulation again: it was read before the repair".to_owned();
    assert!(to_do.contains(&again), "{to_do:?}");
    let told = markdown(&record(&data));
    assert!(
        told.contains(
            "Insulation was read on 1 of 6 lines; before a repair, and wants reading again: L-1."
        ),
        "{told}"
    );
    assert!(told.contains("read before the repair, wants reading again"));
    // What is ticked before insulation is read was asked for then, and nobody ticked it.
    let document = record(&data);
    let checks = &table(&document, "not ticked").rows;
    let from = checks
        .iter()
        .position(|it| it.cells[0] == "Before insulation was read");
    let asked = &checks[from.expect("no steps of insulation") + 1..];
    let asked: Vec<&str> = asked
        .iter()
        .map(|it| it.cells.last().unwrap().as_str())
        .collect();
    let amplifier = &line(&data, "L-1").amplifier;
    assert_eq!(asked[0], format!("{amplifier} 1 of 1"));
}

#[test]
fn outputs_past_their_rating_or_headroom_are_named_in_the_summary() {
    let data = glasshouse();
    let told = markdown(&record(data));
    for (past, words) in [
        (1.0, "Past the rating with every line on"),
        (0.8, "Past the headroom with every line on"),
    ] {
        // The load is over that share of the rating, and not over the next; a fifth is kept free.
        let outputs = data.outputs.iter().filter(|row| row.stop.is_empty());
        let names: Vec<String> = outputs
            .filter(|row| {
                let share = row.load_w.unwrap() / row.rated_w.unwrap();
                share > past && (past == 1.0 || share <= 1.0)
            })
            .map(|row| format!("{} out {}", row.amplifier, row.output))
            .collect();
        assert!(!names.is_empty());
        let wanted = format!("{words}: {}.", names.join(", "));
        assert!(told.contains(&wanted), "{wanted}");
    }
}

#[test]
fn a_record_says_whether_confirmed_causes_count() {
    let mut data = assessed(&mended().site);
    let off = "Causes that repairs confirmed are not counted here";
    let told = markdown(&record(&data));
    assert!(
        told.contains("| bad joint ") && !told.contains(off),
        "{told}"
    );
    // A limit is listed where it is not the default: this one stands in for the switch.
    let switch = data.limits.last_mut().unwrap();
    (switch.name, switch.value) = ("learn_rates", 0.0);
    let told = markdown(&record(&data));
    assert!(
        told.contains(off) && !told.contains("| looked at |"),
        "{told}"
    );
}

#[test]
fn one_dead_loudspeaker_of_n_alike_lowers_the_load_by_an_nth_and_shows_only_from_more() {
    let document = record(glasshouse());
    let table = table(&document, "one dead lowers the load by");
    let percents = |cell: &str| -> Vec<f64> {
        let figures = cell
            .split(" to ")
            .map(|it| it.trim_end_matches(" %").parse());
        figures.map(Result::unwrap).collect()
    };
    let mut alike = 0;
    for row in &table.rows {
        let (lowers, shows) = (percents(&row.cells[2]), percents(&row.cells[3]));
        assert!(lowers.iter().zip(&shows).all(|(a, b)| a < b), "{row:?}");
        // TH-1: twelve of 3 W; cables take less than a tenth of one in a hundred.
        if row.cells[0] == "TH-1" {
            alike += 1;
            assert!((lowers[0] - 100.0 / 12.0).abs() < 0.1, "{row:?}");
        }
        let of: f64 = row.cells[1].parse().unwrap();
        assert!(
            lowers
                .iter()
                .all(|it| (it / (100.0 / of) - 1.0).abs() < 0.1),
            "{row:?}"
        );
    }
    assert_eq!(alike, 1);
}

#[test]
fn answers_of_a_line_are_one_row_each_with_all_that_gave_it_and_insulation_names_its_verdict() {
    use linewright::quantity::{Insulation, Ohm, Volt};
    use linewright::site::{Insulate, Leg};
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("L-1");
    pen.hear_all("L-1");
    let state = pen.site.history(&"L-1".into()).state();
    // Under 1 Mohm at 500 V: IEC 60364-6, table 6.1.
    pen.write(Do::Insulate(Insulate {
        line: "L-1".into(),
        state,
        value: Insulation::Ohm(Ohm(4e5)),
        text: "400k".to_owned(),
        instrument: "insulation".into(),
        test_v: Volt(500.0),
        leg: Leg::Both,
        after_s: None,
        note: None,
    }));
    let data = assessed(&pen.site);
    let document = record(&data);
    let heard = table(&document, "answer");
    assert_eq!(heard.rows.len(), 1);
    let count = line(&data, "L-1").heard[1];
    assert_eq!(
        heard.rows[0].cells[..3],
        ["L-1", "heard", &format!("all {count}")]
    );
    let row = &table(&document, "test voltage").rows[0];
    assert!(row.strong);
    assert_eq!(
        row.cells[..4],
        ["L-1", "400 kohm", "500 V", "out of tolerance"]
    );
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
fn the_load_of_a_short_is_not_known_and_too_noisy_to_tell_is_no_answer() {
    use linewright::site::Heard;
    let data = glasshouse();
    let told = markdown(&record(data));
    let short = told
        .lines()
        .find(|row| row.starts_with("| PH-4 ") && row.contains("| OUT "));
    let short = short.unwrap();
    assert!(
        short.contains("not known") && !short.contains("kW"),
        "{short}"
    );
    assert!(!told.contains("PH-4 takes"));
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("L-1");
    pen.hear("L-1/LS-1", Heard::Noisy);
    let document = record(&assessed(&pen.site));
    let rows = &table(&document, "tone from").rows;
    assert_eq!(rows[0].cells[..3], ["L-1", "too noisy to tell", "LS-1"]);
    assert!(!rows[0].strong);
    assert!(markdown(&document).contains("Listened to 0 of"));
}

#[test]
fn an_output_that_is_past_its_limit_beside_a_short_that_is_off_says_so_on_every_list() {
    let data = glasshouse();
    let row = &data.outputs[0];
    // Of A1 out 1, 240 W with a fifth kept free, PH-4 is short and OFF.
    assert_eq!(row.stop, ["PH-4"]);
    assert!((row.limit_w.unwrap() - 0.8 * 240.0).abs() < 1e-9);
    assert!(row.on_now_w.unwrap() > row.limit_w.unwrap());
    let document = record(data);
    let told = markdown(&document);
    // 100^2 V2 over 126, 251, 350 and 135 ohm; PH-5 as drawn takes 7.5 W.
    let now: f64 = [126.0, 251.0, 350.0, 135.0]
        .map(|ohm| 1e4 / ohm)
        .iter()
        .sum();
    let wanted =
        format!("NOW past the headroom: A1 out 1, {now:.1} W of at most 192.0 W; PH-5 reads");
    assert!(told.contains(&wanted), "{wanted}");
    assert!(told.contains("reads as good as short: PH-4 to A1 out 1."));
    for column in ["likeliest why", "by when"] {
        let table = table(&document, column);
        let row = table.rows.iter().find(|it| it.cells[0] == "A1 out 1");
        let row = row.unwrap_or_else(|| panic!("{column}"));
        let cells = row.cells.join(" ");
        assert!(
            cells.contains(&format!("{now:.1} W")) && cells.contains("without PH-4"),
            "{cells}"
        );
    }
    assert!(data.review.iter().any(|it| it.of == "A1 out 1" && it.open));
    // PH-5 read 135 ohm for 1350 ohm, as suspected: the same sum with that, in the same words on all lists.
    let meant = now - 1e4 / 135.0 + 1e4 / 1350.0;
    let if_slip = format!("if PH-5 is 1350 ohm as suspected (98 %): {meant:.1} W");
    assert!(
        told.lines()
            .any(|it| it.starts_with("- NOW ") && it.contains(&if_slip))
    );
    for column in ["likeliest why", "by when", "all as drawn"] {
        let table = table(&document, column);
        let row = table.rows.iter().find(|it| it.cells[0] == "A1 out 1");
        let cells = row.unwrap().cells.join(" ");
        assert!(cells.contains(&if_slip), "{column}: {cells}");
    }
    // No other output rests on such a reading.
    assert!(data.outputs[1..].iter().all(|it| it.if_slips.is_none()));
    // The chart has a bar for what is on it.
    let chart = pictures(&document)
        .find(|it| it.title.starts_with("Load "))
        .unwrap();
    let bar = |it: &Primitive| matches!(it, Primitive::Box { y, w, .. } if *y == 1.0 && *w > 0.0);
    assert!(chart.primitives.iter().any(bar));
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
fn what_is_so_now_stands_before_what_would_be_so_with_every_line_on_and_mended_lines_last() {
    let document = record(glasshouse());
    let why = table(&document, "likeliest why");
    let place = |what: &str| why.rows.iter().position(|it| it.cells[0] == what).unwrap();
    // A1 out 1 is past the headroom now; A2 out 1 carries 36.1 W of 96.0 W now, A4 out 1 is as drawn.
    assert!(place("PH-4") < place("A1 out 1"));
    assert!(place("LH-1") < place("A2 out 1"));
    assert!(place("A1 out 1") < place("A2 out 1"));
    assert!(place("A2 out 1") < place("A4 out 1"));
    assert!(place("A4 out 1") < place("PH-1"));
}

#[test]
fn an_excess_has_one_word_for_the_headroom_and_one_for_the_rating() {
    let told = markdown(&record(glasshouse()));
    for gone in [
        "may carry",
        "hort of headroom",
        "ver its rating",
        "past at most",
        "should carry",
    ] {
        assert!(!told.contains(gone), "{gone}");
    }
    assert!(told.contains("past the headroom") && told.contains("past the rating"));
}

#[test]
fn an_output_of_which_not_all_was_read_says_how_much_was_and_what_it_is_once_mended() {
    let data = glasshouse();
    let document = record(data);
    let outputs = table(&document, "all as drawn");
    for row in &data.outputs {
        let name = format!("{} out {}", row.amplifier, row.output);
        let told = outputs.rows.iter().find(|it| it.cells[0] == name).unwrap();
        let at = outputs
            .columns
            .iter()
            .position(|it| it.title == "verdict")
            .unwrap();
        let told = &told.cells[at];
        let own = || {
            let lines = data.lines.iter();
            lines.filter(|it| it.amplifier == row.amplifier && it.output == row.output)
        };
        let (read, all) = (
            own().filter(|it| it.measured.is_some()).count(),
            own().count(),
        );
        match read {
            0 => assert!(told.contains(" as drawn, nothing read"), "{name}: {told}"),
            _ if read == all => assert!(!told.contains("as drawn, "), "{name}: {told}"),
            _ => assert!(
                told.contains(&format!(", {read} of {all} read")),
                "{name}: {told}"
            ),
        }
        // Without phases loads add as watts: what is out of tolerance as drawn, the rest as it stands.
        let is_out = |it: &LineRow| it.verdict == Some("out-of-tolerance");
        let sum: f64 = own()
            .map(|it| match (is_out(it), &it.measured) {
                (false, Some(read)) => read.watts.unwrap(),
                _ => it.expected.watts.unwrap(),
            })
            .sum();
        if own().any(is_out) && row.stop.is_empty() {
            assert!(
                told.contains(&format!("; once mended {sum:.1} W")),
                "{name}: {told}"
            );
        }
    }
}

#[test]
fn a_first_suspect_under_six_in_ten_has_the_second_beside_it() {
    let data = glasshouse();
    let document = record(data);
    let why = table(&document, "likeliest why");
    for row in &why.rows {
        let Some(line) = data.lines.iter().find(|it| it.line == row.cells[0]) else {
            continue;
        };
        if line.site_wide.iter().any(|it| it.probability >= 0.5) || line.is_mended() {
            continue;
        }
        let wanted = line.hints[0].probability < 0.6;
        assert_eq!(
            row.cells[4].contains(&line.hints[1].text),
            wanted,
            "{row:?}"
        );
    }
    let row = why.rows.iter().find(|it| it.cells[0] == "OH-2").unwrap();
    assert!(
        row.cells[4].contains("; 36 %: the reading mistaken"),
        "{row:?}"
    );
    // Of what was mended the old guess stands in its own section alone.
    let row = why.rows.iter().find(|it| it.cells[0] == "PH-1").unwrap();
    assert!(
        row.cells[4].starts_with("repaired, reads right since; "),
        "{row:?}"
    );
    assert!(!row.cells[4].contains("71 %"));
    assert!(section(&document, "PH-1").join(" ").contains("71 %"));
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
fn a_bar_of_the_loads_is_as_long_as_its_load_and_a_load_of_now_says_so() {
    let data = glasshouse();
    let document = record(data);
    let loads = pictures(&document)
        .find(|it| it.title.starts_with("Load "))
        .unwrap();
    let rating = loads.primitives.iter().find_map(|it| match it {
        Primitive::Line { from, to } if from.0 == to.0 && to.1 - from.1 > 2.0 => Some(from.0 + 0.5),
        _ => None,
    });
    for (at, row) in data.outputs.iter().enumerate() {
        let y = (at + 1) as f64;
        let bar = loads.primitives.iter().find_map(|it| match it {
            Primitive::Box { x, y: at, w, .. } if *at == y => Some((*x, *w)),
            _ => None,
        });
        let (x, w) = bar.unwrap();
        let share = row.load_w.or(row.on_now_w).unwrap() / row.rated_w.unwrap();
        assert!(
            (w / (rating.unwrap() - x) - share).abs() < 1e-9,
            "{}",
            row.output
        );
        let is_now = loads.primitives.iter().any(
            |it| matches!(it, Primitive::Text { at, text } if at.1 == y && text.starts_with("NOW ")),
        );
        assert_eq!(is_now, row.load_w.is_none());
    }
}

#[test]
fn what_finds_a_fault_is_told_apart_from_what_is_heard_after_mending() {
    let data = glasshouse();
    let to_do = |label: &str| line(data, label).to_do.join("; ");
    assert!(to_do("CH-1").starts_with("to find it: listen at LS-01, then at the 7 others"));
    assert!(to_do("CH-1").ends_with("; after mending: listen at all 8 loudspeakers"));
    // What was heard before a repair does not count after it.
    assert!(to_do("TH-1").starts_with("to find it: listen at LS-08; "));
    assert!(to_do("TH-1").ends_with("; after mending: listen at all 12 loudspeakers"));
    // A label or a range that is looked at is no mending.
    assert!(!to_do("PH-5").contains("mending") && !to_do("FH-1").contains("mending"));
}

#[test]
fn a_record_that_is_not_signed_says_what_cannot_be_checked_and_times_are_those_of_ticks() {
    let told = markdown(&record(glasshouse()));
    assert!(told.contains(
        "The program never changes or deletes one; without a signature this cannot be checked."
    ));
    assert!(told.contains("The time (UTC) is when that was ticked"));
    assert!(told.contains("not taken off by the ticks, so taken as on"));
}

#[test]
fn pictures_are_narrow_enough_for_a_phone_and_a_page_keeps_labels_in_one_piece() {
    let document = record(glasshouse());
    // 366 px between the margins of 390 px, letters of 12.5 units in cells of 7: never under 8 px.
    for picture in pictures(&document) {
        let letters = 12.5 * 366.0 / (7.0 * picture.columns as f64);
        assert!(letters >= 8.0, "{}: {letters}", picture.title);
    }
    let page = linewright::report::html(&document);
    assert!(!page.contains("overflow-x"));
    assert!(page.contains("see to <span class=\"k\">PH-5</span> (as"));
    // The title of a group of rows is no item.
    assert!(page.contains("<td class=\"k\"><bdi>Handing back</bdi>"));
    assert!(!page.contains("data-h=\"item\"><bdi>Handing back"));
}

#[test]
fn a_line_is_named_for_an_output_past_its_headroom_only_where_mending_it_is_the_way_out() {
    // Of four lines of 90 W together L-1 takes 30 W instead of 18 W: 102 W. A rating of 120 W leaves 96 W
    // free for it, one of 100 W 80 W.
    for (rating, helps) in [(120, true), (100, false)] {
        let schedule = desk::HALL.replace("A1,1,120,", &format!("A1,1,{rating},"));
        let mut pen = Pen::on(desk::site_of(&schedule, "Hall"));
        pen.read("L-1", "333");
        let document = record(&assessed(&pen.site));
        let table = table(&document, "likeliest why");
        let row = table.rows.iter().find(|it| it.cells[0] == "A1 out 1");
        let left = row.unwrap().cells.last().unwrap();
        assert_eq!(left.contains("see to L-1 (as drawn: 8"), helps, "{left}");
        assert_eq!(
            left.contains("L-1 as drawn it would still carry 8"),
            !helps,
            "{left}"
        );
        assert_eq!(left.contains("at least 2"), !helps, "{left}");
        assert!(
            left.contains("a rating of 12"),
            "102 W over four fifths: {left}"
        );
    }
    // Planned past it: no line is at fault, and what would help is said.
    let document = record(glasshouse());
    let table = table(&document, "likeliest why");
    let row = table.rows.iter().find(|it| it.cells[0] == "A4 out 1");
    let left = row.unwrap().cells.last().unwrap();
    assert!(
        left.contains("lower taps, or a line on another output"),
        "{left}"
    );
    assert!(!left.contains("see to"), "{left}");
}

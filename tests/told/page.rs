//! The front page, pictures, and what no page of the record may hold.

use crate::desk::{assessed, demo, hall};
use crate::paper::{glasshouse, line, pictures, table};
use crate::pen::Pen;
use linewright::report::picture::Primitive;
use linewright::report::{LineRow, markdown, record};
use linewright::site::{CORES_OFF, Do, Ref, SPLIT_OPENED, Site, Tick, TickIs};
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
        cover.contains("meter, ") && cover.contains("accuracy assumed: 5.0 %"),
        "{cover}"
    );
    assert!(cover.contains("engineer A"));
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
fn an_accuracy_is_called_given_only_where_somebody_gave_another_than_is_assumed() {
    use crate::desk::hall_with;
    use crate::pen::Pen;
    use linewright::quantity::Fraction;
    use linewright::site::{Design, Instrument};
    let cover = |change: fn(&mut Instrument)| {
        let site = hall_with(|design| match design {
            Design::Instrument(mut it) => {
                change(&mut it);
                Design::Instrument(it)
            }
            other => other,
        });
        let mut pen = Pen::on(site);
        pen.read_as_drawn("H-1");
        let told = markdown(&record(&assessed(&pen.site)));
        let row = told
            .lines()
            .find(|it| it.contains("measured with"))
            .unwrap();
        (row.to_owned(), told)
    };
    let (untouched, told) = cover(|_| ());
    assert!(untouched.contains("accuracy assumed: 5.0 %"), "{untouched}");
    // With what else is assumed and no site changes.
    for row in [
        "accuracy of an instrument of which none is given, fixed",
        "standard uncertainty of a known resistor, fixed",
        "bad joint, fixed",
        "unlisted load, one of these, fixed",
    ] {
        assert!(told.contains(&format!("| {row} ")), "{row}");
    }
    let (given, _) = cover(|it| it.accuracy = Fraction(0.02));
    assert!(given.contains("accuracy given as 2.0 %"), "{given}");
    let (either, told) = cover(|it| it.serial = Some("A-17".to_owned()));
    assert!(
        either.contains("accuracy 5.0 %, given or assumed"),
        "{either}"
    );
    assert!(told.contains("the site file does not tell one from the other"));
}

//! A schedule read and refused row by row.

use super::*;

fn refused(schedule: &str) -> Vec<RowProblem> {
    read_schedule("schedule.csv", schedule.as_bytes(), &[], "Test").unwrap_err()
}

#[track_caller]
fn says(schedule: &str, wanted: &[&str]) {
    let found = words(&refused(schedule));
    assert_eq!(found, wanted);
}

#[test]
fn a_make_of_which_neither_name_nor_taps_are_given_is_called_unnamed() {
    let site = import(b"amplifier,zone,line,loudspeaker,tap_w\nA1,Hall,L-1,LS-1,6\n");
    let makes = site
        .elements()
        .items()
        .filter_map(|(_, design)| match design {
            Design::Type(it) => Some(it.label.as_str()),
            _ => None,
        });
    assert_eq!(makes.collect::<Vec<_>>(), ["unnamed"]);
}

#[test]
fn a_schedule_becomes_a_sound_site() {
    let Schedule {
        id,
        items,
        warnings,
        ..
    } = read_schedule("schedule.csv", SMALL.as_bytes(), &[], "Hall and yard").unwrap();
    assert_eq!(warnings.len(), 1);
    assert_eq!(
        warnings[0].to_string(),
        "schedule.csv:4: rated_w: no rating of output A1 2: it cannot be judged"
    );
    let site = Site::new(id, items.into_iter().collect(), Log::default());
    sound(&site);
    assert_eq!(site.label(), "Hall and yard");
    let design = |of: Ref| site.elements().settled(&of).cloned().unwrap();
    let Design::Loudspeaker(second) = design(Ref::Node("L-1/LS-2".into())) else {
        panic!()
    };
    assert_eq!(second.from.as_str(), "L-1/LS-1");
    assert_eq!(second.r#type.as_str(), "taps 1.5 3 6");
    assert_eq!(second.cable.as_str(), "16 AWG");
    assert!(second.control && !second.dc_block);
    let Design::Junction(box_1) = design(Ref::Node("L-2/J-1".into())) else {
        panic!()
    };
    assert!(box_1.from.is_rack());
    assert_eq!(box_1.cable.as_str(), "2.5 mm2");
    let Design::Loudspeaker(horn) = design(Ref::Node("L-2/LS-1".into())) else {
        panic!()
    };
    assert_eq!((horn.run_m, horn.taps_w, horn.order), (None, None, 2.0));
    let Design::Device(device) = design(Ref::Node("L-2/EOL".into())) else {
        panic!()
    };
    assert_eq!(device.ohm.unwrap().get(), 22e3);
    let Design::Output(output) = design(Ref::Output("A1/2".into())) else {
        panic!()
    };
    assert_eq!((output.volts.get(), output.rated_w), (70.7, None));
}

#[test]
fn the_glasshouse_imports_and_records_without_a_word() {
    let schedule = file("sites/glasshouse-schedule.csv");
    let Schedule {
        id,
        items,
        warnings,
        ..
    } = read_schedule("s.csv", &schedule, &[], "Glasshouse").unwrap();
    assert_eq!(warnings, []);
    let mut site = Site::new(id, items.into_iter().collect(), Log::default());
    sound(&site);
    assert_eq!(site.plan().lines.len(), 42);
    let heard: usize = site
        .plan()
        .lines
        .iter()
        .map(|line| line.loudspeakers())
        .sum();
    assert_eq!(heard, 243);
    let readings = file("sites/glasshouse-readings.csv");
    let recorded = record(&mut site, &readings);
    assert_eq!(recorded.warnings, []);
    assert_eq!(recorded.skipped, 0);
    assert_eq!(
        recorded.entries.len(),
        text("sites/glasshouse-readings.csv").lines().count() - 1
    );
    sound(&site);
    let again = record(&mut site, &readings);
    assert_eq!(
        (again.entries.len(), again.skipped),
        (0, recorded.entries.len())
    );
}

#[test]
fn the_buildings_of_the_case_files_import_and_record() {
    for case in ["practice", "joint"] {
        let path = |name: &str| format!("tests/data/cases/{case}/{name}.csv");
        let mut site = import(&file(&path("schedule")));
        sound(&site);
        let recorded = record(&mut site, &file(&path("readings")));
        assert_eq!(recorded.warnings, [], "{case}");
        let rows = text(&path("readings"))
            .lines()
            .filter(|l| !l.is_empty())
            .count()
            - 1;
        assert_eq!(recorded.entries.len(), rows, "{case}");
        sound(&site);
    }
}

/// With semicolons and decimal commas, as a spreadsheet of another country writes it.
fn with_commas(text: &str) -> String {
    text.replace(',', ";").replace('.', ",")
}

#[test]
fn semicolons_and_decimal_commas_give_the_same_items_and_the_same_site() {
    let points = text("sites/glasshouse-schedule.csv");
    let read = |text: &str| read_schedule("s.csv", text.as_bytes(), &[], "G").unwrap();
    let (points, commas, tabs) = (
        read(&points),
        read(&with_commas(&points)),
        read(&points.replace(',', "\t")),
    );
    for other in [commas, tabs] {
        assert_eq!((&points.id, &points.items), (&other.id, &other.items));
    }
}

#[test]
fn ten_mistakes_give_ten_messages_with_row_column_found_and_wanted() {
    let schedule = "\
amplifier,output,rated_w,line_v,zone,line,loudspeaker,what,tap_w,taps_w,type,dc_block,control,device,from,run_m,cable
A1,1,240,100,Hall,L-1,LS-1,,6,1.5|3|6,bowl,,,,,12,1.5 mm2
A1,1,240,100,Hall,L-1,LS-2,,six,1.5|3|6,bowl,,,,,12,1.5 mm2
A1,1,250,100,Hall,L-1,LS-3,,6,1.5|3|6,bowl,,,,,12,1.5 mm2
A1,1,240,100,Yard,L-1,LS-4,,6,1.5|3|6,bowl,,,,,12,1.5 mm2
A1,1,240,100,Hall,L-1,LS-1,,6,1.5|3|6,bowl,,,,,12,1.5 mm2
A1,1,240,100,Hall,L-1,rack,,6,1.5|3|6,bowl,,,,,12,1.5 mm2
A1,1,240,100,Hall,L-1,LS-6,,5,1.5|3|6,bowl,,,,,12,1.5 mm2
A1,1,240,100,Hall,L-1,LS-7,,6,03-Jan,bowl,,,,,12,1.5 mm2
A1,1,240,100,Hall,L-1,LS-8,,6,1.5|3|6,bowl,,,,ls-1,12,1.5 mm2
A1,1,240,100,Hall,L-1,LS-9,,6,1.5|3|6,bowl,,,,,1.2E+03,1.5 mm2
A1,1,240,100,Hall,L-1,LS-10,,6,1.5|3|6,bowl,,,,,12,1.7 mm2
";
    says(
        schedule,
        &[
            "schedule.csv:3: tap_w: found \"six\", a power above 0 in watts was wanted",
            "schedule.csv:4: rated_w: found \"250\", \"240\" as in row 2 was wanted; output A1 1 has one rating: mend one of the two rows",
            "schedule.csv:5: zone: found \"Yard\", \"Hall\" as in row 2 was wanted; line L-1 has one zone: mend one of the two rows",
            "schedule.csv:6: loudspeaker: found \"LS-1\", a label that row 2 of line L-1 has not was wanted; rename or remove one of the two",
            "schedule.csv:7: loudspeaker: found \"rack\", a label of its own on its line was wanted; rack is the word for the amplifier end: use another label",
            "schedule.csv:8: tap_w: found \"5\", one of its taps, 1.5 3 6 was wanted; mend tap_w, or list every tap in taps_w",
            "schedule.csv:9: taps_w: found \"03-Jan\", powers above 0 in watts, parted by |, space or / was wanted; a spreadsheet made a date of it: format the column as text and type it again",
            "schedule.csv:10: from: found \"ls-1\", rack or a label of line L-1 was wanted; did you mean LS-1?",
            "schedule.csv:11: run_m: found \"1.2E+03\", a length of 0 to 100000 in metres, or blank where it is not known was wanted; a spreadsheet made a power of ten of it: format the column as text and type it again",
            "schedule.csv:12: cable: found \"1.7 mm2\", a standard size (0.5 0.75 1 1.5 2.5 4 6 10 16 mm2, 8 to 24 AWG) or a name of --cables was wanted; list it in a file for --cables",
        ],
    );
}

#[test]
fn contradictions_of_lines_and_outputs_name_both_rows() {
    says(
        "amplifier,output,rated_w,line_v,zone,line,loudspeaker,tap_w\nA1,1,240,100,Hall,L-1,LS-1,6\nA1,1,240,70.7,Hall,L-2,LS-1,6\nA1,2,240,100,Hall,L-1,LS-2,6\nA2,,240,100,Hall,L-2,LS-2,6\n",
        &[
            "schedule.csv:3: line_v: found \"70.7\", \"100\" as in row 2 was wanted; output A1 1 has one line voltage: mend one of the two rows",
            "schedule.csv:4: output: found \"2\", \"1\" as in row 2 was wanted; line L-1 has one output: mend one of the two rows",
            "schedule.csv:5: amplifier: found \"A2\", \"A1\" as in row 3 was wanted; line L-2 has one amplifier: mend one of the two rows",
        ],
    );
}

#[test]
fn a_ring_is_one_problem_with_its_labels_and_rows() {
    says(
        "amplifier,zone,line,loudspeaker,tap_w,from\nA1,Hall,L-1,LS-1,6,\nA1,Hall,L-1,LS-2,6,LS-3\nA1,Hall,L-1,LS-3,6,LS-2\n",
        &[
            "schedule.csv:3: from: found \"LS-3\", a way to the rack was wanted; its cable runs in a ring, each fed by the next: LS-2 (row 3), LS-3 (row 4); one of them comes from rack or another label",
        ],
    );
}

#[test]
fn three_digits_behind_the_only_sign_are_shown_both_ways() {
    says(
        "amplifier,rated_w,zone,line,loudspeaker,tap_w\nA1,1.000,Hall,L-1,LS-1,6\n",
        &[
            "schedule.csv:2: rated_w: found \"1.000\", a power above 0 in watts was wanted; write 1000 or 1.0",
        ],
    );
    says(
        "amplifier;rated_w;zone;line;loudspeaker;tap_w\nA1;1,200;Hall;L-1;LS-1;1,5\n",
        &[
            "schedule.csv:2: rated_w: found \"1,200\", a power above 0 in watts was wanted; write 1200 or 1,2",
        ],
    );
}

#[test]
fn a_missing_column_is_an_error_and_an_unknown_one_a_warning() {
    let found = words(&refused(
        "amplifier,zone,line,loudspeaker,tap w\nA1,Hall,L-1,LS-1,6\n",
    ));
    assert_eq!(found.len(), 1);
    assert!(
        found[0].contains("a column tap_w was wanted; rename tap w to tap_w"),
        "{found:?}"
    );
    let extra = "amplifier,zone,line,loudspeaker,tap_w,raited_w\nA1,Hall,L-1,LS-1,6,240\n";
    let warnings = read_schedule("s.csv", extra.as_bytes(), &[], "T")
        .unwrap()
        .warnings;
    assert_eq!(
        warnings[0].to_string(),
        "s.csv:1: the column \"raited_w\" is not known and was not read; did you mean rated_w?"
    );
}

#[test]
fn a_message_names_the_line_of_the_file() {
    // An empty line, and a line break within a label, are lines of the file too.
    let schedule = "\u{feff}amplifier,zone,line,loudspeaker,tap_w\r\n\r\nA1,\"Ha\r\nll\",L-1,LS-1,6\r\nA1,Hall,L-2,LS-2,x\r\n";
    let lines: Vec<usize> = refused(schedule).iter().map(|p| p.line).collect();
    assert_eq!(lines, [3, 5]);
}

#[test]
fn a_cable_of_the_sites_own_is_an_item() {
    let (cables, _): (Vec<Cable>, _) = read_cables(
        "cables.csv",
        b"name,r20_ohm_km,l_uh_m,c_pf_m\nfire 2x1,18.1,0.7,120\n",
    )
    .unwrap();
    let schedule = "amplifier,zone,line,loudspeaker,tap_w,cable\nA1,Hall,L-1,LS-1,6,fire 2x1\n";
    let Schedule { id, items, .. } =
        read_schedule("s.csv", schedule.as_bytes(), &cables, "T").unwrap();
    let site = Site::new(id, items.into_iter().collect(), Log::default());
    sound(&site);
    assert_eq!(site.plan().lines[0].nodes[0].make.r20.get(), 18.1);
}

#[test]
fn labels_that_are_nearly_the_same_are_said_once() {
    let schedule = "amplifier,zone,line,loudspeaker,tap_w,rated_w\nA1,Hall,L-1,LS-1,6,240\nA1,Hall,l-01,LS-2,6,240\nA1,Hall,l-01,LS-3,6,240\n";
    let warnings = read_schedule("s.csv", schedule.as_bytes(), &[], "T")
        .unwrap()
        .warnings;
    let warnings: Vec<String> = warnings.iter().map(ToString::to_string).collect();
    assert_eq!(
        warnings,
        [
            "s.csv:3: line: \"l-01\" is nearly \"L-1\" of row 2: read as another line; if it is the same, write it the same"
        ]
    );
}

#[test]
fn windows_1252_is_guessed_and_said() {
    let schedule = b"amplifier,zone,line,loudspeaker,tap_w,rated_w\nA1,Caf\xe9,L-1,LS-1,6,240\n";
    let Schedule {
        items, warnings, ..
    } = read_schedule("s.csv", schedule, &[], "T").unwrap();
    assert!(items.iter().any(|item| item.id == "Caf\u{e9}"));
    assert!(warnings[0].what.contains("windows-1252 was guessed"));
}

#[test]
fn a_text_longer_than_a_site_file_takes_is_refused_where_it_stands() {
    let site = import(b"amplifier,zone,line,loudspeaker,tap_w\nA1,Hall,L-1,S1,6\n");
    let long = "a".repeat(4001);
    for column in ["note", "person"] {
        let rows = format!("line,kind,value,{column}\nL-1,impedance,400,{long}\n");
        let message = read(&site, rows.as_bytes()).unwrap_err()[0].to_string();
        let place = format!("readings.csv:2: {column}: found \"aaa");
        assert!(message.starts_with(&place), "{message}");
        assert!(message.contains("at most 4000 characters"), "{message}");
    }
    let just = format!("line,kind,value,note\nL-1,impedance,400,{}\n", &long[1..]);
    assert!(read(&site, just.as_bytes()).is_ok());
}

#[test]
fn a_yes_that_is_neither_yes_nor_no_is_refused() {
    let found = words(&refused(
        "amplifier,zone,line,loudspeaker,tap_w,elv\nA1,Hall,L-1,LS-1,6,perhaps\n",
    ));
    assert_eq!(found.len(), 1);
    assert!(found[0].contains("perhaps"), "{found:?}");
}

#[test]
fn what_can_be_so_and_seldom_is_is_read_and_said() {
    let schedule = "amplifier,zone,line,loudspeaker,tap_w,run_m,rated_w\n\
        A1,Hall,L-1,LS-9,6,12,120\nA1,Hall,L-1,LS-1O,6,1200,120\nA1,Hall,L-1,LS-11,600,1.2,120\n\
        A1,Hall,L-2O,LS-1,10,10,120\nA1,Hall,L-2O,LS-2,10,10,120\n";
    let warnings = read_schedule("s.csv", schedule.as_bytes(), &[], "Test")
        .unwrap()
        .warnings;
    let said: Vec<String> = warnings.iter().map(ToString::to_string).collect();
    assert_eq!(
        said,
        [
            "s.csv:3: run_m: a run of 1200 m: read so; is it metres, and one run?",
            "s.csv:3: loudspeaker: \"LS-1O\" has a letter in its number: read so; is it \"LS-10\"?",
            "s.csv:4: tap_w: a tap of 600 W: read so; is a decimal sign lost?",
            "s.csv:5: line: \"L-2O\" has a letter in its number: read so; is it \"L-20\"?",
        ]
    );
}

#[test]
fn of_many_odd_cells_of_one_column_the_first_twenty_are_said_and_how_many_more() {
    let mut schedule = "amplifier,zone,line,loudspeaker,tap_w,run_m,rated_w\n".to_owned();
    for n in 1..=500 {
        schedule.push_str(&format!("A1,Hall,L-1,LS-{n},6,1200,4000\n"));
    }
    schedule.push_str("A1,Hall,L-1,LS-501,600,12,4000\n");
    let warnings = read_schedule("s.csv", schedule.as_bytes(), &[], "Test")
        .unwrap()
        .warnings;
    let said: Vec<String> = warnings.iter().map(ToString::to_string).collect();
    assert_eq!(said.len(), 22, "{said:#?}");
    assert!(said[20].starts_with("s.csv:502: tap_w: "), "{}", said[20]);
    assert_eq!(said[21], "s.csv: run_m: 480 more such, down to row 501");
}

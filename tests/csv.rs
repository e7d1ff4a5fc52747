//! Schedules and readings as spreadsheets hand them in: read, refused row by row, read again.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use linewright::site::{
    Cable, Design, Do, Elements, Entry, EntryId, Item, LineId, Log, Ref, Site, check,
};
use linewright::storage::{
    Recorded, RowProblem, is_revision, read_cables, read_readings, read_schedule, revise, write_log,
};
use std::path::Path;

fn file(path: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

fn text(path: &str) -> String {
    String::from_utf8(file(path)).unwrap()
}

fn now() -> jiff::Timestamp {
    "2026-11-25T09:00:00Z".parse().unwrap()
}

fn counter() -> impl FnMut() -> EntryId {
    let mut n = 0;
    move || {
        n += 1;
        EntryId(format!("w-{n}"))
    }
}

fn import(schedule: &[u8]) -> Site {
    let (id, items, _) = read_schedule("schedule.csv", schedule, &[], "Test").unwrap();
    Site::new(id, items.into_iter().collect(), Log::default())
}

fn refused(schedule: &str) -> Vec<RowProblem> {
    read_schedule("schedule.csv", schedule.as_bytes(), &[], "Test").unwrap_err()
}

fn record(site: &mut Site, readings: &[u8]) -> Recorded {
    let recorded = read(site, readings).unwrap();
    for entry in &recorded.entries {
        assert!(site.apply(entry.clone()));
    }
    recorded
}

fn read(site: &Site, readings: &[u8]) -> Result<Recorded, Vec<RowProblem>> {
    // Ids go on counting over what the site holds.
    let mut n = site.log().entries().len();
    let mut next = || {
        n += 1;
        EntryId(format!("w-{n}"))
    };
    read_readings(
        "readings.csv",
        readings,
        site,
        now(),
        "engineer A",
        &mut next,
    )
}

fn words(problems: &[RowProblem]) -> Vec<String> {
    problems.iter().map(ToString::to_string).collect()
}

#[track_caller]
fn sound(site: &Site) {
    assert_eq!(check(site.elements(), site.log()), []);
}

#[track_caller]
fn says(schedule: &str, wanted: &[&str]) {
    let found = words(&refused(schedule));
    assert_eq!(found, wanted);
}

const SMALL: &str = "\
amplifier,output,rated_w,line_v,zone,line,loudspeaker,what,tap_w,taps_w,type,dc_block,control,device,from,run_m,cable
A1,1,240,100,Hall,L-1,LS-1,,6,1.5|3|6,bowl,,,,,12.5,1.5 mm2
A1,1,240,100,Hall,L-1,LS-2,,1.5,1.5|3|6,,,yes,,LS-1,8,16 AWG
A1,2,,70.7,Yard,L-2,J-1,junction,,,,,,,rack,20,\"2,5 mm²\"
A1,2,,70.7,Yard,L-2,LS-1,,10,,horn,yes,,,,,
A1,2,,70.7,Yard,L-2,EOL,device,,,,,,22k + 100nF,J-1,0,
";

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
fn a_schedule_says_voice_alarm_extra_low_voltage_and_insulation_with_yes_in_one_row_of_each() {
    let csv = "amplifier,output,zone,line,loudspeaker,tap_w,voice_alarm,elv,insulation\n\
               A1,1,Hall,L-1,LS-1,6,yes,,yes\nA1,1,Hall,L-1,LS-2,6,,,\nA1,2,Hall,L-2,LS-1,6,,yes,no\n\
               A2,1,Yard,L-3,LS-1,6,,,\n";
    let site = import(csv.as_bytes());
    let said = |site: &Site| {
        let plan = site.plan();
        (
            plan.amplifiers
                .iter()
                .map(|it| it.voice_alarm)
                .collect::<Vec<_>>(),
            plan.outputs.iter().map(|it| it.elv).collect::<Vec<_>>(),
            plan.lines
                .iter()
                .map(|it| it.insulation_asked)
                .collect::<Vec<_>>(),
        )
    };
    let wanted = (
        vec![true, false],
        vec![false, true, false],
        vec![true, false, false],
    );
    assert_eq!(said(&site), wanted);
    // The same schedule without the columns is a revision that takes nothing of it away.
    let plain: String = csv
        .lines()
        .map(|row| row.splitn(7, ',').take(6).collect::<Vec<_>>().join(",") + "\n")
        .collect();
    let (_, items, _) = read_schedule("schedule.csv", plain.as_bytes(), &[], "Test").unwrap();
    assert_eq!(revise(&site, items, counter(), now(), "engineer A"), []);
    // Said by the revision alone, it is taken in.
    let mut bare = import(plain.as_bytes());
    let (_, items, _) = read_schedule("schedule.csv", csv.as_bytes(), &[], "Test").unwrap();
    for entry in revise(&bare, items, counter(), now(), "engineer A") {
        bare.apply(entry);
    }
    assert_eq!(said(&bare), wanted);
    assert_eq!(
        words(&refused(
            "amplifier,zone,line,loudspeaker,tap_w,elv\nA1,Hall,L-1,LS-1,6,perhaps\n"
        ))
        .len(),
        1
    );
}

#[test]
fn a_schedule_becomes_a_sound_site() {
    let (id, items, warnings) =
        read_schedule("schedule.csv", SMALL.as_bytes(), &[], "Hall and yard").unwrap();
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
    let (id, items, warnings) = read_schedule("s.csv", &schedule, &[], "Glasshouse").unwrap();
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
fn as_found_and_as_left_fall_into_the_states_before_and_after_the_repair() {
    let mut site = import(&file("sites/glasshouse-schedule.csv"));
    record(&mut site, &file("sites/glasshouse-readings.csv"));
    let history = site.history(&LineId::from("PH-1"));
    let states = history.states(&site.visit());
    assert_eq!(states.len(), 2);
    let texts: Vec<&str> = states
        .iter()
        .map(|state| history.rack(&site, state).unwrap().1.text.as_str())
        .collect();
    assert_eq!(texts, ["156", "126"]);
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
    let (id, items, _) = read(&points);
    let (comma_id, comma_items, _) = read(&with_commas(&points));
    assert_eq!((&id, &items), (&comma_id, &comma_items));
    let (tab_id, tab_items, _) = read(&points.replace(',', "\t"));
    assert_eq!((id, items), (tab_id, tab_items));
}

#[test]
fn readings_with_decimal_commas_are_the_same_entries() {
    let site = import(SMALL.as_bytes());
    let points = "line;kind;value;when\nL-1;impedance;1.6k;2026-11-24T09:00:00Z\nL-1;dc;12.5;2026-11-24T09:01:00Z\n";
    let commas = points.replace("1.6", "1,6").replace("12.5", "12,5");
    let read = |text: &str| read(&site, text.as_bytes()).unwrap().entries;
    assert_eq!(read(points), read(&commas));
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
    let (_, _, warnings) = read_schedule("s.csv", extra.as_bytes(), &[], "T").unwrap();
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
    let (id, items, _) = read_schedule("s.csv", schedule.as_bytes(), &cables, "T").unwrap();
    let site = Site::new(id, items.into_iter().collect(), Log::default());
    sound(&site);
    assert_eq!(site.plan().lines[0].nodes[0].make.r20.get(), 18.1);
}

const KINDS: &str = "\
line,kind,value,at,side,leg,test_v,known_ohms,visit,instrument,phase_deg,hz,when,person,note,corrects
,check,325,,,,,330,,,,,2026-11-24T08:50:00Z,engineer A,leads zeroed,
L-2,insulation,>999M,,,a,500,,,,,,2026-11-24T08:52:00Z,engineer A,,
L-1,impedance,1.6k,,,,,,visit-1,meter,-3.5,1000,2026-11-24T08:55:00Z,engineer A,\"damp, cold\",
L-1,impedance,41 x10,LS-2,near,,,,,,,,2026-11-24T08:56:00Z,engineer B,,
L-1,impedance,2.2k,LS-2,far,,,,,,,,2026-11-24T08:57:00Z,engineer B,,
L-1,impedance,900,LS-2,,,,,,,,,2026-11-24T08:58:00Z,engineer B,,
L-1,dc,12.5,,,,,,,,,,2026-11-24T08:59:00Z,engineer A,,
L-1,listen,Silent,LS-2,,,,,,amplifier,,,2026-11-24T09:00:00Z,engineer A,,
L-1,repair,\"=joint remade, LS-2\",LS-2,,,,,,,,,2026-11-24T09:10:00Z,engineer A,@once,
L-1,impedance,open,,,,,,,,,,2026-11-24T09:12:00Z,engineer A,,
L-2,impedance,short,,,,,,,,,,,,-no when,
";

#[test]
fn every_kind_of_row_is_read() {
    let mut site = import(SMALL.as_bytes());
    let recorded = record(&mut site, KINDS.as_bytes());
    assert_eq!(recorded.warnings, []);
    assert_eq!(recorded.entries.len(), 11);
    sound(&site);
    let acts: std::collections::BTreeSet<_> = recorded.entries.iter().map(|e| &e.act).collect();
    assert_eq!(acts.len(), 1);
    let last = recorded.entries.last().unwrap();
    assert_eq!(
        (last.at, last.by.as_str(), last.id.as_str()),
        (now(), "engineer A", "w-1")
    );
    let by_row = |n: u32| {
        let entry = recorded.entries.iter().find(|e| e.row == Some(n)).unwrap();
        entry.clone()
    };
    let Do::Read(first) = by_row(3).what else {
        panic!()
    };
    assert_eq!(
        (first.step_ohm.get(), first.phase_deg.unwrap().get()),
        (100.0, -3.5)
    );
    let repair = by_row(9);
    let Do::Read(after) = by_row(10).what else {
        panic!()
    };
    assert_eq!(after.state.as_str(), repair.id.as_str());
    let Do::Listen(heard) = by_row(8).what else {
        panic!()
    };
    assert_eq!(
        (heard.tone.as_str(), heard.state.as_str()),
        ("amplifier", "visit-1")
    );
}

#[test]
fn the_log_reads_back_and_adds_nothing() {
    let mut site = import(SMALL.as_bytes());
    record(&mut site, KINDS.as_bytes());
    let struck = site.log().entries()[3].id.clone();
    let corrected = site.log().entries()[6].id.clone();
    let more = format!(
        "line,kind,value,corrects,note\nL-1,impedance,void,{struck},wrong clip\nL-1,dc,13.5,{corrected},misread\n"
    );
    let added = record(&mut site, more.as_bytes());
    assert_eq!(added.entries.len(), 2);
    assert!(!site.log().counts(&struck) && !site.log().counts(&corrected));
    let Do::Read(read_again) = &added.entries[1].what else {
        panic!()
    };
    assert_eq!(
        read_again.state.as_str(),
        "visit-1",
        "a correction stays in the state of the old"
    );

    let log = write_log(&site);
    assert!(log.starts_with("id,line,kind,value,"), "{log}");
    // A formula is defused; a text that starts with a sign too, a number does not.
    assert!(log.contains("\"'=joint remade, LS-2\""), "{log}");
    assert!(log.contains(",'@once,") && log.contains(",'-no when,") && log.contains(",-3.5,"));
    let back = read(&site, log.as_bytes()).unwrap();
    assert_eq!(back.entries, []);
    assert_eq!(back.skipped, 13);
    assert_eq!(back.warnings, []);
}

#[test]
fn a_log_carried_to_a_new_site_tells_the_same_story() {
    let mut site = import(SMALL.as_bytes());
    record(&mut site, KINDS.as_bytes());
    let struck = site.log().entries()[3].id.clone();
    record(
        &mut site,
        format!("line,kind,value,corrects\nL-1,impedance,void,{struck}\n").as_bytes(),
    );
    let mut other = import(SMALL.as_bytes());
    record(&mut other, write_log(&site).as_bytes());
    sound(&other);
    let story = |site: &Site| -> Vec<(String, String)> {
        let history = site.history(&LineId::from("L-1"));
        history
            .entries()
            .iter()
            .map(|e| (e.at.to_string(), e.by.clone()))
            .collect()
    };
    assert_eq!(story(&site), story(&other));
    let repair = other
        .log()
        .entries()
        .iter()
        .find(|e| matches!(e.what, Do::Repair(_)))
        .unwrap();
    let Do::Repair(it) = &repair.what else {
        panic!()
    };
    assert_eq!(it.what, "=joint remade, LS-2");
}

#[test]
fn a_changed_row_of_an_exported_log_is_said_and_not_read() {
    let mut site = import(SMALL.as_bytes());
    record(&mut site, KINDS.as_bytes());
    let log = write_log(&site).replace(",1.6k,", ",1.7k,");
    let back = read(&site, log.as_bytes()).unwrap();
    assert_eq!(back.entries, []);
    assert_eq!(back.warnings.len(), 1);
    assert!(
        back.warnings[0].what.contains("add a row with"),
        "{}",
        back.warnings[0]
    );
}

#[test]
fn bad_readings_are_said_row_by_row_and_nothing_is_read() {
    let site = import(SMALL.as_bytes());
    let found = words(
        &read(
            &site,
            "line,kind,value,at,side,test_v,known_ohms,when,corrects,instrument\n\
             l-1,impedance,412,,,,,,,\n\
             L-1,impedance,1.200k,,,,,,,\n\
             L-1,listen,hears,LS-1,,,,,,\n\
             L-1,listen,heard,,,,,,,\n\
             L-1,impedance,41x7,LS-9,near,,,,,\n\
             L-1,insulation,200,,,,,,,\n\
             ,check,325,,,,,,,\n\
             L-1,impedance,03-Jan,,,,,24/11/2026 08:50,,\n\
             L-1,impedance,void,,,,,,,\n\
             L-1,dc,12,,,,,,w-99,meter\n"
                .as_bytes(),
        )
        .unwrap_err(),
    );
    let wanted = [
        "readings.csv:2: line: found \"l-1\", the label of a line of the site was wanted; did you mean L-1?",
        "readings.csv:3: value: found \"1.200k\", a reading such as 412, 4.1k, 41 x10, open or short was wanted; write 1200k or 1.2k",
        "readings.csv:4: value: found \"hears\", one of heard, silent, quiet, loud, distorted, noisy, reversed was wanted; did you mean heard?",
        "readings.csv:5: at: found nothing, the label of the loudspeaker was wanted",
        "readings.csv:6: value: found \"41x7\", a reading such as 412, 4.1k, 41 x10, open or short was wanted; x7 is no range multiplier: x10, x100 or x1000 was wanted",
        "readings.csv:6: at: found \"LS-9\", a label of line L-1 was wanted",
        "readings.csv:7: value: found \"200\", an insulation reading with its unit, such as 200M or >999M was wanted; 200 has no unit: write 200M for megohms or 200k for kilohms",
        "readings.csv:7: test_v: found nothing, a test voltage above 0 in volts DC was wanted",
        "readings.csv:8: known_ohms: found nothing, the value of the known resistor in ohms was wanted",
        "readings.csv:9: value: found \"03-Jan\", a reading such as 412, 4.1k, 41 x10, open or short was wanted; a spreadsheet made a date of it: format the column as text and type it again",
        "readings.csv:9: when: found \"24/11/2026 08:50\", a time with its zone such as 2026-11-24T08:50:25Z was wanted; if a spreadsheet changed it, format the column as text",
        "readings.csv:10: corrects: found nothing, the id of the entry that this row strikes was wanted; log prints the ids",
        "readings.csv:11: corrects: found \"w-99\", the id of an entry of the site was wanted; log prints the ids",
        "readings.csv:11: instrument: found \"meter\", the label of an instrument that reads direct current was wanted; that one reads something else",
    ];
    assert_eq!(found, wanted);
}

#[test]
fn rows_are_taken_in_the_order_of_time_not_of_the_file() {
    let mut site = import(SMALL.as_bytes());
    record(
        &mut site,
        b"line,kind,value,when\n\
          L-1,impedance,500,2026-11-24T10:00:00Z\n\
          L-1,repair,joint,2026-11-24T09:30:00Z\n\
          L-1,impedance,400,2026-11-24T09:00:00Z\n",
    );
    // An earlier reading that comes in later still belongs before the repair.
    record(
        &mut site,
        b"line,kind,value,when\nL-1,dc,9,2026-11-24T09:10:00Z\n",
    );
    let line = LineId::from("L-1");
    let history = site.history(&line);
    let counts: Vec<usize> = history
        .states(&site.visit())
        .iter()
        .map(|state| history.reads(&site, state).count())
        .collect();
    assert_eq!(counts, [2, 1]);
}

#[test]
fn a_revised_schedule_is_edits_and_no_reading_is_lost() {
    let mut site = import(SMALL.as_bytes());
    record(&mut site, KINDS.as_bytes());
    let before = site.log().entries().len();
    let items = |text: &str| -> Vec<Item> {
        read_schedule("s.csv", text.as_bytes(), &[], "Test")
            .unwrap()
            .1
    };
    let revise = |site: &Site, text: &str, writer: &str| -> Vec<Entry> {
        let mut next = counter();
        let ids = || EntryId(format!("{writer}{}", next().0));
        revise(site, items(text), ids, now(), "engineer A")
    };
    assert!(is_revision(&site, &items(SMALL)));
    assert_eq!(revise(&site, SMALL, "a"), []);

    // LS-2 of L-1 is gone, its tap on LS-1 changed, a new one stands before it, the rating is known.
    let revised = SMALL
        .replace("A1,1,240,100,Hall,L-1,LS-2,,1.5,1.5|3|6,,,yes,,LS-1,8,16 AWG\n", "")
        .replace(
            "A1,1,240,100,Hall,L-1,LS-1,,6,1.5|3|6,bowl,,,,,12.5,1.5 mm2",
            "A1,1,240,100,Hall,L-1,LS-0,,6,1.5|3|6,bowl,,,,,2,1.5 mm2\nA1,1,240,100,Hall,L-1,LS-1,,3,1.5|3|6,bowl,,,,,,1.5 mm2",
        )
        .replace("A1,2,,70.7", "A1,2,120,70.7");
    let edits = revise(&site, &revised, "a");
    let of: Vec<String> = edits
        .iter()
        .map(|e| match &e.what {
            Do::Edit(edit) => edit.of.id().to_owned(),
            _ => panic!(),
        })
        .collect();
    assert_eq!(of, ["L-1/LS-0", "L-1/LS-1", "A1/2", "L-1/LS-2"]);
    for edit in edits {
        site.apply(edit);
    }
    sound(&site);
    let nodes: Vec<&str> = site.plan().lines[0]
        .nodes
        .iter()
        .map(|n| n.label.as_str())
        .collect();
    assert_eq!(nodes, ["LS-0", "LS-1"]);
    assert_eq!(
        site.plan().lines[0].nodes[1].run.unwrap().get(),
        12.5,
        "a blank does not wipe out a known length"
    );
    assert_eq!(site.log().entries().len(), before + 4);
    assert_eq!(revise(&site, &revised, "b"), []);
    // What was taken off comes back under its old id.
    for edit in revise(&site, SMALL, "c") {
        site.apply(edit);
    }
    sound(&site);
    let Some(Design::Loudspeaker(back)) = site.elements().settled(&Ref::Node("L-1/LS-2".into()))
    else {
        panic!()
    };
    assert_eq!(back.label, "LS-2");
}

#[test]
fn a_renamed_line_is_known_by_its_label_and_another_building_is_not_a_revision() {
    let site = import(&file("tests/data/cases/practice/schedule.csv"));
    let other = read_schedule(
        "s.csv",
        &file("tests/data/cases/joint/schedule.csv"),
        &[],
        "T",
    );
    assert!(!is_revision(&site, &other.unwrap().1));

    let mut elements: Elements = site.elements().clone();
    let of = Ref::Line("L-001".into());
    let was = elements.standing(&of).to_vec();
    let Design::Line(mut line) = was[0].1.clone() else {
        panic!()
    };
    line.label = "N-1".into();
    elements.replace(&of, &was, "w-1".into(), Design::Line(line));
    let site = Site::new(site.id().clone(), elements, Log::default());
    let renamed = text("tests/data/cases/practice/schedule.csv").replace("L-001", "N-1");
    let items = read_schedule("s.csv", renamed.as_bytes(), &[], "Test")
        .unwrap()
        .1;
    assert_eq!(revise(&site, items, counter(), now(), "engineer A"), []);
}

proptest::proptest! {
    #[test]
    fn any_bytes_are_read_or_refused_and_never_a_panic(bytes: Vec<u8>) {
        let site = import(SMALL.as_bytes());
        let _ = read_schedule("s.csv", &bytes, &[], "T");
        let _ = read_cables("c.csv", &bytes);
        let _ = read(&site, &bytes);
    }

    #[test]
    fn any_cells_under_a_header_are_read_or_refused_and_what_is_read_is_sound(
        cells in proptest::collection::vec(
            proptest::collection::vec("[A1-3,.]{0,3}|rack|LS-1|yes|22k|\\PC{0,3}", 17), 1..6),
    ) {
        for name in [SMALL, KINDS] {
            let header: Vec<&str> = name.lines().next().unwrap().split(',').collect();
            let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
            writer.write_record(&header).unwrap();
            for row in &cells {
                writer.write_record(&row[..header.len()]).unwrap();
            }
            let bytes = writer.into_inner().unwrap();
            if let Ok((id, items, _)) = read_schedule("s.csv", &bytes, &[], "T") {
                sound(&Site::new(id, items.into_iter().collect(), Log::default()));
            }
            let mut site = import(SMALL.as_bytes());
            if let Ok(recorded) = read(&site, &bytes) {
                for entry in recorded.entries {
                    site.apply(entry);
                }
                sound(&site);
            }
        }
    }
}

#[test]
fn labels_that_are_nearly_the_same_are_said_once() {
    let schedule = "amplifier,zone,line,loudspeaker,tap_w,rated_w\nA1,Hall,L-1,LS-1,6,240\nA1,Hall,l-01,LS-2,6,240\nA1,Hall,l-01,LS-3,6,240\n";
    let (_, _, warnings) = read_schedule("s.csv", schedule.as_bytes(), &[], "T").unwrap();
    let warnings: Vec<String> = warnings.iter().map(ToString::to_string).collect();
    assert_eq!(
        warnings,
        [
            "s.csv:3: line: \"l-01\" is nearly \"L-1\" of row 2: read as another line; if it is the same, write it the same"
        ]
    );
}

#[test]
fn a_cell_that_a_row_has_no_use_for_is_said() {
    let site = import(SMALL.as_bytes());
    let recorded = read(&site, b"line,kind,value,test_v\nL-1,dc,12,500\n").unwrap();
    assert_eq!(
        recorded.warnings[0].to_string(),
        "readings.csv:2: test_v: \"500\" was not read: a dc row has no use for it"
    );
}

#[test]
fn a_struck_row_stays_struck_when_its_file_is_recorded_again_and_that_is_said() {
    let mut site = import(SMALL.as_bytes());
    let file = b"line,kind,value,when\nL-1,dc,12,2026-11-24T09:00:00Z\n";
    let id = record(&mut site, file).entries[0].id.clone();
    record(
        &mut site,
        format!("line,kind,value,corrects\nL-1,dc,void,{id}\n").as_bytes(),
    );
    let again = read(&site, file).unwrap();
    assert_eq!(
        (again.entries.len(), again.skipped, again.warnings.len()),
        (0, 1, 1)
    );
    assert!(
        again.warnings[0].what.contains("stay so"),
        "{}",
        again.warnings[0]
    );
}

#[test]
fn windows_1252_is_guessed_and_said() {
    let schedule = b"amplifier,zone,line,loudspeaker,tap_w,rated_w\nA1,Caf\xe9,L-1,LS-1,6,240\n";
    let (_, items, warnings) = read_schedule("s.csv", schedule, &[], "T").unwrap();
    assert!(items.iter().any(|item| item.id == "Caf\u{e9}"));
    assert!(warnings[0].what.contains("windows-1252 was guessed"));
}

#[test]
fn two_instruments_of_a_kind_must_be_told_apart() {
    let mut site = import(SMALL.as_bytes());
    let of = Ref::Instrument("second".into());
    let meter = site
        .elements()
        .settled(&Ref::Instrument("meter".into()))
        .cloned();
    let Some(Design::Instrument(mut second)) = meter else {
        panic!()
    };
    second.label = "second".into();
    second.step_ohm = Some(linewright::quantity::Ohm(10.0));
    let mut elements = site.elements().clone();
    elements.add(of, "w-1".into(), Design::Instrument(second));
    site = Site::new(site.id().clone(), elements, site.log().clone());
    let found = words(&read(&site, b"line,kind,value\nL-1,impedance,412\n").unwrap_err());
    assert_eq!(
        found,
        [
            "readings.csv:2: instrument: found nothing, the label of an instrument that reads impedance was wanted; the site has several: meter, second"
        ]
    );
    // The second one's scale is coarser than the digits typed: its step holds.
    let row = b"line,kind,value,instrument\nL-1,impedance,412,second\n";
    let Do::Read(reading) = &read(&site, row).unwrap().entries[0].what else {
        panic!()
    };
    assert_eq!(reading.step_ohm.get(), 10.0);
}

#[test]
fn however_much_a_schedule_changes_its_revision_ends_at_what_it_says() {
    let path = |case: &str| format!("tests/data/cases/{case}/schedule.csv");
    let mut site = import(&file(&path("practice")));
    let readings = file("tests/data/cases/practice/readings.csv");
    let read = record(&mut site, &readings).entries.len();
    let first = site.plan().clone();
    for (n, case) in ["joint", "practice"].into_iter().enumerate() {
        let items = read_schedule("s.csv", &file(&path(case)), &[], "Test")
            .unwrap()
            .1;
        let mut next = counter();
        let ids = || EntryId(format!("{n}{}", next().0));
        // As `apply` would, with the plan put together once.
        let (mut elements, mut log) = (site.elements().clone(), site.log().clone());
        for entry in revise(&site, items.clone(), ids, now(), "engineer A") {
            let Do::Edit(edit) = &entry.what else {
                panic!()
            };
            let stamp = entry.id.0.as_str().into();
            elements.replace(&edit.of, &edit.was, stamp, edit.now.clone());
            assert!(log.add(entry));
        }
        site = Site::new(site.id().clone(), elements, log);
        sound(&site);
        assert_eq!(revise(&site, items, counter(), now(), "engineer A"), []);
        let outputs = |site: &Site| -> Vec<String> {
            site.plan()
                .outputs
                .iter()
                .map(|o| o.id.to_string())
                .collect()
        };
        let fresh = import(&file(&path(case)));
        assert_eq!(outputs(&site), outputs(&fresh));
        let labels = |site: &Site| -> Vec<(String, Vec<String>)> {
            let lines = site.plan().lines.iter();
            let nodes = |line: &linewright::site::LinePlan| {
                line.nodes.iter().map(|node| node.label.clone()).collect()
            };
            lines
                .map(|line| (line.label.clone(), nodes(line)))
                .collect()
        };
        assert_eq!(labels(&site), labels(&fresh));
    }
    assert_eq!(site.plan().lines.len(), first.lines.len());
    let reads = |entry: &&Entry| matches!(entry.what, Do::Read(_));
    assert_eq!(site.log().entries().iter().filter(reads).count(), read);
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

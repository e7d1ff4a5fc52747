//! Readings read and refused row by row.

use super::*;

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
fn readings_with_decimal_commas_are_the_same_entries() {
    let site = import(SMALL.as_bytes());
    let points = "line;kind;value;when\nL-1;impedance;1.6k;2026-11-24T09:00:00Z\nL-1;dc;12.5;2026-11-24T09:01:00Z\n";
    let commas = points.replace("1.6", "1,6").replace("12.5", "12,5");
    let read = |text: &str| read(&site, text.as_bytes()).unwrap().entries;
    assert_eq!(read(points), read(&commas));
}

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
fn a_row_that_corrects_itself_or_a_later_one_is_refused_by_row() {
    let site = import(SMALL.as_bytes());
    let found = words(
        &read(
            &site,
            b"id,line,kind,value,corrects\n\
              x-1,L-1,dc,12,x-1\n\
              x-2,L-1,dc,13,x-3\n\
              x-3,L-1,dc,14,\n\
              x-4,L-1,dc,void,x-4\n",
        )
        .unwrap_err(),
    );
    let wanted = [
        "readings.csv:2: corrects: found \"x-1\", the id of an entry of the site or of a row before this one was wanted; that is the id of this row itself",
        "readings.csv:3: corrects: found \"x-3\", the id of an entry of the site or of a row before this one was wanted; that is row 4: put it above this one",
        "readings.csv:5: corrects: found \"x-4\", the id of an entry of the site or of a row before this one was wanted; that is the id of this row itself",
    ];
    assert_eq!(found, wanted);
}

#[test]
fn a_correction_stands_behind_what_it_corrects_in_whatever_order_time_or_file_has_them() {
    for file in [
        // Corrected at a clock that was behind.
        "id,line,kind,value,when,corrects\n\
         x-1,L-1,dc,12,2026-11-24T09:00:00Z,\n\
         x-2,L-1,dc,13,2026-11-24T08:00:00Z,x-1\n",
        // Sorted by something else.
        "id,line,kind,value,when,corrects\n\
         x-2,L-1,dc,13,2026-11-24T10:00:00Z,x-1\n\
         x-1,L-1,dc,12,2026-11-24T09:00:00Z,\n",
    ] {
        let mut site = import(SMALL.as_bytes());
        let recorded = record(&mut site, file.as_bytes());
        let ids: Vec<&EntryId> = recorded.entries.iter().map(|it| &it.id).collect();
        assert_eq!(
            recorded.entries[1].corrects.as_ref(),
            Some(ids[0]),
            "{file}"
        );
        assert!(!site.log().counts(ids[0]) && site.log().counts(ids[1]));
        // And the log of that site, carried to another, says the same.
        let mut other = import(SMALL.as_bytes());
        record(&mut other, write_log(&site).as_bytes());
        let counting = |site: &Site| -> Vec<String> {
            let log = site.log();
            let entries = log.entries().iter().filter(|it| log.counts(&it.id));
            entries
                .map(|it| format!("{} {:?}", it.at, it.what))
                .collect()
        };
        assert_eq!(counting(&site), counting(&other), "{file}");
    }
}

#[test]
fn of_many_warnings_of_one_column_the_first_twenty_are_said_and_how_many_more() {
    let site = import(SMALL.as_bytes());
    let mut file = "line,kind,value,test_v,leg\n".to_owned();
    for n in 1..=25 {
        file.push_str(&format!("L-1,dc,{n},500,\n"));
    }
    file.push_str("L-1,dc,26,,a\n");
    let said = read(&site, file.as_bytes()).unwrap().warnings;
    let said: Vec<String> = said.iter().map(ToString::to_string).collect();
    assert_eq!(said.len(), 22, "{said:#?}");
    assert!(said[19].starts_with("readings.csv:21: test_v: "));
    assert!(
        said[20].starts_with("readings.csv:27: leg: "),
        "{}",
        said[20]
    );
    assert_eq!(
        said[21],
        "readings.csv: test_v: 5 more such, down to row 26"
    );
}

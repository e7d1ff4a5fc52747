//! The log as a spreadsheet, read again.

use super::*;

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

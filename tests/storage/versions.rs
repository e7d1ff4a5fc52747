//! Files of other versions: the frozen one opens, a newer one is refused and stays as it is.

use super::bench::*;
use linewright::storage::format1::ReadError;
use linewright::storage::{Access, Disk, StoreError, read_only};
use std::fs;
use std::sync::Arc;

#[test]
fn the_frozen_file_of_format_1_opens_and_is_saved_as_the_same_bytes() {
    let bench = Bench::new();
    let (store, site) = store(bench.open(0));
    assert_eq!(site.log().entries().len(), 33);
    store.close(&site).unwrap();
    assert_eq!(bench.text(), FROZEN);
}

#[test]
fn a_newer_site_file_is_refused_by_its_number_whatever_follows_and_nothing_is_touched() {
    let bench = Bench::new();
    let journal = fs::read(killed(&bench)).unwrap();
    let newer =
        FROZEN
            .replacen("format: 1", "format: 2", 1)
            .replacen("items: [", "racks: {}, items: [", 1);
    fs::write(bench.path(), &newer).unwrap();
    let refused = [
        bench.open_through(Arc::new(Disk), 1).map(drop),
        read_only(&Disk, &bench.path()).map(drop),
    ];
    for why in refused.map(Result::unwrap_err) {
        let StoreError::Read(ReadError::Newer { found: 2, .. }) = why else {
            panic!("{why}")
        };
    }
    assert_eq!(bench.text(), newer);
    assert_eq!(bench.beside(), ["journal-aaaaaaaaaaaaaaaa-1"]);
    let kept = fs::read(bench.at(".journal-aaaaaaaaaaaaaaaa-1")).unwrap();
    assert_eq!(kept, journal);
}

#[test]
fn beside_the_journal_of_a_newer_program_the_site_is_only_read() {
    let bench = Bench::new();
    // A head of format 2 with its sum, CRC-32 by zlib.
    let body = r#"0 {"linewright":"journal","format":2,"racks":{}}"#;
    let name = "eeeeeeeeeeeeeeee-1";
    let sum = crc32fast::hash(format!("{name} {body}").as_bytes());
    let line = format!("{sum:08x} {body}\n");
    let path = bench.at(&format!(".journal-{name}"));
    fs::write(&path, &line).unwrap();
    let opened = bench.open(1);
    let Access::ReadsOnly { held_by } = &opened.access else {
        panic!("written beside a newer program")
    };
    assert!(held_by.contains("a newer linewright wrote"), "{held_by}");
    assert_eq!(bench.text(), FROZEN);
    assert_eq!(fs::read_to_string(&path).unwrap(), line);
    assert_eq!(bench.beside().len(), 1);
}

//! Two copies of which one is a stranger's join the same either way round, or are refused both ways;
//! joined once more nothing changes.

#![no_main]

use libfuzzer_sys::fuzz_target;
use layers::storage::format1::write;
use layers::storage::merge;

const BASE: &[u8] = include_bytes!("../../data/format1.ron");

fuzz_target!(|bytes: &[u8]| {
    let join = |ours: &[u8], theirs: &[u8]| merge(("b", BASE), ("o", ours), ("t", theirs));
    match (join(BASE, bytes), join(bytes, BASE)) {
        (Ok(one), Ok(other)) => {
            let one = write(&one.site).unwrap();
            assert_eq!(one, write(&other.site).unwrap());
            let again = join(&one, bytes).unwrap();
            assert_eq!(one, write(&again.site).unwrap());
        }
        (Err(_), Err(_)) => {}
        (one, other) => panic!("{} {}", one.is_ok(), other.is_ok()),
    }
});

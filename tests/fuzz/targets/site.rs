//! A site file of a stranger is refused, or is written again as it reads: to the same bytes twice.

#![no_main]

use libfuzzer_sys::fuzz_target;
use layers::storage::format1::{read, write};

fuzz_target!(|bytes: &[u8]| {
    let Ok(first) = read("stranger.ron", bytes) else {
        return;
    };
    let _ = first.site.plan();
    let written = write(&first.site).unwrap();
    let second = read("again.ron", &written).unwrap();
    assert_eq!(write(&second.site).unwrap(), written);
});

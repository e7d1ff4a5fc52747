//! A journal that was damaged, or is a stranger's, costs what was damaged and nothing of the site file.

#![no_main]

use libfuzzer_sys::fuzz_target;
use layers::storage::{Disk, read_only};
use std::path::PathBuf;
use std::sync::OnceLock;

const SITE: &[u8] = include_bytes!("../../data/format1.ron");

/// A folder of this process with the site in it, in memory where there is such a place.
fn folder() -> &'static PathBuf {
    static FOLDER: OnceLock<PathBuf> = OnceLock::new();
    FOLDER.get_or_init(|| {
        let shared = PathBuf::from("/dev/shm");
        let at = if shared.is_dir() { shared } else { std::env::temp_dir() };
        let folder = at.join(format!("linewright-fuzz-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(folder.join("s.ron"), SITE).unwrap();
        folder
    })
}

fn entries() -> usize {
    let looked = read_only(&Disk, &folder().join("s.ron")).unwrap();
    looked.site.log().entries().len()
}

/// The lines with their right sums before them, so that what is behind the sums is reached; those that
/// begin with `!` as they are.
fn summed(bytes: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    for body in bytes.split(|it| *it == b'\n') {
        if let Some(raw) = body.strip_prefix(b"!") {
            out.extend_from_slice(raw);
        } else {
            let mut sum = crc32fast::Hasher::new();
            sum.update(b"pajd4n2iftmf4b5i-1 ");
            sum.update(body);
            out.extend(format!("{:08x} ", sum.finalize()).bytes());
            out.extend_from_slice(body);
        }
        out.push(b'\n');
    }
    out
}

fuzz_target!(|bytes: &[u8]| {
    static OWN: OnceLock<usize> = OnceLock::new();
    let journal = folder().join("s.ron.journal-pajd4n2iftmf4b5i-1");
    let own = *OWN.get_or_init(|| {
        let _ = std::fs::remove_file(&journal);
        entries()
    });
    std::fs::write(&journal, summed(bytes)).unwrap();
    assert!(entries() >= own);
});

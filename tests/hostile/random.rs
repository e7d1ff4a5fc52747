//! Random bytes, and files changed at random.

use super::*;

/// One change of a file at a place: bytes dropped, put in, or turned into others.
type Change = (usize, u8, Vec<u8>);

fn changes() -> impl Strategy<Value = Vec<Change>> {
    let piece = prop_oneof![
        prop::collection::vec(any::<u8>(), 0..6),
        prop::sample::select(vec![
            "(",
            ")",
            "[",
            "\"",
            ",",
            "\n",
            "NaN",
            "-1e999",
            "Some(",
            "\\u{0}",
            "9999999999999999999999",
            "rack",
            "Retired",
            "void",
            "\u{1b}[",
            "\u{feff}",
            ";",
            "1.000",
            "=",
            "open",
        ])
        .prop_map(|text| text.as_bytes().to_vec()),
    ];
    prop::collection::vec((any::<prop::sample::Index>(), 0u8..4, piece), 1..5).prop_map(|all| {
        all.into_iter()
            .map(|(at, cut, piece)| (at.index(usize::MAX), cut * 3, piece))
            .collect()
    })
}

fn changed(text: &[u8], changes: &[Change]) -> Vec<u8> {
    let mut out = text.to_vec();
    for (at, cut, piece) in changes {
        let at = at % (out.len() + 1);
        let end = (at + usize::from(*cut)).min(out.len());
        out.splice(at..end, piece.iter().copied());
    }
    out
}

fn small_site() -> Site {
    let Schedule { id, items, .. } =
        read_schedule("s.csv", SCHEDULE.as_bytes(), &[], "House").unwrap();
    Site::new(id, Elements::from_iter(items), Log::default())
}

/// Every reader, on the same bytes: an answer or a refusal in words, never a panic; what is read can
/// be written and read again.
fn every_reader(bytes: &[u8]) {
    if let Ok(found) = format1::read("S.ron", bytes) {
        let again = format1::write(&found.site).unwrap();
        format1::read("S.ron", &again).unwrap_or_else(|why| panic!("{why}"));
        assert!(write_log(&found.site).starts_with("id,"));
    }
    let house = format1::write(&small_site()).unwrap();
    let sides = match bytes.first().copied().unwrap_or(0) % 3 {
        0 => [bytes, &house, &house],
        1 => [&house, bytes, &house],
        _ => [&house, &house, bytes],
    };
    let [base, ours, theirs] = sides.map(|bytes| ("copy", bytes));
    if let Ok(merged) = merge(base, ours, theirs) {
        format1::write(&merged.site).unwrap();
    }
    let _ = read_cables("c.csv", bytes);
    if let Ok(Schedule { id, items, .. }) = read_schedule("s.csv", bytes, &[], "House") {
        let site = Site::new(id, Elements::from_iter(items), Log::default());
        format1::read("S.ron", &format1::write(&site).unwrap())
            .unwrap_or_else(|why| panic!("{why}"));
    }
    let mut n = 0;
    let now = "2026-11-25T14:00:00Z".parse().unwrap();
    let site = small_site();
    let mut id = || {
        n += 1;
        format!("w-{n}").into()
    };
    let _ = read_readings("r.csv", bytes, &site, now, "A", &mut id);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn random_bytes_panic_no_reader(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        every_reader(&bytes);
    }

    #[test]
    fn files_changed_at_random_panic_no_reader(all in changes()) {
        for text in [SCHEDULE, READINGS] {
            every_reader(&changed(text.as_bytes(), &all));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_site_file_changed_at_random_panics_no_reader(all in changes()) {
        let bytes = changed(FROZEN.as_bytes(), &all);
        every_reader(&bytes);
        // Joined with what it was made from, in every place.
        let frozen = FROZEN.as_bytes();
        for [base, ours, theirs] in [[&bytes, frozen, frozen], [frozen, &bytes, frozen]] {
            let merged = merge(("base", base), ("ours", ours), ("theirs", theirs));
            if let Ok(merged) = merged {
                let again = format1::write(&merged.site).unwrap();
                format1::read("joined", &again).unwrap_or_else(|why| panic!("{why}"));
            }
        }
    }

    #[test]
    fn a_journal_changed_at_random_panics_nothing_and_leaves_the_site(all in changes()) {
        let bench = Bench::new();
        let (first, second) = ("aaaaaaaaaaaaaaaa-1", "aaaaaaaaaaaaaaaa-2");
        journal(&bench, &[&head(&bench), &note_entry(first, "x"), &note_entry(second, "y")]);
        let name = format!("house.ron.journal-{WRITER}-1");
        let bytes = changed(bench.text(&name).as_bytes(), &all);
        bench.write(&name, &bytes);
        let path = bench.path("house.ron");
        let looked = linewright::storage::read_only(&linewright::storage::Disk, &path);
        if let Ok(looked) = looked {
            for notice in looked.notices {
                prop_assert!(!notice.to_string().is_empty());
            }
        }
        prop_assert_eq!(fs::read(bench.path(&name)).unwrap(), bytes);
    }
}

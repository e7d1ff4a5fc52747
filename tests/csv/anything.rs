//! Any bytes at all.

use super::*;

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
            if let Ok(Schedule { id, items, .. }) = read_schedule("s.csv", &bytes, &[], "T") {
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

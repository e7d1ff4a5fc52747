//! Format 1 is frozen: the file in tests/data holds one row of every kind of item and of entry,
//! every word of every enum, every optional field once there and once absent.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use linewright::site::{Do, Kind, Site, check};
use linewright::storage::format1::{ReadError, Sum, read, write};

const FROZEN: &str = include_str!("data/format1.ron");

#[track_caller]
fn site(text: &str) -> Site {
    read("S.ron", text.as_bytes()).unwrap().site
}

/// The frozen file with one text in the place of another, which must stand in it once.
#[track_caller]
fn with(old: &str, new: &str) -> String {
    assert_eq!(FROZEN.matches(old).count(), 1, "{old}");
    FROZEN.replacen(old, new, 1)
}

/// Refused with all these words.
#[track_caller]
fn refused(text: &str, words: &[&str]) -> ReadError {
    let why = read("S.ron", text.as_bytes()).unwrap_err();
    let said = why.to_string();
    for word in words {
        assert!(said.contains(word), "{word:?} is not in:\n{said}");
    }
    why
}

#[test]
fn the_frozen_file_opens_clean_and_is_written_again_byte_for_byte() {
    let found = read("S.ron", FROZEN.as_bytes()).unwrap();
    assert_eq!(found.sum, Sum::Right);
    assert_eq!(check(found.site.elements(), found.site.log()), []);
    let again = String::from_utf8(write(&found.site).unwrap()).unwrap();
    for (n, (new, old)) in again.lines().zip(FROZEN.lines()).enumerate() {
        assert_eq!(new, old, "line {}", n + 1);
    }
    assert_eq!(again, FROZEN);
}

#[test]
fn the_frozen_file_holds_every_kind_of_item_and_entry() {
    let site = site(FROZEN);
    let kinds: Vec<Kind> = site.elements().iter().map(|(of, ..)| of.kind()).collect();
    for kind in [
        Kind::Site,
        Kind::Figure,
        Kind::Visit,
        Kind::Instrument,
        Kind::Amplifier,
        Kind::Output,
        Kind::Zone,
        Kind::Type,
        Kind::Cable,
        Kind::Line,
        Kind::Node,
    ] {
        assert!(kinds.contains(&kind), "{kind:?}");
    }
    // Written out without a default arm: a new kind of entry does not compile here until a row of
    // it stands in the file of its format.
    let mut seen = [0; 11];
    for entry in site.log().entries() {
        let at = match entry.what {
            Do::Read(_) => 0,
            Do::Insulate(_) => 1,
            Do::Check(_) => 2,
            Do::Listen(_) => 3,
            Do::Repair(_) => 4,
            Do::Tick(_) => 5,
            Do::Decide(_) => 6,
            Do::Note(_) => 7,
            Do::Edit(_) => 8,
            Do::Void(_) => 9,
            Do::Seal(_) => 10,
        };
        seen[at] += 1;
    }
    assert!(seen.iter().all(|count| *count > 0), "{seen:?}");
}

#[test]
fn a_question_keeps_its_designs_who_and_when() {
    let site = site(FROZEN);
    let (of, designs) = site.elements().questions().next().unwrap();
    assert_eq!(of.id(), "Foyer");
    assert_eq!(designs.len(), 2);
    assert!(FROZEN.contains(r#""engineer B", "2026-11-25T14:41:00.25Z", Zone(label: "Lobby""#));
}

#[test]
fn a_newer_format_is_refused_with_its_place_whatever_follows() {
    let text = with(" format: 1,", " format: 2, moods: Weird{(3: ~)},");
    let why = refused(&text, &["S.ron:2:10", "format 2", "reads format 1"]);
    assert!(matches!(why, ReadError::Newer { found: 2, .. }));
}

#[test]
fn an_unknown_field_is_refused_with_line_column_and_way() {
    let text = with("voice_alarm: true,", "colour: \"red\",");
    let why = refused(&text, &["S.ron:12:", "colour", "voice_alarm", "^"]);
    let ReadError::Syntax { path, .. } = why else {
        panic!("{why}")
    };
    assert!(path.starts_with("items[7].is"), "{path}");
}

#[test]
fn numbers_that_are_none_are_refused() {
    for number in ["NaN", "inf", "1e999"] {
        let text = with("Some(12.25)", &format!("Some({number})"));
        refused(&text, &["S.ron:27:3", "not finite"]);
    }
    // Nothing checks this field but the rule that holds for all.
    let text = with("after_s: Some(60.0)", "after_s: Some(NaN)");
    refused(&text, &["S.ron:49:3", "not finite"]);
}

#[test]
fn problems_of_the_design_are_refused_with_their_rows_all_at_once() {
    refused(
        &with("Some(12.25)", "Some(-12.25)"),
        &["S.ron:27:3", "run_m is -12.25", "0 to 100000 m"],
    );
    refused(
        &with(r#"label: "J2""#, r#"label: "J\u{1b}[2J""#),
        &[
            "S.ron:26:3",
            "J\\u{1b}[2J",
            "none of them a control character",
        ],
    );
    refused(
        &with(r#"label: "J2""#, r#"label: "J1""#),
        &["S.ron:26:3", "J1 is used twice"],
    );
    refused(
        &with(
            r#"label: "J1", order: 3.0, from: "P-01/LS-2""#,
            r#"label: "J1", order: 3.0, from: "P-01/J2""#,
        ),
        &["S.ron:26:3: Node P-01/J2", "ring: J2, J1"],
    );
    let two = with("Some(12.25)", "Some(-1.0)").replace("volts: 70.7", "volts: 0.0");
    refused(&two, &["S.ron:15:3", "volts is 0", "S.ron:27:3"]);
    refused(
        &with(r#"(id: "blue""#, r#"(id: "x"), (id: "blue""#),
        &["S.ron:20:11", "stamp"],
    );
    refused(
        &with(r#"(id: "Stairs", "#, r#"(id: "Pool hall", "#),
        &["S.ron:17:3", "given out before"],
    );
}

#[test]
fn what_git_left_open_is_named_with_the_way_out() {
    let text = with(" log: [\n", "<<<<<<< HEAD\n log: [\n=======\n");
    refused(
        &text,
        &["S.ron:31:1", "git left a merge open", "linewright merge"],
    );
}

#[test]
fn text_that_is_none_and_files_of_nothing_are_refused() {
    let mut bytes = FROZEN.as_bytes().to_vec();
    bytes[FROZEN.find("items").unwrap()] = 0xff;
    let why = read("S.ron", &bytes).unwrap_err().to_string();
    assert!(why.starts_with("S.ron:4:2: this is not UTF-8"), "{why}");
    for nothing in [&b""[..], &[0; 100]] {
        assert!(matches!(
            read("S.ron", nothing),
            Err(ReadError::Empty { .. })
        ));
    }
}

#[test]
fn a_file_changed_by_another_hand_opens_and_says_so() {
    let hand = with("hand-over", "handover");
    assert_eq!(read("S.ron", hand.as_bytes()).unwrap().sum, Sum::Wrong);
    let (body, _) = FROZEN.rsplit_once("// sum").unwrap();
    assert_eq!(read("S.ron", body.as_bytes()).unwrap().sum, Sum::Missing);
    let crlf = FROZEN.replace('\n', "\r\n");
    assert_eq!(read("S.ron", crlf.as_bytes()).unwrap().sum, Sum::Wrong);
    let marked = format!("\u{feff}{FROZEN}");
    let found = read("S.ron", marked.as_bytes()).unwrap();
    assert_eq!(found.sum, Sum::Right);
    assert_eq!(write(&found.site).unwrap(), FROZEN.as_bytes());
}

#[test]
fn cut_anywhere_it_is_refused_with_a_place_or_read_with_its_sum_missed() {
    let body = FROZEN.rfind(")\n// sum").unwrap();
    for cut in (1..FROZEN.len() - 1)
        .step_by(97)
        .chain(body - 3..FROZEN.len())
    {
        if !FROZEN.is_char_boundary(cut) {
            continue;
        }
        match read("S.ron", &FROZEN.as_bytes()[..cut]) {
            Ok(found) => {
                assert!(cut > body, "cut at {cut}");
                assert_ne!(found.sum, Sum::Right, "cut at {cut}");
            }
            Err(why) => {
                // Of "// sum" a single slash is no comment.
                assert!(cut <= body + 3, "cut at {cut}: {why}");
                assert!(why.to_string().contains("S.ron:"), "cut at {cut}: {why}");
            }
        }
    }
}

#[test]
fn a_flipped_bit_is_never_passed_over() {
    for at in (0..FROZEN.len()).step_by(61) {
        let mut bytes = FROZEN.as_bytes().to_vec();
        bytes[at] ^= 1 << (at % 8);
        if let Ok(found) = read("S.ron", &bytes) {
            assert_ne!(found.sum, Sum::Right, "byte {at}");
        }
    }
}

mod values {
    use super::*;
    use linewright::quantity::{Volt, Watt};
    use linewright::site::{Amplifier, Design, Elements, Entry, Log, Note, Output, Ref};
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn any_text_and_any_number_come_back_as_they_went(
            note in "\\PC{0,40}|.{0,40}",
            order in prop::num::f64::NORMAL | prop::num::f64::SUBNORMAL | prop::num::f64::ZERO,
            rated in 1e-300f64..1e300,
            second in -377_705_023_201i64..253_402_207_200i64,
        ) {
            let mut elements = Elements::default();
            let amplifier = Design::Amplifier(Amplifier {
                label: "A1".into(), order, voice_alarm: false, note: Some(note.clone()),
            });
            let output = Design::Output(Output {
                amplifier: "A1".into(), label: "1".into(), order, volts: Volt(rated),
                rated_w: Some(Watt(rated)), headroom: None, elv: false,
            });
            elements.add(Ref::Amplifier("A1".into()), "i-1".into(), amplifier);
            elements.add(Ref::Output("A1/1".into()), "i-2".into(), output);
            let mut log = Log::default();
            log.add(Entry {
                at: jiff::Timestamp::from_second(second).unwrap(),
                id: "w-1".into(),
                by: note.clone(),
                what: Do::Note(Note { of: Ref::Figure(note.clone()), text: note }),
                act: None, row: None, corrects: None, why: None,
            });
            let site = Site::new("s-1".into(), elements, log);
            let bytes = write(&site).unwrap();
            let found = read("S.ron", &bytes).unwrap();
            prop_assert_eq!(found.sum, Sum::Right);
            prop_assert_eq!(found.site.elements(), site.elements());
            prop_assert_eq!(found.site.log(), site.log());
            prop_assert_eq!(write(&found.site).unwrap(), bytes);
        }

        #[test]
        fn any_bytes_are_answered_without_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
            let _ = read("S.ron", &bytes);
        }
    }
}

//! Readings that the disk has not taken yet, or refuses.

use crate::desk::{Desk, DiskIs, demo, hall, opening};
use linewright::session::Access;
#[test]
fn nothing_counts_before_the_disk_has_it() {
    let mut desk = Desk::at(hall());
    let before = desk.json();
    desk.disk = DiskIs::Slow;
    desk.keys("336\n");
    assert_eq!((desk.json(), desk.log_len()), (before, 0));
    let screen = desk.screen();
    assert!(screen.contains("0 of 6 read"), "{screen}");
    assert!(screen.contains("^  H-1"), "{screen}");
    assert!(!screen.contains("recorded "), "{screen}");
    assert_eq!(desk.on(), "H-2", "typing goes on meanwhile");
    desk.answer();
    let screen = desk.screen();
    assert!(
        screen.contains("1 of 6 read") && screen.contains("=  H-1"),
        "{screen}"
    );
    assert!(
        desk.message()
            .starts_with("recorded 14:07  H-1 reads 336 ohm")
    );
}

#[test]
fn a_refused_reading_keeps_its_row_marked_and_enter_sends_the_same_entry_again() {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Full;
    desk.keys("336\n");
    assert!(
        desk.message().starts_with("NOT RECORDED"),
        "{}",
        desk.message()
    );
    assert!(desk.message().contains("no space left"));
    let screen = desk.screen();
    assert!(
        screen.contains("^  H-1") && screen.contains("0 of 6 read"),
        "{screen}"
    );
    desk.keys("/h1\n\n");
    assert_eq!((desk.sent.len(), desk.log_len()), (2, 0));
    desk.disk = DiskIs::Fast;
    desk.keys("\n");
    assert_eq!(desk.sent.len(), 3);
    assert!(
        desk.sent.iter().all(|sent| *sent == desk.sent[0]),
        "same ids, same entries"
    );
    assert_eq!(desk.readings(), ["H-1 336"]);
    assert!(desk.session.waiting().is_empty());
}

#[test]
fn leaving_with_a_refused_reading_takes_a_second_q() {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Full;
    desk.keys("336\nq");
    assert!(!desk.left);
    assert!(
        desk.message().contains("1 not on the disk"),
        "{}",
        desk.message()
    );
    desk.keys("q");
    assert!(desk.left);
    assert_eq!(
        desk.session.waiting().len(),
        1,
        "whoever leaves can be told what was lost"
    );
}

#[test]
fn a_session_that_may_only_read_records_nothing() {
    let mut opening = opening("otherotherothero");
    opening.access = Access::ReadsOnly("engineer B on rack-2 writes here since 13:50".into());
    let mut desk = Desk::with(demo(), opening, None);
    let before = desk.log_len();
    assert!(desk.screen().lines().next().unwrap().contains("READ ONLY"));
    for keys in [
        "41", "\n", "x", "open", "\n", "d2\n", "i5M\n", "jjob\n", "u", "r",
    ] {
        desk.keys(keys);
    }
    assert!(desk.sent.is_empty());
    assert_eq!(desk.log_len(), before);
    desk.keys("\x1b\x1b4");
    assert!(
        desk.message().contains("engineer B on rack-2"),
        "{}",
        desk.message()
    );
}

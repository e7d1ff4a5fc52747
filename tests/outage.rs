//! Stories at the keyboard when the disk refuses: before, keys, after.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;

use desk::*;
use linewright::session::{Access, Event, Key, Mode, News, Offer, Wish};
use linewright::site::{Do, Site};

fn writes(site: Box<Site>, elsewhere: bool) -> News {
    News::Writes {
        site,
        writer: "newwriternewwrit".into(),
        elsewhere,
        words: "this opening writes".to_owned(),
    }
}

fn with_one_refused() -> Desk {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Full;
    desk.keys("336\n");
    assert!(desk.message().starts_with("NOT RECORDED"));
    desk
}

#[test]
fn what_the_disk_refused_says_so_on_its_line_with_what_to_do_and_the_next_can_be_typed() {
    let mut desk = with_one_refused();
    let message = "NOT RECORDED: no space left on device. Enter tries again, g e saves elsewhere";
    assert_eq!(desk.message(), message);
    assert_eq!(desk.on(), "H-2");
    desk.keys("/h-1\n");
    let screen = desk.screen();
    for words in ["NOT RECORDED H-1 336 ohm", "tried every 5 s; Enter"] {
        assert!(screen.contains(words), "{screen}");
    }
    desk.disk = DiskIs::Fast;
    desk.keys("\n");
    assert_eq!(desk.readings(), ["H-1 336"]);
    assert!(!desk.screen().contains("NOT RECORDED"));
}

#[test]
fn what_was_refused_is_tried_again_by_the_clock_without_a_word_until_it_is_recorded() {
    let mut desk = with_one_refused();
    desk.keys("g\x1b?\x1b");
    desk.event(Event::News(News::Retry));
    assert_eq!(desk.sent.len(), 2);
    assert_eq!(desk.sent[0], desk.sent[1], "under the same id");
    desk.disk = DiskIs::Fast;
    desk.event(Event::News(News::Retry));
    assert_eq!(desk.readings(), ["H-1 336"]);
    assert!(desk.message().starts_with("recorded"));
    desk.event(Event::News(News::Retry));
    assert_eq!(desk.sent.len(), 3, "nothing is left to try");
}

#[test]
fn undo_of_what_was_refused_sends_both_or_none_and_never_a_strike_of_an_unknown_entry() {
    let mut desk = with_one_refused();
    desk.disk = DiskIs::Fast;
    desk.keys("u");
    let batch = desk.sent.last().unwrap();
    let [read, strike] = batch.as_slice() else {
        panic!("{batch:?}")
    };
    assert!(matches!(&strike.what, Do::Void(void) if void.of == [read.id.clone()]));
    assert_eq!((desk.log_len(), desk.readings().len()), (2, 0));
    desk.keys("r");
    assert_eq!(desk.readings(), ["H-1 336"]);
}

#[test]
fn an_entry_that_can_never_be_recorded_leaves_its_line_and_is_no_act() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n");
    desk.disk = DiskIs::Slow;
    desk.keys("417\n");
    let id = desk.sent[1][0].id.clone();
    let why = "text \"417\" does not read to the value".to_owned();
    desk.event(Event::News(News::Unfit(vec![(id, why)])));
    assert!(desk.message().contains("it cannot be as it is: text"));
    assert!(desk.session.waiting().is_empty());
    desk.keys("u");
    assert!(
        desk.message().contains("taken back: H-1"),
        "{}",
        desk.message()
    );
}

#[test]
fn saving_elsewhere_sends_all_that_waits_to_the_new_place() {
    let mut desk = with_one_refused();
    desk.keys("ge/media/stick\n");
    assert_eq!(desk.wishes, [Wish::Elsewhere("/media/stick".into())]);
    desk.disk = DiskIs::Fast;
    let site = Box::new(desk.session.site().clone());
    desk.event(Event::News(writes(site, true)));
    assert_eq!(desk.readings(), ["H-1 336"]);
    desk.keys("417\n");
    let ids: Vec<&str> = desk.sent.iter().map(|it| it[0].id.as_str()).collect();
    assert_eq!(ids.last(), Some(&"deskdeskdeskdesk-2"), "counted on");
}

#[test]
fn what_is_recorded_while_it_is_being_saved_elsewhere_waits_for_the_new_place() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n");
    desk.keys("ge/media/stick\n");
    let site = Box::new(desk.session.site().clone());
    desk.keys("417\n");
    assert_eq!(desk.readings(), ["H-1 336", "H-2 417"]);
    desk.disk = DiskIs::Slow;
    desk.event(Event::News(writes(site, true)));
    assert_eq!(
        desk.readings(),
        ["H-1 336"],
        "the new place has no more yet"
    );
    let again = desk.sent.last().unwrap();
    assert_eq!(
        again[0].id.as_str(),
        "deskdeskdeskdesk-2",
        "under the same id"
    );
    desk.event(Event::Recorded(vec![again[0].id.clone()]));
    assert_eq!(desk.readings(), ["H-1 336", "H-2 417"]);
}

#[test]
fn a_draft_whose_enter_reached_the_disk_before_the_program_went_down_does_not_come_back() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n417");
    let half = desk.session.resume();
    desk.keys("\n");
    let site = desk.session.site().clone();
    let again = Desk::with(
        site.clone(),
        opening("nextnextnextnext"),
        Some(half.clone()),
    );
    assert_eq!(again.session.mode(), &Mode::Key, "{}", again.message());
    // Not recorded it does come back, and so does the same figure typed for a line once more.
    let mut before = Desk::at(hall());
    before.keys("336\n");
    let site = before.session.site().clone();
    let again = Desk::with(site, opening("nextnextnextnext"), Some(half));
    assert!(matches!(again.session.mode(), Mode::Reading(draft) if draft.text == "417"));
    before.keys("/h-1\n336");
    let half = before.session.resume();
    let site = before.session.site().clone();
    let again = Desk::with(site, opening("nextnextnextnext"), Some(half));
    assert!(matches!(again.session.mode(), Mode::Reading(draft) if draft.text == "336"));
}

#[test]
fn whoever_reads_only_sees_what_is_recorded_and_can_take_over() {
    let mut opening = opening("deskdeskdeskdesk");
    opening.access = Access::ReadsOnly("engineer B writes here".into());
    let mut desk = Desk::with(hall(), opening, None);
    let mut first = Desk::at(hall());
    first.keys("336\n");
    desk.keys("ge");
    assert!(desk.message().contains("read only"), "{}", desk.message());
    let site = Box::new(first.session.site().clone());
    desk.event(Event::News(News::Fresh(site.clone())));
    assert!(desk.screen().contains("1 of 6 read"), "{}", desk.screen());
    desk.keys("gt");
    assert_eq!(desk.wishes, [Wish::TakeOver]);
    desk.event(Event::News(writes(site, false)));
    assert!(!desk.screen().contains("READ ONLY"));
    desk.keys("/h-2\n417\n");
    assert_eq!(desk.readings(), ["H-1 336", "H-2 417"]);
    assert_eq!(desk.sent[0][0].id.as_str(), "newwriternewwrit-1");
    desk.keys("gj");
    assert_eq!(desk.wishes.last(), Some(&Wish::Join));
}

#[test]
fn what_a_copy_holds_is_joined_only_after_it_was_said_that_no_key_takes_it_back() {
    let mut desk = Desk::at(hall());
    // A name may have the mark that stands between the two parts of what is told.
    let holds = "\"S; old.ron\" is a copy of this site and holds 4 entries that S.ron lacks, 1 reading, by \
                 engineer B";
    let told = format!("{holds}; the copy stays as it is, g j joins them");
    desk.event(Event::Offered(vec![Offer {
        holds: holds.into(),
        told,
    }]));
    desk.keys("gj");
    assert_eq!(desk.wishes, []);
    let said = desk.message();
    assert!(said.contains("1 reading, by engineer B"), "{said}");
    assert!(
        said.ends_with("no key takes a join back. g j once more joins"),
        "{said}"
    );
    // Any other key leaves it.
    desk.press(Key::Down);
    desk.keys("gj");
    assert_eq!(desk.wishes, []);
    desk.keys("gj");
    assert_eq!(desk.wishes, [Wish::Join]);
}

#[test]
fn what_was_offered_and_joined_or_left_behind_is_listed_no_more() {
    let offer = |name: &str| Offer {
        holds: format!("{name:?} holds 1 entry"),
        told: format!("{name:?} holds 1 entry; g j joins it"),
    };
    let listed = |desk: &mut Desk| {
        desk.keys("gs").rest();
        let screen = desk.screen();
        desk.press(Key::Esc);
        screen
    };
    let mut desk = Desk::at(hall());
    desk.event(Event::Offered(vec![offer("S (2).ron")]));
    desk.event(Event::Say("something else".into()));
    assert!(listed(&mut desk).contains("S (2).ron"));
    // Another folder has another copy.
    desk.event(Event::Offered(vec![offer("S (3).ron")]));
    desk.event(Event::Say("something else".into()));
    let told = listed(&mut desk);
    assert!(
        told.contains("S (3).ron") && !told.contains("S (2).ron"),
        "{told}"
    );
    desk.keys("gj").keys("gj");
    assert_eq!(desk.wishes, [Wish::Join]);
    let site = Box::new(desk.session.site().clone());
    desk.event(Event::News(News::Joined(site, 1)));
    let told = listed(&mut desk);
    assert!(!told.contains("S (3).ron"), "{told}");
    // Nothing is offered any more: it asks the disk, and no question first.
    desk.keys("gj");
    assert_eq!(desk.wishes, [Wish::Join, Wish::Join]);
}

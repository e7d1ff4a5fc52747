//! What is kept and told when the site changes under the hands of whoever types.

use crate::desk::{Desk, DiskIs, hall, site_of};
use linewright::session::Event;
#[test]
fn the_cursor_stays_on_its_label_and_the_entry_in_hand_when_the_site_is_replaced() {
    let more = format!(
        "{}\n{}",
        crate::desk::HALL.lines().next().unwrap(),
        "A0,1,60,100,Attic,T-1,LS-1,loudspeaker,6,12|6|3,ceiling,,,,rack,20,1.5 mm2\n"
    ) + &crate::desk::HALL
        .lines()
        .skip(1)
        .map(|row| format!("{row}\n"))
        .collect::<String>();
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n27");
    desk.event(Event::Replaced(Box::new(site_of(&more, "Old seed hall"))));
    assert_eq!(
        (desk.on().as_str(), desk.typed().as_deref()),
        ("B-1", Some("27"))
    );
    assert!(
        desk.screen().contains(" B-1 reading> 27"),
        "{}",
        desk.screen()
    );
    assert!(
        desk.message().contains("another hand"),
        "{}",
        desk.message()
    );
    desk.keys("5\n");
    assert_eq!(desk.readings(), ["B-1 275"]);
}

#[test]
fn an_entry_on_its_way_counts_once_when_the_joined_site_holds_it_already() {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Slow;
    desk.keys("336\n");
    let mut joined = hall();
    joined.apply(desk.sent[0][0].clone());
    desk.event(Event::Replaced(Box::new(joined)));
    desk.answer();
    assert_eq!(desk.readings(), ["H-1 336"]);
    assert_eq!(desk.log_len(), 1);
}

#[test]
fn an_entry_in_hand_for_a_line_that_another_hand_removed_is_not_lost_without_a_word() {
    let without: String = crate::desk::HALL
        .lines()
        .filter(|row| !row.contains(",B-1,"))
        .map(|row| format!("{row}\n"))
        .collect();
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n275");
    desk.event(Event::Replaced(Box::new(site_of(
        &without,
        "Old seed hall",
    ))));
    desk.screen();
    desk.event(Event::Say(String::new()));
    desk.keys("\n");
    desk.screen();
    assert!(desk.sent.is_empty());
    assert!(
        desk.typed().as_deref() == Some("275") && !desk.message().is_empty(),
        "{:?} {:?}",
        desk.typed(),
        desk.message()
    );
}

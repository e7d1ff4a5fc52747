//! The drawing checked as it grows, and what is unsound refused.

use super::*;

#[test]
fn what_is_unsound_is_refused_with_the_reason_and_stays_in_the_entry() {
    let mut desk = Desk::at(hall());
    let before = desk.json();
    for (keys, reason) in [
        // A ring: LS-1 fed by LS-3, which it feeds.
        ("/h1\ngd", ""),
        ("aLS-2\n", "is used twice"),
        ("\x1baLS-9 1.7mm2\n", "standard size"),
        ("\x1baLS-9 f:LS-77\n", "LS-77 is not there"),
        ("\x1baLS-9 240v\n", "240v does not belong"),
        ("\x1baLS-9 c:bell\n", "bell is not there"),
        ("\x1baLS-9 0w\n", "tap is 0"),
    ] {
        desk.keys(keys);
        assert!(
            desk.message().contains(reason),
            "{keys:?}: {}",
            desk.message()
        );
        if !reason.is_empty() {
            assert!(
                desk.typed().is_some_and(|text| text.starts_with("LS-")),
                "{keys:?}"
            );
        }
    }
    desk.keys("\x1b");
    desk.press(Key::Home).press(Key::Down);
    desk.keys("e").keys(" f:LS-3\n");
    assert!(
        desk.message().contains("f:LS-3") || desk.message().contains("ring"),
        "{}",
        desk.message()
    );
    desk.keys("\x1be");
    let text = desk.typed().unwrap();
    for _ in 0..text.len() {
        desk.keys("\x08");
    }
    // Fed by itself: nothing closes up.
    desk.keys("LS-1 6w 20m f:LS-1 t:ceiling s:3/6/12\n");
    assert!(desk.message().contains("in a ring"), "{}", desk.message());
    assert_eq!(
        desk.typed().as_deref(),
        Some("LS-1 6w 20m f:LS-1 t:ceiling s:3/6/12")
    );
    assert!(desk.sent.is_empty());
    assert_eq!(desk.json(), before);
}

#[test]
fn the_design_is_checked_as_it_grows_where_the_mistake_is() {
    let mut desk = Desk::begun();
    desk.keys("aA1 60w\n")
        .keys("aH-1 Hall\n")
        .keys("a40w 300m 1mm2 t:horn s:20/40\n");
    desk.resize(160, 48);
    desk.keys("y");
    let screen = panel(&desk);
    assert!(
        screen.contains("run not known: LS-2"),
        "the way on is its own: {screen}"
    );
    desk.keys("a200m\n").keys("yyy");
    let screen = panel(&desk);
    assert!(screen.contains("far end too quiet"), "{screen}");
    assert!(screen.contains("mm2 throughout would do"), "{screen}");
    assert!(screen.contains("planned A1 "), "{screen}");
    assert!(
        screen.contains("of 60 W, 20.0 % to keep free needs"),
        "{screen}"
    );
}

#[test]
fn a_ring_that_came_with_the_file_is_told_on_its_line() {
    let site = hall();
    let mut elements = site.elements().clone();
    let of = Ref::Node("H-2/LS-1".into());
    let was = elements.standing(&of).to_vec();
    let Design::Loudspeaker(mut design) = was[0].1.clone() else {
        panic!()
    };
    design.from = "H-2/LS-3".into();
    elements.replace(&of, &was, "x".into(), Design::Loudspeaker(design));
    let mut desk = Desk::at(Site::new(site.id().clone(), elements, site.log().clone()));
    desk.keys("/h2\n").keys("gd");
    let words = panel(&desk);
    assert!(
        words.contains("no way from the rack reaches LS-1, LS-2, LS-3, LS-4: a ring"),
        "{words}"
    );
    assert!(words.contains("no loudspeaker yet"), "{words}");
}

#[test]
fn the_drawing_of_the_whole_site_is_checked_before_anybody_travels() {
    let mut desk = Desk::at(hall());
    desk.keys("gs");
    assert!(!panel(&desk).contains("the drawing, checked"));
    // 900 m of 0.75 mm2 (24.5 ohm/km a conductor, IEC 60228) to 60 W: 44 ohm before 167 ohm.
    desk.keys("/c1\na60w 900m 0.75mm2 s:60\n")
        .keys("/b1\ne")
        .keys(" ins\n")
        .keys("gs");
    let words = panel(&desk);
    assert!(words.contains("planned past rating, 1: A2 "), "{words}");
    assert!(words.contains("far end too quiet, 1: C-1 -"), "{words}");
}

#[test]
fn a_conductor_that_is_said_to_do_does_when_it_is_typed() {
    let mut desk = Desk::begun();
    desk.keys("aA1 240w\n")
        .keys("aH-1 Hall\n")
        .keys("a60w 250m 1mm2 t:horn s:60\n");
    desk.keys("a50m\nyyy");
    desk.resize(160, 48);
    let screen = panel(&desk);
    let at = screen.find(" mm2 throughout would do").expect(&screen);
    let size = screen[..at].rsplit(' ').next().unwrap().to_owned();
    desk.keys("gd");
    desk.press(Key::Home);
    for _ in 0..5 {
        desk.press(Key::Down).keys("e");
        let text = desk.typed().unwrap().replace("1mm2", &format!("{size}mm2"));
        let count = desk.typed().unwrap().chars().count();
        for _ in 0..count {
            desk.keys("\x08");
        }
        desk.keys(&text).keys("\n");
    }
    assert!(
        !panel(&desk).contains("too quiet"),
        "{size}: {}",
        panel(&desk)
    );
}

#[test]
fn a_line_that_reads_short_is_proposed_to_no_other_output() {
    let mut desk = Desk::at(crate::desk::demo());
    desk.keys("/ph4\nh").rest();
    assert!(
        desk.message().starts_with("it reads short"),
        "{}",
        desk.message()
    );
    assert_eq!(desk.typed().as_deref(), Some(""));
    desk.press(Key::Tab);
    assert!(
        desk.message().starts_with("nothing is proposed"),
        "{}",
        desk.message()
    );
    // Its neighbour, far past its drawing, is.
    let mut desk = Desk::at(crate::desk::demo());
    desk.keys("/ph5\nh").rest();
    assert!(
        !desk.message().starts_with("it reads short"),
        "{}",
        desk.message()
    );
}

//! Readings that are older than their drawing.

use super::*;

/// Proposals of `h` on the line under the cursor, all of them.
fn proposals(desk: &mut Desk) -> Vec<String> {
    desk.keys("ga").keys("h");
    let mut out = Vec::new();
    loop {
        let next = desk.typed().unwrap();
        if out.contains(&next) {
            desk.keys("\x1b").keys("gs");
            return out;
        }
        out.push(next);
        desk.keys("\t");
    }
}

/// B-1, six of 6 W on an output of 60 W: 139 ohm is 72 W, over its rating.
fn over() -> Desk {
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n").keys("139\n").rest();
    desk.keys("/b1\n");
    desk
}

#[test]
fn on_an_overloaded_output_nothing_that_raises_the_load_is_proposed() {
    let mut desk = over();
    let all = proposals(&mut desk);
    assert!(all.contains(&"down".to_owned()), "{all:?}");
    assert!(!all.contains(&"up".to_owned()), "{all:?}");
    // Two of 10 W a step higher are two of 20 W, 20 W more: the output of 60 W keeps 48 W, carries 20 W.
    let mut desk = Desk::at(hall());
    desk.keys("/c1\n");
    let all = proposals(&mut desk);
    assert!(all.contains(&"up".to_owned()), "{all:?}");
    // Read at 40 W it has 8 W to spare, and 20 W more would be over the headroom.
    desk.keys("/c1\n").keys("250\n").rest();
    desk.keys("/c1\n");
    let all = proposals(&mut desk);
    assert!(!all.contains(&"up".to_owned()), "{all:?}");
}

#[test]
fn taps_that_were_tried_out_and_applied_are_to_be_set_and_read_before_anything_is_in_tolerance() {
    let mut desk = over();
    let before = desk.json();
    assert_eq!(line(&desk, "B-1").verdict.unwrap().word, LineWord::Out);
    let over = in_the_way(&desk, "A1 out 2");
    assert_eq!(over.len(), 1);
    // Taps of 12 W would be 72 W: what was read with nobody near a tap is no sign that they were set.
    desk.keys("ga").keys("h12w\n").rest();
    assert_eq!(
        desk.message().split("  ").nth(1).unwrap(),
        "12w applied to line B-1. Still to be done there, then j; B-1 was read before, 14:07: read it again"
    );
    assert_eq!(line(&desk, "B-1").verdict, None);
    assert_eq!(
        in_the_way(&desk, "A1 out 2"),
        over,
        "the load is as it was read"
    );
    let wanted = "read before it was drawn as it is: set it so on site, say so, read it again";
    assert!(in_the_way(&desk, "B-1").contains(&wanted.to_owned()));
    desk.keys("gs/b1\n");
    assert!(
        panel(&desk).contains("before it was drawn so 14:0"),
        "{}",
        panel(&desk)
    );
    // One u takes all of it back.
    desk.keys("u").rest();
    assert_eq!(desk.json(), before);
    desk.keys("r").rest();
    // Read without a word of what was done it is asked about; said first, it is another state.
    desk.keys("/b1\n").keys("139\n");
    assert!(
        desk.message()
            .starts_with("B-1: is it set as drawn by now?"),
        "{}",
        desk.message()
    );
    desk.keys("\x1b")
        .keys("jtaps set to 12 W\n")
        .keys("139\n")
        .rest();
    assert_eq!(line(&desk, "B-1").verdict.unwrap().word, LineWord::In);
    assert!(!in_the_way(&desk, "B-1").contains(&wanted.to_owned()));
}

#[test]
fn a_line_that_is_to_be_read_again_is_counted_shown_and_told_the_same_everywhere() {
    use linewright::review::{Matter, review};
    use linewright::site::Ref;
    let header = |desk: &Desk| desk.session.view().header.text();
    let told = |desk: &Desk| -> serde_json::Value {
        let all: serde_json::Value = serde_json::from_str(&desk.json()).unwrap();
        let mut lines = all["lines"].as_array().unwrap().iter();
        lines.find(|row| row["line"] == "B-1").unwrap().clone()
    };
    let mut desk = over();
    assert!(header(&desk).contains("1 out"), "{}", header(&desk));
    assert!(!header(&desk).contains("reread"), "{}", header(&desk));
    assert_eq!(told(&desk)["reread"], false);
    desk.keys("ga").keys("h12w\n").rest();
    // Neither out nor in: counted by itself, in the header as in the review.
    let counts = desk.session.analyst().counts();
    assert_eq!((counts.out, counts.reread, counts.flagged), (0, 1, 1));
    assert!(
        header(&desk).contains("0 out   1 reread"),
        "{}",
        header(&desk)
    );
    let list = review(desk.session.site(), desk.session.analyst(), &Ref::Site);
    let redrawn = |it: &&linewright::review::Item| matches!(it.matter, Matter::Redrawn);
    assert_eq!(list.open().filter(redrawn).count(), 1);
    // The JSON keeps its words: the reading is there, judged by nothing, and that is why.
    let row = told(&desk);
    assert_eq!(row["verdict"], "unmeasured");
    assert_eq!(row["reread"], true);
    assert_eq!(row["measured"]["ohms"], 139.0);
    assert_eq!(row["measured"]["deviation"], serde_json::Value::Null);
    // The tree names it, the filter of what wants a look shows it, and so does the building's panel.
    desk.keys("gs/b1\n");
    let screen = desk.screen();
    let mut tree = screen
        .lines()
        .filter_map(|row| row.split('\u{2502}').next());
    let own = tree.find(|row| row.contains(" B-1 ")).unwrap_or(&screen);
    assert!(own.contains("reread"), "{own}");
    desk.keys("f");
    assert!(
        desk.message()
            .starts_with("only what wants a look, worst first: 1 line"),
        "{}",
        desk.message()
    );
    assert!(desk.screen().contains("B-1"), "{}", desk.screen());
    // The record does not call it unread.
    let site = desk.session.site();
    let data = linewright::report::Assessment::of(site, desk.session.analyst(), None);
    let text = linewright::report::markdown(&linewright::report::record(&data));
    assert!(
        text.contains("To be set as drawn and read again, 1: B-1."),
        "{text}"
    );
    let unread = text.lines().find(|row| row.contains("Not read, ")).unwrap();
    assert!(!unread.contains("B-1"), "{unread}");
    // Read again it is as any other.
    desk.keys("\x1b/b1\n")
        .keys("jtaps set to 12 W\n")
        .keys("139\n")
        .rest();
    assert!(!header(&desk).contains("reread"), "{}", header(&desk));
    assert_eq!(told(&desk)["reread"], false);
}

#[test]
fn a_drawing_that_was_wrong_is_put_right_with_one_edit_and_a_reason_and_a_changed_line_is_read_again()
 {
    let mut desk = Desk::at(hall());
    // Read at 14:07; the schedule has LS-1 on 6 W, and 12 W are found on it.
    desk.keys("/h1\n").keys("278\n").rest();
    let before = desk.json();
    assert_eq!(line(&desk, "H-1").verdict.unwrap().word, LineWord::Out);
    desk.keys("/h1\n").keys("gd").press(Key::Down);
    desk.keys("e");
    let text = desk.typed().unwrap();
    for _ in 0..text.chars().count() {
        desk.keys("\x08");
    }
    desk.keys(&text.replacen("6w", "12w", 1)).keys("\n").rest();
    assert!(
        desk.message().ends_with(
            "H-1 was read before that, 14:07: read it again, or say in g v why it counts"
        ),
        "{}",
        desk.message()
    );
    // It counts against the drawing as it is now, and that is said.
    assert_eq!(line(&desk, "H-1").verdict.unwrap().word, LineWord::In);
    let wanted =
        "read before its drawing was changed: read it again, or say why it counts".to_owned();
    assert!(in_the_way(&desk, "H-1").contains(&wanted));
    desk.keys("gs/h1\n");
    assert!(
        panel(&desk).contains("before the drawing was changed 14:0"),
        "{}",
        panel(&desk)
    );
    // A reason settles it, and so does another reading.
    desk.keys("gv");
    while !desk.session.view().entry.text().trim().starts_with("H-1>") {
        desk.press(Key::Down);
    }
    desk.keys(" the schedule was wrong\n").rest();
    assert!(
        !in_the_way(&desk, "H-1").contains(&wanted),
        "{}",
        desk.message()
    );
    desk.keys("u").rest();
    assert!(in_the_way(&desk, "H-1").contains(&wanted));
    desk.keys("gs/h1\n").keys("278\n").rest();
    assert!(!in_the_way(&desk, "H-1").contains(&wanted));
    desk.keys("u").rest();
    assert!(in_the_way(&desk, "H-1").contains(&wanted));
    // Changed back all is as it was.
    desk.keys("u").rest();
    assert!(!in_the_way(&desk, "H-1").contains(&wanted));
    assert_eq!(desk.json(), before);
}

#[test]
fn another_name_or_another_order_of_a_line_that_was_read_takes_nothing_from_its_reading() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n").keys("333\n").rest();
    desk.keys("/h1\n")
        .keys("e")
        .keys("\x08\x08")
        .keys("9\n")
        .rest();
    assert_eq!(line(&desk, "H-1").redrawn, None, "{}", desk.message());
}

#[test]
fn a_line_that_goes_to_an_output_of_another_voltage_is_asked_about_and_the_drawing_says_so_after() {
    let mut desk = Desk::at(demo());
    desk.keys("/cf3\n").keys("hto A3\n");
    assert_eq!(
        desk.message(),
        "CF-3 is a 100 V line, A3/1 gives 70.7 V: its taps are other watts there. Enter once more does it"
    );
    assert!(
        panel(&desk).contains("from 100 V to 70.7 V"),
        "{}",
        panel(&desk)
    );
    assert!(desk.sent.is_empty(), "nothing counts yet");
    // Any other key is a no.
    desk.keys("\x1b");
    desk.keys("/cf3\n").keys("hto A3\n\n").rest();
    assert_eq!(desk.sent.len(), 1);
    desk.keys("gs/cf3\n");
    let mut told = String::new();
    for _ in 0..desk.session.view().pages {
        told.push_str(&panel(&desk));
        desk.keys("\t");
    }
    assert!(told.contains("moved here from 100 V, now 70.7 V"), "{told}");
    // Where both have one voltage nothing is asked.
    let mut desk = Desk::at(hall());
    desk.keys("/c1\n").keys("hto A1/1\n");
    assert_eq!(desk.sent.len(), 1);
}

//! What the program takes as true when something is recorded: a reading is held against the drawing it
//! was read of, readings of one thing that do not agree are told, and what cannot be so is asked about.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, demo, hall};
use linewright::analysis::LineResult;
use linewright::session::{Event, Key};
use linewright::verdict::LineWord;
use screen::{panel, row};

fn line<'a>(desk: &'a Desk, label: &str) -> &'a LineResult {
    let at = desk.session.site().plan().line_labelled(label).unwrap();
    desk.session.analyst().line(at)
}

/// What stands in the way of signing, as `label: words`.
fn in_the_way(desk: &Desk, label: &str) -> Vec<String> {
    use linewright::review::review;
    use linewright::site::Ref;
    let review = review(desk.session.site(), desk.session.analyst(), &Ref::Site);
    let open = review.open().filter(|item| item.label == label);
    open.map(|item| item.words.clone()).collect()
}

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
fn a_figure_corrected_twice_is_the_last_one_and_the_first_does_not_come_back() {
    let mut desk = Desk::at(hall());
    let first = desk.on();
    let standing = |desk: &Desk| {
        let site = desk.session.site();
        let id = &site.plan().lines[site.plan().line_labelled(&first).unwrap()].id;
        let log = site.log();
        let own = log.of_line(id).into_iter();
        let ohms: Vec<f64> = own
            .filter(|it| log.counts(&it.id))
            .filter_map(|it| match &it.what {
                linewright::site::Do::Read(read) => match read.value {
                    linewright::quantity::Value::Ohm(ohm) => Some(ohm.get()),
                    _ => None,
                },
                _ => None,
            })
            .collect();
        ohms
    };
    desk.keys("33\nx10\n");
    assert_eq!(standing(&desk), [330.0], "{}", desk.message());
    desk.keys(&format!("/{first}\nx"));
    let typed = desk.typed().unwrap_or_default().chars().count();
    desk.keys(&"\x08".repeat(typed)).keys("340\n");
    assert_eq!(standing(&desk), [340.0], "{}", desk.message());
    // Taken back one by one, and done again: each time one figure stands.
    desk.keys("u");
    assert_eq!(standing(&desk), [330.0], "{}", desk.message());
    desk.keys("u");
    assert_eq!(standing(&desk), [33.0], "{}", desk.message());
    desk.keys("rr");
    assert_eq!(standing(&desk), [340.0], "{}", desk.message());
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

#[test]
fn two_readings_of_one_place_that_do_not_agree_are_told_until_a_third_agrees_with_one() {
    let mut desk = Desk::at(hall());
    desk.keys("/h2\n").keys("417\n").rest();
    desk.keys("/h2\n").keys("w");
    while desk.session.view().entry.text().trim() != "H-2 LS-3>"
        && !desk.message().contains("no such")
    {
        desk.press(Key::Down);
        if desk.screen().contains(">  LS-3") || desk.screen().contains("> LS-3") {
            break;
        }
    }
    desk.keys("b")
        .keys("834\n")
        .keys("20000\n")
        .keys("b")
        .rest();
    assert!(
        !panel(&desk).contains("read it again; x corrects"),
        "{}",
        panel(&desk)
    );
    // Opened once more: 850 is within 5 % of 834, 840 is no 20000.
    desk.keys("b").keys("850\n").keys("840\n").rest();
    assert!(
        desk.message()
            .contains("does not agree with 20.0 kohm of 14:0"),
        "{}",
        desk.message()
    );
    desk.keys("b").rest();
    let told = panel(&desk);
    assert!(
        told.contains("far side of LS-") && told.contains(", then 840 ohm"),
        "{told}"
    );
    assert!(!told.contains("near side of LS-"), "{told}");
    // A third that agrees with one of them tells which was the slip.
    desk.keys("b").keys("845\n").keys("838\n").keys("b").rest();
    assert!(!panel(&desk).contains("x corrects one"), "{}", panel(&desk));
}

#[test]
fn a_reading_that_fits_nothing_says_so_after_enter_on_the_message_and_on_the_panel() {
    let mut desk = Desk::at(demo());
    // 136 ohm was read; a line that now reads open beside it is a slip, or another line.
    desk.keys("/ch1\n").keys("o\n").rest();
    assert!(!desk.message().contains("open  open"), "{}", desk.message());
    assert!(
        desk.message()
            .contains("CH-1 reads open; does not agree with 136 ohm of 10:05: read it again"),
        "{}",
        desk.message()
    );
    desk.keys("/ch1\n").rest();
    let told = panel(&desk);
    assert!(told.contains("fits nothing"), "{told}");
    assert!(
        told.contains("zero the leads; is this the right pair?"),
        "{told}"
    );
    assert!(
        told.contains("the line whole: 136 ohm at 10:05, then open"),
        "{told}"
    );
    // What is suspected is so of the reading before: this one is not believed.
    let mut all = String::new();
    for _ in 0..desk.session.view().pages {
        all.push_str(&panel(&desk));
        desk.keys("\t");
    }
    assert!(all.contains("if the one before is right"), "{all}");
}

#[test]
fn a_line_read_open_the_first_time_is_open_at_its_first_run() {
    use linewright::diagnosis::FaultKind;
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n").keys("o\n").rest();
    let at = desk.session.site().plan().line_labelled("H-1").unwrap();
    desk.keys("/h1\n").rest();
    let suspects = desk.session.analyst().suspects(at).unwrap();
    // A slip is 0.01 x 0.3, a break in the first run 0.004: nothing else reads open alone.
    let first = &suspects.hints[0];
    assert_eq!(first.fault, FaultKind::LineOpen, "{:?}", first.text);
    assert_eq!(first.places[0].1.to_string(), "LS-1");
}

#[test]
fn a_line_that_stands_opened_is_not_taken_as_read_whole_without_a_question() {
    let mut desk = Desk::at(demo());
    desk.keys("/cf1\n")
        .keys("w")
        .keys("b")
        .keys("\x1b\x1b")
        .rest();
    let before = desk.log_len();
    desk.keys("700\n");
    assert_eq!(
        desk.message(),
        "CF-1 stands opened for a split: read whole all the same? w, then b once it is closed. Enter \
         once more records it"
    );
    assert_eq!(desk.log_len(), before, "nothing counts yet");
    assert_eq!(desk.typed().as_deref(), Some("700"));
    desk.keys("\n").rest();
    assert_eq!(desk.log_len(), before + 1);
}

#[test]
fn a_known_resistor_beyond_what_the_meter_is_good_for_is_asked_about_calmly() {
    let mut desk = Desk::at(hall());
    let before = desk.log_len();
    desk.keys("398r440\n");
    assert_eq!(
        desk.message(),
        "398 ohm on 440 ohm, -9.5 %: the meter is good for 5.0 %. A slip? Enter once more records it"
    );
    assert_eq!(desk.log_len(), before);
    // A meter may read so: the same key takes it.
    desk.keys("\n");
    assert_eq!(desk.log_len(), before + 1);
    desk.keys("398r400\n");
    assert_eq!(
        desk.log_len(),
        before + 2,
        "half a percent is asked of nobody"
    );
}

#[test]
fn a_copy_of_a_line_is_asked_about_and_taken_back_one_stands_where_it_was_added() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n").keys("y");
    assert!(desk.sent.is_empty());
    assert_eq!(
        desk.message(),
        "y adds a copy of H-1 with 5 places: y once more does it"
    );
    desk.keys("y").rest();
    assert_eq!(desk.sent.len(), 1);
    desk.keys("u").rest();
    assert_eq!(desk.on(), "H-1");
}

#[test]
fn a_reading_taken_up_and_dropped_leaves_the_cursor_where_the_key_was_pressed() {
    let mut desk = Desk::at(hall());
    desk.keys("/h1\n").keys("333\n").rest();
    let stood = desk.on();
    assert_ne!(stood, "H-1");
    desk.keys("x");
    assert_eq!(desk.on(), "H-1");
    desk.keys("\x1b");
    assert_eq!(desk.on(), stood);
}

/// The hall with H-2 ticked OFF, so that whether a line is OFF is told, and the cursor on L-1.
fn one_is_off() -> Desk {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    while !row(&desk).contains("H-2") {
        desk.press(Key::Down);
    }
    desk.keys(" ").keys("\x1b/l1\n");
    desk
}

fn insulations(desk: &Desk) -> usize {
    use linewright::site::Do;
    let sent = desk.sent.iter().flatten();
    sent.filter(|entry| matches!(entry.what, Do::Insulate(_)))
        .count()
}

#[test]
fn an_insulation_reading_of_a_line_that_is_not_ticked_off_is_asked_about_first() {
    let pasted = |desk: &mut Desk| {
        desk.keys("i").event(Event::Paste("50M".into()));
    };
    let typed = |desk: &mut Desk| {
        desk.keys("50Mi");
    };
    for begin in [&typed as &dyn Fn(&mut Desk), &pasted] {
        let mut desk = one_is_off();
        begin(&mut desk);
        desk.keys("\n");
        assert_eq!(insulations(&desk), 0, "{}", desk.message());
        let said = desk.message();
        assert!(said.contains("L-1 is not ticked OFF"), "{said}");
        assert!(said.contains("Enter once more records it"), "{said}");
        desk.keys("\n");
        assert_eq!(insulations(&desk), 1, "{}", desk.message());
    }
    // Any other key is a no; of a line that is OFF nothing is asked.
    let mut desk = one_is_off();
    desk.keys("50Mi\n").keys("0").keys("\n");
    assert_eq!(insulations(&desk), 0, "{}", desk.message());
    desk.keys("\x1b").keys("/h2\n").keys("50Mi\n");
    assert_eq!(insulations(&desk), 1, "{}", desk.message());
}

#[test]
fn a_low_insulation_stands_until_a_repair_or_two_as_good_at_no_less_volts() {
    // IEC 60364-6: less than 1 Mohm at 500 V is low.
    let low = |desk: &Desk| line(desk, "L-1").insulation_is_low();
    let mut desk = Desk::at(hall());
    desk.keys("/l1\n").keys("556\n").keys("/l1\n");
    desk.keys("0.3Mi\n").rest();
    assert!(low(&desk));
    desk.keys("/l1\n").keys("200Miv250\n").rest();
    assert!(low(&desk), "less volts");
    assert!(
        desk.message()
            .contains("LOW 300 kohm at 500 V of 14:07 stands"),
        "{}",
        desk.message()
    );
    desk.keys("/l1\n");
    let shown = panel(&desk);
    assert!(shown.contains("LOW 300 kohm at 500 V"), "{shown}");
    assert!(shown.contains("less volts clear nothing"), "{shown}");
    assert!(desk.screen().contains("ins lo"), "{}", desk.screen());
    assert_eq!(in_the_way(&desk, "L-1")[0], "insulation low");
    desk.keys("200Miv250\n").rest();
    assert!(low(&desk), "less volts, however often");
    desk.keys("/l1\n").keys("200Mi\n").rest();
    assert!(low(&desk), "one does not agree");
    desk.keys("/l1\n");
    assert!(panel(&desk).contains("one more as good settles it"));
    desk.keys("150Mi\n").rest();
    assert!(!low(&desk), "two agree");
    // A repair begins a state of its own.
    let mut desk = Desk::at(hall());
    desk.keys("/l1\n").keys("0.3Mi\n").keys("/l1\n");
    desk.keys("jgland remade\n")
        .keys("/l1\n")
        .keys("200Mi\n")
        .rest();
    assert!(!low(&desk));
}

#[test]
fn an_insulation_reading_says_what_it_is_worth_that_its_voltage_is_assumed_and_discharge() {
    let mut desk = Desk::at(hall());
    desk.keys("/l1\n").keys("0.3Mi");
    let shown = panel(&desk);
    assert!(
        shown.contains(
            "300 kohm at 500 V, assumed (v250 typed behind it says another): LOW, least 1.0 Mohm"
        ),
        "{shown}"
    );
    desk.keys("\n").rest();
    let said = desk.message();
    for wanted in [
        "300 kohm at 500 V, assumed (u, then v250 behind it: another)",
        "LOW, least 1",
        "Discharge both cores",
    ] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    // The panel keeps saying so in this sitting, and of one that was said says nothing.
    desk.keys("/l1\n").rest();
    assert!(
        panel(&desk).contains("300 kohm at 500 V (assumed)"),
        "{}",
        panel(&desk)
    );
    desk.keys("/l2\n").keys("200Miv500\n");
    let said = desk.message();
    assert!(!said.contains("assumed"), "{said}");
    assert!(said.contains("ok, least 1"), "{said}");
    assert!(said.contains("Discharge both cores"), "{said}");
}

#[test]
fn first_power_is_asked_about_while_a_line_that_is_not_off_reads_open_and_refused_onto_a_short() {
    use linewright::site::Do;
    let ticked = |desk: &Desk| {
        let mut sent = desk.sent.iter().flatten();
        sent.any(|entry| matches!(&entry.what, Do::Tick(it) if it.item == "low-power"))
    };
    let go_to = |desk: &mut Desk, words: &str| {
        desk.keys("gr").press(Key::Home);
        while !row(desk).contains(words) {
            desk.press(Key::Down);
        }
    };
    let mut desk = Desk::at(hall());
    desk.keys("/l1\n").keys("o\n").rest();
    go_to(&mut desk, "first power");
    desk.keys(" ");
    assert!(!ticked(&desk), "{}", desk.message());
    let said = desk.message();
    assert!(
        said.contains("L-1 reads short or open and is not ticked OFF"),
        "{said}"
    );
    desk.keys(" ");
    assert!(ticked(&desk), "{}", desk.message());
    // A line that is OFF is in nobody's way; back ON and read short, power is refused.
    let mut desk = Desk::at(hall());
    go_to(&mut desk, "L-1");
    desk.keys(" ").keys("\x1b/l1\n").keys("o\n").rest();
    go_to(&mut desk, "first power");
    desk.keys(" ");
    assert!(ticked(&desk), "{}", desk.message());
    let mut desk = Desk::at(hall());
    go_to(&mut desk, "L-1");
    desk.keys(" ");
    go_to(&mut desk, "L-1     cores back on");
    desk.keys(" ").keys("\x1b/l1\n").keys("0\n\n").rest();
    go_to(&mut desk, "first power");
    desk.keys("  ");
    assert!(!ticked(&desk), "{}", desk.message());
    let said = desk.message();
    assert!(said.contains("L-1 reads short"), "{said}");
}

#[test]
fn a_half_typed_reading_taken_up_says_its_caution_and_a_line_back_on_both_of_insulation() {
    use desk::opening;
    use linewright::session::Resume;
    let again = |desk: &Desk| {
        let resume = Resume::from_text(desk.remembered.as_ref().unwrap());
        let site = desk.session.site().clone();
        Desk::with(site, opening("nextnextnextnext"), resume)
    };
    let mut desk = one_is_off();
    desk.keys("101");
    let next = again(&desk);
    let said = next.message();
    assert!(said.contains("half typed for L-1: 101"), "{said}");
    assert!(
        said.contains("L-1 is not ticked OFF: no meter on it"),
        "{said}"
    );
    desk.keys("\x1b").keys("50Mi");
    let next = again(&desk);
    let said = next.message();
    assert!(said.contains("never core to core"), "{said}");
    let shown = panel(&next);
    assert!(shown.contains("not ticked OFF: no tester on it"), "{shown}");
    assert!(shown.contains("250 to 500 V on it; discharge"), "{shown}");
    // H-2 is back ON: what is asked names the volts, and the panel both.
    let mut desk = one_is_off();
    desk.keys("gr").press(Key::Home);
    while !row(&desk).contains("H-2     cores back on") {
        desk.press(Key::Down);
    }
    desk.keys(" ").keys("\x1b/h2\n").keys("50Mi");
    let shown = panel(&desk);
    assert!(shown.contains("back ON the amplifier"), "{shown}");
    assert!(shown.contains("250 to 500 V on it; discharge"), "{shown}");
    desk.keys("\n");
    let said = desk.message();
    assert!(said.contains("250-500 V"), "{said}");
    assert_eq!(insulations(&desk), 0);
}

#[test]
fn a_tab_in_a_paste_that_is_not_taken_is_a_blank_and_ctrl_u_clears_what_is_typed() {
    let mut desk = Desk::at(hall());
    desk.event(Event::Paste("L-1\t4OO\n".into()));
    let said = desk.message();
    assert!(said.contains("L-1 4OO, is no reading"), "{said}");
    desk.keys("\x1b412").press(Key::Clear);
    assert_eq!(desk.typed().as_deref(), Some(""));
    desk.keys("33").press(Key::Enter);
    assert!(desk.readings()[0].ends_with("33"), "{:?}", desk.readings());
    desk.keys("/l1").press(Key::Clear).keys("b1\n");
    assert_eq!(desk.on(), "B-1");
}

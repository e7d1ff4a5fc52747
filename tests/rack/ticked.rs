//! What one key ticks, for which lines, with what time, and how it is taken back.

use super::*;

#[test]
fn before_a_line_is_touched_each_step_is_one_key_with_time_and_name() {
    let mut desk = Desk::at(hall());
    // Before: nothing is ticked and no line is off.
    assert!(header(&desk).ends_with("0 OFF"), "{}", header(&desk));
    desk.keys("gr");
    assert_eq!(row(&desk), ">.       occupants, monitoring told");
    desk.keys("       ");
    assert_eq!(row(&desk), ">.       5 lines: both cores off");
    desk.keys(" ");
    // After: seven steps of the amplifier and five lines off, each with its time and who said so.
    assert_eq!(
        ticks(&desk),
        [
            "told A1",
            "amplifier-off A1",
            "locked A1",
            "proved-dead A1",
            "neighbours-dead A1",
            "label-read A1",
            "controls-up A1",
            "cores-off H-1,H-2,L-1,L-2,B-1",
        ]
    );
    assert!(header(&desk).ends_with("5 OFF"), "{}", header(&desk));
    assert!(
        desk.message()
            .starts_with("recorded 14:07  5 lines: both cores off"),
        "{}",
        desk.message()
    );
    let screen = desk.screen();
    assert!(
        screen.contains(" = 14:07   H-1     both cores off"),
        "{screen}"
    );
    let entry = desk.sent.last().unwrap().last().unwrap();
    assert_eq!(entry.by, "engineer A");
}

#[test]
fn one_u_takes_all_lines_of_one_tick_back_and_r_takes_them_off_again() {
    let mut desk = Desk::at(hall());
    desk.keys("gr        ");
    assert!(header(&desk).ends_with("5 OFF"));
    let before = desk.json();
    desk.keys("u");
    assert!(header(&desk).ends_with("0 OFF"), "{}", header(&desk));
    desk.keys("r");
    assert!(header(&desk).ends_with("5 OFF"));
    assert_eq!(desk.json(), before);
}

#[test]
fn the_lines_of_one_output_are_taken_off_at_once() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    down_to(&mut desk, "A1 out 1: both cores off");
    desk.keys(" ");
    assert_eq!(ticks(&desk), ["cores-off H-1,H-2,L-1,L-2"]);
    assert!(header(&desk).ends_with("4 OFF"), "{}", header(&desk));
}

#[test]
fn a_single_line_is_taken_off_and_put_back_where_it_is() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    down_to(&mut desk, "H-2");
    desk.keys(" ");
    assert_eq!(ticks(&desk), ["cores-off H-2"]);
    desk.keys("\x1b/h2\n410\n/h2\ngr");
    // Read before and not back: the list of that line opens at handing it back.
    assert_eq!(row(&desk), ">.         H-2     joints closed, covers on");
    desk.keys(" ");
    down_to(&mut desk, "H-2 cores back on");
    desk.keys(" ");
    assert_eq!(
        ticks(&desk),
        ["cores-off H-2", "joints-closed H-2", "cores-on H-2"]
    );
    assert!(header(&desk).ends_with("0 OFF"), "{}", header(&desk));
}

#[test]
fn what_does_not_exist_here_is_left_out_with_a_reason() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    desk.press(Key::Down);
    desk.keys("l\n");
    assert!(ticks(&desk).is_empty(), "a reason is wanted");
    assert!(desk.message().contains("why"), "{}", desk.message());
    desk.keys("no standby\n");
    assert_eq!(ticks(&desk), ["amplifier-off A1 not here: no standby"]);
    let screen = desk.screen();
    assert!(
        screen.contains(" _ 14:07 amplifier and standby off"),
        "{screen}"
    );
    assert_eq!(row(&desk), ">.       isolated, locked, key kept");
}

#[test]
fn a_tick_that_the_disk_refused_is_not_called_ticked() {
    let mut desk = Desk::at(hall());
    desk.disk = DiskIs::Full;
    desk.keys("gr ");
    assert!(
        desk.message().starts_with("NOT RECORDED"),
        "{}",
        desk.message()
    );
    assert!(
        desk.screen().contains(" ^ sent  occupants"),
        "{}",
        desk.screen()
    );
    assert!(ticks(&desk).is_empty());
}

#[test]
fn ticking_on_ends_with_the_part_of_the_list_and_keeps_to_the_line() {
    let mut desk = Desk::at(hall());
    desk.keys("gr398r400\n");
    // Seven steps, all cores off; a key too many ticks nothing of handing back.
    desk.keys("          ");
    assert_eq!(ticks(&desk).len(), 8, "{:?}", ticks(&desk));
    assert_eq!(ticks(&desk)[7], "cores-off H-1,H-2,L-1,L-2,B-1");
    // A line is handed back by itself with two keys.
    go_to(&mut desk, "L-1     joints closed");
    desk.keys("  ");
    assert_eq!(ticks(&desk)[8..], ["joints-closed L-1", "cores-on L-1"]);
    // Taken back, one stands on it again.
    desk.keys("u");
    assert!(row(&desk).contains("cores back on"), "{}", row(&desk));
}

#[test]
fn a_row_of_several_lines_says_how_many_one_space_ticks() {
    let prompt = |desk: &Desk| desk.session.view().entry.text().trim().to_owned();
    let mut desk = Desk::at(hall());
    desk.keys("gr       ");
    assert_eq!(row(&desk), ">.       5 lines: both cores off");
    assert_eq!(prompt(&desk), "Space ticks 5 lines: both cores off>");
    let screen = desk.screen();
    assert!(screen.contains("Space ticks 5"), "{screen}");
    // The row of one output is no line's row either.
    desk.press(Key::Down);
    assert_eq!(row(&desk), ">.       4 lines, A1 out 1: both cores off");
    assert_eq!(prompt(&desk), "Space ticks 4 lines: both cores off>");
    desk.press(Key::Down);
    assert_eq!(row(&desk), ">.         H-1     both cores off");
    assert_eq!(prompt(&desk), "H-1 both cores off>");
    // It does what it says: four at once, and then there is one more.
    desk.press(Key::Up).keys(" ");
    assert_eq!(ticks(&desk).last().unwrap(), "cores-off H-1,H-2,L-1,L-2");
    let screen = desk.screen();
    assert!(screen.contains("       1 line: both cores off"), "{screen}");
    assert!(screen.contains(" A1 out 1: both cores off"), "{screen}");
}

#[test]
fn one_tick_serves_every_amplifier_of_the_building() {
    let mut desk = Desk::at(hall());
    desk.keys("grA");
    assert_eq!(ticks(&desk), ["told A1,A2"]);
    assert_eq!(row(&desk), ">.       amplifier and standby off");
    // What is done at each amplifier is ticked at each.
    desk.keys("A");
    assert_eq!(ticks(&desk).len(), 1);
    assert!(desk.message().contains("at each"), "{}", desk.message());
    desk.press(Key::Up);
    desk.keys("A");
    assert_eq!(desk.message(), "ticked for every amplifier already");
    // Ticked for one already, it is ticked for the other.
    go_to(&mut desk, "monitoring told, book");
    desk.keys(" ");
    go_to(&mut desk, "monitoring told, book");
    desk.keys("A");
    assert_eq!(ticks(&desk)[1..], ["signed A1", "signed A2"]);
    // The meter is the visit's: one Space, and it stands ticked on the other's list too.
    go_to(&mut desk, "meter off");
    desk.keys(" ");
    desk.press(Key::Right);
    go_to(&mut desk, "meter off");
    assert!(row(&desk).starts_with(">= 14:"), "{}", row(&desk));
}

#[test]
fn a_tick_says_which_reading_came_after_it_and_is_ticked_again() {
    let mut desk = Desk::at(hall());
    desk.keys("333\ngr");
    go_to(&mut desk, "meter off");
    desk.keys(" ");
    let count = ticks(&desk).len();
    desk.keys("\x1b/h2\n415\ngr");
    go_to(&mut desk, "meter off");
    assert!(
        row(&desk).starts_with(">~ again meter off"),
        "{}",
        row(&desk)
    );
    let screen = desk.screen();
    let words: Vec<&str> = screen.split_whitespace().collect();
    assert!(
        words.join(" ").contains("~ read since, 14:07: H-2 415 ohm"),
        "{screen}"
    );
    desk.keys(" ");
    assert_eq!(ticks(&desk).len(), count + 1);
    go_to(&mut desk, "meter off");
    assert!(row(&desk).starts_with(">= 14:"), "{}", row(&desk));
}

#[test]
fn a_tick_for_several_lines_names_those_that_are_flagged_before_and_after() {
    let mut desk = Desk::at(hall());
    // H-2 should read 417: at 250 it takes 40 W for 24.
    desk.keys("gr        \x1b/h1\n333\n250\ngr");
    go_to(&mut desk, "lines: cores back on");
    let words = |desk: &Desk| {
        let screen = desk.screen();
        screen.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let flagged = "flagged: H-2 out of tolerance";
    assert!(
        words(&desk).contains(&format!("! {flagged}")),
        "{}",
        desk.screen()
    );
    desk.keys(" ");
    assert!(
        desk.message()
            .ends_with("cores back on; flagged: H-2; 3 of 5 not read"),
        "{}",
        desk.message()
    );
    assert!(desk.session.message().alarm);
    // Before a line is touched a tick has nothing to do with loads.
    desk.press(Key::Home);
    assert!(!words(&desk).contains("! flagged"), "{}", desk.screen());
}

/// One Space over several lines ticks those that were read since, and leaves alone what another has put
/// back on.
#[test]
fn a_row_of_several_lines_ticks_again_only_those_that_were_read_since() {
    let mut desk = Desk::at(hall());
    desk.keys("gr");
    down_to(&mut desk, "A1 out 1: both cores off");
    desk.keys(" ");
    down_to(&mut desk, "A1 out 1: cores back on");
    desk.keys(" ");
    assert_eq!(ticks(&desk).last().unwrap(), "cores-on H-1,H-2,L-1,L-2");
    // Off once more, read, and back on: only its tick is older than its reading.
    desk.keys("\x1b/h2\n410\n\n\x1b/h2\ngr");
    down_to(&mut desk, "A1 out 1: cores back on");
    assert!(
        desk.screen().contains("1 to tick again"),
        "{}",
        desk.screen()
    );
    desk.keys(" ");
    assert_eq!(ticks(&desk).last().unwrap(), "cores-on H-2");
}

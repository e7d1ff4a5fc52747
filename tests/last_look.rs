//! What must not slip by in the last hour of a day: ticks that contradict what was heard, lines left open,
//! cores that were never moved, power beside what is flagged; and small things of the keyboard. Each as
//! what stands before, the keys, what stands after.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/pen.rs"]
mod pen;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, hall, opening, site_of};
use linewright::analysis::Analyst;
use linewright::review::{self, entry_words};
use linewright::session::Key;
use linewright::site::{CORES_OFF, Heard, Ref, Site};
use pen::Pen;
use screen::{down_to, has, rows};

fn line(label: &str) -> Ref {
    Ref::Line(label.into())
}

/// Everything read, heard and ticked, but for one loudspeaker of H-1 that is silent and was accepted.
fn one_is_silent() -> Pen {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.hear("H-1/LS-3", Heard::Silent);
    pen.accept("H-1", "LS-3 is a spare, not hung yet");
    pen
}

// ---- heard, and not heard ----

#[test]
fn a_tick_that_all_was_heard_stands_in_the_way_while_a_loudspeaker_is_silent() {
    let pen = one_is_silent();
    let open = pen.try_sign(Ref::Site).unwrap_err();
    let open: Vec<String> = open
        .iter()
        .map(|it| format!("{}: {}", it.label, it.words))
        .collect();
    assert_eq!(
        open,
        ["A1: contradicted: every zone heard on main is ticked, yet H-1 LS-3 silent"]
    );

    // The review says so, and what to do; Enter goes to the tick, which says it too.
    let mut desk = Desk::at(pen.site);
    desk.keys("gv");
    assert!(
        has(&desk, ">. A1 ticked as heard, contradicted"),
        "{}",
        desk.screen()
    );
    assert!(
        has(&desk, "settled by: listen to them (w walks)"),
        "{}",
        desk.screen()
    );
    desk.keys("\n");
    assert!(
        has(&desk, "contradicted: H-1 LS-3 silent"),
        "{}",
        desk.screen()
    );
    let own = rows(&desk).into_iter().find(|row| row.starts_with('>'));
    assert!(own.unwrap().starts_with(">? 14:"), "{}", desk.screen());
    desk.keys(" ");
    assert!(
        desk.message()
            .ends_with("yet H-1 LS-3 silent: l says what was not heard"),
        "{}",
        desk.message()
    );
    // `l` says what was not heard; nothing stands in the way then.
    desk.keys("lall but H-1 LS-3, which is a spare\n");
    desk.keys("gv").press(Key::Home);
    assert!(
        has(&desk, "nothing stands in the way of sign-off"),
        "{}",
        desk.screen()
    );
    // u takes that back, and it stands there again.
    desk.keys("u");
    assert!(
        has(&desk, "A1 ticked as heard, contradicted"),
        "{}",
        desk.screen()
    );
}

#[test]
fn it_goes_by_itself_when_the_loudspeaker_is_heard() {
    let mut pen = one_is_silent();
    pen.hear("H-1/LS-3", Heard::Heard);
    assert!(pen.try_sign(Ref::Site).is_ok());
}

#[test]
fn a_line_that_stays_off_and_loudspeakers_left_for_later_contradict_it_too_and_only_of_their_amplifier()
 {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.tick(CORES_OFF, vec![line("B-1")]);
    pen.accept("B-1", "the balcony is rebuilt");
    let open = pen.try_sign(Ref::Site).unwrap_err();
    let words: Vec<&str> = open.iter().map(|it| it.words.as_str()).collect();
    assert_eq!(
        words,
        ["contradicted: every zone heard on main is ticked, yet B-1 OFF"]
    );
    assert!(pen.try_sign(Ref::Amplifier("A2".into())).is_ok());
}

#[test]
fn the_tick_itself_says_it_as_soon_as_it_is_made() {
    let mut desk = Desk::at(hall());
    desk.keys("336\ngr");
    down_to(&mut desk, "every zone heard on main");
    desk.keys(" ");
    // Five, four, three, three and six loudspeakers, and nobody walked.
    assert!(
        desk.message()
            .ends_with("yet 21 loudspeakers not listened to: g v"),
        "{}",
        desk.message()
    );
}

// ---- left open ----

/// On the walk of H-1, opened before LS-3, nothing read.
fn opened() -> Desk {
    let mut desk = Desk::at(hall());
    desk.keys("336\n/h1\nw");
    down_to(&mut desk, "LS-3");
    desk.keys("b\x1b");
    desk
}

#[test]
fn a_job_called_done_while_the_line_is_open_says_where_and_what_closes_it() {
    let mut desk = opened();
    desk.keys("j");
    let open = "still OPEN before LS-3: w, then b when closed";
    assert!(desk.message().starts_with(open), "{}", desk.message());
    desk.keys("joint remade\n");
    assert!(
        desk.message().contains("H-1  repaired: joint remade") && desk.message().ends_with(open),
        "{}",
        desk.message()
    );
    // Closed, nothing is said of it.
    desk.keys("b");
    desk.keys("jcover on\n");
    assert!(!desk.message().contains("OPEN"), "{}", desk.message());
}

#[test]
fn leaving_with_lines_open_says_once_which_and_where_and_then_lets_go() {
    let mut desk = opened();
    desk.keys("q");
    assert!(!desk.left);
    assert_eq!(
        desk.message(),
        "1 split still OPEN: H-1 before LS-3. w, then b when closed; q again leaves"
    );
    desk.keys("q");
    assert!(desk.left);
    // With all closed it is left with one key.
    let mut desk = opened();
    desk.keys("bq");
    assert!(desk.left, "{}", desk.message());
}

// ---- moved on paper ----

/// B-1 read, tried out on A1 out 1 and applied.
fn moved() -> Desk {
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n275\n/b1\nh\x15").press(Key::Clear);
    desk.keys("to A1/1\n").rest();
    desk
}

#[test]
fn a_line_moved_on_paper_stands_in_the_way_until_its_cores_are_ticked_over_at_the_rack() {
    let mut desk = moved();
    assert!(
        desk.message().contains("its cores to A1 out 1"),
        "{}",
        desk.message()
    );
    desk.keys("gv");
    let words = "B-1 cores not moved";
    assert!(has(&desk, words), "{}", desk.screen());
    down_to(&mut desk, words);
    assert!(
        has(&desk, "cores still on A1 out 2, drawn on A1 out 1"),
        "{}",
        desk.screen()
    );
    // Enter: the row that says so; Space, once they are.
    desk.keys("\n");
    assert!(has(&desk, "cores still on A1 out 2"), "{}", desk.screen());
    let own = rows(&desk)
        .into_iter()
        .find(|row| row.starts_with('>'))
        .unwrap();
    assert!(
        own.contains("B-1") && own.contains("cores back on"),
        "{own}"
    );
    desk.keys(" gv");
    assert!(!has(&desk, words), "{}", desk.screen());
    // Taken back, it is to be done again.
    desk.keys("ugv");
    assert!(has(&desk, words), "{}", desk.screen());
}

/// Load of the two outputs of A1, W.
fn loads(site: &Site, analyst: &Analyst) -> [f64; 2] {
    [0, 1].map(|at| analyst.output(site, at, None).carries.load.unwrap().get())
}

/// 100 V squared over 275 ohm: what B-1 takes as read, W.
const B_1: f64 = 10_000.0 / 275.0;

#[test]
fn an_output_carries_the_lines_whose_cores_are_on_it_until_it_is_ticked_that_they_went_over() {
    let mut desk = Desk::at(hall());
    let before = loads(desk.session.site(), &Analyst::new(desk.session.site()));
    desk = moved();
    let site = desk.session.site();
    let analyst = Analyst::at_rest(site, None);
    let [first, second] = loads(site, &analyst);
    assert!((first - before[0]).abs() < 1e-9, "{first}");
    assert!((second - B_1).abs() < 1e-9, "{second}");
    // As drawn it counts where it is drawn, and what comes of it is told beside.
    let result = analyst.output(site, 0, None);
    let then = result.once_moved.as_ref().unwrap().load.unwrap().get();
    assert!((then - before[0] - B_1).abs() < 1e-9, "{then}");
    assert!(result.planned.get() > before[0] + 35.0);
    let words = |at: usize| review::output_words(site, &analyst, at);
    let (now, was) = (words(0), words(1));
    let moved = format!("{then:.1} W, {:.1} %, over", then / 120.0 * 100.0);
    let here = format!("; B-1 not counted: its cores are still on A1 out 2; once moved {moved}");
    assert!(now.ends_with(&here), "{now}");
    let gone =
        "; B-1 counted: its cores are still here, drawn on A1 out 1; once moved 0.0 W, 0.0 %";
    assert!(was.ends_with(gone), "{was}");
    // Scripts and the record read the same.
    let json =
        serde_json::to_value(linewright::report::Assessment::of(site, &analyst, None)).unwrap();
    let outputs = &json["outputs"];
    assert_eq!(outputs[0]["load_w"].as_f64(), Some(first));
    assert_eq!(outputs[0]["once_moved_w"].as_f64(), Some(then));
    assert_eq!(outputs[1]["load_w"].as_f64(), Some(second));
    assert_eq!(outputs[2]["once_moved_w"], serde_json::Value::Null);
    let lines = json["lines"].as_array().unwrap();
    let own = lines.iter().find(|it| it["line"] == "B-1").unwrap();
    assert_eq!(
        (&own["output"], &own["cores_on"]),
        (&"1".into(), &"A1 out 2".into())
    );
    // The amplifier's place: 36.4 W on out 2 of which nothing is drawn.
    desk.keys("ga");
    let row = rows(&desk).into_iter().find(|it| it.contains("A1 out 2"));
    assert!(
        row.as_ref().is_some_and(|it| it.contains("36.4")),
        "{row:?}"
    );
    // Ticked over, it is on out 1.
    desk.keys("gv");
    down_to(&mut desk, "B-1 cores not moved");
    desk.keys("\n ");
    let site = desk.session.site();
    let [first, second] = loads(site, &Analyst::new(site));
    assert!((first - then).abs() < 1e-9, "{first}");
    assert_eq!(second, 0.0);
    // And taken back it is where it was.
    desk.keys("u").rest().keys("ga");
    let row = rows(&desk).into_iter().find(|it| it.contains("A1 out 2"));
    assert!(
        row.as_ref().is_some_and(|it| it.contains("36.4")),
        "{row:?}"
    );
}

#[test]
fn a_line_that_is_off_counts_where_it_goes_back_on() {
    let mut pen = Pen::on(moved().session.site().clone());
    pen.tick(CORES_OFF, vec![line("B-1")]);
    let site = &pen.site;
    let analyst = Analyst::new(site);
    let [first, second] = loads(site, &analyst);
    assert!(first > 120.0, "{first}");
    assert_eq!(second, 0.0);
    let now = analyst.output(site, 0, None).now.load.unwrap().get();
    assert!((first - now - B_1).abs() < 1e-9, "{now}");
}

#[test]
fn the_move_taken_back_is_no_work_and_done_again_it_is() {
    let mut desk = moved();
    desk.keys("u").rest().keys("gv");
    assert!(!has(&desk, "cores not moved"), "{}", desk.screen());
    desk.keys("r").rest().keys("gv");
    assert!(has(&desk, "B-1 cores not moved"), "{}", desk.screen());
}

#[test]
fn a_drawing_put_right_by_hand_moves_no_cores() {
    let mut desk = Desk::at(hall());
    desk.keys("/b1\n275\n/b1\ne").press(Key::Clear);
    desk.keys("B-1 Balcony o:A1/1\n").rest().keys("gv");
    assert!(!has(&desk, "cores not moved"), "{}", desk.screen());
}

// ---- first power ----

#[test]
fn first_power_says_which_lines_and_outputs_are_not_as_they_should_be_and_what_to_do() {
    // H-2 is short and OFF, the joints of L-1 and L-2 are not ticked closed.
    let mut pen = Pen::on(hall());
    for label in ["H-1", "L-1", "L-2", "B-1"] {
        pen.read_as_drawn(label);
    }
    pen.read("H-2", "0.6");
    let closed = ["H-1", "H-2", "B-1"].map(line).to_vec();
    pen.tick("joints-closed", closed);
    pen.tick(CORES_OFF, vec![line("H-2")]);
    pen.tick("locks-off", vec![Ref::Amplifier("A1".into())]);
    let mut desk = Desk::at(pen.site);
    desk.keys("/h1\ngr");
    down_to(&mut desk, "first power at low level");
    for words in [
        "joints not ticked closed: L-1, L-2.",
        "OFF and flagged: H-2.",
    ] {
        let screen = rows(&desk).join(" ").replace(['\u{2502}', '!'], " ");
        let screen = screen.split_whitespace().collect::<Vec<_>>().join(" ");
        let all: Vec<&str> = words.split(' ').collect();
        assert!(
            all.iter().all(|word| screen.contains(word)),
            "{words}: {screen}"
        );
    }
    desk.keys(" ");
    assert!(
        desk.message()
            .ends_with("first power; meter, joints L-1 +1, flagged H-2 OFF: g v"),
        "{}",
        desk.message()
    );
    assert!(desk.message().chars().count() <= 78, "{}", desk.message());
}

#[test]
fn of_one_matter_alone_first_power_says_what_to_do_about_it() {
    // A third more than drawn on every line of A1 out 1: past the headroom.
    let mut pen = Pen::on(hall());
    for label in ["H-1", "H-2", "L-1", "L-2", "B-1"] {
        pen.read_as_drawn(label);
    }
    let all = ["H-1", "H-2", "L-1", "B-1"].map(line).to_vec();
    pen.tick("joints-closed", all);
    pen.tick("meter-off", vec![Ref::Visit(pen.site.visit())]);
    pen.tick("locks-off", vec![Ref::Amplifier("A1".into())]);
    let mut desk = Desk::at(pen.site);
    desk.keys("/h1\ngr");
    down_to(&mut desk, "first power at low level");
    desk.keys(" ");
    assert!(
        desk.message()
            .ends_with("A1: first power; joints L-2: close them, tick that"),
        "{}",
        desk.message()
    );
}

// ---- pages ----

#[test]
fn a_reading_is_typed_and_followed_on_the_first_page_and_dropped_gives_the_page_back() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n410\n/h1\n").rest().keys("\t");
    let page = desk.session.resume().page;
    assert!(page > 0);
    desk.keys("4");
    assert_eq!(desk.session.resume().page, 0);
    desk.keys("\x1b");
    assert_eq!(
        desk.session.resume().page,
        page,
        "what was looked at comes back"
    );
    // A correction is looked at there as well.
    desk.keys("x");
    assert_eq!(desk.session.resume().page, 0);
    desk.keys("\x1b\x1b4\x08\x08").keys("340\n");
    assert_eq!(
        desk.session.resume().page,
        0,
        "and the next line from its first"
    );
}

// ---- the whole building ----

#[test]
fn of_the_whole_building_what_must_not_be_connected_stands_on_top() {
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("H-1");
    pen.read("C-1", "0.5");
    let mut desk = Desk::at(pen.site);
    desk.resize(160, 48).rest().keys("gs");
    let rows = rows(&desk);
    let output = |label: &str| {
        let mut at = rows.iter();
        at.position(|row| row.rsplit('\u{2502}').next().unwrap().contains(label))
            .unwrap_or_else(|| panic!("{label}: {rows:#?}"))
    };
    let stop = rows
        .iter()
        .position(|row| row.ends_with("STOP") && row.matches('\u{2502}').count() == 2);
    assert_eq!(
        stop.unwrap(),
        output("outputs, load against rating") + 1,
        "{rows:#?}"
    );
}

#[test]
fn an_output_that_a_short_stops_stands_right_under_the_short_and_says_stop() {
    let mut desk = Desk::at(desk::demo());
    desk.rest().keys("gs");
    let rows = rows(&desk);
    let mut wanted = rows.iter().skip_while(|row| !row.contains("wants a look"));
    let mut next = || wanted.next().unwrap().clone();
    let (_, short, stop) = (next(), next(), next());
    assert!(
        short.contains("! PH-4") && short.ends_with("short"),
        "{short}"
    );
    assert!(
        stop.contains("! A1 out 1") && stop.ends_with("STOP"),
        "{stop}"
    );
}

#[test]
fn suspects_that_find_no_room_are_counted_where_the_list_ends() {
    let mut desk = Desk::at(desk::demo());
    desk.keys("/ch1\n").rest();
    let more = rows(&desk);
    let more = more.iter().find(|row| row.contains(" more, Tab")).cloned();
    let more = more.unwrap_or_else(|| panic!("{}", desk.screen()));
    let count: usize = more
        .split("and ")
        .nth(1)
        .and_then(|it| it.split(' ').next())
        .and_then(|it| it.parse().ok())
        .unwrap_or_else(|| panic!("{more}"));
    assert!(count > 0, "{more}");
}

// ---- typing a building in ----

const EMPTY_LINE: &str = "\
amplifier,output,rated_w,line_v,zone,line,loudspeaker,what,tap_w,taps_w,type,dc_block,control,device,from,run_m,cable
A1,1,120,100,Hall,H-1,LS-1,loudspeaker,6,12|6|3,ceiling,,,,rack,20,1.5 mm2
A1,1,120,100,Hall,H-2,LS-1,loudspeaker,6,12|6|3,ceiling,,,,rack,24,1.5 mm2
";

fn runs(site: &Site, label: &str) -> Vec<Option<f64>> {
    let plan = site.plan();
    let at = plan.line(&label.into()).unwrap();
    let nodes = plan.lines[at].nodes.iter();
    nodes.map(|node| node.run.map(|run| run.get())).collect()
}

#[test]
fn a_row_left_blank_repeats_the_one_before_with_its_cable_run() {
    let mut desk = Desk::at(site_of(EMPTY_LINE, "Small hall"));
    desk.keys("/h2\ngda3w 9m f:rack; ; ; 12m;;\n");
    let site = desk.session.site();
    assert_eq!(
        runs(site, "H-2"),
        [24.0, 9.0, 9.0, 9.0, 12.0, 12.0].map(Some),
        "{}",
        desk.screen()
    );
    // Without a row of its own the way from the rack is nobody else's, and said to be missing.
    let mut desk = Desk::at(site_of(EMPTY_LINE, "Small hall"));
    desk.keys("/h2\na\n");
    assert_eq!(runs(desk.session.site(), "H-2"), [Some(24.0), None]);
    assert!(
        desk.message().contains("run not known"),
        "{}",
        desk.message()
    );
}

#[test]
fn what_is_opened_to_be_changed_is_typed_on_without_a_blank() {
    let mut desk = Desk::at(hall());
    desk.keys("/l2\ne");
    assert_eq!(desk.typed().as_deref(), Some("L-2 Lobby o:A1/1 n:4 "));
    desk.keys("ins\n");
    let plan = desk.session.site().plan();
    let at = plan.line(&"L-2".into()).unwrap();
    assert!(plan.lines[at].insulation_asked, "{}", desk.message());
    // Opened and left it is no change, and nothing was lost.
    desk.keys("e\n");
    assert_eq!(desk.message(), "nothing was changed");
    desk.keys("e\x1b");
    assert!(!desk.message().contains("dropped"), "{}", desk.message());
}

// ---- the log ----

#[test]
fn the_log_says_of_what_was_done_again_that_it_was_done_again() {
    let mut desk = Desk::at(hall());
    desk.keys("336\nur");
    desk.keys("/h2\ne").press(Key::Clear);
    desk.keys("H-2 Hall o:A1/2\nur");
    let site = desk.session.site();
    let own = site.log().entries().iter();
    let told: Vec<String> = own.map(|entry| entry_words(site, entry)).collect();
    let told: Vec<&str> = told.iter().map(String::as_str).collect();
    assert_eq!(
        told,
        [
            "H-1 impedance reading 336",
            "struck: H-1 impedance reading 336",
            "done again: H-1 impedance reading 336",
            "H-2 design edited: output A1 out 1 -> A1 out 2",
            "H-2 design edited: taken back, output A1 out 2 -> A1 out 1",
            "H-2 design edited: done again, output A1 out 1 -> A1 out 2",
        ]
    );
}

// ---- names, at eighty columns ----

#[test]
fn the_building_keeps_its_name_when_it_is_signed_or_the_seal_is_broken() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.sign(Ref::Site);
    pen.read("H-1", "340");
    let mut desk = Desk::at(pen.site);
    for keys in ["gs", "gv", "gr"] {
        desk.keys(keys);
        let screen = desk.screen();
        let first = screen.lines().next().unwrap();
        assert!(first.starts_with(" Old seed"), "{keys}: {first}");
        assert!(
            first.contains("SEAL BROKEN") && first.ends_with("0 OFF"),
            "{keys}: {first}"
        );
    }
    desk.keys("gv").press(Key::Home);
    let own = rows(&desk)
        .into_iter()
        .find(|row| row.starts_with('>'))
        .unwrap();
    assert!(own.contains("2026-11-25 14:0"), "{own}");
}

// ---- the bag ----

#[test]
fn the_meter_whose_leads_are_zeroed_is_chosen_by_name_on_the_rack_list() {
    let mut desk = Desk::with(hall(), opening("deskdeskdeskdesk"), None);
    desk.keys("gia\"Meter two\" reads:impedance 3%\n");
    desk.keys("gr");
    down_to(&mut desk, "known resistor");
    desk.keys("t");
    assert!(desk.message().contains("read with"), "{}", desk.message());
    let named = desk.message().to_owned();
    let name = named.split("read with ").nth(1).unwrap();
    let name = name.split(" from here on").next().unwrap();
    desk.keys("398r400");
    assert!(
        has(&desk, &format!("known resistor, {name}>")),
        "{name}: {}",
        desk.screen()
    );
    desk.keys("\n");
    let log = desk.session.site().log();
    let last = log.entries().last().unwrap();
    let words = entry_words(desk.session.site(), last);
    assert!(words.ends_with(&format!("with {name}")), "{words}");
}

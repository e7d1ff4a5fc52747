//! A word on each thing that stands in the way: taken, refused, taken back, kept in its row.

use super::*;

/// What was decided in this sitting and counts.
fn decided(desk: &Desk) -> Vec<(Ref, Decision, String)> {
    let log = desk.session.site().log();
    let own = log
        .entries()
        .iter()
        .filter(|entry| entry.id.as_str().starts_with("deskdeskdeskdesk") && log.counts(&entry.id));
    own.filter_map(|entry| match &entry.what {
        Do::Decide(it) => Some((
            it.of.clone(),
            it.is.clone(),
            entry.why.clone().unwrap_or_default(),
        )),
        _ => None,
    })
    .collect()
}

#[test]
fn the_review_lists_what_stands_in_the_way_worst_first_and_a_word_each_opens_the_signature() {
    // Before: a short, a line a third over its load, one unread, one off the amplifier.
    let mut desk = reviewing();
    let list = rows(&desk);
    assert_eq!(
        list[0],
        "in the way of sign-off: 4, worst first; Enter here signs when 0 are"
    );
    // How often the load as drawn goes into a short is no figure.
    assert_eq!(list[1], ">! H-2 0.60 ohm short no word yet OFF");
    let out = list[2].strip_prefix("+ L-1 417 ohm +33.").unwrap();
    assert!(out.ends_with(" % out no word yet"), "{out}");
    assert_eq!(
        list[3..],
        [
            ". B-1 unread no word yet",
            ". H-2 OFF, not back on no word yet OFF",
        ]
    );
    let before = desk.log_len();

    // Keys: the signature is refused with the count, nothing is recorded.
    desk.press(Key::Home).press(Key::Enter);
    assert_eq!(
        desk.message(),
        "not signed: 4 stand in the way of sign-off, first H-2"
    );
    assert_eq!((desk.typed(), desk.log_len()), (None, before));

    // The short stays off and open, the load is wanted, the room was locked.
    desk.press(Key::Down)
        .keys("lshort near the rack, N. N., 2026-12-01\n");
    // The cursor goes on by itself.
    desk.keys(" 20 W wanted here\n");
    desk.keys("llocked room\n");

    // After: a word each, in the rows where they stood; one word settled both items of H-2.
    let snag = Decision::Snag {
        owner: "N. N.".to_owned(),
        due: Some(pen::day("2026-12-01")),
    };
    assert_eq!(
        decided(&desk),
        [
            (line("H-2"), snag, "short near the rack".to_owned()),
            (
                line("L-1"),
                Decision::Accepted,
                "20 W wanted here".to_owned()
            ),
            (line("B-1"), Decision::Skipped, "locked room".to_owned()),
        ]
    );
    let labels: Vec<String> = rows(&desk)[1..]
        .iter()
        .map(|row| {
            row.trim_start_matches('>')
                .split(' ')
                .nth(1)
                .unwrap()
                .to_owned()
        })
        .collect();
    assert_eq!(labels, ["H-2", "L-1", "B-1", "H-2"]);
    assert!(rows(&desk)[0].starts_with("> nothing stands in the way of sign-off"));

    // A name and a role, and it is sealed.
    desk.press(Key::Home).press(Key::Enter);
    desk.keys("N. Engineer, commissioning engineer\n");
    let sealed = seals(desk.session.site());
    assert_eq!(sealed.len(), 1);
    assert!(sealed[0].is_intact());
    assert_eq!(sealed[0].seal.name, "N. Engineer");
    assert_eq!(sealed[0].seal.role, "commissioning engineer");
    assert_eq!(sealed[0].seal.scope, Ref::Site);
    assert!(
        row(&desk).contains("by N. Engineer, commissioning engineer: nothing changed since"),
        "{}",
        row(&desk)
    );
}

#[test]
fn every_word_of_the_review_is_taken_back_to_the_same_bytes_and_said_again() {
    for act in [
        "lshort, N. N., 2026-12-01\n",
        "@ wanted so\n",
        "@lwanted so, N. N., 2026-12-01\n",
        "@@llocked room\n",
        "@@@ stays off\n",
    ] {
        let mut desk = reviewing();
        let (before, list) = (desk.json(), rows(&desk)[1..].to_vec());
        for key in act.chars() {
            match key {
                '@' => desk.press(Key::Down),
                key => desk.keys(&key.to_string()),
            };
        }
        let after = desk.json();
        assert!(after != before, "{act}");
        desk.keys("u");
        assert!(desk.json() == before, "{act}");
        let unmarked = |rows: &[String]| -> Vec<String> {
            rows.iter().map(|row| row.replace('>', "")).collect()
        };
        assert_eq!(unmarked(&rows(&desk)[1..]), unmarked(&list), "{act}");
        desk.keys("r");
        assert!(desk.json() == after, "{act}");
    }
}

#[test]
fn what_is_settled_keeps_its_row_until_the_review_is_asked_for_again() {
    let mut desk = reviewing();
    desk.press(Key::Down).keys(" wanted so\n");
    assert!(row(&desk).contains("B-1"), "{}", row(&desk));
    assert!(rows(&desk)[2].ends_with("accepted: wanted so"));
    desk.press(Key::Up);
    desk.keys("gv");
    // The same item under the cursor, now below what still stands in the way.
    assert!(row(&desk).contains("L-1"), "{}", row(&desk));
    let screen = desk.screen();
    let at = |words: &str| screen.lines().position(|row| row.contains(words)).unwrap();
    assert!(at("B-1") < at("settled: 2") && at("settled: 2") < at("accepted: wanted so"));
}

#[test]
fn a_snag_without_owner_and_date_is_refused_and_stays_typed() {
    let mut desk = reviewing();
    let before = desk.log_len();
    for (typed, wanted) in [
        ("", "say in a few words why"),
        ("short", "three parts are wanted"),
        (", soon", "three parts are wanted"),
        (", N. N., soon", "a date such as 2026-12-01 was wanted"),
    ] {
        desk.keys("\x1b")
            .keys("gv")
            .press(Key::Home)
            .press(Key::Down);
        desk.keys("l")
            .keys(if typed.is_empty() { "" } else { "short" });
        desk.keys(if typed == "short" { "" } else { typed })
            .keys("\n");
        assert!(
            desk.message().contains(wanted),
            "{typed}: {}",
            desk.message()
        );
        assert!(desk.typed().is_some(), "{typed}");
    }
    assert_eq!(desk.log_len(), before);
}

#[test]
fn no_word_settles_what_is_done_elsewhere_and_enter_goes_there() {
    let mut pen = Pen::on(hall());
    pen.read("L-1", "417");
    let mut desk = Desk::at(pen.site);
    desk.keys("gv");
    while !row(&desk).contains("not ticked: supervision") && !row(&desk).contains("faults") {
        let before = row(&desk);
        desk.press(Key::Down);
        assert_ne!(row(&desk), before, "{}", desk.screen());
    }
    let (len, wanted) = (desk.log_len(), row(&desk));
    desk.keys(" ");
    assert!(
        desk.message()
            .starts_with("no word settles this: tick it where it is done")
    );
    assert_eq!((desk.typed(), desk.log_len()), (None, len));
    desk.press(Key::Enter);
    let screen = desk.screen();
    assert!(screen.starts_with(" Old seed hall   rack list"), "{screen}");
    let own = screen.lines().find(|row| row.starts_with('>')).unwrap();
    let own = own.split('\u{2502}').next().unwrap().trim_end();
    let words = own.rsplit("  ").next().unwrap().trim();
    assert!(wanted.contains(words), "{wanted}: {words}");
}

#[test]
fn enter_goes_to_the_line_where_it_is_settled() {
    let mut desk = reviewing();
    desk.press(Key::Down).press(Key::Enter);
    assert!(desk.screen().starts_with(" Old seed hall   survey"));
    assert_eq!(desk.on(), "L-1");
    // Repaired and read again it stands in nobody's way.
    // It is back on, so a reading of it is asked about once.
    desk.keys("jtap reset\n").keys("556\n\n").keys("gv");
    let screen = desk.screen();
    assert!(screen.contains("in the way of sign-off: 4"), "{screen}");
    assert!(screen.contains("repaired: tap reset"), "{screen}");
    assert!(screen.contains("review, 4 in the way"), "{screen}");
}

#[test]
fn a_short_counts_as_settled_only_while_it_is_off() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.read("H-2", "0.6");
    let mut desk = Desk::at(pen.site);
    desk.keys("gv").keys(" left so\n");
    assert!(row(&desk).contains("not enough"), "{}", row(&desk));
    assert!(rows(&desk)[0].starts_with("in the way of sign-off: 1"));
}

#[test]
fn what_is_not_on_the_disk_is_marked_and_nothing_is_signed_over_it() {
    let mut pen = Pen::on(hall());
    pen.finish();
    pen.read("L-1", "417");
    let mut desk = Desk::at(pen.site);
    desk.keys("gv");
    desk.disk = DiskIs::Slow;
    desk.keys(" wanted so\n").press(Key::Down);
    assert!(row(&desk).starts_with(">^ L-1"), "{}", row(&desk));
    assert!(row(&desk).ends_with("sent"), "{}", row(&desk));
    assert!(rows(&desk)[0].starts_with("in the way of sign-off: 1"));
    desk.disk = DiskIs::Fast;
    desk.answer();
    assert!(
        row(&desk).ends_with("accepted: wanted so"),
        "{}",
        row(&desk)
    );
    desk.disk = DiskIs::Full;
    desk.keys("l too, N. N., 2026-12-01\n").press(Key::Down);
    assert!(row(&desk).ends_with("FAILED"), "{}", row(&desk));
    desk.press(Key::Home).press(Key::Enter);
    desk.disk = DiskIs::Fast;
    assert_eq!(seals(desk.session.site()).len(), 0);
}

#[test]
fn who_only_reads_looks_and_says_nothing() {
    let mut reads = opening("deskdeskdeskdesk");
    reads.access = Access::ReadsOnly("engineer B has it open".to_owned());
    let mut desk = Desk::with(evening(), reads, None);
    desk.keys("gv");
    assert!(row(&desk).contains("H-2"));
    for key in [" ", "l"] {
        desk.keys(key);
        assert!(desk.message().starts_with("not recorded, read only"));
        assert_eq!(desk.typed(), None);
    }
    desk.press(Key::Home).press(Key::Enter);
    assert!(desk.message().starts_with("not recorded, read only"));
}

#[test]
fn an_output_over_its_rating_takes_a_word_under_its_whole_name() {
    let mut desk = Desk::at(demo());
    desk.keys("gv").press(Key::Down);
    assert!(row(&desk).starts_with(">+ A2 out 1"), "{}", row(&desk));
    desk.keys(" wanted so\n");
    assert_eq!(
        desk.message(),
        "recorded 14:07  A2 out 1  accepted: wanted so"
    );
    desk.press(Key::Up);
    assert!(
        row(&desk).ends_with("accepted: wanted so"),
        "{}",
        row(&desk)
    );
}

#[test]
fn whoever_left_in_the_review_stands_there_again() {
    let mut desk = reviewing();
    desk.keys("q");
    let resume = Resume::from_text(desk.remembered.as_deref().unwrap()).unwrap();
    let again = Desk::with(
        desk.session.site().clone(),
        opening("otherotherotheroo"),
        Some(resume),
    );
    assert!(again.screen().starts_with(" Old seed hall   review, "));
    assert!(row(&again).contains("H-2"), "{}", row(&again));
}

#[test]
fn thirty_unread_lines_cost_three_keys_each_and_the_cursor_goes_on_by_itself() {
    let mut desk = Desk::at(hall());
    desk.keys("gv");
    let open = |desk: &Desk| {
        let rows = rows(desk);
        rows.iter()
            .filter(|row| row.contains("no word yet"))
            .count()
    };
    while !row(&desk).contains("unread") {
        desk.press(Key::Down);
    }
    // An unread line is left for later; accepted it is not.
    let footer = desk.screen().lines().last().unwrap().to_owned();
    assert!(
        footer.contains("l later") && !footer.contains("Space"),
        "{footer}"
    );
    desk.keys(" ");
    assert_eq!(desk.typed(), None);
    let first = row(&desk);
    desk.keys("llocked room\n");
    assert_ne!(row(&desk), first);
    let before = (open(&desk), row(&desk));
    desk.keys("l");
    let footer = desk.screen().lines().last().unwrap().to_owned();
    assert!(footer.contains("Tab last reason"), "{footer}");
    desk.keys("\t\n");
    assert_ne!(row(&desk), before.1);
    let words = decided(&desk);
    assert_eq!(words.len(), 2);
    assert!(words.iter().all(|(_, _, why)| why == "locked room"));
    // A tick takes no word at all: the footer offers none.
    while !row(&desk).contains("tick") {
        let was = row(&desk);
        desk.press(Key::Down);
        if row(&desk) == was {
            return;
        }
    }
    let footer = desk.screen().lines().last().unwrap().to_owned();
    assert!(
        !footer.contains("l later") && !footer.contains("Space"),
        "{footer}"
    );
}

#[test]
fn what_was_ticked_before_a_reading_is_told_alike_on_the_rack_list_in_the_review_and_in_its_text() {
    let mut pen = Pen::on(hall());
    pen.finish();
    let items = |site: &linewright::site::Site| {
        let analyst = linewright::analysis::Analyst::new(site);
        linewright::review::review(site, &analyst, &linewright::site::Ref::Site)
    };
    assert!(!format!("{:?}", items(&pen.site)).contains("Again("));
    // L-1 is read again after it was put back on: was it put back once more?
    pen.read("L-1", "560");
    let review = items(&pen.site);
    let again: Vec<_> = review
        .items
        .iter()
        .filter(|item| format!("{:?}", item.matter).starts_with("Again("))
        .collect();
    assert_eq!(again.len(), 1, "{again:?}");
    assert_eq!(again[0].label, "A1");
    assert!(
        !again[0].open,
        "the figure may have come late: in nobody's way"
    );
    assert!(
        again[0]
            .words
            .contains("cores back on, polarity kept (L-1)"),
        "{}",
        again[0].words
    );
    let of = linewright::site::Ref::Site;
    let text = linewright::report::review_text(
        &pen.site,
        &linewright::analysis::Analyst::new(&pen.site),
        &review,
        &of,
    );
    assert!(text.contains("read since it was ticked, again?"), "{text}");
    // On the screen: Enter leads from there to the row that says so, and Space is the answer.
    let mut desk = Desk::at(pen.site);
    desk.resize(160, 48).keys("gv").press(Key::Home);
    let row = |desk: &Desk| {
        let rows = desk.session.view().tree.into_iter();
        rows.filter(|row| row.cursor)
            .map(|row| row.line.text())
            .collect::<String>()
    };
    for _ in 0..60 {
        if row(&desk).contains("again?") {
            break;
        }
        desk.press(Key::Down);
    }
    assert!(row(&desk).contains("again?"), "{}", desk.screen());
    desk.press(Key::Enter);
    assert!(
        row(&desk).contains("again") && row(&desk).starts_with(">~"),
        "{}",
        row(&desk)
    );
    desk.keys(" ");
    assert!(!row(&desk).starts_with(">~"), "{}", row(&desk));
}

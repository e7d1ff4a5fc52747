//! The whole building, and one amplifier, told at the keyboard: what is wrong on all lines, what an
//! output carries, what would come of a change before it is made.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

#[path = "common/desk.rs"]
mod desk;
#[path = "common/screen.rs"]
mod screen;

use desk::{Desk, demo, hall, json_of, site_of};
use linewright::analysis::{Analyst, Trial};
use linewright::quantity::Watt;
use linewright::session::Key;
use linewright::site::{Design, Ref};
use linewright::tui::Theme;
use ratatui::style::{Color, Modifier};
use screen::panel;

fn output_row(screen: &str, title: &str) -> String {
    let row = screen
        .lines()
        .find(|row| row.chars().skip(3).collect::<String>().starts_with(title));
    row.unwrap_or_else(|| panic!("{title} in {screen}"))
        .to_owned()
}

#[test]
fn every_line_stands_in_the_band_of_its_deviation_with_its_own_sign() {
    let mut desk = Desk::at(demo());
    desk.rest();
    desk.keys("gb").resize(160, 48);
    let screen = desk.screen();
    let json: serde_json::Value = serde_json::from_str(&desk.json()).unwrap();
    // Signs of the picture, row by row, against the verdicts of the assessment.
    let bands = [
        ("over +25", 0.25, f64::INFINITY),
        ("+15 to +25", 0.15, 0.25),
        ("+10 to +15", 0.10, 0.15),
        ("+3 to +10", 0.03, 0.10),
        ("within 3", -0.03, 0.03),
        ("-3 to -10", -0.10, -0.03),
        ("-10 to -15", -0.15, -0.10),
        ("-15 to -25", -0.25, -0.15),
        ("under -25", f64::NEG_INFINITY, -0.25),
    ];
    let count = |row: &str| {
        let cells: String = row.chars().skip(11).take(160 - 11 - 20).collect();
        cells.chars().filter(|c| "=~+-/!?.".contains(*c)).count()
    };
    let lines = json["lines"].as_array().unwrap();
    let mut seen = 0;
    for (name, from, to) in bands {
        let row = screen
            .lines()
            .find(|row| row.trim_start().starts_with(name))
            .unwrap();
        let wanted = lines
            .iter()
            .filter_map(|line| line["measured"]["deviation"].as_f64())
            .filter(|it| (from..to).contains(it))
            .count();
        assert_eq!(count(row), wanted, "{name}: {row}");
        seen += wanted;
    }
    let row = screen
        .lines()
        .find(|row| row.starts_with(" no figure"))
        .unwrap();
    assert_eq!(count(row), lines.len() - seen, "{row}");
}

#[test]
fn load_against_rating_of_every_output_stands_with_word_and_count() {
    let mut desk = Desk::at(demo());
    desk.rest();
    desk.keys("gb").resize(160, 48);
    let screen = desk.screen();
    let json: serde_json::Value = serde_json::from_str(&desk.json()).unwrap();
    for output in json["outputs"].as_array().unwrap() {
        let (amplifier, label) = (
            output["amplifier"].as_str().unwrap(),
            output["output"].as_str().unwrap(),
        );
        let title = match amplifier {
            alone @ ("A3" | "A5") => alone.to_owned(),
            amplifier => format!("{amplifier} out {label}"),
        };
        let row = output_row(&screen, &title);
        let word = match output["verdict"].as_str().unwrap() {
            _ if !output["stop"].as_array().unwrap().is_empty() => "STOP",
            "ok" => "ok",
            "short-of-headroom" => "tight",
            "overloaded" => "over",
            other => panic!("{other}"),
        };
        assert!(row.contains(&format!(" {word} ")), "{row}");
        if let Some(load) = output["load_w"].as_f64() {
            assert!(row.contains(&format!(" {load:.1} ")), "{row}");
            let used = load / output["rated_w"].as_f64().unwrap() * 100.0;
            assert!(row.contains(&format!("{used:.1} %")), "{row}");
        }
    }
    // What only the whole building shows, each with what confirms or clears it.
    let words: String = screen.split_whitespace().collect::<Vec<_>>().join(" ");
    for hint in json["site_hints"].as_array().unwrap() {
        let text = hint["text"].as_str().unwrap();
        assert!(words.contains(text), "{text}: {screen}");
    }
}

#[test]
fn the_cursor_goes_over_outputs_and_by_line_and_enter_goes_there() {
    let mut desk = Desk::at(hall());
    desk.keys("336\n410\n").keys("/h1\n").keys("gb");
    let cursor = |desk: &Desk| {
        let screen = desk.screen();
        let row = screen
            .lines()
            .find(|row| row.starts_with('>'))
            .unwrap_or("")
            .to_owned();
        row.chars().skip(3).take(8).collect::<String>()
    };
    assert_eq!(cursor(&desk), "A1 out 1");
    assert!(
        desk.screen().contains("H-1 reads 336 ohm"),
        "{}",
        desk.screen()
    );
    desk.press(Key::Right);
    assert_eq!(desk.on(), "H-2");
    desk.press(Key::Down);
    assert_eq!(cursor(&desk), "A1 out 2");
    assert!(
        desk.screen().contains("A1 out 2: needs"),
        "{}",
        desk.screen()
    );
    desk.press(Key::Right);
    assert_eq!(desk.on(), "B-1");
    desk.press(Key::Left);
    assert_eq!(desk.on(), "L-2");
    desk.press(Key::Enter);
    assert!(
        desk.screen().contains("Old seed hall   survey"),
        "{}",
        desk.screen()
    );
    assert_eq!(desk.on(), "L-2");
    desk.keys("548\n");
    assert_eq!(desk.readings().len(), 3);
    desk.keys("gb\x1b");
    assert!(desk.screen().contains("survey"), "Esc leads back");
}

/// Twelve amplifiers with four outputs of five lines each: 240 lines.
fn large() -> String {
    let mut out = String::from("amplifier,output,rated_w,zone,line,loudspeaker,tap_w,run_m\n");
    for amplifier in 1..=12 {
        for output in 1..=4 {
            for line in 1..=5 {
                out.push_str(&format!(
                    "A{amplifier},{output},120,Floor {amplifier},N{amplifier}-{output}{line},LS-1,20,30\n"
                ));
            }
        }
    }
    out
}

#[test]
fn a_large_building_is_shown_in_parts_and_no_figure_is_cut() {
    for (columns, rows) in [(60, 20), (80, 24), (160, 48)] {
        let mut desk = Desk::at(site_of(&large(), "Tower"));
        desk.keys("gb").resize(columns, rows);
        for at in 1..=48 {
            let screen = desk.screen();
            let title = format!("A{} out {}", usize::div_ceil(at, 4), (at + 3) % 4 + 1);
            let row = screen
                .lines()
                .find(|row| row.starts_with('>'))
                .unwrap()
                .to_owned();
            assert!(row.contains(&title), "{at}: {row}");
            // 20 W a line less what the cable takes: 99.9 W of 120 W to one decimal, whole.
            let result = desk
                .session
                .analyst()
                .output(desk.session.site(), at - 1, None);
            let load = result.carries.load.unwrap().get();
            let used = load / 1.2;
            assert!(
                row.contains(&format!("{load:.1}")) && row.contains(&format!("{used:.1} %")),
                "{row}"
            );
            assert!(row.trim_end().ends_with("0/5"), "{row}");
            assert!(screen.lines().all(|row| row.chars().count() <= columns));
            desk.press(Key::Down);
        }
    }
}

#[test]
fn when_the_whole_building_looks_wrong_each_suspicion_says_what_clears_it_and_goes_when_it_is() {
    // H-1 and H-2 read what the other should (417 and 333 ohm as drawn); L-2 was read with the
    // multiplier lost (55.6 for 556).
    let mut desk = Desk::at(hall());
    desk.keys("417\n333\n556\n55.6\n278\n500\n");
    desk.rest();
    desk.keys("gb").resize(160, 48);
    let screen = desk.screen();
    assert!(screen.contains("labels of H-1 and H-2 swapped"), "{screen}");
    assert!(
        screen.contains("put the tone on H-1, listen at H-2"),
        "{screen}"
    );
    assert!(
        screen.contains("range multiplier x10 left out on L-2"),
        "{screen}"
    );
    // There by line, Enter, read again with its range: that suspicion is gone.
    desk.keys("/h1\n").keys("gb");
    for _ in 0..3 {
        desk.press(Key::Right);
    }
    desk.press(Key::Enter);
    assert_eq!(desk.on(), "L-2");
    desk.keys("55.6x10\n").rest();
    desk.keys("gb");
    assert!(
        !desk.screen().contains("left out on L-2"),
        "{}",
        desk.screen()
    );
    // The labels put right at the rack, and read as left.
    for (line, reads) in [("h1", "333"), ("h2", "417")] {
        desk.keys(&format!("/{line}\n"))
            .keys("jlabels put right\n")
            .keys(reads)
            .keys("\n");
    }
    desk.rest();
    desk.keys("gb");
    assert!(!desk.screen().contains("swapped"), "{}", desk.screen());
}

// ---- an overloaded amplifier ----

/// The hall with A1 out 2 overloaded: six loudspeakers left on 12 W instead of 6 W read 139 ohm
/// (100 V squared over 72 W) on an output of 60 W.
fn overloaded() -> Desk {
    let mut desk = Desk::at(hall());
    desk.keys("336\n410\n561\n548\n139\n498\n");
    desk.rest();
    desk.keys("/b1\n");
    desk
}

#[test]
fn an_overloaded_amplifier_says_what_it_carries_what_grew_and_what_it_needs() {
    let mut desk = overloaded();
    desk.keys("ga");
    let screen = desk.screen();
    assert!(screen.contains("amplifier, as found"), "{screen}");
    let words = panel(&desk);
    // 100^2 / 139 = 71.9 W of 60 W; 71.9 / 0.8 = 89.9 W leaves 20 %.
    assert!(words.contains("carries 71.9 W 119.9 %"), "{words}");
    assert!(words.contains("a rating of 89.9 W leaves 20 %"), "{words}");
    let at = desk.session.site().plan().line_labelled("B-1").unwrap();
    let drawn = desk.session.analyst().line(at).design.load.unwrap().get();
    let grew = 1e4 / 139.0 - drawn;
    assert!(words.contains(&format!("B-1 +{grew:.1} W")), "{words}");
    let row = screen.lines().find(|row| row.starts_with('>')).unwrap();
    assert!(
        row.contains("B-1") && row.contains("71.9") && row.contains(&format!("+{grew:.1}")),
        "{row}"
    );
}

#[test]
fn a_line_is_tried_on_another_output_and_nothing_changes_before_enter() {
    let mut desk = overloaded();
    let before = desk.json();
    desk.keys("ga").keys("h");
    // B-1 reads 139 ohm, 71.9 W: A1 out 1 has 30 W left of 120, A2 is rated 60 W. None has room for it,
    // and none that would be over its rating with it is proposed.
    for _ in 0..4 {
        assert_eq!(desk.typed().as_deref(), Some("down"));
        desk.keys("\t");
    }
    desk.keys("to A1/1");
    let words = panel(&desk);
    assert!(words.contains("nothing changed yet"), "{words}");
    // 71.9 W go; then the output it leaves carries nothing.
    assert!(
        words.contains("A1 out 2 now 71.9 W, 119.9 %, over"),
        "{words}"
    );
    assert!(words.contains("* then 0.0 W, 0.0 %, ok"), "{words}");
    let first = desk
        .session
        .analyst()
        .output(desk.session.site(), 0, None)
        .carries
        .load
        .unwrap();
    let then = first.get() + 1e4 / 139.0;
    assert!(
        words.contains(&format!("* then {then:.1} W")),
        "{then} {words}"
    );
    // Everything tried stands on the ground of what is typed.
    let buffer = desk.buffer(Theme::Colour);
    let cyan = buffer
        .content
        .iter()
        .filter(|cell| cell.bg == Color::Cyan)
        .count();
    assert!(cyan > 20);
    let plain = desk.buffer(Theme::Plain);
    assert!(
        plain
            .content
            .iter()
            .any(|cell| cell.modifier.contains(Modifier::UNDERLINED))
    );
    assert_eq!(desk.json(), before);
    assert!(
        desk.sent
            .last()
            .unwrap()
            .iter()
            .all(|entry| !matches!(entry.what, linewright::site::Do::Edit(_)))
    );
    desk.keys("\x1b");
    assert_eq!(
        desk.message(),
        "dropped what was tried out: nothing was changed"
    );
    assert_eq!(desk.json(), before);
    // Applied: the figures are those that were shown, and one key takes it back.
    desk.keys("hto A1/1");
    // What the drawing is found to lack is told before Enter as after: 126 W of 6 W loudspeakers.
    let told = panel(&desk);
    assert!(
        told.contains("as drawn 125.") && told.contains("W, past its rating"),
        "{told}"
    );
    desk.keys("\n");
    // A drawing moves no cores.
    let said = "to A1/1 applied to line B-1. Still to be done there: both amplifiers isolated, its cores to \
                A1 out 1";
    assert!(desk.message().contains(said), "{}", desk.message());
    let told = panel(&desk);
    assert!(
        told.contains("planned A1 out 1 past its rating: 125."),
        "{told}"
    );
    let plan = desk.session.site().plan();
    assert_eq!(plan.lines[plan.line_labelled("B-1").unwrap()].output, 0);
    let result = desk.session.analyst().output(desk.session.site(), 0, None);
    let (now, moved) = (
        result.carries.load.unwrap(),
        result.as_drawn().load.unwrap(),
    );
    assert!((moved.get() - then).abs() < 1e-9);
    // Until it is ticked that its cores went over, it carries what it did.
    assert_eq!(now, first);
    // One that is over its rating is offered to no other line.
    let mut other = Desk::at(desk.session.site().clone());
    other.keys("/c1\n").keys("h");
    let first = other.typed();
    loop {
        assert_ne!(other.typed().as_deref(), Some("to A1/1"));
        other.keys("\t");
        if other.typed() == first {
            break;
        }
    }
    desk.keys("u");
    assert_eq!(desk.json(), before);
}

#[test]
fn an_output_past_its_headroom_names_the_flagged_line_and_one_stopped_what_is_on_it_now() {
    let mut desk = Desk::at(demo());
    desk.resize(160, 48);
    desk.rest();
    // A2 out 1 carries 122.0 W of 120 W; CH-1 takes 73.5 W and is drawn with 39.7 W.
    desk.keys("/ch-1\nga");
    let words = panel(&desk);
    let load = |desk: &Desk, label: [&str; 2]| {
        let data = desk.json();
        let data: serde_json::Value = serde_json::from_str(&data).unwrap();
        let rows = data["outputs"].as_array().unwrap().clone();
        let own = rows
            .into_iter()
            .find(|it| [&it["amplifier"], &it["output"]] == label)
            .unwrap();
        (own["load_w"].as_f64(), own["on_now_w"].as_f64())
    };
    let at = desk.session.site().plan().line_labelled("CH-1").unwrap();
    let grown = desk.session.analyst().grown(at).unwrap().get();
    let then = load(&desk, ["A2", "1"]).0.unwrap() - grown;
    let said = format!("CH-1 is flagged: mended, and as drawn, {then:.1} W");
    assert!(words.contains(&said), "{said}\n{words}");
    // PH-4 reads short and is OFF: the others are on.
    desk.keys("\x1b/ph-4\nga");
    let words = panel(&desk);
    let now = load(&desk, ["A1", "1"]).1.unwrap();
    let said = format!("on it now, by the ticks: {now:.1} W, past its headroom");
    assert!(words.contains(&said), "{said}\n{words}");
}

#[test]
fn tapping_down_counts_as_drawn_until_it_is_read_again() {
    let mut desk = overloaded();
    let before = desk.json();
    desk.keys("ga").keys("hdown");
    let words = panel(&desk);
    assert_eq!(
        desk.typed().as_deref(),
        Some("down"),
        "what is typed takes the proposal's place"
    );
    // Six of 3 W and a little cable: 18 W less than half a per cent.
    let site = desk.session.site();
    let mut changes = Vec::new();
    for (of, design) in site.elements().items() {
        if let Design::Loudspeaker(it) = design
            && it.line.as_str() == "B-1"
        {
            let mut it = it.clone();
            it.tap_w = Watt(3.0);
            changes.push((of.clone(), Design::Loudspeaker(it)));
        }
    }
    let trial = Trial::of(site, &changes, &["B-1".into()]);
    let load = trial
        .output(&"A1/2".into())
        .unwrap()
        .carries
        .load
        .unwrap()
        .get();
    assert!((load - 18.0).abs() < 0.1, "{load}");
    assert!(words.contains(&format!("* then {load:.1} W")), "{words}");
    assert!(words.contains("1 as drawn"), "{words}");
    assert_eq!(desk.json(), before);
    desk.keys("\n");
    let entries = desk.sent.last().unwrap();
    assert_eq!(entries.len(), 6);
    assert!(entries.iter().all(
        |entry| entry.act == entries[0].act && entry.why.as_deref() == Some("tried out: down")
    ));
    // As long as nobody tapped them the old reading counts, as the screen said.
    let json: serde_json::Value = serde_json::from_str(&desk.json()).unwrap();
    assert_eq!(json["outputs"][1]["load_w"].as_f64().unwrap().round(), 72.0);
    desk.keys("jtaps set to 3 W\n");
    let json: serde_json::Value = serde_json::from_str(&desk.json()).unwrap();
    assert!((json["outputs"][1]["load_w"].as_f64().unwrap() - load).abs() < 1e-9);
    desk.keys("uu");
    assert_eq!(desk.json(), before);
}

#[test]
fn what_cannot_be_tried_says_why_and_stays() {
    let mut desk = overloaded();
    let before = desk.json();
    for (keys, reason) in [
        ("7w\n", "7 W is none of its taps: "),
        ("to A9\n", "a9 is not there"),
        ("to A1/2\n", "nothing is changed"),
        ("sideways\n", "sideways cannot be read"),
    ] {
        desk.keys("ga").keys("h").keys(keys);
        assert!(
            desk.message().contains(reason),
            "{keys}: {}",
            desk.message()
        );
        assert!(desk.typed().is_some());
        desk.keys("\x1b");
    }
    assert_eq!(desk.json(), before);
}

#[test]
fn a_trial_is_reckoned_by_the_same_road_as_the_site() {
    // Trying nothing gives the figures of the site itself, bit for bit.
    let site = demo();
    let trial = Trial::of(&site, &[], &[]);
    let analyst = Analyst::new(&site);
    for (at, output) in site.plan().outputs.iter().enumerate() {
        assert_eq!(
            trial.output(&output.id),
            Some(analyst.output(&site, at, None))
        );
    }
    assert_eq!(json_of(trial.site()), json_of(&site));
    let of = Ref::Line(site.plan().lines[0].id.clone());
    assert!(trial.line(&site.plan().lines[0].id).is_some(), "{of:?}");
}

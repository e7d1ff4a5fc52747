//! Loads of outputs against rating and headroom.

use crate::desk::{assessed, hall};
use crate::paper::{glasshouse, pictures, table};
use crate::pen::Pen;
use linewright::report::picture::Primitive;
use linewright::report::{LineRow, markdown, record};
#[test]
fn outputs_past_their_rating_or_headroom_are_named_in_the_summary() {
    let data = glasshouse();
    let told = markdown(&record(data));
    for (past, words) in [
        (1.0, "Past the rating with every line on"),
        (0.8, "Past the headroom with every line on"),
    ] {
        // The load is over that share of the rating, and not over the next; a fifth is kept free.
        let outputs = data.outputs.iter().filter(|row| row.stop.is_empty());
        let names: Vec<String> = outputs
            .filter(|row| {
                let share = row.load_w.unwrap() / row.rated_w.unwrap();
                share > past && (past == 1.0 || share <= 1.0)
            })
            .map(|row| format!("{} out {}", row.amplifier, row.output))
            .collect();
        assert!(!names.is_empty());
        let wanted = format!("{words}: {}.", names.join(", "));
        assert!(told.contains(&wanted), "{wanted}");
    }
}

#[test]
fn the_load_of_a_short_is_not_known_and_too_noisy_to_tell_is_no_answer() {
    use linewright::site::Heard;
    let data = glasshouse();
    let told = markdown(&record(data));
    let short = told
        .lines()
        .find(|row| row.starts_with("| PH-4 ") && row.contains("| OUT "));
    let short = short.unwrap();
    assert!(
        short.contains("not known") && !short.contains("kW"),
        "{short}"
    );
    assert!(!told.contains("PH-4 takes"));
    let mut pen = Pen::on(hall());
    pen.read_as_drawn("L-1");
    pen.hear("L-1/LS-1", Heard::Noisy);
    let document = record(&assessed(&pen.site));
    let rows = &table(&document, "tone from").rows;
    assert_eq!(rows[0].cells[..3], ["L-1", "too noisy to tell", "LS-1"]);
    assert!(!rows[0].strong);
    assert!(markdown(&document).contains("Listened to 0 of"));
}

#[test]
fn an_output_that_is_past_its_limit_beside_a_short_that_is_off_says_so_on_every_list() {
    let data = glasshouse();
    let row = &data.outputs[0];
    // Of A1 out 1, 240 W with a fifth kept free, PH-4 is short and OFF.
    assert_eq!(row.stop, ["PH-4"]);
    assert!((row.limit_w.unwrap() - 0.8 * 240.0).abs() < 1e-9);
    assert!(row.on_now_w.unwrap() > row.limit_w.unwrap());
    let document = record(data);
    let told = markdown(&document);
    // 100^2 V2 over 126, 251, 350 and 135 ohm; PH-5 as drawn takes 7.5 W.
    let now: f64 = [126.0, 251.0, 350.0, 135.0]
        .map(|ohm| 1e4 / ohm)
        .iter()
        .sum();
    let wanted =
        format!("NOW past the headroom: A1 out 1, {now:.1} W of at most 192.0 W; PH-5 reads");
    assert!(told.contains(&wanted), "{wanted}");
    assert!(told.contains("reads as good as short: PH-4 to A1 out 1."));
    for column in ["likeliest why", "by when"] {
        let table = table(&document, column);
        let row = table.rows.iter().find(|it| it.cells[0] == "A1 out 1");
        let row = row.unwrap_or_else(|| panic!("{column}"));
        let cells = row.cells.join(" ");
        assert!(
            cells.contains(&format!("{now:.1} W")) && cells.contains("without PH-4"),
            "{cells}"
        );
    }
    assert!(data.review.iter().any(|it| it.of == "A1 out 1" && it.open));
    // PH-5 read 135 ohm for 1350 ohm, as suspected: the same sum with that, in the same words on all lists.
    let meant = now - 1e4 / 135.0 + 1e4 / 1350.0;
    let if_slip = format!("if PH-5 is 1350 ohm as suspected (98 %): {meant:.1} W");
    assert!(
        told.lines()
            .any(|it| it.starts_with("- NOW ") && it.contains(&if_slip))
    );
    for column in ["likeliest why", "by when", "all as drawn"] {
        let table = table(&document, column);
        let row = table.rows.iter().find(|it| it.cells[0] == "A1 out 1");
        let cells = row.unwrap().cells.join(" ");
        assert!(cells.contains(&if_slip), "{column}: {cells}");
    }
    // No other output rests on such a reading.
    assert!(data.outputs[1..].iter().all(|it| it.if_slips.is_none()));
    // The chart has a bar for what is on it.
    let chart = pictures(&document)
        .find(|it| it.title.starts_with("Load "))
        .unwrap();
    let bar = |it: &Primitive| matches!(it, Primitive::Box { y, w, .. } if *y == 1.0 && *w > 0.0);
    assert!(chart.primitives.iter().any(bar));
}

#[test]
fn what_is_so_now_stands_before_what_would_be_so_with_every_line_on_and_mended_lines_last() {
    let document = record(glasshouse());
    let why = table(&document, "likeliest why");
    let place = |what: &str| why.rows.iter().position(|it| it.cells[0] == what).unwrap();
    // A1 out 1 is past the headroom now; A2 out 1 carries 36.1 W of 96.0 W now, A4 out 1 is as drawn.
    assert!(place("PH-4") < place("A1 out 1"));
    assert!(place("LH-1") < place("A2 out 1"));
    assert!(place("A1 out 1") < place("A2 out 1"));
    assert!(place("A2 out 1") < place("A4 out 1"));
    assert!(place("A4 out 1") < place("PH-1"));
}

#[test]
fn an_excess_has_one_word_for_the_headroom_and_one_for_the_rating() {
    let told = markdown(&record(glasshouse()));
    for gone in [
        "may carry",
        "hort of headroom",
        "ver its rating",
        "past at most",
        "should carry",
    ] {
        assert!(!told.contains(gone), "{gone}");
    }
    assert!(told.contains("past the headroom") && told.contains("past the rating"));
}

#[test]
fn an_output_of_which_not_all_was_read_says_how_much_was_and_what_it_is_once_mended() {
    let data = glasshouse();
    let document = record(data);
    let outputs = table(&document, "all as drawn");
    for row in &data.outputs {
        let name = format!("{} out {}", row.amplifier, row.output);
        let told = outputs.rows.iter().find(|it| it.cells[0] == name).unwrap();
        let at = outputs
            .columns
            .iter()
            .position(|it| it.title == "verdict")
            .unwrap();
        let told = &told.cells[at];
        let own = || {
            let lines = data.lines.iter();
            lines.filter(|it| it.amplifier == row.amplifier && it.output == row.output)
        };
        let (read, all) = (
            own().filter(|it| it.measured.is_some()).count(),
            own().count(),
        );
        match read {
            0 => assert!(told.contains(" as drawn, nothing read"), "{name}: {told}"),
            _ if read == all => assert!(!told.contains("as drawn, "), "{name}: {told}"),
            _ => assert!(
                told.contains(&format!(", {read} of {all} read")),
                "{name}: {told}"
            ),
        }
        // Without phases loads add as watts: what is out of tolerance as drawn, the rest as it stands.
        let is_out = |it: &LineRow| it.verdict == Some("out-of-tolerance");
        let sum: f64 = own()
            .map(|it| match (is_out(it), &it.measured) {
                (false, Some(read)) => read.watts.unwrap(),
                _ => it.expected.watts.unwrap(),
            })
            .sum();
        if own().any(is_out) && row.stop.is_empty() {
            assert!(
                told.contains(&format!("; once mended {sum:.1} W")),
                "{name}: {told}"
            );
        }
    }
}

#[test]
fn a_line_is_named_for_an_output_past_its_headroom_only_where_mending_it_is_the_way_out() {
    // Of four lines of 90 W together L-1 takes 30 W instead of 18 W: 102 W. A rating of 120 W leaves 96 W
    // free for it, one of 100 W 80 W.
    for (rating, helps) in [(120, true), (100, false)] {
        let schedule = crate::desk::HALL.replace("A1,1,120,", &format!("A1,1,{rating},"));
        let mut pen = Pen::on(crate::desk::site_of(&schedule, "Hall"));
        pen.read("L-1", "333");
        let document = record(&assessed(&pen.site));
        let table = table(&document, "likeliest why");
        let row = table.rows.iter().find(|it| it.cells[0] == "A1 out 1");
        let left = row.unwrap().cells.last().unwrap();
        assert_eq!(left.contains("see to L-1 (as drawn: 8"), helps, "{left}");
        assert_eq!(
            left.contains("L-1 as drawn it would still carry 8"),
            !helps,
            "{left}"
        );
        assert_eq!(left.contains("at least 2"), !helps, "{left}");
        assert!(
            left.contains("a rating of 12"),
            "102 W over four fifths: {left}"
        );
    }
    // Planned past it: no line is at fault, and what would help is said.
    let document = record(glasshouse());
    let table = table(&document, "likeliest why");
    let row = table.rows.iter().find(|it| it.cells[0] == "A4 out 1");
    let left = row.unwrap().cells.last().unwrap();
    assert!(
        left.contains("lower taps, or a line on another output"),
        "{left}"
    );
    assert!(!left.contains("see to"), "{left}");
}

#[test]
fn an_output_that_rests_on_readings_that_may_be_mistaken_stands_by_itself_and_says_of_which() {
    let mut pen = Pen::on(hall());
    // What an ohmmeter shows: the windings, 0.08 of the impedance, and 0.5 ohm of cable.
    for (line, ohm) in [("H-1", 333.0), ("H-2", 417.0), ("L-1", 556.0)] {
        pen.read(line, &format!("{:.1}", 0.08 * ohm + 0.5));
    }
    pen.read("L-2", "556");
    let data = assessed(&pen.site);
    let told = markdown(&record(&data));
    let row = &data.outputs[0];
    assert_eq!(row.verdict, "overloaded");
    let words = row.if_slips.as_ref().unwrap();
    assert!(words.starts_with("if the readings of H-1 ("), "{words}");
    assert!(
        words.contains(" and L-1 (")
            && words.contains(" are mistaken as suspected, these lines being as drawn: "),
        "{words}"
    );
    let wanted = format!("- Past the rating with every line on: A1 out 1; {words}.");
    let wanted = wanted.replace('>', "\\>");
    assert!(told.lines().any(|it| it == wanted), "{told}");
}

//! What the terminal refuses to tick or to answer is refused by the commands too, with the same rule:
//! status 2, nothing written, what to do.

use super::bench::Bench;

#[test]
fn leads_are_not_ticked_as_zeroed_before_a_known_resistor_was_read() {
    let bench = Bench::sound();
    let tick = ["tick", "site.ron", "leads-zeroed"];
    bench.refused(
        &tick,
        &["leads-zeroed: no known resistor was read", "kind check"],
    );
    // Left out with a reason it may be, and once the resistor was read it is so.
    bench
        .run(&[
            "tick",
            "site.ron",
            "leads-zeroed",
            "--not-here",
            "none in the bag",
        ])
        .done();
    bench.write("check.csv", "line,kind,value,known_ohms\n,check,398,400\n");
    bench.run(&["record", "site.ron", "check.csv"]).done();
    bench.run(&tick).done();
}

#[test]
fn what_cannot_be_so_while_a_line_is_off_is_not_ticked_and_the_line_is_named() {
    let bench = Bench::sound();
    bench.run(&["tick", "site.ron", "cores-off"]).done();
    for item in ["heard-main", "supervision", "signed"] {
        let tick = ["tick", "site.ron", item];
        bench.refused(&tick, &[item, "L-1 is OFF", "cores-on"]);
    }
    // First power at low level is how lines come back.
    bench.run(&["tick", "site.ron", "low-power"]).done();
    // In one call in its order: back on, it is on for what follows.
    bench
        .run(&["tick", "site.ron", "cores-on", "heard-main"])
        .done();
}

#[test]
fn a_line_that_reads_short_is_not_ticked_back_on_nor_left_out_of_going_back() {
    let bench = Bench::sound();
    bench.run(&["tick", "site.ron", "cores-off"]).done();
    bench.write("short.csv", "line,kind,value\nL-1,impedance,short\n");
    bench.run(&["record", "site.ron", "short.csv"]).done();
    let tick = ["tick", "site.ron", "cores-on"];
    bench.refused(&tick, &["L-1 reads short: it must not be connected"]);
    let left_out = ["tick", "site.ron", "cores-on", "--not-here", "none"];
    bench.refused(&left_out, &["must not be connected"]);
}

#[test]
fn no_answer_is_taken_from_the_amplifiers_tone_on_a_line_that_is_off() {
    let bench = Bench::sound();
    bench.run(&["tick", "site.ron", "cores-off"]).done();
    bench.write(
        "heard.csv",
        "line,kind,value,at,instrument\nL-1,listen,heard,LS-1,meter\n\
         L-1,listen,heard,LS-1,amplifier\nL-1,listen,silent,LS-2,amplifier\n",
    );
    let record = ["record", "site.ron", "heard.csv"];
    bench.refused(
        &record,
        &[
            "heard.csv: row 2 under the header: L-1 is OFF: no amplifier plays on it",
            "row 3 under the header",
            "2 problems; nothing was written",
        ],
    );
    // What was heard before it was taken off was heard.
    bench.write(
        "heard.csv",
        "line,kind,value,at,instrument,when\n\
         L-1,listen,heard,LS-1,amplifier,2026-11-24T09:01:00Z\n",
    );
    bench.run(&record).done();
    bench.run(&["tick", "site.ron", "cores-on"]).done();
    bench.write(
        "heard.csv",
        "line,kind,value,at,instrument\nL-1,listen,heard,LS-2,amplifier\n",
    );
    bench.run(&record).done();
}

#[test]
fn a_tick_says_who_it_stands_for_and_where_the_name_comes_from() {
    let bench = Bench::sound();
    let ran = bench.run(&["tick", "site.ron", "told"]);
    assert!(
        ran.err
            .contains("recorded as engineer A, the user name of this machine; --by NAME says who"),
        "{}",
        ran.err
    );
    let ran = bench.run(&["tick", "site.ron", "told", "--by", "engineer B"]);
    assert!(!ran.err.contains("recorded as"), "{}", ran.err);
    let mut command = bench.command(&["tick", "site.ron", "told"]);
    command.env_remove("USER").env_remove("USERNAME");
    let ran = super::bench::ran(command.output().unwrap());
    assert!(
        ran.err.contains("recorded as engineer, nobody was named"),
        "{}",
        ran.err
    );
}

#[test]
fn a_tick_that_a_reading_came_after_is_remarked_in_the_list() {
    let bench = Bench::sound();
    bench.run(&["tick", "site.ron", "meter-off"]).done();
    let list = || bench.run(&["tick", "site.ron"]).done();
    assert!(!list().contains("read since"), "{}", list());
    std::thread::sleep(std::time::Duration::from_secs(1));
    bench.write("again.csv", "line,kind,value\nL-1,impedance,287\n");
    bench.run(&["record", "site.ron", "again.csv"]).done();
    let told = list();
    assert!(
        told.contains("- meter-off: A1, engineer A, read since at "),
        "{told}"
    );
}

#[test]
fn a_tick_that_comes_after_readings_it_should_come_before_says_so_at_once_and_in_the_list() {
    let bench = two_lines();
    bench.write("late.csv", "line,kind,value\nL-1,impedance,667\n");
    bench.run(&["record", "two.ron", "late.csv"]).done();
    std::thread::sleep(std::time::Duration::from_secs(1));
    let ran = bench.run(&["tick", "two.ron", "locked", "cores-off", "meter-off"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    for words in [
        "locked: ticked after 2 readings, the first at 20",
        "cores-off: ticked after 2 readings, the first at 20",
        "; the record says so too",
    ] {
        assert!(ran.err.contains(words), "{words}: {}", ran.err);
    }
    // What comes after the readings is not late.
    assert!(!ran.err.contains("meter-off: ticked"), "{}", ran.err);
    let list = bench.run(&["tick", "two.ron"]).done();
    for words in [
        "- locked: A1, engineer A, after 2 readings, the first at 20",
        "- cores-off: A1, 2 of 2 lines, engineer A, after 2 readings, the first at 20",
    ] {
        assert!(list.contains(words), "{words}: {list}");
    }
}

#[test]
fn a_tick_for_handing_back_names_lines_that_are_flagged() {
    let bench = Bench::sound();
    let ran = bench.run(&["tick", "site.ron", "low-power"]);
    assert!(!ran.err.contains("flagged"), "{}", ran.err);
    bench.write("worse.csv", "line,kind,value\nL-1,impedance,200\n");
    bench.run(&["record", "site.ron", "worse.csv"]).done();
    let ran = bench.run(&["tick", "site.ron", "told", "heard-main"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    assert!(
        ran.err
            .contains("heard-main: flagged: L-1 two readings do not agree"),
        "{}",
        ran.err
    );
    assert!(!ran.err.contains("told: flagged"), "{}", ran.err);
}

/// Two lines, insulation read of one of them.
fn two_lines() -> Bench {
    let bench = Bench::sound();
    let schedule = "amplifier,rated_w,zone,line,loudspeaker,tap_w\n\
                    A1,60,Hall,L-1,LS-1,15\nA1,60,Hall,L-2,LS-1,10\n";
    bench.write("two.csv", schedule);
    bench.run(&["import", "two.csv", "--to", "two.ron"]).done();
    let read = "line,kind,value,test_v\nL-2,insulation,200M,500\n";
    bench.write("insulation.csv", read);
    bench.run(&["record", "two.ron", "insulation.csv"]).done();
    bench
}

#[test]
fn an_amplifier_stands_for_its_lines_where_an_item_is_ticked_line_by_line() {
    let bench = Bench::new();
    let schedule = "amplifier,output,rated_w,zone,line,loudspeaker,tap_w\n\
                    A1,1,60,Hall,L-1,LS-1,15\nA1,2,60,Hall,L-2,LS-1,10\nA2,1,60,Yard,Y-1,LS-1,10\n";
    bench.write("three.csv", schedule);
    bench
        .run(&["import", "three.csv", "--to", "three.ron"])
        .done();
    let off = |of: &[&str]| {
        bench.run(&[&["tick", "three.ron", "cores-off", "--of"], of].concat());
        let all = bench.json(&["assess", "three.ron", "--json"]);
        let lines = all["lines"].as_array().unwrap().iter();
        let off = lines.filter(|line| line["off"] == true);
        off.map(|line| line["line"].as_str().unwrap().to_owned())
            .collect::<Vec<_>>()
    };
    assert_eq!(off(&["A1/2"]), ["L-2"]);
    assert_eq!(off(&["A1"]), ["L-1", "L-2"]);
    // Back on by the amplifier's name; what has nothing to tick is left out, unless it is named itself.
    let on = ["tick", "three.ron", "cores-on", "--of"];
    bench.run(&[&on[..], &["L-1"]].concat()).done();
    let ran = bench.run(&[&on[..], &["A1"]].concat());
    assert_eq!(ran.status, 0, "{}", ran.err);
    let said = "cores-on: left out L-1: not off";
    assert!(ran.err.contains(said), "{}", ran.err);
    bench.refused(
        &[&on[..], &["Y-1"]].concat(),
        &["nothing to tick on Y-1: not off"],
    );
    bench.refused(
        &[&on[..], &["A2"]].concat(),
        &["nothing to tick on Y-1: not off"],
    );
    // What is an amplifier's is still ticked for amplifiers alone.
    bench.refused(
        &["tick", "three.ron", "locked", "--of", "L-1"],
        &["L-1 is a line, the label of an amplifier was wanted"],
    );
}

#[test]
fn without_of_only_lines_are_ticked_that_have_the_item_and_one_that_is_named_is_refused() {
    let bench = two_lines();
    // Nobody takes insulation on L-1: its devices were no matter.
    let ran = bench.run(&["tick", "two.ron", "devices-off"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let said = "devices-off: left out L-1: insulation neither asked for nor read";
    assert!(ran.err.contains(said), "{}", ran.err);
    let list = bench.run(&["tick", "two.ron"]).done();
    assert!(list.contains("- devices-off: A1, 1 of 1 lines"), "{list}");
    bench.refused(
        &["tick", "two.ron", "devices-off", "--of", "L-1"],
        &["nothing to tick on L-1: insulation neither asked for nor read"],
    );
    // What was never taken off is not put back on.
    bench.refused(
        &["tick", "two.ron", "cores-on"],
        &["cores-on: nothing to tick anywhere: not off"],
    );
    // A1 is no voice alarm: it has no cover.
    bench.refused(
        &["tick", "two.ron", "cover"],
        &["cover: nothing to tick anywhere: no voice alarm"],
    );
    bench
        .run(&["tick", "two.ron", "cores-off", "--of", "L-2"])
        .done();
    let ran = bench.run(&["tick", "two.ron", "cores-on"]);
    assert!(
        ran.err.contains("cores-on: left out L-1: not off"),
        "{}",
        ran.err
    );
    // In one call in its order, as ever.
    bench
        .run(&["tick", "two.ron", "cores-off", "cores-on"])
        .done();
}

#[test]
fn a_known_resistor_that_no_meter_reads_so_is_refused_and_one_far_off_is_remarked() {
    let bench = Bench::sound();
    // The second has the range left out; `398` of 40 is refused as well.
    bench.write(
        "check.csv",
        "line,kind,value,known_ohms\n,check,398,400\n,check,33,330\n,check,398,40\n",
    );
    bench.refused(
        &["record", "site.ron", "check.csv"],
        &[
            "check.csv: row 2 under the header: 33.0 ohm on a known 330 ohm: no meter is so far off. 330 ohm, \
             ten times, would fit. Look at the range and the digits of `value` and `known_ohms`, or read it again",
            "row 3 under the header: 398 ohm on a known 40.0 ohm: no meter is so far off",
            "2 problems; nothing was written",
        ],
    );
    // Off by thrice what the meter is good for: that may be so.
    bench.write(
        "leads.csv",
        "line,kind,value,known_ohms\n,check,398,400\n,check,11.5,10\n",
    );
    let ran = bench.run(&["record", "site.ron", "leads.csv"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let said = "row 2 under the header: 11.5 ohm on 10.0 ohm, +15.0 %: the meter is good for 5.0 %. Leads not zeroed?";
    assert!(ran.err.contains(said), "{}", ran.err);
    assert!(!ran.err.contains("row 1 under"), "{}", ran.err);
}

#[test]
fn a_reading_of_a_line_that_is_back_on_is_refused_by_its_row_until_somebody_says_that_it_was_off() {
    let bench = Bench::sound();
    bench.run(&["tick", "site.ron", "cores-off"]).done();
    bench.run(&["tick", "site.ron", "cores-on"]).done();
    bench.write("on.csv", "line,kind,value\nL-1,impedance,411\n");
    let record = ["record", "site.ron", "on.csv"];
    bench.refused(
        &record,
        &["row 1", "L-1 is back on the amplifier", "--read-while-off"],
    );
    // A time before it was put back needs no such word.
    bench.write(
        "then.csv",
        "line,kind,value,when\nL-1,impedance,412,2026-01-01T10:00:00Z\n",
    );
    bench.run(&["record", "site.ron", "then.csv"]).done();
    let mut said = record.to_vec();
    said.push("--read-while-off");
    bench.run(&said).done();
}

#[test]
fn a_row_without_a_time_taken_twice_is_one_reading_and_a_repeat_in_the_file_is_two() {
    let bench = Bench::sound();
    bench.write("a.csv", "line,kind,value\nL-1,impedance,409\n");
    let record = ["record", "site.ron", "a.csv"];
    let told = |ran: super::bench::Ran, words: &str| {
        assert!(ran.err.contains(words), "{}", ran.err);
        ran.done();
    };
    told(bench.run(&record), "1 row recorded, 0 there already");
    let before = bench.files();
    told(bench.run(&record), "0 rows recorded, 1 there already");
    assert_eq!(bench.files(), before);
    // Read twice, and so written down twice; the second alone is new.
    bench.write(
        "b.csv",
        "line,kind,value\nL-1,impedance,409\nL-1,impedance,409\n",
    );
    told(
        bench.run(&["record", "site.ron", "b.csv"]),
        "1 row recorded, 1 there already",
    );
    // After a repair it is another state, and the file with the repair is one file.
    bench.write(
        "c.csv",
        "line,kind,value\nL-1,repair,joint remade\nL-1,impedance,409\n",
    );
    let repaired = ["record", "site.ron", "c.csv"];
    told(bench.run(&repaired), "2 rows recorded, 0 there already");
    told(bench.run(&repaired), "0 rows recorded, 2 there already");
}

#[test]
fn an_unread_line_is_not_accepted_by_a_command_either() {
    let bench = Bench::demo();
    bench.refused(
        &["settle", "site.ron", "CF-3", "--accept", "looks good"],
        &["CF-3 is not read", "--skip"],
    );
    bench
        .run(&["settle", "site.ron", "CF-3", "--skip", "locked room"])
        .done();
}

#[test]
fn insulation_of_a_line_not_ticked_off_is_refused_until_it_is_said_and_first_power_likewise() {
    let bench = two_lines();
    bench
        .run(&["tick", "two.ron", "cores-off", "--of", "L-2"])
        .done();
    bench.write(
        "tester.csv",
        "line,kind,value,test_v\nL-1,insulation,50M,500\n",
    );
    let mut said = vec!["record", "two.ron", "tester.csv"];
    bench.refused(
        &said,
        &["row 1", "L-1 is not ticked off", "--read-while-off"],
    );
    said.push("--read-while-off");
    bench.run(&said).done();
    bench.write("open.csv", "line,kind,value\nL-1,impedance,open\n");
    bench.run(&["record", "two.ron", "open.csv"]).done();
    let mut tick = vec!["tick", "two.ron", "low-power"];
    bench.refused(&tick, &["L-1 reads short or open", "--even-so"]);
    tick.push("--even-so");
    bench.run(&tick).done();
}

//! `load`: one reading without a site.

use super::bench::Bench;

#[track_caller]
fn load(arguments: &[&str]) -> String {
    let arguments: Vec<&str> = ["load"].iter().chain(arguments).copied().collect();
    let ran = Bench::new().run(&arguments);
    assert_eq!(ran.err, "");
    ran.done()
}

#[track_caller]
fn refused(arguments: &[&str]) -> String {
    let arguments: Vec<&str> = ["load"].iter().chain(arguments).copied().collect();
    let ran = Bench::new().run(&arguments);
    ran.failed(2, &arguments);
    ran.err
}

#[test]
fn at_100_v_a_reading_of_270_ohm_is_37_w() {
    // Common practice, no source: 100^2 / 270 = 37.04.
    assert!(load(&["270"]).contains(" 37.0 W\n"));
}

#[test]
fn a_load_of_120_w_wants_an_amplifier_of_150_w() {
    // Common practice, no source: 20 % of the rating stays free, 120 / 0.8; not 120 x 1.2 = 144.
    // 83.3 ohm is 100^2 / 83.3 = 120.05 W, and 120.05 / 0.8 = 150.06 W.
    let told = load(&["83.3"]);
    assert!(
        told.contains(" 120.0 W\n") && told.contains(" 150.1 W leaves 20 % headroom"),
        "{told}"
    );
    // Exactly: 120^2 / 120.
    let told = load(&["120", "--volts", "120"]);
    assert!(
        told.contains(" 120.0 W\n") && told.contains(" 150.0 W leaves 20 % headroom"),
        "{told}"
    );
}

#[test]
fn at_70_7_v_the_same_ohms_are_half_the_watts() {
    // 70.7^2 / 270 = 18.51 W; 18.51 / 0.8 = 23.14 W.
    let told = load(&["270", "--volts", "70.7"]);
    assert!(
        told.contains("at 70.7 V") && told.contains(" 18.5 W\n") && told.contains(" 23.1 W"),
        "{told}"
    );
    assert_eq!(told, load(&["270", "--volts", "70,7"]));
    assert_eq!(told, load(&["270", "--volts", "70.7V"]));
}

#[test]
fn a_reading_is_typed_as_people_write_it() {
    for typed in [
        "410", "41x10", "41 x10", "41*10", "0.41k", "0,41k", "410 ohm",
    ] {
        // 100^2 / 410 = 24.39 W.
        assert!(
            load(&[typed]).contains("410 ohm at 100 V loads the amplifier with 24.4 W"),
            "{typed}"
        );
    }
}

#[test]
fn open_is_no_load_and_a_short_must_not_be_connected() {
    assert_eq!(load(&["open"]), "open at 100 V: no load\n");
    for short in ["0", "short", "0.6", "4.9"] {
        let told = load(&[short]);
        assert!(told.contains("must not be connected"), "{told}");
        assert!(
            !told.contains("headroom"),
            "no rating helps a short: {told}"
        );
    }
    // From 5 ohm on (our own limit) it is a load: 100^2 / 5 = 2 kW.
    assert!(load(&["5"]).contains(" 2000.0 W\na rating of 2500.0 W leaves"));
}

#[test]
fn a_comma_and_three_digits_is_refused_with_both_ways_to_write_it() {
    let told = refused(&["1,200"]);
    assert!(
        told.contains("1,200") && told.contains("1200") && told.contains("1.2"),
        "{told}"
    );
}

#[test]
fn what_is_no_reading_or_no_voltage_is_refused_with_what_was_wanted() {
    for (arguments, words) in [
        (&["abc"][..], &["OHMS", "abc", "412"][..]),
        (&[""], &["OHMS", "nothing", "412"]),
        (&["-5"], &["OHMS", "-5", "below zero"]),
        (&["0.0"], &["OHMS", "0.0", "short"]),
        (&["41x7"], &["OHMS", "x7", "x10"]),
        (&["270", "--volts", "0"], &["--volts", "\"0\"", "70.7"]),
        (
            &["270", "--volts", "-100"],
            &["--volts", "\"-100\"", "70.7"],
        ),
        (
            &["270", "--volts", "high"],
            &["--volts", "\"high\"", "70.7"],
        ),
        (&[], &["OHMS"]),
    ] {
        let told = refused(arguments);
        for word in words {
            assert!(
                told.contains(word),
                "{arguments:?}: {word} is not in {told}"
            );
        }
    }
}

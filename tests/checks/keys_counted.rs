//! How many keys a survey and a walk take.

use super::*;

/// One line of twelve loudspeakers.
fn twelve() -> Site {
    let mut schedule = String::from(
        "amplifier,output,rated_w,line_v,zone,line,loudspeaker,tap_w,taps_w,type,from,run_m,cable\n",
    );
    for at in 1..=12 {
        let from = if at == 1 { "rack" } else { "" };
        schedule.push_str(&format!(
            "A1,1,120,100,Hall,H-1,LS-{at:02},6,12|6|3,ceiling,{from},9,1.5 mm2\n"
        ));
    }
    site_of(&schedule, "Long hall")
}

#[test]
fn check_1_a_plain_survey_of_the_demo_takes_the_digits_and_one_key_a_line_from_wherever_it_opens() {
    let first = Desk::at(demo());
    let all = unread(&first);
    assert_eq!(all.len(), 18);
    for start in ["", "/gt1\n", "/cf3\n", "go", "gogo"] {
        let mut desk = Desk::at(demo());
        desk.keys(start);
        if !all.contains_key(&desk.on()) {
            // Opened on a line that is read: the next unread one is a key away, and is not counted.
            desk.keys("gn");
        }
        let mut keys = 0;
        let mut digits = 0;
        for _ in 0..all.len() {
            let text = all[&desk.on()].clone();
            desk.keys(&text).press(Key::Enter);
            digits += text.len();
            keys += text.len() + 1;
        }
        assert!(unread(&desk).is_empty(), "{start:?}: {:?}", unread(&desk));
        assert_eq!(keys, digits + all.len(), "{start:?}");
    }
}

#[test]
fn check_2_a_walk_of_twelve_loudspeakers_is_twelve_keys_from_wherever_it_begins() {
    for begins_at in [0, 7] {
        let mut desk = Desk::at(twelve());
        desk.keys("w");
        for _ in 0..begins_at {
            desk.press(Key::Down);
        }
        desk.keys("  s -+=zcp  ");
        let site = desk.session.site();
        let history = site.history(&"H-1".into());
        let state = history.state();
        let answered: BTreeSet<String> = history
            .answers(site, &state)
            .iter()
            .map(|(_, it)| it.at.to_string())
            .collect();
        assert_eq!(answered.len(), 12, "{answered:?}");
    }
}

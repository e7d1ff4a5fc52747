//! Readings beside the impedance that do not fit: an ohmmeter's, insulation of one core, insulation that is low.

use crate::desk::{self, Desk, site_of};

/// One line with every loudspeaker blocked and an end-of-line resistor; one without either.
const HALLS: &str = "\
amplifier,output,rated_w,line_v,zone,line,loudspeaker,what,tap_w,taps_w,type,dc_block,device,from,run_m,cable
A1,1,250,100,Hall,C-1,LS-1,loudspeaker,6,6|3,ceiling,yes,,rack,30,1.5 mm2
A1,1,250,100,Hall,C-1,LS-2,loudspeaker,6,6|3,ceiling,yes,,,8,1.5 mm2
A1,1,250,100,Hall,C-1,LS-3,loudspeaker,6,6|3,ceiling,yes,,,8,1.5 mm2
A1,1,250,100,Hall,C-1,EOL,device,,,,,22k,,1,1.5 mm2
A1,1,250,100,Hall,C-2,LS-1,loudspeaker,6,6|3,ceiling,,,rack,30,1.5 mm2
A1,1,250,100,Hall,C-2,LS-2,loudspeaker,6,6|3,ceiling,,,,8,1.5 mm2
";

fn halls() -> Desk {
    let mut desk = Desk::at(site_of(HALLS, "Two halls"));
    desk.keys("/C-1\n");
    desk
}

/// The end-of-line resistor is another than drawn: the impedance does not tell, the ohmmeter does.
#[test]
fn an_ohmmeter_that_does_not_find_the_end_of_the_line_makes_the_line_wanted() {
    let mut desk = halls();
    desk.keys("558\n/C-1\n10kd");
    assert!(
        desk.screen().contains("ohmmeter drawn 22.0 kohm"),
        "{}",
        desk.screen()
    );
    desk.keys("\n").rest();
    desk.keys("/C-1\n").rest();
    let screen = desk.screen();
    assert!(screen.contains("the DC reading fits nothing"), "{screen}");
    assert!(screen.contains("? C-1"), "{screen}");
    let text = desk::assessed(desk.session.site());
    let row = text.lines.iter().find(|row| row.line == "C-1").unwrap();
    let doubt = row.doubt.as_deref().unwrap_or_default();
    assert!(
        doubt.contains("as drawn it is 22.0 kohm: look at the end of the line"),
        "{doubt}"
    );
    // The one that fits is no matter.
    let mut fits = halls();
    fits.keys("558\n/C-1\n22kd\n").rest();
    assert!(fits.screen().contains("= C-1"), "{}", fits.screen());
}

/// The primaries join the cores: what one reads against earth the other reads.
#[test]
fn one_core_low_and_the_other_good_cannot_both_be_where_loads_join_them() {
    let joined = "the loads join both cores";
    for (line, said) in [("C-1", false), ("C-2", true)] {
        let mut desk = halls();
        desk.keys(&format!("/{line}\n12kia\n/{line}\n150Mib\n"));
        desk.keys(&format!("/{line}\n")).rest();
        let screen = desk
            .screen()
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        assert_eq!(screen.replace("│ ", "").contains(joined), said, "{screen}");
    }
}

/// No test of the impedance finds a way to earth.
#[test]
fn of_low_insulation_the_next_step_is_the_insulation_of_each_half() {
    let mut desk = halls();
    desk.keys("558\n/C-1\n12ki\n/C-1\n").rest();
    let screen = desk.screen();
    assert!(screen.contains("next  find the way to earth"), "{screen}");
    assert!(!screen.contains("bit,"), "{screen}");
}

//! Insulation that is too low: told on the first pages with its figure, whatever word is on it.

use crate::desk::{assessed, hall_with};
use crate::paper::table;
use crate::pen::Pen;
use linewright::quantity::{Insulation, Ohm, Volt};
use linewright::report::document::Block;
use linewright::report::{Assessment, markdown, record};
use linewright::site::{Design, Do, Insulate, Leg};

/// The hall with voice alarm on its first amplifier, all of it read as drawn, heard and ticked.
fn finished() -> Pen {
    let site = hall_with(|design| match design {
        Design::Amplifier(mut it) => {
            it.voice_alarm = it.label == "A1";
            Design::Amplifier(it)
        }
        other => other,
    });
    let mut pen = Pen::on(site);
    pen.finish();
    pen
}

fn insulate(pen: &mut Pen, line: &str, kohm: f64) {
    let state = pen.site.history(&line.into()).state();
    pen.write(Do::Insulate(Insulate {
        line: line.into(),
        state,
        value: Insulation::Ohm(Ohm(1e3 * kohm)),
        text: format!("{kohm}k"),
        instrument: "insulation".into(),
        test_v: Volt(500.0),
        leg: Leg::Both,
        after_s: None,
        note: None,
    }));
}

/// The points of the summary.
fn summary(data: &Assessment) -> Vec<String> {
    let blocks = record(data).blocks.into_iter();
    let mut lists = blocks.filter_map(|it| match it {
        Block::Points(points) => Some(points),
        _ => None,
    });
    lists.next().unwrap()
}

#[test]
fn insulation_too_low_is_in_summary_and_row_with_its_figure_and_voice_alarm_counts_it_though_accepted()
 {
    let mut pen = finished();
    // At least 1 Mohm at 500 V: IEC 60364-6.
    insulate(&mut pen, "H-1", 12.0);
    pen.accept("H-1", "seen, to be traced in spring");
    insulate(&mut pen, "C-1", 300.0);
    insulate(&mut pen, "L-1", 2000.0);
    let data = assessed(&pen.site);
    let told = summary(&data);
    let low = "Insulation too low, 2: H-1 12.0 kohm at 500 V, at least 1.0 Mohm; \
               C-1 300 kohm at 500 V, at least 1.0 Mohm.";
    assert!(told.iter().any(|it| it == low), "{told:#?}");
    let alarm = told.iter().find(|it| it.starts_with("Voice alarm"));
    // C-1 hangs on an amplifier that carries none.
    assert!(
        alarm.unwrap().ends_with("insulation too low: H-1."),
        "{told:#?}"
    );
    let document = record(&data);
    let rows = &table(&document, "likeliest why").rows;
    let why = |line: &str| {
        let row = rows.iter().find(|it| it.cells[0] == line);
        row.unwrap_or_else(|| panic!("{line}: {rows:#?}")).cells[4].clone()
    };
    let wanted = "insulation 12.0 kohm at 500 V, too low: at least 1.0 Mohm";
    assert_eq!(why("H-1"), wanted);
    assert!(why("C-1").contains("300 kohm at 500 V"));
}

#[test]
fn of_a_line_that_was_mended_and_read_low_since_the_row_says_both_and_stands_with_what_is_so_now() {
    let mut pen = finished();
    pen.read("L-1", "417");
    pen.repair("L-1", "tap set", None);
    pen.read_as_drawn("L-1");
    insulate(&mut pen, "L-1", 12.0);
    let document = record(&assessed(&pen.site));
    let row = &table(&document, "likeliest why").rows[0];
    assert_eq!(row.cells[0], "L-1");
    assert!(
        row.cells[4].starts_with("repaired, reads right since"),
        "{row:?}"
    );
    assert!(
        row.cells[4].contains("; insulation 12.0 kohm at 500 V, too low"),
        "{row:?}"
    );
}

#[test]
fn of_many_lines_with_low_insulation_all_are_named_and_the_lowest_told() {
    let schedule: String = (1..=9)
        .map(|at| format!("A1,240,Hall,L-{at},LS-1,6,20\n"))
        .collect();
    let schedule = format!("amplifier,rated_w,zone,line,loudspeaker,tap_w,run_m\n{schedule}");
    let mut pen = Pen::on(crate::desk::site_of(&schedule, "Nine lines"));
    for at in 1..=9 {
        let kohm = if at == 7 { 40.0 } else { 100.0 * f64::from(at) };
        insulate(&mut pen, &format!("L-{at}"), kohm);
    }
    let text = markdown(&record(&assessed(&pen.site)));
    let low = "Insulation too low, 9: L-1, L-2, L-3, L-4, L-5, L-6, L-7, L-8, L-9; the lowest is L-7 40.0 kohm at 500 V, \
               at least 1.0 Mohm.";
    assert!(text.contains(low), "{text}");
}

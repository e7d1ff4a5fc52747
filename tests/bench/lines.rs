//! The lines and sites that are timed: made up, the same every time.

use linewright::circuit::{Change, Conditions, Network};
use linewright::quantity::{Hertz, Ohm, Value};
use linewright::site::{Do, Elements, Entry, Figures, LinePlan, Log, NodeIs, Read, Site, StateId};
use linewright::storage::{Schedule, read_schedule};
use std::fmt::Write as _;
use std::ops::Range;

/// Lines on an output, outputs on an amplifier.
const LINES_AN_OUTPUT: usize = 5;
const OUTPUTS_AN_AMPLIFIER: usize = 4;

/// A site of so many lines with so many loudspeakers each; the last `unread` lines are not read.
pub fn site(lines: usize, loudspeakers: usize, unread: usize) -> Site {
    part(0..lines, loudspeakers, unread)
}

/// Some lines of such a site as a site of their own.
pub fn part(lines: Range<usize>, loudspeakers: usize, unread: usize) -> Site {
    let Schedule { id, items, .. } = read_schedule(
        "made-up.csv",
        schedule(lines.clone(), loudspeakers).as_bytes(),
        &[],
        "Made up",
    )
    .unwrap_or_else(|problems| panic!("the made-up schedule is wrong: {problems:?}"));
    let mut site = Site::new(id, Elements::from_iter(items), Log::default());
    let entries: Vec<Entry> = (0..lines.len() - unread)
        .map(|place| read(&site, place, lines.start + place))
        .collect();
    for entry in entries {
        site.apply(entry);
    }
    site
}

/// One line of so many loudspeakers.
pub fn line(loudspeakers: usize) -> LinePlan {
    site(1, loudspeakers, 1).plan().lines[0].clone()
}

/// The network of a line as drawn, with the test tone.
pub fn network(line: &LinePlan) -> Network {
    let figures = Figures::default();
    let hz = Hertz(figures.get(linewright::site::Figure::TestHz));
    Network::of(line, &Conditions::of(&figures, hz))
}

fn schedule(lines: Range<usize>, loudspeakers: usize) -> String {
    let mut out = String::from(
        "amplifier,output,rated_w,line_v,zone,line,loudspeaker,tap_w,taps_w,type,from,run_m,cable\n",
    );
    for line in lines {
        let output = line / LINES_AN_OUTPUT;
        let amplifier = output / OUTPUTS_AN_AMPLIFIER;
        for at in 0..loudspeakers {
            let from = if at == 0 { "rack" } else { "" };
            let metres = if at == 0 {
                20 + line % 40
            } else {
                5 + (line + at) % 7
            };
            writeln!(
                out,
                "A{},{},2000,100,Zone {},L-{},LS-{},6,12|6|3,bowl,{from},{metres},1.5 mm2",
                amplifier + 1,
                output % OUTPUTS_AN_AMPLIFIER + 1,
                output + 1,
                line + 1,
                at + 1,
            )
            .expect("text grows");
        }
    }
    out
}

/// A reading of a line: within some percent of what is drawn, on every twelfth line with the run to
/// one of its loudspeakers open.
fn read(site: &Site, place: usize, at: usize) -> Entry {
    let line = &site.plan().lines[place];
    let network = network(line);
    let open = Change::Break {
        run: at / 12 % line.nodes.len(),
    };
    let network = if at % 12 == 11 {
        network.with(&[open])
    } else {
        network
    };
    // Seven steps of 0.7 % about 1 % over what is drawn.
    #[allow(clippy::cast_precision_loss)]
    let off = 1.01 + 0.007 * ((at * 5 % 7) as f64 - 3.0);
    let value = network
        .solve()
        .input()
        .modulus()
        .map(|ohm| (ohm.get() * off).round());
    let visit = site.visit();
    Entry {
        at: jiff::Timestamp::from_second(1_764_000_000 + i64::try_from(at).unwrap_or(0) * 60)
            .expect("a time"),
        id: format!("madeupmadeupmade-{at}").as_str().into(),
        by: "engineer A".to_owned(),
        what: Do::Read(Read {
            line: line.id.clone(),
            state: StateId(visit.0.clone()),
            value: value.map_or(Value::Open, |ohm| Value::Ohm(Ohm(ohm))),
            step_ohm: Ohm(1.0),
            text: value.map_or_else(|| "open".to_owned(), |ohm| ohm.to_string()),
            instrument: "meter".into(),
            hz: site.test_hz(),
            phase_deg: None,
            cut: None,
            note: None,
        }),
        act: None,
        row: None,
        corrects: None,
        why: None,
    }
}

/// Admittance of a loudspeaker's load as drawn, by its tap: P / V^2.
pub fn siemens(line: &LinePlan, at: usize) -> Option<f64> {
    match &line.nodes[at].is {
        NodeIs::Loudspeaker { tap, .. } => Some(tap.get() / line.volts.get().powi(2)),
        _ => None,
    }
}

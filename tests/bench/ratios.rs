//! How fast it is, as ratios of times taken side by side in one run: never an absolute time, which
//! would be one of a machine, and never a test, which would fail on a busy one.
//!
//! `cargo bench --bench ratios`; with `-- --quick` on smaller sites, and `-- --only d` one part.
//! The table is kept in docs/speed.md. With `-- --write FILE LINES` it only writes the site of so many
//! lines of 20 that part c assesses, to be profiled by itself.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(
    clippy::print_stdout,
    clippy::print_stderr,
    clippy::cast_precision_loss
)]

mod all_pairs;
mod files;
mod growth;
mod keys;
mod lines;
mod spice;
mod table;
mod whole_site;

use all_pairs::Pairs;
use keys::{Keyboard, Swept};
use linewright::diagnosis::{Evidence, Prepared, Reading, Shared};
use linewright::quantity::{Fraction, Ohm, Value};
use linewright::site::{Figures, Site};
use linewright::storage::format1;
use spice::Spice;
use std::time::Duration;
use table::{Limit, Table, in_turn, median, time};
use whole_site::Written;

const NO_NGSPICE: &str = "ngspice is not on this machine";

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if let Some(at) = arguments.iter().position(|it| it == "--write") {
        let lines = arguments[at + 2].parse().expect("so many lines");
        let site = format1::write(&lines::site(lines, 20, 0)).expect("a site has a form");
        std::fs::write(&arguments[at + 1], site).expect("a site is written");
        return;
    }
    let quick = arguments.iter().any(|it| it == "--quick");
    let only = arguments
        .iter()
        .position(|it| it == "--only")
        .and_then(|at| arguments.get(at + 1));
    let wants = |part: &str| only.is_none_or(|only| only.contains(part));
    let spice = Spice::new();
    let mut table = Table::default();
    if wants("a") {
        pairs_against_ngspice(quick, spice.as_ref(), &mut table);
    }
    if wants("b") {
        closed_form_against_solving(quick, &mut table);
    }
    if wants("c") {
        assess_against_ngspice(quick, spice.as_ref(), &mut table);
    }
    if wants("d") {
        large_site_against_small(quick, &mut table);
    }
    if wants("e") {
        files::recording_against_append(quick, &mut table);
    }
    if wants("f") {
        files::opening_against_ron(quick, &mut table);
    }
    if wants("g") {
        growth::of_the_site(quick, &mut table);
    }
    if wants("h") {
        growth::of_the_program(quick, &mut table);
    }
    table.print();
}

/// (a) Every pair of a line of 40 loudspeakers, from the drawing to the suspects of a reading.
fn pairs_against_ngspice(quick: bool, spice: Option<&Spice>, table: &mut Table) {
    let once = "a: all pairs of 40 loudspeakers, one reading weighed : one ngspice run of the line";
    let listed = "a: the same : ngspice solving every pair in one run";
    let Some(spice) = spice else {
        table.missing(once, NO_NGSPICE);
        table.missing(listed, NO_NGSPICE);
        return;
    };
    let line = lines::line(40);
    let figures = Figures::default();
    let pairs = Pairs::of(&line).len();
    let reading = Reading::at_rack(Value::Ohm(Ohm(45.0)), Ohm(0.1), Fraction(0.05), &figures);
    let evidence = Evidence {
        readings: vec![reading],
        ..Evidence::default()
    };
    let ours = || {
        let prepared = Prepared::new(&line, &figures, false);
        prepared.posterior(&evidence, &Shared::default())
    };
    let healthy = spice.write("line.cir", &spice::healthy(&line));
    let few = spice.write("few.cir", &spice::pairs(&line, 10));
    let sample = if quick { 500 } else { 2_000 };
    let many = spice.write("many.cir", &spice::pairs(&line, 10 + sample));
    let times = if quick { 5 } else { 15 };
    let (own, theirs) = in_turn(times, || time(ours).0, || time(|| spice.run(&healthy)).0);
    table.row(once, own / theirs, Limit::Below(1.0));
    let (few, many) = in_turn(
        3,
        || time(|| spice.run(&few)).0,
        || time(|| spice.run(&many)).0,
    );
    let each = (many - few) / sample as f64;
    table.row(
        listed,
        own / (few + each * pairs as f64),
        Limit::Below(0.02),
    );
}

/// (b) The closed form alone, against a solution for each pair.
fn closed_form_against_solving(quick: bool, table: &mut Table) {
    let pairs = Pairs::of(&lines::line(40));
    let step = if quick { 23 } else { 7 };
    let (solved, _) = pairs.by_solving(step);
    let scale = pairs.len() as f64 / solved as f64;
    let (forms, each) = in_turn(
        if quick { 5 } else { 11 },
        || time(|| pairs.by_closed_form()).0,
        || time(|| pairs.by_solving(step)).0,
    );
    table.row(
        "b: solving each pair of 40 loudspeakers : all by closed form",
        each * scale / forms,
        Limit::AtLeast(50.0),
    );
}

/// (c) The whole site from its file, every pair of every line, on every core.
fn assess_against_ngspice(quick: bool, spice: Option<&Spice>, table: &mut Table) {
    let lines = if quick { 250 } else { 5_000 };
    let site = lines::site(lines, 20, 0);
    let written = Written::of(&site);
    let netlists: Vec<_> = spice.map_or_else(Vec::new, |spice| {
        (0..100)
            .map(|at| {
                let line = &site.plan().lines[at * lines / 100];
                spice.write(&format!("{at}.cir"), &spice::healthy(line))
            })
            .collect()
    });
    drop(site);
    // Half of the sample before, half after.
    let mut runs: Vec<Duration> = Vec::new();
    let mut sample = |half: &[std::path::PathBuf]| {
        if let Some(spice) = spice {
            runs.extend(half.iter().map(|it| time(|| spice.run(it)).0));
        }
    };
    let (first, second) = netlists.split_at(netlists.len() / 2);
    sample(first);
    let (own, peak) = written.assess();
    sample(second);
    let what = format!("c: assess --json, {lines} lines of 20 : {lines} ngspice runs");
    if runs.is_empty() {
        table.missing(&what, NO_NGSPICE);
    } else {
        let each = runs.iter().sum::<Duration>().as_secs_f64() / runs.len() as f64;
        let ratio = own.as_secs_f64() / (each * lines as f64);
        table.row(&what, ratio, Limit::Below(0.5));
    }
    match peak {
        Some(peak) => table.row(
            "c: its peak memory : 400 MB",
            peak / 400.0,
            Limit::Below(1.0),
        ),
        None => table.missing("c: its peak memory : 400 MB", "this system does not tell"),
    }
}

/// (d) The same keys on a large site and on a small one, in turn.
fn large_site_against_small(quick: bool, table: &mut Table) {
    let (many, loudspeakers, unread) = if quick {
        (1_000, 6, 12)
    } else {
        (5_000, 20, 30)
    };
    let site = |lines| -> Site { lines::site(lines, loudspeakers, unread) };
    let mut small = Keyboard::at(site(50));
    let mut large = Keyboard::at(site(many));
    let times = if quick { 60 } else { 200 };
    let (own, few) = in_turn(times, || large.digit(), || small.digit());
    let sizes = format!("{many} lines : on 50");
    table.row(
        &format!("d: a digit to its frame on {sizes}"),
        own / few,
        Limit::AtMost(1.25),
    );
    let (mut on_large, mut on_small) = (Vec::new(), Vec::new());
    let mut swept: Vec<Swept> = Vec::new();
    for _ in 1..unread {
        on_large.push(large.enter());
        swept.push(large.sweep());
        on_small.push(small.enter());
        small.sweep();
    }
    table.row(
        &format!("d: Enter to the next frame on {sizes}"),
        median(&on_large) / median(&on_small),
        Limit::AtMost(1.25),
    );
    let whole: Vec<Duration> = swept.iter().map(|it| it.whole).collect();
    let longest: Vec<Duration> = swept.iter().map(|it| it.longest).collect();
    table.row(
        &format!("d: the sweep after Enter on {many} lines : a second"),
        median(&whole),
        Limit::AtMost(1.0),
    );
    table.row(
        "d: the longest that a key waits for it : a tenth of a second",
        median(&longest) * 10.0,
        Limit::AtMost(1.0),
    );
}

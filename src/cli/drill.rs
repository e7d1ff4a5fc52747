//! `drill`: a window on a drawn building's meter, one command a line, until `done`.
//!
//! Never here: what is drawn, what is right.

use super::here::now;
use super::near;
use super::site_file::{rows, store_failure};
use super::{Refusal, print, say};
use crate::drawer::{Drill, Found, Makes, Named, Recipe, Shown, Told};
use crate::quantity::show::count;
use crate::quantity::{Minutes, Ohm, show};
use crate::site::{Elements, Heard, LinePlan, Log, Site};
use crate::storage::{self, Disk};
use anyhow::{Context, Result};
use std::io::{BufRead, IsTerminal};
use std::path::{Path, PathBuf};

/// Nothing that is printed here is wider.
const WIDTH: usize = 79;

const WORDS: &str = "\
read LINE            the impedance meter at the rack
dc LINE              the ohmmeter at the rack
listen LINE PLACE    go there, the tone on the line
split LINE PLACE     lift the incoming cores at PLACE, read both sides
resistor 400         the meter on a known resistor, at the rack
found LINE PLACE     say where it is; `nothing` or `voltage` instead of a place
lines                the lines, and what you said of each
done                 end, as the end of input does: what was there, how you did
";

/// `drill`.
pub(super) fn drill(seed: Option<u64>, lines: u16, to: Option<PathBuf>) -> Result<u8> {
    let seed = seed.unwrap_or_else(|| now().as_second().unsigned_abs() % 100_000);
    let recipe = Recipe {
        lines: usize::from(lines),
        loudspeakers: (4, 12),
        faults: Some([0.4, 0.5, 0.1]),
        ..Recipe::default()
    };
    let mut drill = Drill::draw(&recipe, seed);
    let to = to.unwrap_or_else(|| PathBuf::from(format!("drill-{seed}.ron")));
    write_drawing(&drill, &to)?;
    print(&format!(
        "Drill {seed}, {}. Nobody is in danger here.\n\
         At a rack the lists of the program come first.\n\
         Your survey, in another window:  linewright {path}\n\
         Ask here:\n{WORDS}",
        count(usize::from(lines), "line"),
        path = to.display(),
    ))?;
    let input = std::io::stdin();
    let prompts = input.is_terminal();
    let mut typed = String::new();
    loop {
        if prompts {
            print(&format!("{}> ", minutes(drill.minutes())))?;
        }
        typed.clear();
        let read = input.lock().read_line(&mut typed);
        if read.context("standard input")? == 0 {
            break;
        }
        let words: Vec<&str> = typed.split_whitespace().collect();
        match Asked::read(&words, &drill) {
            Ok(None) => {}
            Ok(Some(Asked::Done)) => break,
            Ok(Some(asked)) => {
                print(&answer(&mut drill, &asked))?;
            }
            Err(why) => say(folded(&why)),
        }
    }
    // Every line is gone through anew for that, which takes its seconds.
    print("\nThe best course is being reckoned, line by line: a moment.\n")?;
    print(&end(&drill))
}

/// The drawing as a site; never over another.
fn write_drawing(drill: &Drill, to: &Path) -> Result<()> {
    if to.exists() {
        return Err(Refusal::of(format!(
            "{}: there already; the drill's drawing is written over nothing: --to another",
            to.display()
        )));
    }
    let schedule = drill.schedule();
    let drawn = storage::read_schedule("drill", schedule.as_bytes(), &[], "Drill").map_err(rows)?;
    let site = Site::new(drawn.id, Elements::from_iter(drawn.items), Log::default());
    storage::create(&Disk, to, &site).map_err(store_failure)
}

/// What was asked for.
enum Asked {
    Make(usize, Makes),
    Resistor(Ohm),
    Found(usize, Named),
    Lines,
    Help,
    Done,
}

impl Asked {
    /// Reads one line of words; none for a blank one.
    fn read(words: &[&str], drill: &Drill) -> Result<Option<Self>, String> {
        let Some(first) = words.first() else {
            return Ok(None);
        };
        let line = || {
            let label = words.get(1).copied().unwrap_or_default();
            let all: Vec<&str> = drill.plans().map(|plan| plan.label.as_str()).collect();
            find("line", label, &all)
        };
        let place = |line: usize| {
            let label = words.get(2).copied().unwrap_or_default();
            let nodes = drill.plan(line).nodes.iter();
            let all: Vec<&str> = nodes.map(|it| it.label.as_str()).collect();
            find("place", label, &all)
        };
        Ok(Some(match *first {
            "read" => Self::Make(line()?, Makes::Read),
            "dc" => Self::Make(line()?, Makes::Dc),
            "listen" => {
                let line = line()?;
                Self::Make(line, Makes::Listen(place(line)?))
            }
            "split" => {
                let line = line()?;
                Self::Make(line, Makes::Split(place(line)?))
            }
            "resistor" => {
                let ohms = words.get(1).and_then(|it| it.parse::<f64>().ok());
                let ohms = ohms.filter(|it| (1.0..=1e6).contains(it));
                Self::Resistor(Ohm(ohms.ok_or("resistor: ohms were wanted, such as 400")?))
            }
            "found" => {
                let line = line()?;
                Self::Found(
                    line,
                    match words.get(2).copied() {
                        Some("nothing") => Named::Nothing,
                        Some("voltage") => Named::OtherVoltage,
                        _ => Named::Place(place(line)?),
                    },
                )
            }
            "lines" => Self::Lines,
            "help" | "?" => Self::Help,
            "done" | "quit" | "q" => Self::Done,
            other => {
                let known = [
                    "read", "dc", "listen", "split", "resistor", "found", "lines", "done",
                ];
                return Err(unknown("command", other, &known));
            }
        }))
    }
}

/// Broken at blanks where it is too wide.
fn folded(text: &str) -> String {
    let mut rows = vec![String::new()];
    for word in text.split_whitespace() {
        let last = rows.last().map_or(0, |row| row.chars().count());
        if last > 0 && last + 1 + word.chars().count() > WIDTH {
            rows.push(String::new());
        }
        if let Some(row) = rows.last_mut() {
            if !row.is_empty() {
                row.push(' ');
            }
            row.push_str(word);
        }
    }
    rows.join("\n")
}

fn find(noun: &str, label: &str, all: &[&str]) -> Result<usize, String> {
    let place = all.iter().position(|it| it.eq_ignore_ascii_case(label));
    place.ok_or_else(|| unknown(noun, label, all))
}

fn unknown(noun: &str, found: &str, all: &[&str]) -> String {
    let near = near::nearest(found, all.iter().copied());
    let advice = near.map_or_else(
        || format!("one of {}", all.join(", ")),
        |near| format!("did you mean {near}?"),
    );
    if found.is_empty() {
        format!("a {noun} was wanted: one of {}", all.join(", "))
    } else {
        format!("no {noun} {found}: {advice}")
    }
}

fn answer(drill: &mut Drill, asked: &Asked) -> String {
    match asked {
        Asked::Make(line, makes) => {
            let told = drill.make(*line, *makes);
            let plan = drill.plan(*line);
            match told {
                Some(told) => shows(plan, *makes, &told, drill.minutes()),
                None => format!("{}: nothing can be heard there\n", plan.label),
            }
        }
        Asked::Resistor(known) => {
            let read = drill.resistor(*known);
            format!("{} reads {}\n", show::ohm(*known), show::ohm(read))
        }
        Asked::Found(line, named) => {
            drill.name(*line, named.clone());
            format!(
                "{}: {}\n",
                drill.plan(*line).label,
                said(drill.plan(*line), named)
            )
        }
        Asked::Lines => drill
            .plans()
            .enumerate()
            .map(|(at, plan)| {
                let named = drill
                    .named(at)
                    .map_or("nothing said".to_owned(), |it| said(plan, it));
                format!(
                    "{}  {}  {named}\n",
                    plan.label,
                    count(plan.loudspeakers(), "loudspeaker")
                )
            })
            .collect(),
        Asked::Help => WORDS.to_owned(),
        Asked::Done => String::new(),
    }
}

fn shows(plan: &LinePlan, makes: Makes, told: &Told, all: Minutes) -> String {
    let place = |at: usize| plan.nodes[at].label.as_str();
    let figure = |at: usize| told.figures.get(at).map_or_else(String::new, reads);
    let what = match makes {
        Makes::Read => format!("the meter shows {}", figure(0)),
        Makes::Dc => format!("the ohmmeter shows {}", figure(0)),
        Makes::Split(at) => {
            format!(
                "opened before {}: near {}, far {}",
                place(at),
                figure(0),
                figure(1)
            )
        }
        Makes::Listen(at) => {
            let heard = told.heard.map_or("", Heard::word);
            format!("at {}: {heard}", place(at))
        }
    };
    format!(
        "{}: {what}   ({:.1} of {})\n",
        plan.label,
        told.took.get(),
        minutes(all)
    )
}

fn reads(shown: &Shown) -> String {
    show::value(shown.value)
}

fn minutes(it: Minutes) -> String {
    format!("{:.1} min", it.get())
}

fn said(plan: &LinePlan, named: &Named) -> String {
    match named {
        Named::Place(at) => plan.nodes[*at].label.clone(),
        Named::OtherVoltage => "other line voltage".to_owned(),
        Named::Nothing => "nothing wrong".to_owned(),
    }
}

fn end(drill: &Drill) -> String {
    let found = drill.end();
    let mut out = String::from(
        "\nline   what was there              you said            you   min  program   min\n",
    );
    for (it, plan) in found.iter().zip(drill.plans()) {
        out += &row(it, plan);
    }
    let sum = |of: fn(&Found) -> f64| found.iter().map(of).sum::<f64>();
    let right = found.iter().filter(|it| it.right).count();
    let suggested = found.iter().filter(|it| it.suggested.0).count();
    out += &format!(
        "\nYou: {right} of {} right in {:.1} min. The program, by its first suggestion each time:\n\
         {suggested} in {:.1} min. It does not know what is there either; both read the same meter.\n",
        found.len(),
        sum(|it| it.minutes.get()),
        sum(|it| it.suggested.1.get()),
    );
    out
}

fn row(it: &Found, plan: &LinePlan) -> String {
    let mut there = it.there.iter().map(|(fault, at)| match at {
        Some(at) => format!("{fault} at {at}"),
        None => (*fault).to_owned(),
    });
    let named = it
        .named
        .as_ref()
        .map_or_else(|| "-".to_owned(), |named| said(plan, named));
    let yes = |it: bool| if it { "yes" } else { "no" };
    let mut out = format!(
        "{:<6} {:<27} {named:<18}  {:<3} {:>5.1}  {:<7} {:>5.1}\n",
        it.line,
        there.next().unwrap_or_else(|| "nothing wrong".to_owned()),
        yes(it.right),
        it.minutes.get(),
        yes(it.suggested.0),
        it.suggested.1.get(),
    );
    for more in there {
        out += &format!("{:<6} {more}\n", "");
    }
    out
}

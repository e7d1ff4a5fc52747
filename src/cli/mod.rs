//! Commands: what a shell or another program runs. The words of each command, its exit status, and
//! the one place that prints.
//!
//! Never here: what a figure means, how a screen looks.

mod asked;
mod assess;
mod belong;
mod choose;
mod drill;
mod git;
mod here;
mod load;
mod near;
mod open;
mod report;
mod settle;
mod signing;
mod site_file;
mod tick;

use crate::quantity::show::harmless_lines;
use anyhow::{Context, Result, anyhow};
use clap::{CommandFactory, Parser, Subcommand};
use std::path::{Path, PathBuf};

/// Commissioning of constant-voltage loudspeaker lines, at the rack.
#[derive(Debug, Parser)]
#[command(name = "linewright", version = belong::VERSION, about, long_about = None, after_help = AFTER_HELP)]
pub struct Arguments {
    #[command(subcommand)]
    command: Option<Command>,
    /// The site to open; without it, the sites opened last are listed.
    site: Option<PathBuf>,
    /// Begin a site that is not there yet, to be typed in: an old building without a schedule.
    #[arg(long, requires = "site")]
    new: bool,
    /// What the new building is called; without it, as its file.
    #[arg(long, value_name = "TEXT", requires = "new")]
    name: Option<String>,
    #[command(flatten)]
    terminal: TerminalArguments,
}

const AFTER_HELP: &str = "\
Examples:
  linewright demo
  linewright import schedule.csv --to site.ron --name \"Old seed hall\"
  linewright --new site.ron --name \"Old seed hall\"
  linewright site.ron
  linewright record site.ron readings.csv
  linewright assess site.ron --json

Exit status: 0 done; 1 done, and assess --strict found lines out of tolerance or outputs overloaded,
or merge left a question; 2 bad input or usage, nothing written; 3 could not read, write or lock.

A line carries up to 200 V. Amplifier off, locked and proved dead before a meter goes on; local codes
and licensed practice decide.";

/// How the terminal is used.
#[derive(Clone, Debug, clap::Args)]
struct TerminalArguments {
    /// Frames and bars in ASCII only.
    #[arg(long, global = true)]
    ascii: bool,
    /// Who sits at the keyboard, as it is to stand in the log; without it the user name of this
    /// machine, in the terminal as in commands.
    #[arg(long, global = true, value_name = "NAME")]
    by: Option<String>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Open the demo site: a copy of your own, resumed if it is there.
    Demo {
        /// Begin anew; the copy there is kept beside.
        #[arg(long)]
        fresh: bool,
    },
    /// One reading: watts, and the rating that leaves the headroom.
    Load {
        /// What the meter shows: 412, 4.1k, 41x10, open, 0 for a short.
        #[arg(allow_negative_numbers = true)]
        ohms: String,
        /// Nominal line voltage.
        #[arg(long, default_value = "100", allow_negative_numbers = true)]
        volts: String,
    },
    /// Make a site from a loudspeaker schedule, or bring a revised schedule into its site.
    Import {
        /// The schedule.
        schedule: PathBuf,
        /// The site file.
        #[arg(long, value_name = "SITE.ron")]
        to: PathBuf,
        /// What the building is called.
        #[arg(long, value_name = "TEXT")]
        name: Option<String>,
        /// Cables that are no standard size.
        #[arg(long, value_name = "CABLES.csv")]
        cables: Option<PathBuf>,
    },
    /// The log as CSV.
    Log {
        /// The site file.
        site: PathBuf,
    },
    /// Add readings from CSV, all or none.
    Record {
        /// The site file.
        site: PathBuf,
        /// The readings.
        readings: PathBuf,
        /// Readings of lines that are ticked back on, or stand opened for a split, were taken while they
        /// were off and whole.
        #[arg(long)]
        read_while_off: bool,
    },
    /// Verdicts, loads, suspects.
    Assess {
        /// The site file.
        site: PathBuf,
        /// As JSON.
        #[arg(long)]
        json: bool,
        /// One line only.
        #[arg(long, value_name = "LABEL")]
        line: Option<String>,
        /// Exit status 1 when a line is out of tolerance or an output overloaded.
        #[arg(long)]
        strict: bool,
        /// An older site file, or the .json of an older record, to compare with.
        #[arg(long, value_name = "OLD")]
        baseline: Option<PathBuf>,
    },
    /// Write the record; its kind goes by the file's ending.
    Report {
        /// The site file.
        site: PathBuf,
        #[command(flatten)]
        how: report::ReportArguments,
    },
    /// What stands in the way of signing, worst first.
    Review {
        /// The site file.
        site: PathBuf,
        /// Only of an amplifier, a zone or a line.
        #[arg(long, value_name = "LABEL")]
        scope: Option<String>,
    },
    /// Say a word on a flagged line or output.
    Settle {
        /// The site file.
        site: PathBuf,
        /// Labels of lines, or of outputs: A1/2. One word is recorded on each.
        #[arg(required = true, value_name = "LABEL")]
        of: Vec<String>,
        #[command(flatten)]
        word: settle::WordArguments,
    },
    /// Tick items of the rack list and the hand-back list; without an item, list them.
    Tick {
        /// The site file.
        site: PathBuf,
        /// Names of the items.
        items: Vec<String>,
        /// Amplifiers; of an item that is ticked line by line a line, or an amplifier or output for all of its
        /// lines. Without it, every one.
        #[arg(long, value_name = "LABEL")]
        of: Vec<String>,
        /// It does not exist here, and why.
        #[arg(long, value_name = "WHY")]
        not_here: Option<String>,
        /// First power, though a line that reads short or open is not ticked off.
        #[arg(long)]
        even_so: bool,
    },
    /// Sign: name and date on what stands, with digests that show a later change; they are no
    /// protection against someone who makes them anew.
    Sign {
        /// The site file.
        site: PathBuf,
        /// Who signs.
        #[arg(long, value_name = "NAME")]
        name: String,
        /// As what.
        #[arg(long, value_name = "ROLE")]
        role: String,
        /// An amplifier, a zone or a line; without it, the whole site.
        #[arg(long, value_name = "LABEL")]
        scope: Option<String>,
    },
    /// Have git join copies of a site: the merge driver, its attributes, what git leaves alone.
    GitSetup {
        /// The site file, in a git repository.
        site: PathBuf,
    },
    /// Answer a question that joined copies left: this is what holds.
    Choose {
        /// The site file.
        site: PathBuf,
        /// What holds: the word in brackets behind it in `assess`.
        choice: String,
    },
    /// Join two copies of a site into OURS.
    Merge {
        /// The copy both began from; may be empty.
        base: PathBuf,
        /// Ours; the result goes here.
        ours: PathBuf,
        /// Theirs.
        theirs: PathBuf,
    },
    /// Practise: a building with hidden faults answers your tests, and says at the end how you did.
    ///
    /// Ask its meter in one window (`read L-001`, `listen L-001 LS-03`, `split`, `dc`), keep the
    /// survey in another: `linewright drill-7.ron`. `found L-001 LS-03` says where it is, `done` ends it.
    Drill {
        /// Which building; without it, one of the day.
        #[arg(long)]
        seed: Option<u64>,
        /// Lines of it.
        #[arg(long, default_value = "8", value_parser = clap::value_parser!(u16).range(1..=200))]
        lines: u16,
        /// Where its drawing goes as a site; without it, drill-SEED.ron here.
        #[arg(long, value_name = "SITE.ron")]
        to: Option<PathBuf>,
    },
    /// Print what a shell wants for completing these commands.
    Completions {
        /// The shell.
        shell: clap_complete::Shell,
    },
    /// Print the manual page.
    Manual,
}

/// What was handed in cannot be used: exit status 2, nothing written. Every other error is one of
/// reading, writing or locking: 3.
#[derive(Debug, thiserror::Error)]
#[error("{}", lines.join("\n"))]
struct Refusal {
    /// What to say on standard error, a line each.
    lines: Vec<String>,
}

impl Refusal {
    fn of(line: impl ToString) -> anyhow::Error {
        Self::of_all(vec![line])
    }

    fn of_all<T: ToString>(lines: Vec<T>) -> anyhow::Error {
        Self {
            lines: lines.iter().map(ToString::to_string).collect(),
        }
        .into()
    }
}

/// Reads the arguments of the process, does what they ask, gives the exit status.
#[must_use]
pub fn main() -> u8 {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let status = if error.use_stderr() { 2 } else { 0 };
            // Nobody to tell when even this cannot be printed.
            let _ = error.print();
            return status;
        }
    };
    match run(arguments) {
        Ok(status) => status,
        Err(error) => {
            say(format!("{error:#}"));
            if error.is::<Refusal>() { 2 } else { 3 }
        }
    }
}

fn run(arguments: Arguments) -> Result<u8> {
    let terminal = arguments.terminal;
    match arguments.command {
        None => match arguments.site {
            Some(path) if arguments.new => open::begin(&path, arguments.name.as_deref(), &terminal),
            Some(path) if path.exists() => open::site(&path, &terminal),
            Some(path) => Err(no_such(&path)),
            None => open::recent(),
        },
        Some(Command::Demo { fresh }) => open::demo(fresh, &terminal),
        Some(Command::Load { ohms, volts }) => load::load(&ohms, &volts),
        Some(Command::Import {
            schedule,
            to,
            name,
            cables,
        }) => site_file::import(
            &schedule,
            &to,
            name.as_deref(),
            cables.as_deref(),
            &terminal,
        ),
        Some(Command::Log { site }) => site_file::log(&site),
        Some(Command::Record {
            site,
            readings,
            read_while_off,
        }) => site_file::record(&site, &readings, read_while_off, &terminal),
        Some(Command::Assess {
            site,
            json,
            line,
            strict,
            baseline,
        }) => assess::assess(&site, json, line.as_deref(), strict, baseline.as_deref()),
        Some(Command::GitSetup { site }) => git::setup(&site),
        Some(Command::Choose { site, choice }) => choose::choose(&site, &choice, &terminal),
        Some(Command::Report { site, how }) => report::report(&site, &how),
        Some(Command::Review { site, scope }) => signing::review(&site, scope.as_deref()),
        Some(Command::Settle { site, of, word }) => settle::settle(&site, &of, &word, &terminal),
        Some(Command::Tick {
            site,
            items,
            of,
            not_here,
            even_so,
        }) => tick::tick(&site, &items, &of, not_here.as_deref(), even_so, &terminal),
        Some(Command::Sign {
            site,
            name,
            role,
            scope,
        }) => signing::sign(&site, &name, &role, scope.as_deref(), &terminal),
        Some(Command::Merge { base, ours, theirs }) => site_file::merge(&base, &ours, &theirs),
        Some(Command::Drill { seed, lines, to }) => drill::drill(seed, lines, to),
        Some(Command::Completions { shell }) => belong::completions(shell),
        Some(Command::Manual) => belong::manual(),
    }
}

/// What was named is neither a file nor a command.
fn no_such(path: &Path) -> anyhow::Error {
    let word = path.display().to_string();
    if word.contains(['.', '/', '\\']) {
        return anyhow!(
            "there is no {word}: a site file was wanted; `linewright import` makes one of a \
             schedule, `linewright --new {word}` begins one by typing"
        );
    }
    let commands: Vec<String> = Arguments::command()
        .get_subcommands()
        .map(|command| command.get_name().to_owned())
        .collect();
    let advice = near::nearest(&word, commands.iter().map(String::as_str)).map_or_else(
        || "`linewright --help` tells the commands".to_owned(),
        |near| format!("did you mean {near}?"),
    );
    Refusal::of(format!(
        "{word}: no such file and no such command; {advice}"
    ))
}

/// Prints data: as it is for another program, harmless for a terminal. A pipe that was closed early
/// is no failure.
fn print(text: &str) -> Result<u8> {
    use std::io::{IsTerminal, Write};
    let mut out = std::io::stdout().lock();
    let shown = if out.is_terminal() {
        std::borrow::Cow::Owned(harmless_lines(text))
    } else {
        text.into()
    };
    match out.write_all(shown.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Ok(0),
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(0),
        Err(error) => Err(error).context("standard output"),
    }
}

/// Says something beside the data; what it quotes of a file steers no terminal. When nobody listens any more (a closed pipe) that is no failure:
/// what was done is done.
fn say(text: impl std::fmt::Display) {
    use std::io::Write;
    let text = harmless_lines(&text.to_string());
    let _ = writeln!(std::io::stderr(), "{text}");
}

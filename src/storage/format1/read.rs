//! Bytes -> site, or where and why not.

use super::asked::ask;
use super::conflict::{for_a_shell, last_part, marker};
use super::place::{Place, Rows, line_starts, rows, snippet};
use super::quick::quick;
use super::{FORMAT, File, LARGEST, SUM, options, unfit};
use crate::site::{Elements, Log, Problem, Ref, Site, Whence, unsound};
use serde::Serialize;
use std::collections::HashMap;
use std::fmt;
use thiserror::Error;

/// How many problems are put into words; the error holds them all.
const MOST_SHOWN: usize = 100;

/// What the sum line says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sum {
    /// It fits: these are the bytes that were written.
    Right,
    /// It does not fit: the file was changed by another hand.
    Wrong,
    /// There is none.
    Missing,
}

/// A site as read.
#[derive(Debug)]
pub struct SiteText {
    /// The site.
    pub site: Site,
    /// Whether the file was changed by another hand.
    pub sum: Sum,
}

/// A problem with the row it sits in.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// The file.
    pub name: String,
    /// Where its row begins; none when nothing of the kind stands in the file.
    pub place: Option<Place>,
    /// What is wrong.
    pub what: String,
}

impl fmt::Display for Placed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.name)?;
        if let Some(place) = self.place {
            write!(f, ":{place}")?;
        }
        write!(f, ": {}", self.what)
    }
}

/// Why a site file is refused. It stays as it is.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ReadError {
    /// Over the limit.
    #[error("{name} has {bytes} bytes; at most {LARGEST} are read")]
    TooLarge {
        /// The file.
        name: String,
        /// Its length.
        bytes: u64,
    },
    /// Nothing in it, or nothing but NUL bytes.
    #[error(
        "{name} is empty: a power cut can do that; take the last version from git or from a copy, \
         the journals beside it are kept"
    )]
    Empty {
        /// The file.
        name: String,
    },
    /// Not text.
    #[error("{name}:{place}: this is not UTF-8 text; a site file was wanted")]
    NotText {
        /// The file.
        name: String,
        /// The first byte that is none.
        place: Place,
    },
    /// A merge that git left open.
    #[error(
        "{name}:{place}: git left a merge open here; nothing was changed. All three versions are \
         in git: in the folder of the file this takes them out and joins them (if git says that \
         there is no :1:, go on, an empty base will do):\n  git show :1:./{file} > {file}.base\n  \
         git show :3:./{file} > {file}.theirs\n  git show :2:./{file} > {file}\n  linewright merge \
         {file}.base {file} {file}.theirs\n  git add {file}\nthen remove {file}.base and \
         {file}.theirs; `linewright git-setup {file}` lets git do all that by itself",
        file = for_a_shell(last_part(name))
    )]
    Conflict {
        /// The file.
        name: String,
        /// The first marker.
        place: Place,
    },
    /// Written by a newer program.
    #[error(
        "{name}:{place}: the file has format {found}, this linewright reads format {FORMAT}: a \
         newer linewright wrote it; nothing was changed"
    )]
    Newer {
        /// The file.
        name: String,
        /// Where its number stands.
        place: Place,
        /// Its number.
        found: u64,
    },
    /// Cannot be read.
    #[error("{snippet}")]
    Syntax {
        /// The file.
        name: String,
        /// Where.
        place: Place,
        /// The way to it, such as `items[3].is.label`; empty at the top.
        path: String,
        /// What was found and wanted.
        why: String,
        /// The same with the line and a caret, as printed.
        snippet: String,
    },
    /// Read, but its data cannot be used.
    #[error("{}", all(problems))]
    Problems {
        /// All of them, by place.
        problems: Vec<Placed>,
    },
}

fn all(problems: &[Placed]) -> String {
    let shown = problems.iter().take(MOST_SHOWN);
    let mut lines: Vec<String> = shown.map(ToString::to_string).collect();
    if problems.len() > MOST_SHOWN {
        lines.push(format!("and {} more", problems.len() - MOST_SHOWN));
    }
    lines.join("\n")
}

/// Reads a site file. `name` is what messages call it.
///
/// # Errors
/// Says where, what was found and what was wanted; a site with problems in its design data is
/// refused with all of them.
pub fn read(name: &str, bytes: &[u8]) -> Result<SiteText, ReadError> {
    let name = name.to_owned();
    let length = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
    if length > LARGEST {
        let bytes = length;
        return Err(ReadError::TooLarge { name, bytes });
    }
    if bytes.iter().all(|byte| *byte == 0) {
        return Err(ReadError::Empty { name });
    }
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(why) => {
            let sound = String::from_utf8_lossy(&bytes[..why.valid_up_to()]);
            let place = Place::of_byte(&sound, sound.len());
            return Err(ReadError::NotText { name, place });
        }
    };
    if let Some(at) = marker(text) {
        let place = Place::of_byte(text, at);
        return Err(ReadError::Conflict { name, place });
    }
    if let Some((at, found)) = format_number(text)
        && found > u64::from(FORMAT)
    {
        let place = Place::of_byte(text, at);
        return Err(ReadError::Newer { name, place, found });
    }
    if let Some(site) = quick(text) {
        let sum = sum(text);
        return Ok(SiteText { site, sum });
    }
    let file = parse(&name, text)?;
    let (elements, log) = parts(&name, text, &file)?;
    Ok(SiteText {
        site: Site::new(file.id, elements, log),
        sum: sum(text),
    })
}

fn sum(text: &str) -> Sum {
    let Some(start) = text.rfind(SUM) else {
        return Sum::Missing;
    };
    let line = &text[start..];
    let body = crc32fast::hash(&text.as_bytes()[..start]);
    if line == format!("{SUM}{body:08x}\n") {
        Sum::Right
    } else {
        Sum::Wrong
    }
}

/// The number behind `format:` where it comes first, as in every file that a linewright wrote. It
/// is looked for in the text, since what follows it in a newer file may not be read at all.
fn format_number(text: &str) -> Option<(usize, u64)> {
    let mut rest = text.trim_start();
    while rest.starts_with("//") {
        rest = rest.split_once('\n')?.1.trim_start();
    }
    rest = rest.strip_prefix("Site").unwrap_or(rest).trim_start();
    rest = rest.strip_prefix('(')?.trim_start();
    rest = rest.strip_prefix("format")?.trim_start();
    rest = rest.strip_prefix(':')?.trim_start();
    let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
    let number = rest[..digits].parse().ok()?;
    Some((text.len() - rest.len(), number))
}

fn parse(name: &str, text: &str) -> Result<File, ReadError> {
    let syntax = |position: ron::error::Position, path: String, why: String| {
        let place = Place {
            line: position.line.max(1),
            column: position.col.max(1),
        };
        let title = if path.is_empty() || path == "." {
            "this is no site file of format 1".to_owned()
        } else {
            format!("{path} cannot be read")
        };
        ReadError::Syntax {
            name: name.to_owned(),
            place,
            snippet: snippet(name, text, place, &title, &why),
            path,
            why,
        }
    };
    let mut de = ron::Deserializer::from_str_with_options(text, &options())
        .map_err(|why| syntax(why.span.start, String::new(), why.code.to_string()))?;
    let file: Result<File, _> = serde_path_to_error::deserialize(&mut de);
    let file = file.map_err(|why| {
        let path = why.path().to_string();
        let spanned = de.span_error(why.into_inner());
        syntax(spanned.span.start, path, spanned.code.to_string())
    })?;
    de.end().map_err(|why| {
        let spanned = de.span_error(why);
        syntax(spanned.span.start, String::new(), spanned.code.to_string())
    })?;
    Ok(file)
}

/// Elements and log out of the rows, checked.
fn parts(name: &str, text: &str, file: &File) -> Result<(Elements, Log), ReadError> {
    let mut found = Found::new(name, text);
    if file.format != FORMAT {
        let what = format!("the format is {}, {FORMAT} was wanted", file.format);
        found.say(None, what);
    }
    let mut elements = Elements::default();
    for (n, item) in file.items.iter().enumerate() {
        let place = found.rows.items.get(n).copied();
        found.numbers_and_notes(place, item);
        let of = Ref::new(item.is.kind(), &item.id);
        if let Some((_, other)) = elements.standing(&of).first()
            && *other != item.is
        {
            let words = "the id was given out before, to a row that says something else";
            found.say(place, format!("{:?} {}: {words}", of.kind(), item.id));
        }
        found.of_item.entry(of.clone()).or_insert(place);
        elements.add(of, item.stamp.clone(), item.is.clone());
    }
    let mut log = Log::default();
    for (n, entry) in file.log.iter().enumerate() {
        let place = found.rows.log.get(n).copied();
        found.numbers_and_notes(place, entry);
        found.of_entry.entry(entry.id.to_string()).or_insert(place);
        log.add(entry.clone());
    }
    for (n, question) in file.questions.iter().enumerate() {
        let place = found.rows.questions.get(n).copied();
        found.numbers_and_notes(place, question);
        let of = &question.of;
        if elements.standing(of).iter().next().is_some() {
            let words = "stands among the items and in a question; one of the rows must go";
            found.say(place, format!("{:?} {} {words}", of.kind(), of.id()));
        }
        if question.designs.is_empty() {
            let words = "a question without a design; what may stand was wanted, on";
            found.say(place, format!("{words} {:?} {}", of.kind(), of.id()));
        }
        found.of_item.entry(of.clone()).or_insert(place);
        for (stamp, _, _, design) in &question.designs {
            if design.kind() != of.kind() {
                let words = "a design of another kind stands in the question on";
                found.say(place, format!("{words} {:?} {}", of.kind(), of.id()));
            }
            elements.add(of.clone(), stamp.clone(), design.clone());
        }
    }
    // With numbers that are none nothing equals itself: the checks below would go astray.
    if found.problems.is_empty() {
        for problem in unsound(&elements, &log) {
            found.problem(&problem);
        }
        for problem in ask(&mut elements, &file.questions) {
            found.problem(&problem);
        }
    }
    found.problems.sort_by_key(|problem| problem.place);
    if found.problems.is_empty() {
        Ok((elements, log))
    } else {
        let problems = found.problems;
        Err(ReadError::Problems { problems })
    }
}

/// Problems as they are found, with what is needed to place them.
struct Found<'a> {
    name: &'a str,
    text: &'a str,
    rows: Rows,
    /// Where each line begins, so that many problems are placed as fast as one.
    lines: Vec<usize>,
    of_item: HashMap<Ref, Option<usize>>,
    of_entry: HashMap<String, Option<usize>>,
    problems: Vec<Placed>,
}

impl<'a> Found<'a> {
    fn new(name: &'a str, text: &'a str) -> Self {
        Self {
            name,
            text,
            rows: rows(text),
            lines: line_starts(text),
            of_item: HashMap::new(),
            of_entry: HashMap::new(),
            problems: Vec::new(),
        }
    }

    fn say(&mut self, at: Option<usize>, what: String) {
        self.problems.push(Placed {
            name: self.name.to_owned(),
            place: at.map(|at| Place::on_lines(self.text, &self.lines, at)),
            what,
        });
    }

    fn problem(&mut self, problem: &Problem) {
        let at = match &problem.whence {
            Whence::Item(of) => self.of_item.get(of),
            Whence::Entry(id) => self.of_entry.get(id.as_str()),
        };
        self.say(at.copied().flatten(), problem.to_string());
    }

    /// What no row may hold, whatever its kind.
    fn numbers_and_notes(&mut self, at: Option<usize>, row: &impl Serialize) {
        if let Some(words) = unfit(row) {
            self.say(at, words);
        }
    }
}

//! The hand-over record, or a copy of the site, asked for at the keyboard: what it is called, what is written,
//! what is said of it. The same facts, made the same way, as those of the command that writes a record.
//!
//! Never here: the file itself.

use super::keys::Place;
use super::mode::{Mode, Purpose, Words};
use super::{Effect, Message, Session};
use crate::analysis::Analyst;
use crate::report::{self, Assessment, Paper};
use crate::site::Site;
use jiff::Timestamp;

/// A file to be written: where, and of what.
#[derive(Clone, Debug)]
pub struct Print {
    /// A file name, beside the site file, or a path; its ending says what it becomes.
    pub to: String,
    site: Site,
}

impl Print {
    /// The site, where a copy of it is what is asked for.
    #[must_use]
    pub fn copied(&self) -> Option<&Site> {
        ends(&self.to, COPY).then_some(&self.site)
    }

    /// The whole record. Takes its time: every line is reckoned with its suspects.
    ///
    /// # Errors
    /// Why there is none, in words; a defect of the program.
    pub fn record(&self) -> Result<Vec<u8>, String> {
        let analyst = Analyst::at_rest(&self.site, None);
        let data = Assessment::of(&self.site, &analyst, None);
        let data = data.with_visit_before(&self.site, &analyst, None);
        let document = report::record(&data);
        match ends(&self.to, PAGE) {
            true => Ok(report::html(&document).into_bytes()),
            false => report::pdf(&document, Paper::A4).map_err(|why| why.to_string()),
        }
    }
}

/// Whether a file name ends so.
fn ends(name: &str, ending: &str) -> bool {
    name.to_lowercase().ends_with(ending)
}

/// What became of a record that was asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Printed {
    /// It stands in this file, its full path.
    Written(String),
    /// A file of that name was there already and stays as it is: the full path, and the name asked for.
    There(String, String),
    /// It could not be written, and why.
    Failed(String),
}

/// Records of this opening.
#[derive(Clone, Debug, Default)]
pub(super) struct Printing {
    /// The one that is being written.
    pub now: Option<String>,
    /// Names that are taken.
    taken: Vec<String>,
}

const ENDING: &str = ".pdf";
const PAGE: &str = ".html";
/// A copy of the site, for whoever reads other lines with a laptop of their own.
const COPY: &str = ".ron";

/// What is said while it is written begins with this.
const WRITING: &str = "writing ";

impl Session {
    /// `P` in the review, `g p` everywhere: asks for the name of the file, one proposed.
    pub(super) fn start_print(&mut self, now: Timestamp) {
        if let Some(to) = &self.printing.now {
            let words = format!("still writing {to}: it says so when it is done");
            return self.say(&words);
        }
        let text = self.proposed(now);
        let caret = text.chars().count();
        self.mode = Mode::Text(Words {
            text,
            caret,
            ..Words::new(Purpose::Record)
        });
        self.say("the record, beside the site file or in a path; .html too, and .ron: a copy of the site");
    }

    /// The building and the day; a number behind it where that is taken.
    fn proposed(&self, now: Timestamp) -> String {
        let kept = |c: char| match c {
            c if c.is_alphanumeric() || c == '.' || c == '_' => c,
            _ => '-',
        };
        let label: String = self.site.label().trim().chars().map(kept).collect();
        let label = label.trim_matches(['-', '.']);
        let label = if label.is_empty() { "record" } else { label };
        let day = now.to_zoned_datetime(self.opening.zone.clone()).date();
        let name = |nth: usize| match nth {
            1 => format!("{label}-{day}{ENDING}"),
            _ => format!("{label}-{day}-{nth}{ENDING}"),
        };
        let mut nth = 1;
        while self.printing.taken.contains(&name(nth)) {
            nth += 1;
        }
        name(nth)
    }

    /// Enter behind the name.
    pub(super) fn print(&mut self, to: &str) -> Vec<Effect> {
        let to = to.trim();
        let wrong = match to.rsplit(['/', '\\']).next() {
            None | Some("") => Some("a file name was wanted, such as record.pdf".to_owned()),
            Some(name) if ![ENDING, PAGE, COPY].iter().any(|it| ends(name, it)) => Some(format!(
                "{to}: .pdf or .html was wanted, .ron for a copy of the site; else: linewright report --to"
            )),
            Some(_) if !self.pending.is_empty() => {
                let count = self.pending.len();
                Some(format!(
                    "{count} not on the disk yet, so not in it: Enter once they are"
                ))
            }
            Some(_) => None,
        };
        if let Some(text) = wrong {
            return self.alarm(text);
        }
        self.mode = Mode::Key;
        self.say(&format!("{WRITING}{to}... keys go on meanwhile"));
        self.printing.now = Some(to.to_owned());
        vec![Effect::Print(Box::new(Print {
            to: to.to_owned(),
            site: self.site.clone(),
        }))]
    }

    /// What became of it.
    pub(super) fn printed(&mut self, printed: Printed) {
        let asked = self.printing.now.take();
        let (text, alarm) = match printed {
            Printed::Written(path) => {
                self.printing.taken.extend(asked);
                let text = match ends(&path, COPY) {
                    true => format!(
                        "copy written: {path}. Back here, the next opening offers what was read there"
                    ),
                    false => format!("record written: {path}"),
                };
                (text, false)
            }
            Printed::There(path, name) => {
                self.printing.taken.push(name);
                let again = "g p proposes another name";
                (
                    format!("not written, {path} is there and stays as it is; {again}"),
                    true,
                )
            }
            Printed::Failed(why) => {
                // No key was pressed since: the name is there again, to be put right.
                let waits = self.mode == Mode::Key && self.message.text.starts_with(WRITING);
                if let Some(text) = asked.filter(|_| waits && self.place != Place::Help) {
                    let caret = text.chars().count();
                    self.mode = Mode::Text(Words {
                        text,
                        caret,
                        ..Words::new(Purpose::Record)
                    });
                }
                (format!("not written: {why}"), true)
            }
        };
        self.message = Message {
            text,
            hint: "",
            alarm,
        };
    }
}

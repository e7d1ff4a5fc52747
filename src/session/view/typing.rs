//! The panel while a design is typed: what it comes to, what is wrong with it, what may be typed.

use super::super::Session;
use super::super::design::{Built, Drawn, rows};
use super::super::mode::{Mode, Purpose, Words};
use super::section::{Parts, Section};
use super::text::{self, Line, Tone};
use crate::site::{Design, Elements, Kind, Ref};

/// Cells of a field's name.
const NAME: usize = 14;

/// The same where the panel has hardly room for a value.
const fn name_cells(width: usize) -> usize {
    if width < 30 { NAME - 2 } else { NAME }
}

impl Session {
    /// The words of a design that is being typed.
    pub(super) fn design_words(&self) -> Option<&Words> {
        match &self.mode {
            Mode::Text(words) if words.purpose.is_design() => Some(words),
            _ => None,
        }
    }

    /// What stands at the left of the entry line.
    pub(super) fn design_prompt(&self, purpose: &Purpose) -> String {
        let ahead = self.elements_ahead();
        let name = |of: &Ref| match of {
            Ref::Site => self.site.label().to_owned(),
            Ref::Output(_) => {
                let row = self.row_at(&self.cursor).map(|at| &self.rows[at]);
                row.map_or_else(|| ahead.label(of).to_owned(), |row| row.title.clone())
            }
            _ => ahead.label(of).to_owned(),
        };
        match purpose {
            Purpose::Add(thing, at) => {
                let name = name(at);
                let name: String = name.split("  ").take(1).collect();
                format!(" {name} add {}> ", thing.word())
            }
            Purpose::Change(of) => format!(" change {}> ", ahead.label(of)),
            Purpose::Gone(of) => format!(" {} not there, why> ", ahead.label(of)),
            Purpose::TryOut(line) => format!(" {} try> ", self.label_of(line)),
            _ => String::new(),
        }
    }

    /// The panel while a design is typed.
    pub(super) fn typing_parts(&self, words: &Words, width: usize) -> Parts {
        if let Purpose::TryOut(_) = words.purpose {
            return self.trial_parts(width);
        }
        let ahead = self.elements_ahead();
        let mut first =
            Section::titled(&text::cut(&title(words, &ahead), width.saturating_sub(10)));
        match self.designed(words) {
            Ok(built) => {
                self.comes_to(&built, words, &ahead, width, &mut first);
                if let Some(words) = self.volts_words(&built) {
                    first.words(" * ", &words, width, Tone::Draft);
                }
            }
            Err(refused) => {
                first.words(" ? ", &refused.to_string(), width, Tone::Draft);
            }
        }
        let mut fields = Section::default();
        let thing = match &words.purpose {
            Purpose::Add(thing, _) => Some(*thing),
            Purpose::Change(of) => {
                let design = ahead.settled(of);
                design.and_then(super::super::Thing::of)
            }
            _ => None,
        };
        if let Some(thing) = thing {
            fields = Section::titled(if width < 34 {
                "what may be typed"
            } else {
                "what may be typed, in any order"
            });
            for (written, says) in thing.fields() {
                let start = format!("   {} ", text::left(written, NAME - 2));
                fields.words(&start, says, width, Tone::Plain);
            }
            let more: &[(&str, &str)] = match words.purpose {
                Purpose::Add(..) => &[
                    ("\"Hall 1\"", "a label with blanks"),
                    ("; next", "one more; blank: the same"),
                    ("Tab Up Down", "add something else"),
                ],
                _ if matches!(
                    thing,
                    super::super::Thing::Loudspeaker
                        | super::super::Thing::Junction
                        | super::super::Thing::Device
                ) =>
                {
                    &[
                        ("l:R-05", "to that line, with all behind it"),
                        ("gone: why", "it is not there"),
                        ("Tab Up Down", "change what it belongs to"),
                    ]
                }
                _ if matches!(
                    thing,
                    super::super::Thing::Instrument | super::super::Thing::Visit
                ) =>
                {
                    &[]
                }
                _ => &[
                    ("gone: why", "it is not there"),
                    ("Tab Up Down", "change what it belongs to"),
                ],
            };
            for (written, says) in more {
                let start = format!("   {} ", text::left(written, NAME - 2));
                fields.words(&start, says, width, Tone::Plain);
            }
        }
        if let Purpose::Change(Ref::Figure(name)) = &words.purpose {
            fields = Section::titled("as it stands");
            self.figure_section(name, width, &mut fields);
            let more = "default alone sets it back";
            fields.words("   ", more, width, Tone::Plain);
        }
        // One after the other, as far as there is room.
        if !fields.0.is_empty() {
            first.push(Line::default());
            first.0.extend(fields.0);
        }
        Parts {
            first: vec![first],
            beside: Vec::new(),
            ..Parts::default()
        }
    }

    fn comes_to(
        &self,
        built: &Built,
        words: &Words,
        ahead: &Elements,
        width: usize,
        out: &mut Section,
    ) {
        let after = built.onto(ahead);
        let (main, plain) = match &words.purpose {
            Purpose::Gone(of) => {
                out.push(Line::plain("   kept as retired, with this reason"));
                (Some(of.clone()), None)
            }
            // What would stand with nothing typed: what differs was said.
            Purpose::Add(thing, at) => {
                let empty = Words::new(Purpose::Add(*thing, at.clone()));
                (built.main.clone(), Some(self.designed(&empty).ok()))
            }
            _ => (built.main.clone(), None),
        };
        if let Some(of) = &main
            && let Some(design) = after.settled(of)
            && !matches!(design, Design::Retired(_))
        {
            let standing = match &plain {
                Some(empty) => empty.as_ref().and_then(|empty| {
                    let own = empty.main.as_ref()?;
                    let design = empty.changes.iter().find(|(of, _)| of == own);
                    Some(rows(Drawn(&empty.onto(ahead)), own, &design?.1))
                }),
                None => ahead.settled(of).map(|old| rows(Drawn(ahead), of, old)),
            };
            for (name, value) in rows(Drawn(&after), of, design) {
                let before = standing
                    .as_ref()
                    .and_then(|rows| rows.iter().find(|(other, _)| *other == name));
                let said = before.is_none_or(|(_, old)| *old != value);
                let sign = if said { '*' } else { ' ' };
                let tone = if said { Tone::Draft } else { Tone::Plain };
                let start = format!(" {sign} {}", text::left(name, name_cells(width) - 1));
                let room = width.saturating_sub(text::width(&start) + 1);
                let cell = format!("{} ", text::cut(&value, room));
                out.push(Line::plain(start).and(cell, tone));
                if plain.is_none()
                    && said
                    && let Some((_, old)) = before
                {
                    let start = format!("   {}", text::left("  was", name_cells(width) - 1));
                    let was = text::cut(old, width.saturating_sub(text::width(&start) + 1));
                    out.push(Line::plain(format!("{start}{was}")));
                }
            }
        }
        self.beside_it(built, main.as_ref(), (ahead, &after), width, out);
    }

    /// What else comes or changes with it.
    fn beside_it(
        &self,
        built: &Built,
        main: Option<&Ref>,
        (ahead, after): (&Elements, &Elements),
        width: usize,
        out: &mut Section,
    ) {
        let others: Vec<&(Ref, Design)> = built
            .changes
            .iter()
            .filter(|(of, _)| Some(of) != main)
            .collect();
        for (of, now) in others.iter().take(6) {
            let new = ahead.standing(of).is_empty();
            let label = now.label().unwrap_or(of.id());
            let kind = of.kind().word();
            let was = ahead.settled(of);
            let words = match now {
                Design::Retired(_) => format!("with it {label} goes"),
                // It hangs behind what moves to another line.
                _ if was
                    .is_some_and(|was| of.kind() == Kind::Node && was.parent() != now.parent()) =>
                {
                    let own = was.and_then(Design::label).unwrap_or_default();
                    let to = Ref::Line(now.parent().into());
                    let to = ahead.label(&to);
                    if own == label {
                        format!("with it {own} goes to {to}")
                    } else {
                        format!("with it {own} goes to {to} as {label}")
                    }
                }
                Design::Loudspeaker(_) | Design::Junction(_) | Design::Device(_) if !new => {
                    let rows = rows(Drawn(after), of, now);
                    let say = |name| {
                        let row = rows.iter().find(|(other, _)| *other == name);
                        row.map_or("", |(_, value)| value.as_str())
                    };
                    format!("{label} then from {}, {}", say("from"), say("run"))
                }
                Design::Loudspeaker(_) | Design::Junction(_) | Design::Device(_) => {
                    format!("with {label}")
                }
                _ if new => format!("new {kind} {label}"),
                _ => format!("{kind} {label} changes"),
            };
            out.words(" * ", &words, width, Tone::Draft);
        }
        if others.len() > 6 {
            out.push(Line::plain(format!("   and {} more", others.len() - 6)));
        }
    }
}

fn title(words: &Words, ahead: &Elements) -> String {
    match &words.purpose {
        Purpose::Add(thing, _) => format!("typed: new {}", thing.word()),
        Purpose::Change(of) => format!("typed: {}", ahead.label(of)),
        Purpose::Gone(of) => format!("{} is not there", ahead.label(of)),
        _ => String::new(),
    }
}

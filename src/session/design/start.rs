//! How an entry of the design begins, and how Tab goes on from it: to another kind of thing, to the item
//! above, to the next proposal.

use super::drawn::Drawn;
use super::retap::{Fits, Proposal};
use super::thing::Thing;
use super::typed::quoted;
use super::{change, pasted, retap};
use crate::quantity::{Watt, show};
use crate::session::keys::Action;
use crate::session::mode::{Mode, Purpose, Words};
use crate::session::tree::RowId;
use crate::session::{Effect, Message, Session};
use crate::site::{Design, LineId, OutputId, Ref};
use crate::verdict::OutputWord;
use jiff::Timestamp;

/// Said while something is tried out.
const NOTHING_YET: &str = "nothing changes before Enter; Tab: the next proposal";

impl Session {
    pub(in crate::session) fn begin(&mut self, purpose: Purpose, text: String) {
        if !self.may_write() {
            self.say_read_only();
            return;
        }
        self.say(match &purpose {
            Purpose::Add(thing, _) if self.is_first(*thing) => {
                "the first: the panel says what may be typed; Enter adds it"
            }
            Purpose::Add(..) => "say only what differs from the one above; Enter adds it",
            Purpose::Gone(_) => "why it is not there; Enter takes it out, u brings it back",
            Purpose::TryOut(_) => NOTHING_YET,
            _ => "what is said here is what it is to be; Enter takes it",
        });
        self.page = 0;
        let text = opened(&purpose, text);
        let caret = text.chars().count();
        self.mode = Mode::Text(Words {
            purpose,
            text,
            caret,
            found: None,
        });
    }

    /// Nothing of that kind stands yet that it could be like.
    fn is_first(&self, thing: Thing) -> bool {
        let ahead = self.elements_ahead();
        let mut items = ahead.items();
        !items.any(|(_, design)| Thing::of(design) == Some(thing))
    }

    /// `a`: what belongs below the cursor.
    pub(in crate::session) fn start_add(&mut self) {
        let at = self.anchor();
        let thing = match &self.cursor {
            RowId::Zone(..) => Thing::Line,
            _ => Thing::below(&at),
        };
        self.begin(Purpose::Add(thing, at), String::new());
    }

    /// Where something new goes: at the item under the cursor; on a zone's row behind its last line.
    pub(in crate::session) fn anchor(&self) -> Ref {
        // What was just added is on its way: the next goes behind it, not beside it.
        if let Some((_, to, from)) = &self.desk.follow
            && *from == self.cursor
        {
            return to.clone();
        }
        let row = self.row_at(&self.cursor).and_then(|at| self.rows.get(at));
        match (&self.cursor, row) {
            (RowId::Zone(..), Some(row)) => {
                let last = row.lines.last().copied().unwrap_or_default();
                Ref::Line(self.site.plan().lines[last].id.clone())
            }
            _ => self.item(),
        }
    }

    /// `e`: what stands under the cursor, as the line that is typed to have it.
    pub(in crate::session) fn start_change(&mut self) {
        let of = self.item();
        match change::text(&self.elements_ahead(), &of) {
            Some(text) => self.begin(Purpose::Change(of), text),
            None => self.say("two designs stand for it: choose one first"),
        }
    }

    /// Delete: it is not there, and why.
    pub(in crate::session) fn start_gone(&mut self) {
        let of = self.item();
        if of == Ref::Site {
            self.say("the whole site is not taken out: go to a line, or to a place of its drawing");
        } else {
            self.begin(Purpose::Gone(of), String::new());
        }
    }

    /// `h`: tries something out on the line under the cursor.
    pub(in crate::session) fn start_trial(&mut self) {
        let Some(line) = self.cursor_line() else {
            self.say("what is tried out is tried on a line: go to one first");
            return;
        };
        let first = self.proposals(&line).into_iter().next();
        let fits = first.as_ref().map(|it| it.fits);
        // What would leave another output short is not put into one's hand: Tab shows it.
        let first = first.filter(|it| it.fits != Fits::OtherShort);
        let text = first.map_or_else(String::new, |it| it.text);
        let at = self.site.plan().line(&line);
        let stop = at.is_some_and(|at| self.analyst.line(at).is_stop(self.analyst.limits()));
        self.begin(Purpose::TryOut(line), text);
        match fits {
            _ if !self.may_write() => {}
            _ if stop => {
                self.say("it reads short: mended and read again first, then it may go elsewhere")
            }
            Some(Fits::OwnShort) => self
                .say("helps, and its own output stays short of headroom; Tab: the next proposal"),
            Some(Fits::OtherShort) => {
                self.say("no other output has room for it; Tab: what comes nearest, or type one");
            }
            Some(Fits::All) | None => {}
        }
    }

    /// What may be tried on a line, what fits first.
    fn proposals(&self, line: &LineId) -> Vec<Proposal> {
        let plan = self.site.plan();
        let Some(at) = plan.line(line) else {
            return Vec::new();
        };
        let result = self.analyst.line(at);
        // A short helps nobody by going on another output.
        if result.is_stop(self.analyst.limits()) {
            return Vec::new();
        }
        let drawn = result.design.load.unwrap_or_default();
        let own = self.load_of(result).unwrap_or(drawn);
        let limits = self.analyst.limits();
        let keeps = |at: usize| 1.0 - limits.headroom_of(plan.outputs[at].headroom).get();
        let left = |id: &OutputId| {
            let at = plan.outputs.iter().position(|it| it.id == *id)?;
            let result = self.analyst.output(&self.site, at, None);
            let carries = result.as_drawn();
            match (carries.word, carries.load, plan.outputs[at].rated) {
                (OutputWord::Over | OutputWord::Stop, ..) => None,
                (_, Some(load), Some(rated)) => {
                    let (load, rated) = (load.get() + own.get(), rated.get());
                    // As drawn it is asked for as well: what fits only because others read low does not.
                    let worst = load.max(result.planned.get() + drawn.get());
                    (load <= rated).then_some(keeps(at) - worst / rated)
                }
                // Of one whose rating nobody knows nothing can be said.
                _ => Some(f64::NEG_INFINITY),
            }
        };
        let output = plan.lines[at].output;
        let here = self.analyst.output(&self.site, output, None);
        let spare = match (here.as_drawn().word, here.as_drawn().load) {
            // Short as it is, whatever is done with its taps.
            (OutputWord::Stop, _) => Some(Watt(f64::NEG_INFINITY)),
            (_, Some(load)) => {
                let rated = plan.outputs[output].rated;
                rated.map(|rated| Watt(rated.get() * keeps(output) - load.get()))
            }
            (_, None) => None,
        };
        retap::proposals(&self.elements_ahead(), line, left, own, drawn, spare)
    }

    /// `y`: yet another like the last; without a last, like what is under the cursor.
    pub(in crate::session) fn add_another(&mut self, now: Timestamp) -> Vec<Effect> {
        if !self.may_write() {
            self.say_read_only();
            return Vec::new();
        }
        let at = self.anchor();
        let (thing, text) = match (&self.desk.last, &at) {
            (Some(last), _) => last.clone(),
            (None, Ref::Line(line)) => {
                // Of something signed it was asked about already.
                if !self.touches_signed(&at) && self.asks_to_copy(line) {
                    return Vec::new();
                }
                let label = self.elements_ahead();
                let label = quoted(label.label(&Ref::Line(line.clone())));
                (Thing::Line, format!("l:{label}"))
            }
            (None, of) => match self.site.elements().settled(of).and_then(Thing::of) {
                Some(thing) => (thing, String::new()),
                None => {
                    self.say("nothing was added yet: a adds something");
                    return Vec::new();
                }
            },
        };
        self.record_design(&Purpose::Add(thing, at), &text, now)
    }

    /// Whether a copy of a whole line is asked about first: with nothing added before, one stray key would
    /// draw a line with all that hangs on it.
    fn asks_to_copy(&mut self, line: &LineId) -> bool {
        let plan = self.site.plan();
        let places = plan.line(line).map_or(0, |at| plan.lines[at].nodes.len());
        let question = format!(
            "y adds a copy of {} with {}: y once more does it",
            self.label_of(line),
            show::count(places, "place")
        );
        self.asks_first(Action::Another, question)
    }

    /// Tab, Up and Down in a design entry: another kind of thing, the item above, the next proposal.
    pub(in crate::session) fn step_design(&mut self, words: &mut Words, forward: bool) {
        let next = match &words.purpose {
            Purpose::Add(thing, at) => Some((Purpose::Add(thing.step(forward), at.clone()), None)),
            Purpose::Change(of) => {
                let ahead = self.elements_ahead();
                let chain = self.chain();
                if self.is_untouched(words) && !chain.is_empty() {
                    let at = chain.iter().position(|it| it == of).unwrap_or(0);
                    let step = if forward { 1 } else { chain.len() - 1 };
                    let next = chain[(at + step) % chain.len()].clone();
                    change::text(&ahead, &next).map(|text| (Purpose::Change(next), Some(text)))
                } else {
                    None
                }
            }
            Purpose::TryOut(line) => {
                let all = self.proposals(line).into_iter();
                let all: Vec<String> = all.map(|it| it.text).collect();
                let at = all.iter().position(|it| *it == words.text);
                let step = if forward { 1 } else { all.len().max(1) - 1 };
                let next = at.map_or(0, |at| (at + step) % all.len());
                if all.is_empty() {
                    return self.say("nothing is proposed: an output or other taps are typed");
                }
                if at == Some(next) {
                    return self.say("this is the only proposal: anything else is typed");
                }
                all.get(next)
                    .map(|text| (words.purpose.clone(), Some(text.clone())))
            }
            _ => return,
        };
        match next {
            Some((purpose, text)) => {
                words.purpose = purpose;
                if let Some(text) = text {
                    let text = opened(&words.purpose, text);
                    words.caret = text.chars().count();
                    words.text = text;
                }
                self.message = Message::default();
            }
            None => self.say("Enter or Esc first: then another item can be changed"),
        }
    }

    /// Whether a change is opened and nothing of it typed.
    pub(in crate::session) fn is_untouched(&self, words: &Words) -> bool {
        match &words.purpose {
            Purpose::Change(of) => {
                let text = change::text(&self.elements_ahead(), of);
                text.is_some_and(|text| text.trim_end() == words.text.trim_end())
            }
            _ => false,
        }
    }

    /// The item under the cursor and those it belongs to.
    fn chain(&self) -> Vec<Ref> {
        let ahead = self.elements_ahead();
        let drawn = Drawn(&ahead);
        let mut out = vec![self.item()];
        while let Some(design) = out.last().and_then(|of| drawn.standing(of)) {
            match design {
                Design::Loudspeaker(it) => {
                    out.push(Ref::Type(it.r#type.clone()));
                    out.push(Ref::Line(it.line.clone()));
                }
                Design::Junction(_) | Design::Device(_) => {
                    out.push(Ref::Line(design.parent().into()));
                }
                Design::Line(it) => {
                    out.push(Ref::Zone(it.zone.clone()));
                    out.push(Ref::Output(it.output.clone()));
                }
                Design::Output(it) => out.push(Ref::Amplifier(it.amplifier.clone())),
                Design::Amplifier(_) => out.push(Ref::Site),
                Design::Zone(_) if out.len() == 1 => {
                    // A zone of the whole building belongs to no output.
                    let Some(at) = self.output_under() else { break };
                    out.push(Ref::Output(self.site.plan().outputs[at].id.clone()));
                }
                _ => break,
            }
        }
        out.retain(|of| drawn.standing(of).is_some());
        out
    }

    fn is_proposed(&self, line: &LineId, text: &str) -> bool {
        self.proposals(line).iter().any(|it| it.text == text)
    }

    /// A proposal gives way to what is typed; a blank goes on behind it.
    pub(in crate::session) fn begin_over(&mut self, words: &mut Words, c: char) {
        // What was said of the proposal is not true of what is typed.
        if matches!(words.purpose, Purpose::TryOut(_)) {
            self.say(NOTHING_YET);
        }
        let is_proposed = match &words.purpose {
            Purpose::TryOut(line) => c != ' ' && self.is_proposed(line, &words.text),
            Purpose::Scope => self.is_a_part(&words.text),
            _ => false,
        };
        if is_proposed {
            words.text.clear();
            words.caret = 0;
        }
    }

    /// A paste into a design entry: rows of a table become what would be typed, to be seen first.
    pub(in crate::session) fn paste_design(&self, words: &Words, text: &str) -> Option<String> {
        match &words.purpose {
            Purpose::Add(thing, _) => pasted::typed(*thing, text),
            _ => None,
        }
    }
}

/// What is opened to be changed, a blank behind it: what is typed on is the next word. A name that takes
/// the whole of it, and a figure, go on where they end.
fn opened(purpose: &Purpose, text: String) -> String {
    match purpose {
        Purpose::Change(Ref::Site | Ref::Figure(_)) => text,
        Purpose::Change(_) if !text.is_empty() => text + " ",
        _ => text,
    }
}

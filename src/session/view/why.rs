//! Why a line reads as it does: its suspects, and how the figures came about.

use super::super::Session;
use super::super::mode::Draft;
use super::section::Section;
use super::story::without_verb;
use super::text::{self, Line, Tone};
use crate::analysis::{LineResult, doubt};
use crate::diagnosis::SiteHint;
use crate::quantity::{Fraction, Metre, Ohm, Probability, Value, show};
use crate::review::{self, WAY_TO_EARTH, Why};
use crate::site::{Figure, PLAIN_ACCURACY};

/// Bits under which a test is not worth its walk: what is left cannot be told apart from outside.
const WORTH_A_TEST: f64 = 0.02;

/// Over this a mistake of the whole site is the first thing to look at.
const MOST: f64 = 0.5;

/// Behind what to do next: which of two kinds of suspects is acted on first, by their odds.
const SITE_FIRST: &str = "; its own suspects only if that is cleared";
const OWN_FIRST: &str = "; what the whole site shows only after that";
const TOGETHER: &str = "; together likelier is what the whole site shows";

impl Session {
    /// The suspects in parts that are not to be torn: a headline, then one a hint.
    pub(super) fn why(
        &self,
        at: usize,
        drafted: Option<(Value, Ohm)>,
        width: usize,
    ) -> Vec<Section> {
        // Beside a side of an opened line stand the suspects of what is on record.
        let at_rack = |draft: &Draft| draft.cut.is_none();
        if self.draft_on(at).is_some_and(at_rack) && drafted.is_none() {
            return Vec::new();
        }
        let Some(suspects) = self.suspects(at, drafted) else {
            let waits = drafted.is_none()
                && self.analyst.line(at).is_read()
                && !self.analyst.is_at_rest(at);
            // Sides tell of a line that was read whole as well.
            let open = self.analyst.line(at).open_split.as_ref();
            let alone = !self.analyst.line(at).is_read()
                && open.is_some_and(|node| self.sides_read(at, node).contains(&true));
            let mut out = Section::default();
            match (waits, alone) {
                (true, _) => out = Section::titled("why, still reckoning"),
                (_, true) => {
                    let words = "not told yet: sides are weighed with a reading of the line whole";
                    out.words(" why, ", words, width, Tone::Plain);
                }
                (false, false) => return Vec::new(),
            }
            return vec![out];
        };
        let mut out = Vec::new();
        let mut head = Section::default();
        if suspects.fits_nothing() {
            let tone = if drafted.is_some() {
                Tone::Plain
            } else {
                Tone::Alarm
            };
            let sign = if drafted.is_some() { '*' } else { '?' };
            // A figure is cut nowhere: where it is narrow the advice goes on in the next row.
            let odds = show::probability(suspects.misfit);
            head.words(
                &format!(" {sign} "),
                &format!("fits nothing, {odds}: read it again"),
                width,
                tone,
            );
            head.words(
                "   ",
                "zero the leads; is this the right pair?",
                width,
                Tone::Plain,
            );
            // What to do about it stands whether or not what follows finds room.
            out.push(std::mem::take(&mut head));
        }
        if let Some(doubt) = doubt(&self.site, at, &suspects) {
            let mut part = Section::default();
            part.words(" ? ", &doubt, width, Tone::Alarm);
            out.push(part);
        }
        // What the whole site shows of this line has its own heading: the two do not add up together. It
        // stands first where it is as likely as the likeliest of the line's own, else behind them.
        let site: Vec<&SiteHint> = match drafted {
            None => self.site_hints_of(at).collect(),
            Some(_) => Vec::new(),
        };
        let own = suspects.hints.first().map(|hint| hint.probability.get());
        let alone = site
            .first()
            .is_some_and(|it| Some(it.probability.get()) >= own);
        let mut of_site = Vec::new();
        let title = match (suspects.fits_nothing(), alone) {
            // Weighed beside one that it does not agree with, it is itself what is not believed.
            (true, _) if self.is_repeated(at, drafted.is_some()) => "if the one before is right",
            (true, _) => "if it is right",
            (false, true) => "if it is this line alone",
            (false, false) => "why",
        };
        let of_side = self.suspects_with_side(at).is_some();
        let rest = drafted.is_some() || of_side || self.analyst.is_at_rest(at);
        let side = self.draft_on(at).and_then(Draft::side);
        let order = match (side, rest) {
            // A long line's are reckoned once its figure is on record.
            (Some(_), _) if !of_side => "before this figure",
            (_, true) => "likeliest first",
            (_, false) => "still reckoning",
        };
        let mut title = format!(" {title}, {order}");
        if alone && text::width(&title) > width {
            title = format!(" or this line, {order}");
        }
        if text::width(&title) > width {
            title = title.replacen(", likeliest first", "", 1);
        }
        if !site.is_empty() {
            let mut title = Section::default();
            if alone {
                title = std::mem::take(&mut head);
            }
            title.push(Line::tone(" of the whole site", Tone::Title));
            of_site.push(title);
            let open = self.analyst.line(at).open_split.is_some();
            let next = self.site_mistake(at).filter(|_| !open);
            for hint in site {
                let mut part = Section::default();
                // What would tell stands below as what is next, where it is that.
                let is_next = next.is_some_and(|next| std::ptr::eq(next, hint));
                let words = match hint.text.strip_suffix(hint.test()) {
                    Some(words) if is_next => words.trim_end_matches("; "),
                    _ => &hint.text,
                };
                part.odds(hint.probability, words, width);
                of_site.push(part);
            }
        }
        if alone {
            out.append(&mut of_site);
        }
        head.push(Line::tone(text::cut(&title, width), Tone::Title));
        out.push(head);
        // While digits come only what leads is told: the rest would be others at the next.
        let most = if drafted.is_some() { 3 } else { 6 };
        let mut rest = 0.0;
        for (rank, hint) in suspects.hints.iter().enumerate() {
            if rank > 0 && (hint.probability.get() < 0.01 || rank >= most) {
                rest += hint.probability.get();
                continue;
            }
            let mut part = Section::default();
            part.odds(hint.probability, &hint.text, width);
            out.push(part);
        }
        if rest >= 0.005 {
            let start = text::right(&show::probability(Probability(rest)), 5);
            out.push(Section(vec![Line::plain(format!(" {start}  all else"))]));
        }
        out.append(&mut of_site);
        out
    }

    /// Whether the line whole was read before in this state, the reading on record or the typed one left
    /// out.
    fn is_repeated(&self, at: usize, typed: bool) -> bool {
        let line = &self.site.plan().lines[at].id;
        let history = self.site.history(line);
        let state = &self.analyst.line(at).state;
        let hz = self.site.test_hz();
        let read = history
            .reads(&self.site, state)
            .filter(|(_, it)| it.is_rack(hz));
        let corrects = self
            .draft_on(at)
            .is_some_and(|draft| draft.corrects.is_some());
        read.count() + usize::from(typed) > 1 + usize::from(corrects)
    }

    /// What the whole site shows of a line, the likeliest first.
    fn site_hints_of(&self, at: usize) -> impl Iterator<Item = &SiteHint> {
        let line = &self.site.plan().lines[at].id;
        let hints = self.analyst.site_hints().iter();
        hints.filter(move |hint| hint.lines.contains(line))
    }

    /// A mistake of the whole site that is likelier than all that the line may be by itself.
    fn site_mistake(&self, at: usize) -> Option<&SiteHint> {
        self.site_hints_of(at)
            .find(|hint| hint.probability.get() > MOST)
    }

    /// What to do next, in a line or two; nothing while a reading is typed or nothing is wrong.
    pub(super) fn next_brief(&self, at: usize, width: usize) -> Section {
        let mut out = Section::default();
        if let Some(words) = self.open_words(at) {
            if self.draft_on(at).is_none() {
                out.words(" next  ", &words, width, Tone::Plain);
            }
            return out;
        }
        if self.draft_on(at).is_none()
            && let Some(hint) = self.site_mistake(at)
        {
            let own = self.analyst.suspects(at).map_or("", |_| SITE_FIRST);
            let words = format!("{}{own}", hint.test());
            out.words(" next  ", &words, width, Tone::Plain);
            return out;
        }
        // Likelier than all that the whole site shows of it the line's own suspects come first.
        let of_site: f64 = self.site_hints_of(at).map(|it| it.probability.get()).sum();
        let after = match of_site {
            it if it > MOST => TOGETHER,
            it if it > 0.0 => OWN_FIRST,
            _ => "",
        };
        if self.draft_on(at).is_none()
            && review::line(&self.analyst, at) == Some(Why::InsulationLow)
        {
            // No test of the impedance finds a way to earth.
            out.words(" next  ", WAY_TO_EARTH, width, Tone::Plain);
            return out;
        }
        let next = self.analyst.next(at).and_then(|tests| tests.first());
        if let Some(next) = next.filter(|_| self.draft_on(at).is_none()) {
            if next.gain_bits < WORTH_A_TEST {
                let words = "no test from here tells more: open up what leads, and look";
                out.words(" next  ", &format!("{words}{after}"), width, Tone::Plain);
                return out;
            }
            let words = format!(
                "{}: {:.1} bit, {}{after}",
                next.text,
                next.gain_bits,
                show::minutes(next.minutes)
            );
            out.words(" next  ", &words, width, Tone::Plain);
        }
        out
    }

    /// What comes next while a line is open: no tone gets past that place, and no test from the rack
    /// tells of what is behind it.
    fn open_words(&self, at: usize) -> Option<String> {
        let node = self.analyst.line(at).open_split.as_ref()?;
        let place = self.node_label(node);
        let next = match self.sides_read(at, node) {
            [false, _] => "type what the meter reads at the rack, b closes it".to_owned(),
            [true, false] => format!("type what it reads from {place} on, b closes it"),
            [true, true] => "both sides are read: b closes it, x corrects".to_owned(),
        };
        Some(format!("open before {place}: {next}"))
    }

    /// The next tests, and what the first of them may show.
    pub(super) fn next_tests(&self, at: usize, width: usize) -> Section {
        if self.analyst.line(at).open_split.is_some() {
            return Section::default();
        }
        let Some(tests) = self.analyst.next(at).filter(|tests| !tests.is_empty()) else {
            return Section::default();
        };
        let mut out = Section::titled(match self.site_mistake(at) {
            Some(_) => "next tests, if it is this line",
            None => "next tests, the best first",
        });
        for (rank, test) in tests.iter().take(3).enumerate() {
            let figures = format!("{:.1} bit, {}", test.gain_bits, show::minutes(test.minutes));
            out.words(
                " - ",
                &format!("{}: {figures}", test.text),
                width,
                Tone::Plain,
            );
            if rank > 0 {
                continue;
            }
            for answer in test.answers.iter().take(6) {
                let words = match answer.then.as_str() {
                    "" => answer.words.clone(),
                    then => format!("{}: {then}", answer.words),
                };
                out.odds(answer.probability, &words, width);
            }
        }
        out
    }

    /// What each reading and answer did to the odds of what leads.
    pub(super) fn steps(&self, at: usize, width: usize) -> Section {
        let steps = self.analyst.steps(at);
        let leading = self.analyst.suspects(at).and_then(|it| it.hints.first());
        let (Some(leading), false) = (leading, steps.is_empty()) else {
            return Section::default();
        };
        // Where it is narrow what leads is told alone: what was read is cut nowhere.
        let none_cells = if width < 40 { 0 } else { 8 };
        let words = width.saturating_sub(3 + 8 + none_cells);
        let row = |start: &str, leading: &str, none: &str| {
            let none = if none_cells == 0 { "" } else { none };
            format!(
                "   {}{}{}",
                text::left(start, words),
                text::right(leading, 8),
                text::right(none, none_cells)
            )
        };
        let head = row("what each reading did", "leads", "none");
        let mut out = Section(vec![Line::tone(head.replacen("  ", "", 1), Tone::Title)]);
        for step in steps {
            let entry = step.entry.as_ref().and_then(|id| self.site.log().get(id));
            let start = entry.map_or_else(
                || "before any".to_owned(),
                |entry| {
                    let label = entry
                        .what
                        .line()
                        .map(|line| self.label_of(line))
                        .unwrap_or_default();
                    let title = self.title(entry).replacen(&label, "", 1);
                    format!("{} {}", self.clock(entry.at), without_verb(&title))
                },
            );
            out.push(Line::plain(row(
                &start,
                &show::probability(step.leading),
                &show::probability(step.none),
            )));
        }
        out.words("   leads: ", &leading.text, width, Tone::Plain);
        out
    }

    pub(super) fn reckoning(&self, at: usize, result: &LineResult, width: usize) -> Section {
        let figures = self.site.figures();
        let line = &self.site.plan().lines[at];
        let budget = &result.design.budget;
        let mut out = Section::titled("how the figures came about");
        let row = |name: &str, value: String| {
            let name = text::left(name, width.saturating_sub(14).min(27));
            Line::plain(format!("   {name}{}", text::right(&value, 10)))
        };
        let percent = |value: f64| show::percent(Fraction(value));
        out.push(row("sum of the taps", show::watt(result.design.design)));
        if let (Some(ohm), Some(load)) = (result.design.expected, result.design.load) {
            out.push(row("with the cable", show::watt(load)));
            out.push(row("that is", show::ohm(ohm)));
        }
        out.push(row("spread: types", percent(budget.types)));
        out.push(row("spread: loudspeakers", percent(budget.loudspeakers)));
        out.push(row("spread: cable lengths", percent(budget.cable)));
        out.push(row("together", percent(budget.total())));
        if let Some(taken) = &result.taken
            && let Value::Ohm(ohm) = taken.value
        {
            let instrument = taken
                .instrument
                .as_ref()
                .and_then(|id| self.site.plan().instrument(id));
            let accuracy = instrument.map_or(PLAIN_ACCURACY, |it| it.accuracy).get();
            out.push(row("meter, over root 3", percent(accuracy / 3f64.sqrt())));
            out.push(row(
                "last digit",
                percent(taken.step.get() / (12f64.sqrt() * ohm.get())),
            ));
            out.push(row(
                "contacts",
                percent(figures.get(Figure::ContactOhm) / ohm.get()),
            ));
        }
        out.push(row(
            "tolerance of load",
            format!("+-{}", percent(figures.get(Figure::Tolerance))),
        ));
        if result.design.unknown_run {
            let length = show::metre(Metre(figures.get(Figure::UnknownRunM)));
            let words = format!("a run of unknown length counts as {length}");
            out.words("   ", &words, width, Tone::Plain);
        }
        let hz = show::hertz(self.site.test_hz());
        let words = format!(
            "at {hz} and {}; the spread is shown, not used in the verdict",
            show::volt(line.volts)
        );
        out.words("   ", &words, width, Tone::Plain);
        out
    }
}

//! The assessment of a site as plain data: what `assess --json` prints, what the text is made from.
//!
//! Never here: figures of its own, text for people.

use super::also_read::also_read;
use super::line_done::LineDoneRow;
use super::meters::measured;
use super::questions;
use super::rows::{
    AnswerRow, Assessment, ExpectedRow, GrownRow, HintRow, InsulationRow, LineRow, NextRow,
    OutputRow, PlaceRow, ReadingRow, SCHEMA, SiteHintRow,
};
use super::site_hint::site_hint;
use super::slips::slips;
use super::{
    carries_if, collect, in_question, log_rows, meters, moved, on_visit, previous, story,
    suspected, to_do,
};
use crate::analysis::{Analyst, LineResult, Taken, doubt};
use crate::diagnosis::{NextKind, Posterior};
use crate::quantity::show;
use crate::review::{self, Review, cores_beside, label_of};
use crate::site::{Decision, Figure, Ref, Site};

impl Assessment {
    /// Of a whole site, or of the one line labelled `only` and its output. Suspects are those that
    /// were reckoned.
    #[must_use]
    pub fn of(site: &Site, analyst: &Analyst, only: Option<&str>) -> Self {
        let plan = site.plan();
        let wanted = |label: &str| only.is_none_or(|only| label == only);
        let scope = match only {
            None => Some(Ref::Site),
            Some(only) => plan
                .line_labelled(only)
                .map(|at| Ref::Line(plan.lines[at].id.clone())),
        };
        let reviewed = scope.map_or_else(Review::default, |scope| {
            review::review(site, analyst, &scope)
        });
        let by_line = to_do::by_line(&reviewed.items);
        let site_hints: Vec<SiteHintRow> = analyst
            .site_hints()
            .iter()
            .map(|hint| site_hint(site, hint))
            .collect();
        let found = story::AsFound::of(site);
        let mut lines: Vec<LineRow> = (0..plan.lines.len())
            .filter(|at| wanted(&plan.lines[*at].label))
            .map(|at| {
                let mut row = line_row(site, analyst, at);
                if story::is_repaired(site, at) {
                    row.found_cause = found.as_ref().and_then(|it| it.likeliest(at));
                }
                row.story = story::story(site, analyst, at, row.found_cause.as_deref());
                row.insulation_before = story::insulation_before(site, analyst, at);
                row.done = LineDoneRow::of(site, at);
                row.site_wide = suspected::site_wide(&row.line, &site_hints);
                row.to_do = to_do::to_do(&row, by_line.get(&plan.lines[at].id), &site_hints);
                row
            })
            .collect();
        lines.extend(
            in_question::lines(site)
                .into_iter()
                .filter(|row| wanted(&row.line)),
        );
        let mut outputs: Vec<OutputRow> = (0..plan.outputs.len())
            .filter(|at| {
                only.is_none()
                    || plan.outputs[*at]
                        .lines
                        .clone()
                        .any(|line| wanted(&plan.lines[line].label))
            })
            .map(|at| output_row(site, analyst, at))
            .collect();
        carries_if::enter(site, analyst, &lines, &mut outputs);
        Self {
            schema: SCHEMA,
            site: site.label().to_owned(),
            outputs,
            lines,
            site_hints,
            questions: questions::rows(site),
            visit: label_of(site, &Ref::Visit(site.visit())),
            visit_id: site.visit().to_string(),
            site_id: site.id().to_string(),
            review: collect::review(reviewed),
            persons: on_visit::persons(site),
            seals: collect::seals(site),
            instruments: meters::instruments(site),
            checks: meters::checks(site),
            ticks: collect::ticks(site),
            limits: collect::limits(site),
            design: collect::design(site, analyst)
                .into_iter()
                .filter(|row| wanted(&row.of))
                .collect(),
            rates: collect::rates(site, analyst),
            changes: log_rows::changes(site)
                .into_iter()
                .filter(|row| only.is_none() || row.line.as_deref() == only)
                .collect(),
            span: on_visit::span(site),
            moved: moved::moved(site),
            baseline: None,
        }
    }

    /// Compared with how the same site stood when its latest visit began, where that says anything. The
    /// arguments are those of [`Self::of`]. A record that is compared with another file leaves this out.
    #[must_use]
    pub fn with_visit_before(self, site: &Site, analyst: &Analyst, only: Option<&str>) -> Self {
        Self {
            baseline: previous::baseline(site, analyst, only),
            ..self
        }
    }

    /// As JSON, with a line feed at the end.
    ///
    /// # Errors
    /// When a number is not finite, which is a defect of the program.
    pub fn to_json(&self) -> serde_json::Result<String> {
        let mut out = serde_json::to_string_pretty(self)?;
        out.push('\n');
        Ok(out)
    }

    /// Whether a line is out of tolerance or an output overloaded.
    #[must_use]
    pub fn is_bad(&self) -> bool {
        self.lines.iter().any(LineRow::is_out) || self.outputs.iter().any(OutputRow::is_overloaded)
    }
}

fn output_row(site: &Site, analyst: &Analyst, at: usize) -> OutputRow {
    let plan = site.plan();
    let output = &plan.outputs[at];
    let result = analyst.output(site, at, None);
    OutputRow {
        amplifier: output.amplifier.clone(),
        output: output.label.clone(),
        voice_alarm: plan
            .amplifiers
            .iter()
            .any(|it| it.voice_alarm && it.outputs.contains(&at)),
        line_v: output.volts.get(),
        rated_w: output.rated.map(|it| it.get()),
        load_w: result.carries.load.map(|it| it.get()),
        on_now_w: result.now.load.map(|it| it.get()),
        drawn_w: result.planned.get(),
        limit_w: result
            .rated
            .map(|it| it.get() * (1.0 - result.headroom.get())),
        off_lines: result
            .lines
            .iter()
            .filter(|line| analyst.line(**line).off)
            .count(),
        once_moved_w: result
            .once_moved
            .as_ref()
            .and_then(|it| Some(it.load?.get())),
        cores: cores_beside(site, analyst, at),
        unmeasured_lines: result.carries.unread,
        headroom: result.carries.left.map(|it| it.get()),
        verdict: result.carries.word.as_str(),
        rating_needed_w: result.carries.rating_needed.map(|it| it.get()),
        stop: result
            .stops()
            .map(|line| plan.lines[line].label.clone())
            .collect(),
        grown: grown(site, analyst, at),
        if_slips: None,
        mended_w: None,
        grown_as_drawn_w: None,
    }
}

fn grown(site: &Site, analyst: &Analyst, at: usize) -> Vec<GrownRow> {
    let tolerance = analyst.limits().tolerance.get();
    let past = |line: usize, by: f64| {
        let drawn = analyst.line(line).design.load;
        by > tolerance * drawn.map_or(0.0, |it| it.get())
    };
    let growth = analyst.growth(site, at).into_iter();
    growth
        .filter(|(line, by)| past(*line, by.get()))
        .map(|(line, by)| GrownRow {
            line: site.plan().lines[line].label.clone(),
            by_w: by.get(),
        })
        .collect()
}

/// The output that the cores of a line are on, where it is drawn on another.
fn cores_on(site: &Site, analyst: &Analyst, at: usize) -> Option<String> {
    let (on, drawn) = (analyst.output_of(site, at), site.plan().lines[at].output);
    let label = || label_of(site, &Ref::Output(site.plan().outputs[on].id.clone()));
    (on != drawn).then(label)
}

fn line_row(site: &Site, analyst: &Analyst, at: usize) -> LineRow {
    let plan = site.plan();
    let line = &plan.lines[at];
    let result: &LineResult = analyst.line(at);
    let output = &plan.outputs[line.output];
    // While a question stands the plan lacks the item in question: what it says is no measure.
    let settled = !result.question;
    let suspects = analyst.suspects(at);
    let measured = |taken: &Taken| measured(site, taken);
    let said = review::word_of_line(site, &line.id, &result.state);
    let verdict = match result.verdict {
        Some(verdict) => Some(verdict.word.as_str()),
        None => settled.then_some("unmeasured"),
    };
    LineRow {
        line: line.label.clone(),
        zone: line.zone_label.clone(),
        amplifier: output.amplifier.clone(),
        output: output.label.clone(),
        verdict,
        p_out: result.verdict.map(|it| it.p_out.get()),
        design_w: settled.then(|| result.design.design.get()),
        expected: if settled {
            expected(result)
        } else {
            ExpectedRow::UNKNOWN
        },
        measured: result.taken.as_ref().map(&measured),
        heard: [result.heard, result.loudspeakers],
        asked: result.asked,
        misfit: suspects.map(|it| it.misfit.get()),
        slips: suspects.map(|it| slips(it, line)).unwrap_or_default(),
        far_end_db: result
            .design
            .far_end
            .map(|(_, db)| db.get())
            .filter(|_| settled),
        hints: suspects.map(hints).unwrap_or_default(),
        next: next(site, analyst, at),
        as_found: result.as_found.as_ref().map(&measured),
        as_left: result.as_left.as_ref().map(&measured),
        also_read: also_read(site, analyst, at),
        insulation: result.insulation.as_ref().map(InsulationRow::of),
        off: result.off,
        cores_on: cores_on(site, analyst, at),
        decision: result.decision.as_ref().map(|decision| match decision {
            Decision::Repaired { .. } => "repaired",
            Decision::Accepted => "accepted",
            Decision::Snag { .. } => "snag",
            Decision::Skipped => match &said {
                Some(word) if matches!(word.is, Decision::Snag { .. }) => "snag",
                _ => "skipped",
            },
        }),
        u_rel: result
            .taken
            .as_ref()
            .and_then(|taken| analyst.u_rel(taken))
            .map(|it| it.get()),
        reading: result
            .taken
            .as_ref()
            .and_then(|taken| analyst.datum(taken))
            .map(|it| ReadingRow {
                step_ohm: it.step.get(),
                ln_factor: it.factor.ln_mean,
                u_ln_factor: it.factor.ln_var.sqrt(),
            }),
        word: said.map(|it| it.words()),
        nodes: collect::nodes(site, analyst, at),
        id: line.id.to_string(),
        site_wide: Vec::new(),
        to_do: Vec::new(),
        reread: result.is_to_be_reread(),
        story: Vec::new(),
        found_cause: None,
        insulation_before: None,
        insulation_found: result
            .insulation_found
            .as_ref()
            .filter(|_| result.insulation.is_some())
            .map(InsulationRow::of),
        doubted: result.in_doubt.as_ref().is_some_and(|it| !it.said),
        doubt: suspects.and_then(|it| doubt(site, at, it)),
        in_doubt: result.in_doubt.as_ref().map(review::in_doubt_words),
        done: LineDoneRow::default(),
    }
}

fn expected(result: &LineResult) -> ExpectedRow {
    ExpectedRow {
        ohms: result
            .design
            .expected
            .map_or_else(|| "open".into(), |ohm| ohm.get().into()),
        watts: result.design.load.map(|it| it.get()),
        u_rel: Some(result.design.budget.total()),
    }
}

/// The next tests, best first; a reading that fits nothing is read again before anything else.
fn next(site: &Site, analyst: &Analyst, at: usize) -> Vec<NextRow> {
    let nodes = &site.plan().lines[at].nodes;
    let mut rows: Vec<NextRow> = analyst
        .next(at)
        .unwrap_or_default()
        .iter()
        .map(|next| NextRow {
            test: next.test.as_str(),
            kind: next.test,
            at: next.at.map(|node| nodes[node].label.clone()),
            gain_bits: Some(next.gain_bits),
            minutes: next.minutes.get(),
            text: next.text.clone(),
            answers: next
                .answers
                .iter()
                .map(|answer| AnswerRow {
                    words: answer.words.clone(),
                    probability: answer.probability.get(),
                    then: answer.then.clone(),
                })
                .collect(),
        })
        .collect();
    if let Some(suspects) = analyst.suspects(at).filter(|it| it.fits_nothing()) {
        let known = rows
            .iter()
            .position(|row| row.kind == NextKind::Reread)
            .map(|at| rows.remove(at));
        let again = NextRow {
            test: NextKind::Reread.as_str(),
            kind: NextKind::Reread,
            at: None,
            gain_bits: known.as_ref().and_then(|row| row.gain_bits),
            minutes: site.figures().get(Figure::MinutesReread),
            text: format!(
                "fits nothing, {}: read it again; zero the leads; is this the right pair?",
                show::probability(suspects.misfit)
            ),
            answers: known.map(|row| row.answers).unwrap_or_default(),
        };
        rows.insert(0, again);
    }
    rows
}

fn hints(suspects: &Posterior) -> Vec<HintRow> {
    suspects
        .hints
        .iter()
        .map(|hint| HintRow {
            fault: hint.fault.as_str(),
            kind: hint.fault,
            probability: hint.probability.get(),
            text: hint.text.clone(),
            places: hint
                .places
                .iter()
                .map(|(_, label, probability)| PlaceRow {
                    at: label.clone(),
                    probability: probability.get(),
                })
                .collect(),
        })
        .collect()
}

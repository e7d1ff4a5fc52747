//! What a record says beside lines and outputs, collected from the site.
//!
//! Never here: figures of its own.

use super::as_drawn::DrawnRow;
use super::line_done::SaidRow;
use super::record_rows::{DesignRow, LimitRow, NodeRow, RateRow, ReviewRow, SealRow, TickedRow};
use crate::analysis::{Analyst, DesignCheck, learned_rates};
use crate::quantity::{Decibel, Fraction, Watt, show};
use crate::review::{self, Late, ListStands, Lists, label_of, scope_words};
use crate::site::{Entry, Figure, ListWhen, NodeIs, NodePlan, Ref, Site, in_order};
use crate::verdict::Limits;
use std::collections::BTreeMap;

/// The nodes of a line, by its place in the plan, as drawn and with what was heard there in its latest state.
pub(super) fn nodes(site: &Site, analyst: &Analyst, at: usize) -> Vec<NodeRow> {
    let line = &site.plan().lines[at];
    let result = analyst.line(at);
    let history = site.history(&line.id);
    let answers = history.answers(site, &result.state);
    let answer = |node: &NodePlan| answers.iter().find(|(_, it)| it.at == node.id);
    line.nodes
        .iter()
        .enumerate()
        .map(|(place, node)| NodeRow {
            at: node.label.clone(),
            from: node.from.map(|from| line.nodes[from].label.clone()),
            what: node.is.word(),
            tap_w: node.tap().map(Watt::get),
            run_m: node.run.map(|it| it.get()),
            cable: node.cable.clone(),
            control: node.control,
            level_db: result.design.levels[place]
                .map(Decibel::get)
                .filter(|_| !result.question),
            heard: answer(node).map(|(_, it)| it.gives.word()),
            gives: answer(node).map(|(_, it)| it.gives),
            said: answer(node).map(|(entry, _)| SaidRow::of(entry)),
            tone: answer(node).map(|(_, it)| match it.tone.as_str() {
                "amplifier" => "the amplifier".to_owned(),
                tone => label_of(site, &Ref::Instrument(tone.into())),
            }),
            drawn: DrawnRow::of(site, node),
            of_type: match &node.is {
                NodeIs::Loudspeaker { of, .. } => Some(of.to_string()),
                _ => None,
            },
            reversed: history.reversed(site, &result.state, &node.id),
        })
        .collect()
}

/// Every item of a review, worst first.
pub(super) fn review(list: review::Review) -> Vec<ReviewRow> {
    list.items
        .into_iter()
        .map(|item| ReviewRow {
            matter: item.matter,
            kind: item.of.kind().word().to_owned(),
            of: item.label,
            text: item.words,
            note: item.note,
            word: item.word.as_ref().map(review::Word::words),
            said: item.word,
            open: item.open,
        })
        .collect()
}

/// Every signature, in the order they were given.
pub(super) fn seals(site: &Site) -> Vec<SealRow> {
    review::seals(site)
        .into_iter()
        .map(|it| SealRow {
            entry: it.entry.id.to_string(),
            at: it.entry.at.to_string(),
            scope: scope_words(site, &it.seal.scope),
            visit: label_of(site, &Ref::Visit(it.seal.visit.clone())),
            of_this_visit: it.seal.visit == site.visit(),
            name: it.seal.name.clone(),
            role: it.seal.role.clone(),
            canon: it.seal.canon,
            facts: it.seal.facts.len(),
            sha256: it.seal.sha256.clone(),
            intact: it.is_intact(),
            taken_back: it.standing(site) == review::Standing::TakenBack,
            changes: it.breaks.iter().map(|it| it.words(site)).collect(),
        })
        .collect()
}

/// How many ticks each person made on each day, the earliest day first; none where it was one on one day.
fn by_each<'a>(ticks: impl Iterator<Item = &'a Entry>) -> Vec<(String, String, usize)> {
    let mut counted: BTreeMap<(String, String), usize> = BTreeMap::new();
    for entry in ticks {
        let day = entry.at.strftime("%Y-%m-%d").to_string();
        *counted.entry((day, entry.by.clone())).or_default() += 1;
    }
    if counted.len() < 2 {
        return Vec::new();
    }
    let each = counted.into_iter();
    each.map(|((day, by), count)| (by, day, count)).collect()
}

/// The lists of every amplifier, an item a row.
pub(super) fn ticks(site: &Site) -> Vec<TickedRow> {
    let lists = Lists::of(site);
    let mut out = Vec::new();
    for (at, amplifier) in site.plan().amplifiers.iter().enumerate() {
        let rows = lists.rows(at);
        for rows in rows.chunk_by(|a, b| a.place == b.place) {
            let item = rows[0].item;
            let done: Vec<&Entry> = rows.iter().filter_map(|row| row.stands.done()).collect();
            let asked = rows
                .iter()
                .filter(|row| !matches!(row.stands, ListStands::Nothing(_)))
                .count();
            let of_lines = rows.iter().any(|row| row.line.is_some());
            let here = rows.iter().filter(|row| {
                let asked = |line| review::is_asked(site, item, line);
                row.line.is_some_and(asked) && !matches!(row.stands, ListStands::Nothing(_))
            });
            let ticked = here.clone().filter(|row| row.stands.done().is_some());
            let by_each = by_each(ticked.clone().filter_map(|row| row.stands.done()));
            let tick = done.iter().copied().max_by(|a, b| in_order(a, b));
            let why = tick.and_then(review::not_here);
            out.push(TickedRow {
                amplifier: amplifier.label.clone(),
                list: match item.when {
                    ListWhen::Before => "rack",
                    ListWhen::Insulation => "insulation",
                    ListWhen::Back => "hand-back",
                },
                item: item.item,
                text: item.full,
                is: tick.map(|_| if why.is_some() { "not here" } else { "done" }),
                lines: of_lines.then_some([done.len(), asked]),
                worked: of_lines.then(|| [ticked.count(), here.count()]),
                why: why.map(str::to_owned),
                by: tick.map(|entry| entry.by.clone()),
                at: tick.map(|entry| entry.at.to_string()),
                by_each,
                by_check: tick.is_some_and(review::is_check),
                late: rows
                    .iter()
                    .filter_map(|row| row.late)
                    .reduce(Late::and)
                    .map(|late| (late.readings, late.first.to_string())),
            });
        }
    }
    out
}

/// The limits, the test conditions and every figure of which the site has its own.
pub(super) fn limits(site: &Site) -> Vec<LimitRow> {
    let always = Limits::FIGURES.into_iter().chain([
        Figure::FarEndDb,
        Figure::TestHz,
        Figure::TemperatureC,
        Figure::UnknownRunM,
        Figure::WindingRatio,
        Figure::Drift,
    ]);
    let mut figures: Vec<Figure> = always.collect();
    for (figure, _) in site.figures().own() {
        if !figures.contains(&figure) {
            figures.push(figure);
        }
    }
    figures
        .into_iter()
        .map(|figure| {
            let row = figure.row();
            let value = site.figures().get(figure);
            LimitRow {
                name: row.name,
                text: row.about,
                value,
                default: (value != row.default).then_some(row.default),
                source: row.source.to_string(),
            }
        })
        .collect()
}

/// What the drawing itself comes to: outputs past their headroom, far ends under their limit, lines on which
/// one dead loudspeaker does not show.
pub(super) fn design(site: &Site, analyst: &Analyst) -> Vec<DesignRow> {
    let plan = site.plan();
    let check = DesignCheck::of(site, analyst);
    let limit = site.figures().get(Figure::FarEndDb);
    let mut out = Vec::new();
    for it in check.planned {
        let output = &plan.outputs[it.output];
        out.push(DesignRow {
            kind: "planned-load",
            of: output.name(),
            text: format!(
                "planned at {} on a rating of {}: {}",
                show::watt(it.load),
                show::marked_watt(it.rated),
                if it.over {
                    review::Why::Over.words()
                } else {
                    review::Why::Tight.words()
                }
            ),
            value: it.load.get(),
            against: it.rated.get(),
            cable: None,
            shows: None,
        });
    }
    for it in check.far_ends {
        let line = &plan.lines[it.line];
        let would = match &it.would_do {
            Some((cable, level)) => {
                format!("{cable} throughout would leave {}", show::decibel(*level))
            }
            None => "no standard cable would keep it".to_owned(),
        };
        out.push(DesignRow {
            kind: "far-end",
            of: line.label.clone(),
            text: format!(
                "{} gets {}, limit {}: {would}",
                line.nodes[it.node].label,
                show::decibel(it.level),
                show::decibel(Decibel(limit))
            ),
            value: it.level.get(),
            against: limit,
            cable: it.would_do.map(|it| it.0),
            shows: None,
        });
    }
    // Load over load, less one, as every deviation: a dead loudspeaker takes that much away.
    let less = |ln: Fraction| Fraction(-(-ln.get()).exp_m1());
    for it in check.lost {
        out.push(DesignRow {
            kind: "lost-in-tolerance",
            of: plan.lines[it.line].label.clone(),
            text: format!(
                "a reading does not show one dead loudspeaker of {}: it lowers the load by {}, and {} \
                 would show; listen, or split the line",
                if it.lost == it.loudspeakers {
                    format!("its {}", it.loudspeakers)
                } else {
                    format!("{} of its {}", it.lost, it.loudspeakers)
                },
                show::percent(less(it.least_change)),
                show::percent(less(it.seen_from))
            ),
            value: it.lost as f64,
            against: it.loudspeakers as f64,
            cable: None,
            shows: Some([it.least_change, it.seen_from].map(|it| less(it).get())),
        });
    }
    out
}

/// The rate of every fault, with what repairs confirmed.
pub(super) fn rates(site: &Site, analyst: &Analyst) -> Vec<RateRow> {
    learned_rates(site, analyst.lines())
        .into_iter()
        .map(|it| RateRow {
            fault: it.figure.row().name.trim_start_matches("rate."),
            set: it.set,
            confirmed: it.confirmed,
            looked_at: it.looked_at,
            rate: it.rate,
        })
        .collect()
}

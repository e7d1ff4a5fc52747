//! Drawing the schedule of a line: loudspeakers in a row, spurs from joint boxes, a control now
//! and then.
//!
//! Never here: what is wrong with it.

use super::random::Random;
use super::recipe::Recipe;
use crate::quantity::{Metre, MicroHenryPerMetre, PicoFaradPerMetre, Volt, Watt};
use crate::site::{CableMake, Conductor, Figure, LinePlan, NodeIs, NodePlan, TypeId};

/// The taps of a type, the largest first, W. \[common practice, no source\]
const TAPS_W: [[f64; 4]; 4] = [
    [6.0, 3.0, 1.5, 0.75],
    [20.0, 10.0, 5.0, 2.5],
    [30.0, 15.0, 7.5, 3.75],
    [10.0, 6.0, 3.0, 1.5],
];
/// A joint box with a spur, and a control at a run, come this often.
const SPUR: f64 = 0.12;
const CONTROL: f64 = 0.05;

/// A line as drawn on paper; lines of one output share a zone.
pub(super) fn line(recipe: &Recipe, random: &mut Random, at: usize) -> LinePlan {
    let label = format!("L-{:03}", at + 1);
    let kind = random.whole(0, recipe.types.max(1) - 1);
    let taps = TAPS_W[kind % TAPS_W.len()];
    let tap = taps[random.whole(0, taps.len() - 2)];
    let count = random.whole(recipe.loudspeakers.0.max(1), recipe.loudspeakers.1);
    let output = at / 8;
    let mut plan = LinePlan {
        id: label.as_str().into(),
        label: label.clone(),
        output,
        zone: format!("zone {output}").as_str().into(),
        zone_label: format!("zone {output}"),
        volts: Volt(100.0),
        insulation_asked: false,
        nodes: Vec::new(),
    };
    let (mut feed, mut boxes) = (None, 0);
    for speaker in 1..=count {
        if random.happens(SPUR) {
            boxes += 1;
            let stand = node(recipe, random, &plan, &format!("J-{boxes}"), feed);
            plan.nodes.push(stand);
            feed = Some(plan.nodes.len() - 1);
        }
        let mut stand = node(recipe, random, &plan, &format!("LS-{speaker:02}"), feed);
        stand.control = random.happens(CONTROL);
        stand.is = NodeIs::Loudspeaker {
            tap: Watt(tap),
            taps: Some(taps.map(Watt).to_vec()),
            of: TypeId(format!("type {}", kind + 1)),
            dc_block: false,
        };
        plan.nodes.push(stand);
        // From a joint box one spur ends here, the next loudspeaker hangs on the box.
        let from_box = feed.is_some_and(|from| !plan.nodes[from].is_loudspeaker());
        let here = plan.nodes.len() - 1;
        let ends = from_box && plan.nodes[..here].iter().all(|it| it.from != feed);
        if !ends {
            feed = Some(here);
        }
    }
    plan
}

fn node(
    recipe: &Recipe,
    random: &mut Random,
    plan: &LinePlan,
    label: &str,
    from: Option<usize>,
) -> NodePlan {
    let metres = if from.is_none() {
        random.between(20.0, 80.0)
    } else {
        random.between(3.0, 15.0)
    };
    NodePlan {
        id: format!("{}/{label}", plan.label).as_str().into(),
        label: label.to_owned(),
        from,
        run: Some(Metre(metres.round())),
        cable: "1.5 mm2".to_owned(),
        make: CableMake {
            r20: Conductor::Area(1.5).r20(),
            l: MicroHenryPerMetre(recipe.figures.get(Figure::CableUhM)),
            c: PicoFaradPerMetre(recipe.figures.get(Figure::CablePfM)),
        },
        control: false,
        is: NodeIs::Junction,
    }
}

/// Lines as the rows of a schedule, one amplifier to an output, rated to leave a fifth free and in
/// steps of 60 W. \[common practice, no source\]
pub(super) fn csv(plans: &[&LinePlan]) -> String {
    let mut out = String::from(
        "amplifier,rated_w,line_v,zone,line,loudspeaker,what,tap_w,taps_w,type,control,from,run_m,cable\n",
    );
    for plan in plans {
        let on_output = plans.iter().filter(|it| it.output == plan.output);
        let taps: f64 = on_output.flat_map(|it| &it.nodes).map(tap).sum();
        let rated = (taps / 0.8 / 60.0).ceil() * 60.0;
        for node in &plan.nodes {
            let from = node
                .from
                .map_or("rack", |from| plan.nodes[from].label.as_str());
            let (what, of, taps) = match &node.is {
                NodeIs::Loudspeaker { of, taps, .. } => {
                    let taps = taps.iter().flatten().map(|it| it.get().to_string());
                    (
                        "loudspeaker",
                        of.0.as_str(),
                        taps.collect::<Vec<_>>().join("|"),
                    )
                }
                _ => ("junction", "", String::new()),
            };
            let tap = Some(tap(node)).filter(|it| *it > 0.0);
            out += &format!(
                "A{},{rated},{},{},{},{},{what},{},{taps},{of},{},{from},{},{}\n",
                plan.output + 1,
                plan.volts.get(),
                plan.zone_label,
                plan.label,
                node.label,
                tap.map_or_else(String::new, |it| it.to_string()),
                if node.control { "yes" } else { "" },
                node.run.map_or_else(String::new, |it| it.get().to_string()),
                node.cable,
            );
        }
    }
    out
}

fn tap(node: &NodePlan) -> f64 {
    match &node.is {
        NodeIs::Loudspeaker { tap, .. } => tap.get(),
        _ => 0.0,
    }
}

/// The line without one of its nodes: what hung on it hangs on what fed it, by a run as long as
/// both.
pub(super) fn without(plan: &LinePlan, gone: usize) -> LinePlan {
    let mut out = plan.clone();
    let taken = out.nodes.remove(gone);
    for node in &mut out.nodes {
        match node.from {
            Some(from) if from == gone => {
                node.from = taken.from;
                node.control |= taken.control;
                if let (Some(own), Some(more)) = (&mut node.run, taken.run) {
                    own.0 += more.get();
                }
            }
            Some(from) if from > gone => node.from = Some(from - 1),
            _ => {}
        }
    }
    out
}

/// Two loudspeakers, the one feeding the other, take each other's name.
pub(super) fn swap_neighbours(plan: &mut LinePlan, random: &mut Random) {
    let speaker = |at: usize| plan.nodes[at].is_loudspeaker();
    let pairs: Vec<(usize, usize)> = (0..plan.nodes.len())
        .filter_map(|at| Some((plan.nodes[at].from?, at)))
        .filter(|(from, at)| speaker(*from) && speaker(*at))
        .collect();
    let Some((from, at)) = random.one_of(&pairs).copied() else {
        return;
    };
    let name = |node: &NodePlan| (node.id.clone(), node.label.clone());
    let (first, second) = (name(&plan.nodes[from]), name(&plan.nodes[at]));
    (plan.nodes[from].id, plan.nodes[from].label) = second;
    (plan.nodes[at].id, plan.nodes[at].label) = first;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_trees_of_as_many_loudspeakers_as_asked() {
        let recipe = Recipe::default();
        let mut random = Random::new(5);
        let (mut boxes, mut controls) = (0, 0);
        for at in 0..200 {
            let plan = line(&recipe, &mut random, at);
            assert!((3..=16).contains(&plan.loudspeakers()));
            for (place, node) in plan.nodes.iter().enumerate() {
                assert!(node.from.is_none_or(|from| from < place));
                boxes += usize::from(!node.is_loudspeaker());
                controls += usize::from(node.control);
            }
        }
        assert!(boxes > 50 && controls > 30);
    }

    #[test]
    fn neighbours_swapped_keep_all_names() {
        let mut random = Random::new(6);
        let plan = line(&Recipe::default(), &mut random, 0);
        let mut other = plan.clone();
        swap_neighbours(&mut other, &mut random);
        let names = |plan: &LinePlan| {
            let labels = plan.nodes.iter().map(|it| it.label.clone());
            labels.collect::<Vec<_>>()
        };
        let (mut before, mut after) = (names(&plan), names(&other));
        assert_ne!(before, after);
        before.sort();
        after.sort();
        assert_eq!(before, after);
    }

    #[test]
    fn a_node_that_the_drawing_lacks_leaves_its_cable() {
        let mut random = Random::new(1);
        let plan = line(&Recipe::default(), &mut random, 0);
        let short = without(&plan, 1);
        assert_eq!(short.nodes.len(), plan.nodes.len() - 1);
        let metres = |plan: &LinePlan| {
            let runs = plan.nodes.iter().filter_map(|it| it.run);
            runs.map(Metre::get).sum::<f64>()
        };
        assert!(metres(&short) >= metres(&plan) - 1e-9);
        let whole = short.nodes.iter().enumerate();
        assert!(
            whole
                .into_iter()
                .all(|(at, it)| it.from.is_none_or(|from| from < at))
        );
    }
}

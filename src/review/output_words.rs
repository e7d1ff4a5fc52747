//! What an output carries, in words: what is read and what is as drawn, every line on and now.
//!
//! Never here: whether that is too much.

use super::{cores_beside, output};
use crate::analysis::Analyst;
use crate::quantity::show;
use crate::site::Site;

/// What an output carries and on which rating: that no figure of lines that are OFF, or that nobody read,
/// is taken for one that was measured on it now.
#[must_use]
pub fn output_words(site: &Site, analyst: &Analyst, at: usize) -> String {
    let plan = site.plan();
    let of = &plan.outputs[at];
    let result = analyst.output(site, at, None);
    let rated = of.rated.map_or_else(String::new, show::marked_watt);
    let why =
        output(site, analyst, at).map_or_else(String::new, |why| format!(": {}", why.words()));
    let now = result.now.load.map_or_else(String::new, show::watt);
    let cores = cores_beside(site, analyst, at);
    let Some(load) = result.carries.load else {
        let stops = result.stops();
        let stops: Vec<&str> = stops.map(|line| plan.lines[line].label.as_str()).collect();
        return format!(
            "carries {now} on a rating of {rated} now, without {}{why}{cores}",
            stops.join(", ")
        );
    };
    let all = result.lines.len();
    let drawn = match result.carries.unread {
        0 => String::new(),
        unread if unread == all => ", as drawn, nothing read".to_owned(),
        unread => format!(", {unread} of {all} lines as drawn"),
    };
    let off = result.lines.iter().any(|line| analyst.line(*line).off);
    let now = match off {
        true => format!(" with every line on, {now} now"),
        false => String::new(),
    };
    format!(
        "carries {} on a rating of {rated}{now}{drawn}{why}{cores}",
        show::watt(load)
    )
}

//! The command `tick`: one item of the rack list or the hand-back list is done, or not here.
//!
//! Never here: whether anything is safe.

use super::near::nearest;
use super::signing::{Find, a_line, an_amplifier, named, record, unknown};
use super::{Refusal, TerminalArguments, print};
use crate::review::{self, TICKS, TickList};
use crate::site::{CORES_OFF, CORES_ON, Do, Ref, Tick, TickIs};
use anyhow::Result;
use std::path::Path;

fn tick_list() -> String {
    let mut out = String::new();
    for (list, title) in [
        (TickList::Rack, "before a meter goes on:"),
        (TickList::HandBack, "handing back:"),
    ] {
        out.push_str(title);
        out.push('\n');
        for row in TICKS.iter().filter(|row| row.list == list) {
            out.push_str(&format!("  {:<16}  {}\n", row.item, row.words));
        }
    }
    out.push_str("of lines:\n");
    out.push_str(&format!(
        "  {CORES_OFF:<16}  both cores off the amplifier\n"
    ));
    out.push_str(&format!("  {CORES_ON:<16}  cores back on, polarity kept\n"));
    out.push_str("A tick records that it was done; it is no statement that anything is safe.\n");
    out
}

/// `tick`.
pub(super) fn tick(
    path: &Path,
    item: Option<&str>,
    of: &[String],
    not_here: Option<&str>,
    terminal: &TerminalArguments,
) -> Result<u8> {
    let Some(item) = item else {
        return print(&tick_list());
    };
    let of_lines = item == CORES_OFF || item == CORES_ON;
    if !of_lines && review::tick_named(item).is_none() {
        let names = TICKS
            .iter()
            .map(|row| row.item)
            .chain([CORES_OFF, CORES_ON]);
        let advice =
            nearest(item, names).map_or_else(String::new, |it| format!("; did you mean {it}?"));
        return Err(Refusal::of(format!(
            "ITEM: found {item:?}, a name that `linewright tick SITE.ron` lists was wanted{advice}"
        )));
    }
    let is = match not_here {
        None => TickIs::Done,
        Some(why) if why.trim().is_empty() => {
            return Err(Refusal::of(
                "--not-here: found no reason; a few words of why were wanted",
            ));
        }
        Some(why) => TickIs::NotHere(why.to_owned()),
    };
    record(path, terminal, |site| {
        let mut refs: Vec<Ref> = Vec::new();
        for label in of {
            let (kinds, wanted): (&[Find], _) = if of_lines {
                (&[a_line], "the label of a line")
            } else {
                (&[an_amplifier], "the label of an amplifier")
            };
            refs.push(
                named(site, label, kinds).ok_or_else(|| unknown("--of", label, wanted, site))?,
            );
        }
        if refs.is_empty() && of_lines {
            refs = site
                .plan()
                .lines
                .iter()
                .map(|it| Ref::Line(it.id.clone()))
                .collect();
        } else if refs.is_empty() {
            refs.push(Ref::Site);
        }
        let tick = Tick {
            item: item.to_owned(),
            of: refs,
            visit: site.visit(),
            is,
        };
        Ok((Do::Tick(tick), None))
    })?;
    Ok(0)
}

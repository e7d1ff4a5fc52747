//! Instruments, visits and assumed figures as they are typed: `meter reads:impedance 5% sn:A-17
//! cal:2026-01-05 due:2027-01-05`. An item in words reads back to the same.

use super::built::Built;
use super::drawn::Drawn;
use super::refused::Refused;
use super::thing::{Row, Thing};
use super::typed::words;
use crate::quantity::{DecimalSign, Fraction, Hertz, Ohm, decimal, show};
use crate::site::{
    Design, Elements, Figure, FigureDesign, Instrument, Kind, PLAIN_ACCURACY, Reads, Ref, Retired,
    Visit,
};
use jiff::civil::Date;

/// What an instrument reads, as it is typed and as it is told.
const READS: [(&str, Reads, &str); 3] = [
    ("impedance", Reads::Impedance, "impedance"),
    ("dc", Reads::Dc, "direct current (ohmmeter)"),
    ("insulation", Reads::Insulation, "insulation"),
];
/// The word that takes the site's own figure away again.
const DEFAULT: &str = "default";
/// The word of a visit to a building that was handed over before.
const RETURN: &str = "return";

/// The words of a return visit of this label.
pub(in crate::session) fn return_visit(label: &str) -> String {
    format!("{label} {RETURN}")
}

/// Whether it is typed here.
pub(super) const fn is_kit(of: &Ref) -> bool {
    matches!(of, Ref::Instrument(_) | Ref::Visit(_) | Ref::Figure(_))
}

/// A new instrument or visit.
pub(super) fn add(elements: &Elements, thing: Thing, text: &str) -> Result<Built, Refused> {
    let drawn = Drawn(elements);
    let (of, now) = match thing {
        Thing::Visit => {
            let visits = drawn.below(Kind::Visit, "");
            // A visit's place is the number its id ends in.
            let number = |(of, _): &(Ref, &Design)| -> Option<u64> {
                of.id().rsplit('-').next()?.parse().ok()
            };
            let last = visits.iter().filter_map(number).max().unwrap_or(0);
            let id = format!("visit-{}", last + 1);
            let now = visit(text, &id)?;
            (Ref::Visit(id.as_str().into()), Design::Visit(now))
        }
        _ => {
            let now = instrument(text, bare(Reads::Impedance, PLAIN_ACCURACY))?;
            let of = drawn.free(Kind::Instrument, &now.label, "", &now.label);
            (of, Design::Instrument(now))
        }
    };
    Ok(alone(of, now))
}

/// This one item and nothing beside it.
fn alone(of: Ref, now: Design) -> Built {
    let mut built = Built {
        main: Some(of.clone()),
        ..Built::default()
    };
    built.set(of, now);
    built
}

/// An instrument of which no more is known.
const fn bare(reads: Reads, accuracy: Fraction) -> Instrument {
    Instrument {
        label: String::new(),
        reads,
        accuracy,
        hz: None,
        step_ohm: None,
        source_ohm: None,
        range_ohm: None,
        serial: None,
        calibrated: None,
        due: None,
    }
}

/// One of them as the typed words have it.
pub(super) fn change(elements: &Elements, of: &Ref, text: &str) -> Result<Built, Refused> {
    let standing = Drawn(elements).standing(of);
    let now = match (of, standing) {
        (Ref::Figure(name), _) => figure(name, standing, text)?,
        (_, Some(Design::Instrument(was))) => {
            Design::Instrument(instrument(text, bare(was.reads, was.accuracy))?)
        }
        (_, Some(Design::Visit(_))) => Design::Visit(visit(text, "")?),
        _ => return Err(Refused::gone(of)),
    };
    if standing == Some(&now) {
        return Err(Refused::Same);
    }
    Ok(alone(of.clone(), now))
}

/// The site's own value for a figure, or its default again.
fn figure(name: &str, standing: Option<&Design>, text: &str) -> Result<Design, Refused> {
    let Some(figure) = Figure::named(name) else {
        return Err(Refused::Unknown {
            found: name.to_owned(),
            wanted: "a figure of the table".to_owned(),
        });
    };
    let (text, row) = (text.trim(), figure.row());
    if text == DEFAULT {
        return match standing {
            Some(was) => Ok(Design::Retired(Retired {
                why: "the default again".to_owned(),
                was: Box::new(was.clone()),
            })),
            None => Err(Refused::Same),
        };
    }
    // Levels are below zero.
    let (sign, digits) = match text.strip_prefix('-') {
        Some(rest) => (-1.0, rest),
        None => (1.0, text),
    };
    let value = decimal(digits, DecimalSign::Either).map(|it| sign * it.value);
    let value = value.map_err(|_| Refused::Figure {
        found: text.to_owned(),
        wanted: "a figure alone, or: default",
    })?;
    if !(row.least..=row.most).contains(&value) {
        return Err(Refused::Unknown {
            found: text.to_owned(),
            wanted: format!("{} to {}", row.least, row.most),
        });
    }
    if standing.is_none() && value == row.default {
        return Err(Refused::Same);
    }
    Ok(Design::Figure(FigureDesign { value }))
}

fn visit(text: &str, id: &str) -> Result<Visit, Refused> {
    let mut label = Vec::new();
    let mut returning = false;
    for (word, marked) in words(text) {
        if word == RETURN && !marked {
            returning = true;
        } else {
            label.push(word);
        }
    }
    let label = match (label.join(" "), id) {
        (label, "") if label.is_empty() => {
            return Err(Refused::Wanted {
                what: "its label",
                example: "spring visit",
            });
        }
        (label, id) if label.is_empty() => id.to_owned(),
        (label, _) => label,
    };
    Ok(Visit { label, returning })
}

fn instrument(text: &str, mut now: Instrument) -> Result<Instrument, Refused> {
    let mut label = Vec::new();
    for (word, marked) in words(text) {
        let lower = word.to_lowercase();
        if marked {
            label.push(word);
        } else if let Some((key, value)) = word.split_once(':') {
            field(&mut now, &key.to_lowercase(), value)?;
        } else if let Some(share) = lower.strip_suffix('%') {
            now.accuracy = Fraction(number(share, &lower)? / 100.0);
        } else if let Some(hz) = lower.strip_suffix("hz").filter(|it| is_number(it)) {
            now.hz = Some(Hertz(number(hz, &lower)?));
        } else {
            label.push(word);
        }
    }
    now.label = label.join(" ");
    if now.label.is_empty() {
        return Err(Refused::Wanted {
            what: "its label",
            example: "\"meter 2\" reads:impedance 5% 1000hz",
        });
    }
    Ok(now)
}

fn field(now: &mut Instrument, key: &str, value: &str) -> Result<(), Refused> {
    let date = || {
        value.parse::<Date>().map_err(|_| Refused::Figure {
            found: value.to_owned(),
            wanted: "a date such as 2026-12-01",
        })
    };
    let ohm = || match value.strip_suffix(['k', 'K']) {
        Some(kilo) => number(kilo, value).map(|it| Ohm(it * 1e3)),
        None => number(value, value).map(Ohm),
    };
    match key {
        "reads" => {
            let read = READS.iter().find(|(word, ..)| *word == value);
            now.reads = read.map(|(_, reads, _)| *reads).ok_or(Refused::Figure {
                found: value.to_owned(),
                wanted: "reads:impedance, reads:dc or reads:insulation",
            })?;
        }
        "sn" => now.serial = Some(value.to_owned()).filter(|it| !it.is_empty()),
        "cal" => now.calibrated = Some(date()?),
        "due" => now.due = Some(date()?),
        "step" => now.step_ohm = Some(ohm()?),
        "source" => now.source_ohm = Some(ohm()?),
        "range" => now.range_ohm = Some(ohm()?),
        _ => {
            return Err(Refused::NotHere {
                found: format!("{key}:{value}"),
                thing: "an instrument",
            });
        }
    }
    Ok(())
}

fn is_number(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || ".,".contains(c))
}

fn number(text: &str, found: &str) -> Result<f64, Refused> {
    let value = decimal(text, DecimalSign::Either).map(|it| it.value);
    value.map_err(|_| Refused::Figure {
        found: found.to_owned(),
        wanted: "a figure such as 5%, 1000hz or range:100k",
    })
}

/// The words that are typed to have one of them as it is; of a figure its value.
pub(super) fn text(of: &Ref, design: Option<&Design>) -> Option<String> {
    let mut out = Vec::new();
    match (of, design) {
        (Ref::Figure(_), Some(Design::Figure(it))) => return Some(it.value.to_string()),
        (Ref::Figure(name), _) => return Some(Figure::named(name)?.row().default.to_string()),
        (_, Some(Design::Visit(it))) => {
            out.push(plain(&it.label));
            out.extend(it.returning.then(|| RETURN.to_owned()));
        }
        (_, Some(Design::Instrument(it))) => {
            out.push(plain(&it.label));
            let reads = READS.iter().find(|(_, reads, _)| *reads == it.reads);
            out.extend(reads.map(|(word, ..)| format!("reads:{word}")));
            out.push(format!("{}%", percent(it.accuracy)));
            out.extend(it.hz.map(|hz| format!("{}hz", hz.get())));
            let ohm = |key: &str, ohm: Option<Ohm>| ohm.map(|it| format!("{key}:{}", it.get()));
            out.extend(ohm("step", it.step_ohm));
            out.extend(ohm("source", it.source_ohm));
            out.extend(ohm("range", it.range_ohm));
            out.extend(
                it.serial
                    .as_ref()
                    .map(|it| format!("sn:{}", quoted_value(it))),
            );
            out.extend(it.calibrated.map(|it| format!("cal:{it}")));
            out.extend(it.due.map(|it| format!("due:{it}")));
        }
        _ => return None,
    }
    Some(out.join(" "))
}

/// A label as it is written to be read back; one that says something else here stands in marks.
fn plain(label: &str) -> String {
    let quiet = |word: &str| {
        !word.contains([':', '%', '"', ';'])
            && word != RETURN
            && !word.to_lowercase().ends_with("hz")
    };
    match label.split(' ').all(|word| !word.is_empty() && quiet(word)) {
        true => label.to_owned(),
        false => format!("\"{}\"", label.replace('"', "\"\"")),
    }
}

/// Marks behind a colon belong to the value.
fn quoted_value(value: &str) -> String {
    match value.contains([' ', '"', ';']) {
        true => format!("\"{}\"", value.replace('"', "\"\"")),
        false => value.to_owned(),
    }
}

/// With nothing that it does not need.
fn percent(share: Fraction) -> f64 {
    (share.get() * 1e8).round() / 1e6
}

/// The fields of one of them for the panel; none for what is no instrument and no visit.
pub(super) fn rows(design: &Design) -> Vec<Row> {
    let mut out = Vec::new();
    let unknown = || "not known".to_owned();
    match design {
        Design::Visit(it) if it.returning => out.push(("is", "a return visit".to_owned())),
        Design::Instrument(it) => {
            let reads = READS.iter().find(|(_, reads, _)| *reads == it.reads);
            out.extend(reads.map(|(.., words)| ("reads", (*words).to_owned())));
            out.push(("accuracy", show::percent(it.accuracy)));
            out.extend(it.hz.map(|hz| ("test tone", show::hertz(hz))));
            out.extend(it.step_ohm.map(|it| ("scale step", show::ohm(it))));
            out.extend(it.source_ohm.map(|it| ("source", show::ohm(it))));
            out.extend(it.range_ohm.map(|it| ("open above", show::ohm(it))));
            out.push(("serial no.", it.serial.clone().unwrap_or_else(unknown)));
            let date = |date: Option<Date>| date.map_or_else(unknown, |it| it.to_string());
            out.push(("calibrated", date(it.calibrated)));
            out.push(("due", date(it.due)));
        }
        _ => {}
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::site::birth_items;

    fn born() -> Elements {
        let mut elements = Elements::from_iter(birth_items());
        elements.look();
        elements
    }

    #[test]
    fn an_instrument_in_words_reads_back_to_the_same() {
        let elements = born();
        let typed = "\"meter 2\" reads:impedance 1.5% 500hz step:0.1 source:90 range:50k \
                     sn:A-17 cal:2026-01-05 due:2027-01-05";
        let built = add(&elements, Thing::Instrument, typed).unwrap();
        let (of, Design::Instrument(it)) = &built.changes[0] else {
            panic!("{built:?}");
        };
        assert_eq!(
            (it.label.as_str(), it.accuracy),
            ("meter 2", Fraction(0.015))
        );
        assert_eq!(it.range_ohm, Some(Ohm(5e4)));
        assert_eq!(it.due.unwrap().to_string(), "2027-01-05");
        let after = built.onto(&elements);
        let words = text(of, Drawn(&after).standing(of)).unwrap();
        assert_eq!(change(&after, of, &words), Err(Refused::Same), "{words}");
        for item in birth_items() {
            let of = Ref::new(item.is.kind(), &item.id);
            let words = text(&of, Some(&item.is)).unwrap();
            assert_eq!(
                change(&elements, &of, &words),
                Err(Refused::Same),
                "{words}"
            );
        }
    }

    #[test]
    fn a_figure_is_set_in_its_range_and_given_back_its_default() {
        let elements = born();
        let of = Ref::Figure("tolerance".into());
        assert_eq!(text(&of, None).as_deref(), Some("0.1"));
        assert_eq!(change(&elements, &of, "0.1"), Err(Refused::Same));
        assert_eq!(change(&elements, &of, "default"), Err(Refused::Same));
        let refused = change(&elements, &of, "15").unwrap_err().to_string();
        assert!(refused.contains("0.001 to 1 was wanted"), "{refused}");
        let built = change(&elements, &of, "0,15").unwrap();
        let after = built.onto(&elements);
        let back = change(&after, &of, "default").unwrap();
        assert!(matches!(back.changes[0].1, Design::Retired(_)));
        let level = Ref::Figure("far_end_db".into());
        assert!(change(&elements, &level, "-3").is_ok());
        assert!(change(&elements, &level, "3").is_err());
    }

    #[test]
    fn the_next_visit_counts_on_and_may_be_a_return() {
        let elements = born();
        let built = add(&elements, Thing::Visit, "spring return").unwrap();
        let Design::Visit(it) = &built.changes[0].1 else {
            panic!("{built:?}");
        };
        assert_eq!(built.main, Some(Ref::Visit("visit-2".into())));
        assert_eq!((it.label.as_str(), it.returning), ("spring", true));
        assert!(change(&elements, &Ref::Visit("visit-1".into()), "return").is_err());
    }
}

//! One line of words into its parts: a figure says by its unit what it is, a letter and a colon
//! begin a name, what is left are words.

use super::refused::Refused;
use crate::quantity::{DecimalSign, decimal};
use crate::site::Conductor;

/// What a figure is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unit {
    Watt,
    Metre,
    Volt,
    Percent,
    Ohm,
    Farad,
    OhmPerKm,
    MicroHenryPerMetre,
    PicoFaradPerMetre,
}

/// Longer units before those they end in.
const UNITS: [(&str, Unit, f64); 25] = [
    ("watts", Unit::Watt, 1.0),
    ("watt", Unit::Watt, 1.0),
    ("volts", Unit::Volt, 1.0),
    ("volt", Unit::Volt, 1.0),
    ("metres", Unit::Metre, 1.0),
    ("metre", Unit::Metre, 1.0),
    ("meters", Unit::Metre, 1.0),
    ("meter", Unit::Metre, 1.0),
    ("ohms", Unit::Ohm, 1.0),
    ("ohm/km", Unit::OhmPerKm, 1.0),
    ("uh/m", Unit::MicroHenryPerMetre, 1.0),
    ("pf/m", Unit::PicoFaradPerMetre, 1.0),
    ("kohm", Unit::Ohm, 1e3),
    ("ohm", Unit::Ohm, 1.0),
    ("nf", Unit::Farad, 1e-9),
    ("uf", Unit::Farad, 1e-6),
    ("pf", Unit::Farad, 1e-12),
    ("kw", Unit::Watt, 1e3),
    ("km", Unit::Metre, 1e3),
    ("w", Unit::Watt, 1.0),
    ("m", Unit::Metre, 1.0),
    ("v", Unit::Volt, 1.0),
    ("%", Unit::Percent, 0.01),
    ("k", Unit::Ohm, 1e3),
    ("r", Unit::Ohm, 1.0),
];

/// Words that say yes to something.
pub(super) const FLAGS: [&str; 5] = ["va", "elv", "ins", "control", "block"];
/// Letters that begin a name: from, before, type, taps, cable, output, like, place, zone.
const NAMES: &str = "fbtscolnz";

/// A part of what was typed.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Part {
    Word(String),
    Figure(Unit, f64, String),
    Conductor(Conductor),
    Times(usize),
    Name(char, String),
    Flag(&'static str),
}

/// A token, and whether it stood in marks.
pub(super) type Token = (String, bool);

/// The parts of each row of an entry: what stands between semicolons.
pub(super) fn rows(text: &str) -> Result<Vec<Vec<Part>>, Refused> {
    tokens(text).into_iter().map(parts).collect()
}

/// The words of the first row, and whether each stood in marks.
pub(super) fn words(text: &str) -> Vec<Token> {
    tokens(text).into_iter().next().unwrap_or_default()
}

/// A label as it must be written to be read back as one word.
pub(super) fn quoted(label: &str) -> String {
    let plain = tokens(label);
    let same = match &plain[..] {
        [row] => match &row[..] {
            [(word, false)] if word == label => {
                matches!(parts(row.clone()), Ok(parts) if parts == [Part::Word(label.to_owned())])
            }
            _ => false,
        },
        _ => false,
    };
    if same {
        label.to_owned()
    } else {
        format!("\"{}\"", label.replace('"', "\"\""))
    }
}

/// A cable as it is typed: a standard size such as `1.5mm2` or `16awg`, else `c:` and what people call it.
pub(super) fn cable_text(size: Option<Conductor>, name: impl FnOnce() -> String) -> String {
    match size {
        Some(conductor) => conductor.name().replace(' ', "").to_lowercase(),
        None => format!("c:{}", quoted(&name())),
    }
}

fn tokens(text: &str) -> Vec<Vec<Token>> {
    let mut out = vec![Vec::new()];
    let mut word = String::new();
    let (mut inside, mut marked) = (false, false);
    let mut chars = text.chars().peekable();
    let close = |out: &mut Vec<Vec<Token>>, word: &mut String, marked: &mut bool| {
        if (!word.is_empty() || *marked)
            && let Some(row) = out.last_mut()
        {
            row.push((std::mem::take(word), std::mem::take(marked)));
        }
    };
    while let Some(c) = chars.next() {
        match c {
            '"' if inside && chars.peek() == Some(&'"') => {
                chars.next();
                word.push('"');
            }
            // What is typed on behind the closing mark is the next word.
            '"' if inside => {
                inside = false;
                close(&mut out, &mut word, &mut marked);
            }
            // Marks behind `t:` belong to the name.
            '"' => (inside, marked) = (true, marked || word.is_empty()),
            ';' if !inside => {
                close(&mut out, &mut word, &mut marked);
                out.push(Vec::new());
            }
            c if c.is_whitespace() && !inside => close(&mut out, &mut word, &mut marked),
            c => word.push(c),
        }
    }
    close(&mut out, &mut word, &mut marked);
    // A semicolon at the end begins no further row.
    if out.len() > 1 && out.last().is_some_and(Vec::is_empty) {
        out.pop();
    }
    out
}

fn parts(tokens: Vec<Token>) -> Result<Vec<Part>, Refused> {
    let mut out: Vec<Part> = Vec::new();
    let mut tokens = tokens.into_iter().peekable();
    while let Some((mut word, marked)) = tokens.next() {
        if marked {
            out.push(Part::Word(word));
            continue;
        }
        if word.contains('=') {
            return Err(Refused::Figure {
                found: word,
                wanted: "a letter and a colon such as z:foyer or t:bowl; in marks it is part of a label",
            });
        }
        // `2 x 240` is `2x240`.
        let is_times = |(next, marked): &Token| !marked && next.eq_ignore_ascii_case("x");
        if is_count(&word) && tokens.peek().is_some_and(is_times) {
            tokens.next();
            let figure = |(next, marked): &Token| !marked && is_bare(next);
            let of = tokens.next_if(figure).map_or_else(String::new, |it| it.0);
            word = format!("{word}x{of}");
        }
        let lower = word.to_lowercase();
        if let Some((letter, name)) = name(&word) {
            let mut name = name.to_owned();
            // `t: bowl` means `t:bowl`; `s:` alone is an empty name.
            if name.is_empty()
                && letter != 's'
                && let Some((next, _)) = tokens.next()
            {
                name = next;
            }
            out.push(Part::Name(letter, name));
            continue;
        }
        if let Some(flag) = FLAGS.iter().find(|flag| **flag == lower) {
            out.push(Part::Flag(flag));
            continue;
        }
        if word.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',') {
            // `6 w` and `1.5 mm2` are one figure.
            let bare = match lower.split_once('x') {
                Some((count, of)) => is_count(count) && is_bare(of),
                None => is_bare(&word),
            };
            let unit = tokens.peek().filter(|(_, marked)| !marked);
            let unit = unit.map(|(next, _)| next.to_lowercase());
            let joins = |unit: &str| {
                ["mm2", "awg"].contains(&unit) || UNITS.iter().any(|(name, ..)| *name == unit)
            };
            let whole = match unit.filter(|unit| bare && joins(unit)) {
                Some(unit) => {
                    tokens.next();
                    format!("{lower}{unit}")
                }
                None => lower,
            };
            // `2x` and `2x240w`: how many.
            let (times, whole) = match whole.split_once('x') {
                Some((count, rest)) => match count.parse::<usize>() {
                    Ok(count) => (Some(count), rest.to_owned()),
                    Err(_) => (None, whole),
                },
                None => (None, whole),
            };
            let figure = self::figure(&whole)?;
            if let Some(count) = times
                && (whole.is_empty() || figure.is_some())
            {
                out.push(Part::Times(count));
                out.extend(figure);
                continue;
            }
            if let Some(part) = figure.filter(|_| times.is_none()) {
                out.push(part);
                continue;
            }
        }
        out.push(Part::Word(word));
    }
    Ok(out)
}

/// Digits alone.
fn is_count(word: &str) -> bool {
    !word.is_empty() && word.chars().all(|c| c.is_ascii_digit())
}

/// A number without its unit.
fn is_bare(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit() || ".,".contains(c))
        && word.chars().all(|c| c.is_ascii_digit() || ".,".contains(c))
}

fn name(word: &str) -> Option<(char, &str)> {
    let mut chars = word.chars();
    let letter = chars.next()?.to_ascii_lowercase();
    let rest = chars.as_str().strip_prefix(':')?;
    NAMES.contains(letter).then_some((letter, rest))
}

/// A figure with its unit; none for a word that begins with a digit, such as a label.
fn figure(text: &str) -> Result<Option<Part>, Refused> {
    if let Some(conductor) = Conductor::named(text) {
        return Ok(Some(Part::Conductor(conductor)));
    }
    if text.ends_with("mm2") || text.ends_with("awg") {
        return Err(Refused::Figure {
            found: text.to_owned(),
            wanted: "a standard size such as 1.5mm2 or 16awg, or c: and a cable of the site",
        });
    }
    for (ending, unit, factor) in UNITS {
        let Some(number) = text.strip_suffix(ending) else {
            continue;
        };
        if !number
            .chars()
            .all(|c| c.is_ascii_digit() || ".,".contains(c))
        {
            continue;
        }
        return match decimal(number, DecimalSign::Either) {
            Ok(value) => Ok(Some(Part::Figure(
                unit,
                value.value * factor,
                text.to_owned(),
            ))),
            Err(_) => Err(Refused::Figure {
                found: text.to_owned(),
                wanted: "a figure with its unit, such as 6w or 7.5m",
            }),
        };
    }
    Ok(None)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(text: &str) -> Vec<Part> {
        rows(text).unwrap().remove(0)
    }

    #[test]
    fn a_figure_says_by_its_unit_what_it_is() {
        let text = "LS-4 6w 9 m 1,5mm2 f:LS-3 t: bowl s:3/6 control";
        let wanted = [
            Part::Word("LS-4".into()),
            Part::Figure(Unit::Watt, 6.0, "6w".into()),
            Part::Figure(Unit::Metre, 9.0, "9m".into()),
            Part::Conductor(Conductor::Area(1.5)),
            Part::Name('f', "LS-3".into()),
            Part::Name('t', "bowl".into()),
            Part::Name('s', "3/6".into()),
            Part::Flag("control"),
        ];
        assert_eq!(one(text), wanted);
        assert_eq!(one("2x"), [Part::Times(2)]);
        let outputs = [
            Part::Times(2),
            Part::Figure(Unit::Watt, 240.0, "240w".into()),
        ];
        for text in ["2x240w", "2x240 W", "2 x 240 watts", "2 x 240w"] {
            assert_eq!(one(text)[0], outputs[0], "{text}");
            let Part::Figure(unit, watts, _) = &one(text)[1] else {
                panic!("{text}: {:?}", one(text))
            };
            assert_eq!((*unit, *watts), (Unit::Watt, 240.0), "{text}");
            assert_eq!(one(text).len(), 2, "{text}");
        }
        let refused = rows("L-1 zone=foyer").unwrap_err().to_string();
        assert!(
            refused.starts_with("zone=foyer cannot be read: a letter and a colon"),
            "{refused}"
        );
        assert_eq!(one("\"a=b\""), [Part::Word("a=b".into())]);
        assert_eq!(one("2x4"), [Part::Word("2x4".into())]);
    }

    #[test]
    fn marks_make_one_word_of_several_and_a_semicolon_begins_the_next_row() {
        assert_eq!(
            one("\"Hall 1\" 3w"),
            [
                Part::Word("Hall 1".into()),
                Part::Figure(Unit::Watt, 3.0, "3w".into())
            ]
        );
        assert_eq!(one("t:\"big bowl\""), [Part::Name('t', "big bowl".into())]);
        assert_eq!(one("t:\"big bowl\"8m"), one("t:\"big bowl\" 8m"));
        assert_eq!(rows("LS-1 6w; LS-2; \"a;b\"").unwrap().len(), 3);
        assert_eq!(rows("LS-1;").unwrap().len(), 1);
    }

    #[test]
    fn a_label_is_written_so_that_it_reads_back() {
        for label in [
            "LS-4", "Hall 1", "6w", "t:x", "va", "a\"b", "1", "", "A;B", "12 m",
        ] {
            assert_eq!(one(&quoted(label)), [Part::Word(label.into())], "{label}");
        }
    }

    #[test]
    fn a_size_that_is_no_standard_one_is_refused() {
        assert!(rows("LS-1 1.7mm2").is_err() && rows("LS-1 1,2.3w").is_err());
    }
}

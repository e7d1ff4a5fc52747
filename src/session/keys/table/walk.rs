//! Keys of the walk: what is heard at a loudspeaker, and splits of the line.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Key:
    [Walk] [Char(' ')] "Space" => Answer "Space heard",
        "heard as it should be; the next loudspeaker";
    [Walk] [Char('s')] "s" => Answer "s silent",
        "nothing heard";
    [Walk] [Char('-')] "-" => Answer "- quiet",
        "quieter than it should be";
    [Walk] [Char('+'), Char('=')] "+" => Answer "+ loud",
        "louder than it should be";
    [Walk] [Char('z')] "z" => Answer "z distorted",
        "not clean";
    [Walk] [Char('c')] "c" => Answer "c unsure",
        "too noisy to tell; no answer";
    [Walk] [Char('p')] "p" => Answer,
        "polarity reversed; recorded, and counts as sound";
    [Walk] [Char('b')] "b" => Break "b split",
        "opened here: lift the incoming cores, read at the rack, then from here on; b again: closed";
    [Walk] [Enter] "Enter" => GoNext,
        "to the place where the next test tells most";
};

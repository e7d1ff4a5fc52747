//! Keys that begin a reading or take up the last one, and the key that says what was repaired.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Key:
    [Rack] Digits "0-9 . ," => StartReading "digits resistor",
        "the known resistor: 398r400 is 398 read on 400";
    [Walk, Drawing] Digits "0-9 . ," => StartReading "digits read",
        "a reading taken at this place, kept; Home first: the line's own, at the rack";
    [Survey, Building, Amplifier] Digits "0-9 . ," => StartReading "digits read",
        "start a reading of this line; 0 alone is a short";
    [Survey, Walk] [Char('o')] "o" => StartOpen,
        "start an open reading: above the meter's range";
    [Survey] [Char('d')] "d" => StartOhmmeter,
        "start an ohmmeter (direct-current) reading";
    [Survey] [Char('i'), Char('>')] "i >" => StartInsulation,
        "start an insulation reading, cores joined against earth; > is above the range";
    READINGS [Char('k'), Char('m'), Char('x'), Char('*')] "k m x" => TakeUpLast,
        "correct the last reading: k, m or a range multiplier behind it; x again: the next";
    WORK [Char('j')] "j" => StartRepair,
        "job done: say what was repaired; what is read after it is as left";
};

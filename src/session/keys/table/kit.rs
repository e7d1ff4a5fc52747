//! Keys of the place of instruments, visits and figures.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Key:
    [Kit] [Char('e')] "e" => Change "e change",
        "change this instrument, visit or figure; of a figure, default sets it back";
    [Kit] [Char('a')] "a" => Add "a add",
        "add an instrument; on a visit's row a visit: ticks and readings begin anew with it";
    [Kit] [Enter] "Enter" => Change,
        "the same as e";
};

//! Keys of the review.

use super::*;

pub(super) const ROWS: &[Row] = rows! { Key:
    [Review] [Char(' ')] "Space" => Accept "Space accept",
        "accepted as it is, with a reason";
    [Review] [Char('l')] "l" => LeaveOpen "l later",
        "left open with a reason: a snag with owner and date; unread or not heard: skipped";
    [Review] [Enter] "Enter" => Enter "Enter go there",
        "to where it is settled; on the first row: sign, by name and role";
    [Review] [Char('v')] "v" => Scope "v part",
        "review and sign a part: an amplifier, a zone; what stands in the way of each";
    [Review] [Char('P')] "P" => Print,
        "print: write the hand-over record as a PDF; g p does so from every place";
};

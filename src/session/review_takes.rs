//! Which word settles an item of the review, and which others would.

use crate::review::{Matter, Why};

/// Whether such a thing is accepted as it is: what was only not done is left for later.
pub(super) const fn may_be_accepted(matter: Matter) -> bool {
    let not_done = matches!(matter, Matter::Unread | Matter::Flagged(Why::NotReadAgain));
    takes_a_word(matter) && !matter.is_not_done() && !not_done
}

/// Whether a word settles such a thing at all.
pub(super) const fn takes_a_word(matter: Matter) -> bool {
    match matter {
        Matter::Flagged(why) => !matches!(why, Why::Question),
        Matter::LeftOpen
        | Matter::Redrawn
        | Matter::Unread
        | Matter::Off
        | Matter::NotListened
        | Matter::NoInsulation => true,
        _ => false,
    }
}

/// What would settle such a thing.
pub(super) const fn settled_by(matter: Matter) -> &'static str {
    match matter {
        Matter::Flagged(Why::Stop) => {
            "repair it and read it again (Enter goes there, j), or say a word: accepted (Space) or \
             left open (l). A word settles it only while it is OFF"
        }
        Matter::Flagged(Why::NotReadAgain) => {
            "read it again (Enter goes there), or leave it open with owner and date (l); where it read \
             short a word settles it only while it is OFF"
        }
        Matter::Flagged(Why::Question) => "one of them is chosen: Enter asks for its number",
        Matter::Flagged(Why::Over | Why::Tight) => {
            "take load off it (Enter goes there, h tries out), accept it with a reason (Space), or \
             leave it open with owner and date (l)"
        }
        Matter::Flagged(_) => {
            "repair it and read it again (Enter goes there, j), accept it with a reason (Space), or \
             leave it open with owner and date (l)"
        }
        Matter::LeftOpen => {
            "say what became of it: repaired and read again (Enter goes there, j), accepted with a reason \
             (Space), or left open once more with owner and date (l)"
        }
        Matter::SplitOpen => "close it again and say so: Enter goes there, w walks, b closes",
        Matter::ToMove => {
            "both amplifiers isolated, move them; then tick that they are back on (Enter goes to the rack \
             list), or e puts the drawing back"
        }
        Matter::Contradicted(_) => {
            "listen to them (w walks) or put the line back on; else Enter goes to the tick, and l says \
             there what was not heard"
        }
        Matter::Redrawn => {
            "read it again (Enter goes there; j first where it was changed), say why the reading counts \
             (Space), such as: the schedule was wrong, or leave it open (l)"
        }
        Matter::Unread => "read it (Enter goes there), or leave it for later with a reason (l)",
        Matter::Off => {
            "put it back on and tick that (Enter goes to the rack list), or say why it stays off: l leaves it \
             open; Space accepts it where nothing is wrong with what it reads"
        }
        Matter::NotListened => {
            "listen to them (Enter goes there, w walks), or leave them for later with a reason (l)"
        }
        Matter::NoInsulation => {
            "read it (Enter goes there, i), or leave it for later with a reason (l)"
        }
        Matter::Tick(_) => {
            "tick it where it is done, or say there that it does not exist here: Enter goes there"
        }
        Matter::Again(_) => {
            "ticked, and read since: where that undid it, tick it again (Enter goes there)"
        }
        Matter::SiteWide(_) => "in nobody's way: a word on each of its lines settles it",
        Matter::OneOrTwo => {
            "it stands in nobody's way, each is reckoned by itself; where it is one meter, say so: Enter goes \
             there, e, and sn: with its serial number"
        }
        Matter::Calibration => "it stands in nobody's way; it is said on every reading it touches",
        Matter::Repaired => "repaired and read again: nothing more is wanted",
    }
}

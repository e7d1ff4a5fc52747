//! Where a command runs: what time it is there, and who sits at which machine.
//!
//! Never here: what a command does.

use super::TerminalArguments;
use crate::site::whole_second;
use crate::storage::Who;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

/// The time now.
pub(super) fn now() -> Timestamp {
    Timestamp::now()
}

/// The day that it is here.
pub(super) fn today() -> Date {
    now().to_zoned_datetime(TimeZone::system()).date()
}

/// The time now, in whole seconds as the log has it.
pub(super) fn this_second() -> Timestamp {
    whole_second(now())
}

/// Comes back when the second that it is now is over.
pub(super) fn wait_for_next_second() {
    let gone = u64::try_from(now().subsec_nanosecond()).unwrap_or(0);
    let left = 1_000_000_000_u64.saturating_sub(gone);
    std::thread::sleep(std::time::Duration::from_nanos(left));
}

/// Where the name in the log comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Named {
    /// `--by`.
    Told,
    /// The system's user name.
    User,
    /// Nobody said.
    Nobody,
}

/// A variable of the environment that is set and not empty.
pub(super) fn variable(name: &str) -> Option<String> {
    std::env::var(name).ok().filter(|text| !text.is_empty())
}

/// The name that stands in the log, here and in the terminal: `--by`, else the system's user name,
/// else the word `engineer`.
fn name(terminal: &TerminalArguments) -> (String, Named) {
    let user = || variable("USER").or_else(|| variable("USERNAME"));
    match (terminal.by.clone(), user) {
        (Some(name), _) => (name, Named::Told),
        (None, user) => user().map_or_else(
            || ("engineer".to_owned(), Named::Nobody),
            |name| (name, Named::User),
        ),
    }
}

/// Who it was recorded as, and where the name comes from, unless it was told.
pub(super) fn recorded_as(terminal: &TerminalArguments) -> Option<String> {
    let (name, named) = name(terminal);
    let from = match named {
        Named::Told => return None,
        Named::User => "the user name of this machine",
        Named::Nobody => "nobody was named",
    };
    Some(format!("recorded as {name}, {from}; --by NAME says who"))
}

/// Who sits at the keyboard, and at which machine.
pub(super) fn who(terminal: &TerminalArguments) -> Who {
    let (name, _) = name(terminal);
    let machine = variable("HOSTNAME")
        .or_else(|| variable("COMPUTERNAME"))
        .or_else(|| {
            std::fs::read_to_string("/etc/hostname")
                .ok()
                .map(|text| text.trim().to_owned())
        })
        .filter(|text| !text.is_empty())
        .unwrap_or_else(|| "this machine".to_owned());
    Who { name, machine }
}

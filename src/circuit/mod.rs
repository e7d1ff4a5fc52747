//! The line as a circuit: plan to network, network to solution, faults laid over it.
//!
//! ```text
//!   rack o--[a]--(dZ)--[ cable ]--o node 0 --[a]--(dZ)--[ cable ]--o node 1 ...
//!                                 |                                |
//!                               [y own] [y other]                [y own]
//! ```
//!
//! Nodes stand after the node that feeds them; a run is named by the node at its far end. From the
//! feeding node outward a run is: level control (ideal ratio `a`), joint or break (`dZ`), cable
//! (exact two-port, perhaps with shorts along it). All figures are rms, per volt held at the rack,
//! so that neither an open line nor a dead one needs an infinity.
//!
//! Never here: limits, probabilities, files, the clock. A fault never alters the site.

mod across;
mod alone;
mod at_once;
mod bridged;
mod cable;
mod change;
mod closed_form;
mod conditions;
mod element;
mod four;
mod gathered;
mod heard;
mod laying;
mod near_end;
mod network;
mod opening;
mod sensitivity;
mod side_by_side;
mod slopes;
mod solve;
mod spread;
mod sums;
#[cfg(test)]
pub(crate) mod testing;
mod tolerances;

pub use alone::Alone;
pub use at_once::{Changes, Responses};
pub use cable::{COPPER_PER_K, PerMetre, TwoPort};
pub use change::Change;
pub use closed_form::ClosedForm;
pub use conditions::Conditions;
pub use element::Load;
pub use heard::{FLOOR, level_changes, tone_change};
pub use laying::Slope;
pub use network::Network;
pub use sensitivity::Sensitivities;
pub use side_by_side::AtRack;
pub use slopes::Slopes;
pub use solve::{Input, Solution};
pub use spread::{Response, Spread, Spreads};
pub use tolerances::Tolerances;

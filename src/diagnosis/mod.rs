//! Diagnosis: what may be wrong with a line, how likely, and where.
//!
//! ```text
//!   LinePlan --> faults --> hypotheses (sets of faults, each with its weight)
//!                              |
//!                           circuit: ln|Z| under each, its derivatives by every tolerance
//!                              |
//!   Evidence (readings) --> likelihood of each, slips summed over <-- Shared (factors g and t)
//!                              |
//!                           Posterior: classes, places, misfit --> hints in words
//! ```
//!
//! Readings of several kinds and what was heard are taken together; the next test follows from
//! what every hypothesis predicts for those that could be made:
//!
//! ```text
//!   Evidence --> joint: trees (whole line, direct current, sides of a split), each with every
//!                fault; covariances of all readings under each --> survey --> Posterior
//!   Evidence, Walk --> look: what each test may show, by place --> mixture --> bits a minute
//! ```
//!
//! [`Prepared::posterior`] takes any evidence. [`Prepared::next`] ranks the tests that could be made
//! now and says what each answer would mean; both use every core. Neither needs the other's result.
//!
//! [`Prepared`] holds what does not depend on a reading, all but the pairs of faults: those are
//! reckoned in columns as they are asked for, a line of 40 loudspeakers in some milliseconds.
//!
//! Never here: verdict's limits, files, the clock. A fault never alters the site.

mod answer;
mod asked;
mod batch;
mod candidates;
mod cells;
mod densities;
mod entropy;
mod evidence;
#[cfg(test)]
mod example;
mod fault;
mod given;
mod ground;
mod hints;
mod hypothesis;
mod joint;
mod kept;
mod kind;
mod laid;
mod learn;
mod left;
mod likelihood;
mod look;
mod mixture;
mod next_test;
mod pairs;
mod parallel;
mod part;
mod posterior;
mod predicted;
mod prediction;
mod prepared;
mod quick;
mod shared;
mod shows;
mod sitewide;
mod slips;
mod strips;
mod sums;
mod survey;
mod table;
mod tally;
mod term;
mod thin;
mod tree;
mod unwell;
mod walk;

pub use candidates::NextKind;
pub use entropy::{entropy, expected_fall};
pub use evidence::{Answer, Evidence, Meter, Reading, Test};
pub use fault::{FAULTS, Fault, FaultType, Fixed, Form, List, fixed};
pub use hints::{Hint, NOTHING_WRONG, Place};
pub use hypothesis::{Hypothesis, WeightedFault, possible_faults};
pub use kind::FaultKind;
pub use learn::{CHECK_SPREAD, KnownResistor, Learned, learn};
pub use next_test::NextTest;
pub use parallel::one_of_many;
pub use posterior::{FITS_NOTHING_OVER, Posterior};
pub use predicted::Predicted;
pub use prediction::Prediction;
pub use prepared::Prepared;
pub use shared::{Latent, Shared};
pub use sitewide::{SiteFault, SiteHint, SiteLine, Surveyed, site_hints};
pub use term::SiteTerm;
pub use walk::Walk;

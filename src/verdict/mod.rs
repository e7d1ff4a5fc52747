//! Verdicts: what a line's reading, an output's load and an insulation reading are worth against
//! their limits.
//!
//! Plain values in, plain values out. The factor that the readings of one instrument share comes
//! in as an argument; where it was learned is no business of this layer. A load is never lowered
//! by it.
//!
//! Never here: what is wrong with a line, the network, files, the clock.

mod drift;
mod insulation;
mod limits;
mod line;
mod load;
mod output;

pub use drift::{Datum, Drift, drift};
pub use insulation::{InsulationWord, insulation, least_insulation};
pub use limits::Limits;
pub use line::{Factor, LineVerdict, LineWord, deviation, judge, own_variance, u_of_reading};
pub use load::{load, ohms, rating_needed};
pub use output::{OnOutput, OutputLoad, OutputWord, carries};

//! What is not known exactly of a line's loudspeakers and runs.
//!
//! Never here: where the variances come from.

/// Which loads form a group, and the variance of each tolerance.
#[derive(Clone, Debug, PartialEq)]
pub struct Tolerances {
    /// How many groups.
    pub groups: usize,
    /// By node: the group its loudspeaker belongs to while it stands behind its transformer.
    pub group_of: Vec<Option<usize>>,
    /// Variance of ln of each loudspeaker's impedance.
    pub loudspeaker: f64,
    /// By run: variance of ln of its length.
    pub run: Vec<f64>,
    /// Variance of ln of an added load's impedance.
    pub added: f64,
}

//! What one cause predicts of readings not made yet, and what a meter shows of it.
//!
//! Never here: how parts come together.

/// The limits of a meter and what slips make.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limits {
    /// ln of the figure above which it reads open, and below which short.
    pub ln_open: f64,
    pub ln_short: f64,
    /// Probability of a slip, and the shares of slips that read open and short.
    pub slip: f64,
    pub slip_open: f64,
    pub slip_short: f64,
    /// Variance of the last digit, which open and short do not have.
    pub digit: f64,
}

/// What one cause predicts of one or two readings: means in ln, infinite where nothing is
/// connected; variances with last digit and contacts; covariance.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    pub cause: u32,
    pub weight: f64,
    pub mean: [f64; 2],
    pub variance: [f64; 2],
    pub covariance: f64,
}

//! What the readings of a building say of the factors that its lines share.

use linewright::diagnosis::{Learned, Prepared, Reading, SiteTerm, learn};
use linewright::site::Figures;

/// Learned from one rack reading a line.
pub fn learned(prepared: &[Prepared], readings: &[Reading], figures: &Figures) -> Learned {
    let terms: Vec<Option<SiteTerm>> = prepared
        .iter()
        .zip(readings)
        .map(|(prepared, reading)| SiteTerm::of(prepared, reading))
        .collect();
    let terms: Vec<Option<&SiteTerm>> = terms.iter().map(Option::as_ref).collect();
    learn(&terms, &[], figures)
}

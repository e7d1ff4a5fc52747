//! What is probably wrong with a line, ready for screen and JSON.

use crate::quantity::Probability;
use crate::site::NodeId;

/// Suspects of a line, likeliest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspects {
    /// Probability that the reading is simply wrong.
    pub misfit: Probability,
    /// One a class of fault, likeliest first; they add up to 1.
    pub hints: Vec<Hint>,
    /// Probability that a fault sits at a place, over all hints.
    pub places: Vec<Place>,
}

/// A class of fault with its odds.
#[derive(Clone, Debug, PartialEq)]
pub struct Hint {
    /// Its name in JSON.
    pub fault: &'static str,
    /// Its probability.
    pub probability: Probability,
    /// Its sentence.
    pub text: String,
    /// Where, likeliest first.
    pub places: Vec<Place>,
}

/// A place with its odds.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// The node.
    pub at: NodeId,
    /// Its label.
    pub label: String,
    /// Its probability.
    pub probability: Probability,
}

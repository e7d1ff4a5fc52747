//! Shared factors that stand out: an instrument's on a visit, a loudspeaker type's.
//!
//! One is shown when its mean is more than two of its spreads from nothing, with probability
//! Phi(|mean| / spread). It never lowers a load.
//!
//! Never here: how factors are learned.

use super::{SiteFault, SiteHint};
use crate::diagnosis::learn::KnownResistor;
use crate::diagnosis::shared::{Latent, Shared};
use crate::quantity::{Fraction, Probability, normal, show};

/// Shown beyond so many spreads. \[assumed\]
const SHOWN_OVER: f64 = 2.0;

pub(super) fn hints(shared: &Shared, checks: &[KnownResistor]) -> Vec<SiteHint> {
    let mut out = Vec::new();
    for latent in shared.latents() {
        let Some((mean, variance)) = shared.factor(latent) else {
            continue;
        };
        let sd = variance.sqrt();
        if mean.abs() <= SHOWN_OVER * sd {
            continue;
        }
        let factor = mean.exp();
        let off = Fraction((factor - 1.0).abs());
        let u = show::percent(Fraction(factor * sd));
        let amount = format!("{} (u {u})", show::percent(off));
        let (fault, text) = match latent {
            Latent::Meter(meter) => {
                let way = if mean < 0.0 { "low" } else { "high" };
                let checked = checks.iter().any(|check| check.meter == *meter);
                let says = if checked {
                    "the known resistor is reckoned in; loads are shown as read"
                } else {
                    "or the line voltage, or all loads, are off: these readings cannot tell; read \
                     a known resistor to settle the meter. Loads are shown as read"
                };
                let (whose, lines) = match &meter.hand {
                    Some(by) => (format!(" of {by}"), "all lines read with it"),
                    None => (String::new(), "all lines"),
                };
                let text = format!(
                    "{}{whose} reads {amount} {way} on {lines}: {says}",
                    meter.instrument
                );
                (SiteFault::CommonFactor, text)
            }
            Latent::Type(of) => {
                let way = if mean < 0.0 { "more" } else { "less" };
                let text = format!(
                    "loudspeakers of type {of} read {amount} {} than marked, so draw {way}: \
                     measure one alone; loads are shown as read",
                    if mean < 0.0 { "lower" } else { "higher" },
                );
                (SiteFault::CommonType, text)
            }
        };
        out.push(SiteHint {
            meter: match latent {
                Latent::Meter(meter) => Some(meter.clone()),
                Latent::Type(_) => None,
            },
            of_type: match latent {
                Latent::Type(of) => Some(of.clone()),
                Latent::Meter(_) => None,
            },
            factor: Some(Fraction(factor)),
            u: Some(Fraction(factor * sd)),
            ..SiteHint::of(fault, Probability(normal::cdf(mean.abs() / sd)), text)
        });
    }
    out
}

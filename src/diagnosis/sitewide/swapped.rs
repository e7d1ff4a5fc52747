//! Two lines carry each other's label: each reads what the other should.
//!
//! odds = rate / (N - 1) x p_A(m_B) p_B(m_A) / (p_A(m_A) p_B(m_B)).
//!
//! Never here: words.

use super::sieve::Sieve;
use super::survey::{Odds, Survey, What};
use crate::site::Figure;

/// Up to so many lines every pair is summed in full.
const ALL_UP_TO: usize = 64;
/// Pairs of larger sites whose odds may reach this are summed in full; the rest count by the
/// table.
const WORTH_A_SUM: f64 = 1e-3;

pub(super) fn enter(survey: &Survey<'_>, odds: &mut Odds) {
    let read = &survey.read;
    let Some(ln_rate) = ln_rate(survey, Figure::RateSwappedLabels) else {
        return;
    };
    let sieves: Vec<Sieve> = if read.len() > ALL_UP_TO {
        let digits = read.iter().map(|it| it.weigher.own.digit);
        let digit = digits.fold(0.0, f64::max);
        read.iter()
            .map(|it| Sieve::of(&it.weigher, &survey.common, digit))
            .collect()
    } else {
        Vec::new()
    };
    // ln of what was read, the meter's factor taken out; rate over p of its own reading.
    let shown: Vec<f64> = read
        .iter()
        .map(|it| it.weigher.own.ln_m - it.weigher.joint.mean[it.weigher.own.meter])
        .collect();
    let inverse: Vec<f64> = read.iter().map(|it| (-it.weigher.ln_own).exp()).collect();
    let rate = ln_rate.exp();
    for (one, a) in read.iter().enumerate() {
        for (other, b) in read.iter().enumerate().skip(one + 1) {
            if let (Some(first), Some(second)) = (sieves.get(one), sieves.get(other)) {
                let against = rate * inverse[one] * inverse[other];
                let most = first.most(shown[other]) * second.most(shown[one]);
                if against * most < WORTH_A_SUM {
                    let about = first.about(shown[other]) * second.about(shown[one]);
                    odds.count(&[one, other], (against * about).ln());
                    continue;
                }
            }
            let (a, b) = (&a.weigher, &b.weigher);
            let crossed = a.ln_p(b.own) + b.ln_p(a.own);
            let ln_odds = ln_rate + crossed - a.ln_own - b.ln_own;
            odds.enter(&[one, other], ln_odds, || What::Swapped);
        }
    }
}

/// ln of a rate a line spread over its partners; none where there are none.
pub(super) fn ln_rate(survey: &Survey<'_>, figure: Figure) -> Option<f64> {
    let rate = survey.common.rate(figure);
    let partners = survey.read.len().saturating_sub(1);
    #[allow(clippy::cast_precision_loss)]
    let ln = (rate / partners as f64).ln();
    ln.is_finite().then_some(ln)
}

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
const WORTH_A_SUM: f64 = 0.01;

pub(super) fn enter(survey: &Survey<'_>, odds: &mut Odds) {
    enter_pairs(survey, odds, ALL_UP_TO);
}

fn enter_pairs(survey: &Survey<'_>, odds: &mut Odds, all_up_to: usize) {
    let read = &survey.read;
    let Some(ln_rate) = ln_rate(survey, Figure::RateSwappedLabels) else {
        return;
    };
    let sieves: Vec<Sieve> = if read.len() > all_up_to {
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

#[cfg(test)]
mod tests {
    use super::super::survey::{Read, Surveyed};
    use super::super::weigh::{Common, Weigher};
    use super::*;
    use crate::diagnosis::example;
    use crate::diagnosis::shared::{Latent, Shared};
    use crate::diagnosis::{Meter, Prepared, Reading, SiteLine};
    use crate::quantity::{Fraction, Ohm, Value};
    use crate::site::{Figures, LinePlan};

    fn plan(volts: f64) -> LinePlan {
        LinePlan {
            volts: crate::quantity::Volt(volts),
            ..example::line()
        }
    }

    /// Ninety lines of three kinds, read with two meters; their readings run over all that they
    /// may read.
    fn small(figures: &Figures) -> Vec<(LinePlan, SiteLine)> {
        let kinds = [100.0, 70.7, 140.0].map(|volts| {
            let plan = plan(volts);
            let prepared = Prepared::new(&plan, figures, false);
            (plan, prepared)
        });
        (0..90u32)
            .map(|at| {
                let (plan, prepared) = &kinds[at as usize % 3];
                let ohm = 0.8 * 1.12f64.powi(i32::try_from(at).unwrap());
                let mut reading = Reading::at_rack(
                    Value::Ohm(Ohm(ohm)),
                    Ohm(if at % 2 == 0 { 0.01 } else { 0.05 } * ohm),
                    Fraction(0.05),
                    figures,
                );
                if at % 5 == 0 {
                    reading.meter.instrument = "other".into();
                }
                (plan.clone(), SiteLine::of(prepared, &reading).unwrap())
            })
            .collect()
    }

    #[test]
    fn the_sieve_holds_nothing_back_that_may_matter() {
        let figures = Figures::default();
        let latents = ["meter", "other"].map(|it| {
            Latent::Meter(Meter {
                instrument: if it == "other" {
                    it.into()
                } else {
                    Meter::default().instrument
                },
                visit: Meter::default().visit,
                hand: None,
            })
        });
        let shared = Shared::new(
            latents.to_vec(),
            vec![-0.03, 0.02],
            vec![2e-4, 0.0, 0.0, 5e-5],
        );
        let lines = small(&figures);
        let surveyed: Vec<Surveyed<'_>> = lines
            .iter()
            .map(|(plan, read)| Surveyed {
                plan,
                read: Some(read),
                turn: 0,
            })
            .collect();
        let common = Common::of(lines.iter().map(|it| &it.1), &shared, &figures);
        let read: Vec<Read<'_>> = lines
            .iter()
            .map(|(plan, line)| Read {
                plan,
                weigher: Weigher::of(line, &common),
                turn: 0,
            })
            .collect();
        let digits = read.iter().map(|it| it.weigher.own.digit);
        let digit = digits.fold(0.0, f64::max);
        let mut near = 0;
        for one in &read {
            let sieve = Sieve::of(&one.weigher, &common, digit);
            for other in &read {
                let own = other.weigher.own;
                let x = own.ln_m - other.weigher.joint.mean[own.meter];
                let p = one.weigher.ln_p(own).exp();
                let (most, about) = (sieve.most(x), sieve.about(x));
                assert!(most >= 0.999 * p, "{most} {p}");
                assert!(
                    about < 5.0 * p + 0.01 && p < 5.0 * about + 0.01,
                    "{about} {p}"
                );
                near += u32::from(most < 3.0 * p);
            }
        }
        assert!(near > 4000, "only {near} of 8100 bounds are within three");
        // And what is shown is the same as with every pair summed.
        let survey = Survey {
            lines: &surveyed,
            read,
            common,
        };
        let settle = |all_up_to| {
            let mut odds = Odds::new(survey.read.len());
            enter_pairs(&survey, &mut odds, all_up_to);
            odds.settle(0.05)
        };
        let (sieved, full) = (settle(0), settle(1000));
        assert!(full.len() > 3, "{}", full.len());
        for (entry, p) in full {
            let found = sieved.iter().find(|it| it.0.lines == entry.lines);
            let off = found.map_or(p, |it| (it.1 - p).abs());
            assert!(off < 0.01, "{:?}: {p} off by {off}", entry.lines);
        }
    }
}

//! Few hypotheses that stand for many, where the next test is looked for.
//!
//! What is likely stays as it is. Of the rest, every so much of probability along the list is given to
//! one hypothesis of it: none is forgotten, as the unlikely ones would be with the likeliest alone, where
//! a reading says little and many are as likely. Lists stand in the order in which faults are laid, so
//! that neighbours are alike.
//!
//! Never here: tests, what they cost.

use super::kept::Kept;

/// Keeps so many of the likeliest, in the order in which faults are laid.
pub(super) fn likeliest(kept: &mut Vec<Kept>, most: usize) {
    if kept.len() > most {
        kept.sort_by(|a, b| b.p.total_cmp(&a.p));
        kept.truncate(most);
        lay(kept);
    }
}

/// How many of the likeliest hold this share of all.
pub(super) fn holding(kept: &[Kept], share: f64) -> usize {
    let mut p: Vec<f64> = kept.iter().map(|it| it.p).collect();
    p.sort_by(|a, b| b.total_cmp(a));
    let mut left = share * p.iter().sum::<f64>();
    let some = p.iter().position(|p| {
        left -= p;
        left <= 0.0
    });
    some.map_or(p.len(), |last| last + 1)
}

/// So many, for a first look.
#[allow(clippy::cast_precision_loss)]
pub(super) fn few(kept: &[Kept], most: usize) -> Vec<Kept> {
    if kept.len() <= most {
        return kept.to_vec();
    }
    let heavy = total(kept) / most as f64;
    let many = kept.iter().filter(|it| it.p >= heavy).count();
    let step = rest(kept, heavy) / most.saturating_sub(many).max(1) as f64;
    let mut out = Vec::with_capacity(most);
    thin(kept, heavy, step, &mut out);
    out
}

/// Those of this share of the whole stay as they are; the rest of each place, which may be hundreds
/// that differ in what their faults are and not in where, stands in one for every such share, and in
/// one at least. So the probability of each place stays what it is.
pub(super) fn by_place(mut kept: Vec<Kept>, share: f64) -> Vec<Kept> {
    let heavy = share * total(&kept);
    kept.sort_by_key(|it| (it.place, it.first, it.second));
    let mut out = Vec::new();
    for of_place in kept.chunk_by(|a, b| a.place == b.place) {
        let rest = rest(of_place, heavy);
        thin(
            of_place,
            heavy,
            rest / (rest / heavy).ceil().max(1.0),
            &mut out,
        );
    }
    lay(&mut out);
    out
}

/// One of the rest for every `step` of probability.
fn thin(kept: &[Kept], heavy: f64, step: f64, out: &mut Vec<Kept>) {
    let mut due = 0.5 * step;
    for it in kept {
        if it.p >= heavy {
            out.push(*it);
            continue;
        }
        due -= it.p;
        if due <= 0.0 {
            due += step;
            out.push(Kept {
                p: step,
                ln_weight: it.ln_weight + (step / it.p).ln(),
                ..*it
            });
        }
    }
}

fn total(kept: &[Kept]) -> f64 {
    kept.iter().map(|it| it.p).sum()
}

fn rest(kept: &[Kept], heavy: f64) -> f64 {
    kept.iter().map(|it| it.p).filter(|p| *p < heavy).sum()
}

/// In the order in which faults are laid.
fn lay(kept: &mut [Kept]) {
    kept.sort_by_key(|it| (it.first, it.second));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three places: a likely hypothesis, a hundred unlikely ones, one that hardly counts.
    fn kept() -> Vec<Kept> {
        let one = |first, second, place, p: f64| Kept {
            first: Some(first),
            second,
            place,
            ln_weight: p.ln(),
            p,
        };
        let unlikely = (0..100).map(|second| one(1, Some(second), 1, 0.003));
        std::iter::once(one(0, None, 0, 0.699_999))
            .chain(unlikely)
            .chain([one(2, None, 2, 1e-6)])
            .collect()
    }

    fn of_place(kept: &[Kept], place: u32) -> (usize, f64) {
        let there: Vec<f64> = kept
            .iter()
            .filter(|it| it.place == place)
            .map(|it| it.p)
            .collect();
        (there.len(), there.iter().sum())
    }

    #[test]
    fn each_place_keeps_its_probability_and_the_likely_stay_as_they_are() {
        let thinned = by_place(kept(), 0.021);
        // 0.3 in shares of no more than 0.021.
        for (place, many, p) in [(0, 1, 0.699_999), (1, 15, 0.3), (2, 1, 1e-6)] {
            let (got, sum) = of_place(&thinned, place);
            assert_eq!(got, many, "place {place}");
            assert!((sum - p).abs() < 1e-12, "place {place}: {sum}");
        }
        assert!(thinned.is_sorted_by_key(|it| (it.first, it.second)));
        for it in thinned {
            assert!((it.ln_weight - it.p.ln()).abs() < 1e-9);
        }
    }

    #[test]
    fn a_first_look_takes_no_more_than_it_may_and_holds_all_of_the_probability() {
        let few = few(&kept(), 21);
        assert!(few.len() <= 21);
        // To within the half step at the end of the list.
        assert!((total(&few) - 1.0).abs() < 0.3 / 20.0);
    }

    #[test]
    fn the_likeliest_that_hold_a_share_are_counted() {
        assert_eq!(holding(&kept(), 0.6), 1);
        assert_eq!(holding(&kept(), 0.699_999 + 0.003 * 9.5), 11);
    }
}

//! Entropy, and how far a test is expected to lower it.
//!
//! The next test is the one whose answer leaves least uncertainty, on average over the answers
//! that the causes predict (J. de Kleer and B. C. Williams, "Diagnosing multiple faults",
//! Artificial Intelligence 32, 1987). All in bits; shares need not add up to 1.
//!
//! Never here: lines, readings.

/// Entropy of shares, in bits; nothing for none.
#[must_use]
pub fn entropy(shares: &[f64]) -> f64 {
    let (mut sum, mut weighted) = (0.0, 0.0);
    for share in shares {
        if *share > 0.0 {
            sum += share;
            weighted += share * share.log2();
        }
    }
    if sum > 0.0 {
        (sum.log2() - weighted / sum).max(0.0)
    } else {
        0.0
    }
}

/// Expected fall of the entropy of the cause by a test, in bits, from the joint shares of causes
/// and answers: one row an answer, each with one share a cause.
#[must_use]
pub fn expected_fall<R: AsRef<[f64]>>(answers: &[R]) -> f64 {
    let causes = answers.iter().map(|row| row.as_ref().len()).max();
    let mut before = vec![0.0; causes.unwrap_or(0)];
    let mut after = 0.0;
    for row in answers {
        for (sum, share) in before.iter_mut().zip(row.as_ref()) {
            *sum += share;
        }
        after += row.as_ref().iter().sum::<f64>() * entropy(row.as_ref());
    }
    let sum: f64 = before.iter().sum();
    if sum > 0.0 {
        (entropy(&before) - after / sum).max(0.0)
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_shares_have_the_logarithm_of_their_number() {
        assert!((entropy(&[2.0; 8]) - 3.0).abs() < 1e-15);
        assert_eq!(entropy(&[0.0, 5.0]), 0.0);
        assert_eq!(entropy(&[]), 0.0);
    }

    #[test]
    fn a_test_that_tells_all_lowers_it_to_nothing_and_one_that_tells_nothing_not_at_all() {
        assert!((expected_fall(&[[0.5, 0.0], [0.0, 0.5]]) - 1.0).abs() < 1e-15);
        assert!(expected_fall(&[[0.1, 0.3], [0.15, 0.45]]) < 1e-15);
        // A channel that is wrong one time in ten: 1 - H(0.1).
        let wrong = -(0.1f64 * 0.1f64.log2() + 0.9 * 0.9f64.log2());
        let fall = expected_fall(&[[0.45, 0.05], [0.05, 0.45]]);
        assert!((fall - (1.0 - wrong)).abs() < 1e-14);
    }
}

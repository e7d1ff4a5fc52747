//! Rows in an order in which each stands behind those that it leans on: a correction behind what it corrects,
//! whatever their times say.
//!
//! Never here: which row leans on which.

/// The places 0 to `count`, in that order but for those that lean on later ones: these follow what they lean
/// on. Places that lean on each other in a ring stay as they stand.
pub(super) fn in_turn(count: usize, leans_on: impl Fn(usize) -> Vec<usize>) -> Vec<usize> {
    let mut out = Vec::with_capacity(count);
    let mut begun = vec![false; count];
    for first in 0..count {
        if begun[first] {
            continue;
        }
        begun[first] = true;
        let mut way = vec![(first, leans_on(first))];
        while let Some((at, waits)) = way.last_mut() {
            match waits.pop() {
                Some(next) if next < count && !begun[next] => {
                    begun[next] = true;
                    way.push((next, leans_on(next)));
                }
                Some(_) => {}
                None => {
                    out.push(*at);
                    way.pop();
                }
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::in_turn;

    #[test]
    fn what_leans_on_a_later_one_follows_it_and_all_else_stays() {
        let leans = |at: usize| match at {
            1 => vec![3],
            3 => vec![4],
            _ => Vec::new(),
        };
        assert_eq!(in_turn(6, leans), [0, 4, 3, 1, 2, 5]);
        assert_eq!(in_turn(3, |at| vec![(at + 1) % 3]).len(), 3, "a ring ends");
    }
}

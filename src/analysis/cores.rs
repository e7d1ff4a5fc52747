//! Work on many lines at once, on all cores of the machine. Results stand in the order asked for and
//! have the same digits as on one core.

use crate::diagnosis::one_of_many;
use std::sync::atomic::{AtomicUsize, Ordering};

/// The same work for many lines, shared out among the machine's cores; results in the order asked,
/// whatever the number of cores.
pub(super) fn on_every_core<T: Send>(lines: &[usize], work: impl Fn(usize) -> T + Sync) -> Vec<T> {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    if cores == 1 || lines.len() < 2 {
        return lines.iter().map(|at| work(*at)).collect();
    }
    let next = AtomicUsize::new(0);
    let mut done: Vec<(usize, T)> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..cores.min(lines.len()))
            .map(|_| {
                scope.spawn(|| {
                    let mut done = Vec::new();
                    loop {
                        let place = next.fetch_add(1, Ordering::Relaxed);
                        let Some(at) = lines.get(place) else {
                            return done;
                        };
                        done.push((place, one_of_many(|| work(*at))));
                    }
                })
            })
            .collect();
        let results = workers.into_iter().flat_map(|worker| match worker.join() {
            Ok(results) => results,
            // A defect there is a defect here.
            Err(panic) => std::panic::resume_unwind(panic),
        });
        results.collect()
    });
    done.sort_by_key(|(place, _)| *place);
    done.into_iter().map(|(_, result)| result).collect()
}

/// Two pieces of work at the same time.
pub(super) fn both<A: Send, B>(
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B,
) -> (A, B) {
    std::thread::scope(|scope| {
        let one = scope.spawn(one);
        let other = other();
        match one.join() {
            Ok(one) => (one, other),
            // A defect there is a defect here.
            Err(panic) => std::panic::resume_unwind(panic),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_the_order_asked() {
        let lines: Vec<usize> = (0..1000).rev().collect();
        assert_eq!(
            on_every_core(&lines, |at| at * 2),
            lines.iter().map(|at| at * 2).collect::<Vec<_>>()
        );
        assert!(on_every_core(&[], |at| at).is_empty());
    }
}

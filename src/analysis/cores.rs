//! Work shared out among the machine's cores, with the same result as on one.
//!
//! Never here: what the work is.

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
                        done.push((place, work(*at)));
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_come_in_the_order_asked_whoever_is_done_first() {
        let lines: Vec<usize> = (0..200).rev().collect();
        let slow_at_first = |at: usize| {
            let turns = if at > 190 { 200_000 } else { 1 };
            (0..turns).fold(at, |sum, turn| std::hint::black_box(sum ^ turn ^ turn))
        };
        assert_eq!(on_every_core(&lines, slow_at_first), lines);
        assert!(on_every_core(&[], slow_at_first).is_empty());
        assert_eq!(on_every_core(&[7], slow_at_first), [7]);
    }
}

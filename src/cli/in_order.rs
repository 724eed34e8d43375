//! Work on many things at once, results in the given order or as they come.

use rayon::ThreadPoolBuilder;
use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;

/// Runs `work` on every item with `jobs` threads (0: as many as there are cores) and hands the
/// results to `take` in the order of the items, each as soon as those before it are done. When
/// `take` breaks, no further item is begun.
///
/// # Errors
/// The threads could not be made.
pub fn in_order<T, R>(
    items: &[T],
    jobs: usize,
    work: impl Fn(&T) -> R + Sync,
    mut take: impl FnMut(&T, R) -> ControlFlow<()>,
) -> Result<(), rayon::ThreadPoolBuildError>
where
    T: Sync,
    R: Send,
{
    let mut early = BTreeMap::new();
    let mut due = 0;
    numbered(items, jobs, work, |n, result| {
        early.insert(n, result);
        while let Some(result) = early.remove(&due) {
            take(&items[due], result)?;
            due += 1;
        }
        ControlFlow::Continue(())
    })
}

/// The same, but each result is handed over as it comes.
///
/// # Errors
/// The threads could not be made.
pub fn as_done<T, R>(
    items: &[T],
    jobs: usize,
    work: impl Fn(&T) -> R + Sync,
    mut take: impl FnMut(&T, R) -> ControlFlow<()>,
) -> Result<(), rayon::ThreadPoolBuildError>
where
    T: Sync,
    R: Send,
{
    numbered(items, jobs, work, |n, result| take(&items[n], result))
}

/// As many threads as were asked for; 0 asks for as many as there are cores.
pub fn threads(jobs: usize) -> usize {
    if jobs == 0 {
        std::thread::available_parallelism().map_or(1, usize::from)
    } else {
        jobs
    }
}

fn numbered<T, R>(
    items: &[T],
    jobs: usize,
    work: impl Fn(&T) -> R + Sync,
    mut take: impl FnMut(usize, R) -> ControlFlow<()>,
) -> Result<(), rayon::ThreadPoolBuildError>
where
    T: Sync,
    R: Send,
{
    let pool = ThreadPoolBuilder::new()
        .num_threads(threads(jobs).min(items.len()).max(1))
        .build()?;
    let (next, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    let (sender, results) = mpsc::channel();
    std::thread::scope(|scope| {
        let (next, stop, work) = (&next, &stop, &work);
        scope.spawn(move || {
            pool.broadcast(|_| {
                while !stop.load(Ordering::Relaxed) {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    let Some(item) = items.get(n) else { break };
                    if sender.send((n, work(item))).is_err() {
                        break;
                    }
                }
            });
        });
        for (n, result) in results {
            if take(n, result).is_break() {
                stop.store(true, Ordering::Relaxed);
                return;
            }
        }
    });
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn results_come_in_the_order_of_the_items_and_all_of_them() {
        let items: Vec<u64> = (0..40).collect();
        let mut seen = Vec::new();
        let work = |n: &u64| {
            std::thread::sleep(Duration::from_millis((40 - n) % 7));
            n * n
        };
        in_order(&items, 4, work, |n, square| {
            assert_eq!(n * n, square);
            seen.push(*n);
            ControlFlow::Continue(())
        })
        .unwrap();
        assert_eq!(seen, items);
    }

    #[test]
    fn a_break_stops_the_work() {
        let items: Vec<usize> = (0..10_000).collect();
        let begun = AtomicUsize::new(0);
        let work = |n: &usize| {
            begun.fetch_add(1, Ordering::Relaxed);
            std::thread::sleep(Duration::from_micros(200));
            *n
        };
        in_order(&items, 2, work, |n, _| {
            if *n == 3 {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        })
        .unwrap();
        assert!(begun.load(Ordering::Relaxed) < 1000);
    }
}

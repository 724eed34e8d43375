//! Work on the parts of something long, one after the other or on several threads. Each part stands
//! for itself, so the outcome is the same.

use std::sync::Mutex;

/// Does `work` on each of `parts` with so many threads, the caller's own among them.
pub fn each<T: Send>(
    threads: usize,
    parts: impl Iterator<Item = T> + Send,
    work: impl Fn(T) + Sync,
) {
    if threads < 2 {
        return parts.for_each(work);
    }
    let parts = Mutex::new(parts);
    let run = || {
        // The lock ends within the closure: it is not held while the part is worked on.
        while let Some(part) = parts.lock().ok().and_then(|mut parts| parts.next()) {
            work(part);
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..threads {
            // Where no thread is to be had, the others do its work.
            let _ = std::thread::Builder::new().spawn_scoped(scope, run);
        }
        run();
    });
}

#[cfg(test)]
mod tests {
    use super::each;

    #[test]
    fn every_part_is_worked_on_once_however_many_threads_there_are() {
        for threads in [0, 1, 2, 5] {
            let mut values: Vec<u32> = (0..1000).collect();
            each(threads, values.chunks_mut(7), |part| {
                part.iter_mut().for_each(|x| *x += 1);
            });
            assert!(values.iter().copied().eq(1..=1000), "{threads}");
        }
    }
}

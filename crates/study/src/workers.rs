//! Independent pieces of work on several threads.

use std::panic::resume_unwind;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::channel;
use std::thread;

/// Does the pieces of work with the given numbers on `threads` threads (at least one) and hands over each as it is finished, on the
/// calling thread. Only the order of handing over depends on the threads.
///
/// # Errors
/// The first error of `finished`; no further piece is begun then.
pub fn each<T: Send, E>(
    numbers: &[usize],
    threads: usize,
    work: &(dyn Fn(usize) -> T + Sync),
    finished: &mut dyn FnMut(usize, T) -> Result<(), E>,
) -> Result<(), E> {
    let (next, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    let (next, stop) = (&next, &stop);
    thread::scope(|scope| {
        let (sender, results) = channel();
        let workers: Vec<_> = (0..threads.clamp(1, numbers.len().max(1)))
            .map(|_| {
                let sender = sender.clone();
                scope.spawn(move || {
                    while !stop.load(Ordering::Relaxed) {
                        let Some(&number) = numbers.get(next.fetch_add(1, Ordering::Relaxed)) else { return };
                        if sender.send((number, work(number))).is_err() {
                            return;
                        }
                    }
                })
            })
            .collect();
        drop(sender);
        // Ends when the last worker has dropped its sender.
        let result = results.iter().try_for_each(|(number, result)| finished(number, result));
        stop.store(true, Ordering::Relaxed);
        for worker in workers {
            if let Err(panic) = worker.join() {
                resume_unwind(panic);
            }
        }
        result
    })
}

/// Does the pieces 0 to `n` in the same way and gathers them in their order; `finished` hears of each, on the calling thread.
pub fn all<T: Send>(n: usize, threads: usize, work: &(dyn Fn(usize) -> T + Sync), finished: &mut dyn FnMut()) -> Vec<T> {
    let mut found: Vec<Option<T>> = std::iter::repeat_with(|| None).take(n).collect();
    let Ok(()) = each(&(0..n).collect::<Vec<_>>(), threads, work, &mut |i, result| {
        found[i] = Some(result);
        finished();
        Ok::<(), std::convert::Infallible>(())
    });
    found.into_iter().flatten().collect()
}

//! Work shared among threads that end within the call: which of them does a piece changes nothing.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// Threads at most, this one with them. How many processors there are is not asked: pages are the same everywhere. More would gain
/// little where two others work beside them, and each holds on to memory that it has freed: some 2 MiB of a long report.
const THREADS: usize = 2;
/// Of fewer pieces a thread costs more than it saves.
const FEW: usize = 4;

/// What `of` makes of each, in the order they came in.
pub(crate) fn each<T: Sync, R: Send>(items: &[T], of: impl Fn(&T) -> R + Sync) -> Vec<R> {
    on(if items.len() < FEW { 1 } else { THREADS }, items, of)
}

/// The same of things that are handed over: each is gone when it was made into something else, so that never all of both are held.
pub(crate) fn each_taken<T: Send, R: Send>(items: Vec<T>, of: impl Fn(T) -> R + Sync) -> Vec<R> {
    let items: Vec<Mutex<Option<T>>> = items.into_iter().map(|item| Mutex::new(Some(item))).collect();
    let taken = |item: &Mutex<Option<T>>| item.lock().unwrap_or_else(PoisonError::into_inner).take();
    // Each is taken by one thread, once.
    each(&items, |item| taken(item).map(&of)).into_iter().flatten().collect()
}

/// The same on `threads` threads, this one with them; a fault in one piece is a fault of all.
pub fn on<T: Sync, R: Send>(threads: usize, items: &[T], of: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let threads = threads.min(items.len());
    if threads < 2 {
        return items.iter().map(of).collect();
    }
    // Each takes the next one that nobody took: a long piece holds up nobody.
    let next = AtomicUsize::new(0);
    let take = || {
        let mut made = Vec::new();
        while let Some((place, item)) = Some(next.fetch_add(1, Ordering::Relaxed))
            .and_then(|place| items.get(place).map(|item| (place, item)))
        {
            made.push((place, of(item)));
        }
        made
    };
    let mut all = std::thread::scope(|scope| {
        let others: Vec<_> = (1..threads).map(|_| scope.spawn(take)).collect();
        let mut all = take();
        for other in others {
            all.extend(other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)));
        }
        all
    });
    all.sort_by_key(|(place, _)| *place);
    all.into_iter().map(|(_, made)| made).collect()
}

#[cfg(test)]
mod tests {
    use super::{each, each_taken, on};

    #[test]
    fn each_is_made_once_and_in_order() {
        for n in [0, 1, FEW_MORE, 500_u64] {
            let items: Vec<u64> = (0..n).collect();
            let slow_at_first = |i: &u64| {
                std::thread::sleep(std::time::Duration::from_micros(200 * u64::from(*i < 3)));
                i * i
            };
            let squares: Vec<u64> = items.iter().map(|i| i * i).collect();
            assert_eq!(each(&items, slow_at_first), squares);
            assert_eq!(each_taken(items, |i| slow_at_first(&i)), squares);
        }
    }

    #[test]
    fn a_fault_in_one_is_a_fault_of_all() {
        for threads in [1, 2, 8] {
            let caught = std::panic::catch_unwind(|| on(threads, &[1, 2, 3], |i| assert_ne!(*i, 2)));
            assert!(caught.is_err());
        }
    }

    const FEW_MORE: u64 = super::FEW as u64 + 1;
}

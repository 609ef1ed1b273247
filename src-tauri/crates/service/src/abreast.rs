//! Files read beside each other, on as many threads as there are processors: reading one record waits for no other.

use std::num::NonZero;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What `of` makes of each, in the order they came in.
pub fn each<T: Sync, R: Send>(items: &[T], of: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let threads = std::thread::available_parallelism().map_or(1, NonZero::get).min(items.len());
    if threads < 2 {
        return items.iter().map(of).collect();
    }
    // Each takes the next one that nobody took: a long record holds up nobody.
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
    let mut all: Vec<(usize, R)> = std::thread::scope(|scope| {
        let at_work: Vec<_> = (0..threads).map(|_| scope.spawn(take)).collect();
        let made = at_work.into_iter().map(|thread| thread.join());
        made.flat_map(|made| made.unwrap_or_else(|panic| std::panic::resume_unwind(panic))).collect()
    });
    all.sort_by_key(|(place, _)| *place);
    all.into_iter().map(|(_, made)| made).collect()
}

#[cfg(test)]
mod tests {
    use super::each;

    #[test]
    fn each_is_made_once_and_in_order() {
        for n in [0, 1, 2, 7, 500_u64] {
            let items: Vec<u64> = (0..n).collect();
            let slow_at_first = |i: &u64| {
                std::thread::sleep(std::time::Duration::from_micros(200 * u64::from(*i < 3)));
                i * i
            };
            assert_eq!(each(&items, slow_at_first), items.iter().map(|i| i * i).collect::<Vec<_>>());
        }
    }

    #[test]
    fn a_fault_in_one_is_a_fault_of_all() {
        let caught = std::panic::catch_unwind(|| each(&[1, 2, 3], |i| assert_ne!(*i, 2)));
        assert!(caught.is_err());
    }
}

//! Runs that some threads share; which of them does a run changes nothing.

use std::ops::Range;

const THREADS: usize = 4;

/// `one` of each number below `count`, in their order, by threads that do at least `least` each.
///
/// # Errors
/// The first that `one` gives, by the order of the numbers.
pub fn each<T: Send, E: Send>(
    count: u32,
    least: usize,
    one: impl Fn(u32) -> Result<T, E> + Sync,
) -> Result<Vec<T>, E> {
    let share = (count as usize).div_ceil(THREADS).max(least).max(1);
    let parts: Vec<Range<u32>> = (0..count)
        .step_by(share)
        .map(|from| from..from.saturating_add(u32::try_from(share).unwrap_or(u32::MAX)).min(count))
        .collect();
    let part = |part: Range<u32>| part.map(&one).collect::<Result<Vec<T>, E>>();
    if let [only] = parts.as_slice() {
        return part(only.clone());
    }
    let part = &part;
    std::thread::scope(|scope| {
        let working: Vec<_> = parts.into_iter().map(|own| scope.spawn(move || part(own))).collect();
        let mut all = Vec::with_capacity(count as usize);
        for work in working {
            match work.join() {
                Ok(done) => all.extend(done?),
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        Ok(all)
    })
}

//! Files read beside each other, on as many threads as there are processors: reading one record waits for no other.

use std::num::NonZero;

/// What `of` makes of each, in the order they came in.
pub fn each<T: Sync, R: Send>(items: &[T], of: impl Fn(&T) -> R + Sync) -> Vec<R> {
    report::share::on(std::thread::available_parallelism().map_or(1, NonZero::get), items, of)
}

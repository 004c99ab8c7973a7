//! Many small independent computations, on all threads where there are threads.

/// `work` on each item, in order.
pub(super) fn each<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync + Send) -> Vec<R> {
    #[cfg(feature = "threads")]
    {
        use rayon::prelude::*;
        items.par_iter().with_min_len(64).map(work).collect()
    }
    #[cfg(not(feature = "threads"))]
    items.iter().map(work).collect()
}

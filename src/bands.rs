//! Work in bands of rows: how a run is cut, told to its caller, and stopped.
//!
//! Cutting changes no bit of a result (a pixel depends on nothing but its place and its tone), so a band's height is a
//! matter of memory and of how often the caller hears from us. Progress is called on the caller's thread between bands.

use std::ops::{ControlFlow, Range};

use crate::error::{Error, Result};

/// Bytes of film in one band: large enough that threads and calls cost nothing, small enough to stay in a cache and to
/// answer a cancel within milliseconds.
const BAND_BYTES: usize = 1 << 20;

/// Film rows in one band for rows of `row_bytes`.
pub fn band_rows(row_bytes: usize) -> usize {
    (BAND_BYTES / row_bytes.max(1)).clamp(1, 1024)
}

/// How far a run has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// Rows finished.
    pub done: u64,
    /// Rows in all.
    pub total: u64,
}

/// The caller's ear: called between bands; `Break` stops the run, which then returns [`Error::Cancelled`].
pub type OnProgress<'a> = &'a mut dyn FnMut(Progress) -> ControlFlow<()>;

/// A progress function that only listens.
pub fn go_on(_: Progress) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

/// Calls `work` for each band of `0..rows`, top to bottom, and `progress` after each.
pub fn each_band(
    rows: usize,
    band: usize,
    progress: OnProgress<'_>,
    mut work: impl FnMut(Range<usize>) -> Result<()>,
) -> Result<()> {
    let band = band.max(1);
    let mut start = 0;
    while start < rows {
        let end = rows.min(start.saturating_add(band));
        work(start..end)?;
        let told = Progress { done: end as u64, total: rows as u64 };
        if progress(told).is_break() {
            return Err(Error::Cancelled);
        }
        start = end;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_cover_every_row_once() {
        for (rows, band) in [(0, 5), (1, 5), (5, 5), (11, 5), (3, 0)] {
            let mut seen = Vec::new();
            let mut heard = Vec::new();
            let mut listen = |p: Progress| {
                heard.push(p.done);
                go_on(p)
            };
            each_band(rows, band, &mut listen, |r| {
                seen.extend(r);
                Ok(())
            })
            .unwrap();
            assert_eq!(seen, (0..rows).collect::<Vec<_>>());
            assert_eq!(heard.last().copied().unwrap_or(0), rows as u64);
        }
    }

    #[test]
    fn a_break_stops_after_the_band() {
        let mut bands = 0;
        let mut stop = |p: Progress| {
            if p.done >= 4 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        };
        let stopped = each_band(100, 2, &mut stop, |_| {
            bands += 1;
            Ok(())
        });
        assert!(matches!(stopped, Err(Error::Cancelled)));
        assert_eq!(bands, 2);
    }
}

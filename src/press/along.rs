//! Along a height: where printed ink begins and ends on one line across a film whose edges have moved.
//!
//! The covered points of a line are the union of the runs of every row within reach, each longer at both ends
//! ([`spread`](super::spread)), exact in x. Where several films print on each other it is lines that are laid on each other, so
//! that how their edges meet inside of a pixel is known and not guessed from part coverages.

use std::ops::Range;

use super::runs::{Runs, add_runs, reserve_more};
use super::spread::rows_near;
use crate::error::Result;
use crate::film::FilmView;

/// Runs of some rows of a film, and the line across them that was asked for last. To be used again for other rows.
#[derive(Debug, Default)]
pub(crate) struct Along {
    /// How far edges move along x and y, in pixels, outwards.
    growth: [f64; 2],
    /// Whether bare ground spreads in place of ink.
    bare: bool,
    columns: Range<i64>,
    rows: Range<i64>,
    /// Where each row's runs begin; one more than rows.
    starts: Vec<usize>,
    /// Counted from the first column.
    runs: Runs,
    spans: Vec<(f64, f64)>,
    spare: Vec<(f64, f64)>,
}

impl Along {
    /// For edges that move by so many pixels along x and y; `bare` where it is ground that spreads.
    pub(crate) fn new(growth: [f64; 2], bare: bool) -> Self {
        Self { growth, bare, ..Self::default() }
    }

    /// Takes the runs of a film in a range of columns and rows, and in as much around them as reaches into them. The columns must be
    /// fewer than 2³¹.
    pub(crate) fn hold(&mut self, film: FilmView<'_>, columns: Range<i64>, rows: Range<i64>) -> Result<()> {
        let [beside, above] = self.growth.map(|growth| libm::ceil(growth) as i64);
        self.columns = columns.start - beside..columns.end + beside;
        self.rows = rows.start - above..rows.end + above;
        self.runs.clear();
        self.starts.clear();
        reserve_more(&mut self.starts, self.rows.clone().count() + 1)?;
        self.starts.push(0);
        for y in self.rows.clone() {
            add_runs(film, y, self.columns.clone(), self.columns.start, self.bare, &mut self.runs)?;
            self.starts.push(self.runs.len());
        }
        Ok(())
    }

    /// Whether no row that is held prints any ink.
    pub(crate) fn is_empty(&self) -> bool {
        let whole = (0, (self.columns.end - self.columns.start) as i32);
        if self.bare { self.runs.iter().all(|&run| run == whole) } else { self.runs.is_empty() }
    }

    /// Where ink is printed at a height, which must lie in the rows that are held: apart from each other, left to right, in columns of
    /// the film.
    pub(crate) fn at(&mut self, height: f64) -> Result<&[(f64, f64)]> {
        let row = libm::floor(height);
        let [x, y] = self.growth;
        self.spans.clear();
        for (offset, longer) in rows_near(height - row, x, y) {
            let row = (row as i64 + offset as i64).clamp(self.rows.start, self.rows.end - 1);
            let row = (row - self.rows.start) as usize;
            let runs = &self.runs[self.starts[row]..self.starts[row + 1]];
            if runs.is_empty() {
                continue;
            }
            self.spare.clear();
            reserve_more(&mut self.spare, self.spans.len() + runs.len())?;
            unite(&self.spans, runs, longer, &mut self.spare);
            std::mem::swap(&mut self.spans, &mut self.spare);
        }
        let left = self.columns.start as f64;
        if self.bare {
            self.spare.clear();
            reserve_more(&mut self.spare, self.spans.len() + 1)?;
            let mut from = 0.0;
            for &(a, b) in &self.spans {
                if a > from {
                    self.spare.push((from, a));
                }
                from = b.max(from);
            }
            let end = (self.columns.end - self.columns.start) as f64;
            if end > from {
                self.spare.push((from, end));
            }
            std::mem::swap(&mut self.spans, &mut self.spare);
        }
        self.spans.iter_mut().for_each(|span| *span = (span.0 + left, span.1 + left));
        Ok(&self.spans)
    }
}

/// The union of spans that lie apart and of runs made longer, both from left to right.
fn unite(spans: &[(f64, f64)], runs: &[(i32, i32)], longer: f64, union: &mut Vec<(f64, f64)>) {
    let mut spans = spans.iter().copied().peekable();
    let mut runs = runs.iter().map(|&(a, b)| (f64::from(a) - longer, f64::from(b) + longer)).peekable();
    let mut last: Option<(f64, f64)> = None;
    loop {
        let next = match (spans.peek(), runs.peek()) {
            (Some(span), Some(run)) if span.0 <= run.0 => spans.next(),
            (_, Some(_)) => runs.next(),
            _ => spans.next(),
        };
        let Some((from, to)) = next else { break };
        match &mut last {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => union.extend(last.replace((from, to))),
        }
    }
    union.extend(last);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Film;
    use proptest::prelude::*;

    /// Whether the square of some pixel of the colour that spreads is near enough.
    fn printed(film: &Film, [x, y]: [f64; 2], growth: [f64; 2], bare: bool) -> bool {
        let away =
            |at: f64, pixel: i64, by: f64| (pixel as f64 - at).max(at - (pixel + 1) as f64).max(0.0) / by;
        let reached = (-6..20).any(|v: i64| {
            (-6..24).any(|u: i64| {
                let inside = u >= 0 && v >= 0 && (u as usize) < film.width() && (v as usize) < film.height();
                let ink = inside && film.get(u as usize, v as usize);
                ink != bare && away(x, u, growth[0]).hypot(away(y, v, growth[1])) <= 1.0
            })
        });
        reached != bare
    }

    proptest! {
        #[test]
        fn a_line_holds_what_points_looked_at_one_by_one_say(
            seed: u64, x in 0.01..4.0f64, y in 0.01..4.0f64, bare: bool, height in -1.0..10.0f64, rare in 2u64..9,
        ) {
            let mut film = Film::new(17, 9).unwrap();
            let mut state = seed;
            for i in 0..17 * 9 {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                film.set(i % 17, i / 17, (state >> 33) % rare == 0);
            }
            let mut along = Along::new([x, y], bare);
            along.hold(film.view(), -1..18, -1..10).unwrap();
            let spans = along.at(height).unwrap();
            prop_assert!(spans.windows(2).all(|pair| pair[0].1 < pair[1].0));
            for i in 0..190 {
                let place = -1.0 + (f64::from(i) + 0.5) / 10.0;
                // An edge itself is left to rounding.
                if spans.iter().all(|s| (s.0 - place).abs() > 1e-9 && (s.1 - place).abs() > 1e-9) {
                    let found = spans.iter().any(|s| (s.0..s.1).contains(&place));
                    prop_assert_eq!(found, printed(&film, [place, height], [x, y], bare), "{}", place);
                }
            }
        }
    }

    #[test]
    fn an_empty_film_prints_nothing_either_way() {
        let film = Film::new(9, 4).unwrap();
        for bare in [false, true] {
            let mut along = Along::new([1.5, 0.5], bare);
            along.hold(film.view(), -20..40, -7..9).unwrap();
            assert!(along.is_empty() && along.at(2.5).unwrap().is_empty());
        }
        let mut dot = film.clone();
        dot.set(3, 3, true);
        let mut along = Along::new([0.0; 2], false);
        along.hold(dot.view(), 0..9, 0..4).unwrap();
        assert!(!along.is_empty());
        assert_eq!(along.at(3.5).unwrap(), [(3.0, 4.0)]);
    }
}

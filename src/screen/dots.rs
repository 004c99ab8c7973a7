//! Where index dots lie: the film pixels of each, and its place in the order of ink.
//!
//! Upright dots are rectangles of whole pixels; dots at an angle are the cells of a lattice, each with the pixels whose centres
//! it holds ([`index`](crate::screen::index)). Either way a dot has two whole numbers, its column and its row, and a few rectangles of
//! pixels: one, or one for each row of pixels that it meets. All of it follows from the place on the film alone.

use std::ops::Range;

use crate::error::{Error, Result};
use crate::screen::Screen;
use crate::screen::lattice::Places;

/// A rectangle of film pixels, anywhere on the plane.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Area {
    pub(crate) x: Range<i64>,
    pub(crate) y: Range<i64>,
}

impl Area {
    pub(crate) fn and(&self, other: &Self) -> Self {
        let both = |a: &Range<i64>, b: &Range<i64>| a.start.max(b.start)..a.end.min(b.end);
        Self { x: both(&self.x, &other.x), y: both(&self.y, &other.y) }
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.x.is_empty() || self.y.is_empty()
    }
}

/// The index dots of a screen.
#[derive(Debug, Clone)]
pub(crate) struct Dots {
    screen: Screen,
    kind: Kind,
}

#[derive(Debug, Clone)]
enum Kind {
    /// Sides in film pixels.
    Upright([i64; 2]),
    Cells(Cells),
}

/// Cells of a lattice.
#[derive(Debug, Clone)]
struct Cells {
    places: Places,
    /// One cell along, and one cell up, in pixels.
    along: [f64; 2],
    up: [f64; 2],
}

impl Dots {
    /// Those of a screen, whose mode and curve are not read.
    pub(crate) fn of(screen: &Screen) -> Result<Self> {
        if !screen.is_index() {
            return Err(Error::value(
                "screen of an index separation",
                "of growing dots",
                "one of index dots",
            ));
        }
        let kind = match screen.lattice() {
            Some(lattice) => {
                let places = lattice.places();
                let [along, up] = places.vectors();
                Kind::Cells(Cells { places, along, up })
            }
            None => Kind::Upright(screen.index_pixels().map(|side| side as i64)),
        };
        Ok(Self { screen: screen.clone(), kind })
    }

    /// How far from the origin pixels may lie.
    pub(crate) fn farthest(&self) -> i64 {
        match &self.kind {
            Kind::Upright(_) => i64::MAX / 4,
            Kind::Cells(cells) => cells.places.farthest(),
        }
    }

    /// Rows of film pixels that a dot takes, about.
    #[cfg(feature = "threads")]
    pub(crate) fn rows_of_pixels(&self) -> usize {
        match &self.kind {
            Kind::Upright(sides) => sides[1] as usize,
            Kind::Cells(cells) => (cells.along[1].abs() + cells.up[1].abs()) as usize + 1,
        }
    }

    /// The rows of dots that an area can meet; it is not empty.
    pub(crate) fn rows(&self, area: &Area) -> Range<i64> {
        match &self.kind {
            Kind::Upright([_, side]) => over(&area.y, *side),
            Kind::Cells(cells) => {
                // Straight edges: the corners are farthest.
                let corners =
                    [area.x.start, area.x.end - 1].map(|x| [area.y.start, area.y.end - 1].map(|y| (x, y)));
                let rows = corners.as_flattened().iter().map(|&(x, y)| cells.places.cell(x, y)[1]);
                let (low, high) =
                    rows.fold((i64::MAX, i64::MIN), |(low, high), row| (low.min(row), high.max(row)));
                low..high + 1
            }
        }
    }

    /// The columns of the dots of one row that an area can meet. (Some of them, at an angle, do not.)
    pub(crate) fn columns(&self, row: i64, area: &Area) -> Range<i64> {
        match &self.kind {
            Kind::Upright([side, _]) => over(&area.x, *side),
            Kind::Cells(Cells { along, up, .. }) => {
                let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
                for (axis, range) in [&area.x, &area.y].into_iter().enumerate() {
                    // A cell reaches from its corner by what either vector adds or takes.
                    let reach = |sign: f64| (sign * along[axis]).max(0.0) + (sign * up[axis]).max(0.0);
                    let first = range.start as f64 - reach(1.0) - row as f64 * up[axis];
                    let last = range.end as f64 + reach(-1.0) - row as f64 * up[axis];
                    if along[axis].abs() > 1e-9 {
                        let (one, other) = (first / along[axis], last / along[axis]);
                        low = low.max(one.min(other));
                        high = high.min(one.max(other));
                    } else if first > 1.0 || last < -1.0 {
                        return 0..0;
                    }
                }
                // Whole cells around what rounding may have moved.
                libm::floor(low) as i64 - 1..libm::ceil(high) as i64 + 1
            }
        }
    }

    /// The pixels of a dot inside of an area, in rectangles from top to bottom.
    pub(crate) fn pixels(&self, [column, row]: [i64; 2], area: &Area, mut visit: impl FnMut(Area)) {
        match &self.kind {
            Kind::Upright([wide, high]) => {
                let dot = Area { x: column * wide..(column + 1) * wide, y: row * high..(row + 1) * high };
                let inside = dot.and(area);
                if !inside.is_empty() {
                    visit(inside);
                }
            }
            Kind::Cells(cells) => {
                let corner = column as f64 * cells.along[1] + row as f64 * cells.up[1];
                let reach =
                    |sign: f64| sign * ((sign * cells.along[1]).max(0.0) + (sign * cells.up[1]).max(0.0));
                let top = libm::floor(corner + reach(-1.0)) as i64 - 1;
                let bottom = libm::ceil(corner + reach(1.0)) as i64 + 1;
                for y in top.max(area.y.start)..bottom.min(area.y.end) {
                    let x = cells.places.across([column, row], y);
                    let inside = Area { x, y: y..y + 1 }.and(area);
                    if !inside.is_empty() {
                        visit(inside);
                    }
                }
            }
        }
    }

    /// The threshold, above 0 and below 1, of the dot that holds a pixel: the middle of its step of the order.
    pub(crate) fn threshold(&self, x: i64, y: i64) -> f64 {
        let brick = self.screen.brick();
        let [wide, high] = brick.entry_pixels().map(|side| side as i64);
        let tiling = brick.tiling();
        let (column, row) = tiling.locate(x.div_euclid(wide), y.div_euclid(high));
        f64::from(brick.order()[row * tiling.width + column]) / (2 * brick.len()) as f64
    }
}

/// Pieces of `side` pixels that a range meets.
fn over(range: &Range<i64>, side: i64) -> Range<i64> {
    range.start.div_euclid(side)..(range.end - 1).div_euclid(side) + 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Angle, LineCount, Resolution};
    use std::collections::HashMap;

    fn screens() -> Vec<Screen> {
        let resolution = Resolution::per_inch_xy(720.0, 1440.0).unwrap();
        let cells = |degrees| {
            let angle = Angle::degrees(degrees).unwrap();
            Screen::index_cells(resolution, LineCount::per_inch(120.0).unwrap(), angle).build().unwrap()
        };
        vec![Screen::index(resolution, 5).build().unwrap(), cells(0.0), cells(-75.0), cells(200.0)]
    }

    #[test]
    fn every_pixel_is_of_one_dot_with_its_threshold() {
        for screen in screens() {
            let dots = Dots::of(&screen).unwrap();
            for (x, y) in [(0, 0), (-71, -33), (1_000_003, -999_999)] {
                let area = Area { x: x..x + 67, y: y..y + 41 };
                let mut seen = HashMap::new();
                for row in dots.rows(&area) {
                    for column in dots.columns(row, &area) {
                        let mut threshold = None;
                        dots.pixels([column, row], &area, |part| {
                            for (x, y) in part.x.clone().flat_map(|x| part.y.clone().map(move |y| (x, y))) {
                                assert_eq!(seen.insert((x, y), (column, row)), None);
                                let own = dots.threshold(x, y);
                                assert_eq!(*threshold.get_or_insert(own), own);
                                assert!(own > 0.0 && own < 1.0);
                            }
                        });
                    }
                }
                assert_eq!(seen.len(), 67 * 41);
            }
        }
    }

    #[test]
    fn growing_dots_are_refused() {
        let lines = LineCount::per_inch(45.0).unwrap();
        let screen = Screen::cells(
            Resolution::per_inch(720.0).unwrap(),
            lines,
            Angle::degrees(22.5).unwrap(),
            crate::screen::Dot::Round,
        );
        assert!(Dots::of(&screen.build().unwrap()).unwrap_err().to_string().contains("index dots"));
    }
}

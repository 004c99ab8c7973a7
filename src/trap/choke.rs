//! Choke: a plate drawn in by a length at its hard edges.
//!
//! ```text
//! choked = tone − hard · (tone − max(E(r), E(t − l/2)))
//! ```
//!
//! with E(ρ) the least tone under a disk (`disk`) of radius ρ, r the choke, hard how hard the edge is (`hard`), t the
//! half-thickness of the shape (`thin`) and l the least width. It acts at edges against what is bare, or has less than two fifths of the tone:
//! there the base would look out. An edge between a full base and a lighter one lies under colours on both its sides and stays where it is, unless
//! [every edge](Choke::every_edge) is asked for. Soft fades are left as they are. Lines and dots thinner than 2 r + l are drawn in to the width l, so
//! that the colour on them keeps a base.
//!
//! Edges come out within 0.1 pixels of exact geometry. Lines keep l to within half a pixel; dots some pixels wide up to twice the area of
//! a dot of that width.
//!
//! A pixel depends on those about it ([`Choke::reach`]) and on nothing else: a piece of a plate with so much around it gives the same as the whole.
//!
//! Rejected: a blur and a threshold, which rounds corners, moves fades, and loses thin lines or makes them thicker; and choking every edge of a base,
//! which widens each dark vein in a light wing and takes the base from letters on a ribbon.

use std::ops::Range;

use ndarray::{Array2, ArrayView2, ArrayViewMut2, Axis};

use crate::error::{Error, Result, filled};
use crate::plate::Tone;
use crate::trap::disk::{Disk, Tap};
use crate::trap::hard::{self, Edges};
use crate::trap::plane::Plane;
use crate::trap::thin::Thin;
use crate::units::{Length, Resolution};

/// Longest choke and greatest least width, in pixels: work grows with its square.
pub(super) const LONGEST: f64 = 64.0;

/// Parts of a base's tone beside which it looks out in full, and from which on it does not.
const BARE: f32 = 0.15;
const COVERED: f32 = 0.4;

/// Rows worked on together.
const BAND: usize = 96;

/// A choke by a length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Choke {
    length: Length,
    least: Length,
    every: bool,
}

impl Choke {
    /// A choke by this length (0 or more, up to 64 pixels where it is used). What is thinner than twice the choke keeps a width of half of it, unless told.
    ///
    /// Common practice: one to two tenths of a millimetre, more for loose registers.
    pub fn by(length: Length) -> Result<Self> {
        if length.to_um() < 0.0 {
            return Err(Error::value("choke", length, "0 or more"));
        }
        Ok(Self { length, least: Length::um(0.5 * length.to_um())?, every: false })
    }

    /// The width that lines and dots keep (0 or more) where the choke would leave less; they are never made wider than they were. 0 lets them go.
    pub fn least(self, width: Length) -> Result<Self> {
        if width.to_um() < 0.0 {
            return Err(Error::value("least width of a choked line", width, "0 or more"));
        }
        Ok(Self { least: width, ..self })
    }

    /// Chokes edges between two tones as those against bare film: for plates that are no base.
    #[must_use]
    pub fn every_edge(self) -> Self {
        Self { every: true, ..self }
    }

    /// The choke's length.
    pub fn length(&self) -> Length {
        self.length
    }

    /// The width that lines and dots keep.
    pub fn least_width(&self) -> Length {
        self.least
    }

    /// Columns and rows about a pixel on which it depends.
    ///
    /// Errors: a choke or least width of more than 64 pixels.
    pub fn reach(&self, resolution: Resolution) -> Result<[usize; 2]> {
        Ok(self.in_pixels(resolution)?.reach())
    }

    /// A plate, choked; `resolution` is that of the plate.
    ///
    /// Errors: a choke or least width of more than 64 pixels; memory that cannot be had. Cost: on one core and
    /// for illustration some 35 ns a pixel by 1.2 pixels, 65 by 2.4, 140 by 3.5; anywhere it grows with the logarithm of the choke, near hard edges with
    /// its square. Memory: a band of rows.
    pub fn plate<T: Tone>(&self, plate: ArrayView2<'_, T>, resolution: Resolution) -> Result<Array2<T>> {
        let (height, width) = plate.dim();
        let samples = filled("a plate", width * height, T::from_level(0))?;
        let mut choked =
            Array2::from_shape_vec((height, width), samples).map_err(|e| Error::data("a plate", e))?;
        self.rows(plate, 0..height, resolution, choked.view_mut())?;
        Ok(choked)
    }

    /// Rows of a plate, choked, into memory of the caller's: for plates that are read in bands, each with [`reach`](Self::reach) rows more above and
    /// below. Beyond the plate's border it is taken to go on as it is there.
    ///
    /// Errors: rows beyond the plate; an output of another size; and those of [`plate`](Self::plate).
    pub fn rows<T: Tone>(
        &self,
        plate: ArrayView2<'_, T>,
        rows: Range<usize>,
        resolution: Resolution,
        mut choked: ArrayViewMut2<'_, T>,
    ) -> Result<()> {
        let (height, width) = plate.dim();
        if rows.start > rows.end || rows.end > height {
            return Err(Error::value("rows of a plate", format!("{rows:?}"), format!("0 to {height}")));
        }
        let (got_height, got_width) = choked.dim();
        if (got_height, got_width) != (rows.len(), width) {
            return Err(Error::Extent {
                what: "a choked plate",
                got_width: got_width as u64,
                got_height: got_height as u64,
                width: width as u64,
                height: rows.len() as u64,
            });
        }
        let pixels = self.in_pixels(resolution)?;
        if width == 0 {
            return Ok(());
        }
        let bands: Vec<_> = choked.axis_chunks_iter_mut(Axis(0), BAND).enumerate().collect();
        let work = |(i, mut out): (usize, ArrayViewMut2<'_, T>)| {
            let start = rows.start + i * BAND;
            pixels.band(plate, start..start + out.nrows(), &mut out)
        };
        #[cfg(feature = "threads")]
        {
            use rayon::prelude::*;
            bands.into_par_iter().try_for_each(work)
        }
        #[cfg(not(feature = "threads"))]
        bands.into_iter().try_for_each(work)
    }

    pub(super) fn in_pixels(&self, resolution: Resolution) -> Result<InPixels> {
        let pixels = |name, length: Length| {
            let (x, y) = length.in_pixels(resolution);
            if x.max(y) <= LONGEST {
                return Ok((x, y));
            }
            let most = Length::inches(LONGEST / resolution.x().max(resolution.y()))?;
            Err(Error::value(name, length, format!("0 to {most} ({LONGEST} pixels) at {resolution}")))
        };
        let (radius, radius_y) = pixels("choke", self.length)?;
        let (least, _) = pixels("least width of a choked line", self.least)?;
        // Half of what is thin.
        let largest = radius + 0.5 * least;
        let aspect = resolution.y() / resolution.x();
        let q = [largest, largest * aspect].map(|r| 2.max(libm::ceil(r - 1e-9) as usize));
        Ok(InPixels {
            radius,
            least,
            largest,
            aspect,
            q,
            every: self.every,
            none: radius.max(radius_y) == 0.0,
        })
    }
}

/// A choke in pixels along x.
pub(super) struct InPixels {
    pub(super) radius: f64,
    pub(super) least: f64,
    pub(super) largest: f64,
    aspect: f64,
    q: [usize; 2],
    every: bool,
    none: bool,
}

impl InPixels {
    fn reach(&self) -> [usize; 2] {
        // Farthest are the range about an edge, and rays about a pixel in the disk about a pixel.
        hard::reach(self.q).map(|pixels| pixels + 2)
    }

    fn band<T: Tone>(
        &self,
        plate: ArrayView2<'_, T>,
        rows: Range<usize>,
        out: &mut ArrayViewMut2<'_, T>,
    ) -> Result<()> {
        if self.none {
            out.assign(&plate.slice(ndarray::s![rows, ..]));
            return Ok(());
        }
        let reach = self.reach();
        let plane = Plane::of(plate, rows.clone(), reach)?;
        let edges = Edges::new(&plane, self.q, T::SOLID as f32)?;
        // A thin pixel's neighbours count, however small the choke.
        let disk = Disk::new(self.largest.max(1.5), self.aspect, plane.width);
        let rim: Vec<Tap> = disk.rim(self.radius).collect();
        // Pixels whose shape must be known: those to be choked, and what lies within a disk of them.
        let lines = rows.len() + 2 * self.q[1];
        let places = (0..lines).flat_map(|y| {
            let row = (reach[1] - self.q[1] + y) * plane.width;
            let left = reach[0] - self.q[0];
            row + left..row + plane.width - left
        });
        let thin = Thin::new(&plane, &edges, self.largest, self.aspect, places)?;
        for (y, mut row) in out.rows_mut().into_iter().enumerate() {
            for (x, to) in row.iter_mut().enumerate() {
                let at = (y + reach[1]) * plane.width + x + reach[0];
                let (tone, low) = (plane.tones[at], edges.low.tones[at]);
                let hard = edges.hard[at] * if self.every { 1.0 } else { looks_out(low / tone) };
                let own = plate[[rows.start + y, x]];
                if tone <= low || hard == 0.0 {
                    *to = own;
                    continue;
                }
                let mut left = disk.least(&plane, at, self.radius, rim.iter().copied());
                if edges.thin[at] {
                    let thickness = f64::from(thin.at(&plane, at, &disk));
                    if thickness < self.largest {
                        let radius = (thickness - 0.5 * self.least).max(0.0);
                        left = left.max(disk.least(&plane, at, radius, disk.rim(radius)));
                    }
                }
                *to = T::from_level((tone - hard * (tone - left) + 0.5) as u32);
            }
        }
        Ok(())
    }
}

/// How much of a base looks out beside one of this part of its tone.
fn looks_out(part: f32) -> f32 {
    ((COVERED - part) / (COVERED - BARE)).clamp(0.0, 1.0)
}

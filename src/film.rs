//! A film: one ink's 1-bit picture, packed eight pixels to the byte.
//!
//! The leftmost pixel is the most significant bit; 1 is ink (opaque on a film positive); each row takes `stride` bytes;
//! the bits past the width are 0. That is the layout of PBM, of TIFF with `WhiteIsZero` and of most film recorders, so a
//! film is written to a file without touching its bits. Rejected: a byte per pixel, eight times the memory of what is
//! already the largest picture of the job.

use crate::error::{Error, Result, filled};

/// Bytes needed for a row of `width` pixels.
pub const fn row_bytes(width: usize) -> usize {
    width.div_ceil(8)
}

/// A rectangle of pixels; `x` and `y` are its left and top edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rect {
    /// First column.
    pub x: usize,
    /// First row.
    pub y: usize,
    /// Columns.
    pub width: usize,
    /// Rows.
    pub height: usize,
}

/// A film that owns its rows, packed without gaps.
#[derive(Clone, PartialEq, Eq)]
pub struct Film {
    width: usize,
    height: usize,
    bits: Vec<u8>,
}

/// A borrowed film.
#[derive(Clone, Copy)]
pub struct FilmView<'a> {
    width: usize,
    height: usize,
    stride: usize,
    bits: &'a [u8],
}

/// A borrowed film to write to. Bytes between a row's end and the next row are never touched.
pub struct FilmMut<'a> {
    width: usize,
    height: usize,
    stride: usize,
    bits: &'a mut [u8],
}

/// Checks that `height` rows of `width` pixels, `stride` bytes apart, fit in `len` bytes.
fn check_layout(width: usize, height: usize, stride: usize, len: usize) -> Result<()> {
    let row = row_bytes(width);
    if stride < row {
        return Err(Error::value("film stride", stride, format!("at least {row} bytes for {width} pixels")));
    }
    let needed = match height {
        0 => Some(0),
        // The last row needs no padding behind it.
        _ => stride.checked_mul(height - 1).and_then(|n| n.checked_add(row)),
    };
    match needed {
        Some(needed) if needed <= len => Ok(()),
        _ => Err(Error::value(
            "film buffer",
            format!("{len} bytes"),
            format!("at least {stride} x {height} bytes"),
        )),
    }
}

impl Film {
    /// An empty film (no ink) of the given size. Fails where the memory cannot be had.
    pub fn new(width: usize, height: usize) -> Result<Self> {
        let len =
            row_bytes(width).checked_mul(height).ok_or(Error::Memory { what: "a film", bytes: u64::MAX })?;
        Ok(Self { width, height, bits: filled("a film", len, 0)? })
    }

    /// A film of packed rows without gaps; bits past the width are cleared.
    pub fn from_bits(width: usize, height: usize, bits: Vec<u8>) -> Result<Self> {
        let row = row_bytes(width);
        if row.checked_mul(height) != Some(bits.len()) {
            return Err(Error::value(
                "film buffer",
                format!("{} bytes", bits.len()),
                format!("{row} x {height} bytes"),
            ));
        }
        let mut film = Self { width, height, bits };
        film.clear_pad();
        Ok(film)
    }

    /// Width in pixels.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Height in rows.
    pub fn height(&self) -> usize {
        self.height
    }

    /// The packed rows, [`row_bytes`] each.
    pub fn bits(&self) -> &[u8] {
        &self.bits
    }

    /// The whole film, borrowed.
    pub fn view(&self) -> FilmView<'_> {
        FilmView { width: self.width, height: self.height, stride: row_bytes(self.width), bits: &self.bits }
    }

    /// The whole film, to write to.
    pub fn view_mut(&mut self) -> FilmMut<'_> {
        FilmMut {
            width: self.width,
            height: self.height,
            stride: row_bytes(self.width),
            bits: &mut self.bits,
        }
    }

    /// Whether pixel (x, y) is ink. Panics outside of the film.
    pub fn get(&self, x: usize, y: usize) -> bool {
        self.view().get(x, y)
    }

    /// Sets pixel (x, y). Panics outside of the film.
    pub fn set(&mut self, x: usize, y: usize, ink: bool) {
        assert!(x < self.width && y < self.height, "({x}, {y}) is outside of the film");
        let byte = &mut self.bits[y * row_bytes(self.width) + x / 8];
        let bit = 0x80 >> (x % 8);
        *byte = if ink { *byte | bit } else { *byte & !bit };
    }

    /// Pixels that are ink.
    pub fn count(&self) -> u64 {
        self.view().count()
    }

    /// Ink as a part of the whole, 0…1; 0 for an empty film.
    pub fn coverage(&self) -> f64 {
        self.view().coverage()
    }

    /// Pixels that are ink in both films, which must be of one size.
    pub fn and(&self, other: &Self) -> Result<Self> {
        self.combine(other, |a, b| a & b)
    }

    /// Pixels that are ink in either film.
    pub fn or(&self, other: &Self) -> Result<Self> {
        self.combine(other, |a, b| a | b)
    }

    /// Pixels that are ink in exactly one of the films.
    pub fn xor(&self, other: &Self) -> Result<Self> {
        self.combine(other, |a, b| a ^ b)
    }

    /// Ink and bare changed over. (For polarity in a file see the writers: a film here is always ink = 1.)
    #[must_use]
    pub fn complement(&self) -> Self {
        let mut film =
            Self { width: self.width, height: self.height, bits: self.bits.iter().map(|b| !b).collect() };
        film.clear_pad();
        film
    }

    fn combine(&self, other: &Self, op: impl Fn(u8, u8) -> u8) -> Result<Self> {
        if (self.width, self.height) != (other.width, other.height) {
            return Err(Error::Extent {
                what: "the second film",
                got_width: other.width as u64,
                got_height: other.height as u64,
                width: self.width as u64,
                height: self.height as u64,
            });
        }
        let bits = self.bits.iter().zip(&other.bits).map(|(&a, &b)| op(a, b));
        Ok(Self { width: self.width, height: self.height, bits: bits.collect() })
    }

    fn clear_pad(&mut self) {
        let pad = self.width % 8;
        if pad > 0 {
            let row = row_bytes(self.width);
            for last in self.bits.iter_mut().skip(row - 1).step_by(row) {
                *last &= !(0xff >> pad);
            }
        }
    }
}

impl std::fmt::Debug for Film {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Film({} x {}, {} ink)", self.width, self.height, self.count())
    }
}

impl<'a> FilmView<'a> {
    /// A view of packed rows, `stride` bytes apart.
    pub fn new(width: usize, height: usize, stride: usize, bits: &'a [u8]) -> Result<Self> {
        check_layout(width, height, stride, bits.len())?;
        Ok(Self { width, height, stride, bits })
    }

    /// Width in pixels.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Height in rows.
    pub fn height(&self) -> usize {
        self.height
    }

    /// One packed row, [`row_bytes`] long; panics past the last. Bits past the width are as the owner left them.
    pub fn row(&self, y: usize) -> &'a [u8] {
        &self.bits[y * self.stride..][..row_bytes(self.width)]
    }

    /// Whether pixel (x, y) is ink. Panics outside of the film.
    pub fn get(&self, x: usize, y: usize) -> bool {
        assert!(x < self.width && y < self.height, "({x}, {y}) is outside of the film");
        self.row(y)[x / 8] & (0x80 >> (x % 8)) != 0
    }

    /// Pixels that are ink. Reads every byte once.
    pub fn count(&self) -> u64 {
        (0..self.height).map(|y| count_bits(self.row(y), 0, self.width)).sum()
    }

    /// Ink as a part of the whole, 0…1; 0 for an empty film.
    pub fn coverage(&self) -> f64 {
        share(self.count(), self.width, self.height)
    }

    /// Ink as a part of a rectangle, 0…1; 0 for an empty one.
    pub fn coverage_of(&self, rect: Rect) -> Result<f64> {
        self.check_inside(rect)?;
        let rows = rect.y..rect.y + rect.height;
        let count = rows.map(|y| count_bits(self.row(y), rect.x, rect.x + rect.width));
        Ok(share(count.sum(), rect.width, rect.height))
    }

    /// Some of its rows. Errors: rows past the last.
    pub fn rows(&self, rows: std::ops::Range<usize>) -> Result<Self> {
        let (height, width) = (rows.len(), self.width);
        self.check_inside(Rect { x: 0, y: rows.start, width, height })?;
        let start = (rows.start * self.stride).min(self.bits.len());
        Self::new(width, height, self.stride, &self.bits[start..])
    }

    /// A copy of a rectangle, as a film of its own.
    pub fn crop(&self, rect: Rect) -> Result<Film> {
        self.check_inside(rect)?;
        let mut film = Film::new(rect.width, rect.height)?;
        let (byte, bit) = (rect.x / 8, (rect.x % 8) as u32);
        let stride = row_bytes(rect.width);
        if stride > 0 {
            for (out, y) in film.bits.chunks_exact_mut(stride).zip(rect.y..) {
                let row = &self.row(y)[byte..];
                for (i, out) in out.iter_mut().enumerate() {
                    let next = row.get(i + 1).copied().unwrap_or(0);
                    let pair = u16::from_be_bytes([row[i], next]);
                    *out = (pair << bit >> 8) as u8;
                }
            }
        }
        film.clear_pad();
        Ok(film)
    }

    pub(crate) fn check_inside(&self, rect: Rect) -> Result<()> {
        let fits =
            |start: usize, len: usize, whole: usize| start.checked_add(len).is_some_and(|end| end <= whole);
        if fits(rect.x, rect.width, self.width) && fits(rect.y, rect.height, self.height) {
            Ok(())
        } else {
            Err(Error::value(
                "rectangle",
                format!("{rect:?}"),
                format!("inside a film of {} x {}", self.width, self.height),
            ))
        }
    }
}

impl<'a> FilmMut<'a> {
    /// A view to write to: packed rows, `stride` bytes apart.
    pub fn new(width: usize, height: usize, stride: usize, bits: &'a mut [u8]) -> Result<Self> {
        check_layout(width, height, stride, bits.len())?;
        Ok(Self { width, height, stride, bits })
    }

    /// Width in pixels.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Height in rows.
    pub fn height(&self) -> usize {
        self.height
    }

    /// One packed row to write, [`row_bytes`] long; panics past the last.
    pub fn row_mut(&mut self, y: usize) -> &mut [u8] {
        &mut self.bits[y * self.stride..][..row_bytes(self.width)]
    }

    /// The same view, for a while.
    pub fn reborrow(&mut self) -> FilmMut<'_> {
        FilmMut { width: self.width, height: self.height, stride: self.stride, bits: self.bits }
    }

    /// Cuts the view in two: the first `rows` rows and the rest. Panics if there are fewer rows.
    pub fn split_at_row(self, rows: usize) -> (Self, Self) {
        assert!(rows <= self.height, "{rows} is past the last row");
        // The last row of a view may lack its padding.
        let cut = (rows * self.stride).min(self.bits.len());
        let (top, rest) = self.bits.split_at_mut(cut);
        let part = |height, bits| FilmMut { width: self.width, height, stride: self.stride, bits };
        (part(rows, top), part(self.height - rows, rest))
    }
}

fn share(count: u64, width: usize, height: usize) -> f64 {
    if width == 0 || height == 0 { 0.0 } else { count as f64 / (width as f64 * height as f64) }
}

/// Set bits of the columns `from..to` in one packed row.
fn count_bits(row: &[u8], from: usize, to: usize) -> u64 {
    if from >= to {
        return 0;
    }
    let (first, last) = (from / 8, (to - 1) / 8);
    let head = 0xff_u8 >> (from % 8);
    let tail = 0xff_u8 << (7 - (to - 1) % 8);
    if first == last {
        return u64::from((row[first] & head & tail).count_ones());
    }
    let ends = (row[first] & head).count_ones() + (row[last] & tail).count_ones();
    let (words, rest) = row[first + 1..last].as_chunks::<8>();
    let inner: u64 = words.iter().map(|w| u64::from(u64::from_ne_bytes(*w).count_ones())).sum();
    let rest: u32 = rest.iter().map(|b| b.count_ones()).sum();
    u64::from(ends + rest) + inner
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn film(width: usize, height: usize, seed: u64) -> Film {
        let bits = (0..row_bytes(width) * height)
            .map(|i| (seed.wrapping_mul(i as u64 * 2 + 1).wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 56) as u8)
            .collect();
        Film::from_bits(width, height, bits).unwrap()
    }

    proptest! {
        #[test]
        fn a_crop_holds_the_pixels_of_its_place(
            w in 1usize..200, h in 1usize..9, seed: u64,
            x in 0usize..200, y in 0usize..9, cw in 0usize..200, ch in 0usize..9,
        ) {
            let film = film(w, h, seed);
            let rect = Rect { x, y, width: cw, height: ch };
            match film.view().crop(rect) {
                Ok(crop) => {
                    let mut ink = 0;
                    for cy in 0..ch {
                        for cx in 0..cw {
                            prop_assert_eq!(crop.get(cx, cy), film.get(x + cx, y + cy));
                            ink += u64::from(crop.get(cx, cy));
                        }
                    }
                    prop_assert_eq!(crop.count(), ink);
                    let area = (cw * ch) as f64;
                    let covered = film.view().coverage_of(rect).unwrap();
                    prop_assert_eq!(covered, if area > 0.0 { ink as f64 / area } else { 0.0 });
                }
                Err(_) => prop_assert!(x + cw > w || y + ch > h),
            }
        }

        #[test]
        fn set_operations_are_those_of_pixels(w in 1usize..80, h in 1usize..5, a: u64, b: u64) {
            let (a, b) = (film(w, h, a), film(w, h, b));
            let whole = (w * h) as u64;
            prop_assert_eq!(a.count() + a.complement().count(), whole);
            prop_assert_eq!(a.or(&b).unwrap().count() + a.and(&b).unwrap().count(), a.count() + b.count());
            prop_assert_eq!(a.xor(&b).unwrap(), a.or(&b).unwrap().and(&a.and(&b).unwrap().complement()).unwrap());
        }
    }

    #[test]
    fn layouts_that_do_not_fit_are_refused() {
        let mut bytes = [0; 10];
        assert!(FilmMut::new(17, 3, 4, &mut bytes).is_err()); // 4 + 4 + 3 = 11 bytes
        assert!(FilmMut::new(16, 3, 4, &mut bytes).is_ok());
        assert!(FilmView::new(9, 1, 1, &bytes).is_err());
        assert!(FilmView::new(8, usize::MAX, usize::MAX, &bytes).is_err());
        assert!(FilmView::new(0, 0, 0, &[]).is_ok());
        assert!(Film::from_bits(8, 3, vec![0; 4]).is_err());
        assert!(Film::new(usize::MAX, usize::MAX).is_err());
        assert!(film(8, 2, 1).and(&film(9, 2, 1)).is_err());
    }

    #[test]
    fn padding_between_rows_is_left_alone() {
        let mut bytes = [0xaa_u8; 11];
        let mut view = FilmMut::new(16, 3, 4, &mut bytes[..]).unwrap();
        for y in 0..3 {
            view.row_mut(y).fill(0xff);
        }
        assert_eq!(bytes, [0xff, 0xff, 0xaa, 0xaa, 0xff, 0xff, 0xaa, 0xaa, 0xff, 0xff, 0xaa]);
    }
}

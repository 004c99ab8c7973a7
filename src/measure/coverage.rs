//! Ink as a part of a region that is not a rectangle; for those see [`FilmView::coverage_of`].

use crate::error::{Error, Result};
use crate::film::FilmView;

/// Ink as a part of the pixels that are set in `mask`, 0…1; 0 where none is.
///
/// Errors: a mask of another size than the film. Reads every byte once.
///
/// ```
/// use dotwright::{Film, measure};
///
/// let film = Film::from_bits(8, 2, vec![0b1111_0000, 0b1111_0000])?;
/// let mask = Film::from_bits(8, 2, vec![0b0011_1100, 0b0000_0000])?;
/// assert_eq!(measure::coverage_under(&film.view(), &mask.view())?, 0.5);
/// # Ok::<(), dotwright::Error>(())
/// ```
pub fn coverage_under(film: &FilmView<'_>, mask: &FilmView<'_>) -> Result<f64> {
    let (all, ink) = (mask.count(), both(film, mask, "the mask")?);
    Ok(if all == 0 { 0.0 } else { ink as f64 / all as f64 })
}

/// Pixels that are set in both.
pub(crate) fn both(film: &FilmView<'_>, other: &FilmView<'_>, what: &'static str) -> Result<u64> {
    if (film.width(), film.height()) != (other.width(), other.height()) {
        return Err(Error::Extent {
            what,
            got_width: other.width() as u64,
            got_height: other.height() as u64,
            width: film.width() as u64,
            height: film.height() as u64,
        });
    }
    let pad = (8 - film.width() % 8) % 8;
    let in_row = |y: usize| {
        let pairs = film.row(y).iter().zip(other.row(y));
        let past = pairs.clone().next_back().map_or(0, |(a, b)| (a & b & ((1 << pad) - 1)).count_ones());
        pairs.map(|(a, b)| (a & b).count_ones()).sum::<u32>() - past
    };
    Ok((0..film.height()).map(|y| u64::from(in_row(y))).sum())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Film;

    #[test]
    fn a_mask_counts_its_own_pixels() {
        for width in [1, 7, 8, 9, 70] {
            let (mut film, mut mask) = (Film::new(width, 5).unwrap(), Film::new(width, 5).unwrap());
            let (mut all, mut ink) = (0, 0);
            for i in 0..width * 5 {
                let (a, b) = (i * i % 7 < 3, i % 5 < 2);
                film.set(i % width, i / width, a);
                mask.set(i % width, i / width, b);
                (all, ink) = (all + u32::from(b), ink + u32::from(a && b));
            }
            let seen = coverage_under(&film.view(), &mask.view()).unwrap();
            assert_eq!(seen, f64::from(ink) / f64::from(all));
        }
        // Bits past the width are the owner's business.
        let (a, b) = ([0xff; 3], [0xff; 3]);
        let view = |bits| FilmView::new(5, 3, 1, bits).unwrap();
        assert_eq!(both(&view(&a), &view(&b), "").unwrap(), 15);
        let blank = Film::new(5, 3).unwrap();
        assert_eq!(coverage_under(&view(&a), &blank.view()).unwrap(), 0.0);
        assert!(coverage_under(&view(&a), &Film::new(6, 3).unwrap().view()).is_err());
    }
}

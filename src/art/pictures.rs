//! Plates from, and films to, the pictures of the `image` crate: the one file that knows its types.
//!
//! Brightness is turned round here: a grey picture's black is solid ink.

use image::{GrayImage, ImageBuffer, Luma};
use ndarray::Array2;

use crate::error::{Error, Result};
use crate::film::FilmView;

/// A grey picture's samples as tone: black becomes solid.
pub fn tones_of<T>(picture: &ImageBuffer<Luma<T>, Vec<T>>) -> Array2<T>
where
    T: image::Primitive,
    Luma<T>: image::Pixel<Subpixel = T>,
{
    let shape = (picture.height() as usize, picture.width() as usize);
    Array2::from_shape_fn(shape, |(y, x)| T::DEFAULT_MAX_VALUE - picture.get_pixel(x as u32, y as u32).0[0])
}

/// A film as a grey picture: ink is black, bare is white. Eight times the film's memory.
pub fn picture_of(film: &FilmView<'_>) -> Result<GrayImage> {
    let side = |n: usize| {
        u32::try_from(n).map_err(|_| Error::Limit {
            what: "a picture's side in pixels",
            needed: n as u64,
            limit: u64::from(u32::MAX),
        })
    };
    let (width, height) = (side(film.width())?, side(film.height())?);
    Ok(GrayImage::from_fn(width, height, |x, y| {
        Luma([if film.get(x as usize, y as usize) { 0 } else { 255 }])
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Film;

    #[test]
    fn black_is_ink_both_ways() {
        let picture = GrayImage::from_raw(2, 1, vec![0, 200]).unwrap();
        assert_eq!(tones_of(&picture), ndarray::array![[255, 55]]);
        let floats = ImageBuffer::<Luma<f32>, _>::from_raw(2, 1, vec![0.0_f32, 0.75]).unwrap();
        assert_eq!(tones_of(&floats), ndarray::array![[1.0, 0.25]]);
        let mut film = Film::new(9, 2).unwrap();
        film.set(8, 1, true);
        let picture = picture_of(&film.view()).unwrap();
        assert_eq!(picture.get_pixel(8, 1).0, [0]);
        assert_eq!(picture.as_raw().iter().filter(|&&v| v == 255).count(), 17);
    }
}

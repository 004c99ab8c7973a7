//! The proof from plates: the whole picture at the plates' resolution.
//!
//! Each pixel's coverages go through the print model: the colour that its screens have on average. No dot is seen, so no
//! resolution of film is needed. Press gain is taken as undone by the plates' curves unless printed coverages are handed in.
//!
//! In flat tints it agrees with the proof from [`films`](crate::proof::films), since both follow the overlap law of the screens: to ΔE00
//! 0.07 over forty random tints of random inks (n = 1) for each relation of screens, and to 0.25 where edges grow and coverages are those of
//! [`on_film`](crate::press::gain::on_film) (`tests/proof_films.rs`). Two exceptions. Three equal screens 30° apart, whose waves close, are not
//! independent in any one register: 0.2 in the median, 2 at worst. Normal and inverted dots that grow meet where their shapes do, not
//! where tones add up to solid: 0.02 in the median, 2 at worst. Plates side by side that grow were not measured: their dots then overlap,
//! which the law does not know.

use ndarray::ArrayView2;

use crate::colour::Print;
use crate::colour::overlap::MAX_PLATES;
use crate::error::{Error, Result};
use crate::plate::Tone;
use crate::proof::Picture;

/// The print of plates, one for each ink of `print` in printing order.
///
/// Errors: another number of plates than inks; plates of different sizes; memory that cannot be had. Cost: some 0.2 µs a pixel and core for
/// six inks, less in flat places.
pub fn proof<T: Tone>(print: &Print, plates: &[ArrayView2<'_, T>]) -> Result<Picture> {
    let Some(first) = plates.first().filter(|_| plates.len() == print.inks()) else {
        let allowed = format!("{}, one for each ink", print.inks());
        return Err(Error::value("number of plates", plates.len(), allowed));
    };
    let (height, width) = first.dim();
    if let Some(other) = plates.iter().find(|plate| plate.dim() != (height, width)) {
        return Err(Error::Extent {
            what: "a plate",
            got_width: other.ncols() as u64,
            got_height: other.nrows() as u64,
            width: width as u64,
            height: height as u64,
        });
    }
    let mut picture = Picture::black(width, height)?;
    let work = |(y, mut row): (usize, ndarray::ArrayViewMut1<'_, [f32; 3]>)| {
        let mut last = None;
        let mut light = [0.0; 3];
        for (x, pixel) in row.iter_mut().enumerate() {
            let mut tones = [0_u32; MAX_PLATES];
            for (tone, plate) in tones.iter_mut().zip(plates) {
                *tone = plate[[y, x]].as_();
            }
            if last != Some(tones) {
                let coverages = tones.map(|tone| f64::from(tone) / f64::from(T::SOLID));
                light = print.xyz(&coverages[..plates.len()]).0.map(|light| light as f32);
                last = Some(tones);
            }
            *pixel = light;
        }
    };
    let rows = picture.pixels.rows_mut().into_iter().enumerate();
    #[cfg(feature = "threads")]
    {
        use rayon::prelude::*;
        rows.collect::<Vec<_>>().into_par_iter().with_min_len(8).for_each(work);
    }
    #[cfg(not(feature = "threads"))]
    rows.for_each(work);
    Ok(picture)
}

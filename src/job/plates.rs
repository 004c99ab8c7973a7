//! Art to plates, band by band.

use std::ops::ControlFlow;
use std::path::Path;

use ndarray::{Array2, Array3, ArrayView2, s};

use crate::art::Samples;
use crate::bands::{Progress, each_band};
use crate::colour::Print;
use crate::colour::separate::{Request, Separation};
use crate::colour::srgb::Code;
use crate::error::{Error, Result, filled};
use crate::job::Job;
use crate::job::picture::Plates;
use crate::plate::Tone;

/// Rows of art in one band.
const BAND: usize = 128;

/// What a job's separation is to be. Errors: a curve that is none.
pub(super) fn request(job: &Job, print: &Print) -> Result<Request> {
    let told = &job.separation;
    let mut request = Separation::of(print)
        .intent(told.intent)
        .knee(told.knee)
        .ink_price(told.ink_price)
        .grey_price(told.grey_price)
        .smoothness(told.smoothness)
        .floor(told.floor);
    if let Some(black) = told.black {
        request = request.black(black);
    }
    for &(colour, ink) in &told.pins {
        request = request.pin(colour, ink);
    }
    for (i, ink) in job.inks.iter().enumerate() {
        request = request.trim(i, ink.trim()?);
        if ink.base {
            request = request.base(i);
        }
        if let Some(price) = ink.price {
            request = request.plate_price(i, price);
        }
        if ink.held.is_some() {
            request = request.hold(i);
        }
    }
    Ok(request)
}

/// The plates of art; the plate that is supplied, if there is one, among them.
pub(super) fn plates(
    job: &Job,
    separation: &Separation,
    art: &Samples,
    progress: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Plates> {
    let held = job.inks.iter().find_map(|ink| ink.held.as_deref());
    let held = held.map(|path| Ok((path, job.picture.held(path)?))).transpose()?;
    let held = held.as_ref().map(|(path, plate)| (*path, plate));
    match art {
        Samples::U8(art) => {
            let narrow =
                held.map(|(path, plate)| (path, plate.mapv(|tone| ((u32::from(tone) + 128) / 257) as u8)));
            let held = narrow.as_ref().map(|(path, plate)| (*path, plate));
            of(separation, art, held, job.inks.len(), progress).map(Plates::U8)
        }
        Samples::U16(art) => of(separation, art, held, job.inks.len(), progress).map(Plates::U16),
    }
}

fn of<T: Code + Tone>(
    separation: &Separation,
    art: &Array3<T>,
    held: Option<(&Path, &Array2<T>)>,
    inks: usize,
    progress: &mut dyn FnMut(f64) -> ControlFlow<()>,
) -> Result<Vec<Array2<T>>> {
    let (height, width, _) = art.dim();
    if let Some((path, plate)) = held.filter(|(_, plate)| plate.dim() != (height, width)) {
        let (rows, columns) = plate.dim();
        let why = format!("{columns} x {rows} pixels; the art has {width} x {height}");
        return Err(Error::data(path.display(), why));
    }
    let mut plates = Vec::new();
    for _ in 0..inks {
        let samples = filled("a plate", width.saturating_mul(height), T::from_level(0))?;
        let plate = Array2::from_shape_vec((height, width), samples);
        plates.push(plate.map_err(|e| Error::data("a plate", e))?);
    }
    let mut hear = |p: Progress| progress(p.done as f64 / p.total as f64);
    each_band(height, BAND, &mut hear, |rows| {
        let mut out: Vec<_> = plates.iter_mut().map(|plate| plate.slice_mut(s![rows.clone(), ..])).collect();
        let held: Option<ArrayView2<'_, T>> = held.map(|(_, plate)| plate.slice(s![rows.clone(), ..]));
        separation.run(art.slice(s![rows, .., ..]), held, &mut out)
    })?;
    Ok(plates)
}

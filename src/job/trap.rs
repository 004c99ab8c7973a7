//! What plates need of each other on the press: a base where they have none, chokes and spreads, in the lengths of the job.

use ndarray::Array2;

use crate::colour::Print;
use crate::colour::separate::darkest;
use crate::error::Result;
use crate::job::Job;
use crate::job::inks::JobInk;
use crate::job::picture::{Plates, Source};
use crate::plate::Tone;
use crate::trap::{Choke, Underbase, spread};
use crate::units::Resolution;

/// Plates as they are screened, from plates as they were separated or read.
///
/// Errors: lengths of more than 64 of the plates' pixels; memory.
pub(super) fn trapped(job: &Job, print: &Print, plates: Plates, resolution: Resolution) -> Result<Plates> {
    Ok(match plates {
        Plates::U8(plates) => Plates::U8(of(job, print, plates, resolution)?),
        Plates::U16(plates) => Plates::U16(of(job, print, plates, resolution)?),
    })
}

fn of<T: Tone>(
    job: &Job,
    print: &Print,
    mut plates: Vec<Array2<T>>,
    resolution: Resolution,
) -> Result<Vec<Array2<T>>> {
    if matches!(&job.picture.source, Source::Plates(_, files) if files.first().is_some_and(Option::is_none)) {
        let black = job.separation.black.or_else(|| darkest(print)).and_then(|black| black.checked_sub(1));
        let mut base = Underbase::of(print)?;
        if let Some(black) = black {
            base = base.black(black)?;
        }
        let views: Vec<_> = plates.iter().map(|plate| plate.view()).collect();
        plates.insert(0, base.plate(&views, None)?);
    }
    // Each ink is spread under what later ones were before they were spread themselves, and choked at the end.
    for i in 0..plates.len() {
        let JobInk { spread: by, .. } = &job.inks[i];
        if by.to_um() > 0.0 {
            let mut wider = plates[i].clone();
            for later in &plates[i + 1..] {
                let spread = spread(plates[i].view(), later.view(), *by, resolution)?;
                wider.zip_mut_with(&spread, |tone, &spread| *tone = (*tone).max(spread));
            }
            plates[i] = wider;
        }
    }
    for (plate, ink) in plates.iter_mut().zip(&job.inks) {
        if ink.choke.to_um() > 0.0 {
            let choke = Choke::by(ink.choke)?;
            let choke = ink.least_width.map_or(Ok(choke), |least| choke.least(least))?;
            let choke = if ink.base { choke } else { choke.every_edge() };
            *plate = choke.plate(plate.view(), resolution)?;
        }
    }
    Ok(plates)
}

//! Running a job: everything is read, solved and laid out before the first file is begun.

use std::ops::ControlFlow;
use std::path::Path;

use crate::art::Samples;
use crate::colour::{LinearRgb, Print, Xyz};
use crate::error::{Error, Result};
use crate::film::Film;
use crate::io::write_picture;
use crate::job::films::{self, Task};
use crate::job::inks::JobInk;
use crate::job::picture::{Plates, Source, file_name};
use crate::job::place::{Place, strangers};
use crate::job::proof::{Blocks, compared, map_picture, over};
use crate::job::report::{self, Facts};
use crate::job::together::Together;
use crate::job::trap::trapped;
use crate::job::{Distance, Done, InkDone, Job, OnProgress, Progress, Step, beside, dots, index, plates};
use crate::press::{Finding, Planned, check};
use crate::proof::{Differences, Picture};
use crate::screen::{Mode, Placed};
use crate::sheet::{Labels, Sheet};
use crate::units::{Length, Resolution};

/// What is looked at instead of films, while they are made.
struct Pictures {
    resolution: Resolution,
    proof: Picture,
    /// Against the art's own colours, and against those wanted.
    off: Option<[(Differences, Distance); 2]>,
}

/// Plates, and pictures of what they print.
struct Made {
    plates: Plates,
    /// Those that are made whole, together with others.
    films: Vec<Option<Film>>,
    resolution: Resolution,
    pictures: Option<Pictures>,
}

pub(super) fn run(job: &Job, out: &Path, progress: OnProgress<'_>) -> Result<Done> {
    let print = job.print()?;
    let Made { plates, films: mut whole, resolution, pictures } = made(job, &print, progress)?;
    let plates = plates.each();
    let placed =
        plates.iter().map(|plate| Placed::resampled(*plate, resolution, job.resolution, job.sampling));
    let placed = placed.collect::<Result<Vec<_>>>()?;
    let film = placed.first().map_or([0, 0], |placed| [placed.film_width(), placed.film_height()]);
    let sheets = sheets(job, film)?;
    let findings = findings(job)?;
    let mut begun = 0.0;
    if let Some(screen) = &job.beside {
        begun = 0.5;
        whole = beside::films(screen, &job.inks, &placed, &mut |part| {
            progress(Progress { step: Step::Screening, part: begun * part })
        })?;
    }
    let distances = pictures.as_ref().and_then(|pictures| pictures.off.as_ref());
    let distances = distances.map(|[(_, art), (_, wanted)]| [*art, *wanted]);
    let middle = match (job.place, distances) {
        (Some(place), _) => place,
        (None, Some([art, _])) => art.worst_place,
        (None, None) => [
            Length::inches(0.5 * film[0] as f64 / job.resolution.x())?,
            Length::inches(0.5 * film[1] as f64 / job.resolution.y())?,
        ],
    };
    let growths = if job.make.proof { dots::growths(job) } else { Vec::new() };
    let dots =
        job.make.proof.then(|| dots::inch(job, &print, &placed, &whole, &growths, middle)).transpose()?;

    let mut place = Place::open(out)?;
    let names: Vec<String> =
        (1..).zip(&job.inks).map(|(i, ink)| format!("{i:02}-{}", file_name(ink.ink.name()))).collect();
    let mut tasks = Vec::new();
    for (i, name) in names.iter().enumerate() {
        let mut file = |made: bool, folder: &str, kind: &str| {
            made.then(|| place.file(&format!("{folder}/{name}.{kind}"))).transpose()
        };
        let plate_file = file(job.make.plates, "plates", "png")?;
        let film_file = file(job.make.films, "films", "tif")?;
        let tif = file(job.make.sheets, "sheets", "tif")?;
        let pdf = file(job.make.sheets, "sheets", "pdf")?;
        tasks.push(Task {
            screen: &job.screens[i],
            plate: plates[i],
            plate_resolution: resolution,
            placed: placed[i],
            film: whole.get(i).and_then(Option::as_ref).map(Film::view),
            resolution: job.resolution,
            plate_file,
            film_file,
            sheet: tif.zip(pdf).map(|(tif, pdf)| (&sheets[i], [tif, pdf])),
        });
    }
    let ink = films::run(&tasks, &mut |part| {
        progress(Progress { step: Step::Screening, part: begun + (1.0 - begun) * part })
    })?;

    tell(progress, Step::Reporting, 0.0)?;
    let pixels = (film[0] as f64 * film[1] as f64).max(1.0);
    let screened = job.make.films || job.make.sheets;
    let inks: Vec<InkDone> = (0..job.inks.len())
        .map(|i| {
            let film_coverage = screened.then(|| ink[i] as f64 / pixels);
            let area = (film[0] as f64 / job.resolution.x())
                * (film[1] as f64 / job.resolution.y())
                * 0.0254
                * 0.0254;
            let volume = job.inks[i].screening.mesh.ink_volume();
            InkDone {
                name: job.inks[i].ink.name().to_owned(),
                plate_coverage: plates[i].coverage(),
                film_coverage,
                film,
                inverted: job.inks[i].screening.mode == Mode::Inverted,
                ink_per_hundred: film_coverage.map(|coverage| 100.0 * coverage * area * volume),
            }
        })
        .collect();
    tell(progress, Step::Reporting, 0.3)?;
    if let Some(pictures) = &pictures {
        let proof = pictures.proof.to_srgb::<u8>()?;
        write_picture(place.file("proof.png")?, proof.view(), pictures.resolution)?;
        if let Some([(off, _), _]) = &pictures.off {
            let map = map_picture(off)?;
            write_picture(place.file("difference.png")?, map.view(), pictures.resolution)?;
        }
    }
    if let Some(dots) = &dots {
        write_picture(place.file("dots.png")?, dots.to_srgb::<u8>()?.view(), job.resolution)?;
    }
    tell(progress, Step::Reporting, 0.8)?;
    if job.make.report {
        let facts = Facts {
            job,
            print: &print,
            names: &names,
            inks: &inks,
            plate: [placed_size(&plates), film],
            plate_resolution: resolution,
            sheet: sheets.first(),
            proof: pictures.as_ref().map(|p| ([p.proof.width(), p.proof.height()], p.resolution)),
            distances,
            dots: dots.is_some().then_some(middle),
            growths: &growths,
            findings: &findings,
        };
        write_text(place.file("report.html")?.as_path(), &report::html(&facts))?;
    }
    write_text(place.file("job.toml")?.as_path(), &job.to_toml())?;
    tell(progress, Step::Reporting, 1.0)?;
    let files = place.finish()?;
    Ok(Done {
        inks,
        against_art: distances.map(|[art, _]| art),
        against_wanted: distances.map(|[_, wanted]| wanted),
        findings,
        strangers: strangers(out, &files),
        files,
    })
}

/// Plates from art or from their files, and the pictures of them.
fn made(job: &Job, print: &Print, progress: OnProgress<'_>) -> Result<Made> {
    tell(progress, Step::Reading, 0.0)?;
    let path = match &job.picture.source {
        Source::Art(path) => path,
        Source::Plates(_, files) => {
            let (plates, resolution) = job.picture.plates(files)?;
            let plates = trapped(job, print, plates, resolution)?;
            tell(progress, Step::Reading, 1.0)?;
            let mut made = Made { plates, films: Vec::new(), resolution, pictures: None };
            if job.make.proof {
                let blocks = blocks(&made.plates, resolution)?;
                let mut on = |part| progress(Progress { step: Step::Proofing, part });
                let proof = blocks.proof(print, &made.plates, &mut on)?;
                made.pictures = Some(Pictures { resolution: blocks.resolution, proof, off: None });
            }
            return Ok(made);
        }
    };
    let (art, resolution) = job.picture.art(path)?;
    let art = art.into_samples();
    tell(progress, Step::Reading, 1.0)?;
    tell(progress, Step::Separating, 0.0)?;
    if job.together.is_index() {
        let separation = index::separation(job, print)?;
        let mut on = |part: f64| progress(Progress { step: Step::Separating, part: 0.9 * part });
        let (films, plates) = index::films(job, &separation, &art, resolution, &mut on)?;
        tell(progress, Step::Separating, 1.0)?;
        let mut made =
            Made { plates, films: films.into_iter().map(Some).collect(), resolution, pictures: None };
        if job.make.proof {
            let blocks = blocks(&made.plates, resolution)?;
            let mut on = |part: f64| progress(Progress { step: Step::Proofing, part: 0.3 * part });
            let proof = blocks.of_art(&art, |light, part| separation.colour(light, part), &mut on)?;
            let wanted = |light| separation.wanted(light).to_xyz();
            made.pictures = Some(pictures(job, print, blocks, proof, &art, wanted, progress)?);
        }
        return Ok(made);
    }
    let separation = plates::request(job, print)?.build()?;
    let mut on = |part: f64| progress(Progress { step: Step::Separating, part: 0.5 + 0.4 * part });
    let plates = plates::plates(job, &separation, &art, &mut on)?;
    let plates = trapped(job, print, plates, resolution)?;
    tell(progress, Step::Separating, 1.0)?;
    let mut made = Made { plates, films: Vec::new(), resolution, pictures: None };
    if job.make.proof {
        let blocks = blocks(&made.plates, resolution)?;
        let mut on = |part: f64| progress(Progress { step: Step::Proofing, part: 0.3 * part });
        let proof = blocks.proof(print, &made.plates, &mut on)?;
        let wanted = |light| separation.wanted(light).to_xyz();
        made.pictures = Some(pictures(job, print, blocks, proof, &art, wanted, progress)?);
    }
    Ok(made)
}

/// The proof of art beside the art itself and what is wanted for it.
fn pictures(
    job: &Job,
    print: &Print,
    blocks: Blocks,
    proof: Picture,
    art: &Samples,
    wanted: impl Fn(LinearRgb) -> Xyz + Sync,
    progress: OnProgress<'_>,
) -> Result<Pictures> {
    let garment = print.primaries()[0];
    let mut on = |from: f64, part: f64| progress(Progress { step: Step::Proofing, part: from + 0.2 * part });
    let own = blocks.of_art(art, |light, part| over(garment, light.to_xyz(), part), &mut |p| on(0.3, p))?;
    let best = blocks.of_art(art, |light, part| over(garment, wanted(light), part), &mut |p| on(0.5, p))?;
    let off = Some(compared(&proof, [&own, &best], blocks.resolution, job.eye)?);
    tell(progress, Step::Proofing, 1.0)?;
    Ok(Pictures { resolution: blocks.resolution, proof, off })
}

fn blocks(plates: &Plates, resolution: Resolution) -> Result<Blocks> {
    let [width, height] = placed_size(&plates.each());
    Blocks::new(width, height, resolution)
}

fn placed_size(plates: &[crate::plate::Plate<'_>]) -> [usize; 2] {
    plates.first().map_or([0, 0], |plate| [plate.width(), plate.height()])
}

/// One sheet for each ink.
fn sheets(job: &Job, film: [usize; 2]) -> Result<Vec<Sheet>> {
    if !job.make.sheets {
        return Ok(Vec::new());
    }
    let sheet = |(i, ink): (usize, &JobInk)| {
        let labels = Labels {
            ink: ink.ink.name().to_owned(),
            order: [i + 1, job.inks.len()],
            job: job.name.clone(),
            date: job.date.clone(),
        };
        Sheet::new(&job.layout, film, job.resolution, Some(&job.screens[i]), &labels)
    };
    job.inks.iter().enumerate().map(sheet).collect()
}

/// What is to be told of the job's films before they are printed.
fn findings(job: &Job) -> Result<Vec<Finding>> {
    let film = |(ink, screen): (&JobInk, _)| {
        let dot = ink.screening.shape.dot();
        Ok(Planned::new(ink.ink.name(), screen, dot, job.resolution)?.on(&ink.screening.mesh))
    };
    let films = job.inks.iter().zip(&job.screens).map(film).collect::<Result<Vec<_>>>()?;
    let mesh = &job.inks[0].screening.mesh;
    if job.together == Together::Free {
        return check(&films, mesh);
    }
    // Dots that never meet have no moiré among themselves; one of them stands for all beside the base.
    let base = job.inks.iter().position(|ink| ink.base);
    let first = (0..films.len()).find(|&film| Some(film) != base);
    let pair = [base, first].into_iter().flatten().map(|film| films[film].clone());
    let mut findings = check(&pair.collect::<Vec<_>>(), mesh)?;
    for (_, film) in films.iter().enumerate().filter(|(i, _)| ![base, first].contains(&Some(*i))) {
        findings.extend(check(std::slice::from_ref(film), mesh)?);
    }
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.weight));
    Ok(findings)
}

/// Tells how far a step has come. Errors: the caller wants no more.
fn tell(progress: &mut dyn FnMut(Progress) -> ControlFlow<()>, step: Step, part: f64) -> Result<()> {
    if progress(Progress { step, part }).is_break() { Err(Error::Cancelled) } else { Ok(()) }
}

fn write_text(path: &Path, text: &str) -> Result<()> {
    std::fs::write(path, text).map_err(|source| Error::Io { path: path.to_owned(), source })
}

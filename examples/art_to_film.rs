//! The whole job: art, or a folder of plates, to plates, films, sheets, a proof and a report in one folder.
//!
//! ```text
//! cargo run --release --example art_to_film                                      the bundled demo
//! cargo run --release --example art_to_film -- --job JOB.toml --out DIR          a job file of your own
//! cargo run --release --example art_to_film -- ART.png --job JOB.toml --out DIR  another picture by the same job file
//! cargo run --release --example art_to_film -- PLATES --out DIR                  a folder of plates, as it is
//! ```

mod common;
#[path = "common/plates_job.rs"]
mod plates_job;

use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use clap::Parser;
use dotwright::job::{Distance, Done, Job, Progress};
use dotwright::press::check::Weight;
use dotwright::{Error, Result};
use indicatif::{ProgressBar, ProgressStyle};

/// Turn art, or a folder of plates, into films: plates, films, sheets, proof, report.
#[derive(Parser)]
struct Options {
    /// A PNG, TIFF or JPEG, or a folder of plates (grey pictures named NN-ink.png or .tif; black is ink) [default: what the job file
    /// says].
    picture: Option<PathBuf>,
    /// The job file [default: the bundled demo's; for a folder of plates one ink for each, black inverted].
    #[arg(long)]
    job: Option<PathBuf>,
    /// Where everything goes.
    #[arg(long, default_value = "target/art_to_film")]
    out: PathBuf,
}

/// What a shell expects of a program that was interrupted.
const INTERRUPTED: u8 = 130;

fn main() -> ExitCode {
    match run(&Options::parse()) {
        Err(Error::Cancelled) => {
            eprintln!("cancelled; nothing was written");
            ExitCode::from(INTERRUPTED)
        }
        result => common::end(result),
    }
}

fn run(options: &Options) -> Result<()> {
    let started = Instant::now();
    let job = job(options)?;
    let stop = Arc::new(AtomicBool::new(false));
    let asked = stop.clone();
    // Without it an interrupt ends the program at once, and leaves a hidden folder behind.
    let _ = ctrlc::set_handler(move || asked.store(true, Ordering::Relaxed));
    let bar = ProgressBar::new(1000);
    if let Ok(style) = ProgressStyle::with_template("{msg:<11} {bar:40} {percent:>3} %") {
        bar.set_style(style);
    }
    let mut show = |progress: Progress| {
        bar.set_message(progress.step.to_string());
        bar.set_position((1000.0 * progress.whole()) as u64);
        if stop.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    };
    let done = job.run(&options.out, &mut show);
    bar.finish_and_clear();
    tell(&done?, &options.out)?;
    common::say(format_args!("{:.1} s", started.elapsed().as_secs_f64()))
}

fn job(options: &Options) -> Result<Job> {
    match (&options.job, &options.picture) {
        (Some(file), picture) => Job::read_for(file, picture.as_deref()),
        (None, Some(folder)) if folder.is_dir() => {
            let text = plates_job::text(folder)?;
            Job::parse(&folder.display().to_string(), &text, folder, Some(folder))
        }
        (None, picture) => {
            let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/demo/job.toml");
            Job::read_for(&demo, picture.as_deref())
        }
    }
}

/// A line for each film, the print's distance from the art, what to look at.
fn tell(done: &Done, out: &Path) -> Result<()> {
    for ink in &done.inks {
        let film = ink.film_coverage.map_or(String::new(), |film| format!("  film {:6.2} %", 100.0 * film));
        common::say(format_args!(
            "{:<14} {:<8}  plate {:6.2} %{film}  {} x {} px",
            ink.name,
            if ink.inverted { "inverted" } else { "normal" },
            100.0 * ink.plate_coverage,
            ink.film[0],
            ink.film[1],
        ))?;
    }
    for (what, distance) in
        [("the art", done.against_art), ("what was wanted of the inks", done.against_wanted)]
    {
        if let Some(Distance { mean, most, worst, .. }) = distance {
            common::say(format_args!(
                "print against {what}: ΔE00 mean {mean:.2}, 95 % within {most:.2}, worst square inch {worst:.2}"
            ))?;
        }
    }
    let count = |weight| done.findings.iter().filter(|finding| finding.weight == weight).count();
    let (wrong, care) = (count(Weight::Wrong), count(Weight::Care));
    common::say(format_args!("checks: {wrong} wrong, {care} to look at, {} notes", count(Weight::Note)))?;
    for path in &done.strangers {
        common::say(format_args!("not of this job: {}", path.display()))?;
    }
    let report = done.files.iter().find(|path| path.ends_with("report.html"));
    common::say(format_args!("{}", report.map_or(out, |report| report.as_path()).display()))
}

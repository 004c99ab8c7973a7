//! A job for a folder of plates that has none: an ink for each plate, all on one lattice, black in the gaps of the others.
//!
//! Colours are those of `inks.csv` in the folder (lines of `name,#rrggbb`, the garment's among them), else from plain words; every ink
//! is opaque. The press is that of `press.csv` in the folder, if there.

use std::ffi::OsStr;
use std::path::Path;

use dotwright::{Error, Result};

/// The job file's text. Errors: a folder or a file in it that cannot be read.
pub fn text(folder: &Path) -> Result<String> {
    let colours = colours(folder)?;
    let named =
        |name: &str| colours.iter().find(|(other, _)| other == name).map(|(_, colour)| colour.clone());
    let garment = named("garment").unwrap_or_else(|| "#222226".to_owned());
    let mut text = format!("[garment]\ncolour = \"{garment}\"\n");
    if folder.join("press.csv").exists() {
        text += "[screen]\npress = \"press.csv\"\n";
    }
    for name in names(folder)? {
        let colour = named(&name).unwrap_or_else(|| plain(&name));
        text += &format!("[[ink]]\nname = {}\ncolour = \"{colour}\"\n", quoted(&name));
        if name == "black" {
            text += "mode = \"inverted\"\n";
        }
    }
    Ok(text)
}

/// Ink names by the plates' numbers, each once: what else is wrong with the folder is told by whoever reads the job.
fn names(folder: &Path) -> Result<Vec<String>> {
    let io = |source| Error::Io { path: folder.to_owned(), source };
    let mut names = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(io)? {
        let path = entry.map_err(io)?.path();
        let stem = path.file_stem().and_then(OsStr::to_str).unwrap_or_default();
        let extension = path.extension().and_then(OsStr::to_str).map(str::to_ascii_lowercase);
        if !matches!(extension.as_deref(), Some("png" | "tif" | "tiff")) || stem == "art" {
            continue;
        }
        let numbered = stem.split_once('-').and_then(|(n, ink)| Some((n.parse::<u32>().ok()?, ink)));
        names.push(match numbered {
            Some((number, ink)) if !ink.is_empty() => (number, ink.to_owned()),
            _ => (u32::MAX, stem.to_owned()),
        });
    }
    names.sort();
    let mut once: Vec<String> = Vec::new();
    for (_, name) in names {
        if !once.contains(&name) {
            once.push(name);
        }
    }
    Ok(once)
}

fn colours(folder: &Path) -> Result<Vec<(String, String)>> {
    let path = folder.join("inks.csv");
    if !path.exists() {
        return Ok(Vec::new());
    }
    let text = std::fs::read_to_string(&path).map_err(|source| Error::Io { path: path.clone(), source })?;
    let lines = text.lines().zip(1..).filter(|(line, _)| !line.trim().is_empty());
    let parsed = lines.map(|(line, number)| {
        let pair = line.split_once(',').map(|(name, colour)| (name.trim(), colour.trim()));
        let sound = pair.filter(|(_, colour)| colour.parse::<dotwright::colour::Xyz>().is_ok());
        let (name, colour) = sound.ok_or_else(|| Error::Data {
            what: format!("{}, line {number}", path.display()),
            why: format!("\"{line}\" is not a name and a colour: rose,#cb4462"),
        })?;
        Ok((name.to_owned(), colour.to_owned()))
    });
    parsed.collect()
}

/// The colour that a word stands for; any other name gets a colour of its own, always the same.
fn plain(ink: &str) -> String {
    let word = match ink {
        "white" => "#faf5f0",
        "black" => "#0c0c0e",
        "red" => "#c8242e",
        "green" => "#1f8a4c",
        "blue" => "#1f4ea8",
        "yellow" => "#f4cf2e",
        _ => {
            let hash = ink.bytes().fold(17_u32, |h, b| h.wrapping_mul(0x0100_0193) ^ u32::from(b));
            let [r, g, b] = [0, 8, 16].map(|shift| 0x60 + (hash >> shift & 0x7f));
            return format!("#{r:02x}{g:02x}{b:02x}");
        }
    };
    word.to_owned()
}

fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('\\', "\\\\").replace('"', "\\\""))
}

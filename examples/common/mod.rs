//! What the examples share: how they speak, and how a run ends.

use std::io::Write;
use std::process::ExitCode;

use dotwright::{Error, Result};

/// Prints a line. A reader that has gone away is no failure of ours; a full disk is.
pub fn say(line: std::fmt::Arguments<'_>) -> Result<()> {
    match writeln!(std::io::stdout(), "{line}") {
        Err(source) if source.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Error::Io { path: "standard output".into(), source })
        }
        _ => Ok(()),
    }
}

/// The option that a value belongs to, where the library names it in its own words.
fn option_of(error: &Error) -> &'static str {
    match error {
        Error::Value { name: "line count", .. } | Error::Lattice { .. } => "--lines: ",
        Error::Value { name: "index dot" | "index dots per inch", .. } => "--dot: ",
        Error::Limit { what, .. } if what.contains("dots this large") => "--dot, --lines: ",
        Error::Limit { what, .. } if what.contains("one cell") => "--lines: ",
        _ => "",
    }
}

/// Ends a run: 0, or 2 with the error in words.
pub fn end(result: Result<()>) -> ExitCode {
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            // Where even that cannot be written there is nobody to tell.
            let _ = writeln!(std::io::stderr(), "error: {}{error}", option_of(&error));
            ExitCode::from(2)
        }
    }
}

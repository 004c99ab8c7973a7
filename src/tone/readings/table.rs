//! Readings from text.

use crate::error::{Error, Result};
use crate::tone::readings::{Readings, Scale};

impl Readings {
    /// Readings from text: one patch a line, film coverage and then the values of the scale, separated by a comma, a semicolon, a
    /// tab or spaces. A patch may come any number of times.
    ///
    /// Empty lines, lines that begin with `#` and one line of headings are passed over. If any film coverage is above 1 all are
    /// in percent; otherwise they are in parts of 1. `name` stands in the messages, usually the file's.
    pub fn from_table(name: &str, text: &str, scale: Scale) -> Result<Self> {
        let mut rows: Vec<(usize, Vec<f64>)> = Vec::new();
        let mut heading = false;
        for (number, line) in (1..).zip(text.trim_start_matches('\u{feff}').lines()) {
            let line = line.trim();
            if line.is_empty() || line.starts_with('#') {
                continue;
            }
            let fields = line.split([',', ';', '\t', ' ']).map(str::trim).filter(|field| !field.is_empty());
            let numbers: Option<Vec<f64>> = fields.map(|f| f.parse().ok()).collect();
            match numbers {
                Some(numbers) if numbers.len() >= 2 => rows.push((number, numbers)),
                None if rows.is_empty() && !heading => heading = true,
                _ => {
                    return Err(Error::data(
                        format!("{name}, line {number}"),
                        format!("\"{line}\" is not film coverage and the values of a reading"),
                    ));
                }
            }
        }
        let whole = if rows.iter().any(|(_, row)| row[0] > 1.0) { 100.0 } else { 1.0 };
        let mut readings = Self::new(scale);
        for (number, row) in &rows {
            readings
                .add(row[0] / whole, &row[1..])
                .map_err(|why| Error::data(format!("{name}, line {number}"), why))?;
        }
        if rows.is_empty() {
            return Err(Error::data(name, "no readings in it"));
        }
        Ok(readings)
    }
}

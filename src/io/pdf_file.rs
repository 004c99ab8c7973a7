//! A PDF file written as it comes: numbered objects, streams of any length, the table of where they are (ISO 32000-1, 7.5).
//!
//! A stream's length stands behind it as an object of its own, so that a picture is written row by row and never held. Rejected: a crate
//! that builds the file in memory (`pdf-writer`), which a long film outgrows, for the dozen objects that are needed here.

use std::io::{self, ErrorKind, Write};

use crate::units::Resolution;

/// Units of 1/72 inch in an inch.
const POINTS: f64 = 72.0;

/// Longest side of a page in units (ISO 32000-1, annex C.2); a larger page takes larger units.
const MAX_UNITS: f64 = 14_400.0;

/// Largest place in a file that its table can tell: ten digits.
const MAX_AT: u64 = 9_999_999_999;

/// The number of an object.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Id(usize);

impl std::fmt::Display for Id {
    /// As another object refers to it.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} 0 R", self.0)
    }
}

#[derive(Debug)]
pub(crate) struct PdfFile<W> {
    out: W,
    at: u64,
    /// Where each object begins; 0 for one that is still to come.
    places: Vec<u64>,
    /// The object for the open stream's length, and where the stream begins.
    open: Option<(Id, u64)>,
}

impl<W: Write> PdfFile<W> {
    pub(crate) fn new(out: W) -> io::Result<Self> {
        let mut file = Self { out, at: 0, places: Vec::new(), open: None };
        // The second line tells that what follows is not text. 1.6 is the first version with units of other sizes.
        file.put(b"%PDF-1.6\n%\xe2\xe3\xcf\xd3\n")?;
        Ok(file)
    }

    /// A number for an object that is written later.
    pub(crate) fn reserve(&mut self) -> Id {
        self.places.push(0);
        Id(self.places.len())
    }

    /// Writes an object.
    pub(crate) fn object(&mut self, id: Id, body: &str) -> io::Result<()> {
        self.begin(id)?;
        self.put(format!("{body}\nendobj\n").as_bytes())
    }

    /// Begins a stream; `entries` are those of its dictionary but its length. What is then written by [`Write`] goes into it.
    pub(crate) fn begin_stream(&mut self, id: Id, entries: &str) -> io::Result<()> {
        let length = self.reserve();
        self.begin(id)?;
        self.put(format!("<< {entries} /Length {length} >>\nstream\n").as_bytes())?;
        self.open = Some((length, self.at));
        Ok(())
    }

    pub(crate) fn end_stream(&mut self) -> io::Result<()> {
        let end = self.at;
        self.put(b"\nendstream\nendobj\n")?;
        match self.open.take() {
            Some((length, start)) => self.object(length, &(end - start).to_string()),
            None => Ok(()),
        }
    }

    /// A stream that is in memory.
    pub(crate) fn stream(&mut self, id: Id, entries: &str, bytes: &[u8]) -> io::Result<()> {
        self.begin_stream(id, entries)?;
        self.put(bytes)?;
        self.end_stream()
    }

    /// Writes the pages' tree, the catalogue and the table of places; every reserved object must have been written.
    pub(crate) fn finish(mut self, tree: Id, pages: &[Id]) -> io::Result<W> {
        let kids: Vec<String> = pages.iter().map(Id::to_string).collect();
        let kids = kids.join(" ");
        self.object(tree, &format!("<< /Type /Pages /Count {} /Kids [{kids}] >>", pages.len()))?;
        let catalogue = self.reserve();
        self.object(catalogue, &format!("<< /Type /Catalog /Pages {tree} >>"))?;
        let table = self.at;
        if table > MAX_AT {
            return Err(ErrorKind::FileTooLarge.into());
        }
        let objects = self.places.len() + 1;
        let mut end = format!("xref\n0 {objects}\n0000000000 65535 f \n");
        for place in &self.places {
            end += &format!("{place:010} 00000 n \n");
        }
        end += &format!("trailer\n<< /Size {objects} /Root {catalogue} >>\nstartxref\n{table}\n%%EOF\n");
        self.put(end.as_bytes())?;
        Ok(self.out)
    }

    fn begin(&mut self, id: Id) -> io::Result<()> {
        self.places[id.0 - 1] = self.at;
        self.put(format!("{} 0 obj\n", id.0).as_bytes())
    }

    fn put(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.at += bytes.len() as u64;
        self.out.write_all(bytes)
    }
}

impl<W: Write> Write for PdfFile<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.out.write(bytes)?;
        self.at += written as u64;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

/// A page as large as a picture is on paper.
pub(crate) struct Page {
    sides: [f64; 2],
    unit: f64,
}

impl Page {
    pub(crate) fn new(width: usize, height: usize, resolution: Resolution) -> Self {
        let points = [width as f64 / resolution.x() * POINTS, height as f64 / resolution.y() * POINTS];
        let unit = libm::ceil(points[0].max(points[1]) / MAX_UNITS).max(1.0);
        Self { sides: points.map(|side| side / unit), unit }
    }

    /// Entries of the page's dictionary.
    pub(crate) fn entries(&self) -> String {
        let [width, height] = self.sides.map(number);
        let unit = if self.unit > 1.0 { format!(" /UserUnit {}", self.unit) } else { String::new() };
        format!("/MediaBox [0 0 {width} {height}]{unit}")
    }

    /// What paints a picture over the whole page.
    pub(crate) fn content(&self, name: &str) -> String {
        let [width, height] = self.sides.map(number);
        format!("q {width} 0 0 {height} 0 0 cm /{name} Do Q")
    }
}

/// A number with at most six decimals, as PDF spells it.
pub(crate) fn number(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_points_at_the_objects() {
        let mut file = PdfFile::new(Vec::new()).unwrap();
        let (tree, page, content) = (file.reserve(), file.reserve(), file.reserve());
        file.stream(content, "/Some /Entry", b"endobj inside").unwrap();
        file.object(page, &format!("<< /Type /Page /Parent {tree} /Contents {content} >>")).unwrap();
        let bytes = file.finish(tree, &[page]).unwrap();
        let find = |what: &[u8]| bytes.windows(what.len()).position(|w| w == what).unwrap();
        let table = find(b"xref\n0 ");
        let text = String::from_utf8_lossy(&bytes[table..]).into_owned();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[1], "0 6"); // none, tree, page, content, its length, catalogue
        for (number, line) in lines[3..8].iter().enumerate() {
            assert_eq!(line.len(), 19, "with its end of line, 20 bytes");
            let at: usize = line[..10].parse().unwrap();
            assert!(bytes[at..].starts_with(format!("{} 0 obj\n", number + 1).as_bytes()));
        }
        find(b"4 0 obj\n13\nendobj"); // the length of the stream
        assert!(text.contains(&format!("startxref\n{table}\n%%EOF")));
    }

    #[test]
    fn pages_have_true_size() {
        let entries =
            |width, height, x, y| Page::new(width, height, Resolution::per_inch_xy(x, y).unwrap()).entries();
        assert_eq!(entries(12_000, 14_400, 1200.0, 1200.0), "/MediaBox [0 0 720 864]");
        assert_eq!(entries(1440, 1440, 720.0, 1440.0), "/MediaBox [0 0 144 72]");
        assert_eq!(entries(1000, 1, 1016.0, 1016.0), "/MediaBox [0 0 70.866142 0.070866]");
        // 10 m: twice the largest page, and a little.
        assert_eq!(entries(1000, 566_929, 1440.0, 1440.0), "/MediaBox [0 0 25 14173.225] /UserUnit 2");
    }
}

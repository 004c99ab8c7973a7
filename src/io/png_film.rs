//! PNG films: grey of bit depth 1 (ISO/IEC 15948), in which 0 is black, so ink is turned to 0 here and nowhere else.
//!
//! Rows are not filtered: the standard advises none below 8 bits, where neighbours in a byte are no neighbours in tone.

use std::io::{self, Write};
use std::sync::{Arc, OnceLock};

use png::{BitDepth, ColorType, DeflateCompression, Encoder, Filter, PixelDimensions, StreamWriter, Unit};

use crate::film::row_bytes;
use crate::io::FilmSpec;
use crate::io::pbm::last_byte_mask;
use crate::units::Resolution;

#[derive(Debug)]
pub(crate) struct PngFilm<W: Write + 'static> {
    file: PngFile<W>,
    row: Vec<u8>,
    pad: u8,
}

impl<W: Write + 'static> PngFilm<W> {
    pub(crate) fn new(out: W, spec: &FilmSpec) -> io::Result<Self> {
        let size = [spec.width as u32, spec.height as u32];
        let kind = (ColorType::Grayscale, BitDepth::One, Filter::NoFilter);
        let file = PngFile::new(out, size, spec.resolution, kind)?;
        Ok(Self { file, row: vec![0; row_bytes(spec.width)], pad: last_byte_mask(spec.width) })
    }

    pub(crate) fn row(&mut self, row: &[u8]) -> io::Result<()> {
        for (out, bits) in self.row.iter_mut().zip(row) {
            *out = !bits;
        }
        if let Some(last) = self.row.last_mut() {
            *last |= !self.pad;
        }
        self.file.row(&self.row)
    }

    pub(crate) fn finish(self) -> io::Result<()> {
        self.file.finish()
    }
}

/// A PNG, row by row.
pub(crate) struct PngFile<W: Write + 'static> {
    out: StreamWriter<'static, Watched<W>>,
    failure: Failure,
}

impl<W: Write> std::fmt::Debug for PngFile<W> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("PngFile")
    }
}

impl<W: Write + 'static> PngFile<W> {
    pub(crate) fn new(
        out: W,
        [width, height]: [u32; 2],
        resolution: Resolution,
        (colour, depth, filter): (ColorType, BitDepth, Filter),
    ) -> io::Result<Self> {
        let failure = Failure::default();
        let out = Watched { out, failure: failure.clone() };
        let mut encoder = Encoder::new(out, width, height);
        encoder.set_color(colour);
        encoder.set_depth(depth);
        // Contone packs three times as fast at level 4 as at the usual 6, into files a thirtieth larger.
        encoder.set_deflate_compression(DeflateCompression::Level(if depth == BitDepth::One {
            6
        } else {
            4
        }));
        encoder.set_filter(filter);
        let (xppu, yppu) = resolution.to_per_metre();
        encoder.set_pixel_dims(Some(PixelDimensions { xppu, yppu, unit: Unit::Meter }));
        let out = encoder.write_header()?.into_stream_writer()?;
        Ok(Self { out, failure })
    }

    /// A row as the file has it: packed, most significant byte first.
    pub(crate) fn row(&mut self, row: &[u8]) -> io::Result<()> {
        self.out.write_all(row)
    }

    pub(crate) fn finish(self) -> io::Result<()> {
        self.out.finish()?;
        match Arc::into_inner(self.failure).and_then(OnceLock::into_inner) {
            Some(failure) => Err(failure),
            None => Ok(()),
        }
    }
}

type Failure = Arc<OnceLock<io::Error>>;

/// Remembers the first failure: the encoder writes the last chunk as it is dropped, and cannot tell of that one.
struct Watched<W> {
    out: W,
    failure: Failure,
}

impl<W> Watched<W> {
    fn note(&self, failure: &io::Error) {
        if failure.kind() != io::ErrorKind::Interrupted {
            let code = failure.raw_os_error();
            let copy = code.map_or_else(|| failure.kind().into(), io::Error::from_raw_os_error);
            // Later failures follow from the first.
            let _ = self.failure.set(copy);
        }
    }
}

impl<W: Write> Write for Watched<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.out.write(bytes).inspect_err(|e| self.note(e))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush().inspect_err(|e| self.note(e))
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

    use super::*;
    use crate::io::FilmFormat;
    use crate::units::Resolution;

    /// A disk with room for so many bytes.
    struct Disk(Arc<AtomicUsize>);

    impl Write for Disk {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            let fits = bytes.len().min(self.0.load(Relaxed));
            self.0.fetch_sub(fits, Relaxed);
            if fits == 0 && !bytes.is_empty() { Err(io::ErrorKind::StorageFull.into()) } else { Ok(fits) }
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    fn write(room: &Arc<AtomicUsize>) -> io::Result<()> {
        let resolution = Resolution::per_inch(720.0).unwrap();
        let spec = FilmSpec { width: 100, height: 9, resolution, format: FilmFormat::Png };
        let mut film = PngFilm::new(Disk(room.clone()), &spec)?;
        (0..9).try_for_each(|y| film.row(&[y * 27; 13]))?;
        film.finish()
    }

    #[test]
    fn a_full_disk_is_never_passed_over() {
        let room = Arc::new(AtomicUsize::new(10_000));
        write(&room).unwrap();
        let needed = 10_000 - room.load(Relaxed);
        assert!(needed > 100);
        for bytes in 0..needed {
            assert!(write(&Arc::new(AtomicUsize::new(bytes))).is_err(), "{bytes} of {needed}");
        }
    }
}

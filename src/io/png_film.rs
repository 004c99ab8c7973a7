//! PNG films: grey of bit depth 1 (ISO/IEC 15948), in which 0 is black, so ink is turned to 0 here and nowhere else.
//!
//! Rows are not filtered: the standard advises none below 8 bits, where neighbours in a byte are no neighbours in tone.

use std::fs::File;
use std::io::{self, Write};

use png::{BitDepth, ColorType, Compression, Encoder, Filter, PixelDimensions, StreamWriter, Unit};

use crate::film::row_bytes;
use crate::io::FilmSpec;
use crate::io::pbm::last_byte_mask;

pub(crate) struct PngFilm {
    out: StreamWriter<'static, File>,
    row: Vec<u8>,
    pad: u8,
}

impl std::fmt::Debug for PngFilm {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("PngFilm")
    }
}

impl PngFilm {
    pub(crate) fn new(out: File, spec: &FilmSpec) -> io::Result<Self> {
        let mut encoder = Encoder::new(out, spec.width as u32, spec.height as u32);
        encoder.set_color(ColorType::Grayscale);
        encoder.set_depth(BitDepth::One);
        encoder.set_compression(Compression::Balanced);
        encoder.set_filter(Filter::NoFilter);
        let (xppu, yppu) = spec.resolution.to_per_metre();
        encoder.set_pixel_dims(Some(PixelDimensions { xppu, yppu, unit: Unit::Meter }));
        let out = encoder.write_header()?.into_stream_writer()?;
        Ok(Self { out, row: vec![0; row_bytes(spec.width)], pad: last_byte_mask(spec.width) })
    }

    pub(crate) fn row(&mut self, row: &[u8]) -> io::Result<()> {
        for (out, bits) in self.row.iter_mut().zip(row) {
            *out = !bits;
        }
        if let Some(last) = self.row.last_mut() {
            *last |= !self.pad;
        }
        self.out.write_all(&self.row)
    }

    pub(crate) fn finish(self) -> io::Result<()> {
        Ok(self.out.finish()?)
    }
}

//! PBM films: the P4 format of the netpbm family (its man page `pbm(5)`): a short header, then packed rows in which 1 is black.

use std::io::{self, Write};

use crate::film::row_bytes;
use crate::io::FilmSpec;

#[derive(Debug)]
pub(crate) struct PbmFilm<W> {
    out: W,
    row: Vec<u8>,
    pad: u8,
}

impl<W: Write> PbmFilm<W> {
    pub(crate) fn new(mut out: W, spec: &FilmSpec) -> io::Result<Self> {
        write!(out, "P4\n{} {}\n", spec.width, spec.height)?;
        Ok(Self { out, row: vec![0; row_bytes(spec.width)], pad: last_byte_mask(spec.width) })
    }

    pub(crate) fn row(&mut self, row: &[u8]) -> io::Result<()> {
        self.row.copy_from_slice(row);
        if let Some(last) = self.row.last_mut() {
            *last &= self.pad;
        }
        self.out.write_all(&self.row)
    }

    pub(crate) fn finish(self) -> io::Result<W> {
        Ok(self.out)
    }
}

/// The bits of a row's last byte that are pixels.
pub(crate) fn last_byte_mask(width: usize) -> u8 {
    match width % 8 {
        0 => 0xff,
        used => !(0xff >> used),
    }
}

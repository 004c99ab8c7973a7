//! PDF films: a page of the film's own size, and on it one picture of one bit a pixel in T.6 (`CCITTFaxDecode`, K −1).
//!
//! Fax black is ink and `BlackIs1` stays false, so ink is sample 0, which in `DeviceGray` is black (ISO 32000-1, 7.4.6 and 8.9.5).
//! Rejected: a stencil (`ImageMask`), which shows the same but is drawn by other rules in some renderers and leaves what lies below;
//! and cutting the picture into several, between which viewers draw seams.

use std::io::{self, Write};

use crate::io::FilmSpec;
use crate::io::pdf_file::{Id, Page, PdfFile};
use crate::io::t6;

/// Bytes of code gathered before they are handed on.
const CHUNK: usize = 1 << 16;

#[derive(Debug)]
pub(crate) struct PdfFilm<W> {
    file: PdfFile<W>,
    spec: FilmSpec,
    encoder: t6::Encoder,
    code: Vec<u8>,
    picture: Id,
}

impl<W: Write> PdfFilm<W> {
    pub(crate) fn new(out: W, spec: &FilmSpec) -> io::Result<Self> {
        let mut file = PdfFile::new(out)?;
        let picture = file.reserve();
        let (width, height) = (spec.width, spec.height);
        file.begin_stream(
            picture,
            &format!(
                "/Type /XObject /Subtype /Image /Width {width} /Height {height} /BitsPerComponent 1 \
                 /ColorSpace /DeviceGray /Filter /CCITTFaxDecode \
                 /DecodeParms << /K -1 /Columns {width} /Rows {height} >>"
            ),
        )?;
        Ok(Self { file, spec: *spec, encoder: t6::Encoder::new(width as u32), code: Vec::new(), picture })
    }

    pub(crate) fn row(&mut self, row: &[u8]) -> io::Result<()> {
        self.encoder.push_row(row, &mut self.code);
        if self.code.len() >= CHUNK {
            self.file.write_all(&self.code)?;
            self.code.clear();
        }
        Ok(())
    }

    pub(crate) fn finish(mut self) -> io::Result<W> {
        self.encoder.finish(&mut self.code);
        self.file.write_all(&self.code)?;
        self.file.end_stream()?;
        let mut file = self.file;
        let page = Page::new(self.spec.width, self.spec.height, self.spec.resolution);
        let (tree, only, content) = (file.reserve(), file.reserve(), file.reserve());
        file.stream(content, "", page.content("Film").as_bytes())?;
        let (entries, picture) = (page.entries(), self.picture);
        file.object(
            only,
            &format!(
                "<< /Type /Page /Parent {tree} {entries} /Contents {content} \
                 /Resources << /XObject << /Film {picture} >> >> >>"
            ),
        )?;
        file.finish(tree, &[only])
    }
}

//! Art and plates read from files; films, sheets and plates written to them: in bands, never whole in memory. Films read back, as a whole.
//!
//! | format | written as | ink is | size on paper |
//! |---|---|---|---|
//! | TIFF | bilevel; uncompressed, PackBits or T.6 (Group 4); `WhiteIsZero` | bit 1 | XResolution, YResolution per inch |
//! | PNG | grey, bit depth 1 | 0, black | pHYs, whole pixels per metre |
//! | PBM | P4 | bit 1 | not stated: the format has no place for it |
//! | PDF | grey of 1 bit, T.6 | 0, black | the page |
//!
//! A film's bytes follow from its bits alone: rows are gathered into strips of a fixed height, so that neither bands nor
//! threads show in a file. A file grows beside its target under another name and takes its own only when it is complete and
//! synced.

#[cfg(feature = "art")]
mod art_head;
#[cfg(feature = "art")]
mod art_profile;
#[cfg(feature = "art")]
mod art_reader;
mod film_reader;
mod film_writer;
mod hand_over;
mod new_file;
mod pbm;
mod pdf_file;
mod pdf_film;
mod pdf_plates;
mod plate_reader;
mod plate_to_film;
mod png_film;
mod png_picture;
mod sheet_writer;
mod t6;
mod tiff_file;
mod tiff_film;
mod tiff_plate;
mod tiff_plates;

#[cfg(feature = "art")]
pub use art_reader::{ArtFile, EmbeddedProfile, MAX_ART_BYTES, decode_art, read_art};
pub use film_reader::read_film;
pub use film_writer::{FilmFormat, FilmSpec, FilmWriter, TiffCompression, write_film};
pub use hand_over::{InkPlate, PdfPages, PlateFormat, write_grey, write_inks_pdf, write_inks_tiff};
pub use plate_reader::{Depth, PlateBuffer, PlateReader};
pub use plate_to_film::{FilmJob, FilmReport, screen_plate, write_plate};
pub use png_picture::write_picture;
pub use sheet_writer::{SheetWriter, write_sheet};

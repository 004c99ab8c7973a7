//! The base under index dots: the union of their films, choked by exact distance.
//!
//! Index dots carry a tone by their number, each ink's dots beside the others'. The base lies under every dot of every colour, so it is their
//! union, at the dots' own places, and no screen of its own. It is choked in pixels, by the distance from each pixel's centre to the nearest point
//! that is bare ([`distance`](crate::distance)):
//!
//! ```text
//! ink  ⇔  distance > min(r, t − l/2)
//! ```
//!
//! with r the choke, l the least width and t the greatest distance of a pixel whose disk covers this one: the half-thickness of what is inked
//! there. Dots that stand alone and are thinner than 2 r + l keep a base of the width l, to a pixel. Rejected: a second index screen for the base, whose dots would lie
//! anywhere but under the colours'.

use crate::distance::{Part, Reach, each_row, pixel_um};
use crate::error::{Error, Result};
use crate::film::{Film, FilmView};
use crate::trap::choke::Choke;
use crate::units::Resolution;

/// Pixels that are ink in any of the films, which must be of one size; at least one film.
pub fn union(films: &[FilmView<'_>]) -> Result<Film> {
    let Some((first, others)) = films.split_first() else {
        return Err(Error::value("films of a union", "none", "at least one"));
    };
    let (width, height) = (first.width(), first.height());
    if let Some(other) = others.iter().find(|film| (film.width(), film.height()) != (width, height)) {
        return Err(Error::Extent {
            what: "a film of a union",
            got_width: other.width() as u64,
            got_height: other.height() as u64,
            width: width as u64,
            height: height as u64,
        });
    }
    let mut bits = Vec::new();
    let bytes = first.row(0).len();
    bits.try_reserve_exact(bytes.saturating_mul(height))
        .map_err(|_| Error::Memory { what: "a film", bytes: (bytes as u64).saturating_mul(height as u64) })?;
    for y in 0..height {
        let start = bits.len();
        bits.extend_from_slice(first.row(y));
        for film in others {
            bits[start..].iter_mut().zip(film.row(y)).for_each(|(bits, other)| *bits |= other);
        }
    }
    Film::from_bits(width, height, bits)
}

impl Choke {
    /// A film, choked: ink nearer than the choke to bare film goes, but for what a thin dot or line keeps. Beyond the film's border all goes on.
    ///
    /// Errors: a choke or least width of more than 64 pixels; memory that cannot be had (a few rows of distances). Cost: some 30 ns a pixel,
    /// and at each pixel within the choke of an edge as many as the choke has square pixels.
    pub fn film(&self, film: &FilmView<'_>, resolution: Resolution) -> Result<Film> {
        let pixels = self.in_pixels(resolution)?;
        let (width, height) = (film.width(), film.height());
        let mut choked = Film::new(width, height)?;
        let side = pixel_um(resolution);
        let (radius, least) = (pixels.radius * side[0], pixels.least * side[0]);
        let largest = pixels.largest * side[0];
        // A pixel may be covered from as much as its own side farther than the disk.
        let near = near(largest + side[0].max(side[1]), side);
        let down = near.iter().map(|near| near.rows.unsigned_abs()).max().unwrap_or(0);
        // The last rows of distances: row y at y modulo their number.
        let many = 2 * down + 1;
        let mut rows = crate::error::filled("rows of distances", many.saturating_mul(width), 0.0_f64)?;
        let mut finish = |rows: &[f64], y: usize| {
            for x in 0..width {
                let own = rows[y % many * width + x];
                if own == 0.0 {
                    continue;
                }
                let mut keep = own > radius;
                if !keep && least > 0.0 {
                    let mut thickness = own;
                    for near in &near {
                        let (u, v) = (x.wrapping_add_signed(near.columns), y.wrapping_add_signed(near.rows));
                        if u < width && v < height {
                            let there = rows[v % many * width + u];
                            if there > near.far && there > thickness {
                                thickness = there;
                                if there >= largest {
                                    break;
                                }
                            }
                        }
                    }
                    keep = thickness < largest && own > thickness - 0.5 * least;
                }
                if keep {
                    choked.set(x, y, true);
                }
            }
        };
        each_row(film, resolution, Part::Bare, Reach::Edge, |y, distances| {
            rows[y % many * width..][..width].copy_from_slice(distances);
            if y >= down {
                finish(&rows, y - down);
            }
            Ok(())
        })?;
        for y in height.saturating_sub(down)..height {
            finish(&rows, y);
        }
        Ok(choked)
    }
}

/// A pixel about another, and how far it is in µm.
struct Near {
    columns: isize,
    rows: isize,
    far: f64,
}

/// The pixels within a length, the middle one left out; the nearest last, since the thickest part of a shape is seldom beside its edge.
fn near(length: f64, side: [f64; 2]) -> Vec<Near> {
    let [right, down] = side.map(|side| (length / side) as isize);
    let all = (-down..=down).flat_map(|rows| (-right..=right).map(move |columns| (rows, columns)));
    let far = |rows: isize, columns: isize| {
        let (x, y) = (columns as f64 * side[0], rows as f64 * side[1]);
        (x * x + y * y).sqrt()
    };
    let all = all.map(|(rows, columns)| Near { columns, rows, far: far(rows, columns) });
    let mut near: Vec<_> = all.filter(|near| near.far > 0.0 && near.far < length).collect();
    near.sort_by(|a, b| b.far.total_cmp(&a.far));
    near
}

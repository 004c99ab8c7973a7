//! What is a hard edge, and what a soft fade.
//!
//! With q pixels (the choke's length, two at the least, since edges are seldom sharper), D the greatest fall of tone within q pixels anywhere
//! within q pixels of a place, and R the range of tones within 4 q pixels of it, an edge is as hard as
//!
//! ```text
//! (D / R − 0.4) / 0.2,  brought within 0 and 1
//! ```
//!
//! Where a tone falls at once, D is all of R. Along a straight fade over 4 q pixels or more (3 q if it runs along rows or columns), whatever its contrast, D is at most 0.36 R, at its foot
//! and its shoulder too: there it is 0, and the plate is left as it is. An edge blurred over up to 1.6 q pixels is hard in full. What falls by less than
//! one part in 32 of solid is texture and no edge, and up to one in 16 it counts the less.
//!
//! Rejected: the slope alone, by which a faint edge is a fade and a strong fade an edge.

use crate::error::Result;
use crate::trap::plane::Plane;

/// D / R of a fade, and of an edge.
const FADE: f32 = 0.4;
const EDGE: f32 = 0.6;

/// Falls, as parts of solid, that are none and that count in full.
const TEXTURE: f32 = 1.0 / 32.0;
const FALL: f32 = 1.0 / 16.0;

/// Part of a pixel's fall that a box of 2 q + 1 pixels does not give back where a shape is thin.
const THIN: f32 = 0.3;

/// What is known of the edges about each pixel of a plane.
pub(super) struct Edges {
    /// How hard, 0…1.
    pub(super) hard: Vec<f32>,
    /// The least tone of the box of q + 1 pixels: what an edge falls to, a pixel that it runs through left out.
    pub(super) low: Plane,
    /// Whether the shape that a pixel is on may be narrower than 2 q + 1 pixels.
    pub(super) thin: Vec<bool>,
}

/// Pixels around a place that its edges depend on, for boxes of `q` pixels.
pub(super) fn reach(q: [usize; 2]) -> [usize; 2] {
    q.map(|q| 4 * q)
}

impl Edges {
    /// Edges of a plane whose tones go up to `solid`.
    pub(super) fn new(plane: &Plane, q: [usize; 2], solid: f32) -> Result<Self> {
        let far = reach(q);
        let low = plane.copy()?.least(q);
        let mut fall = plane.copy()?;
        for (fall, low) in fall.tones.iter_mut().zip(&low.tones) {
            *fall -= low;
        }
        let opened = low.copy()?.greatest(q);
        let thin = plane.tones.iter().zip(&opened.tones).zip(&fall.tones);
        let thin = thin.map(|((tone, opened), fall)| tone - opened > THIN * fall).collect();
        let (least, mut range) = (plane.copy()?.least(far), plane.copy()?.greatest(far));
        for (range, least) in range.tones.iter_mut().zip(&least.tones) {
            *range -= least;
        }
        let fall = fall.greatest(q);
        let part = |value: f32, from: f32, to: f32| ((value - from) / (to - from)).clamp(0.0, 1.0);
        let hard = fall.tones.iter().zip(&range.tones).map(|(fall, range)| {
            if *fall <= TEXTURE * solid {
                return 0.0;
            }
            part(fall / range, FADE, EDGE) * part(fall / solid, TEXTURE, FALL)
        });
        Ok(Self { hard: hard.collect(), low: low.least([1, 1]), thin })
    }
}

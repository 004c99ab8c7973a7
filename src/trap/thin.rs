//! How thin a shape is at a pixel: half of its width there, for what a choke must leave of lines and dots.
//!
//! From a pixel, rays run both ways along eight or more directions, each as long as the tone along it stays up:
//!
//! ```text
//! ∫ (least tone so far − low) / (own tone − low) dt          low: the least tone around
//! ```
//!
//! to a part of a pixel, since tones are interpolated. The shortest ray is the pixel's depth in its shape; half of the shortest pair of
//! opposite rays its half-width. A shape's half-thickness at a pixel is the greatest half-width of the pixels whose depth reaches to it: that is the
//! greatest disk in the shape that covers the pixel, so that the corner of a broad shape counts as broad.
//!
//! Rejected: what remains of one opening, which cannot tell a line from the corner of a square; openings of many radii, exact but for the blur of
//! each, which leaves ghosts along every edge, and ten times the work where nothing is thin.

use crate::error::{Result, filled};
use crate::trap::disk::{Disk, Tap};
use crate::trap::hard::Edges;
use crate::trap::plane::Plane;

/// Length of a ray's step, in pixels along x (along the shorter side of pixels).
const STEP: f64 = 0.5;

/// Half-widths and depths of pixels; where a shape is broad, without end and [`BROAD`].
pub(super) struct Thin {
    half_width: Vec<f32>,
    depth: Vec<f32>,
}

impl Thin {
    /// Of the pixels of `places` (indices into the plane); widths up to 4 `radius` pixels along x.
    pub(super) fn new(
        plane: &Plane,
        edges: &Edges,
        radius: f64,
        aspect: f64,
        places: impl Iterator<Item = usize>,
    ) -> Result<Self> {
        let step = STEP / aspect.max(1.0);
        let steps = (2.0 * radius / step + 1.0) as usize;
        let rays: Vec<Vec<Tap>> = (0..RAYS)
            .map(|i| {
                let angle = 2.0 * std::f64::consts::PI * i as f64 / RAYS as f64;
                let (u, v) = (libm::cos(angle) * step, libm::sin(angle) * step * aspect);
                (1..=steps).map(|n| Tap::at(u * n as f64, v * n as f64, plane.width)).collect()
            })
            .collect();
        let mut half_width = filled("half-widths of a plate", plane.tones.len(), 0.0)?;
        let mut depth = filled("depths of a plate", plane.tones.len(), 0.0)?;
        for at in places {
            let (tone, low) = (plane.tones[at], edges.low.tones[at]);
            if !edges.thin[at] {
                (half_width[at], depth[at]) = (f32::INFINITY, BROAD);
                continue;
            }
            if tone <= low {
                continue;
            }
            let lengths: [f32; RAYS] =
                std::array::from_fn(|i| length(plane, at, &rays[i], tone, low) * step as f32);
            let pairs = (0..RAYS / 2).map(|i| lengths[i] + lengths[i + RAYS / 2]);
            half_width[at] = 0.5 * pairs.fold(f32::INFINITY, f32::min);
            depth[at] = lengths.into_iter().fold(f32::INFINITY, f32::min);
        }
        Ok(Self { half_width, depth })
    }

    /// Half-thickness of the shape at a thin pixel, in pixels along x. Pixels on the shape's edge, of lower tone, have no say for those inside.
    pub(super) fn at(&self, plane: &Plane, at: usize, disk: &Disk) -> f32 {
        let near = disk.within().iter().filter_map(|&(off, far)| {
            let other = at.wrapping_add_signed(off);
            let covers = f64::from(self.depth[other]) + EDGE >= far && plane.tones[other] >= plane.tones[at];
            covers.then(|| self.half_width[other])
        });
        near.fold(self.half_width[at], f32::max)
    }
}

/// Depth that a broad shape is known to have anywhere: what is beside it is its edge, a rounded tip that no box reaches into.
const BROAD: f32 = 1.0;

/// Pixels by which depths may be too small: an edge that runs through a pixel makes it less deep.
const EDGE: f64 = 0.5;

/// Rays of a pixel: a line between two directions is taken for 2 % too broad.
const RAYS: usize = 16;

/// Steps along a ray for which the tone stays up.
fn length(plane: &Plane, at: usize, ray: &[Tap], tone: f32, low: f32) -> f32 {
    let (mut least, mut sum) = (1.0_f32, 0.0);
    for tap in ray {
        let up = ((tap.of(plane, at) - low) / (tone - low)).max(0.0).min(least);
        sum += 0.5 * (least + up);
        least = up;
        if up == 0.0 {
            break;
        }
    }
    sum
}

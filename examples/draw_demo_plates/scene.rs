//! What is behind the moth: frame, sky, moon, hills, lanterns.

use std::f32::consts::{PI, TAU};

use super::paint::*;
use tiny_skia::*;

/// The frame of the window: a flat line, a hairline and a row of beads.
pub fn draw_frame(plates: &mut Plates) {
    for (width, mix) in [(25.0, FLAT_STRAW), (22.4, BARE), (10.0, FLAT_STRAW)] {
        plates.fill(&[stroked(&path(WINDOW), width)], mix);
    }
    let mut beads = PathBuilder::new();
    for i in 0..=60 {
        let (sin, cos) = (PI * i as f32 / 60.0).sin_cos();
        let (r, size) = (ARCH_RADIUS + 25.0, if i % 5 == 0 { 5.0 } else { 2.2 });
        beads.push_path(&ellipse(AXIS - r * cos, ARCH_TOP - r * sin, size, size));
    }
    plates.fill_all(beads, [1.0, 0.6, 1.0, 0.0, 0.0, 0.0]);
}

/// Distance from the limb of the moon, negative within.
pub fn from_moon(x: f32, y: f32) -> f32 {
    (x - MOON.0).hypot(y - MOON.1) - MOON.2
}

/// Night sky: teal that thickens to the horizon, rose haze, the glow of the moon.
pub fn draw_sky(plates: &mut Plates) {
    let inner = plates.clip.blurred(40);
    plates.paint(&Plane::of(|_, _| 1.0), |x, y| {
        let down = (y - 70.0) / (ARCH_FOOT - 70.0);
        let haze = clouds(x / 260.0, y / 80.0);
        let away = from_moon(x, y).max(0.0);
        let near = (-away / 60.0).exp();
        let dusk = step(0.38, 0.78, down) * step(0.2, 0.75, haze);
        let depth = 0.2 + 0.38 * down + 0.42 * (-away / 130.0).exp() + 0.5 * (haze - 0.5);
        let edge = lerp(0.3, 1.0, step(0.3, 1.0, inner.at(x, y)));
        let teal = depth.max(0.0) * edge * (1.0 - 0.6 * near) * (1.0 - 0.75 * dusk);
        let (white, straw, amber) = (0.45 * near, 0.7 * near, 0.2 * near);
        [white, straw, amber, 0.85 * dusk, teal.min(1.0), 0.0]
    });
}

/// Hairline rays about the moon, and stars of all sizes.
pub fn draw_rays_and_stars(plates: &mut Plates) {
    let mut rays = PathBuilder::new();
    // Not below, where they would show beneath the moth.
    for i in (0..144).filter(|i| !(3..69).contains(i)) {
        let angle = TAU * i as f32 / 144.0;
        let (sin, cos) = angle.sin_cos();
        let root = (MOON.0 + 248.0 * cos, MOON.1 + 248.0 * sin);
        let length = [210.0, 46.0, 100.0, 46.0][i % 4];
        hair(&mut rays, root, angle, length, 2.6);
    }
    let rays = Plane::filled(&[rays.finish().expect("rays")]);
    plates.add(&rays, [0.9, 0.8, 0.0, 0.0, 0.0, 0.0]);

    let mut stars = PathBuilder::new();
    // One star at most in each cell of 24 pixels; one in forty has four points.
    for (row, column) in (0..42).flat_map(|r| (0..50).map(move |c| (r, c))) {
        let spot = |key| hash(column * 8 + key, row);
        let x = 24.0 * (column as f32 + spot(0));
        let y = 24.0 * (row as f32 + spot(1));
        if spot(2) < 0.45 || from_moon(x, y) < 30.0 {
            continue;
        }
        let size = 0.6 + 1.5 * spot(3).powi(4);
        stars.push_path(&ellipse(x, y, size, size));
        for (quarter, length) in [9.0, 15.0, 9.0, 15.0].into_iter().enumerate() {
            if spot(4) < 0.04 {
                hair(&mut stars, (x, y), quarter as f32 * PI / 2.0, length, 3.0);
            }
        }
    }
    plates.fill_all(stars, LIGHT);
}

/// The moon: straw over white, with seas, a shaded limb and paper grain.
pub fn draw_moon(plates: &mut Plates) {
    let disc = Plane::of(|x, y| (0.5 - from_moon(x, y)).clamp(0.0, 1.0));
    plates.paint(&disc, |x, y| {
        let bent_x = x / 105.0 + 0.48 * noise(y / 45.0, 2.0) + 3.0;
        let bent_y = y / 95.0 + 0.53 * noise(x / 45.0, 4.0) + 1.0;
        let sea = step(0.46, 0.66, clouds(bent_x, bent_y));
        // The grain has four levels only, so that the plates pack well.
        let grain = (noise(x / 3.0, y / 3.0) * 3.0).round() / 3.0 - 0.5;
        let limb = step(-90.0, 0.0, from_moon(x, y));
        let straw = 0.28 + 0.4 * sea + 0.35 * limb + 0.1 * grain;
        let amber = sea * (0.12 + 0.3 * limb);
        [1.0, straw, amber, 0.0, 0.16 * sea, 0.0]
    });
}

/// Height of one of the hills, 0 the farthest.
pub fn ridge(hill: usize, x: f32) -> f32 {
    let base = [905.0, 985.0, 1105.0][hill];
    let hump = [30.0, -75.0, -34.0][hill] * bell((x - AXIS) / 300.0);
    let swell = noise(x / [190.0, 260.0, 150.0][hill], hill as f32 * 7.0 + 0.5) - 0.5;
    base + hump + [70.0, 60.0, 26.0][hill] * swell
}

/// Pines on the second hill: hairs stacked on a stem.
pub fn pines() -> PathBuilder {
    let mut pines = PathBuilder::new();
    for i in 0..64 {
        let x = 112.0 + 15.5 * (i as f32 + hash(i, 61));
        let tall = (18.0 + 46.0 * hash(i, 62)) * step(90.0, 330.0, (x - AXIS).abs());
        for t in (0..9).map(|k| k as f32 / 9.0) {
            let root = (x, ridge(1, x) + 4.0 - tall * t);
            for angle in [0.35, PI - 0.35, -PI / 2.0] {
                let length = tall * 0.3 * (1.0 - t) + 2.0;
                hair(&mut pines, root, angle, length, 0.12 * tall + 0.5);
            }
        }
    }
    pines
}

/// Grass on the nearest hill.
pub fn grass() -> PathBuilder {
    let mut grass = PathBuilder::new();
    for i in 0..620 {
        let x = 108.0 + 984.0 * hash(i, 71);
        let root = (x, ridge(2, x) + 3.0);
        let lean = 0.9 * (noise(x / 60.0, 8.0) - 0.5) + 0.5 * (hash(i, 72) - 0.5);
        let length = 10.0 + 26.0 * hash(i, 73);
        hair(&mut grass, root, lean - PI / 2.0, length, 2.6);
    }
    grass
}

/// Three hills: hazy, hatched, and one as dark as the garment, with what grows there.
pub fn draw_hills(plates: &mut Plates) {
    for hill in 0..3 {
        let shape = Plane::of(|x, y| (y - ridge(hill, x)).clamp(0.0, 1.0));
        plates.paint(&shape, |x, y| {
            let depth = y - ridge(hill, x);
            let rim = (-depth / [26.0, 9.0, 5.0][hill]).exp();
            // Hatching follows the ridge, and thickens with depth.
            let weight = step(0.0, 130.0, depth);
            let wavy = depth + 5.0 * noise(x / 40.0, 3.0);
            let hatch = line(to_nearest(wavy, 7.0), 0.5 + 3.2 * weight);
            // Light of the great lantern.
            let warm = bell((x - AXIS) / 210.0) * (-depth / 90.0).exp();
            let teal = (0.75 - 0.3 * weight) * (1.0 - 0.7 * warm);
            let (straw, amber, rose) = (0.75 * warm, 0.6 * warm + 0.4 * rim, 0.2 * warm);
            let haze = 0.25 + 0.45 * rim;
            match hill {
                0 => [0.2, 0.3 * rim, 0.1, haze, 1.1 - haze, 0.25 * hatch],
                1 => [straw, straw, amber, rose, teal, 0.7 * hatch],
                _ => [0.0, 0.8 * rim, 0.3 * rim, 0.0, 0.12 - 0.12 * weight, 0.0],
            }
        });
        match hill {
            0 => {}
            1 => plates.fill_all(pines(), BARE),
            _ => plates.fill_all(grass(), BARE),
        }
    }
}

/// A paper lantern hung at a point, with the glow it casts.
pub fn draw_lantern(plates: &mut Plates, x: f32, top: f32, rx: f32) {
    let (ry, rose) = (rx * 1.18, if rx > 60.0 { 0.35 } else { 0.8 });
    let cy = top + ry + rx * 0.25;
    let glow = Plane::of(|px, py| bell((px - x).hypot(py - cy) / (rx * 1.25)));
    plates.add(&glow, [0.2, 0.5, 0.7, 0.25, 0.0, 0.0]);
    plates.paint(&Plane::filled(&[ellipse(x, cy, rx, ry)]), |px, py| {
        let (u, v) = ((px - x) / rx, (py - cy) / ry);
        let core = bell(1.6 * u.hypot(v - 0.2));
        let edge = step(0.35, 1.0, u.hypot(v));
        // Hoops bow downwards; the paper darkens a little below each.
        let bow = 0.16 * rx * (1.0 - u * u).max(0.0).sqrt();
        let fold = to_nearest(py - bow - cy, rx / 5.5);
        let hoop = line(fold, 0.9 + rx / 90.0) * (0.3 + 0.5 * edge);
        let crease = 0.18 * step(-rx / 11.0, rx / 11.0, -fold);
        let (straw, amber) = (0.85 - 0.55 * core, 0.95 - 0.95 * core + crease);
        [1.0, straw, amber.min(1.0), rose * edge, 0.0, hoop]
    });
    let mut fittings = PathBuilder::new();
    hair(&mut fittings, (x, cy - ry), -PI / 2.0, rx * 0.3, 2.0);
    for (y, half) in [(cy - ry, 0.42 * rx), (cy + ry, 0.34 * rx)] {
        let cap = Rect::from_ltrb(x - half, y - rx * 0.08, x + half, y + rx * 0.09);
        fittings.push_rect(cap.expect("a cap"));
    }
    for i in -4..=4 {
        let (spread, root) = (i as f32 * 0.05, (x + i as f32 * rx * 0.02, cy + ry));
        hair(&mut fittings, root, PI / 2.0 + spread, rx * 0.75, 1.8);
    }
    plates.fill_all(fittings, FLAT_ROSE);
}

/// Small lights up the hill, and lanterns on a sagging cord.
pub fn draw_lanterns(plates: &mut Plates) {
    for t in (0..46).map(|i| i as f32 / 45.0) {
        // A zigzag that narrows uphill.
        let x = AXIS + 240.0 * (1.0 - 0.8 * t) * (t * 13.0 + 2.2).sin().asin();
        let y = lerp(1125.0, ridge(1, x) + 6.0, t.powf(0.7));
        let size = lerp(5.5, 1.6, t);
        let glow = Plane::of(|px, py| bell((px - x).hypot(py - y) / (3.5 * size)));
        plates.add(&glow, [0.1, 0.5, 0.7, 0.1, 0.0, 0.0]);
        let flame = [1.0, 0.45, 0.0, 0.0, 0.0, 0.0];
        plates.fill(&[ellipse(x, y, size, size * 1.2)], flame);
    }
    let cord = |x: f32| 885.0 - 165.0 * ((x - AXIS).abs() / 490.0).powf(1.7);
    plates.paint(&Plane::of(|x, y| line(y - cord(x), 2.0)), |_, _| FLAT_STRAW);
    for (away, size) in [(425.0, 26.0), (335.0, 42.0), (228.0, 33.0), (0.0, 72.0)] {
        draw_lantern(plates, AXIS - away, cord(AXIS - away), size);
        if away > 0.0 {
            draw_lantern(plates, AXIS + away, cord(AXIS + away), size);
        }
    }
}

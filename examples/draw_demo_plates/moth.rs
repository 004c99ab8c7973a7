//! The moth: wings, antennae, fur.

use std::f32::consts::PI;

use super::paint::*;
use tiny_skia::*;

/// One kind of wing of the moth, seen from its right; positions are from the thorax.
pub struct Wing {
    pub outline: &'static str,
    root: (f32, f32),
    /// Angle in degrees (anticlockwise from right) and reach of two points of the margin.
    reach: [(f32, f32); 2],
    /// Middle and radius of the eye spot.
    eye: (f32, f32, f32),
}

pub const WINGS: [Wing; 2] = [
    Wing {
        outline: "M 14 6 C 60 30 190 55 292 78 C 338 118 318 196 268 240 C 214 282 196 316 203 372 \
                  C 208 412 182 424 162 404 C 130 366 160 312 116 258 C 80 216 40 160 12 116 Z",
        root: (10.0, 20.0),
        reach: [(-62.0, 300.0), (-12.0, 322.0)],
        eye: (196.0, 150.0, 36.0),
    },
    Wing {
        outline: "M 10 -28 C 80 -120 250 -232 446 -214 C 486 -208 484 -176 464 -152 \
                  C 424 -96 396 -30 408 34 C 414 70 396 82 360 86 C 260 100 140 100 14 62 Z",
        root: (10.0, 0.0),
        reach: [(-9.0, 425.0), (25.0, 510.0)],
        eye: (268.0, -64.0, 42.0),
    },
];

/// The pattern of a wing at a point; `inside` is 0 at the edge of the wing and 1 within.
pub fn wing_mix(wing: &Wing, x: f32, y: f32, inside: f32) -> Mix {
    let (dx, dy) = (x - wing.root.0, y - wing.root.1);
    let (r, angle) = (dx.hypot(dy), (-dy).atan2(dx));
    let [(a0, r0), (a1, r1)] = wing.reach;
    let reach = lerp(r0, r1, step(a0, a1, angle.to_degrees()));
    let q = r / reach;

    // Amber field, rose outer field, glowing root.
    let cloudy = 0.12 * (clouds(x / 60.0 + 20.0, y / 60.0) - 0.5);
    let outer = step(0.42, 0.8, q + cloudy);
    let amber = [1.0, 0.95, 0.75, 0.12, 0.0, 0.0];
    let rose = [1.0, 0.2, 0.3, 1.0, 0.0, 0.12];
    let root = [1.0, 0.35, 0.05, 0.0, 0.0, 0.0];
    let mut mix = blend(blend(amber, rose, outer), root, bell(q / 0.36));

    // Scalloped bands: two dark, one bright, the dusky margin and its hem.
    let s = q - 0.022 * (angle * 22.0).sin().abs();
    let band = |at: f32, wide: f32| line((s - at) * reach, wide * reach);
    let tail = step(0.95, 1.4, q);
    let hem = blend([1.0, 0.2, 0.85, 0.6, 0.0, 0.0], FLAT_STRAW, tail);
    for (cover, ink) in [
        (band(0.52, 0.022), [0.8, 0.1, 0.3, 0.9, 0.0, 0.56]),
        (band(0.475, 0.006), [0.8, 0.2, 0.5, 0.7, 0.0, 0.4]),
        (band(0.8, 0.02), [1.0, 0.3, 0.0, 0.0, 0.0, 0.0]),
        (step(0.818, 0.83, s), [0.8, 0.0, 0.0, 0.6, 0.4, 1.0]),
        (step(0.875, 0.94, s), hem),
    ] {
        mix = blend(mix, ink, cover);
    }

    // Feather lines: fine, of uneven strength; light near the root and on the
    // margin, dark between. Veins spread from the root, bending a little.
    let fine = to_nearest(angle + 0.012 * noise(r / 14.0, angle * 30.0), 0.0165);
    let feather = line(fine * r, 0.9) * noise(angle * 70.0, r / 45.0);
    let bent = to_nearest(angle + 0.1 * q * q, 0.135);
    let vein = line(bent * r, 0.6 + 1.4 * (1.0 - q).max(0.0)) * step(0.12, 0.3, q);
    let [white, straw, amber, rose, teal, black] = mix;
    let amber = amber * (1.0 - 0.8 * feather * (1.0 - outer) * step(0.1, 0.3, q));
    let black = black + feather * if black > 0.6 { -0.7 } else { 0.5 * outer };
    // The wing is darker towards its edge.
    let shade = 0.75 * step(0.6, 0.0, inside) * (0.4 + 0.6 * outer);
    let black = black.max(0.5 * vein).max(shade);
    mix = [white, straw, amber, rose.max(0.7 * vein), teal, black];

    // The eye: rings from outside in, ending with a crescent of light.
    let (ex, ey, er) = wing.eye;
    let d = (x - ex).hypot((y - ey) * 1.12);
    let disc = |radius: f32| (er * radius - d + 0.5).clamp(0.0, 1.0);
    let crescent = line(d - er * 0.26, er * 0.15) * step(-1.0, 9.0, ey - y);
    for (cover, ink) in [
        (disc(1.0), [0.8, 0.0, 0.2, 0.6, 0.0, 1.0]),
        (disc(0.86), [1.0, 0.9, 0.1, 0.0, 0.0, 0.0]),
        (disc(0.66), FLAT_ROSE),
        (disc(0.52), [0.8, 0.0, 0.0, 0.0, 0.3, 1.0]),
        (disc(0.38), [0.9, 0.0, 0.0, 0.0, 0.9, 0.0]),
        (crescent, LIGHT),
    ] {
        mix = blend(mix, ink, cover);
    }
    mix
}

/// The wings: a glow around them, then each pair with a bright hairline edge.
pub fn draw_wings(plates: &mut Plates) {
    let both = Plane::filled(&WINGS.each_ref().map(|w| pair(w.outline, MOTH_Y)).concat());
    plates.add(&both.blurred(30), [0.15, 0.3, 0.35, 0.25, 0.0, 0.0]);
    plates.clip = both;
    for wing in &WINGS {
        let shape = Plane::filled(&pair(wing.outline, MOTH_Y));
        let soft = shape.blurred(9);
        // A wing shades what lies behind it.
        plates.paint(&shape.blurred(7), |_, _| [0.5, 0.0, 0.3, 0.8, 0.0, 0.9]);
        plates.paint(&shape, |x, y| {
            let inside = 2.0 * soft.at(x, y) - 1.0;
            wing_mix(wing, (x - AXIS).abs(), y - MOTH_Y, inside)
        });
        let edges = pair(wing.outline, MOTH_Y).map(|p| stroked(&p, 4.0));
        plates.fill(&edges, FLAT_STRAW);
    }
}

/// Feathered antennae: a curved shaft with a comb of hairs on both sides.
pub fn draw_antennae(plates: &mut Plates) {
    let mut comb = PathBuilder::new();
    for i in 0..120 {
        let (side, t) = (if i % 2 == 0 { 1.0 } else { -1.0 }, (i / 2) as f32 / 59.0);
        let x = AXIS + side * (12.0 + 140.0 * t - 18.0 * t * t);
        let y = MOTH_Y - 88.0 - 150.0 * t + 40.0 * t * t;
        let along = (-150.0 + 80.0 * t).atan2(side * (128.0 - 44.0 * t));
        let length = 36.0 * (PI * t.powf(0.8)).sin() + 3.0;
        hair(&mut comb, (x, y), along + 0.85, length, 1.8);
        hair(&mut comb, (x, y), along - 0.85, length, 1.8);
        hair(&mut comb, (x, y), along, 8.0, 4.5 - 2.0 * t);
    }
    plates.fill_all(comb, [0.8, 0.0, 0.0, 0.7, 0.0, 1.0]);
}

/// The furry body: coats of hair from the tail up to the head, each dark below,
/// then coloured, then light; every third coat of the abdomen is a rose band.
pub fn draw_body(plates: &mut Plates) {
    let dark = [1.0, 0.3, 0.8, 0.7, 0.0, 0.68];
    let rose = [1.0, 0.3, 0.8, 0.8, 0.0, 0.2];
    let amber = [1.0, 0.8, 0.7, 0.0, 0.0, 0.0];
    let straw = [1.0, 0.9, 0.2, 0.0, 0.0, 0.0];
    let cream = [1.0, 0.25, 0.0, 0.0, 0.0, 0.0];
    // Position along the body from the head (0) to the tail (1), and half its width there.
    let spine = |t: f32| MOTH_Y - 88.0 + 300.0 * t;
    let girth = |t: f32| match t {
        ..0.36 => 50.0 * (PI * (0.16 + 2.0 * t)).sin().max(0.3),
        _ => 35.0 * (1.0 - ((t - 0.36) / 0.66).powi(3)),
    };
    let chest = ellipse(AXIS, MOTH_Y - 40.0, 46.0, 52.0);
    let trunk = [chest, ellipse(AXIS, MOTH_Y + 80.0, 30.0, 126.0)];
    let shadow = Plane::filled(&trunk).blurred(10);
    plates.add(&shadow, [0.0, 0.0, 0.0, 0.2, 0.0, 0.6]);
    plates.fill(&trunk, dark);
    for coat in 0..26 {
        let t = 1.0 - coat as f32 / 25.0;
        // The last coat is the crest, which stands up.
        let (lift, up) = if coat == 25 { (8.0, -1.0) } else { (-8.0, 1.0) };
        let (long, middle, top) = match coat {
            17.. => (24.0, amber, cream),
            _ if coat % 3 == 0 => (15.0, rose, straw),
            _ => (15.0, amber, straw),
        };
        for (layer, mix, reach) in [(0, dark, 1.0), (100, middle, 1.0), (200, top, 0.7)] {
            let mut fur = PathBuilder::new();
            for key in (0..70).map(|i| coat * 300 + layer + i) {
                let across = 2.0 * hash(key, 81) - 1.0;
                let x = AXIS + across * reach * girth(t);
                let y = spine(t) + 12.0 * hash(key, 82) + lift;
                let angle = PI / 2.0 - across * 1.15 + 0.5 * (hash(key, 83) - 0.5);
                let length = long * (0.5 + 0.7 * hash(key, 84));
                hair(&mut fur, (x, y), up * angle, length, 2.0);
            }
            plates.fill_all(fur, mix);
        }
    }
    for x in [AXIS - 23.0, AXIS + 23.0] {
        let eye = [0.8, 0.0, 0.0, 0.3, 0.0, 1.0];
        plates.fill(&[ellipse(x, MOTH_Y - 82.0, 9.0, 10.0)], eye);
        plates.fill(&[ellipse(x - 2.5, MOTH_Y - 85.5, 2.4, 2.4)], LIGHT);
    }
}

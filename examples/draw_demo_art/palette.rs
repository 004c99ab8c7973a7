//! The paints at each place: six, in the order of a `Mix`, each drifting through a few colours.

use std::f32::consts::PI;

use super::moth::WINGS;
use super::paint::*;

/// Linear light of three channels.
pub type Light = [f32; 3];

/// The light of a coded colour. A gamma of 2.2 is near enough to sRGB to paint by.
pub fn linear(rgb: u32) -> Light {
    [16, 8, 0].map(|shift| ((rgb >> shift & 255) as f32 / 255.0).powf(2.2))
}

/// A channel's code.
pub fn coded(light: f32) -> u8 {
    (light.clamp(0.0, 1.0).powf(1.0 / 2.2) * 255.0).round() as u8
}

fn between(a: Light, b: Light, t: f32) -> Light {
    std::array::from_fn(|k| lerp(a[k], b[k], t))
}

/// From colour to colour as `t` goes from 0 to 1, smoothly.
fn drift(stops: &[u32], t: f32) -> Light {
    let place = t.clamp(0.0, 1.0) * (stops.len() - 1) as f32;
    let first = (place as usize).min(stops.len() - 2);
    between(linear(stops[first]), linear(stops[first + 1]), step(0.0, 1.0, place - first as f32))
}

/// All that the paints depend on besides the place.
pub struct Palette {
    /// The coverage of the wings.
    wings: Plane,
}

impl Palette {
    pub fn new() -> Self {
        Self { wings: Plane::filled(&WINGS.each_ref().map(|w| pair(w.outline, MOTH_Y)).concat()) }
    }

    /// The six paints at a pixel whose middle is given.
    pub fn at(&self, pixel: usize, (x, y): (f32, f32)) -> [Light; 6] {
        let scene = scenery(x, y);
        let wing = wing((x - AXIS).abs(), y - MOTH_Y);
        let cover = self.wings.0[pixel];
        std::array::from_fn(|i| between(scene[i], wing[i], cover))
    }
}

/// Sky, hills, frame and lettering: everything but the wings.
fn scenery(x: f32, y: f32) -> [Light; 6] {
    let down = (y - 70.0) / (ARCH_FOOT - 70.0);
    let across = (x - 110.0) / 980.0;
    let bent = down + 0.10 * (clouds(x / 240.0, y / 160.0) - 0.5);
    let air = drift(&[0x3a_2f_c4, 0x2c_5f_e0, 0x16_97_cf, 0x1f_c3_b4, 0x4f_b8_5a], bent * 1.05);
    let haze = drift(&[0xb0_3c_c8, 0xe0_3c_96, 0xff_6f_8a, 0xff_9a_6c], (bent - 0.3) / 0.55);
    // Below the window the title runs from gold to coral, the shadow from turquoise to violet.
    let title = step(ARCH_FOOT + 10.0, ARCH_FOOT + 40.0, y);
    let straw = drift(&[0xff_e9_8a, 0xff_d2_62], down);
    let straw = between(straw, drift(&[0xff_f0_a8, 0xff_c4_48, 0xff_8d_5a], (y - 1215.0) / 130.0), title);
    // What is written on the ribbons stays pale.
    let ribbon = title * step(225.0, 235.0, (x - AXIS).abs()) * step(1340.0, 1350.0, y);
    let straw = between(straw, linear(0xff_f0_c8), ribbon);
    let air = between(air, drift(&[0x18_b6_b0, 0x3a_7c_ee, 0x8a_4c_e0], across), title);
    let haze = between(haze, drift(&[0xe8_2f_6c, 0xc8_2f_9c, 0xe8_2f_6c], across), title);
    let mut paints = [linear(0xff_fb_f0), straw, linear(0xff_96_26), haze, air, linear(0x0d_08_18)];
    let (paper, colour) = lantern(x, y);
    paints[1] = between(paints[1], drift(&[0xff_ff_ff, colour[0]], 0.9), paper);
    paints[2] = between(paints[2], linear(colour[1]), paper);
    paints[3] = between(paints[3], linear(colour[2]), paper);
    paints
}

/// How far a place lies within the paper or the glow of a lantern, and its light, paper and shade.
fn lantern(x: f32, y: f32) -> (f32, [u32; 3]) {
    let places = [
        (425.0, 26.0, [0xd8_ff_e0, 0x56_d8_8e, 0x0c_8c_7a]),
        (335.0, 42.0, [0xff_e4_f2, 0xff_86_b8, 0xd8_2c_8e]),
        (228.0, 33.0, [0xe6_e2_ff, 0xa8_8c_ff, 0x5a_36_d2]),
        (0.0, 72.0, [0xff_ee_a0, 0xff_92_2a, 0xee_3a_3c]),
    ];
    let away = (x - AXIS).abs();
    let near = |place: &(f32, f32, [u32; 3])| {
        let top = 885.0 - 165.0 * (place.0 / 490.0_f32).powf(1.7);
        let centre = top + place.1 * (1.18 + 0.25);
        (1.0 - step(1.1, 2.4, (away - place.0).hypot(y - centre) / place.1), place.2)
    };
    places.iter().map(near).max_by(|a, b| a.0.total_cmp(&b.0)).expect("lanterns")
}

/// The wings, from their root outwards; positions are from the thorax.
fn wing(x: f32, y: f32) -> [Light; 6] {
    let r = x.hypot(y) / 480.0;
    let turn = (-y).atan2(x) / PI + 0.15 * (clouds(x / 90.0 + 4.0, y / 90.0) - 0.5);
    let amber = drift(&[0xff_b0_30, 0xff_86_2c, 0xff_5e_48], r * 1.6);
    let rose = drift(&[0x7c_3c_e8, 0xd0_2c_c0, 0xf4_2a_72, 0xff_4a_4a], 0.5 + turn * 1.5);
    let straw = drift(&[0xff_f2_b0, 0xff_d8_70, 0xff_c0_d8], r * 1.3);
    let teal = linear(0x18_c8_f0);
    [linear(0xff_fa_f2), straw, amber, rose, teal, linear(0x1a_08_2c)]
}

//! Draws the demonstration plates: "Moth Lantern Night", a six-ink t-shirt print for an invented event, on a dark navy garment.
//!
//! A great moth hangs before the moon, above a hill with paper lanterns. The picture holds what makes screening hard: soft glows
//! and haze, texture (fur, stars, paper grain), hairlines (rays, wing veins, hatching) and flat tints (lettering, ribbons, frame).
//! Each ink becomes one 8-bit grey PNG, black for full ink; `inks.csv` names the colours.
//!
//! ```text
//! cargo run --release --example draw_demo_plates -- [FOLDER [PREVIEW.png]]
//! ```
//!
//! The folder is `examples/demo` unless told. Nothing is random: every run draws the same plates.

mod lettering;
mod moth;
mod paint;
mod scene;

use std::{env, error::Error, fs, path::Path as FilePath};

use paint::{GARMENT, Mix, Plates, lerp, painted, write_png};

/// Pixels in a unit of the picture: 150 to the inch.
const SCALE: f32 = 1.0;

/// The inks in printing order, which is also the order within a `Mix`.
const INKS: [(&str, u32); 6] = [
    ("white", 0xfa_f6_ea),
    ("straw", 0xf6_dc_84),
    ("amber", 0xee_93_2c),
    ("rose", 0xcb_44_62),
    ("teal", 0x2c_8c_98),
    ("black", 0x0b_0a_12),
];

/// The inks printed one after the other on the garment, mixed in linear light.
fn preview(plates: &Plates) -> Vec<u8> {
    // A gamma of 2.2 is near enough to sRGB to judge a picture by.
    let linear = |rgb: u32| [16, 8, 0].map(|shift| ((rgb >> shift & 255) as f32 / 255.0).powf(2.2));
    let inks = INKS.map(|(_, rgb)| linear(rgb));
    let print = |pixel: &Mix| {
        let mut color = linear(GARMENT.1);
        for (ink, cover) in inks.iter().zip(pixel) {
            color = std::array::from_fn(|i| lerp(color[i], ink[i], *cover));
        }
        color.map(|c| (c.powf(1.0 / 2.2) * 255.0).round() as u8)
    };
    plates.pixels.iter().flat_map(print).collect()
}

fn main() -> Result<(), Box<dyn Error>> {
    let folder = env::args().nth(1).unwrap_or("examples/demo".into());
    let folder = FilePath::new(&folder);
    fs::create_dir_all(folder)?;

    let mut plates = painted();
    plates.finish();

    for (i, (name, _)) in INKS.iter().enumerate() {
        // Steps of 3 in 255 are too fine to see in a screen, and pack a good deal smaller.
        let grey = |mix: &Mix| 255 - 3 * (mix[i] * 85.0).round() as u8;
        let pixels: Vec<u8> = plates.pixels.iter().map(grey).collect();
        let file = folder.join(format!("{:02}-{name}.png", i + 1));
        write_png(&file, png::ColorType::Grayscale, &pixels)?;
    }
    let rows = [GARMENT].into_iter().chain(INKS);
    let rows = rows.map(|(name, rgb)| format!("{name},#{rgb:06x}\n"));
    fs::write(folder.join("inks.csv"), rows.collect::<String>())?;
    if let Some(picture) = env::args().nth(2) {
        write_png(FilePath::new(&picture), png::ColorType::Rgb, &preview(&plates))?;
    }
    Ok(())
}

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

use lettering::draw_lettering;
use moth::{draw_antennae, draw_body, draw_wings};
use paint::{BARE, GARMENT, HEIGHT, INKS, Mix, PIXELS_PER_METRE, Plane, Plates, WIDTH, WINDOW, lerp, path};
use scene::{draw_frame, draw_hills, draw_lanterns, draw_moon, draw_rays_and_stars, draw_sky};

/// Writes a PNG with its size in print.
fn write_png(file: &FilePath, color: png::ColorType, pixels: &[u8]) -> Result<(), Box<dyn Error>> {
    let (xppu, yppu, unit) = (PIXELS_PER_METRE, PIXELS_PER_METRE, png::Unit::Meter);
    let mut encoder = png::Encoder::new(fs::File::create(file)?, WIDTH as u32, HEIGHT as u32);
    encoder.set_color(color);
    encoder.set_compression(png::Compression::High);
    // Of all filters, this one packs the plates best.
    encoder.set_filter(png::Filter::Sub);
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu, yppu, unit }));
    Ok(encoder.write_header()?.write_image_data(pixels)?)
}

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

    let (pixels, everywhere) = (vec![BARE; WIDTH * HEIGHT], || Plane::of(|_, _| 1.0));
    let mut plates = Plates { pixels, clip: everywhere() };
    draw_frame(&mut plates);
    draw_lettering(&mut plates);
    plates.clip = Plane::filled(&[path(WINDOW)]);
    draw_sky(&mut plates);
    draw_rays_and_stars(&mut plates);
    draw_moon(&mut plates);
    draw_hills(&mut plates);
    draw_lanterns(&mut plates);
    draw_wings(&mut plates);
    plates.clip = everywhere();
    draw_antennae(&mut plates);
    draw_body(&mut plates);
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

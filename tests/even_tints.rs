//! Flat tints are even: what is left of a tint's unevenness after an eye that no longer sees the dots.

mod common;

use common::{angle, flat, per_inch};
use dotwright::screen::Growth;
use dotwright::{Dot, Film, LineCount, Screen};

/// Standard deviation of coverage after a Gaussian of one screen period, the edge of four deviations trimmed.
fn grain(film: &Film, period: f64) -> f64 {
    let (n, reach) = (film.width(), (4.0 * period).ceil() as usize);
    let bell: Vec<f64> =
        (0..=2 * reach).map(|i| (-0.5 * ((i as f64 - reach as f64) / period).powi(2)).exp()).collect();
    let sum: f64 = bell.iter().sum();
    let inner = n - 2 * reach;
    let mut across = vec![0.0; n * inner];
    for y in 0..n {
        for x in 0..inner {
            let ink = |i: usize| f64::from(u8::from(film.get(x + i, y)));
            across[y * inner + x] = bell.iter().enumerate().map(|(i, b)| b * ink(i)).sum::<f64>() / sum;
        }
    }
    // Every third place is enough: neighbours after the Gaussian say the same.
    let blurred: Vec<f64> = (0..inner * inner)
        .step_by(3)
        .map(|i| {
            let (x, y) = (i % inner, i / inner);
            bell.iter().enumerate().map(|(j, b)| b * across[(y + j) * inner + x]).sum::<f64>() / sum
        })
        .collect();
    let mean = blurred.iter().sum::<f64>() / blurred.len() as f64;
    (blurred.iter().map(|b| (b - mean) * (b - mean)).sum::<f64>() / blurred.len() as f64).sqrt()
}

#[test]
fn cells_that_take_turns_make_even_tints() {
    for (resolution, lines, degrees, most) in [
        (600.0, 45.0, 22.5, 0.0003),
        (600.0, 65.7, 22.5, 0.0008),
        (600.0, 85.0, 45.0, 0.0015),
        (600.0, 45.0, 45.0, 0.0005),
        (600.0, 65.7, 0.0, 0.0008),
    ] {
        let worst = |growth| {
            let lines = LineCount::per_inch(lines).unwrap();
            let request = Screen::cells(per_inch(resolution), lines, angle(degrees), Dot::Round);
            let screen = request.growth(growth).build().unwrap();
            let side = (22.0 * resolution / lines.to_per_inch()) as usize;
            let tints = [3, 10, 25, 40, 50, 60, 75, 90, 97].map(|percent| (percent * 255 + 50) / 100);
            tints
                .map(|tone| {
                    grain(
                        &screen.film(flat(side, side, tone as u8).view()).unwrap(),
                        resolution / lines.to_per_inch(),
                    )
                })
                .into_iter()
                .fold(0.0, f64::max)
        };
        let (even, straight) = (worst(Growth::Even), worst(Growth::Straight));
        println!("{resolution} px {lines} lines {degrees}°: {even:.5}, straight {straight:.5}");
        assert!(even <= most, "{resolution} px {lines} lines {degrees}°: {even}");
        assert!(even <= straight / 6.0, "{even} but {straight} by straight ranking");
    }
}

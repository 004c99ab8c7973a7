//! Flat tints are even: what is left of a tint's unevenness after an eye that no longer sees the dots.

mod common;

use common::{angle, flat, per_inch};
use dotwright::screen::Growth;
use dotwright::{Dot, LineCount, Screen, measure};

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
            let grain = |tone| {
                let film = screen.film(flat(side, side, tone as u8).view()).unwrap();
                measure::grain(&film.view(), per_inch(resolution), lines).unwrap()
            };
            tints.map(grain).into_iter().fold(0.0, f64::max)
        };
        let (even, straight) = (worst(Growth::Even), worst(Growth::Straight));
        println!("{resolution} px {lines} lines {degrees}°: {even:.5}, straight {straight:.5}");
        assert!(even <= most, "{resolution} px {lines} lines {degrees}°: {even}");
        assert!(even <= straight / 6.0, "{even} but {straight} by straight ranking");
    }
}

//! Flat tints are even: what is left of a tint's unevenness after an eye that no longer sees the dots.

mod common;

use common::{angle, flat, per_inch};
use dotwright::screen::{Growth, Sharing, SideBySide};
use dotwright::{Dot, Film, LineCount, Screen, measure};

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

#[test]
fn plates_side_by_side_are_even_while_their_dots_are_apart() {
    // Three plates whose dots stand apart, touch here and there, and leave nothing bare.
    // Dots apart are as even as the ordinary screen's; borders between dots are as even as pixels let them be.
    for (resolution, lines, degrees, apart, touching) in [
        (600.0, 45.0, 22.5, 0.0003, 0.0026),
        (1200.0, 45.0, 22.5, 0.0001, 0.0008),
        (600.0, 65.7, 22.5, 0.0008, 0.0075),
        (600.0, 85.0, 45.0, 0.0015, 0.0095),
    ] {
        let count = LineCount::per_inch(lines).unwrap();
        let request = Screen::cells(per_inch(resolution), count, angle(degrees), Dot::Round);
        let screen = SideBySide::build(&request, 3, Sharing::Compact).unwrap();
        let side = (22.0 * resolution / lines) as usize;
        let grain = |film: &Film| measure::grain(&film.view(), per_inch(resolution), count).unwrap();
        for tones in [[40, 40, 40], [80, 60, 70], [85, 85, 85], [150, 30, 60]] {
            let plates = tones.map(|tone| flat(side, side, tone));
            let films = screen.films(&plates.each_ref().map(|plate| plate.view().into())).unwrap();
            let grains: Vec<f64> = films.iter().map(grain).collect();
            println!("{resolution} px {lines} lines {degrees}°, {tones:?}: {grains:.5?}");
            let most = if tones == [40, 40, 40] { apart } else { touching };
            assert!(
                grains.iter().all(|&grain| grain <= most),
                "{resolution} px {lines} lines {tones:?}: {grains:?}"
            );
        }
    }
}

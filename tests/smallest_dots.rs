//! Dots that a mesh can hold: no smaller dot and no smaller hole on any tint, in either mode, tone still exact.

mod common;

use common::{angle, flat, per_inch};
use dotwright::{Dot, Film, Length, LineCount, Mode, Screen};

/// Pixels of the smallest connected patch (by edges) of ink, or of bare film, that the film's border does not cut.
fn smallest_patch(film: &Film, ink: bool) -> Option<usize> {
    let (width, height) = (film.width(), film.height());
    let mut seen = vec![false; width * height];
    let mut least = None;
    for start in 0..width * height {
        if seen[start] || film.get(start % width, start / width) != ink {
            continue;
        }
        let (mut todo, mut size, mut cut) = (vec![start], 0, false);
        seen[start] = true;
        while let Some(place) = todo.pop() {
            let (x, y) = (place % width, place / width);
            size += 1;
            cut |= x == 0 || y == 0 || x + 1 == width || y + 1 == height;
            let around = [(x.wrapping_sub(1), y), (x + 1, y), (x, y.wrapping_sub(1)), (x, y + 1)];
            for (x, y) in around.into_iter().filter(|&(x, y)| x < width && y < height) {
                if !seen[y * width + x] && film.get(x, y) == ink {
                    seen[y * width + x] = true;
                    todo.push(y * width + x);
                }
            }
        }
        if !cut {
            least = Some(least.map_or(size, |l: usize| l.min(size)));
        }
    }
    least
}

#[test]
fn no_dot_and_no_hole_is_smaller_than_the_mesh_holds() {
    let um = |n| Length::um(n).unwrap();
    let (dot, hole) = (um(150.0), um(110.0));
    // Discs of that size at 720 px/inch: 14.2 and 7.6 pixels.
    let (dot_px, hole_px) = (15, 8);
    for shape in [Dot::Euclidean, Dot::ellipse(0.4, 0.6).unwrap(), Dot::Line] {
        let ask = || {
            let lines = LineCount::per_inch(45.0).unwrap();
            Screen::cells(per_inch(720.0), lines, angle(22.5), shape.clone())
        };
        let normal = ask().smallest(dot, hole).build().unwrap();
        let inverted = ask().smallest(dot, hole).mode(Mode::Inverted).build().unwrap();
        let both = ask().smallest_in_both_modes(dot, hole).build().unwrap();
        let twin = both.again(Mode::Inverted, None).unwrap();
        for (screen, least_dot, least_hole) in [
            (&normal, dot_px, hole_px),
            (&inverted, dot_px, hole_px),
            (&both, dot_px, dot_px),
            (&twin, dot_px, dot_px),
        ] {
            for tone in [1, 3, 8, 14, 240, 250, 254] {
                let film = screen.film(flat(600, 600, tone).view()).unwrap();
                let seen = smallest_patch(&film, tone < 128).expect("patches inside the film");
                let least = if tone < 128 { least_dot } else { least_hole };
                assert!(seen >= least, "{shape:?} {:?}: {seen} px at {tone}", screen.mode());
            }
        }
        for tone in [5_u8, 20, 128, 200, 250] {
            let (a, b) = (flat(400, 400, tone), flat(400, 400, 255 - tone));
            let (a, b) = (both.film(a.view()).unwrap(), twin.film(b.view()).unwrap());
            assert_eq!(a.and(&b).unwrap().count(), 0, "{shape:?} at {tone}");
        }
    }
}

#[test]
fn tone_is_exact_to_half_a_smallest_dot_in_a_brick() {
    let request =
        Screen::cells(per_inch(600.0), LineCount::per_inch(45.0).unwrap(), angle(45.0), Dot::Euclidean);
    let screen = request.smallest(Length::um(200.0).unwrap(), Length::um(0.0).unwrap()).build().unwrap();
    let (thresholds, n) = (screen.thresholds_u16(), screen.brick().len() as f64);
    // A disc of 200 µm at 600 px/inch has 17.5 pixels.
    let mut levels: Vec<u16> = thresholds.iter().copied().collect();
    levels.sort_unstable();
    for k in (0..=65_535_u32).step_by(13) {
        let ink = levels.partition_point(|&t| u32::from(t) < k) as f64;
        assert!((ink - f64::from(k) / 65_535.0 * n).abs() <= 9.0, "{ink} at {k}");
    }
}

#[test]
fn dots_too_large_for_their_cells_are_refused() {
    let request =
        || Screen::cells(per_inch(600.0), LineCount::per_inch(65.0).unwrap(), angle(22.5), Dot::Round);
    let um = |n| Length::um(n).unwrap();
    let message = request().smallest(um(300.0), um(0.0)).build().unwrap_err().to_string();
    assert!(message.contains("smallest dot") && message.contains("300 µm"), "{message}");
    assert!(request().smallest(um(0.0), um(-5.0)).build().is_err());
    let straight = request().growth(dotwright::screen::Growth::Straight).smallest(um(50.0), um(50.0));
    assert!(straight.build().unwrap_err().to_string().contains("even growth"));
}

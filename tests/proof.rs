//! The proof: what plates print, and that it is what their films print.
//!
//! Inks here are invented. Colours come from the print model, whose own checks stand in `colour.rs`; its areas are counted on films in
//! `colour_films.rs`.

use dotwright::colour::{Drawdown, Ink, Overlap, Print, Xyz, ciede2000};
use dotwright::proof::{Differences, Picture, plates};
use dotwright::{Angle, Dot, Film, LineCount, Mode, Resolution, Screen};
use ndarray::Array2;

fn ink(name: &str, over_white: &str, over_black: &str) -> Ink {
    let drawdown = |colour: &str, ground: &str| Drawdown {
        colour: colour.parse::<Xyz>().unwrap(),
        ground: ground.parse::<Xyz>().unwrap(),
    };
    Ink::new(name, drawdown(over_white, "#ffffff"), drawdown(over_black, "#000000")).unwrap()
}

fn inks() -> [Ink; 3] {
    [ink("white", "#fcfcfa", "#e1e2e2"), ink("red", "#d61e2d", "#781219"), ink("black", "#18171a", "#141416")]
}

fn print(overlap: &Overlap) -> Print {
    let request = inks().iter().fold(Print::on("#30343c".parse().unwrap()), |print, ink| print.ink(ink));
    request.build(overlap).unwrap()
}

#[test]
fn flat_tints_of_plates_print_as_their_films_do() {
    let resolution = Resolution::per_inch(1200.0).unwrap();
    let cells = |lines: f64, degrees: f64| {
        let (lines, angle) = (LineCount::per_inch(lines).unwrap(), Angle::degrees(degrees).unwrap());
        Screen::cells(resolution, lines, angle, Dot::Round).build().unwrap()
    };
    let base = cells(45.0, 22.5);
    for screens in [
        // Not 30 degrees apart at one line count: those close, and their overlap hangs on their phase.
        [base.clone(), cells(50.0, 52.5), cells(55.0, 75.0)],
        [base.clone(), base.clone(), base.again(Mode::Inverted, None).unwrap()],
        [base.clone(), cells(55.0, 22.5), base.again(Mode::Inverted, None).unwrap()],
    ] {
        let print = print(&Overlap::of(&[&screens[0], &screens[1], &screens[2]]).unwrap());
        for tones in [[128_u8, 60, 30], [230, 128, 100], [51, 204, 128], [255, 20, 240]] {
            let tints = tones.map(|tone| Array2::from_elem((1, 1), tone));
            let views = [tints[0].view(), tints[1].view(), tints[2].view()];
            let planned = plates::proof(&print, &views).unwrap().lab(0, 0);

            let large: [Film; 3] = std::array::from_fn(|i| {
                screens[i].film(Array2::from_elem((1600, 1600), tones[i]).view()).unwrap()
            });
            let primaries = print.primaries();
            let films = Picture::new(1600, 1600, |x, y| {
                primaries[(0..3).map(|i| usize::from(large[i].get(x, y)) << i).sum::<usize>()]
            });
            let printed = films.unwrap().mean().to_lab();
            let off = ciede2000(planned, printed);
            assert!(off <= 0.5, "{tones:?}: ΔE00 {off:.2} between {planned:?} and {printed:?}");
        }
    }
}

#[test]
fn a_proof_is_looked_at_in_codes() {
    // A fine screen of half black, half white is code 188 from afar, since light adds up, not codes (IEC 61966-2-1: 187.52).
    let picture = Picture::new(64, 64, |x, y| Xyz([0.9642, 1.0, 0.8249].map(|w| w * ((x + y) % 2) as f64)));
    let picture = picture.unwrap();
    let mean = Picture::new(1, 1, |_, _| picture.mean()).unwrap();
    assert_eq!(mean.to_srgb::<u8>().unwrap().into_raw_vec_and_offset().0, [188, 188, 188]);
    let codes = picture.to_srgb::<u16>().unwrap();
    assert_eq!(codes.dim(), (64, 64, 3));
    assert_eq!((codes[[0, 0, 0]], codes[[0, 1, 2]]), (0, 65_535));
    assert_eq!(Differences::between(&picture, &picture).unwrap().quantile(1.0), 0.0);
}

#[test]
fn plates_that_do_not_fit_are_refused() {
    let print = print(&Overlap::independent(3).unwrap());
    let (plate, other) = (Array2::<u8>::zeros((4, 5)), Array2::<u8>::zeros((5, 4)));
    assert!(plates::proof(&print, &[plate.view(), plate.view()]).is_err());
    assert!(plates::proof(&print, &[plate.view(), plate.view(), other.view()]).is_err());
    let bare = plates::proof(&print, &[plate.view(), plate.view(), plate.view()]).unwrap();
    assert!(ciede2000(bare.lab(4, 3), print.primaries()[0].to_lab()) < 1e-3);
}

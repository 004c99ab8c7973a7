//! The overlap law against films: flat tints are screened, every combination of inks is counted pixel by pixel, and the
//! colour of what was counted is compared with the colour that the law foretells. One case for each relation of screens.

mod common;

use common::{angle, cells, per_inch};
use dotwright::colour::{Ink, Overlap, Print, Relation, Shelf, Xyz, ciede2000};
use dotwright::film::Rect;
use dotwright::{Curve, Dot, Film, LineCount, Mode, Placed, Screen, screen};
use ndarray::Array2;

/// Side of the films in pixels: 1.4 inches at 720 px/inch.
const SIDE: usize = 1008;

fn shelf() -> Shelf {
    Shelf::read(concat!(env!("CARGO_MANIFEST_DIR"), "/examples/shelf.toml").as_ref()).unwrap()
}

/// A print of the given law on a dark garment, white first and dried, further inks wet on wet.
fn print(law: &Overlap, n: f64) -> Print {
    let shelf = shelf();
    let ink = |name: &str| -> Ink { shelf.ink(name).unwrap().clone() };
    let names = ["base white", "straw", "poppy", "cornflower", "soot black", "chalk white"];
    let garment: Xyz = "#23252b".parse().unwrap();
    let mut request = Print::on(garment).wet(0.85).yule_nielsen(n);
    for (i, name) in names.iter().take(law.plates()).enumerate() {
        request = request.ink(&ink(name));
        if i == 0 {
            request = request.flash();
        }
    }
    request.build(law).unwrap()
}

fn film(screen: &Screen, tone: f64) -> Film {
    screen.film(Array2::from_elem((SIDE, SIDE), (tone * 65_535.0).round() as u16).view()).unwrap()
}

/// The part of the films that each combination of inks covers.
fn counted(films: &[Film]) -> Vec<f64> {
    let mut areas = vec![0.0; 1 << films.len()];
    for y in 0..SIDE {
        let rows: Vec<&[u8]> = films.iter().map(|film| film.view().row(y)).collect();
        for x in 0..SIDE {
            let mask = rows
                .iter()
                .enumerate()
                .fold(0, |mask, (i, row)| mask | usize::from(row[x / 8] >> (7 - x % 8) & 1) << i);
            areas[mask] += 1.0 / (SIDE * SIDE) as f64;
        }
    }
    areas
}

/// Neugebauer's sum over counted areas.
fn colour_of(print: &Print, areas: &[f64]) -> Xyz {
    let n = print.yule_nielsen();
    Xyz([0, 1, 2].map(|i| {
        let sum: f64 =
            areas.iter().zip(print.primaries()).map(|(area, xyz)| area * xyz.0[i].powf(1.0 / n)).sum();
        sum.powf(n)
    }))
}

/// Tints for as many plates: light, middle and dark, alike and unlike, with empty and full ones among them.
fn tints(plates: usize) -> Vec<Vec<f64>> {
    let steps = [0.1, 0.5, 0.37, 0.8, 0.0, 0.63, 0.25, 1.0, 0.5, 0.93, 0.05];
    (0..9)
        .map(|k| (0..plates).map(|plate| steps[(k * 3 + plate * (k % 4 + 1)) % steps.len()]).collect())
        .collect()
}

/// The largest ΔE00 between counted films and law, and the largest error of an area.
fn furthest(law: &Overlap, n: f64, tints: &[Vec<f64>], films: impl Fn(&[f64]) -> Vec<Film>) -> (f64, f64) {
    let print = print(law, n);
    let (mut colour, mut area) = (0.0_f64, 0.0_f64);
    for tint in tints {
        let found = counted(&films(tint));
        let mut expected = vec![0.0; found.len()];
        law.areas(tint, &mut expected).unwrap();
        area = found.iter().zip(&expected).map(|(a, b)| (a - b).abs()).fold(area, f64::max);
        let seen = colour_of(&print, &found).to_lab();
        colour = colour.max(ciede2000(print.colour(tint), seen));
    }
    (colour, area)
}

/// Checks screens against the law that is derived from them.
fn check(name: &str, screens: &[&Screen], groups: &[Relation]) {
    let law = Overlap::of(screens).unwrap();
    assert_eq!(law.groups(), groups, "{name}");
    let films = |tint: &[f64]| screens.iter().zip(tint).map(|(screen, tone)| film(screen, *tone)).collect();
    for n in [1.0, 1.7] {
        let (colour, area) = furthest(&law, n, &tints(screens.len()), films);
        println!("{name}, n {n}: ΔE00 {colour:.3}, areas to {area:.4}");
        assert!(colour < 0.1 && area < 0.002, "{name}: ΔE00 {colour}, area {area}");
    }
}

fn lattice(members: &[(usize, Mode)]) -> Relation {
    Relation::OneLattice(members.to_vec())
}

fn at(degrees: f64, lines: f64) -> Screen {
    cells(per_inch(720.0), lines, degrees, Dot::ellipse(0.4, 0.6).unwrap())
}

#[test]
fn other_angles_are_independent() {
    let alone = [0, 1, 2].map(|plate| lattice(&[(plate, Mode::Normal)]));
    let screens = [at(7.5, 45.0), at(22.5, 45.0), at(52.5, 45.0)];
    check("three angles", &screens.each_ref(), &alone);
    let screens = [at(22.5, 45.0), at(22.5, 55.0)];
    check("two line counts", &screens.each_ref(), &alone[..2]);
}

#[test]
fn three_screens_that_close_are_independent_over_all_registers() {
    // 30° apart at one line count two frequencies add up to a third, so three dots meet everywhere or nowhere, as the films
    // happen to lie (the singular state of I. Amidror, The Theory of the Moiré Phenomenon, 2.9). The product is the mean over
    // how they may lie.
    let screens = [at(22.5, 45.0), at(52.5, 45.0), at(82.5, 45.0)];
    let law = Overlap::of(&screens.each_ref()).unwrap();
    let print = print(&law, 1.0);
    for tint in [[0.5, 0.5, 0.5], [0.3, 0.6, 0.4], [0.7, 0.7, 0.7]] {
        let expected = print.colour(&tint);
        let mut mean = vec![0.0; 8];
        let mut furthest = 0.0_f64;
        let fixed = [0, 1].map(|i| film(&screens[i], tint[i]));
        // One film moved by quarters of the 16 px from dot to dot.
        for shift in (0..16).map(|i| (4 * (i % 4), 4 * (i / 4))) {
            let plate = Array2::from_elem((SIDE, SIDE), (tint[2] * 65_535.0_f64).round() as u16);
            let moved = screens[2].film(Placed::new(plate.view()).at(shift.0, shift.1)).unwrap();
            let areas = counted(&[fixed[0].clone(), fixed[1].clone(), moved]);
            furthest = furthest.max(ciede2000(colour_of(&print, &areas).to_lab(), expected));
            mean.iter_mut().zip(&areas).for_each(|(mean, area)| *mean += area / 16.0);
        }
        let found = ciede2000(colour_of(&print, &mean).to_lab(), expected);
        println!("closing at {tint:?}: ΔE00 {found:.3} over all registers, {furthest:.2} in the worst");
        assert!(found < 0.1 && furthest < 4.0, "{found} {furthest}");
    }
}

#[test]
fn one_lattice_is_nested_or_in_the_gaps() {
    let normal = at(22.5, 45.0);
    let inverted = normal.again(Mode::Inverted, None).unwrap();
    use Mode::{Inverted, Normal};
    check("nested", &[&normal, &normal, &normal], &[lattice(&[(0, Normal), (1, Normal), (2, Normal)])]);
    check("in the gaps", &[&normal, &inverted], &[lattice(&[(0, Normal), (1, Inverted)])]);
    check("both inverted", &[&inverted, &inverted], &[lattice(&[(0, Inverted), (1, Inverted)])]);
    let asked_again = at(22.5, 45.0);
    check("built twice", &[&normal, &asked_again], &[lattice(&[(0, Normal), (1, Normal)])]);
}

#[test]
fn groups_of_one_lattice_are_independent_of_each_other() {
    let (colour, white) = (at(22.5, 45.0), at(61.0, 50.0));
    let black = colour.again(Mode::Inverted, None).unwrap();
    let screens = [&white, &colour, &colour, &colour, &black, &white];
    use Mode::{Inverted, Normal};
    let groups = [
        lattice(&[(0, Normal), (5, Normal)]),
        lattice(&[(1, Normal), (2, Normal), (3, Normal), (4, Inverted)]),
    ];
    check("six plates, two lattices", &screens, &groups);
}

#[test]
fn index_plates_of_one_screen_are_nested_and_others_independent() {
    let (fine, coarse) = (
        Screen::index(per_inch(720.0), 3).build().unwrap(),
        Screen::index(per_inch(720.0), 5).build().unwrap(),
    );
    use Mode::Normal;
    check("index dots, one screen", &[&fine, &fine], &[lattice(&[(0, Normal), (1, Normal)])]);
    let alone = [lattice(&[(0, Normal)]), lattice(&[(1, Normal)])];
    check("index dots, two sizes", &[&fine, &coarse], &alone);
    // Index dots and growing dots on the cells of one lattice rise in orders of their own.
    let lines = LineCount::per_inch(100.0).unwrap();
    let dots = Screen::index_cells(per_inch(720.0), lines, angle(30.0)).build().unwrap();
    let growing = cells(per_inch(720.0), 100.0, 30.0, Dot::Round);
    check("index dots and growing ones", &[&dots, &growing], &alone);
}

#[test]
fn plates_side_by_side_add_up() {
    // Disjoint by construction: each plate takes the dots of a range of one order.
    let screen = Screen::index(per_inch(720.0), 3).build().unwrap();
    let law = Overlap::side_by_side(4).unwrap();
    let films = |tint: &[f64]| {
        let mut sum = 0.0;
        let mut films = Vec::new();
        for tone in tint {
            let before = film(&screen, sum);
            sum += tone;
            films.push(film(&screen, sum).xor(&before).unwrap());
        }
        films
    };
    let tints: Vec<Vec<f64>> = tints(4)
        .into_iter()
        .map(|tint| {
            let sum: f64 = tint.iter().sum::<f64>().max(1.0);
            tint.iter().map(|tone| tone / sum).collect()
        })
        .collect();
    for n in [1.0, 1.7] {
        let (colour, area) = furthest(&law, n, &tints, films);
        println!("side by side, n {n}: ΔE00 {colour:.3}, areas to {area:.4}");
        assert!(colour < 0.1 && area < 0.002);
    }
}

#[test]
fn coverage_is_that_of_the_film_whatever_the_curve() {
    let curve = Curve::through(&[(0.5, 0.3), (1.0, 0.95)]).unwrap();
    let straight = at(22.5, 45.0);
    let screens = [
        straight.again(Mode::Normal, Some(&curve)).unwrap(),
        straight.again(Mode::Inverted, Some(&curve)).unwrap(),
    ];
    let law = Overlap::of(&screens.each_ref()).unwrap();
    assert_eq!(law.groups().len(), 1);
    let print = print(&law, 1.0);
    for tones in [[0.4, 0.7], [0.9, 0.6], [1.0, 1.0]] {
        let found = counted(&[0, 1].map(|i| film(&screens[i], tones[i])));
        let expected = print.colour(&tones.map(|tone| curve.eval(tone)));
        assert!(ciede2000(colour_of(&print, &found).to_lab(), expected) < 0.5);
    }
}

#[test]
fn other_dots_on_one_lattice_are_taken_as_nested() {
    // Not the same thresholds, but the same places: the law is an approximation there, better by far than a product.
    let dots = [Dot::Round, Dot::Euclidean, Dot::ellipse(0.4, 0.6).unwrap(), Dot::Diamond];
    let screens: Vec<Screen> = dots.into_iter().map(|dot| cells(per_inch(720.0), 45.0, 22.5, dot)).collect();
    let held = Screen::cells(per_inch(720.0), LineCount::per_inch(45.0).unwrap(), angle(22.5), Dot::Round);
    let smallest = dotwright::Length::um(120.0).unwrap();
    let held = held.smallest(smallest, smallest).build().unwrap();
    let straight =
        Screen::cells(per_inch(720.0), LineCount::per_inch(45.0).unwrap(), angle(22.5), Dot::Round);
    let straight = straight.growth(screen::Growth::Straight).build().unwrap();
    let others: Vec<&Screen> = screens.iter().chain([&held, &straight]).collect();
    for pair in others.iter().skip(1).map(|other| [others[0], *other]) {
        let law = Overlap::of(&pair).unwrap();
        assert_eq!(law.groups().len(), 1);
        let films = |tint: &[f64]| vec![film(pair[0], tint[0]), film(pair[1], tint[1])];
        let (colour, area) = furthest(&law, 1.0, &tints(2), films);
        let (product, _) = furthest(&Overlap::independent(2).unwrap(), 1.0, &tints(2), films);
        println!("other dots: ΔE00 {colour:.2}, areas to {area:.3}; as a product {product:.2}");
        assert!(colour < 0.6 * product, "{colour} {product}");
    }
}

#[test]
fn a_product_is_far_off_on_one_lattice() {
    let normal = at(22.5, 45.0);
    let inverted = normal.again(Mode::Inverted, None).unwrap();
    let films = |tint: &[f64]| vec![film(&normal, tint[0]), film(&inverted, tint[1])];
    let (colour, _) = furthest(&Overlap::independent(2).unwrap(), 1.0, &[vec![0.5, 0.5]], films);
    println!("a product for plates in each other's gaps: ΔE00 {colour:.1}");
    assert!(colour > 5.0);
    // A whole number of bricks would be exact; a film of any size is nearly so.
    let film = film(&normal, 0.5);
    assert!(
        (film.view().coverage_of(Rect { x: 0, y: 0, width: SIDE, height: SIDE }).unwrap() - 0.5).abs()
            < 0.003
    );
}

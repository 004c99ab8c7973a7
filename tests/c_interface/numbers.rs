//! Numbers of random wedges, meshes, beats and checks, told by a C program and by the Rust library.

use std::fmt::Write as _;
use std::fs;

use dotwright::press::check::{About, Planned, Weight, check};
use dotwright::press::moire::{Look, beats, closure};
use dotwright::press::register::slips;
use dotwright::press::remedy::{Change, Play, remedies};
use dotwright::press::{Mesh, Source, Structure};
use dotwright::tone::density::YuleNielsen;
use dotwright::tone::readings::{Direction, Form, Readings, Scale};
use dotwright::{Angle, Curve, Dot, Length, LineCount, Mode, Resolution, Screen};

use crate::dice::Dice;
use crate::tools::*;

/// What is asked of the C program, and what the Rust library tells: a line for each number or text.
#[derive(Default)]
struct Asked {
    words: String,
    told: Vec<String>,
}

impl Asked {
    fn ask(&mut self, numbers: &[f64]) {
        for number in numbers {
            write!(self.words, " {number}").unwrap();
        }
        self.words.push('\n');
    }

    fn tell(&mut self, numbers: impl IntoIterator<Item = f64>) {
        self.told.extend(numbers.into_iter().map(|number| number.to_string()));
    }

    fn say(&mut self, text: &str) {
        self.told.push(text.to_owned());
    }
}

/// Equal as numbers, to the last bit, or as texts.
fn equal(c: &str, rust: &str) -> bool {
    match (c.parse::<f64>(), rust.parse::<f64>()) {
        (Ok(c), Ok(rust)) => c == rust || (c.is_nan() && rust.is_nan()),
        _ => c == rust,
    }
}

fn compare(asked: &Asked, source: &str) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("numbers.txt");
    fs::write(&path, &asked.words).unwrap();
    every_way(source, &[path.to_str().unwrap()], |_, told| {
        let lines: Vec<&str> = told.lines().collect();
        for (at, (c, rust)) in lines.iter().zip(&asked.told).enumerate() {
            assert!(equal(c, rust), "line {at}: \"{c}\" is not \"{rust}\"");
        }
        assert_eq!(lines.len(), asked.told.len());
    });
}

/// A wedge of any scale and form, noisy, now and then one that must be refused.
fn wedge(dice: &mut Dice, asked: &mut Asked) {
    let kind = dice.below(4);
    let scale = [Scale::Density, Scale::Reflectance, Scale::Xyz, Scale::Lab][kind];
    let spot = kind >= 2 && dice.below(3) == 0;
    let n = if spot { 0.0 } else { dice.pick(&[1.0, 1.0, 1.7, 2.0]) };
    let values = if kind < 2 { 1 + dice.below(4) } else { 3 };
    let channel = if dice.below(3) == 0 { dice.below(values) as f64 } else { -1.0 };
    let noise = dice.pick(&[0.0, 0.0, 0.005, 0.02]);
    let middle = dice.pick(&[0.0, 0.0, 0.45]);
    let white = dice.pick(&[[96.42, 100.0, 82.49], [95.0, 100.0, 108.9]]);

    let form = if spot { Form::Spot } else { Form::Channel(YuleNielsen::new(n).unwrap()) };
    let mut readings = Readings::new(scale).form(form).unwrap().white(white).unwrap();
    readings = if channel >= 0.0 { readings.channel(channel as usize) } else { readings };
    readings = if noise > 0.0 { readings.noise(noise).unwrap() } else { readings };
    if middle > 0.0 {
        readings = readings.asked_of(&Curve::through(&[(0.5, middle), (1.0, 1.0)]).unwrap());
    }
    // Ground and solid of each value, the lighter first or last, and how rough the readings are.
    let (low, high) = [(0.05, 1.6), (0.04, 0.9), (3.0, 90.0), (20.0, 95.0)][kind];
    let ends: Vec<[f64; 2]> = (0..values)
        .map(|value| {
            let (low, high) = if kind == 3 && value > 0 { (-40.0, 40.0) } else { (low, high) };
            let span = (high - low) * (0.4 + 0.6 * dice.part());
            if dice.below(2) == 0 { [low, low + span] } else { [low + span, low] }
        })
        .collect();
    let rough = dice.pick(&[0.0, 0.002, 0.01, 0.05, 0.3]);
    let (tints, repeats) = (3 + dice.below(12), 1 + dice.below(3));
    asked.words.push_str("wedge");
    asked.ask(&[kind as f64, n, channel, noise, middle, white[0], white[1], white[2]]);
    asked.ask(&[((tints + 1) * repeats) as f64, values as f64]);
    for _ in 0..repeats {
        for tint in 0..=tints {
            let film = tint as f64 / tints as f64;
            let row: Vec<f64> = ends
                .iter()
                .enumerate()
                .map(|(value, [ground, solid])| {
                    let part = film + 0.6 * film * (1.0 - film) + rough * (dice.part() - 0.5);
                    let number = (1e4 * (ground + part * (solid - ground))).round() / 1e4;
                    // Light is never below none; densities, a* and b* may be.
                    if kind == 0 || (kind == 3 && value > 0) { number } else { number.max(0.0) }
                })
                .collect();
            asked.ask(&[&[film], &row[..]].concat());
            readings.add(film, &row).unwrap();
        }
    }
    match readings.measure() {
        Err(why) => asked.say(&why.to_string()),
        Ok(told) => {
            asked.tell([told.patches.len() as f64, told.channel.map_or(-1.0, |channel| channel as f64)]);
            asked.tell([told.contrast, told.noise, f64::from(u8::from(told.noise_known))]);
            asked.tell([f64::from(u8::from(told.direction == Direction::Lighter))]);
            asked.tell([told.rms_residual, told.worst_residual]);
            for (i, patch) in told.patches.iter().enumerate() {
                asked.tell([patch.film, patch.printed, patch.repeats as f64]);
                asked.tell([patch.spread.unwrap_or(f64::NAN), patch.residual]);
                asked.tell([told.curve.eval((i + 1) as f64 / 40.0)]);
            }
        }
    }
}

#[test]
fn wedges_through_c_are_those_of_rust() {
    let (mut dice, mut asked) = (Dice(7), Asked::default());
    for _ in 0..150 {
        wedge(&mut dice, &mut asked);
    }
    let refused = asked.told.iter().filter(|line| line.starts_with("wedge")).count();
    assert!((5..75).contains(&refused), "{refused} of 150 wedges are refused");
    compare(&asked, "tests/c/numbers.c");
}

/// A mesh, by inch or by cm, with or without its fabric.
fn mesh(dice: &mut Dice, asked: &mut Asked) -> Mesh {
    let threads = 80.0 + 250.0 * dice.part();
    let per_inch = dice.below(2) == 0;
    let thread = (1e3 * 25_400.0 / threads * (0.3 + 0.3 * dice.part())).round() / 1e3;
    let degrees = dice.pick(&[0.0, 22.5, -7.5, 0.0]);
    let fabric = dice.pick(&[0.0, 1.6 * thread]);
    let per_cm = threads / 2.0;
    let angle = Angle::degrees(degrees).unwrap();
    let um = |um| Length::um(um).unwrap();
    let mesh = if per_inch {
        asked.ask(&[threads, 0.0, thread, degrees, fabric]);
        Mesh::per_inch(threads, um(thread), angle)
    } else {
        asked.ask(&[0.0, per_cm, thread, degrees, fabric]);
        Mesh::per_cm(per_cm, um(thread), angle)
    };
    if fabric > 0.0 { mesh.unwrap().fabric(um(fabric)).unwrap() } else { mesh.unwrap() }
}

fn structure(dice: &mut Dice, asked: &mut Asked) -> Structure {
    let (kind, lines, degrees) = (
        dice.below(2),
        dice.pick(&[45.0, 55.0, 58.5, 65.0]),
        dice.pick(&[0.0, 15.0, 22.5, 45.0, 75.0, -82.5]),
    );
    asked.ask(&[kind as f64, lines, degrees]);
    let (lines, angle) = (LineCount::per_inch(lines).unwrap(), Angle::degrees(degrees).unwrap());
    if kind == 0 { Structure::dots(lines, angle) } else { Structure::lines(lines, angle) }
}

fn mm(period: Option<Length>) -> f64 {
    period.map_or(f64::INFINITY, Length::to_mm)
}

fn moire(dice: &mut Dice, asked: &mut Asked) {
    asked.words.push_str("beats");
    let (first, second) = (structure(dice, asked), structure(dice, asked));
    let woven = Structure::mesh(&mesh(dice, asked));
    let orders = [1 + dice.below(8) as u8, 1 + dice.below(8) as u8];
    let (amplitude, periods) = (dice.pick(&[0.002, 0.01, 0.03]), dice.pick(&[0.0, 1.5, 3.0]));
    let (degrees, relative) = (dice.pick(&[0.0, 1.0]), dice.pick(&[0.0, 0.02]));
    asked.ask(&[orders[0].into(), orders[1].into(), amplitude, periods, degrees, relative]);
    let look = Look::new(orders, amplitude, periods).unwrap();
    let play = Play::new(degrees, relative).unwrap();
    for (other, look) in [(&second, look), (&woven, Look::between(&first, &woven))] {
        let found = beats(&first, other, &look);
        asked.tell([found.len() as f64]);
        for beat in found {
            asked.tell(beat.orders.concat());
            asked.tell([beat.per_inch, beat.degrees, mm(beat.period), beat.amplitude]);
        }
        let found = remedies(&first, other, &look, play);
        let none = Change { turn: f64::NAN, lines: f64::NAN };
        let both = found.both.unwrap_or(none);
        asked.tell([
            found.turn.unwrap_or(none).turn,
            found.lines.unwrap_or(none).lines,
            both.turn,
            both.lines,
        ]);
    }
    let found = closure(&first, &second, &woven);
    asked.tell(found.orders.concat());
    asked.tell([found.per_inch, mm(found.period)]);
}

#[test]
fn meshes_and_beats_through_c_are_those_of_rust() {
    let (mut dice, mut asked) = (Dice(8), Asked::default());
    for _ in 0..40 {
        asked.words.push_str("mesh");
        let mesh = mesh(&mut dice, &mut asked);
        let lines = 30.0 + 40.0 * dice.part();
        asked.ask(&[lines]);
        asked.tell([
            mesh.pitch_um(),
            mesh.opening_um(),
            mesh.open_area(),
            mesh.fabric_um(),
            mesh.ink_volume(),
        ]);
        asked.tell(mesh.smallest_dots().map(|dot| dot.value));
        asked.tell(mesh.line_counts().unwrap().map(|lines| lines.value.to_per_inch()));
        let held = Mesh::tints_held(mesh.smallest_dot_um(), LineCount::per_inch(lines).unwrap());
        asked.tell(held.unwrap_or([1.0, 0.0]));
    }
    for _ in 0..12 {
        moire(&mut dice, &mut asked);
    }
    compare(&asked, "tests/c/numbers.c");
}

#[test]
fn checks_through_c_are_those_of_rust() {
    let (mut dice, mut asked) = (Dice(9), Asked::default());
    for _ in 0..4 {
        asked.words.push_str("check");
        let per_inch = dice.pick(&[600.0, 720.0]);
        asked.ask(&[per_inch]);
        let (job, own) = (mesh(&mut dice, &mut asked), mesh(&mut dice, &mut asked));
        let resolution = Resolution::per_inch(per_inch).unwrap();
        let count = 2 + dice.below(3);
        asked.ask(&[count as f64]);
        let (mut films, mut before): (Vec<Planned>, Option<(Screen, Option<Dot>)>) = (Vec::new(), None);
        for i in 0..count {
            let lines = dice.pick(&[45.0, 55.0, 65.0]);
            let degrees = dice.pick(&[15.0, 22.5, 45.0, 75.0]);
            let kind = dice.below(7);
            let inverted = i > 0
                && dice.below(2) == 0
                && before
                    .as_ref()
                    .is_some_and(|(screen, _)| screen.lattice().is_some() && screen.mode() == Mode::Normal);
            let on_own = dice.below(3) == 0;
            write!(asked.words, "film{i}").unwrap();
            asked.ask(&[
                lines,
                degrees,
                kind as f64,
                f64::from(u8::from(inverted)),
                f64::from(u8::from(on_own)),
            ]);
            let (screen, dot) = match before.take().filter(|_| inverted) {
                Some((normal, dot)) => {
                    let screen = normal.again(Mode::Inverted, None).unwrap();
                    let slip = slips(&normal, &screen, &[[0.4, 0.6]], &[Length::um(150.0).unwrap()]).unwrap();
                    asked.tell([slip[0].overlap, slip[0].worst_overlap, slip[0].gap, slip[0].worst_gap]);
                    (screen, dot)
                }
                None => {
                    let ellipse = Dot::ellipse(0.4, 0.6).unwrap();
                    let dots = [Dot::Round, Dot::Euclidean, ellipse, Dot::Line, Dot::Diamond, Dot::Square];
                    let dot = dots.get(kind).cloned();
                    let (lines, angle) =
                        (LineCount::per_inch(lines).unwrap(), Angle::degrees(degrees).unwrap());
                    let request = match &dot {
                        Some(dot) => Screen::cells(resolution, lines, angle, dot.clone()),
                        None => Screen::index(resolution, 4),
                    };
                    (request.build().unwrap(), dot)
                }
            };
            let film = Planned::new(&format!("film{i}"), &screen, dot.as_ref(), resolution).unwrap();
            films.push(if on_own { film.on(&own) } else { film });
            before = Some((screen, dot));
        }
        for finding in check(&films, &job).unwrap() {
            asked.tell([number_of(finding.about), finding.weight as u8 as f64]);
            let kind = match finding.source {
                Source::CommonPractice => 0.0,
                Source::Published(_) => 1.0,
                _ => 2.0,
            };
            assert!(finding.weight <= Weight::Wrong);
            asked.tell([kind, finding.number]);
            finding.films.iter().for_each(|name| asked.say(name));
            for text in [finding.unit, &finding.text, finding.rule, &finding.source.to_string()] {
                asked.say(text);
            }
        }
    }
    compare(&asked, "tests/c/numbers.c");
}

/// The number that C knows it by.
fn number_of(about: About) -> f64 {
    let all = [
        About::ThreadsPerLine,
        About::LineCount,
        About::Levels,
        About::LightestTint,
        About::IndexDot,
        About::AngleToMesh,
        About::MeshMoire,
        About::ScreenMoire,
        About::Closure,
        About::OneLattice,
        About::MeshedDot,
        About::Register,
    ];
    all.iter().position(|a| *a == about).unwrap() as f64
}

//! Any request is refused in words or built to its promises: angle and line count within tolerance, tone exact, growth, complement.

#![no_main]

use arbitrary::Arbitrary;
use dotwright::{Angle, Curve, Dot, LineCount, Mode, Resolution, Screen, Tolerance};
use libfuzzer_sys::fuzz_target;

#[derive(Arbitrary, Debug)]
struct Ask {
    resolution: (u16, u16),
    square: bool,
    lines: u16,
    degrees: i16,
    tolerance: (u8, u8),
    limit: u16,
    dot: u8,
    links: (u8, u8),
    points: Vec<(u8, u8)>,
    inverted: bool,
    /// A number of any kind in place of one of the others.
    wild: Option<(u8, f64)>,
}

impl Ask {
    /// The request's numbers: mostly in range, now and then anything at all.
    fn number(&self, which: u8, tame: f64) -> f64 {
        match self.wild {
            Some((place, wild)) if place % 9 == which => wild,
            _ => tame,
        }
    }
}

fn build(ask: &Ask) -> dotwright::Result<(Screen, f64, f64)> {
    let power = |n: u8| 10_f64.powf(f64::from(n) / -40.0);
    let relative = ask.number(0, 0.5 * power(ask.tolerance.1));
    let tolerance = Tolerance::new(ask.number(1, 45.0 * power(ask.tolerance.0)), relative)?;
    let x = ask.number(2, 20.0 + f64::from(ask.resolution.0) / 16.0);
    let y = ask.number(3, if ask.square { x } else { 20.0 + f64::from(ask.resolution.1) / 16.0 });
    let resolution = Resolution::per_inch_xy(x, y)?;
    let link = |n: u8| f64::from(n) / 255.0 * 0.3;
    let dot = match ask.dot % 6 {
        0 => Dot::Round,
        1 => Dot::Euclidean,
        2 => Dot::ellipse(ask.number(4, 0.2 + link(ask.links.0)), ask.number(5, 0.5 + link(ask.links.1)))?,
        3 => Dot::Line,
        4 => Dot::Diamond,
        _ => Dot::Square,
    };
    let lines = LineCount::per_inch(ask.number(6, 1.0 + f64::from(ask.lines) / 256.0))?;
    let angle = Angle::degrees(ask.number(7, f64::from(ask.degrees) / 90.0))?;
    let mut request =
        Screen::cells(resolution, lines, angle, dot).tolerance(tolerance).limit(ask.limit.into());
    if !ask.points.is_empty() {
        // Running sums: inputs rise, outputs do not fall.
        let (mut x, mut y) = (0.0, 0.0);
        let mut points: Vec<(f64, f64)> = Vec::new();
        for &(dx, dy) in &ask.points {
            x += f64::from(dx) + 1.0;
            y += f64::from(dy);
            points.push((x, y));
        }
        let (run, rise) = (x, y + f64::from(ask.links.0));
        let points: Vec<_> =
            points.iter().map(|p| (p.0 / run, if rise > 0.0 { p.1 / rise } else { 0.0 })).collect();
        request = request.curve(&Curve::through(&points)?);
    }
    if ask.inverted {
        request = request.mode(Mode::Inverted);
    }
    Ok((request.build()?, lines.to_per_inch(), relative))
}

fuzz_target!(|ask: Ask| {
    let Ok((screen, lines, relative)) = build(&ask) else { return };
    let lattice = screen.lattice().expect("a lattice of cells");
    let n = screen.brick().len();
    assert!(n <= usize::from(ask.limit));
    for axis in [lattice.first_axis(), lattice.second_axis()] {
        assert!((axis.lines / lines - 1.0).abs() <= relative * (1.0 + 1e-9));
    }
    // Tone 1 and everything above, by the thresholds themselves.
    let thresholds = screen.thresholds_u8();
    for k in 0..=255_u8 {
        let ink = thresholds.iter().filter(|&&t| k > t).count() as f64;
        let tone = f64::from(k) / 255.0;
        let wanted = screen.curve().map_or(tone, |c| c.eval(tone)) * n as f64;
        assert!((ink - wanted).abs() <= 0.5 + 1e-6 * n as f64, "{ink} for {wanted} at {k}");
    }
    let other = if ask.inverted { Mode::Normal } else { Mode::Inverted };
    let (plain, twin) = (screen.again(screen.mode(), None).unwrap(), screen.again(other, None).unwrap());
    let (a, b) = (plain.thresholds_u16(), twin.thresholds_u16());
    for (&a, &b) in a.iter().zip(&b) {
        // Ink at tone k in one is bare at solid − k in the other.
        for k in [0, 1, 257, 32_767, 65_534, 65_535, a, a.saturating_add(1)] {
            assert_eq!(k > a, 65_535 - k <= b);
        }
    }
});

//! What small turn or change of line count removes a moiré, with something to spare.
//!
//! A mesh is stretched by hand: its angle on the print is known to a degree and its count to some two per cent. So a remedy counts
//! only if no beat that matters is too long anywhere within that play: for a beat f = k·a + m·b the least |f| while m·b runs
//! through the part of a ring that the play spans, which is the distance of −k·a from it and is computed, not sampled.
//! Candidates are tried from the smallest change upwards, turns in steps of ¼° up to 45°, line counts in steps of ¼ % up to
//! ±20 %, with what a built lattice may be off by on top; where neither alone helps, both together in steps of ½. Rejected: minimising one beat, which moves the moiré to another.

use crate::error::{Error, Result};
use crate::press::Structure;
use crate::press::moire::{Look, pairs};

/// What a built lattice may be off by, in parts of its frequency: 0.01° and 0.02 %.
const BUILT: f64 = 3e-4;

/// How far the second structure may be from what was said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Play {
    degrees: f64,
    relative: f64,
}

impl Play {
    /// So many degrees (0…10) and such a part of the count (0…0.2) either way.
    pub fn new(degrees: f64, relative: f64) -> Result<Self> {
        if !(0.0..=10.0).contains(&degrees) {
            return Err(Error::value("play in degrees", degrees, "0 to 10"));
        }
        if !(0.0..=0.2).contains(&relative) {
            return Err(Error::value("play of the count", relative, "0 to 0.2, in parts of 1"));
        }
        Ok(Self { degrees, relative })
    }

    /// A stretched mesh: ±1° and ±2 %.
    pub const MESH: Self = Self { degrees: 1.0, relative: 0.02 };

    /// None: two films of one printer.
    pub const NONE: Self = Self { degrees: 0.0, relative: 0.0 };
}

/// A change of the first structure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Degrees to turn it, counter-clockwise.
    pub turn: f64,
    /// What to multiply its line count by.
    pub lines: f64,
}

/// The smallest changes that leave no beat that matters, with the play to spare.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Remedies {
    /// By turning alone; (0, 1) where nothing need change.
    pub turn: Option<Change>,
    /// By another line count alone.
    pub lines: Option<Change>,
    /// By both, where neither alone helps.
    pub both: Option<Change>,
}

/// Looks for the smallest changes of `a`. Cost: up to a few tenths of a second where nothing helps.
pub fn remedies(a: &Structure, b: &Structure, look: &Look, play: Play) -> Remedies {
    let seen: Vec<[[f64; 2]; 2]> = pairs(a, b, look).map(|(a, b)| [a.frequency, b.frequency]).collect();
    let clear = |change: Change| {
        let limit = look.too_long(a.per_inch() * change.lines, b.per_inch());
        let off = if (change.turn, change.lines) == (0.0, 1.0) { 0.0 } else { BUILT };
        let (sin, cos) = libm::sincos(change.turn.to_radians());
        let (cos, sin) = (cos * change.lines, sin * change.lines);
        seen.iter().all(|&[[x, y], other]| {
            let opposite = [-(x * cos - y * sin), -(x * sin + y * cos)];
            distance(opposite, other, play)
                >= limit * (1.0 + off) + off * libm::hypot(opposite[0], opposite[1])
        })
    };
    let still = Change { turn: 0.0, lines: 1.0 };
    let signed = |count: i32| (0..=count).flat_map(|i| [i, -i]).skip(1);
    let turn = signed(180).map(|i| Change { turn: 0.25 * f64::from(i), ..still }).find(|c| clear(*c));
    let lines =
        signed(80).map(|i| Change { lines: 1.0 + 0.0025 * f64::from(i), ..still }).find(|c| clear(*c));
    let both = || {
        let mut changes: Vec<(i32, Change)> = signed(60)
            .flat_map(|t| signed(40).map(move |l| (t, l)))
            .map(|(t, l)| {
                (t.abs() + l.abs(), Change { turn: 0.5 * f64::from(t), lines: 1.0 + 0.005 * f64::from(l) })
            })
            .collect();
        changes.sort_by_key(|(cost, _)| *cost);
        changes.into_iter().map(|(_, change)| change).find(|c| clear(*c))
    };
    Remedies { turn, lines, both: if turn.is_none() && lines.is_none() { both() } else { None } }
}

/// Distance of a point from the part of a ring that `centre` runs through within the play.
fn distance(point: [f64; 2], centre: [f64; 2], play: Play) -> f64 {
    let radius = libm::hypot(centre[0], centre[1]);
    let (inner, outer) = (radius * (1.0 - play.relative), radius * (1.0 + play.relative));
    // The point in a frame in which the centre lies along x.
    let along = (point[0] * centre[0] + point[1] * centre[1]) / radius;
    let across = (centre[0] * point[1] - centre[1] * point[0]) / radius;
    let play_angle = play.degrees.to_radians();
    let angle = libm::atan2(across, along).abs();
    if angle <= play_angle {
        let r = libm::hypot(along, across);
        return (r - r.clamp(inner, outer)).abs();
    }
    // Beyond the ring's end: the nearest place on its edge, which is straight.
    let (sin, cos) = libm::sincos(play_angle);
    let on_edge = (along * cos + across.abs() * sin).clamp(inner, outer);
    libm::hypot(along - on_edge * cos, across.abs() - on_edge * sin)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::press::Mesh;
    use crate::press::moire::beats;
    use crate::units::{Angle, Length, LineCount};

    fn dots(lines: f64, degrees: f64) -> Structure {
        Structure::dots(LineCount::per_inch(lines).unwrap(), Angle::degrees(degrees).unwrap())
    }

    fn mesh(per_inch: f64, degrees: f64) -> Structure {
        let angle = Angle::degrees(degrees).unwrap();
        Structure::mesh(&Mesh::per_inch(per_inch, Length::um(40.0).unwrap(), angle).unwrap())
    }

    #[test]
    fn a_remedy_holds_everywhere_within_the_play() {
        let look = Look::mesh();
        let mut helped = 0;
        for (threads, lines, degrees) in
            [(230.0, 55.0, 15.0), (230.0, 55.0, 0.0), (230.0, 65.0, 30.0), (305.0, 65.0, 0.0)]
        {
            assert!(!beats(&dots(lines, degrees), &mesh(threads, 0.0), &look).is_empty());
            let found = remedies(&dots(lines, degrees), &mesh(threads, 0.0), &look, Play::MESH);
            for change in [found.turn, found.lines, found.both].into_iter().flatten() {
                assert!(change.turn != 0.0 || change.lines != 1.0);
                let moved = dots(lines * change.lines, degrees + change.turn);
                for turn in [-1.0, -0.4, 0.0, 0.7, 1.0] {
                    for count in [0.98, 0.993, 1.0, 1.01, 1.02] {
                        // The thread is as thick in parts of the pitch, so that amplitudes stay.
                        let thread = Length::um(40.0 / count).unwrap();
                        let angle = Angle::degrees(turn).unwrap();
                        let mesh = Structure::mesh(&Mesh::per_inch(threads * count, thread, angle).unwrap());
                        // A sampled play meets the computed bound but for rounding.
                        let limit = look.too_long(moved.per_inch(), mesh.per_inch());
                        let left = beats(&moved, &mesh, &look);
                        assert!(
                            left.iter().all(|b| b.per_inch > limit * (1.0 - 1e-9)),
                            "{change:?} {left:?}"
                        );
                    }
                }
                helped += 1;
            }
        }
        assert!(helped >= 4, "{helped}");
    }

    #[test]
    fn nothing_to_remedy_changes_nothing() {
        let (a, b) = (dots(45.0, 22.5), dots(45.0, 52.5));
        let look = Look::new([1, 1], 0.005, 2.0).unwrap();
        let found = remedies(&a, &b, &look, Play::NONE);
        assert_eq!(found.turn, Some(Change { turn: 0.0, lines: 1.0 }));
        // Equal screens must part by 2 asin(1/4) = 28.955° to beat at two periods: the next quarter degree.
        let found = remedies(&a, &dots(45.0, 23.5), &look, Play::NONE);
        assert_eq!(found.turn.unwrap().turn.abs(), 28.0);
        for (degrees, relative) in [(-1.0, 0.0), (11.0, 0.0), (f64::NAN, 0.0), (1.0, 0.3), (1.0, f64::NAN)] {
            assert!(Play::new(degrees, relative).is_err(), "{degrees} {relative}");
        }
    }

    #[test]
    fn distances_are_those_of_a_fine_sampling() {
        let play = Play::new(3.0, 0.1).unwrap();
        let centre = [60.0, 25.0];
        for point in [
            [60.0, 25.0],
            [70.0, 29.0],
            [10.0, 5.0],
            [50.0, 40.0],
            [-60.0, -25.0],
            [58.0, 27.5],
            [66.0, 21.0],
        ] {
            let mut least = f64::INFINITY;
            for i in -200..=200 {
                for j in -200..=200 {
                    let turn = (3.0 * f64::from(i) / 200.0f64).to_radians();
                    let grow = 1.0 + 0.1 * f64::from(j) / 200.0;
                    let x = grow * (centre[0] * turn.cos() - centre[1] * turn.sin());
                    let y = grow * (centre[0] * turn.sin() + centre[1] * turn.cos());
                    least = least.min((x - point[0]).hypot(y - point[1]));
                }
            }
            assert!((distance(point, centre, play) - least).abs() < 0.05, "{point:?}: {least}");
        }
    }
}

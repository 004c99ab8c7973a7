//! Mesh: threads per length and thread thickness to what a stencil on it can hold.
//!
//! With n threads per length and threads of thickness d, a plain-woven mesh has pitch p = 1/n, opening w = p − d, open area
//! (w n)², and holds a theoretical ink volume of open area × fabric thickness (the formulas of mesh makers' tables). Fabric is
//! thinner than two threads, since they bend round each other and are flattened: 1.5 d where it was not measured (makers' rows
//! of 90 threads/cm give 1.48 d to 1.56 d). Rejected: 2 d, which overstates the volume by a third.
//!
//! What dot a mesh holds and which line counts suit it are trade rules, not physics; each is returned with its rule.

use crate::error::{Error, Result};
use crate::press::Source;
use crate::units::{Angle, Length, LineCount};

/// Fabric thickness in threads, where it was not measured.
const FABRIC: f64 = 1.5;

/// Threads per cm.
const COUNTS: std::ops::RangeInclusive<f64> = 1.0..=1000.0;

/// A plain-woven mesh. Guarantees: 1…1000 threads/cm, threads thinner than their pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mesh {
    per_cm: f64,
    thread_um: f64,
    angle: Angle,
    fabric_um: Option<f64>,
}

/// A size or a line count, and the rule that gives it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ruled<T> {
    /// The value.
    pub value: T,
    /// The rule in words.
    pub rule: &'static str,
    /// Where the rule comes from.
    pub source: Source,
}

impl Mesh {
    /// `threads` per cm (1…1000), each `thread` thick (thinner than the pitch), at an angle as seen on the print: degrees
    /// counter-clockwise from the print's x axis to a thread. 0 is a straight mesh.
    ///
    /// Mesh is woven to metric counts: 305 per inch is 120 per cm.
    pub fn per_cm(threads: f64, thread: Length, angle: Angle) -> Result<Self> {
        if !COUNTS.contains(&threads) {
            return Err(Error::value("mesh count", threads, "1 to 1000 threads/cm (2.54 to 2540/inch)"));
        }
        let pitch = 10_000.0 / threads;
        let thread_um = thread.to_um();
        if !(thread_um > 0.0 && thread_um < pitch) {
            return Err(Error::value(
                "mesh thread",
                thread,
                format!("above 0 and below the pitch, {pitch:.1} µm"),
            ));
        }
        Ok(Self { per_cm: threads, thread_um, angle, fabric_um: None })
    }

    /// The same by threads per inch.
    pub fn per_inch(threads: f64, thread: Length, angle: Angle) -> Result<Self> {
        Self::per_cm(threads / 2.54, thread, angle)
    }

    /// With the fabric's thickness as measured or as its maker states it: one to three threads.
    pub fn fabric(self, thickness: Length) -> Result<Self> {
        let um = thickness.to_um();
        if (self.thread_um..=3.0 * self.thread_um).contains(&um) {
            Ok(Self { fabric_um: Some(um), ..self })
        } else {
            Err(Error::value(
                "fabric thickness",
                thickness,
                format!("one to three threads of {} µm", self.thread_um),
            ))
        }
    }

    /// Threads per cm.
    pub fn to_per_cm(&self) -> f64 {
        self.per_cm
    }

    /// Threads per inch.
    pub fn to_per_inch(&self) -> f64 {
        self.per_cm * 2.54
    }

    /// Thread thickness in µm.
    pub fn thread_um(&self) -> f64 {
        self.thread_um
    }

    /// The angle as seen on the print.
    pub fn angle(&self) -> Angle {
        self.angle
    }

    /// Pitch p = 1/n in µm.
    pub fn pitch_um(&self) -> f64 {
        10_000.0 / self.per_cm
    }

    /// Opening w = p − d in µm.
    pub fn opening_um(&self) -> f64 {
        self.pitch_um() - self.thread_um
    }

    /// Open area (w n)², 0…1.
    pub fn open_area(&self) -> f64 {
        let open = self.opening_um() / self.pitch_um();
        open * open
    }

    /// Fabric thickness in µm: as given, else 1.5 threads.
    pub fn fabric_um(&self) -> f64 {
        self.fabric_um.unwrap_or(FABRIC * self.thread_um)
    }

    /// Theoretical ink volume in cm³/m² (the same number as µm of wet ink): open area × fabric thickness, without emulsion.
    pub fn ink_volume(&self) -> f64 {
        self.open_area() * self.fabric_um()
    }

    /// The smallest dots, in µm across, from what may just print to what holds: the same for a hole, whose stencil must sit on
    /// the threads.
    pub fn smallest_dots(&self) -> [Ruled<f64>; 3] {
        let pitch = self.pitch_um();
        [
            (1.0, "a dot below one opening and one thread can be blocked by a thread altogether"),
            (1.5, "a dot of 1.5 thread pitches rests on two threads mostly"),
            (2.0, "a dot of 2 thread pitches rests on two threads wherever it falls"),
        ]
        .map(|(pitches, rule)| Ruled {
            value: pitches * pitch,
            rule,
            source: Source::CommonPractice,
        })
    }

    /// The dot to reckon with: two pitches, in µm.
    pub fn smallest_dot_um(&self) -> f64 {
        2.0 * self.pitch_um()
    }

    /// The tints at which dots and holes of the given size (µm across, above 0) are reached in cells of a line count: single round
    /// dots of that size cover π/4·(size/period)², and holes the same at the other end. None where no tint holds both.
    pub fn tints_held(size_um: f64, lines: LineCount) -> Option<[f64; 2]> {
        let across = size_um / lines.period().to_um();
        let least = std::f64::consts::FRAC_PI_4 * across * across;
        (least.is_finite() && least <= 0.5).then_some([least, 1.0 - least])
    }

    /// Line counts that suit the mesh, coarse to fine: threads per screen line of 5, 4, 3.5 and 2.5.
    ///
    /// Errors: a count so low that its line count is none.
    pub fn line_counts(&self) -> Result<[Ruled<LineCount>; 4]> {
        let [a, b, c, d] = [
            (5.0, "5 threads a line: textile, the safest"),
            (4.0, "4 threads a line: usual"),
            (3.5, "3.5 threads a line: the finest usually quoted"),
            (2.5, "2.5 threads a line: flat stock, a well-kept press"),
        ]
        .map(|(ratio, rule)| {
            let value = LineCount::per_inch(self.to_per_inch() / ratio)?;
            Ok(Ruled { value, rule, source: Source::CommonPractice })
        });
        Ok([a?, b?, c?, d?])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn mesh(per_cm: f64, thread: f64) -> Mesh {
        Mesh::per_cm(per_cm, Length::um(thread).unwrap(), Angle::default()).unwrap()
    }

    #[test]
    fn openings_and_open_areas_are_those_of_the_formula() {
        // w = 1/n − d and (w n)², computed beside makers' tables: threads/cm, µm, opening µm, open area %.
        for (n, d, opening, open) in [
            (43.0, 80.0, 152.6, 43.0),
            (54.0, 64.0, 121.2, 42.8),
            (77.0, 48.0, 81.9, 39.7),
            (77.0, 55.0, 74.9, 33.2),
            (100.0, 40.0, 60.0, 36.0),
            (120.0, 34.0, 49.3, 35.0),
            (150.0, 31.0, 35.7, 28.6),
            (165.0, 31.0, 29.6, 23.9),
            (305.0 / 2.54, 40.0, 43.3, 27.0),
        ] {
            assert_abs_diff_eq!(mesh(n, d).opening_um(), opening, epsilon = 0.051);
            assert_abs_diff_eq!(100.0 * mesh(n, d).open_area(), open, epsilon = 0.051);
        }
    }

    #[test]
    fn ink_volumes_are_near_a_makers() {
        // A maker's rows for 90 threads/cm (nt-jp.com): thread, opening (unstressed: 2 µm above the formula), open area, fabric
        // thickness, cm³/m². Ours is of stretched cloth, so a little less.
        for (d, opening, open, fabric, volume) in
            [(40.0, 73.0, 42.0, 59.0, 25.0), (48.0, 65.0, 33.0, 72.0, 24.0), (54.0, 59.0, 27.0, 84.0, 23.0)]
        {
            let mesh = mesh(90.0, d);
            assert_abs_diff_eq!(mesh.opening_um(), opening - 1.9, epsilon = 0.1);
            assert_abs_diff_eq!(100.0 * mesh.open_area(), open, epsilon = 1.1);
            let stated = mesh.fabric(Length::um(fabric).unwrap()).unwrap();
            assert_abs_diff_eq!(stated.ink_volume(), volume, epsilon = 0.9);
            assert_abs_diff_eq!(mesh.ink_volume(), stated.ink_volume(), epsilon = 0.9);
        }
    }

    #[test]
    fn trade_rules_say_that_they_are() {
        // 150 threads/cm carry 40 lines/cm at 3.75 and 30 at 5 (common practice).
        let counts = mesh(150.0, 31.0).line_counts().unwrap();
        assert_abs_diff_eq!(counts[0].value.to_per_cm(), 30.0, epsilon = 1e-9);
        assert!(counts.iter().all(|c| c.source == Source::CommonPractice));
        assert!(counts.windows(2).all(|c| c[0].value < c[1].value));
        let dots = mesh(120.0, 34.0).smallest_dots();
        assert_abs_diff_eq!(dots[0].value, 49.333 + 34.0, epsilon = 1e-3);
        assert!(dots[2].source == Source::CommonPractice);
        // 166.7 µm in cells of 461.8 µm (55 lines): π/4·(0.3609)².
        let held = Mesh::tints_held(dots[2].value, LineCount::per_inch(55.0).unwrap()).unwrap();
        assert_abs_diff_eq!(held[0], 0.10229, epsilon = 1e-5);
        assert_abs_diff_eq!(held[1], 0.89771, epsilon = 1e-5);
        assert!(Mesh::tints_held(400.0, LineCount::per_inch(55.0).unwrap()).is_none());
    }

    #[test]
    fn meshes_that_cannot_be_are_refused() {
        let um = |v| Length::um(v).unwrap();
        for (n, d) in
            [(0.5, 40.0), (1001.0, 1.0), (f64::NAN, 40.0), (120.0, 84.0), (120.0, 0.0), (120.0, -3.0)]
        {
            assert!(Mesh::per_cm(n, um(d), Angle::default()).is_err(), "{n} {d}");
        }
        assert!(mesh(120.0, 34.0).fabric(um(20.0)).is_err());
    }
}

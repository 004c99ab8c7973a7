//! How a plate becomes a film: line count, angle, dot, mode, growth, what the mesh holds, and the wedges of printer and press.
//!
//! Plates that ask for one line count, angle and dot share one brick, so that they mesh: it is built once, and an inverted plate's
//! dots stand in the gaps of a normal one's. Where a smallest dot is asked for and both modes share a brick, its stricter end holds.

use crate::error::Result;
use crate::press::Mesh;
use crate::screen::{Growth, Mode, Request, Screen, Shape};
use crate::tone::Curve;
use crate::tone::wedge::{Reading, press_curve};
use crate::units::{Angle, Length, LineCount, Resolution};

/// How one ink's plate is screened.
#[derive(Debug, Clone)]
pub(super) struct Screening {
    pub lines: LineCount,
    pub angle: Angle,
    pub shape: Shape,
    pub mode: Mode,
    pub growth: Growth,
    /// As diameters; 0 for any size.
    pub smallest_dot: Length,
    pub smallest_hole: Length,
    /// Wedge of the press: film to print.
    pub press: Vec<Reading>,
    /// Wedge of the film printer: asked for to film.
    pub printer: Vec<Reading>,
    pub mesh: Mesh,
    /// Whether the mesh was told or is the usual one.
    pub mesh_told: bool,
}

impl Screening {
    /// What must be alike for plates to share a brick. Numbers as written to the last digit.
    pub(super) fn lattice(&self) -> String {
        format!(
            "{} {} {} {:?} {} {}",
            self.lines.to_per_inch(),
            self.angle.to_degrees(),
            self.shape,
            self.growth,
            self.smallest_dot.to_um(),
            self.smallest_hole.to_um()
        )
    }

    /// What to ask of the film so that the print holds the plate's tone; none where there is no wedge.
    pub(super) fn curve(&self) -> Result<Option<Curve>> {
        let read = |wedge: &[Reading]| match wedge {
            [] => Ok(None),
            wedge => press_curve(wedge).map(Some),
        };
        Ok(match (read(&self.press)?, read(&self.printer)?) {
            (None, None) => None,
            (press, printer) => {
                Some(Curve::compensation(&press.unwrap_or_else(Curve::identity), printer.as_ref()))
            }
        })
    }
}

/// The screens of all inks, in their order; for one that cannot be built its error stands at the first ink that asks for it, and
/// nothing at the others that do.
pub(super) fn screens(inks: &[&Screening], resolution: Resolution) -> Vec<Option<Result<Screen>>> {
    let mut built: Vec<(String, Option<Screen>)> = Vec::new();
    let mut screens = Vec::new();
    for ink in inks {
        let key = ink.lattice();
        let known = built.iter().find(|(known, _)| *known == key);
        let base = match known {
            Some((_, None)) => {
                screens.push(None);
                continue;
            }
            Some((_, Some(base))) => Ok(base.clone()),
            None => {
                let both = inks.iter().any(|other| other.mode != ink.mode && other.lattice() == key);
                let base = base(ink, both, resolution);
                built.push((key, base.as_ref().ok().cloned()));
                base
            }
        };
        screens.push(Some(base.and_then(|base| base.again(ink.mode, ink.curve()?.as_ref()))));
    }
    screens
}

fn base(ink: &Screening, both_modes: bool, resolution: Resolution) -> Result<Screen> {
    request(ink, both_modes, resolution).build()
}

/// The request for an ink's screen, without its curve.
pub(super) fn request(ink: &Screening, both_modes: bool, resolution: Resolution) -> Request {
    let mut request = ink.shape.request(resolution, ink.lines, ink.angle).growth(ink.growth);
    let (dot, hole) = (ink.smallest_dot, ink.smallest_hole);
    if dot.to_um() != 0.0 || hole.to_um() != 0.0 {
        request = if both_modes {
            request.smallest_in_both_modes(dot, hole)
        } else {
            request.mode(ink.mode).smallest(dot, hole)
        };
    }
    request
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::colour::{Overlap, Relation};

    fn screening(mode: Mode) -> Screening {
        Screening {
            lines: LineCount::per_inch(45.0).unwrap(),
            angle: Angle::degrees(22.5).unwrap(),
            shape: "euclidean".parse().unwrap(),
            mode,
            growth: Growth::Even,
            smallest_dot: Length::default(),
            smallest_hole: Length::default(),
            press: Vec::new(),
            printer: Vec::new(),
            mesh: Mesh::per_cm(90.0, Length::um(40.0).unwrap(), Angle::default()).unwrap(),
            mesh_told: false,
        }
    }

    #[test]
    fn plates_of_one_request_mesh_and_an_error_is_told_once() {
        let (normal, inverted) = (screening(Mode::Normal), screening(Mode::Inverted));
        let turned = Screening { angle: Angle::degrees(52.5).unwrap(), ..normal.clone() };
        let fine = Screening { lines: LineCount::per_inch(900.0).unwrap(), ..normal.clone() };
        let resolution = Resolution::per_inch(600.0).unwrap();
        let found = screens(&[&normal, &fine, &inverted, &turned, &fine], resolution);
        let good: Vec<&Screen> =
            [0, 2, 3].iter().map(|&i| found[i].as_ref().unwrap().as_ref().unwrap()).collect();
        let law = Overlap::of(&good).unwrap();
        let meshed = Relation::OneLattice(vec![(0, Mode::Normal), (1, Mode::Inverted)]);
        assert_eq!(law.groups(), [meshed, Relation::OneLattice(vec![(2, Mode::Normal)])]);
        assert!(matches!((&found[1], &found[4]), (Some(Err(_)), None)));
    }

    #[test]
    fn wedges_of_printer_and_press_are_undone_one_after_the_other() {
        let half = |printed| vec![Reading { film: 0.5, printed }];
        let pressed = Screening { press: half(0.7), ..screening(Mode::Normal) };
        assert!((pressed.curve().unwrap().unwrap().eval(0.7) - 0.5).abs() < 1e-9);
        let both = Screening { printer: half(0.55), ..pressed };
        let asked = both.curve().unwrap().unwrap().eval(0.7);
        assert!(asked < 0.5, "{asked}");
        let only = Screening { press: Vec::new(), ..both };
        assert!((only.curve().unwrap().unwrap().eval(0.55) - 0.5).abs() < 1e-9);
        assert!(screening(Mode::Normal).curve().unwrap().is_none());
    }
}

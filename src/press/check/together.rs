//! Films on each other: every two, every three.

use crate::error::Result;
use crate::press::check::alone::told;
use crate::press::check::{About, Finding, Planned, Weight, long, mm, mode_word};
use crate::press::moire::{Look, beats, closure};
use crate::press::register::slips;
use crate::press::remedy::{Play, remedies};
use crate::press::{Source, Structure};
use crate::screen::Mode;
use crate::units::Length;

/// Shifts for which meshed plates are reckoned, in µm.
const SHIFTS: [f64; 2] = [100.0, 200.0];

/// Tints of meshed plates that are reckoned: each pair adds up to solid, where there is no room to spare.
const TINTS: [[f64; 2]; 3] = [[0.25, 0.75], [0.5, 0.5], [0.75, 0.25]];

const PAIR_RULE: &str = "no beat of one percent of coverage and more that is longer than two screen periods, orders |k₁| + |k₂| up to 5";

const PAIR_SOURCE: Source = Source::Computed(
    "f = k·a + m·b and 2|c_a||c_b| (Amidror, The Theory of the Moiré Phenomenon, 2009, 2.3); what is too long: common practice",
);

pub(super) fn check(films: &[Planned], findings: &mut Vec<Finding>) -> Result<()> {
    let structures: Vec<Option<Structure>> = films.iter().map(Planned::structure).collect();
    // Plates of one lattice and shape beat alike: pairs are reckoned once, for the first of each.
    let first_of = |i: usize| {
        (0..i).find(|&j| films[j].meshes_with(&films[i]) && structures[j] == structures[i]).unwrap_or(i)
    };
    let alike = |i: usize| (0..films.len()).filter(move |&j| first_of(j) == i);
    let names = |firsts: &[usize]| -> Vec<String> {
        firsts.iter().flat_map(|&i| alike(i)).map(|i| films[i].name.clone()).collect()
    };
    let kinds: Vec<usize> =
        (0..films.len()).filter(|&i| first_of(i) == i && structures[i].is_some()).collect();

    for &i in &kinds {
        one_lattice(films, &alike(i).collect::<Vec<_>>(), findings)?;
    }
    for (n, &i) in kinds.iter().enumerate() {
        for &j in &kinds[n + 1..] {
            let (Some(a), Some(b)) = (&structures[i], &structures[j]) else { continue };
            if !films[i].meshes_with(&films[j]) {
                findings.push(pair(a, b, names(&[i, j])));
            }
            for &k in kinds.iter().skip_while(|&&k| k != j).skip(1) {
                if let Some(c) = &structures[k] {
                    findings.push(three(a, b, c, names(&[i, j, k])));
                }
            }
        }
    }
    Ok(())
}

/// Two screens of different lattices.
fn pair(a: &Structure, b: &Structure, films: Vec<String>) -> Finding {
    let look = Look::screens();
    let found = beats(b, a, &look);
    let (weight, number, text) = match found.iter().max_by(|a, b| a.amplitude.total_cmp(&b.amplitude)) {
        Some(beat) => {
            let weight = if beat.amplitude > 0.02 { Weight::Wrong } else { Weight::Care };
            let cure = remedies(b, a, &look, Play::NONE);
            let text = format!(
                "screens beat: {} of {:.1} % of coverage (orders {:?}), the longest {}; the second: {}",
                long(beat.period),
                100.0 * beat.amplitude,
                beat.orders,
                long(found[0].period),
                told(&cure, "with the first")
            );
            (weight, mm(beat.period), text)
        }
        None => (Weight::Note, 0.0, "screens make no beat".to_owned()),
    };
    Finding {
        about: About::ScreenMoire,
        weight,
        films,
        number,
        unit: "mm",
        text,
        rule: PAIR_RULE,
        source: PAIR_SOURCE,
    }
}

/// Three screens.
fn three(a: &Structure, b: &Structure, c: &Structure, films: Vec<String>) -> Finding {
    let found = closure(a, b, c);
    let coarsest = a.period().to_mm().max(b.period().to_mm()).max(c.period().to_mm());
    let (weight, text) = match found.period {
        None => (
            Weight::Note,
            "three screens close: a steady rosette, whose kind follows the register".to_owned(),
        ),
        Some(period) if period.to_mm() > 2.0 * coarsest => (
            Weight::Care,
            format!("three screens nearly close: what is left beats at {}", long(Some(period))),
        ),
        Some(period) => (Weight::Note, format!("three screens are far from closing: {}", long(Some(period)))),
    };
    Finding {
        about: About::Closure,
        weight,
        films,
        number: mm(found.period),
        unit: "mm",
        text,
        rule: "f_a + f_b + f_c is nothing, or so large that it beats within two screen periods",
        source: Source::Computed(
            "sum of one first-order frequency of each (Amidror, The Theory of the Moiré Phenomenon, 2009, chapters 2 and 3)",
        ),
    }
}

/// Films of one lattice and dot.
fn one_lattice(films: &[Planned], alike: &[usize], findings: &mut Vec<Finding>) -> Result<()> {
    let of_mode = |mode: Mode| alike.iter().map(|&i| &films[i]).filter(move |f| f.screen.mode() == mode);
    let named = |films: &[&Planned]| -> Vec<String> { films.iter().map(|f| f.name.clone()).collect() };
    for mode in [Mode::Normal, Mode::Inverted] {
        let stacked: Vec<&Planned> = of_mode(mode).collect();
        if stacked.len() > 1 {
            findings.push(Finding {
                about: About::OneLattice,
                weight: Weight::Note,
                films: named(&stacked),
                number: stacked.len() as f64,
                unit: "films",
                text: format!(
                    "{} films of one lattice, all {}: their dots stand on each other, with no beat between them",
                    stacked.len(),
                    mode_word(mode)
                ),
                rule: "plates of one lattice and mode overlap by the lesser tint",
                source: Source::Computed("nested dots: min(a, b)"),
            });
        }
    }
    let (Some(normal), Some(inverted)) = (of_mode(Mode::Normal).next(), of_mode(Mode::Inverted).next())
    else {
        return Ok(());
    };
    let both: Vec<&Planned> = of_mode(Mode::Normal).chain(of_mode(Mode::Inverted)).collect();
    let own = inverted.dot.as_ref().is_some_and(|dot| dot.is_own_complement());
    findings.push(Finding {
        about: About::MeshedDot,
        weight: if own { Weight::Note } else { Weight::Care },
        films: named(&both),
        number: f64::from(u8::from(own)),
        unit: "1 if it is",
        text: if own {
            "the dot is its own complement: inverted dots are as compact as normal ones".to_owned()
        } else {
            "the dot is not its own complement: inverted dots are thin stars or crosses that a stencil loses".to_owned()
        },
        rule: "plates that mesh want a dot that is its own complement (euclidean, ellipse with tones that add up to 1, line)",
        source: Source::Computed("shape of the complement of the dot"),
    });
    let shifts = SHIFTS.map(Length::um).into_iter().collect::<Result<Vec<_>>>()?;
    // Tints as they lie on film: without the films' own curves.
    let plain = [normal.screen.again(Mode::Normal, None)?, inverted.screen.again(Mode::Inverted, None)?];
    for slip in slips(&plain[0], &plain[1], &TINTS, &shifts)? {
        let percent = |part: f64| 100.0 * part;
        let weight = if slip.worst_overlap > 0.1 { Weight::Care } else { Weight::Note };
        findings.push(Finding {
            about: About::Register,
            weight,
            films: named(&both),
            number: percent(slip.worst_overlap),
            unit: "% of the area",
            text: format!(
                "tints of {:.0} and {:.0} % that mesh, shifted by {:.1} mm: ink on ink {:.1} % and bare {:.1} % of the area on average, \
                 {:.1} and {:.1} % in the worst direction",
                percent(slip.tints[0]),
                percent(slip.tints[1]),
                slip.shift.to_mm(),
                percent(slip.overlap),
                percent(slip.gap),
                percent(slip.worst_overlap),
                percent(slip.worst_gap)
            ),
            rule: "counted on films of these screens; told with care from a tenth of the area on",
            source: Source::Computed("pixels of the two films shifted against each other"),
        });
    }
    Ok(())
}

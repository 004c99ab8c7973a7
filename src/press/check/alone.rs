//! One film on its mesh.

use crate::error::Result;
use crate::press::check::{About, Finding, Planned, Weight, long, mm};
use crate::press::moire::{Look, beats};
use crate::press::remedy::{Change, Play, Remedies, remedies};
use crate::press::{Mesh, Source, Structure};
use crate::units::LineCount;

/// Degrees from 0, 45 and 90 to the threads within which an angle is told.
const NEAR: f64 = 2.0;

const MOIRE_RULE: &str = "no beat of half a percent of coverage and more that is longer than two screen periods, orders |k₁| + |k₂| up to 5, the \
                          weave's half frequency at its first order";

const MOIRE_SOURCE: Source = Source::Computed(
    "f = k·a + m·b and 2|c_a||c_b| (Amidror, The Theory of the Moiré Phenomenon, 2009, 2.3); what is too long: common practice",
);

pub(super) fn check(film: &Planned, mesh: &Mesh, findings: &mut Vec<Finding>) -> Result<()> {
    let mut tell = |about, weight, number, unit, text, rule, source| {
        findings.push(Finding {
            about,
            weight,
            films: vec![film.name.clone()],
            number,
            unit,
            text,
            rule,
            source,
        });
    };
    let trade = Source::CommonPractice;
    let smallest = mesh.smallest_dot_um();
    let (Some(lattice), Some(screen)) = (film.screen.lattice(), film.structure()) else {
        let [x, y] = film.screen.index_pixels();
        let side = [x as f64 * 25_400.0 / film.resolution.x(), y as f64 * 25_400.0 / film.resolution.y()];
        let side = match film.screen.lattice() {
            Some(cells) => 25_400.0 / cells.lines_per_inch(),
            None => side[0].min(side[1]),
        };
        let weight = if side < mesh.pitch_um() {
            Weight::Wrong
        } else if side < smallest {
            Weight::Care
        } else {
            Weight::Note
        };
        let text = format!(
            "index dots of {side:.0} µm on a mesh that holds {smallest:.0} µm; dots in no regular order make no beats, so none are reckoned"
        );
        tell(About::IndexDot, weight, side, "µm", text, "a dot of two thread pitches", trade);
        return Ok(());
    };
    let lines = lattice.lines_per_inch();

    let ratio = mesh.to_per_inch() / lines;
    let weight = if ratio < 2.5 {
        Weight::Wrong
    } else if ratio < 3.5 {
        Weight::Care
    } else {
        Weight::Note
    };
    let text =
        format!("{ratio:.2} threads a line ({:.1} threads/inch, {lines:.2} lines/inch)", mesh.to_per_inch());
    tell(
        About::ThreadsPerLine,
        weight,
        ratio,
        "threads/line",
        text,
        "2.5 threads a line at the very least, 3.5 and more usual, 4 to 5 on textile",
        trade,
    );

    let weight = if (35.0..=65.5).contains(&lines) { Weight::Note } else { Weight::Care };
    let text = format!("{lines:.2} lines/inch at {:.3}°", lattice.degrees());
    tell(About::LineCount, weight, lines, "lines/inch", text, "35 to 65 lines/inch for garments", trade);

    let levels = lattice.levels();
    let weight = if levels < 150 { Weight::Care } else { Weight::Note };
    let text = format!("{levels} tone steps in one cell (neighbouring cells share what lies between)");
    tell(
        About::Levels,
        weight,
        levels as f64,
        "steps",
        text,
        "150 tone steps and more",
        Source::Published("ISO 12647-9:2021, 4.2.2 (metal decorating)"),
    );

    // A lattice that holds no tint at all is told as one half.
    let held = LineCount::per_inch(lines).ok().and_then(|lines| Mesh::tints_held(smallest, lines));
    let least = held.map_or(0.5, |[least, _]| least);
    let weight = if held.is_none() {
        Weight::Wrong
    } else if least > 0.1 {
        Weight::Care
    } else {
        Weight::Note
    };
    let text = match held {
        Some([least, most]) => format!(
            "dots of {smallest:.0} µm and more, which the mesh holds, begin at {:.1} % and holes end at {:.1} %",
            100.0 * least,
            100.0 * most
        ),
        None => format!("no tint has dots and holes of {smallest:.0} µm, which the mesh holds"),
    };
    tell(
        About::LightestTint,
        weight,
        100.0 * least,
        "%",
        text,
        "a dot of two thread pitches, reached at a tint of 10 % or less",
        trade,
    );

    let turned = (lattice.degrees() - mesh.angle().to_degrees()).rem_euclid(45.0);
    let off = turned.min(45.0 - turned);
    let weight = if off < NEAR { Weight::Care } else { Weight::Note };
    let text = format!("{off:.2}° from the nearest of 0, 45 and 90° to the threads");
    tell(About::AngleToMesh, weight, off, "degrees", text, "no film at 0, 45 or 90° to the threads", trade);

    let look = Look::mesh();
    let woven = Structure::mesh(mesh);
    let found = beats(&screen, &woven, &look);
    let cure = remedies(&screen, &woven, &look, Play::MESH);
    let worst = found.iter().max_by(|a, b| a.amplitude.total_cmp(&b.amplitude));
    let (weight, number, text) = match worst {
        Some(beat) => {
            let weight = if beat.amplitude > 0.02 { Weight::Wrong } else { Weight::Care };
            let text = format!(
                "beats with the mesh: {} of {:.1} % of coverage (orders {:?}), the longest {}; {}",
                long(beat.period),
                100.0 * beat.amplitude,
                beat.orders,
                long(found[0].period),
                told(&cure, "within 1° and 2 % of mesh count")
            );
            (weight, mm(beat.period), text)
        }
        None => {
            let spare = cure.turn == Some(Change { turn: 0.0, lines: 1.0 });
            let text = if spare {
                "no beat with the mesh, nor within 1° and 2 % of mesh count".to_owned()
            } else {
                format!(
                    "no beat as said, but within 1° or 2 % of mesh count; {}",
                    told(&cure, "there either")
                )
            };
            (if spare { Weight::Note } else { Weight::Care }, 0.0, text)
        }
    };
    tell(About::MeshMoire, weight, number, "mm", text, MOIRE_RULE, MOIRE_SOURCE);
    Ok(())
}

/// Remedies in words.
pub(super) fn told(cure: &Remedies, where_to_spare: &str) -> String {
    let turn = |c: &Change| format!("turn by {:+}°", c.turn);
    let lines = |c: &Change| format!("change lines by {:+.2} %", 100.0 * (c.lines - 1.0));
    let ways: Vec<String> = [
        cure.turn.as_ref().map(turn),
        cure.lines.as_ref().map(lines),
        cure.both.as_ref().map(|c| format!("{} and {}", turn(c), lines(c))),
    ]
    .into_iter()
    .flatten()
    .collect();
    match ways.is_empty() {
        true => "no turn up to 45° and no line count within 20 % removes it".to_owned(),
        false => format!("{} to have none {where_to_spare}", ways.join(", or ")),
    }
}

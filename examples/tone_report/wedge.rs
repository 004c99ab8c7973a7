//! One wedge: what the press makes of tones, and what is left of it once it is compensated.
//!
//! A curve compensates the wedge that it was made from to the last digit, which says nothing. So each tint is also held against the curve through all
//! the *others*: what it prints beyond that curve is what a tone between two patches is off by, after compensation.

use std::fmt::Write;
use std::path::Path;

use dotwright::tone::model::Gain;
use dotwright::tone::readings::{Direction, Form, Readings, Scale};
use dotwright::tone::wedge::{self, Reading};
use dotwright::{Curve, Result};
use serde_json::{Value, json};

use crate::plot::{AFTER, Axis, BEFORE, Frame, INK, Svg};
use crate::{Report, table};

/// One film coverage between ground and solid.
struct Tint {
    film: f64,
    printed: f64,
    repeats: usize,
    /// Printed less the curve.
    residual: f64,
    /// Printed less a curve through the other tints; none for a single one.
    left_out: Option<f64>,
}

struct Wedge {
    tints: Vec<Tint>,
    curve: Curve,
    /// What an instrument's readings tell besides.
    readings: Value,
}

pub fn report(path: &Path, name: &str, scale: Option<Scale>, form: Form) -> Result<Report> {
    let (wedge, model) = table::read(path, |file, text| {
        let wedge = match scale {
            Some(scale) => of_readings(file, text, scale, form)?,
            None => of_table(file, text)?,
        };
        let points: Vec<Reading> =
            wedge.tints.iter().map(|t| Reading { film: t.film, printed: t.printed }).collect();
        Ok((wedge, Gain::fit(&points)?))
    })?;
    let ask = Curve::compensation(&wedge.curve, None);
    let rms =
        |values: &[f64]| (values.iter().map(|v| v * v).sum::<f64>() / values.len().max(1) as f64).sqrt();
    let worst = |values: &[f64]| values.iter().fold(0.0_f64, |most, v| most.max(v.abs()));
    let gains: Vec<f64> = wedge.tints.iter().map(|t| t.printed - t.film).collect();
    let residuals: Vec<f64> = wedge.tints.iter().map(|t| t.residual).collect();
    let left_out: Vec<f64> = wedge.tints.iter().filter_map(|t| t.left_out).collect();
    let known = !left_out.is_empty();
    let points = |value: f64| 100.0 * value;
    let json = json!({
        "wedge": path.display().to_string(),
        "printed_at_half": wedge.curve.eval(0.5),
        "gain_points": {"rms": points(rms(&gains)), "worst": points(worst(&gains))},
        "residual_points": {"rms": points(rms(&residuals)), "worst": points(worst(&residuals))},
        "after_compensation_points": known.then(|| json!({"rms": points(rms(&left_out)), "worst": points(worst(&left_out))})),
        "model": {
            "gain_at_half_points": points(model.gain.to_half()),
            "residual_rms_points": points(model.rms), "residual_worst_points": points(model.worst),
        },
        "readings": wedge.readings,
        "tints": wedge.tints.iter().map(|t| json!({
            "film": t.film, "printed": t.printed, "repeats": t.repeats, "gain_points": points(t.printed - t.film),
            "residual_points": points(t.residual), "after_compensation_points": t.left_out.map(points),
        })).collect::<Vec<_>>(),
        "curve": (0..=100).map(|i| {
            let tone = f64::from(i) / 100.0;
            json!({"tone": tone, "printed": wedge.curve.eval(tone), "asked_of_film": ask.eval(tone)})
        }).collect::<Vec<_>>(),
    });
    let mut tints = "film,printed,repeats,gain_points,residual_points,after_compensation_points\n".to_owned();
    for t in &wedge.tints {
        let left_out = t.left_out.map_or(String::new(), |v| format!("{:.3}", points(v)));
        let (gain, residual) = (points(t.printed - t.film), points(t.residual));
        let _ = writeln!(
            tints,
            "{:.5},{:.5},{},{gain:.3},{residual:.3},{left_out}",
            t.film, t.printed, t.repeats
        );
    }
    let mut curve = "tone,printed,gain_points,asked_of_film\n".to_owned();
    for i in 0..=100 {
        let tone = f64::from(i) / 100.0;
        let printed = wedge.curve.eval(tone);
        let _ = writeln!(curve, "{tone:.2},{printed:.6},{:.4},{:.6}", points(printed - tone), ask.eval(tone));
    }
    let after = if known {
        format!(
            "after compensation {:.2} points, {:.2} at the most",
            points(rms(&left_out)),
            points(worst(&left_out))
        )
    } else {
        "a single tint: nothing to judge a compensation by".to_owned()
    };
    let told = vec![
        format!(
            "{}: {} tint{}, 50 % prints {:.1} %",
            path.display(),
            gains.len(),
            if gains.len() == 1 { "" } else { "s" },
            points(wedge.curve.eval(0.5))
        ),
        format!(
            "  gain {:.2} points, {:.2} at the most; {after}",
            points(rms(&gains)),
            points(worst(&gains))
        ),
    ];
    let json = serde_json::to_string_pretty(&json).expect("keys are text");
    let files = vec![
        (format!("{name}.json"), json.into_bytes()),
        (format!("{name}-tints.csv"), tints.into_bytes()),
        (format!("{name}-curve.csv"), curve.into_bytes()),
        (format!("{name}.svg"), picture(name, &wedge, &ask, model.gain).into_bytes()),
    ];
    Ok(Report { files, told })
}

/// A wedge as film and printed coverage.
fn of_table(name: &str, text: &str) -> Result<Wedge> {
    let mut readings = wedge::read_table(name, text)?;
    let curve = wedge::press_curve(&readings)?;
    readings.retain(|r| r.film > 0.0 && r.film < 1.0);
    readings.sort_by(|a, b| a.film.total_cmp(&b.film));
    let patches = readings
        .chunk_by(|a, b| a.film == b.film)
        .map(|same| {
            let printed = same.iter().map(|r| r.printed).sum::<f64>() / same.len() as f64;
            (same[0].film, printed, same.len())
        })
        .collect();
    wedge_of(patches, curve, Value::Null)
}

/// A wedge as an instrument reads it.
fn of_readings(name: &str, text: &str, scale: Scale, form: Form) -> Result<Wedge> {
    let measured = Readings::from_table(name, text, scale)?.form(form)?.measure()?;
    let tints = measured.patches.iter().filter(|p| p.film > 0.0 && p.film < 1.0);
    let patches = tints.map(|p| (p.film, p.printed, p.repeats)).collect();
    let told = json!({
        "ink": if measured.direction == Direction::Darker { "darker than its ground" } else { "lighter than its ground" },
        "channel": measured.channel,
        "contrast": measured.contrast,
        "noise_points": 100.0 * measured.noise,
        "noise_told_by_repeats": measured.noise_known,
    });
    wedge_of(patches, measured.curve, told)
}

/// Patches: film, printed, repeats.
fn wedge_of(patches: Vec<(f64, f64, usize)>, curve: Curve, readings: Value) -> Result<Wedge> {
    let tint = |i: usize| -> Result<Tint> {
        let (film, printed, repeats) = patches[i];
        let others: Vec<Reading> = patches
            .iter()
            .enumerate()
            .filter(|&(j, _)| j != i)
            .map(|(_, &(film, printed, _))| Reading { film, printed })
            .collect();
        let left_out = match others.len() {
            0 => None,
            _ => Some(printed - wedge::press_curve(&others)?.eval(film)),
        };
        Ok(Tint { film, printed, repeats, residual: printed - curve.eval(film), left_out })
    };
    let tints = (0..patches.len()).map(tint).collect::<Result<_>>()?;
    Ok(Wedge { tints, curve, readings })
}

fn picture(name: &str, wedge: &Wedge, ask: &Curve, model: Gain) -> String {
    let mut svg = Svg::new(980.0, 560.0);
    svg.title(&format!("{name}: what the press makes of tones"));
    let percent = |i: usize| i as f64 / 2.0;
    let along = |of: &dyn Fn(f64) -> f64| -> Vec<(f64, f64)> {
        (0..=200).map(|i| (percent(i), 100.0 * of(percent(i) / 100.0))).collect()
    };
    let (dots, tones) = (
        |of: &dyn Fn(&Tint) -> Option<(f64, f64)>| -> Vec<(f64, f64)> {
            wedge.tints.iter().filter_map(of).map(|(x, y)| (100.0 * x, 100.0 * y)).collect()
        },
        || Axis::linear("tone asked for, %", 0.0, 100.0),
    );

    let tone = Frame::new([74.0, 92.0, 400.0, 400.0], tones(), Axis::linear("", 0.0, 100.0));
    svg.frame(&tone, "printed, %");
    svg.line(&tone, &[(0.0, 0.0), (100.0, 100.0)], INK, "0.8", "3 4");
    svg.line(&tone, &along(&|t| ask.eval(t)), AFTER, "1.8", "");
    svg.line(&tone, &along(&|t| wedge.curve.eval(t)), BEFORE, "1.8", "");
    svg.dots(&tone, &dots(&|t| Some((t.film, t.printed))), BEFORE);
    svg.label(&tone, (42.0, 100.0 * wedge.curve.eval(0.42)), [-10.0, -8.0], "end", BEFORE, "print");
    svg.label(&tone, (58.0, 100.0 * ask.eval(0.58)), [10.0, 16.0], "start", AFTER, "film to ask for");

    let gains = along(&|t| wedge.curve.eval(t) - t);
    let modelled = along(&|t| model.print(t) - t);
    let before = dots(&|t| Some((t.film, t.printed - t.film)));
    // A film tone is printed as, and after compensation asked for by, the tone of the curve.
    let after = dots(&|t| t.left_out.map(|off| (wedge.curve.eval(t.film), off)));
    let all = gains.iter().chain(&modelled).chain(&before).chain(&after);
    let (low, high) = all.fold((-2.0_f64, 2.0_f64), |(low, high), &(_, y)| (low.min(y), high.max(y)));
    let gain = Frame::new([560.0, 92.0, 390.0, 260.0], tones().quiet(), Axis::linear("", low, high));
    svg.frame(&gain, "gain, points");
    svg.line(&gain, &[(0.0, 0.0), (100.0, 0.0)], AFTER, "1.8", "");
    svg.line(&gain, &modelled, INK, "0.8", "3 4");
    svg.line(&gain, &gains, BEFORE, "1.8", "");
    svg.dots(&gain, &before, BEFORE);
    svg.dots(&gain, &after, AFTER);
    svg.key(&gain, &[(BEFORE, "as it comes"), (AFTER, "compensated"), (INK, "parabola")]);

    let residuals = dots(&|t| Some((t.film, t.residual)));
    let most = residuals.iter().chain(&after).map(|p| p.1.abs()).fold(0.5, f64::max);
    let left = Frame::new([560.0, 402.0, 390.0, 90.0], tones(), Axis::linear("", -most, most).few());
    svg.frame(&left, "left after compensation, points: each tint by the others");
    svg.line(&left, &[(0.0, 0.0), (100.0, 0.0)], INK, "0.8", "3 4");
    svg.stems(&left, &after, AFTER);
    svg.finish()
}

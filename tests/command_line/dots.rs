//! `dot_atlas`.

use super::*;

#[test]
fn the_atlas_shows_every_dot_and_its_table_agrees_with_geometry() {
    let folder = tempfile::tempdir().unwrap();
    let arguments = ["--out", "atlas", "--lines", "60", "--resolution", "720"];
    let output = run("dot_atlas", folder.path(), &arguments);
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert_eq!(files(&folder.path().join("atlas")), ["atlas.csv", "atlas.png"]);
    let table = fs::read_to_string(folder.path().join("atlas/atlas.csv")).unwrap();
    let (shapes, modes, tones) = (column(&table, "shape"), column(&table, "mode"), numbers(&table, "tone"));
    assert_eq!(shapes.len(), 7 * 2 * 11);
    let (perimeters, gains) =
        (column(&table, "ideal_perimeter_mm_per_mm2"), column(&table, "ideal_gain_points"));
    let (coverages, films) = (numbers(&table, "coverage"), numbers(&table, "perimeter_mm_per_mm2"));
    let period = 25.4 / 60.0;
    for i in 0..shapes.len() {
        assert!((coverages[i] - tones[i]).abs() < 0.01, "{} {}: {}", shapes[i], tones[i], coverages[i]);
        let (normal, tone) = (modes[i] == "normal", tones[i]);
        // By hand: circles of area a p² and their rings d wide; lines, with two edges a period.
        let circle = 2.0 * (std::f64::consts::PI * tone).sqrt() / period;
        let (edge, gain) = match shapes[i].as_str() {
            "round" if normal && tone <= 0.6 => {
                (circle, circle * 0.01 + std::f64::consts::PI * (0.01 / period) * (0.01 / period))
            }
            "line" => (2.0 / period, 0.02 / period),
            _ => continue,
        };
        let told: [f64; 2] = [&perimeters[i], &gains[i]].map(|cell| cell.parse().unwrap());
        assert!((told[0] / edge - 1.0).abs() < 0.01, "{} {tone}: {} for {edge}", shapes[i], told[0]);
        assert!((told[1] - 100.0 * gain).abs() < 0.2, "{} {tone}: {} for {gain}", shapes[i], told[1]);
        // On film, where lines and gaps have some four pixels.
        let wide = (0.3..=0.7).contains(&tone);
        assert!(!wide || (films[i] / edge - 1.0).abs() < 0.04, "{tone}: {} for {edge}", films[i]);
    }
    // The sheet is seven shapes' pictures: from its ground to its ink, and not one like another.
    let sheet = image::open(folder.path().join("atlas/atlas.png")).unwrap().into_luma8();
    assert!(sheet.pixels().any(|p| p.0[0] < 40) && sheet.get_pixel(0, 0).0[0] > 230);
    for (arguments, expected) in [
        (&["--lines", "0"][..], "--lines"),
        (&["--resolution", "many"], "--resolution"),
        (&["--lines", "5"], "--resolution is 1440 px/inch, 288 px a line"),
        (&["--lines", "900"], "line count is 900"),
        (&["--tone", "3"], "--tone"),
    ] {
        let output = run("dot_atlas", folder.path(), &[arguments, &["--out", "none"]].concat());
        let message = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {message}");
        assert!(message.contains(expected), "{arguments:?}: {message}");
        assert_eq!(files(folder.path()), ["atlas"], "{arguments:?}");
    }
}

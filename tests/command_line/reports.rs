//! `tone_report`.

use super::*;

#[test]
fn a_report_reads_back_what_the_film_was_asked_for() {
    let folder = folder();
    let at = |name: &str| folder.path().join(name);
    // 0.4 of ink: 153 of 255 is light.
    GrayImage::from_pixel(300, 300, Luma([153])).save(at("flat.png")).unwrap();
    let film = ["flat.png", "flat.pbm", "--art-resolution", "300", "--resolution", "900", "--lines", "50"];
    let output =
        run("screen_plate", folder.path(), &[&film[..], &["--angle", "30", "--dot", "round"]].concat());
    assert!(output.status.success(), "{}", text(&output.stderr));
    let press = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/demo/press.csv");
    let arguments = ["flat.pbm", press, "--resolution", "900", "--out", "report"];
    let output = run("tone_report", folder.path(), &arguments);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let report = at("report");
    let expected = [
        "films.csv",
        "flat-spectrum.csv",
        "flat.json",
        "flat.svg",
        "press-curve.csv",
        "press-tints.csv",
        "press.json",
        "press.svg",
    ];
    assert_eq!(files(&report), expected);
    let read = |name: &str| fs::read_to_string(report.join(name)).unwrap();
    let json = |name: &str| serde_json::from_str::<serde_json::Value>(&read(name)).unwrap();

    let film = json("flat.json");
    let number = |pointer: &str| film.pointer(pointer).and_then(serde_json::Value::as_f64).unwrap();
    assert!((number("/coverage") - 0.4).abs() < 1e-3, "{}", number("/coverage"));
    assert!((number("/screen/lines_per_inch") - 50.0).abs() < 0.02, "{}", number("/screen/lines_per_inch"));
    assert!((number("/screen/degrees") - 30.0).abs() < 0.02, "{}", number("/screen/degrees"));
    assert_eq!(number("/screen/degrees_modulus"), 90.0);
    // A square inch has 2500 dots, and some more that its border cuts; their circles have a known edge.
    assert!((2500.0..2700.0).contains(&number("/dots/count")), "{}", number("/dots/count"));
    let edge = 2.0 * (std::f64::consts::PI * 0.4).sqrt() * 50.0 / 25.4;
    assert!(
        (number("/perimeter_mm_per_mm2") / edge - 1.0).abs() < 0.02,
        "{}",
        number("/perimeter_mm_per_mm2")
    );
    assert!(number("/grain") < 0.002);
    assert_eq!(numbers(&read("films.csv"), "coverage").len(), 1);
    // Power of the spectrum adds up to the variance, and its highest ring is the screen's.
    let spectrum = read("flat-spectrum.csv");
    let (frequencies, powers) = (numbers(&spectrum, "cycles_per_px"), numbers(&spectrum, "power"));
    let highest = (0..powers.len()).max_by(|&a, &b| powers[a].total_cmp(&powers[b])).unwrap();
    assert!((frequencies[highest] * 900.0 - 50.0).abs() < 1.5, "{}", frequencies[highest]);

    let press = json("press.json");
    assert_eq!(press["printed_at_half"], 0.75);
    assert_eq!(
        numbers(&read("press-tints.csv"), "gain_points"),
        [6.0, 11.0, 18.0, 23.0, 25.0, 25.0, 23.5, 20.0, 15.0, 8.5]
    );
    // What is asked of the film prints the tone: at 75 % a film of one half.
    let curve = read("press-curve.csv");
    assert!((numbers(&curve, "asked_of_film")[75] - 0.5).abs() < 1e-6);
    // By the others, a tint that is not quite on their curve shows, within a point on this press.
    let left = numbers(&read("press-tints.csv"), "after_compensation_points");
    assert!(left.iter().any(|off| off.abs() > 0.1) && left.iter().all(|off| off.abs() < 1.0), "{left:?}");
    for picture in ["flat.svg", "press.svg"] {
        let picture = read(picture);
        assert!(picture.starts_with("<svg ") && picture.ends_with("</svg>\n") && !picture.contains("NaN"));
    }
}

#[test]
fn a_report_refuses_what_it_cannot_read_and_writes_nothing() {
    let folder = folder();
    let at = |name: &str| folder.path().join(name);
    fs::write(at("film.pbm"), b"P4\n16 2\n\xf0\xf0\xf0\xf0").unwrap();
    fs::write(at("cut.pbm"), b"P4\n16 2\n\xf0").unwrap();
    fs::create_dir(at("more")).unwrap();
    fs::copy(at("wedge.csv"), at("more/wedge.csv")).unwrap();
    fs::write(at("press-tints.csv"), "25,42\n50,72\n").unwrap();
    fs::write(at("press.csv"), "25,42\n50,72\n").unwrap();
    let before = files(folder.path());
    for (arguments, expected) in [
        (&[][..], &["FILES"][..]),
        (&["none.tif"], &["none.tif"]),
        (&["film.pbm"], &["--resolution", "not given", "film.pbm"]),
        (&["film.pbm", "--resolution", "0"], &["--resolution", "0"]),
        (&["cut.pbm", "--resolution", "900"], &["cut.pbm"]),
        (&["plate.png", "--resolution", "900"], &["plate.png"]),
        (&["text.png"], &["text.png"]),
        (&["bad.csv"], &["bad.csv, line 2", "50,oops"]),
        (&["wedge.csv", "bad.csv"], &["bad.csv, line 2"]),
        (&["wedge.csv", "more/wedge.csv"], &["more/wedge.csv", "a second report named wedge"]),
        (&["wedge.csv", "--form", "spot"], &["--scale"]),
        (&["density.csv", "--scale", "dense"], &["--scale", "dense", "density, reflectance"]),
        (&["flat.csv", "--scale", "density"], &["flat.csv", "too little contrast"]),
        (&["wedge.csv", "--out", "plate.png"], &["plate.png"]),
    ] {
        let out: &[&str] = if arguments.contains(&"--out") { &[] } else { &["--out", "report"] };
        let output = run("tone_report", folder.path(), &[arguments, out].concat());
        let message = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {message}");
        for part in expected {
            assert!(message.contains(part), "{arguments:?}: no \"{part}\" in: {message}");
        }
        assert_eq!(files(folder.path()), before, "{arguments:?}");
    }
    let table = fs::read(at("press-tints.csv")).unwrap();
    let output = run("tone_report", folder.path(), &["press-tints.csv", "press.csv", "--out", "."]);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        text(&output.stderr).contains("press-tints.csv would replace a file"),
        "{}",
        text(&output.stderr)
    );
    assert!(files(folder.path()) == before && fs::read(at("press-tints.csv")).unwrap() == table);
    // A small film without a screen is told as such; readings of white ink on black are a wedge.
    let output = run("tone_report", folder.path(), &["film.pbm", "--resolution", "900", "--out", "report"]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let film: serde_json::Value = serde_json::from_slice(&fs::read(at("report/film.json")).unwrap()).unwrap();
    assert!(film["screen"].is_null() && film["unknown"]["screen"].as_str().unwrap().contains("64"), "{film}");
    let readings = ["density.csv", "--scale", "density", "--out", "report"];
    let output = run("tone_report", folder.path(), &readings);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let wedge: serde_json::Value =
        serde_json::from_slice(&fs::read(at("report/density.json")).unwrap()).unwrap();
    assert_eq!(wedge["readings"]["ink"], "lighter than its ground");
    assert!(
        (wedge["printed_at_half"].as_f64().unwrap() - 0.7115).abs() < 0.01,
        "{}",
        wedge["printed_at_half"]
    );
}

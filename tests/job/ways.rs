//! Plates as they are, a base made for them, index dots, plates side by side, a trim and a plate that is supplied.

use super::*;

#[test]
fn plates_are_printed_as_they_are_and_strangers_are_told() {
    let home = folder();
    let plates = home.path().join("plates");
    fs::create_dir(&plates).unwrap();
    let grey = |level: u8| GrayImage::from_pixel(60, 50, Luma([level]));
    grey(155).save(plates.join("7-rose-co.png")).unwrap();
    grey(55).save(plates.join("2-chalk.png")).unwrap();
    let text = "shelf = \"shelf.toml\"\nplates = \"plates\"\nart_resolution = 100\nresolution = 300\nmake = [\"films\", \"proof\", \"report\"]\n\
        [garment]\ncolour = \"#202430\"\n[screen]\nlines = 30\n";
    let job = Job::parse("job.toml", text, home.path(), None).unwrap();
    assert_eq!(job.inks().collect::<Vec<_>>(), ["chalk", "rose & co"]);
    let out = home.path().join("out");
    fs::create_dir_all(out.join("films")).unwrap();
    fs::write(out.join("films/03-old.tif"), "").unwrap();
    let done = run(&job, &out).unwrap();
    let expected = [
        "dots.png",
        "films/01-chalk.tif",
        "films/02-rose-co.tif",
        "films/03-old.tif",
        "job.toml",
        "proof.png",
        "report.html",
    ];
    assert_eq!(files(&out), expected);
    assert_eq!(done.strangers, [out.join("films/03-old.tif")]);
    let covered = done.inks.iter().map(|ink| (ink.plate_coverage * 255.0).round()).collect::<Vec<_>>();
    assert_eq!(covered, [200.0, 100.0]);
    assert!(done.against_art.is_none());
    for (ink, level) in done.inks.iter().zip([200.0, 100.0]) {
        assert!((ink.film_coverage.unwrap() - level / 255.0).abs() < 0.005, "{ink:?}");
    }
}

#[test]
fn plates_get_the_base_that_they_lack_choked_and_solids_spread() {
    let home = folder();
    let plates = home.path().join("plates");
    fs::create_dir(&plates).unwrap();
    // Rose on the left, soot on the right of one field, at 100 to the inch: they butt at column 50.
    let field = |from: u32, to: u32| {
        GrayImage::from_fn(100, 60, |x, y| {
            Luma([if (from..to).contains(&x) && (10..50).contains(&y) { 0 } else { 255 }])
        })
    };
    field(10, 50).save(plates.join("1-rose-co.png")).unwrap();
    field(50, 90).save(plates.join("2-soot.png")).unwrap();
    let text = "shelf = \"shelf.toml\"\nplates = \"plates\"\nart_resolution = 100\nmake = [\"plates\"]\n\
        [garment]\ncolour = \"#202430\"\n[[ink]]\nname = \"chalk\"\nbase = true\nchoke = \"0.508mm\"\n\
        [[ink]]\nname = \"rose & co\"\nspread = \"0.508mm\"\n[[ink]]\nname = \"soot\"\n";
    let out = home.path().join("out");
    run(&Job::parse("job.toml", text, home.path(), None).unwrap(), &out).unwrap();
    let row = |name: &str| -> Vec<u8> {
        let plate = image::open(out.join(format!("plates/{name}.png"))).unwrap().into_luma8();
        (0..100).map(|x| 255 - plate.get_pixel(x, 30).0[0]).collect()
    };
    let (base, rose, soot) = (row("01-chalk"), row("02-rose-co"), row("03-soot"));
    // Two pixels: of choke at the outer edge, none of it under black; of rose under the black.
    assert!(base[..12].iter().all(|&tone| tone == 0) && base[52..].iter().all(|&tone| tone == 0), "{base:?}");
    assert!(base[13..48].iter().all(|&tone| tone > 200), "{base:?}");
    assert!(
        rose[10..52].iter().all(|&tone| tone > 250) && rose[53..].iter().all(|&tone| tone == 0),
        "{rose:?}"
    );
    assert!(soot[..50].iter().all(|&tone| tone == 0) && soot[50..90].iter().all(|&tone| tone == 255));
}

#[test]
fn an_index_job_has_one_ink_a_dot_and_the_base_under_all_of_them() {
    let home = folder();
    let text = "art = \"art.png\"\nshelf = \"shelf.toml\"\nwidth = \"60mm\"\nresolution = 400\nmake = [\"plates\", \"films\", \"proof\"]\n\
        [garment]\ncolour = \"#202430\"\n[screen]\ntogether = \"index\"\ndot = \"index:80/in\"\n\
        [[ink]]\nname = \"chalk\"\nbase = true\nflash = true\n[[ink]]\nname = \"rose & co\"\n[[ink]]\nname = \"soot\"\n";
    let names = ["01-chalk", "02-rose-co", "03-soot"];
    let made = |text: &str, out: &str| {
        let out = home.path().join(out);
        let done = run(&Job::parse("job.toml", text, home.path(), None).unwrap(), &out).unwrap();
        let films = names.map(|name| film(out.join(format!("films/{name}.tif"))));
        (done, films, out)
    };
    let (done, [base, rose, soot], out) = made(text, "out");
    assert!(rose.count() > 1000 && soot.count() > 1000, "empty films overlap nothing");
    assert_eq!(rose.and(&soot).unwrap().count(), 0);
    assert_eq!(rose.and(&base).unwrap().count(), rose.count(), "rose lies on the base everywhere");
    // The plates tell the part of the dots, and the print is what was wanted.
    for (ink, film) in done.inks.iter().zip([&base, &rose, &soot]) {
        assert!((ink.plate_coverage - film.coverage()).abs() < 0.02, "{ink:?} {}", film.coverage());
    }
    assert!(done.against_wanted.unwrap().mean < 1.5, "{:?}", done.against_wanted);
    let again = home.path().join("again");
    run(&Job::read(&out.join("job.toml")).unwrap(), &again).unwrap();
    for name in files(&out) {
        assert!(fs::read(out.join(&name)).unwrap() == fs::read(again.join(&name)).unwrap(), "{name}");
    }
    // Choked, the base is drawn in from the edges of what it carries.
    let choked = text.replace("base = true\n", "base = true\nchoke = \"0.13mm\"\n");
    let (_, [less, same, _], _) = made(&choked, "choked");
    assert_eq!(same.bits(), rose.bits());
    assert!(less.count() < base.count() && less.and(&base).unwrap().count() == less.count());
    let (_, [_, other, dark], _) = made(&text.replace("\"index\"", "\"index diffused\""), "diffused");
    assert!(other.bits() != rose.bits() && other.and(&dark).unwrap().count() == 0);

    for (from, to, expected) in [
        ("dot = \"index:80/in\"\n", "", "the dot is a growing one"),
        ("name = \"soot\"\n", "name = \"soot\"\ndot = \"index:90/in\"\n", "not those of the first ink"),
        ("name = \"soot\"\n", "name = \"soot\"\nshadow_fill = 90\n", "no fill"),
        ("name = \"soot\"\n", "name = \"soot\"\nchoke = \"1mm\"\n", "a choke only for the base"),
        ("\"index\"", "\"indexed\"", "together is indexed; allowed: free, index, index diffused"),
    ] {
        let message =
            Job::parse("job.toml", &text.replace(from, to), home.path(), None).unwrap_err().to_string();
        assert!(message.contains(expected), "{expected}\n{message}");
    }
}

#[test]
fn plates_side_by_side_never_meet_and_the_base_lies_below() {
    let home = folder();
    let text = JOB
        .replace("dot = \"euclidean\"", "dot = \"euclidean\"\ntogether = \"side by side\"")
        .replace("mode = \"inverted\"\n", "");
    let names = ["01-chalk", "02-rose-co", "03-soot"];
    let made = |text: &str, out: &str| {
        let out = home.path().join(out);
        let done = run(&Job::parse("job.toml", text, home.path(), None).unwrap(), &out).unwrap();
        (done, names.map(|name| film(out.join(format!("films/{name}.tif")))), out)
    };
    let (done, [base, rose, soot], out) = made(&text, "out");
    assert!(base.count() > 1000 && rose.count() > 1000 && soot.count() > 500, "empty films overlap nothing");
    assert_eq!(rose.and(&soot).unwrap().count(), 0);
    assert!(base.and(&rose).unwrap().count() > 500);
    for (ink, film) in done.inks.iter().zip([&base, &rose, &soot]) {
        assert!((ink.film_coverage.unwrap() - film.coverage()).abs() < 1e-12);
    }
    let (_, [_, ring, dark], _) = made(&text.replace("side by side", "side by side in rings"), "rings");
    assert!(dark.bits() != soot.bits() && ring.and(&dark).unwrap().count() == 0);
    let again = home.path().join("again");
    run(&Job::read(&out.join("job.toml")).unwrap(), &again).unwrap();
    for name in files(&out) {
        assert!(fs::read(out.join(&name)).unwrap() == fs::read(again.join(&name)).unwrap(), "{name}");
    }
    for (from, to, expected) in [
        ("dot = \"euclidean\"", "dot = \"line\"", "dot of compact plates side by side is Line"),
        (
            "name = \"soot\"\n",
            "name = \"soot\"\nangle = 3\n",
            "screen of plates side by side is that of \"soot\"",
        ),
        ("name = \"soot\"\n", "name = \"soot\"\nmode = \"inverted\"\n", "mode"),
    ] {
        let text = text.replace(from, to);
        let message = Job::parse("job.toml", &text, home.path(), None).unwrap_err().to_string();
        assert!(message.contains(expected), "{expected}\n{message}");
    }
}

#[test]
fn a_trim_cuts_the_picture_and_a_supplied_plate_is_kept() {
    let home = folder();
    let supplied = GrayImage::from_fn(120, 90, |x, _| Luma([(255 - x) as u8]));
    supplied.save(home.path().join("base.png")).unwrap();
    let text = JOB
        .replace("width = \"30mm\"\n", "width = \"30mm\"\ntrim = [20, 10, 60, 45]\n")
        .replace("flash = true\n", "flash = true\nplate = \"base.png\"\n")
        .replace("[garment]", "make = [\"plates\"]\n[garment]");
    let out = home.path().join("out");
    run(&Job::parse("job.toml", &text, home.path(), None).unwrap(), &out).unwrap();
    let plate = image::open(out.join("plates/01-chalk.png")).unwrap().into_luma8();
    assert_eq!(plate.dimensions(), (60, 45));
    assert!(plate.enumerate_pixels().all(|(x, _, level)| u32::from(level.0[0]) == 255 - (x + 20)));
    let again = home.path().join("again");
    run(&Job::read(&out.join("job.toml")).unwrap(), &again).unwrap();
    for name in files(&out) {
        assert!(fs::read(out.join(&name)).unwrap() == fs::read(again.join(&name)).unwrap(), "{name}");
    }
}

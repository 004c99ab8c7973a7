//! Bad job files: every mistake is named with its line, and nothing is written.

use super::*;

#[test]
fn every_mistake_is_named_with_its_line() {
    let home = folder();
    fs::write(home.path().join("press.csv"), "film,printed\n25,oops\n").unwrap();
    let text = "art = \"nothing.png\"\n\
        wdith = \"30mm\"\n\
        resolution = 0\n\
        shelf = \"shelf.toml\"\n\
        trim = [0, 0, 5]\n\
        make = [\"films\", \"coffee\"]\n\
        [garment]\n\
        color = \"#202430\"\n\
        [separation]\n\
        knee = 120\n\
        black = \"tar\"\n\
        [screen]\n\
        lines = \"many\"\n\
        press = \"press.csv\"\n\
        mesh = { count = 77, thread = \"480um\" }\n\
        [[ink]]\n\
        name = \"chalk\"\n\
        highlight_cut = 90\n\
        shadow_fill = 10\n\
        [[ink]]\n\
        name = \"chalk\"\n\
        [[ink]]\n\
        name = \"soot\"\n\
        lines = 5000\n\
        [sheet]\n\
        mark = \"1mm\"\n\
        polarity = \"both\"\n\
        [[pin]]\n\
        colour = \"red\"\n\
        [proof]\n\
        eye = \"1mm\"\n";
    let message = Job::parse("job.toml", text, home.path(), None).unwrap_err().to_string();
    let expected = [
        "job.toml: line 1: ",
        "line 2: unknown key \"wdith\" (width?)",
        "line 3: resolution: resolution is 0; allowed: 1 to 100000",
        "line 5: trim; allowed: [left, top, width, height]",
        "line 6: make: \"coffee\"; allowed: plates, films",
        "line 7: colour is missing",
        "line 8: unknown key \"color\" (colour?)",
        "line 10: knee is 120; allowed: 0 to 99",
        "line 11: \"tar\" is no ink of this job",
        "line 13: lines: line count is many",
        "line 14: press: ",
        "line 15: mesh: mesh thread is 480 µm",
        "line 16: highlight_cut is above shadow_fill",
        "line 20: ink \"chalk\" is there already",
        "line 22: screen of \"soot\": ",
        "line 25: register mark is 1 mm",
        "line 27: polarity: polarity of a sheet is both",
        "line 28: ink is missing",
        "line 29: colour: colour of art is red",
        "line 31: eye is 1 mm",
    ];
    let lines: Vec<&str> = message.split("\n  ").collect();
    for (line, expected) in lines.iter().zip(expected) {
        assert!(line.starts_with(expected), "{line}\n{expected}");
    }
    assert_eq!(lines.len(), expected.len(), "{message}");
    assert!(lines[0].contains("nothing.png") && lines[10].contains("line 2"), "{message}");
}

#[test]
fn single_mistakes_are_told_alone() {
    let home = folder();
    let plates = home.path().join("plates");
    fs::create_dir(&plates).unwrap();
    GrayImage::from_pixel(40, 40, Luma([90])).save(plates.join("01-chalk.png")).unwrap();
    GrayImage::from_pixel(40, 40, Luma([90])).save(plates.join("02-sky.png")).unwrap();
    for (from, to, expected) in [
        ("art = \"art.png\"\n", "", "line 1: art is missing"),
        ("art = \"art.png\"\n", "art = \"art.png\"\nplates = \"plates\"\n", "line 4: plates beside art"),
        ("art = \"art.png\"\n", "plates = \"plates\"\n", "02-sky.png: no [[ink]] of its name"),
        ("[garment]\ncolour = \"#202430\"\nname = \"slate\"\n", "", "[garment] is missing"),
        (
            "name = \"chalk\"\n",
            "name = \"chalc\"\n",
            "ink is \"chalc\"; allowed: one of this shelf: chalk, rose & co, soot",
        ),
        ("shelf = \"shelf.toml\"\n", "", "ink is \"chalk\"; allowed: one of a shelf"),
        ("shelf = \"shelf.toml\"", "shelf = \"none.toml\"", "none.toml"),
        ("curve = [[0, 0], [50, 45.3], [100, 100]]", "curve = [[0, 0], [50, 60], [40, 70]]", "curve"),
        (
            "flash = true\n",
            "flash = true\nplate = \"a.png\"\nover_white = \"#ffffff\"\n",
            "an ink has over_white and over_black",
        ),
        (
            "[sheet]",
            "[[overprint]]\ninks = [\"soot\", \"sky\"]\ncolour = \"#000000\"\n[sheet]",
            "\"sky\" is no ink of this job",
        ),
        (
            "[sheet]",
            "[[overprint]]\ninks = [\"soot\", \"soot\"]\ncolour = \"#000000\"\n[sheet]",
            "overprint is [2, 2]",
        ),
        ("press = [[25, 38]", "press = [[25, 38, 4]", "press holds 3 values for a pair"),
        ("press = [[25, 38]", "press = [[25, 380]", "printed coverage of a wedge patch is 3.8"),
        ("dot = \"euclidean\"", "dot = \"oval\"", "dot is oval"),
        ("lines = 40", "smallest_dot = \"2mm\"\nlines = 40", "smallest dot is 2 mm"),
    ] {
        assert!(JOB.contains(from), "{from}");
        let text = JOB.replace(from, to);
        let message = Job::parse("job.toml", &text, home.path(), None).unwrap_err().to_string();
        assert!(message.contains(expected), "{expected}\n{message}");
    }
    // What only the picture can tell is told before anything is written.
    let out = home.path().join("out");
    for (from, to, expected) in [
        ("width = \"30mm\"\n", "", "size of the print is not told"),
        (
            "width = \"30mm\"\n",
            "width = \"30mm\"\ntrim = [100, 0, 40, 40]\n",
            "trim is 100, 0, 40, 40; allowed: a piece of the 120 x 90",
        ),
        ("width = \"30mm\"", "width = \"1mm\"", "film of a sheet"),
        (
            "flash = true\n",
            "flash = true\nplate = \"plates/01-chalk.png\"\n",
            "01-chalk.png: 40 x 40 pixels; the art has 120 x 90",
        ),
    ] {
        let job = Job::parse("job.toml", &JOB.replace(from, to), home.path(), None).unwrap();
        let message = run(&job, &out).unwrap_err().to_string();
        assert!(message.contains(expected), "{expected}\n{message}");
        assert!(!out.exists(), "{expected}");
    }
}

//! Colour against what others published, measured or computed. The source stands beside each check.

use std::collections::HashMap;

use dotwright::colour::srgb::Code;
use dotwright::colour::{Drawdown, Ink, Lab, LinearRgb, Overlap, Print, White, Xyz, ciede2000};

/// The numbers of a table, without comments and the line of names; `names` columns of text first are left out.
fn table(text: &str, names: usize) -> Vec<Vec<f64>> {
    text.lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').skip(names).map(|n| n.parse().unwrap()).collect())
        .collect()
}

fn lab(numbers: &[f64]) -> Lab {
    Lab { l: numbers[0], a: numbers[1], b: numbers[2] }
}

/// X, Y, Z of tables, with Y = 100 for the perfect white.
fn xyz(numbers: &[f64]) -> Xyz {
    Xyz([numbers[0], numbers[1], numbers[2]].map(|v| v / 100.0))
}

fn apart(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

#[test]
fn differences_of_all_published_pairs() {
    // Sharma, Wu and Dalal, Color Res. Appl. 30 (2005) 21, table 1: 34 pairs, four decimals; the last column is theirs to
    // double precision.
    let pairs = table(include_str!("reference/ciede2000_sharma34.csv"), 0);
    assert_eq!(pairs.len(), 34);
    for pair in pairs {
        let (one, other) = (lab(&pair[1..4]), lab(&pair[4..7]));
        for found in [ciede2000(one, other), ciede2000(other, one)] {
            assert!((found - pair[7]).abs() < 5.1e-5, "pair {}: {found}", pair[0]);
            assert!((found - pair[8]).abs() < 1e-9, "pair {}: {found}", pair[0]);
        }
    }
}

#[test]
fn codes_are_the_light_of_the_standard() {
    // IEC 61966-2-1, all 256 codes, and L* of the grey.
    let codes = table(include_str!("reference/srgb_to_linear_256.csv"), 0);
    assert_eq!(codes.len(), 256);
    for (code, row) in (0..=255_u8).zip(&codes) {
        assert_eq!(f64::from(code), row[0]);
        assert!((code.light() - row[1]).abs() < 1e-12);
        assert!(((u16::from(code) * 257).light() - row[1]).abs() < 1e-12);
        let grey = LinearRgb::from_srgb([code; 3]).to_xyz().to_lab();
        assert!(apart(&[grey.l, grey.a, grey.b], &[row[2], 0.0, 0.0]) < 1e-8);
    }
}

#[test]
fn spaces_and_differences_are_those_of_other_libraries() {
    // colour-science (D50 by Bradford, CIEDE2000) and scikit-image (L*a*b* under D65): tests/reference/colour_vectors.py.
    let rows = table(include_str!("reference/colour_vectors.csv"), 0);
    assert_eq!(rows.len(), 248);
    for row in rows {
        let colour =
            |codes: &[f64]| LinearRgb::from_srgb([codes[0], codes[1], codes[2]].map(|c| c as u8)).to_xyz();
        let (one, other) = (colour(&row[0..3]), colour(&row[3..6]));
        assert!(apart(&one.0, &row[6..9]) < 1e-9, "{row:?}");
        let found = one.to_lab();
        assert!(apart(&[found.l, found.a, found.b], &row[9..12]) < 1e-7, "{row:?}");
        // scikit-image has a white of other digits, 0.95047, 1, 1.08883.
        let d65 = Lab::relative_to(one.seen_under(White::D65), White::D65);
        assert!(apart(&[d65.l, d65.a, d65.b], &row[12..15]) < 0.025, "{row:?} {d65:?}");
        assert!((ciede2000(one.to_lab(), other.to_lab()) - row[15]).abs() < 1e-7, "{row:?}");
    }
}

/// X, Y, Z by amounts of cyan, magenta, yellow and black in per cent.
type Chart = HashMap<[u32; 4], Xyz>;

/// A key of ink amounts, in thousandths of a per cent.
fn key(amounts: &[f64]) -> [u32; 4] {
    [0, 1, 2, 3].map(|i| (amounts[i] * 1000.0) as u32)
}

const FULL: u32 = 100_000;

fn chart(rows: &[Vec<f64>]) -> Chart {
    rows.iter().map(|row| (key(row), xyz(&row[4..7]))).collect()
}

/// The combination of full inks whose mask has bit i for ink i.
fn solid(mask: usize) -> [u32; 4] {
    [0, 1, 2, 3].map(|ink| FULL * (mask as u32 >> ink & 1))
}

/// The four inks: each over paper and over black, black itself over paper and over the three others.
fn inks(chart: &Chart) -> [Ink; 4] {
    let drawdown = |ground, with| Drawdown { ground: chart[&solid(ground)], colour: chart[&solid(with)] };
    ["cyan", "magenta", "yellow", "black"].map(|name| {
        let (ink, dark) = match name {
            "cyan" => (1, 8),
            "magenta" => (2, 8),
            "yellow" => (4, 8),
            _ => (8, 7),
        };
        Ink::new(name, drawdown(0, ink), drawdown(dark, dark | ink)).unwrap()
    })
}

/// A print whose overprints are all measured, black printed first as the sets were.
fn measured_print(chart: &Chart, n: f64) -> Print {
    let mut request = Print::on(chart[&solid(0)]).yule_nielsen(n);
    for ink in inks(chart) {
        request = request.ink(&ink);
    }
    for mask in 1..16 {
        let on: Vec<usize> = (0..4).filter(|ink| mask >> ink & 1 == 1).collect();
        request = request.overprint(&on, chart[&solid(mask)]);
    }
    request.build(&Overlap::independent(4).unwrap()).unwrap()
}

#[test]
fn worked_figures_of_eight_primaries() {
    // Demichel's areas of C 0.4, M 0.3, Y 0.2 on the measured primaries of FOGRA39L, computed from the formula in n-th roots.
    let rows = table(include_str!("reference/neugebauer_primaries_FOGRA39L.csv"), 0);
    let primaries = chart(&rows);
    for (n, expected) in [
        (1.0, [44.4927, 45.3169, 41.6864]),
        (1.7, [38.7088, 39.2708, 36.4461]),
        (2.0, [37.3923, 37.9063, 35.2024]),
    ] {
        let found = measured_print(&primaries, n).xyz(&[0.4, 0.3, 0.2, 0.0]);
        assert!(apart(&found.0.map(|v| v * 100.0), &expected) < 6e-5, "n {n}: {found:?}");
    }
    // The table is the chart's own.
    let whole = chart(&table(include_str!("reference/fogra39l.csv"), 0));
    for row in &rows {
        assert!(apart(&whole[&key(row)].0, &primaries[&key(row)].0) < 1e-12);
        assert!(ciede2000(primaries[&key(row)].to_lab(), lab(&row[7..10])) < 2e-3);
    }
}

/// Mean ΔE00 over all patches that are no primaries; coverage of each ink by its own ramp in n-th roots of X, Y, Y or Z.
fn mean_over_chart(chart: &Chart, n: f64) -> (usize, f64) {
    let print = measured_print(chart, n);
    let curves = [0, 1, 2, 3].map(|ink| {
        let place = [0, 1, 2, 1][ink];
        let root = |xyz: &Xyz| xyz.0[place].powf(1.0 / n);
        let mut ramp: Vec<(f64, f64)> = chart
            .iter()
            .filter(|(amounts, _)| (0..4).all(|other| other == ink || amounts[other] == 0))
            .map(|(amounts, xyz)| (f64::from(amounts[ink]) / f64::from(FULL), root(xyz)))
            .collect();
        ramp.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (paper, full) = (ramp[0].1, ramp[ramp.len() - 1].1);
        ramp.into_iter().map(|(amount, v)| (amount, (paper - v) / (paper - full))).collect::<Vec<_>>()
    });
    // Straight between the patches, as the published figures were made.
    let covered = |ramp: &[(f64, f64)], amount: f64| {
        let right = ramp.partition_point(|p| p.0 < amount).max(1);
        let ((x0, y0), (x1, y1)) = (ramp[right - 1], ramp[right]);
        y0 + (y1 - y0) * (amount - x0) / (x1 - x0)
    };
    let mut differences = Vec::new();
    for (amounts, measured) in chart {
        if amounts.iter().any(|&a| a != 0 && a != FULL) {
            let coverages =
                [0, 1, 2, 3].map(|i| covered(&curves[i], f64::from(amounts[i]) / f64::from(FULL)));
            differences.push(ciede2000(print.colour(&coverages), measured.to_lab()));
        }
    }
    (differences.len(), differences.iter().sum::<f64>() / differences.len() as f64)
}

#[test]
fn whole_charts_are_predicted_as_well_as_elsewhere() {
    // Figures by an independent program on the same data: dataset, n, patches, mean, 95th percentile and maximum of ΔE00.
    let figures = include_str!("reference/yule_nielsen_neugebauer_fit.csv");
    let charts = [
        ("FOGRA39L", chart(&table(include_str!("reference/fogra39l.csv"), 0))),
        ("TR002", chart(&table(include_str!("reference/tr002.csv"), 0))),
    ];
    for (name, chart) in &charts {
        let mut means = Vec::new();
        for line in figures.lines().filter(|line| line.starts_with(name)) {
            let row: Vec<f64> = line.split(',').skip(1).map(|n| n.parse().unwrap()).collect();
            let (patches, mean) = mean_over_chart(chart, row[0]);
            println!("{name}, n {}: {mean:.4} over {patches} patches (theirs {})", row[0], row[2]);
            assert_eq!(patches as f64, row[1]);
            assert!((mean - row[2]).abs() < 0.002, "{name} n {}: {mean} for {}", row[0], row[2]);
            means.push((row[0], mean));
        }
        assert_eq!(means.len(), 6);
        let plain = means[0].1;
        assert!(means.iter().filter(|(n, _)| (1.5..=2.0).contains(n)).all(|(_, mean)| *mean < plain));
    }
}

/// Layers from solids over paper and over black, printed wet on wet; mean ΔE00 of the overprints CM, CY, MY and CMY against
/// the measured ones.
fn overprints_of_layers(chart: &Chart, wet: f64) -> f64 {
    let [cyan, magenta, yellow, _] = inks(chart);
    let request = Print::on(chart[&solid(0)]).ink(&cyan).ink(&magenta).ink(&yellow).wet(wet);
    let print = request.build(&Overlap::independent(3).unwrap()).unwrap();
    let apart = |mask: usize| ciede2000(print.primaries()[mask].to_lab(), chart[&solid(mask)].to_lab());
    [3, 5, 6, 7].map(apart).iter().sum::<f64>() / 4.0
}

/// The same with X, Y, Z over those of the white as bands, the layer's law written out.
fn overprints_in_xyz(chart: &Chart) -> f64 {
    let white = White::D50.xyz();
    let bands = |mask: usize| [0, 1, 2].map(|i| chart[&solid(mask)].0[i] / white[i]);
    let (paper, black) = (bands(0), bands(8));
    let over = |ink: usize, ground: [f64; 3]| {
        let (rw, rb) = (bands(1 << ink), bands(8 | 1 << ink));
        [0, 1, 2].map(|i| {
            let (gw, gb) = (paper[i], black[i]);
            let own = ((gw * rb[i] - gb * rw[i]) / (gw - gb + gw * gb * (rb[i] - rw[i]))).max(0.0);
            let through = (rw[i] - own) * (1.0 - own * gw) / gw;
            own + through * ground[i] / (1.0 - own * ground[i])
        })
    };
    let lay = |mask: usize| {
        let light = (0..3).filter(|ink| mask >> ink & 1 == 1).fold(paper, |ground, ink| over(ink, ground));
        Xyz([0, 1, 2].map(|i| light[i] * white[i])).to_lab()
    };
    [3, 5, 6, 7].map(|mask| ciede2000(lay(mask), chart[&solid(mask)].to_lab())).iter().sum::<f64>() / 4.0
}

#[test]
fn layers_foretell_measured_overprints_best_in_narrow_bands_and_thinner_on_wet_ink() {
    // Nine free sets of offset data, printed wet on wet (tests/reference/characterisation.py): solids over paper and over
    // black give layers, layers give overprints.
    let text = include_str!("reference/solids.csv");
    let names: Vec<&str> =
        text.lines().filter(|l| !l.starts_with('#')).skip(1).map(|l| l.split(',').next().unwrap()).collect();
    let rows = table(text, 1);
    let (mut narrow, mut broad, mut less) = (0.0, 0.0, 0.0);
    for set in names.chunks(16).zip(rows.chunks(16)).map(|(names, rows)| (names[0], chart(rows))) {
        let (wide, xyz) = (overprints_of_layers(&set.1, 1.0), overprints_in_xyz(&set.1));
        let wet = overprints_of_layers(&set.1, 0.8);
        println!(
            "{}: {wide:.2} in wide RGB ({wet:.2} with lay-down 0.8 on wet ink), {xyz:.2} in X Y Z",
            set.0
        );
        assert!(wide < xyz, "{}", set.0);
        narrow += wide / 9.0;
        broad += xyz / 9.0;
        less += wet / 9.0;
    }
    // What the heads of src/colour/layer.rs and lay_down.rs say.
    assert!((narrow - 5.1).abs() < 0.1 && (broad - 10.0).abs() < 0.1, "{narrow} {broad}");
    assert!((less - 2.9).abs() < 0.1, "{less}");
}

//! Spaces: linear sRGB, X Y Z, L\*a\*b\* and the wide RGB in which inks are layered.
//!
//! One white for all of it: **D50** with the 2° observer, since that is what instruments for print measure under (ISO 13655)
//! and what ICC profiles exchange. sRGB, whose white is D65, is brought there by the linear Bradford adaptation (ICC.1, annex
//! E), so that an sRGB white is the perfect white, L\*a\*b\* (100, 0, 0). An [`Xyz`] has Y = 1 for that white; negative
//! values and values above it are held as they are.
//!
//! Rejected: D65 throughout. CIEDE2000 was fitted there, and art needs no adaptation, but every measured ink and garment
//! would. Between neighbouring sRGB colours the two whites give the same ΔE00 on average (3.00) and within −6…+12 % for nine
//! pairs in ten.
//!
//! Sources: IEC 61966-2-1 (sRGB primaries; D65 is x 0.3127, y 0.3290), ICC.1:2010 (D50 is 0.9642, 1, 0.8249; Bradford's
//! matrix), CIE 15 (L\*a\*b\*), ITU-R BT.2020 (wide primaries). All matrices are derived from these here, when compiled.

/// A 3 × 3 matrix, by rows.
pub(crate) type Matrix = [[f64; 3]; 3];

/// The white that colours are seen under.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum White {
    /// The white of print, and of everything in this library.
    #[default]
    D50,
    /// The white of screens and of sRGB.
    D65,
}

impl White {
    /// X, Y, Z of a perfect white, Y = 1.
    pub const fn xyz(self) -> [f64; 3] {
        match self {
            Self::D50 => [0.9642, 1.0, 0.8249],
            Self::D65 => from_xy([0.3127, 0.3290]),
        }
    }
}

/// X, Y, Z under D50; Y is 1 for the perfect white.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Xyz(pub [f64; 3]);

/// L\*a\*b\* under D50: lightness 0…100, a\* from green to red, b\* from blue to yellow.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Lab {
    /// Lightness.
    pub l: f64,
    /// Green (negative) to red.
    pub a: f64,
    /// Blue (negative) to yellow.
    pub b: f64,
}

/// Linear sRGB: light, 1 for the white of each channel. Outside of 0…1 beyond sRGB's gamut.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LinearRgb(pub [f64; 3]);

/// Linear light in three narrow bands: the primaries of ITU-R BT.2020 brought to D50. 1 for the white of each channel.
///
/// They are single wavelengths (630, 532 and 467 nm), so an ink's layer acts on each nearly as it does on light of one
/// wavelength, and hardly any real surface lies outside. Why these: see [`layer`](crate::colour::layer).
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WideRgb(pub [f64; 3]);

/// Bradford's cone responses (ICC.1, annex E).
const BRADFORD: Matrix = [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]];

const D65_TO_D50: Matrix = adaptation(White::D65, White::D50);
const D50_TO_D65: Matrix = adaptation(White::D50, White::D65);

const SRGB_TO_XYZ: Matrix = product(&D65_TO_D50, &primaries([[0.64, 0.33], [0.30, 0.60], [0.15, 0.06]]));
const XYZ_TO_SRGB: Matrix = inverse(&SRGB_TO_XYZ);

const WIDE_TO_XYZ: Matrix =
    product(&D65_TO_D50, &primaries([[0.708, 0.292], [0.170, 0.797], [0.131, 0.046]]));
const XYZ_TO_WIDE: Matrix = inverse(&WIDE_TO_XYZ);

impl Xyz {
    /// X, Y, Z (white Y = 1) measured under another white, by the linear Bradford adaptation.
    pub fn under(white: White, xyz: [f64; 3]) -> Self {
        match white {
            White::D50 => Self(xyz),
            White::D65 => Self(apply(&D65_TO_D50, xyz)),
        }
    }

    /// X, Y, Z of the same surface under another white.
    pub fn seen_under(self, white: White) -> [f64; 3] {
        match white {
            White::D50 => self.0,
            White::D65 => apply(&D50_TO_D65, self.0),
        }
    }

    /// L\*a\*b\*. Cost: some 50 ns.
    pub fn to_lab(self) -> Lab {
        Lab::relative_to(self.0, White::D50)
    }

    /// Linear sRGB.
    pub fn to_linear(self) -> LinearRgb {
        LinearRgb(apply(&XYZ_TO_SRGB, self.0))
    }

    /// Linear light in the wide bands.
    pub fn to_wide(self) -> WideRgb {
        WideRgb(apply(&XYZ_TO_WIDE, self.0))
    }
}

impl LinearRgb {
    /// X, Y, Z under D50.
    pub fn to_xyz(self) -> Xyz {
        Xyz(apply(&SRGB_TO_XYZ, self.0))
    }
}

impl WideRgb {
    /// X, Y, Z under D50.
    pub fn to_xyz(self) -> Xyz {
        Xyz(apply(&WIDE_TO_XYZ, self.0))
    }
}

/// (6/29)³: below it L\*a\*b\* is linear.
const KNEE: f64 = 216.0 / 24_389.0;

/// 3 (6/29)², the run of the linear part.
const RUN: f64 = 108.0 / 841.0;

impl Lab {
    /// L\*a\*b\* of X, Y, Z relative to a white, without adaptation: for comparison with figures that were made under it.
    pub fn relative_to(xyz: [f64; 3], white: White) -> Self {
        let f = |t: f64| if t > KNEE { libm::cbrt(t) } else { t / RUN + 4.0 / 29.0 };
        let [xn, yn, zn] = white.xyz();
        let [fx, fy, fz] = [xyz[0] / xn, xyz[1] / yn, xyz[2] / zn].map(f);
        Self { l: 116.0 * fy - 16.0, a: 500.0 * (fx - fy), b: 200.0 * (fy - fz) }
    }

    /// X, Y, Z under D50.
    pub fn to_xyz(self) -> Xyz {
        let f = |t: f64| if t > 6.0 / 29.0 { t * t * t } else { RUN * (t - 4.0 / 29.0) };
        let fy = (self.l + 16.0) / 116.0;
        let [xn, yn, zn] = White::D50.xyz();
        Xyz([xn * f(fy + self.a / 500.0), yn * f(fy), zn * f(fy - self.b / 200.0)])
    }
}

/// X, Y, Z (Y = 1) of chromaticities x, y.
const fn from_xy(xy: [f64; 2]) -> [f64; 3] {
    let [x, y] = xy;
    [x / y, 1.0, (1.0 - x - y) / y]
}

/// RGB under D65 to X, Y, Z, from the primaries' chromaticities: RGB (1, 1, 1) is the white.
const fn primaries(xy: [[f64; 2]; 3]) -> Matrix {
    let (r, g, b) = (from_xy(xy[0]), from_xy(xy[1]), from_xy(xy[2]));
    let columns = [[r[0], g[0], b[0]], [r[1], g[1], b[1]], [r[2], g[2], b[2]]];
    product(&columns, &diagonal(apply(&inverse(&columns), White::D65.xyz())))
}

/// Bradford's adaptation: cone responses scaled from one white to the other.
const fn adaptation(from: White, to: White) -> Matrix {
    let (a, b) = (apply(&BRADFORD, from.xyz()), apply(&BRADFORD, to.xyz()));
    let scale = diagonal([b[0] / a[0], b[1] / a[1], b[2] / a[2]]);
    product(&inverse(&BRADFORD), &product(&scale, &BRADFORD))
}

const fn diagonal(d: [f64; 3]) -> Matrix {
    [[d[0], 0.0, 0.0], [0.0, d[1], 0.0], [0.0, 0.0, d[2]]]
}

pub(crate) const fn apply(m: &Matrix, v: [f64; 3]) -> [f64; 3] {
    [
        m[0][0] * v[0] + m[0][1] * v[1] + m[0][2] * v[2],
        m[1][0] * v[0] + m[1][1] * v[1] + m[1][2] * v[2],
        m[2][0] * v[0] + m[2][1] * v[1] + m[2][2] * v[2],
    ]
}

const fn product(a: &Matrix, b: &Matrix) -> Matrix {
    let (c0, c1, c2) = (
        apply(a, [b[0][0], b[1][0], b[2][0]]),
        apply(a, [b[0][1], b[1][1], b[2][1]]),
        apply(a, [b[0][2], b[1][2], b[2][2]]),
    );
    [[c0[0], c1[0], c2[0]], [c0[1], c1[1], c2[1]], [c0[2], c1[2], c2[2]]]
}

const fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// The inverse by cross products: its columns are those of the other two rows, over the determinant.
const fn inverse(m: &Matrix) -> Matrix {
    let (c0, c1, c2) = (cross(m[1], m[2]), cross(m[2], m[0]), cross(m[0], m[1]));
    let det = m[0][0] * c0[0] + m[0][1] * c0[1] + m[0][2] * c0[2];
    [
        [c0[0] / det, c1[0] / det, c2[0] / det],
        [c0[1] / det, c1[1] / det, c2[1] / det],
        [c0[2] / det, c1[2] / det, c2[2] / det],
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn near(a: [f64; 3], b: [f64; 3], by: f64) -> bool {
        a.iter().zip(b).all(|(a, b)| (a - b).abs() <= by)
    }

    #[test]
    fn white_and_black_are_exact_in_every_space() {
        for (white, black) in [
            (LinearRgb([1.0; 3]).to_xyz(), LinearRgb([0.0; 3]).to_xyz()),
            (WideRgb([1.0; 3]).to_xyz(), WideRgb([0.0; 3]).to_xyz()),
            (Lab { l: 100.0, a: 0.0, b: 0.0 }.to_xyz(), Lab::default().to_xyz()),
            (Xyz::under(White::D65, White::D65.xyz()), Xyz::under(White::D65, [0.0; 3])),
        ] {
            assert!(near(white.0, White::D50.xyz(), 1e-15), "{white:?}");
            assert!(near(black.0, [0.0; 3], 1e-17), "{black:?}");
            let Lab { l, a, b } = white.to_lab();
            assert!(near([l, a, b], [100.0, 0.0, 0.0], 1e-12));
        }
    }

    #[test]
    fn matrices_are_those_of_the_standards() {
        // IEC 61966-2-1: linear sRGB to X Y Z under D65, four decimals.
        let srgb = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];
        // ITU-R BT.2020, table 4: luminance of the primaries, four decimals.
        let wide_y = [0.2627, 0.6780, 0.0593];
        for c in 0..3 {
            let one = [0, 1, 2].map(|i| f64::from(u8::from(i == c)));
            let xyz = LinearRgb(one).to_xyz().seen_under(White::D65);
            assert!(near(xyz, [srgb[0][c], srgb[1][c], srgb[2][c]], 6e-5), "{xyz:?}");
            let wide = WideRgb(one).to_xyz().seen_under(White::D65);
            assert!((wide[1] - wide_y[c]).abs() < 5e-5, "{wide:?}");
        }
        // The adaptation that Little CMS writes into its sRGB profile (its `chad` tag).
        let bradford = [
            [1.047882, 0.022919, -0.050217],
            [0.029587, 0.990479, -0.017075],
            [-0.009247, 0.015076, 0.751678],
        ];
        for (row, expected) in D65_TO_D50.iter().zip(bradford) {
            assert!(near(*row, expected, 3e-5), "{row:?}");
        }
    }

    #[test]
    fn lightness_is_linear_in_the_dark_and_joins_smoothly() {
        // CIE 15: L* = 903.3 Y below 0.008856, here as the exact fractions.
        let grey = |y: f64| Xyz(White::D50.xyz().map(|w| w * y)).to_lab().l;
        assert!((grey(0.005) - 24_389.0 / 27.0 * 0.005).abs() < 1e-12);
        assert!((grey(KNEE * (1.0 + 1e-12)) - grey(KNEE)).abs() < 1e-9);
        assert!((grey(0.18418651851244416) - 50.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn every_way_leads_back(rgb in prop::array::uniform3(-0.2..1.2f64)) {
            let xyz = LinearRgb(rgb).to_xyz();
            prop_assert!(near(xyz.to_linear().0, rgb, 1e-13));
            prop_assert!(near(xyz.to_wide().to_xyz().0, xyz.0, 1e-14));
            prop_assert!(near(xyz.to_lab().to_xyz().0, xyz.0, 1e-13));
            prop_assert!(near(Xyz::under(White::D65, xyz.seen_under(White::D65)).0, xyz.0, 1e-14));
        }
    }
}

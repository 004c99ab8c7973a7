//! The best coverages for one colour.
//!
//! Of all coverages in their bounds those for which
//!
//! ```text
//! ½ ΔE00(print, wanted)²  +  Σ price · c  +  ½ Σ even · c²  +  ½ Σ pull · (c − towards)²
//! ```
//!
//! is least. The first part is the colour; the others choose among the many coverages that print it (six inks for three numbers): little
//! ink, and what neighbouring colours have. ΔE00² near the wanted colour is a quadratic form of L\*a\*b\* ([`Wanted`]), so this is a least-squares problem with
//! bounds, solved by damped Gauss–Newton steps (K. Levenberg, Quart. Appl. Math. 2 (1944) 164), each a quadratic in a box, solved coverage
//! by coverage. Rejected: ΔE00 itself at each step, whose form jumps with hue where a colour
//! cannot be printed, and which says the same near one that can.

use crate::colour::overlap::MAX_PLATES;
use crate::colour::print::Print;
use crate::colour::spaces::{Lab, White, Xyz};

/// Coverages of all plates; those beyond the print's are 0.
pub(super) type Coverages = [f64; MAX_PLATES];

/// Lowest and highest coverage of each plate.
pub(super) type Bounds = [[f64; 2]; MAX_PLATES];

/// Sweeps over the coverages for one step. They end before that where nothing moves.
const SWEEPS: usize = 30;

/// ½ ΔE00² that may be lost to save a whole coverage of base under black.
const HIDDEN: f64 = 1.0;

/// A colour to be printed, with the form that ΔE00² takes about it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted {
    pub(super) colour: Lab,
    /// ΔE00² ≈ |form · (ΔL, Δa, Δb)|².
    form: [[f64; 3]; 3],
}

impl Wanted {
    /// The terms of [`ciede2000`](crate::colour::ciede2000) with both colours at one place: differences of lightness, chroma and
    /// hue over their weights, the product of the last two taken in by a root.
    pub(super) fn new(colour: Lab) -> Self {
        const TWENTY_FIVE_7: f64 = 6_103_515_625.0;
        let seventh = |c: f64| {
            let c2 = c * c;
            let c7 = c2 * c2 * c2 * c;
            c7 / (c7 + TWENTY_FIVE_7)
        };
        let cos = |degrees: f64| libm::cos(degrees.to_radians());
        let Lab { l, a, b } = colour;
        let stretch = 1.5 - 0.5 * seventh((a * a + b * b).sqrt()).sqrt();
        let a = stretch * a;
        let chroma = (a * a + b * b).sqrt();
        let (along, across) = if chroma > 0.0 { (a / chroma, b / chroma) } else { (1.0, 0.0) };
        let hue = libm::atan2(b, a).to_degrees().rem_euclid(360.0);
        let t = 1.0 - 0.17 * cos(hue - 30.0) + 0.24 * cos(2.0 * hue) + 0.32 * cos(3.0 * hue + 6.0)
            - 0.20 * cos(4.0 * hue - 63.0);
        let turn = (hue - 275.0) / 25.0;
        let theta = 30.0 * libm::exp(-turn * turn);
        let mixed = -2.0 * seventh(chroma).sqrt() * libm::sin((2.0 * theta).to_radians());
        let l50 = (l - 50.0) * (l - 50.0);
        let weight_l = 1.0 + 0.015 * l50 / (20.0 + l50).sqrt();
        let (weight_c, weight_h) = (1.0 + 0.045 * chroma, 1.0 + 0.015 * chroma * t);
        let c = [0.0, stretch * along / weight_c, across / weight_c];
        let h = [0.0, -stretch * across / weight_h, along / weight_h];
        let rest = (1.0 - 0.25 * mixed * mixed).sqrt();
        let form = [
            [1.0 / weight_l, 0.0, 0.0],
            std::array::from_fn(|i| c[i] + 0.5 * mixed * h[i]),
            std::array::from_fn(|i| rest * h[i]),
        ];
        Self { colour, form }
    }

    pub(super) fn apart(&self, printed: Lab) -> [f64; 3] {
        let d = [printed.l - self.colour.l, printed.a - self.colour.a, printed.b - self.colour.b];
        self.form.map(|row| row[0] * d[0] + row[1] * d[1] + row[2] * d[2])
    }

    /// A change of the n-th roots of X, Y, Z as a change of colour in the form of ΔE00; `curve` is that of where it happens.
    pub(super) fn seen(&self, curve: &[f64; 3], slope: &[f64; 3]) -> [f64; 3] {
        let [x, y, z]: [f64; 3] = std::array::from_fn(|i| slope[i] * curve[i]);
        let lab = [116.0 * y, 500.0 * (x - y), 200.0 * (y - z)];
        self.form.map(|row| dot(row, lab))
    }
}

/// d(f(X), f(Y), f(Z)) / d(X, Y, Z)^(1/n), with f the curve of L\*a\*b\*.
pub(super) fn curve(roots: [f64; 3], xyz: Xyz, n: f64) -> [f64; 3] {
    let white = White::D50.xyz();
    std::array::from_fn(|i| {
        let t = xyz.0[i] / white[i];
        let f = if t > 216.0 / 24_389.0 {
            let root = libm::cbrt(t);
            1.0 / (3.0 * root * root)
        } else {
            841.0 / 108.0
        };
        // X = rootⁿ
        let power = if n == 1.0 { 1.0 } else { n * xyz.0[i] / roots[i].max(1e-9) };
        f * power / white[i]
    })
}

/// What chooses among coverages that print a colour.
#[derive(Debug, Clone, Copy)]
pub(super) struct Choice {
    /// ½ ΔE00² that a whole coverage of this plate may cost.
    pub(super) price: Coverages,
    /// Against one plate carrying what several could.
    pub(super) even: f64,
    /// Against one plate under another that hides it.
    pub(super) hidden: Option<[usize; 2]>,
    /// How strongly, and towards what, neighbouring colours pull.
    pub(super) pull: Coverages,
    pub(super) towards: Coverages,
    pub(super) bounds: Bounds,
}

impl Choice {
    /// The nearest colour, whatever it takes. (Some tiny price, so that the answer is one.)
    pub(super) fn free() -> Self {
        let nothing = [0.0; MAX_PLATES];
        Self {
            price: nothing,
            even: 1e-4,
            hidden: None,
            pull: nothing,
            towards: nothing,
            bounds: [[0.0, 1.0]; MAX_PLATES],
        }
    }

    fn cost(&self, c: &[f64]) -> f64 {
        let part = |(i, &c): (usize, &f64)| {
            let off = c - self.towards[i];
            self.price[i] * c + 0.5 * self.even * c * c + 0.5 * self.pull[i] * off * off
        };
        let hidden = self.hidden.map_or(0.0, |[base, black]| HIDDEN * c[base] * c[black]);
        c.iter().enumerate().map(part).sum::<f64>() + hidden
    }
}

/// Improves `coverages` (within their bounds) by up to `steps` steps, and tells the printed colour's distance.
pub(super) fn improve(
    print: &Print,
    wanted: &Wanted,
    choice: &Choice,
    coverages: &mut Coverages,
    steps: usize,
) -> f64 {
    let plates = print.inks();
    for (c, [low, high]) in coverages.iter_mut().zip(&choice.bounds) {
        *c = c.max(*low).min(*high);
    }
    let mut slopes = [[0.0; 3]; MAX_PLATES];
    let mut here = Place::of(print, wanted, choice, &coverages[..plates], &mut slopes);
    let mut damping = 1e-3;
    for _ in 0..steps {
        let mut rows = [[0.0; 3]; MAX_PLATES];
        for (row, slope) in rows.iter_mut().zip(&slopes[..plates]) {
            *row = wanted.seen(&here.curve, slope);
        }
        let mut bend = [[0.0; MAX_PLATES]; MAX_PLATES];
        let mut slope = [0.0; MAX_PLATES];
        for i in 0..plates {
            for j in 0..=i {
                bend[i][j] = dot(rows[i], rows[j]);
                bend[j][i] = bend[i][j];
            }
            slope[i] = dot(rows[i], here.apart)
                + choice.price[i]
                + choice.even * coverages[i]
                + choice.pull[i] * (coverages[i] - choice.towards[i]);
        }
        if let Some([base, black]) = choice.hidden {
            slope[base] += HIDDEN * coverages[black];
            slope[black] += HIDDEN * coverages[base];
        }
        for (i, row) in bend.iter_mut().enumerate().take(plates) {
            row[i] += choice.even + choice.pull[i] + damping * (1.0 + row[i]);
        }
        let step = in_box(&bend, &slope, coverages, &choice.bounds, plates);
        if step.iter().all(|d| d.abs() < 1e-4) {
            break;
        }
        let mut next = *coverages;
        for i in 0..plates {
            next[i] = (coverages[i] + step[i]).max(choice.bounds[i][0]).min(choice.bounds[i][1]);
        }
        let mut next_slopes = [[0.0; 3]; MAX_PLATES];
        let there = Place::of(print, wanted, choice, &next[..plates], &mut next_slopes);
        if there.cost <= here.cost {
            let gained = here.cost - there.cost;
            (*coverages, slopes, here) = (next, next_slopes, there);
            damping = (0.3 * damping).max(1e-6);
            if gained < 1e-7 {
                break;
            }
        } else {
            damping *= 10.0;
            if damping > 1e3 {
                break;
            }
        }
    }
    dot(here.apart, here.apart).sqrt()
}

/// What coverages print.
struct Place {
    apart: [f64; 3],
    cost: f64,
    /// [`curve`](fn@curve) there.
    curve: [f64; 3],
}

impl Place {
    fn of(
        print: &Print,
        wanted: &Wanted,
        choice: &Choice,
        coverages: &[f64],
        slopes: &mut [[f64; 3]],
    ) -> Self {
        let roots = print.jacobian(coverages, slopes);
        let xyz = print.of_roots(roots);
        let apart = wanted.apart(xyz.to_lab());
        let curve = curve(roots, xyz, print.yule_nielsen());
        Self { apart, cost: 0.5 * dot(apart, apart) + choice.cost(coverages), curve }
    }
}

/// The step d within the bounds for which slope · d + ½ d · bend · d is least, a coverage at a time.
fn in_box(
    bend: &[Coverages; MAX_PLATES],
    slope: &Coverages,
    at: &Coverages,
    bounds: &Bounds,
    plates: usize,
) -> Coverages {
    let mut step = [0.0; MAX_PLATES];
    for _ in 0..SWEEPS {
        let mut moved = 0.0_f64;
        for i in 0..plates {
            let pull: f64 = slope[i] + (0..plates).map(|j| bend[i][j] * step[j]).sum::<f64>();
            let next = (step[i] - pull / bend[i][i]).max(bounds[i][0] - at[i]).min(bounds[i][1] - at[i]);
            moved = moved.max((next - step[i]).abs());
            step[i] = next;
        }
        if moved < 1e-5 {
            break;
        }
    }
    step
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

//! Plots as SVG: frames with axes, lines, dots and words on warm white paper.

use std::fmt::Write;

pub const INK: &str = "#1c1a19";
/// Of a press as it is.
pub const BEFORE: &str = "#24577a";
/// Of a press compensated.
pub const AFTER: &str = "#b4472b";

const PAPER: &str = "#f8f4ea";
const SOFT: &str = "#766d62";
const FAINT: &str = "#ded6c7";

/// Numbers along a side of a frame.
pub struct Axis {
    title: String,
    from: f64,
    to: f64,
    ticks: Vec<f64>,
    decades: bool,
    /// Ticks without numbers.
    quiet: bool,
}

impl Axis {
    /// An even scale that holds the range and ends on round numbers.
    pub fn linear(title: &str, from: f64, to: f64) -> Self {
        Self::stepped(title, from, to, 6.0)
    }

    fn stepped(title: &str, from: f64, to: f64, most: f64) -> Self {
        let step = round_step((to - from) / most);
        // A range that ends within a hair of a tick ends there.
        let (first, last) = ((from / step + 1e-9).floor(), (to / step - 1e-9).ceil());
        let ticks = (0..=(last - first) as usize).map(|i| (first + i as f64) * step).collect();
        Self {
            title: title.to_owned(),
            from: first * step,
            to: last * step,
            ticks,
            decades: false,
            quiet: false,
        }
    }

    /// A scale of whole decades.
    pub fn decades(title: &str, from: f64, to: f64) -> Self {
        let (first, last) = (from.log10().floor().max(-9.0) as i32, to.log10().ceil() as i32);
        let ticks = (first..=last).map(f64::from).collect();
        let (from, to) = (f64::from(first), f64::from(last.max(first + 1)));
        Self { title: title.to_owned(), from, to, ticks, decades: true, quiet: false }
    }

    /// The same with half as many numbers, for a low frame.
    pub fn few(self) -> Self {
        Self::stepped(&self.title, self.from, self.to, 3.0)
    }

    /// The same without numbers.
    pub fn quiet(self) -> Self {
        Self { quiet: true, ..self }
    }

    /// Where a value lies, 0…1.
    fn part(&self, value: f64) -> f64 {
        let value = if self.decades { value.log10() } else { value };
        ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0)
    }

    fn told(&self, tick: f64) -> String {
        let value = if self.decades { 10_f64.powf(tick) } else { tick };
        let short = |digits: usize| {
            let text = format!("{value:.digits$}");
            if text.contains('.') {
                text.trim_end_matches('0').trim_end_matches('.').to_owned()
            } else {
                text
            }
        };
        match value.abs() {
            ..1e-9 => "0".to_owned(),
            1e-4..1e6 => short(4).replace('-', "−"),
            _ => format!("1e{:.0}", value.abs().log10()).replace('-', "−"),
        }
    }
}

/// 1, 2 or 5 times a power of ten, not below a step.
fn round_step(least: f64) -> f64 {
    let power = 10_f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0]
        .into_iter()
        .map(|m| m * power)
        .find(|&step| step >= least * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

/// A place on the paper with an axis along and an axis up.
pub struct Frame {
    x: f64,
    y: f64,
    width: f64,
    height: f64,
    across: Axis,
    up: Axis,
}

impl Frame {
    pub fn new([x, y, width, height]: [f64; 4], across: Axis, up: Axis) -> Self {
        Self { x, y, width, height, across, up }
    }

    fn place(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.x + self.width * self.across.part(x), self.y + self.height * (1.0 - self.up.part(y)))
    }
}

/// A picture in the making.
pub struct Svg {
    text: String,
}

impl Svg {
    pub fn new(width: f64, height: f64) -> Self {
        let text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" \
             font-family=\"Helvetica, Arial, sans-serif\" font-size=\"12\" fill=\"{INK}\">\n\
             <rect width=\"{width}\" height=\"{height}\" fill=\"{PAPER}\"/>\n"
        );
        Self { text }
    }

    fn words(&mut self, x: f64, y: f64, more: &str, text: &str) {
        let text = text.replace('&', "&amp;").replace('<', "&lt;");
        // What no XML may hold.
        let text: String = text.chars().filter(|c| !c.is_control()).collect();
        let _ = writeln!(self.text, "<text x=\"{x:.1}\" y=\"{y:.1}\" {more}>{text}</text>");
    }

    pub fn title(&mut self, text: &str) {
        self.words(28.0, 40.0, "font-size=\"19\"", text);
    }

    /// Grid, numbers and titles of a frame.
    pub fn frame(&mut self, frame: &Frame, title: &str) {
        let Frame { x, y, width, height, across, up } = frame;
        let (right, below) = (x + width, y + height);
        let rule = |text: &mut String, [a, b, c, d]: [f64; 4]| {
            let _ = writeln!(text, "<path d=\"M{a:.1} {b:.1}L{c:.1} {d:.1}\" stroke=\"{FAINT}\"/>");
        };
        for &tick in &across.ticks {
            let at = x + width * (tick - across.from) / (across.to - across.from);
            rule(&mut self.text, [at, *y, at, below]);
            if !across.quiet {
                self.words(
                    at,
                    below + 18.0,
                    &format!("text-anchor=\"middle\" fill=\"{SOFT}\""),
                    &across.told(tick),
                );
            }
        }
        for &tick in &up.ticks {
            let at = below - height * (tick - up.from) / (up.to - up.from);
            rule(&mut self.text, [*x, at, right, at]);
            self.words(x - 9.0, at + 4.0, &format!("text-anchor=\"end\" fill=\"{SOFT}\""), &up.told(tick));
        }
        if !across.quiet {
            self.words(right, below + 37.0, &format!("text-anchor=\"end\" fill=\"{SOFT}\""), &across.title);
        }
        self.words(*x, y - 12.0, "font-size=\"13\"", title);
    }

    pub fn line(&mut self, frame: &Frame, points: &[(f64, f64)], colour: &str, weight: &str, dashes: &str) {
        let mut path = String::new();
        for (i, &point) in points.iter().enumerate() {
            let (x, y) = frame.place(point);
            let _ = write!(path, "{}{x:.1} {y:.1}", if i == 0 { 'M' } else { 'L' });
        }
        let dashes =
            if dashes.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{dashes}\"") };
        let _ = writeln!(
            self.text,
            "<path d=\"{path}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{weight}\" stroke-linejoin=\"round\"{dashes}/>"
        );
    }

    pub fn dots(&mut self, frame: &Frame, points: &[(f64, f64)], colour: &str) {
        for &point in points {
            let (x, y) = frame.place(point);
            let _ = writeln!(
                self.text,
                "<circle cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"3.4\" fill=\"{PAPER}\" stroke=\"{colour}\" stroke-width=\"1.5\"/>"
            );
        }
    }

    /// Dots that stand on the line of no difference.
    pub fn stems(&mut self, frame: &Frame, points: &[(f64, f64)], colour: &str) {
        for &(x, y) in points {
            self.line(frame, &[(x, 0.0), (x, y)], colour, "1.2", "");
        }
        self.dots(frame, points, colour);
    }

    /// A level of x, in words.
    pub fn mark(&mut self, frame: &Frame, at: f64, text: &str) {
        let (x, _) = frame.place((at, 1.0));
        let (top, below) = (frame.y, frame.y + frame.height);
        let _ = writeln!(
            self.text,
            "<path d=\"M{x:.1} {top:.1}L{x:.1} {below:.1}\" stroke=\"{AFTER}\" stroke-width=\"1\"/>"
        );
        let (anchor, off) = if x > frame.x + 0.6 * frame.width { ("end", -7.0) } else { ("start", 7.0) };
        self.words(x + off, top + 16.0, &format!("text-anchor=\"{anchor}\" fill=\"{AFTER}\""), text);
    }

    /// Words beside a place.
    pub fn label(
        &mut self,
        frame: &Frame,
        at: (f64, f64),
        [dx, dy]: [f64; 2],
        anchor: &str,
        colour: &str,
        text: &str,
    ) {
        let (x, y) = frame.place(at);
        self.words(
            x + dx,
            y + dy,
            &format!("text-anchor=\"{anchor}\" fill=\"{colour}\" font-size=\"13\""),
            text,
        );
    }

    /// What colours mean, on the line of the frame's title, from its right end.
    pub fn key(&mut self, frame: &Frame, entries: &[(&str, &str)]) {
        // No viewer tells how wide its letters are: 7.4 pixels each are enough for those of 13.
        let mut right = frame.x + frame.width;
        for (colour, text) in entries.iter().rev() {
            self.words(
                right,
                frame.y - 12.0,
                &format!("text-anchor=\"end\" fill=\"{colour}\" font-size=\"13\""),
                text,
            );
            right -= 7.4 * text.chars().count() as f64 + 18.0;
        }
    }

    pub fn finish(mut self) -> String {
        self.text += "</svg>\n";
        self.text
    }
}

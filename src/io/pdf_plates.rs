//! PDF plates: pictures whose colour space is the job's own inks (ISO 32000-1, 8.6.6.4 Separation and 8.6.6.5 DeviceN), a page of true
//! size each, packed by Flate over differences (7.4.4, predictor 2).
//!
//! A device that has the inks takes the samples as they are: 0 is no ink. For all others a function of the tints makes a colour (7.10.5):
//! each ink laid over what is there by as much as it covers.

use std::io::{self, Write};

use flate2::Compression;
use flate2::write::ZlibEncoder;

use crate::io::InkPlate;
use crate::io::hand_over::{big_endian, differences};
use crate::io::pdf_file::{Id, Page, PdfFile, number};
use crate::plate::Tone;
use crate::units::Resolution;

/// Of 0…9: contone plates are hardly smaller at twice the time.
const LEVEL: u32 = 4;

pub(crate) struct PdfPlates<W: Write> {
    file: PdfFile<W>,
    size: [usize; 2],
    page: Page,
    ground: [u8; 3],
    tree: Id,
    pages: Vec<Id>,
}

/// A page whose picture is being written.
pub(crate) struct PlatePage<'p, W: Write> {
    picture: ZlibEncoder<&'p mut PdfFile<W>>,
    inks: usize,
    bytes: Vec<u8>,
    /// What is written once the picture is complete.
    rest: Rest<'p>,
}

struct Rest<'p> {
    page: &'p Page,
    tree: Id,
    pages: &'p mut Vec<Id>,
    picture: Id,
}

impl<W: Write> PdfPlates<W> {
    pub(crate) fn new(out: W, size: [usize; 2], resolution: Resolution, ground: [u8; 3]) -> io::Result<Self> {
        let mut file = PdfFile::new(out)?;
        let tree = file.reserve();
        let page = Page::new(size[0], size[1], resolution);
        Ok(Self { file, size, page, ground, tree, pages: Vec::new() })
    }

    /// Begins a page of the given inks.
    pub(crate) fn page<T: Tone>(&mut self, inks: &[InkPlate<'_>]) -> io::Result<PlatePage<'_, W>> {
        let file = &mut self.file;
        let (tint, space, picture) = (file.reserve(), file.reserve(), file.reserve());
        let domain = "0 1 ".repeat(inks.len());
        let shown: Vec<[u8; 3]> = inks.iter().map(|ink| ink.shown).collect();
        file.stream(
            tint,
            &format!("/FunctionType 4 /Domain [{}] /Range [0 1 0 1 0 1]", domain.trim_end()),
            tint_program(&shown, self.ground).as_bytes(),
        )?;
        let names: Vec<String> = inks.iter().map(|ink| name(ink.name)).collect();
        file.object(
            space,
            &match names.as_slice() {
                [only] => format!("[/Separation {only} /DeviceRGB {tint}]"),
                all => format!("[/DeviceN [{}] /DeviceRGB {tint}]", all.join(" ")),
            },
        )?;
        let bits = if T::SOLID == 255 { 8 } else { 16 };
        let [width, height] = self.size;
        file.begin_stream(
            picture,
            &format!(
                "/Type /XObject /Subtype /Image /Width {width} /Height {height} /BitsPerComponent {bits} \
                 /ColorSpace {space} /Filter /FlateDecode /DecodeParms << /Predictor 2 /Colors {} \
                 /BitsPerComponent {bits} /Columns {width} >>",
                inks.len()
            ),
        )?;
        let rest = Rest { page: &self.page, tree: self.tree, pages: &mut self.pages, picture };
        let picture = ZlibEncoder::new(file, Compression::new(LEVEL));
        Ok(PlatePage { picture, inks: inks.len(), bytes: Vec::new(), rest })
    }

    pub(crate) fn finish(self) -> io::Result<W> {
        self.file.finish(self.tree, &self.pages)
    }
}

impl<W: Write> PlatePage<'_, W> {
    /// Takes the next row, samples side by side; leaves differences in it.
    pub(crate) fn row<T: Tone>(&mut self, row: &mut [T]) -> io::Result<()> {
        differences(row, self.inks);
        self.bytes.clear();
        big_endian(row, &mut self.bytes);
        self.picture.write_all(&self.bytes)
    }

    pub(crate) fn finish(self) -> io::Result<()> {
        let Rest { page, tree, pages, picture } = self.rest;
        let file = self.picture.finish()?;
        file.end_stream()?;
        let (this, content) = (file.reserve(), file.reserve());
        file.stream(content, "", page.content("Plates").as_bytes())?;
        let entries = page.entries();
        file.object(
            this,
            &format!(
                "<< /Type /Page /Parent {tree} {entries} /Contents {content} \
                 /Resources << /XObject << /Plates {picture} >> >> >>"
            ),
        )?;
        pages.push(this);
        Ok(())
    }
}

/// The tint transform: tints in printing order to red, green and blue. Each is g(1 − t₁)…(1 − tₙ) + …, computed as x ← x + t (k − x) for
/// one ink after the other.
fn tint_program(inks: &[[u8; 3]], ground: [u8; 3]) -> String {
    let part = |level: u8| number(f64::from(level) / 255.0);
    let mut program = "{".to_owned();
    for channel in 0..3 {
        program += &format!(" {}", part(ground[channel]));
        for (i, ink) in inks.iter().enumerate() {
            // On the stack: the tints, the channels done before, x, k − x. The tint lies below all but the first i of them.
            let depth = inks.len() - 1 - i + channel + 2;
            program += &format!(" dup neg {} add {depth} index mul add", part(ink[channel]));
        }
    }
    // The colour below the tints, and these thrown away.
    program += &format!(" {} 3 roll", inks.len() + 3);
    program += &" pop".repeat(inks.len());
    program + " }"
}

/// A name object (7.3.5): what is no plain character is written by its number.
pub(crate) fn name(text: &str) -> String {
    let mut name = "/".to_owned();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-_.+".contains(&byte) {
            name.push(char::from(byte));
        } else {
            name += &format!("#{byte:02X}");
        }
    }
    name
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The operators of ISO 32000-1, 7.10.5 that the program uses.
    fn execute(program: &str, tints: &[f64]) -> Vec<f64> {
        let mut stack = tints.to_vec();
        for word in program.trim_matches(['{', '}', ' ']).split(' ') {
            let mut pop = || stack.pop().unwrap();
            match word {
                "dup" => stack.extend_from_within(stack.len() - 1..),
                "neg" => {
                    let x = pop();
                    stack.push(-x);
                }
                "add" => {
                    let (b, a) = (pop(), pop());
                    stack.push(a + b);
                }
                "mul" => {
                    let (b, a) = (pop(), pop());
                    stack.push(a * b);
                }
                "index" => {
                    let depth = pop() as usize;
                    stack.push(stack[stack.len() - 1 - depth]);
                }
                "roll" => {
                    let (by, count) = (pop() as usize, pop() as usize);
                    let from = stack.len() - count;
                    stack[from..].rotate_right(by);
                }
                "pop" => {
                    pop();
                }
                number => stack.push(number.parse().unwrap()),
            }
        }
        stack
    }

    #[test]
    fn tints_become_the_colour_of_coats() {
        let inks = [[255, 255, 255], [200, 30, 40], [10, 20, 200], [0, 0, 0]];
        let ground = [20, 60, 30];
        for count in 1..=4 {
            let program = tint_program(&inks[..count], ground);
            for tints in [[0.0; 4], [1.0, 0.0, 0.0, 0.0], [0.3, 0.6, 0.1, 0.9], [1.0; 4]] {
                let colour = execute(&program, &tints[..count]);
                let mut expected = ground.map(f64::from);
                for (ink, t) in inks[..count].iter().zip(tints) {
                    for (x, k) in expected.iter_mut().zip(ink) {
                        *x = *x * (1.0 - t) + t * f64::from(*k);
                    }
                }
                assert_eq!(colour.len(), 3);
                for (got, expected) in colour.iter().zip(expected) {
                    assert!((got - expected / 255.0).abs() < 1e-5, "{count} {tints:?}: {colour:?}");
                }
            }
        }
    }

    #[test]
    fn names_are_spelled_out() {
        assert_eq!(name("Straw-2"), "/Straw-2");
        assert_eq!(name("Sky Blue #1 (ä)"), "/Sky#20Blue#20#231#20#28#C3#A4#29");
    }
}

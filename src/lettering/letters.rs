//! The letter set: what strokes a character is made of.
//!
//! Drawn for this library on a grid of 20 units for the height of a capital. Its proportions are those of technical lettering with
//! one stroke width, which is made to be read small, from afar and through a copier: small letters 7/10 of a capital, 3/10 below
//! the line, stroke 1/10, 2/10 between letters, 6/10 between words (ISO 3098, type B; from memory). The shapes are our own.
//!
//! An accented letter is a letter and a mark, centred on it; a mark may also follow its letter as a character of its own (Unicode's
//! combining marks). Rejected: a font crate with an open font, some hundred kilobytes and half a dozen crates for outlines that must
//! then be filled, hinted and licensed, where lines of one width are all that a film's margin needs.

/// Height of a capital from stroke to stroke, in units of the grid: y is 0 at its top and this at the line it stands on.
pub(super) const CAPITAL: f64 = 20.0;

/// What a word space adds to the air between letters.
const SPACE: f64 = 3.0;

/// How far marks go up on a capital.
const UP: f64 = 6.0;

/// A character, then its strokes: points `x,y` with `;` between strokes. A point behind `~` is a corner that is rounded: the curve
/// from the point before to the point after is the ellipse's quarter that touches both sides of the corner.
const LETTERS: &str = "\
A 0,20 7,0 14,20;2.45,13 11.55,13
B 0,9.7 0,0 6.5,0 ~11.2,0 11.2,4.85 ~11.2,9.7 6.5,9.7 0,9.7 0,20 7,20 ~12.2,20 12.2,14.85 ~12.2,9.7 6.5,9.7
C 13.4,4.6 ~12.4,0 7.2,0 ~0,0 0,10 ~0,20 7.2,20 ~12.4,20 13.4,15.4
D 0,0 0,20 5,20 ~13.5,20 13.5,10 ~13.5,0 5,0 0,0
E 11,0 0,0 0,20 11,20;0,9.7 9,9.7
F 11,0 0,0 0,20;0,9.7 9,9.7
G 13.4,4.6 ~12.4,0 7.2,0 ~0,0 0,10 ~0,20 7.2,20 ~14,20 14,13.5 14,11 8.5,11
H 0,0 0,20;13,0 13,20;0,9.7 13,9.7
I 0,0 0,20
J 9,0 9,14.5 ~9,20 4.5,20 ~0.6,20 0,15.6
K 0,0 0,20;12,0 0,12.5;4.4,7.9 12.5,20
L 0,0 0,20 10,20
M 0,20 0,0 8,14 16,0 16,20
N 0,20 0,0 13,20 13,0
O 7.5,0 ~15,0 15,10 ~15,20 7.5,20 ~0,20 0,10 ~0,0 7.5,0
P 0,20 0,0 6.5,0 ~12,0 12,5.6 ~12,11.2 6.5,11.2 0,11.2
Q 7.5,0 ~15,0 15,10 ~15,20 7.5,20 ~0,20 0,10 ~0,0 7.5,0;9,14.6 14.6,21.2
R 0,20 0,0 6.5,0 ~12,0 12,5.6 ~12,11.2 6.5,11.2 0,11.2;6.6,11.2 12.4,20
S 11.6,4.6 ~11,0 6.1,0 ~0.6,0 0.6,4.8 ~0.6,8.7 6.1,9.8 ~12,11 12,15.2 ~12,20 6,20 ~0.6,20 0,15.2
T 0,0 13,0;6.5,0 6.5,20
U 0,0 0,13.5 ~0,20 6.5,20 ~13,20 13,13.5 13,0
V 0,0 7,20 14,0
W 0,0 5,20 10,2 15,20 20,0
X 0,0 13,20;13,0 0,20
Y 0,0 6.5,10 13,0;6.5,10 6.5,20
Z 0.4,0 12,0 0,20 12.4,20
a 10,6 10,20;10,13 ~10,6 5,6 ~0,6 0,13 ~0,20 5,20 ~10,20 10,13
b 0,0 0,20;0,13 ~0,6 5,6 ~10,6 10,13 ~10,20 5,20 ~0,20 0,13
c 9.2,9.4 ~8.6,6 5.1,6 ~0,6 0,13 ~0,20 5.1,20 ~8.6,20 9.2,16.6
d 10,0 10,20;10,13 ~10,6 5,6 ~0,6 0,13 ~0,20 5,20 ~10,20 10,13
e 0,12.8 10,12.8 ~10,6 5,6 ~0,6 0,13 ~0,20 5.2,20 ~8.7,20 9.6,16.9
f 7,0 6,0 ~2.5,0 2.5,3.6 2.5,20;0,6 6.5,6
g 10,13 ~10,6 5,6 ~0,6 0,13 ~0,20 5,20 ~10,20 10,13;10,6 10,20.5 ~10,26 5,26 ~1.4,26 0.5,23.6
h 0,0 0,20;0,12 ~0,6 5,6 ~9.5,6 9.5,11.5 9.5,20
i 0,6 0,20;0,1 0,1.4
j 4,6 4,21.5 ~4,26 0,26;4,1 4,1.4
k 0,0 0,20;9,6 0,14.5;3.4,11.3 9.3,20
l 0,0 0,16.6 ~0,20 3.2,20
m 0,6 0,20;0,11.2 ~0,6 4.2,6 ~8,6 8,10.6 8,20;8,11.2 ~8,6 12.2,6 ~16,6 16,10.6 16,20
n 0,6 0,20;0,12 ~0,6 5,6 ~9.5,6 9.5,11.5 9.5,20
o 5.3,6 ~10.6,6 10.6,13 ~10.6,20 5.3,20 ~0,20 0,13 ~0,6 5.3,6
p 0,6 0,26;0,13 ~0,6 5,6 ~10,6 10,13 ~10,20 5,20 ~0,20 0,13
q 10,6 10,26;10,13 ~10,6 5,6 ~0,6 0,13 ~0,20 5,20 ~10,20 10,13
r 0,6 0,20;0,12 ~0,6 5,6 6,6.2
s 8.6,8.9 ~8,6 4.6,6 ~0.4,6 0.4,9.3 ~0.4,12.2 4.6,12.8 ~9,13.4 9,16.5 ~9,20 4.5,20 ~0.6,20 0,17
t 2.6,1.5 2.6,16.4 ~2.6,20 6.2,20 7,19.9;0,6 6.8,6
u 0,6 0,14.5 ~0,20 4.5,20 ~9.5,20 9.5,14;9.5,6 9.5,20
v 0,6 5,20 10,6
w 0,6 3.75,20 7.5,7.5 11.25,20 15,6
x 0,6 9.5,20;9.5,6 0,20
y 0,6 5,20;10,6 3.6,23.9 ~2.9,26 0.6,26
z 0.3,6 9,6 0,20 9.3,20
0 6,0 ~12,0 12,10 ~12,20 6,20 ~0,20 0,10 ~0,0 6,0
1 0,4.4 5,0 5,20
2 0.4,5.4 ~0.4,0 6,0 ~11.6,0 11.6,5.2 ~11.6,8.6 8.2,11.9 0,20 12,20
3 0.7,4.2 ~1.6,0 6,0 ~11.4,0 11.4,4.8 ~11.4,9.6 5.4,9.6 ~12,9.6 12,14.8 ~12,20 6,20 ~0.9,20 0,15.4
4 9.4,20 9.4,0 0,14.4 12.6,14.4
5 11,0 1.6,0 0.9,9 ~2.9,7.4 6,7.4 ~12,7.4 12,13.7 ~12,20 5.9,20 ~0.9,20 0,15.9
6 10.8,2.6 ~9.4,0 6.6,0 ~0,0 0,11 0,13.8 ~0,20 6,20 ~12,20 12,13.8 ~12,7.7 6,7.7 ~0,7.7 0,13.8
7 0,0 11.6,0 4,20
8 6,0 ~11.2,0 11.2,4.7 ~11.2,9.4 6,9.4 ~0.8,9.4 0.8,4.7 ~0.8,0 6,0;6,9.4 ~12,9.4 12,14.7 ~12,20 6,20 ~0,20 0,14.7 ~0,9.4 6,9.4
9 1.2,17.4 ~2.6,20 5.4,20 ~12,20 12,9 12,6.2 ~12,0 6,0 ~0,0 0,6.2 ~0,12.3 6,12.3 ~12,12.3 12,6.2
! 0,0 0,13.6;0,19.7 0,20
\" 0,0 0,5;4,0 4,5
# 4.6,1 2.6,19;10.4,1 8.4,19;0.8,6.6 13,6.6;0,13.4 12.2,13.4
$ 11.6,5.4 ~11,1.6 6.1,1.6 ~0.6,1.6 0.6,5.8 ~0.6,9 6.1,10 ~12,11.1 12,14.6 ~12,18.6 6,18.6 ~0.6,18.6 0,14.8;6,-1.6 6,21.8
% 14,0 2,20;3.3,0 ~6.6,0 6.6,4.3 ~6.6,8.6 3.3,8.6 ~0,8.6 0,4.3 ~0,0 3.3,0;12.7,11.4 ~16,11.4 16,15.7 ~16,20 12.7,20 ~9.4,20 9.4,15.7 ~9.4,11.4 12.7,11.4
& 13.6,20 4,7.2 ~2.5,5.3 2.5,3.7 ~2.5,0 6,0 ~9.5,0 9.5,3.7 ~9.5,6.6 5.7,8.9 ~0,12.2 0,15.4 ~0,20 5.4,20 ~10.6,20 12.8,12.4
' 0,0 0,5
( 4,-2 ~0,2.5 0,10.5 ~0,18.5 4,23
) 0,-2 ~4,2.5 4,10.5 ~4,18.5 0,23
* 4.4,0.4 4.4,9.6;0.4,2.7 8.4,7.3;8.4,2.7 0.4,7.3
+ 6,6 6,18;0,12 12,12
, 1.8,19.6 1.8,20 0,23.4
- 0,12 7,12
. 0,19.7 0,20
/ 9,-1 0,22
: 0,8.2 0,8.5;0,19.7 0,20
; 1.8,8.2 1.8,8.5;1.8,19.6 1.8,20 0,23.4
< 11,6.4 0,12 11,17.6
= 0,9 12,9;0,15 12,15
> 0,6.4 11,12 0,17.6
? 0,4.8 ~0,0 5,0 ~10,0 10,4.6 ~10,7.6 7.4,9.6 ~5,11.4 5,14;5,19.7 5,20
@ 13,6.4 13,12.4 ~13,15 15.4,15 ~18,15 18,10 ~18,0 9.2,0 ~0,0 0,10.5 ~0,21 9.6,21 ~12.6,21 14.6,19.6;13,10.6 ~13,6.2 9,6.2 ~5,6.2 5,10.6 ~5,15 9,15 ~13,15 13,10.6
[ 4,-2 0,-2 0,23 4,23
\\ 0,-1 9,22
] 0,-2 4,-2 4,23 0,23
^ 0,6.5 5,0 10,6.5
_ 0,24 13,24
` 0,0 3,3.5
{ 6,-2 ~3,-2 3,1.5 3,7.5 ~3,10.5 0,10.5 ~3,10.5 3,13.5 3,19.5 ~3,23 6,23
| 0,-2 0,23
} 0,-2 ~3,-2 3,1.5 3,7.5 ~3,10.5 6,10.5 ~3,10.5 3,13.5 3,19.5 ~3,23 0,23
~ 0,13.6 ~0.6,10.4 3.4,10.4 ~5,10.4 6.2,12 ~7.4,13.6 9,13.6 ~11.8,13.6 12.4,10.4
° 3,0 ~6,0 6,3 ~6,6 3,6 ~0,6 0,3 ~0,0 3,0
µ 0,6 0,26;0,14.5 ~0,20 4.5,20 ~9.5,20 9.5,14;9.5,6 9.5,20
× 0.4,7.4 9.6,16.6;9.6,7.4 0.4,16.6
÷ 0,12 12,12;6,6.6 6,6.9;6,17.1 6,17.4
± 6,4 6,14;0,9 12,9;0,18 12,18
– 0,12 12,12
— 0,12 20,12
· 0,11.8 0,12.1
• 0.8,11.4 ~1.6,11.4 1.6,12.2 ~1.6,13 0.8,13 ~0,13 0,12.2 ~0,11.4 0.8,11.4
… 0,19.7 0,20;5,19.7 5,20;10,19.7 10,20
‘ 1.8,0 0,3.4 0,4.4
’ 1.8,0 1.8,0.8 0,4.4
“ 1.8,0 0,3.4 0,4.4;6.3,0 4.5,3.4 4.5,4.4
” 1.8,0 1.8,0.8 0,4.4;6.3,0 6.3,0.8 4.5,4.4
‚ 1.8,19.6 1.8,20 0,23.4
„ 1.8,19.6 1.8,20 0,23.4;6.3,19.6 6.3,20 4.5,23.4
« 5,8 0,13 5,18;10.5,8 5.5,13 10.5,18
» 0,8 5,13 0,18;5.5,8 10.5,13 5.5,18
¡ 0,6.4 0,20;0,0 0,0.3
¿ 10,15.2 ~10,20 5,20 ~0,20 0,15.4 ~0,12.4 2.6,10.4 ~5,8.6 5,6;5,0 5,0.3
¹ 0,2 2.6,0 2.6,9
² 0,2.6 ~0,0 3,0 ~5.8,0 5.8,2.5 ~5.8,4 4.2,5.4 0,9 6,9
³ 0,1.4 ~0.6,0 3,0 ~5.7,0 5.7,2.1 ~5.7,4.2 2.8,4.2 ~6,4.2 6,6.6 ~6,9 3,9 ~0.4,9 0,7.4
€ 13,3.6 ~11.8,0 8,0 ~1.8,0 1.8,10 ~1.8,20 8,20 ~11.8,20 13,16.4;0,7.8 9.6,7.8;0,12.2 9.6,12.2
£ 11,4 ~10.4,0 6.8,0 ~2.8,0 2.8,4.6 2.8,15 ~2.8,19 0,20 12,20;0,10.4 8.4,10.4
ß 0,20 0,5.2 ~0,0 4.8,0 ~9.2,0 9.2,4.2 ~9.2,7.6 5,8.6 ~10.5,9.4 10.5,14.4 ~10.5,20 4.4,20
Æ 0,20 9,0 19,0;9.6,0 9.6,20 19,20;9.6,9.7 17,9.7;3.2,13 9.6,13
æ 9.4,6 9.4,13 9.4,16 ~9.4,20 4.7,20 ~0,20 0,16.3 ~0,12.7 4.7,12.7 9.4,12.7;1,8.6 ~2,6 5,6 ~9.4,6 9.4,10.4;9.4,12.8 18.4,12.8 ~18.4,6 13.9,6 ~9.4,6 9.4,12.8;9.4,14 ~9.4,20 14.2,20 ~17.4,20 18.2,16.9
Œ 10,0 7.5,0 ~0,0 0,10 ~0,20 7.5,20 20,20;20,0 10,0 10,20;10,9.7 18,9.7
œ 5,6 ~9.6,6 9.6,13 ~9.6,20 5,20 ~0,20 0,13 ~0,6 5,6;9.6,12.8 18.8,12.8 ~18.8,6 14.2,6 ~9.6,6 9.6,13 ~9.6,20 14.4,20 ~17.6,20 18.4,16.9
Ø 7.5,0 ~15,0 15,10 ~15,20 7.5,20 ~0,20 0,10 ~0,0 7.5,0;1,21.4 14,-1.4
ø 5.3,6 ~10.6,6 10.6,13 ~10.6,20 5.3,20 ~0,20 0,13 ~0,6 5.3,6;0.4,21.2 10.2,4.8
Ł 2,0 2,20 12,20;0,13 7.4,7.6
ł 2,0 2,16.6 ~2,20 5.2,20;0,12.4 4.6,8.4
Đ 2,0 2,20 7,20 ~15.5,20 15.5,10 ~15.5,0 7,0 2,0;0,9.7 7,9.7
đ 10,0 10,20;10,13 ~10,6 5,6 ~0,6 0,13 ~0,20 5,20 ~10,20 10,13;5.4,3 12.4,3
Þ 0,0 0,20;0,4.4 6.5,4.4 ~12,4.4 12,9.9 ~12,15.4 6.5,15.4 0,15.4
þ 0,0 0,26;0,13 ~0,6 5,6 ~10,6 10,13 ~10,20 5,20 ~0,20 0,13
ð 10.4,13 ~10.4,6.4 5.2,6.4 ~0,6.4 0,13.2 ~0,20 5.2,20 ~10.4,20 10.4,13 ~10.4,5 3.4,0;2,5 8.4,1.6
Ħ 2,0 2,20;15,0 15,20;2,9.7 15,9.7;0,4.6 17,4.6
ħ 2,0 2,20;2,12 ~2,6 7,6 ~11.5,6 11.5,11.5 11.5,20;0,3 7,3
ı 0,6 0,20
ȷ 4,6 4,21.5 ~4,26 0,26";

/// Shown for a character that is not in the set.
const BOX: &str = "0,1 0,20 10,20 10,1 0,1;0,1 10,20";

/// Marks, as their combining characters, around x = 0 for a small letter; then the letters that carry them and what those are made of.
const MARKS: [(char, &str, &str, &str); 15] = [
    ('\u{300}', "-2.2,-0.4 1.4,2.8", "ÀÈÌÒÙàèìòùǸǹ", "AEIOUaeıouNn"),
    ('\u{301}', "2.2,-0.4 -1.4,2.8", "ÁÉÍÓÚÝáéíóúýĆćĹŃńŔŕŚśŹź", "AEIOUYaeıouyCcLNnRrSsZz"),
    ('\u{302}', "-3,2.6 0,-0.4 3,2.6", "ÂÊÎÔÛâêîôûĈĉĜĝĤĴĵŜŝŴŵŶŷ", "AEIOUaeıouCcGgHJȷSsWwYy"),
    (
        '\u{303}',
        "-4,2.4 ~-3.4,0 -1.8,0 ~-0.8,0 0,1.2 ~0.8,2.4 1.8,2.4 ~3.4,2.4 4,0",
        "ÃÑÕãñõĨĩŨũ",
        "ANOanoIıUu",
    ),
    ('\u{304}', "-3.4,1.4 3.4,1.4", "ĀāĒēĪīŌōŪū", "AaEeIıOoUu"),
    ('\u{306}', "-3,-0.4 ~-2.6,2.4 0,2.4 ~2.6,2.4 3,-0.4", "ĂăĔĕĞğĬĭŎŏŬŭ", "AaEeGgIıOoUu"),
    ('\u{307}', "0,1 0,1.4", "ĊċĖėĠġİŻż", "CcEeGgIZz"),
    ('\u{308}', "-2.6,1 -2.6,1.4;2.6,1 2.6,1.4", "ÄËÏÖÜŸäëïöüÿ", "AEIOUYaeıouy"),
    ('\u{30a}', "0,-1.2 ~2.2,-1.2 2.2,1 ~2.2,3.2 0,3.2 ~-2.2,3.2 -2.2,1 ~-2.2,-1.2 0,-1.2", "ÅåŮů", "AaUu"),
    ('\u{30b}', "-0.4,-0.4 -3,2.8;3.6,-0.4 1,2.8", "ŐőŰű", "OoUu"),
    ('\u{30c}', "-3,-0.4 0,2.6 3,-0.4", "ČčĎĚěŇňŘřŠšŤŽž", "CcDEeNnRrSsTZz"),
    // A caron on a tall letter stands behind it.
    ('\u{315}', "0,0 0,0.8 -1.6,4.4", "ďľťĽ", "dltL"),
    ('\u{326}', "0.8,23.4 -0.8,26.6", "ĢĶķĻļŅņŖŗȘșȚț", "GKkLlNnRrSsTt"),
    ('\u{327}', "0.2,20 0,21.8 ~2.8,21.8 2.8,23.9 ~2.8,26 0,26 -1.8,25.6", "ÇçŞşŢţ", "CcSsTt"),
    ('\u{328}', "0,20 ~-2.4,22 -2.4,23.8 ~-2.4,26 0,26 1.4,25.7", "ĄąĘęĮįŲų", "AaEeIiUu"),
];

/// A point of a stroke, or the corner that a curve rounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Node {
    pub(super) x: f64,
    pub(super) y: f64,
    pub(super) corner: bool,
}

/// A character's strokes, moved so that their left end is at x = 0.
#[derive(Debug, Default)]
pub(super) struct Glyph {
    pub(super) strokes: Vec<Vec<Node>>,
    pub(super) width: f64,
}

/// The glyphs of a text, each with the marks that follow it.
pub(super) fn glyphs(text: &str) -> impl Iterator<Item = Glyph> + '_ {
    let mut rest = text.chars().peekable();
    std::iter::from_fn(move || {
        let (letter, mut marks) = taken_apart(rest.next()?);
        while let Some(mark) = rest.next_if(|&c| is_mark(c)) {
            marks.push(mark);
        }
        Some(glyph(letter, &marks))
    })
}

/// A letter and its marks.
fn taken_apart(character: char) -> (char, Vec<char>) {
    let alike = match character {
        '\u{3bc}' => 'µ',
        '\u{a0}' | '\u{202f}' => ' ',
        '\u{2010}' | '\u{2011}' | '\u{2212}' => '-',
        '\u{2032}' => '\'',
        '\u{2033}' => '"',
        other => other,
    };
    let composed = MARKS.iter().find_map(|(mark, _, composed, letters)| {
        let at = composed.chars().position(|c| c == alike)?;
        Some((letters.chars().nth(at)?, vec![*mark]))
    });
    composed.unwrap_or((alike, Vec::new()))
}

/// Whether a character is a mark on the letter before it.
pub(super) fn is_mark(character: char) -> bool {
    mark(character).is_some()
}

fn mark(character: char) -> Option<&'static str> {
    MARKS.iter().find(|mark| mark.0 == character).map(|mark| mark.1)
}

fn glyph(letter: char, marks: &[char]) -> Glyph {
    if letter == ' ' {
        return Glyph { strokes: Vec::new(), width: SPACE };
    }
    let line = LETTERS.lines().find_map(|line| line.strip_prefix(letter)?.strip_prefix(' '));
    let mut strokes = parsed(line.unwrap_or(BOX));
    let [left, right] = ends(&strokes);
    for &mark in marks {
        let is_tall = letter.is_uppercase() || "bdfhklt".contains(letter);
        let above = !matches!(mark, '\u{315}' | '\u{326}' | '\u{327}' | '\u{328}');
        let x = match mark {
            '\u{315}' => right + 2.6,
            '\u{328}' if letter != 'u' => right - 1.0,
            _ => (left + right) / 2.0,
        };
        let y = if above && is_tall { -UP } else { 0.0 };
        for mut stroke in parsed(self::mark(mark).unwrap_or(BOX)) {
            stroke.iter_mut().for_each(|node| (node.x, node.y) = (node.x + x, node.y + y));
            strokes.push(stroke);
        }
    }
    let [left, right] = ends(&strokes);
    strokes.iter_mut().flatten().for_each(|node| node.x -= left);
    Glyph { strokes, width: right - left }
}

/// The least and the largest x of what the strokes pass through.
fn ends(strokes: &[Vec<Node>]) -> [f64; 2] {
    let on = strokes.iter().flatten().filter(|node| !node.corner);
    on.fold([f64::INFINITY, f64::NEG_INFINITY], |[left, right], node| [left.min(node.x), right.max(node.x)])
}

fn parsed(strokes: &str) -> Vec<Vec<Node>> {
    let node = |text: &str| {
        let (corner, text) = text.strip_prefix('~').map_or((false, text), |text| (true, text));
        let number = |text: &str| text.parse().expect("a number of the letter set");
        let (x, y) = text.split_once(',').expect("a point of the letter set");
        Node { x: number(x), y: number(y), corner }
    };
    strokes.split(';').map(|stroke| stroke.split(' ').map(node).collect()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_letter_is_well_drawn() {
        let mut seen = Vec::new();
        for line in LETTERS.lines() {
            let letter = line.chars().next().unwrap();
            assert!(!seen.contains(&letter), "{letter} twice");
            seen.push(letter);
        }
        for printable in '!'..='~' {
            assert!(seen.contains(&printable), "{printable} is missing");
        }
        for (mark, _, composed, letters) in MARKS {
            assert_eq!(composed.chars().count(), letters.chars().count(), "{mark:?}");
            for (letter, part) in composed.chars().zip(letters.chars()) {
                assert!(seen.contains(&part) && !seen.contains(&letter), "{letter} of {part}");
                seen.push(letter);
            }
        }
        for letter in seen.into_iter().chain(['\u{301}', '☂']) {
            let glyph = glyphs(letter.encode_utf8(&mut [0; 4])).next().unwrap();
            assert!(!glyph.strokes.is_empty() && (0.0..=20.0).contains(&glyph.width), "{letter}");
            for stroke in &glyph.strokes {
                // Begins and ends on a point, and no corner follows a corner.
                assert!(
                    stroke.len() > 1 && !stroke[0].corner && !stroke[stroke.len() - 1].corner,
                    "{letter}"
                );
                assert!(stroke.windows(2).all(|pair| !(pair[0].corner && pair[1].corner)), "{letter}");
                assert!(stroke.iter().all(|node| (-7.5..=27.0).contains(&node.y)), "{letter}");
            }
        }
    }

    #[test]
    fn a_mark_may_follow_its_letter() {
        let strokes = |text| glyphs(text).map(|glyph| glyph.strokes).collect::<Vec<_>>();
        assert_eq!(strokes("a\u{308}r"), strokes("är"));
        assert_eq!(strokes("A\u{30a}"), strokes("Å"));
        assert_eq!(glyphs("e\u{301}\u{327}").count(), 1);
    }
}

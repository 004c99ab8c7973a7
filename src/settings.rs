//! Settings: a TOML text read key by key, every mistake named with its line.
//!
//! Whoever reads a file of settings takes the keys they know out of each table, and says at the end that all are taken: what
//! is left is unknown. Mistakes are gathered on the way, so that one look shows all of them. Rejected: deriving the reader
//! from a structure (serde), which stops at the first mistake and knows no lines once a value is parsed.

use std::io::Read;
use std::ops::Range;
use std::path::Path;

use toml::de::{DeTable, DeValue};

use crate::error::{Error, Result};

/// Most mistakes that are told; a file of another kind has one on every line.
const TOLD: usize = 20;

/// Longest file, in bytes: some five thousand inks.
const LONGEST: u64 = 1 << 20;

/// The text of a file, and the name that messages call it. Errors: a file that cannot be read, is too long or is no text.
pub(crate) fn read_text(path: &Path) -> Result<(String, String)> {
    let io = |source| Error::Io { path: path.to_owned(), source };
    let mut bytes = Vec::new();
    std::fs::File::open(path).map_err(io)?.take(LONGEST + 1).read_to_end(&mut bytes).map_err(io)?;
    let name = path.display().to_string();
    if bytes.len() as u64 > LONGEST {
        return Err(Error::data(name, format!("longer than {LONGEST} bytes: no file of settings")));
    }
    let text = String::from_utf8(bytes).map_err(|_| Error::data(&name, "not a text in UTF-8"))?;
    Ok((name, text))
}

/// What is wrong with a text, gathered.
pub(crate) struct Mistakes<'t> {
    name: &'t str,
    text: &'t str,
    found: Vec<(usize, String)>,
}

/// A table whose keys are taken one by one.
pub(crate) struct Keys<'t> {
    table: DeTable<'t>,
    /// Where it begins, as a byte of the text.
    pub at: usize,
    known: Vec<&'static str>,
}

/// A value and where it stands.
#[derive(Debug, Clone)]
pub(crate) struct At<T> {
    pub value: T,
    pub at: usize,
}

/// A text as it stands.
pub(crate) struct Text(pub String);

impl std::str::FromStr for Text {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self> {
        Ok(Self(text.to_owned()))
    }
}

impl<'t> Mistakes<'t> {
    /// The top table of the text of a file called `name`. What is no TOML is told at once, with every line concerned.
    pub(crate) fn open(name: &'t str, text: &'t str) -> Result<(Self, Keys<'t>)> {
        let mut mistakes = Self { name, text, found: Vec::new() };
        let (table, errors) = DeTable::parse_recoverable(text);
        for error in &errors {
            mistakes.add(error.span().map_or(0, |span| span.start), error.message());
        }
        if errors.is_empty() {
            return Ok((mistakes, Keys::new(table.into_inner(), 0)));
        }
        Err(mistakes.told())
    }

    /// One more, at a byte of the text.
    pub(crate) fn add(&mut self, at: usize, why: impl ToString) {
        let before = self.text.get(..at).unwrap_or(self.text);
        self.found.push((before.matches('\n').count() + 1, why.to_string()));
    }

    /// The value, if nothing was wrong.
    pub(crate) fn none<T>(self, value: T) -> Result<T> {
        if self.found.is_empty() { Ok(value) } else { Err(self.told()) }
    }

    fn told(mut self) -> Error {
        self.found.sort();
        let mut lines: Vec<String> =
            self.found.iter().take(TOLD).map(|(line, why)| format!("line {line}: {why}")).collect();
        if self.found.len() > TOLD {
            lines.push(format!("and {} more mistakes", self.found.len() - TOLD));
        }
        Error::data(self.name, lines.join("\n  "))
    }
}

impl<'t> Keys<'t> {
    /// A table that is not there: every key of it is missing.
    pub(crate) fn none() -> Self {
        Self::new(DeTable::new(), 0)
    }

    fn new(table: DeTable<'t>, at: usize) -> Self {
        Self { table, at, known: Vec::new() }
    }

    /// The text under a key, read as `T`; nothing where the key is missing, or is wrong, which is told.
    pub(crate) fn read<T: std::str::FromStr<Err = Error>>(
        &mut self,
        key: &'static str,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<At<T>> {
        let (value, span) = self.take(key)?;
        let DeValue::String(text) = value else {
            mistakes.add(span.start, format!("{key} is {}; allowed: text in quotes", kind(&value)));
            return None;
        };
        match text.parse() {
            Ok(value) => Some(At { value, at: span.start }),
            Err(error) => {
                mistakes.add(span.start, format!("{key}: {error}"));
                None
            }
        }
    }

    /// The same for a key that must be there.
    pub(crate) fn needed<T: std::str::FromStr<Err = Error>>(
        &mut self,
        key: &'static str,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<At<T>> {
        if !self.table.contains_key(key) {
            mistakes.add(self.at, format!("{key} is missing"));
        }
        self.read(key, mistakes)
    }

    /// A number, true or false, or text, under a key, read as `T` from how it is written.
    pub(crate) fn value<T: std::str::FromStr<Err = Error>>(
        &mut self,
        key: &'static str,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<At<T>> {
        let (value, span) = self.take(key)?;
        scalar(key, &value, span.start, mistakes)
    }

    /// The same for a key that must be there.
    pub(crate) fn needed_value<T: std::str::FromStr<Err = Error>>(
        &mut self,
        key: &'static str,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<At<T>> {
        if !self.has(key) {
            mistakes.add(self.at, format!("{key} is missing"));
        }
        self.value(key, mistakes)
    }

    /// A list of such values; nothing where the key is missing, and only what is sound of it where it is wrong.
    pub(crate) fn list<T: std::str::FromStr<Err = Error>>(
        &mut self,
        key: &'static str,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<At<Vec<At<T>>>> {
        let (value, span) = self.take(key)?;
        Some(At { value: scalars(key, value, span.start, mistakes), at: span.start })
    }

    /// A list of pairs of such values, as in `[[0, 0], [50, 62]]`.
    pub(crate) fn pairs<T: std::str::FromStr<Err = Error>>(
        &mut self,
        key: &'static str,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<At<Vec<[T; 2]>>> {
        let (value, span) = self.take(key)?;
        let mut pairs = Vec::new();
        let DeValue::Array(items) = value else {
            mistakes.add(span.start, format!("{key} is {}; allowed: a list of pairs", kind(&value)));
            return Some(At { value: pairs, at: span.start });
        };
        for item in items {
            let at = item.span().start;
            let before = mistakes.found.len();
            let pair = scalars(key, item.into_inner(), at, mistakes).into_iter().map(|item| item.value);
            match <[T; 2]>::try_from(pair.collect::<Vec<T>>()) {
                Ok(pair) => pairs.push(pair),
                Err(_) if mistakes.found.len() > before => {}
                Err(rest) => mistakes.add(at, format!("{key} holds {} values for a pair", rest.len())),
            }
        }
        Some(At { value: pairs, at: span.start })
    }

    /// Whether a key is there and holds text, before it is taken.
    pub(crate) fn is_text(&self, key: &str) -> bool {
        self.table.get(key).is_some_and(|value| matches!(value.get_ref(), DeValue::String(_)))
    }

    /// Whether a key is there and holds a table, before it is taken.
    pub(crate) fn is_table(&self, key: &str) -> bool {
        self.table.get(key).is_some_and(|value| matches!(value.get_ref(), DeValue::Table(_)))
    }

    /// Whether a key is there, before it is taken.
    pub(crate) fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    /// The table under a key, as in `[sheet]` or `mesh = { … }`.
    pub(crate) fn table(&mut self, key: &'static str, mistakes: &mut Mistakes<'_>) -> Option<Keys<'t>> {
        match self.take(key)? {
            (DeValue::Table(table), span) => Some(Keys::new(table, span.start)),
            (other, span) => {
                mistakes.add(span.start, format!("{key} is {}; allowed: a table", kind(&other)));
                None
            }
        }
    }

    /// The tables under a key that is written once for each, as in `[[ink]]`.
    pub(crate) fn tables(&mut self, key: &'static str, mistakes: &mut Mistakes<'_>) -> Vec<Keys<'t>> {
        let Some((value, span)) = self.take(key) else { return Vec::new() };
        let DeValue::Array(items) = value else {
            mistakes
                .add(span.start, format!("{key} is {}; allowed: tables, each under [[{key}]]", kind(&value)));
            return Vec::new();
        };
        let mut tables = Vec::new();
        for item in items {
            let at = item.span().start;
            match item.into_inner() {
                DeValue::Table(table) => tables.push(Keys::new(table, at)),
                other => mistakes.add(at, format!("{key} holds {}; allowed: tables", kind(&other))),
            }
        }
        tables
    }

    /// All known keys are taken: what is left is a mistake.
    pub(crate) fn done(self, mistakes: &mut Mistakes<'_>) {
        for key in self.table.keys() {
            let name: &str = key.get_ref();
            let meant = match self.known.iter().map(|known| (slips(name, known), known)).min() {
                Some((slips, known)) if slips <= (name.chars().count() / 3).max(1) => format!(" ({known}?)"),
                _ => String::new(),
            };
            let known = self.known.join(", ");
            mistakes.add(key.span().start, format!("unknown key {name:?}{meant}; known here: {known}"));
        }
    }

    fn take(&mut self, key: &'static str) -> Option<(DeValue<'t>, Range<usize>)> {
        self.known.push(key);
        let (_, value) = self.table.remove_entry(key)?;
        let span = value.span();
        Some((value.into_inner(), span))
    }
}

/// A single value as it is written, read as `T`.
fn scalar<T: std::str::FromStr<Err = Error>>(
    key: &'static str,
    value: &DeValue<'_>,
    at: usize,
    mistakes: &mut Mistakes<'_>,
) -> Option<At<T>> {
    let text = match value {
        DeValue::String(text) => text.as_ref().to_owned(),
        DeValue::Integer(number) => number.to_string(),
        DeValue::Float(number) => number.to_string(),
        DeValue::Boolean(truth) => truth.to_string(),
        other => {
            mistakes.add(at, format!("{key} is {}; allowed: a single value", kind(other)));
            return None;
        }
    };
    match text.parse() {
        Ok(value) => Some(At { value, at }),
        Err(error) => {
            mistakes.add(at, format!("{key}: {error}"));
            None
        }
    }
}

fn scalars<T: std::str::FromStr<Err = Error>>(
    key: &'static str,
    value: DeValue<'_>,
    at: usize,
    mistakes: &mut Mistakes<'_>,
) -> Vec<At<T>> {
    let DeValue::Array(items) = value else {
        mistakes.add(at, format!("{key} is {}; allowed: a list", kind(&value)));
        return Vec::new();
    };
    items.iter().filter_map(|item| scalar(key, item.get_ref(), item.span().start, mistakes)).collect()
}

/// How many letters must be put in, left out, changed or swapped with their neighbour to make one word of the other (F. J. Damerau,
/// Comm. ACM 7 (1964) 171; the form in which no letter is touched twice).
fn slips(one: &str, other: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (one.chars().collect(), other.chars().collect());
    let mut rows = vec![(0..=b.len()).collect::<Vec<_>>()];
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let change = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut least = change.min(rows[i - 1][j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                least = least.min(rows[i - 2][j - 2] + 1);
            }
            row.push(least);
        }
        rows.push(row);
    }
    rows[a.len()][b.len()]
}

/// What a value is, in words.
fn kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_key_is_found_by_its_slips() {
        for (one, other, expected) in
            [("name", "name", 0), ("nmae", "name", 1), ("lne", "lines", 2), ("", "ab", 2), ("abc", "xyz", 3)]
        {
            assert_eq!(slips(one, other), expected, "{one} {other}");
            assert_eq!(slips(other, one), expected, "{other} {one}");
        }
    }

    #[test]
    fn values_are_read_as_they_are_written() {
        let text = "a = 45\nb = \"18/cm\"\nc = [1, 2.50, \"3\"]\nd = [[0, 0], [50, 62.5]]\ne = { f = true }\nanle = 3\n\
                    g = [[1, 2, 3], 4]\nh = 5\n";
        let (mut mistakes, mut keys) = Mistakes::open("x", text).unwrap();
        let lines = |at: Option<At<crate::units::LineCount>>| at.unwrap().value.to_per_inch();
        assert_eq!(lines(keys.value("a", &mut mistakes)), 45.0);
        assert!((lines(keys.value("b", &mut mistakes)) - 45.72).abs() < 1e-12);
        let list = keys.list::<crate::units::Angle>("c", &mut mistakes).unwrap().value;
        assert_eq!(list.iter().map(|a| a.value.to_degrees()).collect::<Vec<_>>(), [1.0, 2.5, 3.0]);
        let pairs = keys.pairs::<crate::units::Angle>("d", &mut mistakes).unwrap().value;
        assert_eq!(pairs[1].map(|a| a.to_degrees()), [50.0, 62.5]);
        assert!(keys.table("e", &mut mistakes).unwrap().has("f"));
        assert!(keys.value::<crate::units::Angle>("angle", &mut mistakes).is_none());
        assert!(keys.pairs::<crate::units::Angle>("g", &mut mistakes).unwrap().value.is_empty());
        assert!(keys.table("h", &mut mistakes).is_none());
        keys.done(&mut mistakes);
        let told = mistakes.none(()).unwrap_err().to_string();
        for expected in [
            "line 6: unknown key \"anle\" (angle?); known here: a, b",
            "line 7: g holds 3 values for a pair",
            "line 7: g is a number; allowed: a list",
            "line 8: h is a number; allowed: a table",
        ] {
            assert!(told.contains(expected), "{told}");
        }
    }
}

//! Settings: a TOML text read key by key, every mistake named with its line.
//!
//! Whoever reads a file of settings takes the keys they know out of each table, and says at the end that all are taken: what
//! is left is unknown. Mistakes are gathered on the way, so that one look shows all of them. Rejected: deriving the reader
//! from a structure (serde), which stops at the first mistake and knows no lines once a value is parsed.

use std::ops::Range;

use toml::de::{DeTable, DeValue};

use crate::error::{Error, Result};

/// Most mistakes that are told; a file of another kind has one on every line.
const TOLD: usize = 20;

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
            let known = self.known.join(", ");
            mistakes.add(key.span().start, format!("unknown key {:?}; known here: {known}", key.get_ref()));
        }
    }

    fn take(&mut self, key: &'static str) -> Option<(DeValue<'t>, Range<usize>)> {
        self.known.push(key);
        let (_, value) = self.table.remove_entry(key)?;
        let span = value.span();
        Some((value.into_inner(), span))
    }
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

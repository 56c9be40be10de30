//! One language's file, read; and how a message, a day, a list and a text of another crate come out of it.

use super::{Language, number};
use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::types::FluentNumber;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::{LazyLock, Mutex, PoisonError};
use unic_langid::LanguageIdentifier;

/// Something that is put into a message: a text, or a number that may choose between singular and plural.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    Text(String),
    Number(f64),
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Value::Text(text.to_owned())
    }
}
impl From<&String> for Value {
    fn from(text: &String) -> Self {
        Value::Text(text.clone())
    }
}
impl From<String> for Value {
    fn from(text: String) -> Self {
        Value::Text(text)
    }
}
impl From<f64> for Value {
    fn from(number: f64) -> Self {
        Value::Number(number)
    }
}
impl From<usize> for Value {
    fn from(number: usize) -> Self {
        Value::Number(number as f64)
    }
}
impl From<u32> for Value {
    fn from(number: u32) -> Self {
        Value::Number(f64::from(number))
    }
}
impl From<bool> for Value {
    fn from(is: bool) -> Self {
        Value::Text(if is { "yes" } else { "no" }.to_owned())
    }
}

/// The words of one language.
pub struct Words {
    tag: String,
    bundle: FluentBundle<FluentResource>,
    /// English, where a message or a translation is missing; `None` in English itself.
    behind: Option<&'static Words>,
    decimal_mark: String,
    mark: Option<fn(&str) -> Cow<'_, str>>,
    /// Keys that were asked for and not found, with the text printed instead; only where somebody looks.
    missed: Option<Mutex<BTreeMap<String, String>>>,
}

impl std::fmt::Debug for Words {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Words({})", self.tag)
    }
}

static ENGLISH: LazyLock<Words> =
    LazyLock::new(|| Words::read("en", Language::English.file(), None));
static SPANISH: LazyLock<Words> =
    LazyLock::new(|| Words::read("es", Language::Spanish.file(), Some(&ENGLISH)));

impl Words {
    pub fn of(language: Language) -> &'static Words {
        match language {
            Language::English => &ENGLISH,
            Language::Spanish => &SPANISH,
        }
    }

    pub fn english() -> &'static Words {
        &ENGLISH
    }

    /// The words of a document's language; English where there is no file for it.
    pub fn of_tag(tag: &str) -> &'static Words {
        Words::of(Language::from_tag(tag).unwrap_or_default())
    }

    /// A language that remembers what it lacks, for whoever translates.
    pub fn watched(language: Language) -> Words {
        let behind = (language != Language::English).then(Words::english);
        Words {
            missed: Some(Mutex::default()),
            ..Words::read(language.tag(), language.file(), behind)
        }
    }

    /// English with every piece of its text changed by `mark`: what comes out unchanged on a paper does not
    /// come from the catalogue.
    pub fn marked(mark: fn(&str) -> Cow<'_, str>) -> Words {
        let mut words = Words::read("en", Language::English.file(), None);
        words.bundle.set_transform(Some(mark));
        words.mark = Some(mark);
        words
    }

    fn read(tag: &str, file: &str, behind: Option<&'static Words>) -> Words {
        // A fault in a file costs the faulty message only; a test reads every file without faults.
        let resource = FluentResource::try_new(file.to_owned()).unwrap_or_else(|(r, _)| r);
        let id: LanguageIdentifier = tag.parse().unwrap_or_default();
        let mut bundle = FluentBundle::new_concurrent(vec![id]);
        bundle.set_use_isolating(false);
        bundle.add_resource_overriding(resource);
        let mut words = Words {
            tag: tag.to_owned(),
            bundle,
            behind,
            decimal_mark: ".".to_owned(),
            mark: None,
            missed: None,
        };
        if let Some(mark) = words.message("decimal-mark", None, &[]) {
            words.decimal_mark = mark;
        }
        if words.decimal_mark == "," {
            words.bundle.set_formatter(Some(number_with_comma));
        } else {
            words.bundle.set_formatter(Some(number_with_point));
        }
        words
    }

    /// BCP 47.
    pub fn tag(&self) -> &str {
        &self.tag
    }

    /// What was asked for and not found, with the text that was printed instead.
    pub fn missed(&self) -> BTreeMap<String, String> {
        self.missed.as_ref().map_or_else(BTreeMap::new, |m| {
            m.lock().unwrap_or_else(PoisonError::into_inner).clone()
        })
    }

    fn miss(&self, key: &str, instead: &str) {
        if let Some(missed) = &self.missed {
            missed
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
                .insert(key.to_owned(), instead.to_owned());
        }
    }

    fn message(
        &self,
        key: &str,
        attribute: Option<&str>,
        values: &[(&str, Value)],
    ) -> Option<String> {
        let message = self.bundle.get_message(key)?;
        let pattern = match attribute {
            Some(name) => message.get_attribute(name)?.value(),
            None => message.value()?,
        };
        let mut args = FluentArgs::new();
        for (name, value) in values {
            match value {
                Value::Text(text) => args.set(*name, text.as_str()),
                Value::Number(number) => args.set(*name, *number),
            }
        }
        let mut faults = Vec::new();
        let text = self
            .bundle
            .format_pattern(pattern, Some(&args), &mut faults);
        Some(text.into_owned())
    }

    /// A message without values.
    pub fn plain(&self, key: &str) -> String {
        self.with(key, &[])
    }

    /// A message with values. One that is missing is told in English; one that is missing there is its key.
    pub fn with(&self, key: &str, values: &[(&str, Value)]) -> String {
        if let Some(text) = self.message(key, None, values) {
            return text;
        }
        let instead = self
            .behind
            .map_or_else(|| key.to_owned(), |b| b.with(key, values));
        self.miss(key, &instead);
        instead
    }

    /// A message that need not exist: does English have it?
    pub fn find(&self, key: &str) -> Option<String> {
        let english = self.behind.unwrap_or(self);
        english.bundle.has_message(key).then(|| self.plain(key))
    }

    /// A text that is kept elsewhere, under a key of the catalogue.
    pub fn known(&self, key: &str, english: &str) -> String {
        self.translated(&[key], english, english, &[])
    }

    /// The same under the first of several keys that holds a translation of this very text.
    pub fn known_any(&self, keys: &[&str], english: &str) -> String {
        self.translated(keys, english, english, &[])
    }

    /// A ready text of another crate. Its key is made from its letters, its numbers are values `n1`, `n2` …
    pub fn said(&self, english: &str) -> String {
        let english = english.trim();
        if english.is_empty() || self.behind.is_none() {
            return self.marked_up(english);
        }
        let (bare, numbers) = number::without_numbers(english);
        let key = format!("said-{}", number::slug(&bare));
        let names: Vec<String> = (1..=numbers.len()).map(|n| format!("n{n}")).collect();
        let values: Vec<(&str, Value)> = names
            .iter()
            .zip(&numbers)
            .map(|(name, n)| (name.as_str(), Value::Text(self.figures(n))))
            .collect();
        self.translated(&[&key], &bare, english, &values)
    }

    fn translated(
        &self,
        keys: &[&str],
        of: &str,
        english: &str,
        values: &[(&str, Value)],
    ) -> String {
        if self.behind.is_none() || english.is_empty() {
            return self.marked_up(english);
        }
        for key in keys {
            // A translation of another text than this one is stale.
            if self.message(key, Some("en"), &[]).as_deref() == Some(of)
                && let Some(text) = self.message(key, None, values)
            {
                return text;
            }
        }
        self.miss(keys.first().copied().unwrap_or_default(), of);
        self.figures(english)
    }

    fn marked_up(&self, english: &str) -> String {
        match self.mark {
            Some(mark) => mark(english).into_owned(),
            None => english.to_owned(),
        }
    }

    /// A ready value with the decimal mark of the language.
    pub fn figures(&self, text: &str) -> String {
        number::with_mark(text, &self.decimal_mark)
    }

    /// A day in words (`25 November 2026`) in the way of this language, whatever stands around it.
    pub fn day(&self, words: &str) -> String {
        let Some((place, (year, month, day))) = crate::day::day_within(words) else {
            return words.to_owned();
        };
        let date = self.date(year, month, day);
        format!("{}{date}{}", &words[..place.start], &words[place.end..])
    }

    pub fn date(&self, year: i32, month: u8, day: u8) -> String {
        let month = self.plain(&format!("month-{month}"));
        let values = [
            ("day", Value::Text(day.to_string())),
            ("month", Value::Text(month)),
            ("year", Value::Text(year.to_string())),
        ];
        self.with("date", &values)
    }

    /// `a, b and c` in the way of this language.
    pub fn listed(&self, parts: &[String]) -> String {
        match parts {
            [] => String::new(),
            [one] => one.clone(),
            [head @ .., last] => {
                let comma = self.plain("list-comma");
                let head = head.join(&comma);
                let and = self.and_before(last);
                self.with(
                    "list",
                    &[
                        ("head", head.into()),
                        ("and", and.into()),
                        ("last", last.into()),
                    ],
                )
            }
        }
    }

    /// The word before the last of a list. A language may have another one before some sounds, and says so
    /// in the attributes of its message: `.before`, `.not-before` and `.then`.
    fn and_before(&self, next: &str) -> String {
        let attribute = |name: &str| self.message("list-and", Some(name), &[]);
        let small = next.to_lowercase();
        let begins = |starts: Option<String>| {
            starts.is_some_and(|s| s.split_whitespace().any(|start| small.starts_with(start)))
        };
        if begins(attribute("before")) && !begins(attribute("not-before")) {
            attribute("then").unwrap_or_else(|| self.plain("list-and"))
        } else {
            self.plain("list-and")
        }
    }
}

type Memoizer = intl_memoizer::concurrent::IntlLangMemoizer;

fn number_with_point(value: &FluentValue<'_>, _: &Memoizer) -> Option<String> {
    match value {
        FluentValue::Number(FluentNumber { value, .. }) => {
            Some(quantity::with_minus_signs(&value.to_string()))
        }
        _ => None,
    }
}

fn number_with_comma(value: &FluentValue<'_>, memoizer: &Memoizer) -> Option<String> {
    number_with_point(value, memoizer).map(|n| number::with_mark(&n, ","))
}

//! One language's file, read; and how a message, a day, a list and a text of another crate come out of it.

use super::{Language, number};
use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::types::FluentNumber;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use std::borrow::Cow;
use std::collections::{BTreeMap, HashMap};
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
    /// Keys of translations by the English text that they translate, its first letter small.
    by_english: HashMap<String, String>,
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
        let keys: Vec<String> = resource
            .entries()
            .filter_map(|entry| match entry {
                fluent_syntax::ast::Entry::Message(m) => Some(m.id.name.to_owned()),
                _ => None,
            })
            .collect();
        let id: LanguageIdentifier = tag.parse().unwrap_or_default();
        let mut bundle = FluentBundle::new_concurrent(vec![id]);
        bundle.set_use_isolating(false);
        bundle.add_resource_overriding(resource);
        let mut words = Words {
            tag: tag.to_owned(),
            bundle,
            behind,
            decimal_mark: ".".to_owned(),
            by_english: HashMap::new(),
            mark: None,
            missed: None,
        };
        for key in keys {
            if let Some(of) = words.message(&key, Some("en"), &[]) {
                // The first of several translations of a text stands for all.
                words.by_english.entry(small_start(&of)).or_insert(key);
            }
        }
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

    /// A text that is kept elsewhere: under its key, else as the same text was translated anywhere.
    pub fn known(&self, key: &str, english: &str) -> String {
        if self.behind.is_none() || english.is_empty() {
            return self.marked_up(english);
        }
        // A translation of another text than this one is stale.
        if self.message(key, Some("en"), &[]).as_deref() == Some(english)
            && let Some(text) = self.message(key, None, &[])
        {
            return text;
        }
        self.piece(english).unwrap_or_else(|| {
            self.miss(key, english);
            self.figures(english)
        })
    }

    /// A ready text of another crate, found by its English. Its numbers are values `n1`, `n2` …; a text that is
    /// joined of others (`A: b; C: d`) is found by its parts.
    pub fn said(&self, english: &str) -> String {
        let english = english.trim();
        if self.behind.is_none() || english.is_empty() {
            return self.marked_up(english);
        }
        self.joined(english).unwrap_or_else(|| {
            self.miss_pieces(english);
            self.figures(english)
        })
    }

    fn joined(&self, english: &str) -> Option<String> {
        if let Some(text) = self.piece(english) {
            return Some(text);
        }
        let (body, stop) = match english.strip_suffix('.') {
            Some(body) => (body, "."),
            None => (english, ""),
        };
        for joint in [". ", "; ", ": ", ", ", " or "] {
            if !body.contains(joint) {
                continue;
            }
            // After the first colon everything is the value.
            let parts: Vec<&str> = match joint {
                ": " => body.splitn(2, joint).collect(),
                _ => body.split(joint).collect(),
            };
            let all = |parts: &[&str]| -> Option<Vec<String>> {
                parts.iter().map(|p| self.joined(p)).collect()
            };
            let told = all(&parts).or_else(|| {
                // `amber, flexible, with pain`: a name, and a text that has commas of its own.
                let two: Vec<&str> = body.splitn(2, ", ").collect();
                (joint == ", " && parts.len() > 2)
                    .then(|| all(&two))
                    .flatten()
            });
            if let Some(told) = told {
                let told = match joint {
                    " or " => told.join(&format!(" {} ", self.plain("list-or"))),
                    _ => told.join(joint),
                };
                return Some(format!("{told}{stop}"));
            }
        }
        // A name and its value: `Calcaneal pitch 18.4° ± 2.1°`.
        if let Some(at) = body.find(|c: char| c.is_ascii_digit() || c == '−')
            && at > 0
            && is_value(&body[at..])
            && let Some(name) = self.piece(body[..at].trim_end())
        {
            return Some(format!("{name} {}{stop}", self.figures(&body[at..])));
        }
        // What was translated with its full stop, or without, stands for the other.
        if stop.is_empty() {
            let told = self.piece(&format!("{body}."))?;
            Some(told.trim_end_matches('.').to_owned())
        } else {
            Some(format!("{}{stop}", self.piece(body)?))
        }
    }

    /// One text as it was translated, whatever the size of its first letter.
    fn piece(&self, english: &str) -> Option<String> {
        // A number, a mark or a stage is the same in every language.
        if !english.chars().any(char::is_lowercase) {
            return Some(self.figures(english));
        }
        let (bare, numbers) = number::without_numbers(english);
        let key = self.by_english.get(&small_start(&bare))?;
        let names: Vec<String> = (1..=numbers.len()).map(|n| format!("n{n}")).collect();
        let values: Vec<(&str, Value)> = names
            .iter()
            .zip(&numbers)
            .map(|(name, n)| (name.as_str(), Value::Text(self.figures(n))))
            .collect();
        let text = self.message(key, None, &values)?;
        let large = english.chars().next().is_some_and(char::is_uppercase);
        let of = self.message(key, Some("en"), &[]).unwrap_or_default();
        let was_large = of.chars().next().is_some_and(char::is_uppercase);
        Some(match (large, was_large) {
            (true, false) => large_start(&text),
            (false, true) => small_start(&text),
            _ => text,
        })
    }

    fn miss_pieces(&self, english: &str) {
        if self.missed.is_none() {
            return;
        }
        for part in english.trim_end_matches('.').split("; ") {
            if self.joined(part).is_none() {
                let (bare, _) = number::without_numbers(part);
                self.miss(&format!("said-{}", number::slug(&bare)), &bare);
            }
        }
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

/// Numbers, marks and units only.
fn is_value(text: &str) -> bool {
    text.split_whitespace()
        .all(|w| w == "mm" || !w.chars().any(char::is_alphabetic))
}

/// The first letter small, unless the second is large too (`MRI`).
fn small_start(text: &str) -> String {
    let mut letters = text.chars();
    match (letters.next(), letters.clone().next()) {
        (Some(first), second) if !second.is_some_and(char::is_uppercase) => {
            first.to_lowercase().collect::<String>() + letters.as_str()
        }
        _ => text.to_owned(),
    }
}

fn large_start(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}

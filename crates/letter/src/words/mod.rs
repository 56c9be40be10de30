//! In which language does a paper speak, and where do its words stand?
//!
//! One file for each language (`words/en.ftl`, `words/es.ftl`) holds every word that a letter, a sheet or a
//! note prints; the functions that compose hold none. A file also says its own name, how it writes a day,
//! its decimal mark and how it joins a list. Another language is one more file and one line in [`Language`].
//!
//! Texts of the knowledge folder, the form and the other crates are looked up too, by a key of their own.
//! English has them from where they are kept; another language has the translation with the text that was
//! translated beside it (`.en`). Where that text has changed since, the translation is stale and English is
//! printed: a dose in two languages must never be two doses.

mod number;
pub(crate) use number::slug;
mod read;

pub use read::{Value, Words};

/// Drawings speak the language of their paper.
impl figure::device::Speaks for Words {
    fn said(&self, english: &str) -> String {
        Words::said(self, english)
    }

    fn figures(&self, text: &str) -> String {
        Words::figures(self, text)
    }
}

/// A language that papers can be written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Language {
    #[default]
    English,
    Spanish,
}

impl Language {
    pub const ALL: [Language; 2] = [Language::English, Language::Spanish];

    /// BCP 47.
    pub fn tag(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::Spanish => "es",
        }
    }

    /// The language of a tag such as `es` or `es-MX`; `None` where there is no file for it.
    pub fn from_tag(tag: &str) -> Option<Language> {
        let first = tag.split(['-', '_']).next().unwrap_or_default();
        Language::ALL
            .into_iter()
            .find(|l| l.tag().eq_ignore_ascii_case(first))
    }

    /// Its name in its own words.
    pub fn name(self) -> String {
        Words::of(self).plain("language-name")
    }

    /// The text of its file.
    pub fn file(self) -> &'static str {
        match self {
            Language::English => include_str!("../../words/en.ftl"),
            Language::Spanish => include_str!("../../words/es.ftl"),
        }
    }
}

/// `say!(words, "key")`, or `say!(words, "key", side = "left", count = 3)`.
macro_rules! say {
    ($words:expr, $key:expr) => { $words.plain($key) };
    ($words:expr, $key:expr, $($name:ident = $value:expr),+ $(,)?) => {
        $words.with($key, &[$((stringify!($name), $crate::words::Value::from($value))),+])
    };
}
pub(crate) use say;

//! Why a value was proposed, and how firm that is.

use knowledge::figure::Sourced;
use knowledge::{Figure, Provenance};
use serde::{Deserialize, Serialize};

/// What a reason speaks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum About {
    /// For doing it at all, or which way; not for how much.
    Direction,
    /// For this very value.
    Value,
}

/// One reason with its sources.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reason {
    pub words: String,
    pub about: About,
    /// Keys of the knowledge folder's sources.
    pub sources: Vec<String>,
    pub provenance: Provenance,
    /// Somebody's opinion in the trade's press, measured on nobody.
    #[serde(default)]
    pub opinion: bool,
}

impl Reason {
    pub(crate) fn new(words: impl Into<String>, about: About, row: &dyn Sourced) -> Reason {
        Reason {
            words: words.into(),
            about,
            sources: row
                .sources()
                .iter()
                .map(|s| s.as_str().to_owned())
                .collect(),
            provenance: row.provenance(),
            opinion: false,
        }
    }

    /// For the value itself.
    pub(crate) fn value(words: impl Into<String>, row: &dyn Sourced) -> Reason {
        Reason::new(words, About::Value, row)
    }

    /// For the direction only.
    pub(crate) fn direction(words: impl Into<String>, row: &dyn Sourced) -> Reason {
        Reason::new(words, About::Direction, row)
    }

    /// A choice of this project, by nobody published.
    pub(crate) fn own(words: impl Into<String>) -> Reason {
        Reason {
            words: words.into(),
            about: About::Value,
            sources: vec!["own-judgement".to_owned()],
            provenance: Provenance::CommonPractice,
            opinion: false,
        }
    }

    /// From a source that stands in no row of its own.
    pub(crate) fn cited(
        words: impl Into<String>,
        about: About,
        source: &str,
        provenance: Provenance,
    ) -> Reason {
        Reason {
            words: words.into(),
            about,
            sources: vec![source.to_owned()],
            provenance,
            opinion: false,
        }
    }

    /// The words with sources and letter, `… [BanwellDelphi2014 r]`; an opinion says so.
    pub fn line(&self) -> String {
        format!(
            "{} [{} {}{}]",
            self.words,
            self.sources.join(", "),
            self.provenance.letter(),
            if self.opinion { ", opinion" } else { "" }
        )
    }
}

/// How firm a proposed value is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Footing {
    /// A source that was read speaks for this value.
    Published,
    /// Only an opinion that was read speaks for this value.
    PublishedOpinion,
    /// A source that was read speaks for the direction; how much is a convention.
    DirectionPublished,
    WorkshopConvention,
}

impl Footing {
    pub fn words(self) -> &'static str {
        match self {
            Footing::Published => "published",
            Footing::PublishedOpinion => "published opinion",
            Footing::DirectionPublished => "direction published, amount a workshop convention",
            Footing::WorkshopConvention => "workshop convention",
        }
    }
}

/// One value of a prescription with everything behind it. It stays editable.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Proposal<T> {
    pub value: T,
    pub footing: Footing,
    pub why: Vec<Reason>,
    pub cautions: Vec<Reason>,
    pub alternatives: Vec<Alternative<T>>,
}

/// Another value that somebody speaks for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Alternative<T> {
    pub value: T,
    pub why: Reason,
}

impl<T> Proposal<T> {
    /// A value and its reasons; the footing follows from them.
    pub(crate) fn of(value: T, why: Vec<Reason>) -> Proposal<T> {
        let read = |about: About, opinion: bool| {
            why.iter().any(|r| {
                let read = matches!(r.provenance, Provenance::Read | Provenance::Abstract);
                read && r.about == about && (opinion || !r.opinion)
            })
        };
        let footing = if read(About::Value, false) {
            Footing::Published
        } else if read(About::Value, true) {
            Footing::PublishedOpinion
        } else if read(About::Direction, false) {
            Footing::DirectionPublished
        } else {
            Footing::WorkshopConvention
        };
        Proposal {
            value,
            footing,
            why,
            cautions: Vec::new(),
            alternatives: Vec::new(),
        }
    }

    pub(crate) fn or(mut self, value: T, why: Reason) -> Proposal<T> {
        self.alternatives.push(Alternative { value, why });
        self
    }

    pub(crate) fn beware(mut self, caution: Reason) -> Proposal<T> {
        self.cautions.push(caution);
        self
    }
}

/// The weaker of two provenances: a number worked out from both is no firmer.
pub(crate) fn weaker(a: &Figure, b: &Figure) -> Provenance {
    a.provenance.max(b.provenance)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reason(about: About, provenance: Provenance) -> Reason {
        Reason::cited("x", about, "y", provenance)
    }

    #[test]
    fn what_is_recalled_never_makes_a_value_published() {
        let footing = |why: Vec<Reason>| Proposal::of(1, why).footing;
        assert_eq!(
            footing(vec![
                reason(About::Value, Provenance::Unconfirmed),
                reason(About::Value, Provenance::CommonPractice)
            ]),
            Footing::WorkshopConvention
        );
        assert_eq!(
            footing(vec![
                reason(About::Value, Provenance::Unconfirmed),
                reason(About::Direction, Provenance::Read)
            ]),
            Footing::DirectionPublished
        );
        assert_eq!(
            footing(vec![reason(About::Value, Provenance::Abstract)]),
            Footing::Published
        );
        assert_eq!(footing(Vec::new()), Footing::WorkshopConvention);
        let opinion = Reason {
            opinion: true,
            ..reason(About::Value, Provenance::Read)
        };
        assert_eq!(footing(vec![opinion]), Footing::PublishedOpinion);
    }
}

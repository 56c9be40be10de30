//! Where a number comes from, and how much of it was read.

use serde::{Deserialize, Serialize};
use terms::SourceKey;

/// How a fact reached this folder. Ordered from the firmest to the weakest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Provenance {
    /// The text or the table itself was read.
    Read,
    /// Only the abstract was read.
    Abstract,
    /// What the trade does, without a publication behind it.
    CommonPractice,
    /// Known from memory only. Shown so, and never decides anything alone.
    Unconfirmed,
}

impl Provenance {
    pub const ALL: [Provenance; 4] = [
        Provenance::Read,
        Provenance::Abstract,
        Provenance::CommonPractice,
        Provenance::Unconfirmed,
    ];

    /// The small letter behind a number: r, a, c or u.
    pub fn letter(self) -> char {
        match self {
            Provenance::Read => 'r',
            Provenance::Abstract => 'a',
            Provenance::CommonPractice => 'c',
            Provenance::Unconfirmed => 'u',
        }
    }

    pub fn words(self) -> &'static str {
        match self {
            Provenance::Read => "read",
            Provenance::Abstract => "abstract only",
            Provenance::CommonPractice => "common practice",
            Provenance::Unconfirmed => "unconfirmed",
        }
    }

    /// May a fact of this kind settle a question by itself?
    pub fn may_decide_alone(self) -> bool {
        self != Provenance::Unconfirmed
    }
}

/// One publication, page or convention.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    pub key: SourceKey,
    /// Other keys under which the same source is named.
    #[serde(default)]
    pub also: Vec<SourceKey>,
    /// Who, where, when, as far as known; in our own words where the title was not seen.
    pub citation: String,
    #[serde(default)]
    pub doi: Option<String>,
    /// PubMed number, or a PubMed Central number starting with `PMC`.
    #[serde(default)]
    pub pmid: Option<String>,
    #[serde(default)]
    pub url: Option<String>,
    /// The most that was read of it. A row may claim less, never more.
    pub provenance: Provenance,
    /// What exactly was seen, and what one has to know before using it.
    #[serde(default)]
    pub note: Option<String>,
}

impl Source {
    /// An address a browser can open, from DOI, PubMed number or page.
    pub fn address(&self) -> Option<String> {
        if let Some(doi) = &self.doi {
            return Some(format!("https://doi.org/{doi}"));
        }
        if let Some(pmid) = &self.pmid {
            return Some(match pmid.strip_prefix("PMC") {
                Some(_) => format!("https://pmc.ncbi.nlm.nih.gov/articles/{pmid}/"),
                None => format!("https://pubmed.ncbi.nlm.nih.gov/{pmid}/"),
            });
        }
        self.url.clone()
    }
}

//! Criteria of the classifications, as data. The logic that turns them into a stage is elsewhere.

use crate::source::Provenance;
use serde::{Deserialize, Serialize};
use terms::{MeasureKey, SourceKey};

/// The classification a criterion belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scheme {
    /// Four stages of the failing tendon, with substages.
    TendonStage,
    /// Rearfoot, ankle and midfoot staged side by side.
    ThreeColumn,
    /// Stage 1 or 2 with classes A to E, of 2020.
    #[serde(rename = "consensus-2020")]
    Consensus2020,
    /// Flexible or rigid, painful or not, in growing feet.
    Child,
}

impl Scheme {
    pub const ALL: [Scheme; 4] = [
        Scheme::TendonStage,
        Scheme::ThreeColumn,
        Scheme::Consensus2020,
        Scheme::Child,
    ];

    pub fn words(self) -> &'static str {
        match self {
            Scheme::TendonStage => "tendon stage",
            Scheme::ThreeColumn => "three columns",
            Scheme::Consensus2020 => "consensus of 2020",
            Scheme::Child => "growing foot",
        }
    }
}

/// Where a reading has to lie for the criterion to hold, in the measure's unit and sign.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub enum Cut {
    Above(f64),
    Below(f64),
    Between(f64, f64),
}

/// How the criterion is decided.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum CriterionKind {
    /// Seen or felt: the examination question and the answer that makes it true.
    Finding { finding: String, answer: String },
    /// A reading on the right side of a cut.
    Reading { measure: MeasureKey, cut: Cut },
    /// Made of other criteria: every one of `all`, at least one of `any` (if there are any), none of `none`.
    Composite {
        all: Vec<String>,
        any: Vec<String>,
        none: Vec<String>,
    },
}

/// One cell of a classification.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Criterion {
    pub key: String,
    /// The criterion as a sentence that can be true, false or unknown.
    pub words: String,
    pub scheme: Scheme,
    /// Stage, substage or class it speaks for (`II`, `IIA1`, `B`).
    pub level: String,
    /// The column, in the three-column scheme (`rearfoot`, `ankle`, `midfoot`).
    pub column: Option<String>,
    pub kind: CriterionKind,
    /// May settle its level alone. Never true on memory only.
    pub decides: bool,
    pub provenance: Provenance,
    pub sources: Vec<SourceKey>,
    pub note: Option<String>,
}

/// A criterion as its file writes it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct CriterionEntry {
    pub key: String,
    pub words: String,
    pub scheme: Scheme,
    pub level: String,
    #[serde(default)]
    pub column: Option<String>,
    pub kind: KindWord,
    #[serde(default)]
    pub finding: Option<String>,
    #[serde(default)]
    pub answer: Option<String>,
    #[serde(default)]
    pub measure: Option<MeasureKey>,
    #[serde(default)]
    pub above: Option<f64>,
    #[serde(default)]
    pub below: Option<f64>,
    #[serde(default)]
    pub all: Vec<String>,
    #[serde(default)]
    pub any: Vec<String>,
    #[serde(default)]
    pub none: Vec<String>,
    pub decides: bool,
    pub provenance: Provenance,
    pub sources: Vec<SourceKey>,
    #[serde(default)]
    pub note: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum KindWord {
    Finding,
    Reading,
    Composite,
}

impl CriterionEntry {
    /// # Errors
    /// The field at fault, what was found, what was expected.
    pub(crate) fn checked(self) -> Result<Criterion, (&'static str, String, String)> {
        let wrong = |field, found: &str, expected: &str| {
            Err((field, found.to_string(), expected.to_string()))
        };
        let kind = match self.kind {
            KindWord::Finding => match (self.finding, self.answer) {
                (Some(finding), Some(answer)) => CriterionKind::Finding { finding, answer },
                _ => {
                    return wrong(
                        "kind",
                        "a finding without its question or answer",
                        "both finding and answer",
                    );
                }
            },
            KindWord::Reading => {
                let Some(measure) = self.measure else {
                    return wrong(
                        "kind",
                        "a reading criterion without a measure",
                        "a measure's key",
                    );
                };
                let cut = match (self.above, self.below) {
                    (Some(a), None) => Cut::Above(a),
                    (None, Some(b)) => Cut::Below(b),
                    (Some(a), Some(b)) if a < b => Cut::Between(a, b),
                    (Some(a), Some(b)) => {
                        return wrong(
                            "above",
                            &format!("above = {a} and below = {b}"),
                            "above smaller than below",
                        );
                    }
                    (None, None) => {
                        return wrong(
                            "kind",
                            "a reading criterion without a cut",
                            "above, below or both",
                        );
                    }
                };
                CriterionKind::Reading { measure, cut }
            }
            KindWord::Composite => {
                if self.all.is_empty() && self.any.is_empty() {
                    return wrong(
                        "kind",
                        "a composite of nothing",
                        "criterion keys in all or any",
                    );
                }
                CriterionKind::Composite {
                    all: self.all,
                    any: self.any,
                    none: self.none,
                }
            }
        };
        Ok(Criterion {
            key: self.key,
            words: self.words,
            scheme: self.scheme,
            level: self.level,
            column: self.column,
            kind,
            decides: self.decides,
            provenance: self.provenance,
            sources: self.sources,
            note: self.note,
        })
    }
}

//! Criteria of the classifications, as data: what is looked at, and how it adds up to a stage. Giving
//! them their truth for one foot is left to others.

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
    /// Seen or felt: the examination question and the answer that makes it true (see [`Answer`]). Any
    /// other answer makes it false, save those in `open`, which settle neither.
    ///
    /// In place of a question it may name a total of the examination, or a sign that several questions
    /// and readings witness together and whose answers are `yes` and `no`.
    Finding {
        finding: String,
        answer: String,
        open: Option<String>,
    },
    /// A reading on the right side of a cut.
    Reading { measure: MeasureKey, cut: Cut },
    /// Made of other criteria: every one of `all`, at least one of `any` (if there are any), none of `none`.
    Composite {
        all: Vec<String>,
        any: Vec<String>,
        none: Vec<String>,
    },
}

impl Cut {
    /// Does a value lie on the side that makes the criterion true? A value on the cut itself does not.
    pub fn holds(&self, value: f64) -> bool {
        match *self {
            Cut::Above(cut) => value > cut,
            Cut::Below(cut) => value < cut,
            Cut::Between(low, high) => value > low && value < high,
        }
    }
}

/// The answer that makes a finding true: a choice's key, several joined by `|`, or comparisons with a
/// number (`>=3`, `>0&<=5`).
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// One of these has to hold; within one, all terms.
    any: Vec<Vec<Term>>,
}

#[derive(Debug, Clone, PartialEq)]
enum Term {
    Key(String),
    Compare(&'static str, f64),
}

impl Answer {
    /// # Errors
    /// What was found where a key or a comparison was expected.
    pub fn parse(text: &str) -> Result<Answer, String> {
        let any = text
            .split('|')
            .map(|all| {
                all.split('&')
                    .map(|term| Term::parse(term.trim()))
                    .collect()
            })
            .collect::<Result<Vec<Vec<Term>>, String>>()?;
        Ok(Answer { any })
    }

    /// Does an answer given make it true? Numbers are compared as numbers.
    pub fn holds(&self, given: &str) -> bool {
        self.any
            .iter()
            .any(|all| all.iter().all(|term| term.holds(given.trim())))
    }

    /// The comparison (`>=`, `<=`, `>` or `<`, and its number) where the answer is nothing else.
    pub fn comparison(&self) -> Option<(&'static str, f64)> {
        match self.any.as_slice() {
            [all] => match all.as_slice() {
                [Term::Compare(op, cut)] => Some((op, *cut)),
                _ => None,
            },
            _ => None,
        }
    }

    /// The choices and numbers it names.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.any.iter().flatten().filter_map(|term| match term {
            Term::Key(key) => Some(key.as_str()),
            Term::Compare(..) => None,
        })
    }
}

impl Term {
    fn parse(term: &str) -> Result<Term, String> {
        for op in [">=", "<=", ">", "<"] {
            if let Some(number) = term.strip_prefix(op) {
                return match number.trim().parse::<f64>() {
                    Ok(cut) if cut.is_finite() => Ok(Term::Compare(op, cut)),
                    _ => Err(format!("the answer {term:?}")),
                };
            }
        }
        let good = !term.is_empty()
            && term
                .chars()
                .all(|c| c.is_ascii_alphanumeric() || "_-+".contains(c));
        if good {
            Ok(Term::Key(term.to_string()))
        } else {
            Err(format!("the answer {term:?}"))
        }
    }

    fn holds(&self, given: &str) -> bool {
        match self {
            Term::Key(key) => match (key.parse::<f64>(), given.parse::<f64>()) {
                (Ok(wanted), Ok(number)) => wanted == number,
                _ => key == given,
            },
            Term::Compare(op, cut) => given.parse::<f64>().is_ok_and(|number| match *op {
                ">=" => number >= *cut,
                "<=" => number <= *cut,
                ">" => number > *cut,
                _ => number < *cut,
            }),
        }
    }
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
    pub open: Option<String>,
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
                (Some(finding), Some(answer)) => {
                    for (field, text) in [("answer", Some(&answer)), ("open", self.open.as_ref())] {
                        if let Some(Err(found)) = text.map(|t| Answer::parse(t)) {
                            return wrong(
                                field,
                                &found,
                                "a choice, choices joined by |, or a comparison such as >=3",
                            );
                        }
                    }
                    CriterionKind::Finding {
                        finding,
                        answer,
                        open: self.open,
                    }
                }
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
                if self.all.is_empty() && self.any.is_empty() && self.none.is_empty() {
                    return wrong(
                        "kind",
                        "a composite of nothing",
                        "criterion keys in all, any or none",
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_may_be_a_choice_several_or_a_comparison() {
        let check = |wanted: &str, given: &str| Answer::parse(wanted).unwrap().holds(given);
        assert!(check("yes", "yes") && !check("yes", "no"));
        assert!(check("slight|clear", "clear") && !check("slight|clear", "usual"));
        assert!(check(">=3", "3") && !check(">=3", "2.9") && !check(">=3", "many"));
        assert!(check(">0&<=5", "5") && !check(">0&<=5", "0") && !check(">0&<=5", "5.1"));
        assert!(check("0", "0.0") && !check("0", "1"));
        let cut = |text: &str| Answer::parse(text).unwrap().comparison();
        assert_eq!(cut(">=2"), Some((">=", 2.0)));
        assert_eq!(cut("<5"), Some(("<", 5.0)));
        assert!(cut(">0&<=5").is_none() && cut("yes").is_none() && cut(">5|no").is_none());
        assert_eq!(Answer::parse(">=many"), Err("the answer \">=many\"".into()));
        assert_eq!(Answer::parse("yes|"), Err("the answer \"\"".into()));
    }

    #[test]
    fn a_composite_may_be_none_of_something_and_not_of_nothing() {
        let read = |fields: &str| {
            let text = format!(
                "key = \"k\"\nwords = \"w\"\nscheme = \"child\"\nlevel = \"l\"\ndecides = false\n\
                 provenance = \"read\"\nsources = []\n{fields}"
            );
            toml::from_str::<CriterionEntry>(&text).unwrap().checked()
        };
        let neither = read("kind = \"composite\"\nnone = [\"a\", \"b\"]").unwrap();
        assert!(
            matches!(neither.kind, CriterionKind::Composite { none, .. } if none == ["a", "b"])
        );
        assert_eq!(
            read("kind = \"composite\"").unwrap_err().1,
            "a composite of nothing"
        );
        let finding = "kind = \"finding\"\nfinding = \"q\"\nanswer = \"fully\"\n";
        let partly = read(&format!("{finding}open = \"partly\"")).unwrap();
        assert!(
            matches!(partly.kind, CriterionKind::Finding { open: Some(o), .. } if o == "partly")
        );
        assert_eq!(
            read(&format!("{finding}open = \"\"")).unwrap_err(),
            (
                "open",
                "the answer \"\"".to_owned(),
                "a choice, choices joined by |, or a comparison such as >=3".to_owned()
            )
        );
    }

    #[test]
    fn a_value_on_the_cut_does_not_make_it_true() {
        assert!(!Cut::Above(40.0).holds(40.0) && Cut::Above(40.0).holds(40.1));
        assert!(!Cut::Below(20.0).holds(20.0) && Cut::Below(20.0).holds(19.9));
        assert!(!Cut::Between(20.0, 45.0).holds(20.0) && Cut::Between(20.0, 45.0).holds(30.0));
    }
}

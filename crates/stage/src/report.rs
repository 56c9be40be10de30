//! The answer: plain data with a reason behind every line, ready for page, letter and record.

use crate::book::Book;
use crate::chance;
use crate::evidence::Leaf;
use crate::facts::Facts;
use crate::missing::missing;
use crate::red_flags::alarm;
use crate::rule::Rule;
use crate::scheme::consensus::{Class, Consensus, classes, consensus};
use crate::scheme::{Scheme, Stage, stages};
use crate::text;
use crate::truth::Truth;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use terms::Side;

/// A source and how much of it was read: r read, a abstract, c common practice, u unconfirmed.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Cite {
    pub key: String,
    pub letter: char,
}

impl Cite {
    pub(crate) fn new(key: &str, letter: char) -> Cite {
        Cite {
            key: key.to_owned(),
            letter,
        }
    }
}

/// Chance from the readings' error only.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Chance {
    /// That it holds.
    pub holds: f64,
    /// That it is not ruled out; more than `holds` where something else is open.
    pub possible: f64,
}

impl Chance {
    pub(crate) fn add(&mut self, truth: Truth, weight: f64) {
        if truth.is_true() {
            self.holds += weight;
        }
        if !truth.is_false() {
            self.possible += weight;
        }
    }

    pub(crate) fn bounded(self) -> Chance {
        Chance {
            holds: self.holds.clamp(0.0, 1.0),
            possible: self.possible.clamp(0.0, 1.0),
        }
    }
}

/// One criterion of the schemes in use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Criterion {
    pub key: String,
    pub words: String,
    pub truth: Truth,
    /// What it would be with unconfirmed cuts, where that differs.
    pub would_be: Option<Truth>,
    /// From the readings' error only; `None` where no reading takes part.
    pub probability: Option<Chance>,
    /// One sentence for each answer and reading that speaks.
    pub reasons: Vec<String>,
    /// Answers and readings contradict each other.
    pub disagree: bool,
    /// Questions and measures that could still speak.
    pub ask: Vec<String>,
    pub sources: Vec<Cite>,
}

/// One stage of a scheme.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Candidate {
    pub key: String,
    pub words: String,
    /// From confirmed sources; unknown for a stage whose definition is unconfirmed.
    pub truth: Truth,
    /// What it would be by an unconfirmed definition.
    pub would_be: Option<Truth>,
    /// From the readings' error only; `None` where no reading takes part.
    pub chance: Option<Chance>,
    pub because: Vec<String>,
    pub against: Vec<String>,
    pub open: Vec<String>,
    pub sources: Vec<Cite>,
}

impl Candidate {
    /// The truth under the definition as it stands, confirmed or not.
    pub fn by_definition(&self) -> Truth {
        self.would_be.unwrap_or(self.truth)
    }
}

/// One scheme's answer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SchemeReport {
    pub scheme: Scheme,
    /// The answer in one sentence.
    pub headline: String,
    pub candidates: Vec<Candidate>,
}

impl SchemeReport {
    /// Stages that hold from confirmed sources.
    pub fn holding(&self) -> Vec<&str> {
        self.candidates
            .iter()
            .filter(|c| c.truth.is_true())
            .map(|c| c.key.as_str())
            .collect()
    }

    /// Stages with a confirmed definition that are not ruled out.
    pub fn possible(&self) -> Vec<&str> {
        self.candidates
            .iter()
            .filter(|c| c.would_be.is_none() && !c.truth.is_false())
            .map(|c| c.key.as_str())
            .collect()
    }

    /// Stages that would hold by an unconfirmed definition.
    pub fn would_hold(&self) -> Vec<&str> {
        self.candidates
            .iter()
            .filter(|c| c.would_be == Some(Truth::True))
            .map(|c| c.key.as_str())
            .collect()
    }

    /// Every stage with a confirmed definition is ruled out.
    pub fn none_fits(&self) -> bool {
        self.possible().is_empty() && self.candidates.iter().any(|c| c.would_be.is_none())
    }

    /// No stage with a confirmed definition is ruled out, or holds.
    pub fn all_open(&self) -> bool {
        self.candidates
            .iter()
            .all(|c| c.would_be.is_some() || c.truth.is_unknown())
    }

    /// `; by unconfirmed definitions it would be IIB`, or nothing.
    pub fn would_words(&self) -> String {
        crate::text::would_words(&self.would_hold())
    }

    pub fn candidate(&self, key: &str) -> Option<&Candidate> {
        self.candidates.iter().find(|c| c.key == key)
    }
}

/// What a scheme would still allow.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Outcome {
    pub scheme: Scheme,
    /// Stages still possible; for the consensus one line of what would be known.
    pub candidates: Vec<String>,
    /// Stages that are possible now and would be no longer.
    pub ruled_out: Vec<String>,
}

/// One open criterion and what its answers would change.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Missing {
    pub criterion: String,
    pub words: String,
    pub why: String,
    /// Questions and measures that could settle it.
    pub ask: Vec<String>,
    pub if_yes: Vec<Outcome>,
    pub if_no: Vec<Outcome>,
}

/// An alarm sign that is there, or that one clue speaks for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RaisedFlag {
    pub key: String,
    pub words: String,
    pub action: String,
    /// No plan may rest on a stage while it is raised.
    pub holds_plan: bool,
    /// How soon, in words.
    pub urgency: String,
    pub truth: Truth,
    pub reasons: Vec<String>,
    /// Questions that would clear or confirm it.
    pub ask: Vec<String>,
    pub sources: Vec<Cite>,
}

/// Everything that can be said about one foot's stage.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StageReport {
    pub side: Side,
    /// Raised alarm signs; they come first and no stage carries a plan while there is one.
    pub red_flags: Vec<RaisedFlag>,
    /// Alarm signs with a clue and an open question.
    pub not_cleared: Vec<RaisedFlag>,
    /// Alarm signs nobody asked about.
    pub not_asked: Vec<String>,
    pub may_carry_plan: bool,
    pub tendon: Option<SchemeReport>,
    pub three_column: Option<SchemeReport>,
    pub consensus: Option<Consensus>,
    pub child: Option<SchemeReport>,
    pub traffic_light: Option<SchemeReport>,
    pub criteria: Vec<Criterion>,
    pub missing: Vec<Missing>,
    pub notes: Vec<String>,
    /// Findings that settle no criterion, each told against its yardsticks.
    pub told: Vec<String>,
}

impl StageReport {
    pub fn criterion(&self, key: &str) -> Option<&Criterion> {
        self.criteria.iter().find(|c| c.key == key)
    }

    /// The truth of a criterion; unknown where no scheme in use asks for it.
    pub fn truth(&self, key: &str) -> Truth {
        self.criterion(key).map_or(Truth::Unknown, |c| c.truth)
    }

    /// The schemes that apply, the leading one first; the consensus of 2020 has a shape of its own.
    pub fn schemes(&self) -> Vec<&SchemeReport> {
        [
            &self.tendon,
            &self.three_column,
            &self.child,
            &self.traffic_light,
        ]
        .into_iter()
        .flatten()
        .collect()
    }

    /// The report as plain text, alarm signs first.
    pub fn text(&self) -> String {
        text::report(self)
    }
}

pub(crate) fn build(facts: &Facts<'_>) -> StageReport {
    let book = Book::of(facts.knowledge);
    let every: Vec<(Scheme, Vec<Stage<'_>>)> = Scheme::ALL
        .iter()
        .map(|s| (*s, stages(*s, &book)))
        .collect();
    let classes = classes(&book);
    let leaves = book.look_at_all(&keys(&every, &classes), facts);
    let alarm = alarm(facts);
    let (adult, child) = match facts.is_child() {
        Some(child) => (!child, child),
        None => (true, true),
    };
    let applies = |scheme: Scheme| match scheme {
        Scheme::Tendon | Scheme::ThreeColumn | Scheme::Consensus => adult,
        Scheme::Child | Scheme::TrafficLight => child,
    };
    let mut schemes = every;
    schemes.retain(|(scheme, _)| applies(*scheme));
    let of = |scheme: Scheme| {
        let (_, stages) = schemes.iter().find(|(s, _)| *s == scheme)?;
        Some(scheme_report(scheme, stages, &leaves))
    };
    let asked: &[Class<'_>] = if adult { &classes } else { &[] };
    let used = keys(&schemes, asked);
    StageReport {
        side: facts.side,
        may_carry_plan: !alarm.holds_plan,
        red_flags: alarm.raised,
        not_cleared: alarm.not_cleared,
        not_asked: alarm.not_asked,
        tendon: of(Scheme::Tendon),
        three_column: of(Scheme::ThreeColumn),
        consensus: adult.then(|| consensus(&classes, &leaves)),
        child: of(Scheme::Child),
        traffic_light: of(Scheme::TrafficLight),
        criteria: leaves
            .iter()
            .filter(|l| used.contains(l.key))
            .map(criterion)
            .collect(),
        missing: missing(&schemes, &classes, &leaves),
        notes: notes(facts, &leaves),
        told: crate::items::notes(facts),
    }
}

/// Every criterion that stages and classes name.
fn keys<'k>(schemes: &[(Scheme, Vec<Stage<'k>>)], classes: &[Class<'k>]) -> BTreeSet<&'k str> {
    let stages = schemes.iter().flat_map(|(_, stages)| stages);
    stages
        .flat_map(|s| s.rule.keys())
        .chain(classes.iter().flat_map(Class::keys))
        .collect()
}

fn scheme_report(scheme: Scheme, stages: &[Stage<'_>], leaves: &[Leaf<'_>]) -> SchemeReport {
    let chances = |confirmed: bool| {
        let rules: Vec<&Rule<'_>> = stages
            .iter()
            .filter(|s| s.confirmed == confirmed)
            .map(|s| &s.rule)
            .collect();
        chance::of_rules(&rules, leaves, confirmed)
            .unwrap_or_default()
            .into_iter()
    };
    let (mut firm, mut loose) = (chances(true), chances(false));
    let candidates: Vec<Candidate> = stages
        .iter()
        .map(|s| {
            candidate(
                s,
                leaves,
                if s.confirmed {
                    firm.next()
                } else {
                    loose.next()
                },
            )
        })
        .collect();
    SchemeReport {
        scheme,
        headline: text::headline(scheme, &candidates),
        candidates,
    }
}

fn candidate(stage: &Stage<'_>, leaves: &[Leaf<'_>], chance: Option<Chance>) -> Candidate {
    let of = |leaf: &Leaf<'_>| {
        if stage.confirmed {
            leaf.truth()
        } else {
            leaf.would_be()
        }
    };
    let truth = stage.rule.eval(stage.confirmed, &|key| {
        leaves
            .iter()
            .find(|l| l.key == key)
            .map_or(Truth::Unknown, of)
    });
    let keys = stage.rule.keys();
    let (mut because, mut against, mut open) = (Vec::new(), Vec::new(), Vec::new());
    for leaf in leaves.iter().filter(|l| keys.contains(l.key)) {
        let list = match of(leaf) {
            Truth::True => &mut because,
            Truth::False => &mut against,
            Truth::Unknown => &mut open,
        };
        list.push(leaf.words.to_owned());
    }
    Candidate {
        key: stage.key.to_owned(),
        words: stage.words.to_owned(),
        truth: if stage.confirmed {
            truth
        } else {
            Truth::Unknown
        },
        would_be: (!stage.confirmed).then_some(truth),
        chance,
        because,
        against,
        open,
        sources: stage.cites.clone(),
    }
}

fn criterion(leaf: &Leaf<'_>) -> Criterion {
    let rule = Rule::Is(leaf.key);
    // Without a confirmed cut there is no chance to tell; the reasons say what it would be.
    let confirmed = leaf.films().any(|f| f.cuts.iter().any(|c| c.confirmed()));
    let chances = if confirmed {
        chance::of_rules(&[&rule], std::slice::from_ref(leaf), true)
    } else {
        None
    };
    let probability = chances.and_then(|c| c.first().copied());
    let (truth, would_be) = (leaf.truth(), leaf.would_be());
    let mut reasons: Vec<String> = leaf
        .witnesses
        .iter()
        .map(|w| w.says.clone())
        .filter(|s| !s.is_empty())
        .collect();
    if leaf.disagree() {
        reasons.push("these disagree, so it stays open".to_owned());
    }
    Criterion {
        key: leaf.key.to_owned(),
        words: leaf.words.to_owned(),
        truth,
        would_be: (would_be != truth).then_some(would_be),
        disagree: leaf.disagree(),
        probability,
        reasons,
        ask: leaf.open.iter().map(|k| (*k).to_owned()).collect(),
        sources: leaf.cites.clone(),
    }
}

fn notes(facts: &Facts<'_>, leaves: &[Leaf<'_>]) -> Vec<String> {
    let mut notes = Vec::new();
    match facts.is_child() {
        None => notes.push("Age is not recorded: the adult schemes and the child's path are both shown; the age decides which counts.".to_owned()),
        Some(true) => notes.push("Under 18: the child's path is used; the adult tendon schemes are not.".to_owned()),
        Some(false) => {}
    }
    for (measure, reading) in facts.readings.iter().filter(|(_, r)| !r.usable()) {
        notes.push(format!(
            "{} is shown but does not decide: {}.",
            text::measure_name(measure),
            if reading.stance == terms::Stance::Standing {
                "no usable value or error"
            } else {
                reading.stance.words()
            }
        ));
    }
    if !facts.lacking.is_empty() {
        notes.push(format!(
            "The knowledge folder lacks {}; nothing is held against these.",
            facts.lacking.join(", ")
        ));
    }
    notes.extend(facts.never_speaking.iter().cloned());
    if facts.exam.yes("coalition_seen") == Some(true) {
        notes.push("A bridge between bones is seen or suspected: it explains a stiff foot by itself; CT shows it best (OrthoVellum, r).".to_owned());
    }
    let sore = leaves
        .iter()
        .any(|l| l.key == "pain_medial" && l.truth().is_true());
    if facts.exam.yes("accessory_navicular") == Some(true) && sore {
        notes.push("An extra bone at the navicular with pain there: the joint between the two may be what hurts (Sella1987, a).".to_owned());
    }
    notes
}

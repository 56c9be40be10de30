//! The criteria of a knowledge folder as rules, and what is looked at for them.
//!
//! A finding, a reading, and findings joined by `any` alone are looked at and told as one criterion each (a
//! [`Leaf`]); every other composite is a sentence over these.
//!
//! What is known from memory speaks and never decides alone: a composite is as true or false as it would be
//! both with its recalled parts and without them, and where these differ it is unknown.

use crate::evidence::Leaf;
use crate::facts::Facts;
use crate::report::Cite;
use crate::rule::{Rule, all, any, composite};
use crate::scheme;
use crate::signs::{SIGNS, Sign, sign_named};
use crate::witness::{self, TOTALS, confirmed};
use knowledge::{Answer, Criterion, CriterionKind, Knowledge};
use std::collections::{BTreeMap, BTreeSet};

/// The criteria of one folder by key.
pub(crate) struct Book<'k> {
    knowledge: &'k Knowledge,
    by_key: BTreeMap<&'k str, &'k Criterion>,
    /// Criteria that make a stage or a class.
    levels: BTreeSet<&'static str>,
}

impl<'k> Book<'k> {
    pub fn of(knowledge: &'k Knowledge) -> Book<'k> {
        let by_key = knowledge
            .criteria()
            .iter()
            .map(|c| (c.key.as_str(), c))
            .collect();
        Book {
            knowledge,
            by_key,
            levels: scheme::keys().into_iter().collect(),
        }
    }

    pub fn knowledge(&self) -> &'k Knowledge {
        self.knowledge
    }

    pub fn criterion(&self, key: &str) -> Option<&'k Criterion> {
        self.by_key.get(key).copied()
    }

    /// What the folder says under a key; unknown for ever where it says nothing.
    fn rule(&self, key: &str) -> Rule<'k> {
        let Some(c) = self.criterion(key) else {
            return Rule::Open;
        };
        match &c.kind {
            CriterionKind::Composite {
                all,
                any: one_of,
                none,
            } if !self.is_one(c) => {
                let firm = |keys: &[String]| keys.iter().any(|k| self.is_confirmed(k));
                // A recalled part alone makes nothing true; beside a confirmed one its yes changes nothing.
                let beside_firm = firm(all) || firm(one_of) || firm(none);
                composite(
                    self.parts(all, beside_firm, false),
                    self.parts(one_of, false, true),
                    self.parts(none, false, true),
                )
            }
            _ => Rule::Is(&c.key),
        }
    }

    fn is_confirmed(&self, key: &str) -> bool {
        self.criterion(key).is_some_and(confirmed)
    }

    fn parts(&self, keys: &'k [String], yes_counts: bool, no_counts: bool) -> Vec<Rule<'k>> {
        keys.iter()
            .map(|key| self.weighed(key, yes_counts, no_counts))
            .collect()
    }

    /// The rule, and of a recalled one no more than may count.
    fn weighed(&self, key: &str, yes_counts: bool, no_counts: bool) -> Rule<'k> {
        let rule = self.rule(key);
        if self.is_confirmed(key) {
            return rule;
        }
        Rule::Recalled {
            rule: Box::new(rule),
            yes_counts,
            no_counts,
        }
    }

    /// The rule of a stage or class. One whose criterion does not decide is never settled by it alone: it
    /// stays open until a criterion of the same level that decides holds too.
    pub fn level(&self, key: &str) -> Rule<'k> {
        let whole = self.weighed(key, false, false);
        let Some(c) = self.criterion(key).filter(|c| !c.decides && confirmed(c)) else {
            return whole;
        };
        let same = |other: &Criterion| {
            (other.scheme, &other.level, &other.column) == (c.scheme, &c.level, &c.column)
        };
        let deciding = self
            .knowledge
            .criteria()
            .iter()
            .filter(|o| o.decides && same(o))
            .map(|o| self.weighed(&o.key, false, false));
        all([whole, any(deciding.chain([Rule::Open]))])
    }

    /// Is it looked at and told as one? A stage or class never is: its parts are its reasons.
    fn is_one(&self, c: &Criterion) -> bool {
        match &c.kind {
            CriterionKind::Composite { all, any, none } => {
                let finding = |key: &String| {
                    self.criterion(key)
                        .is_some_and(|p| is_finding(p) && sign_of(p).is_none())
                };
                let level = self.levels.contains(c.key.as_str());
                !level && all.is_empty() && none.is_empty() && any.iter().all(finding)
            }
            _ => true,
        }
    }

    /// Looks at one criterion; `None` for a key of nothing that is looked at.
    pub fn look(&self, key: &str, facts: &Facts<'_>) -> Option<Leaf<'k>> {
        let c = self.criterion(key).filter(|c| self.is_one(c))?;
        let mut leaf = Leaf {
            key: &c.key,
            words: c.words.trim_end_matches('.'),
            any_of: false,
            negated: false,
            witnesses: Vec::new(),
            open: Vec::new(),
            cites: cites(c, self.knowledge),
        };
        if let (Some(sign), CriterionKind::Finding { answer, .. }) = (sign_of(c), &c.kind) {
            leaf.negated = Answer::parse(answer).is_ok_and(|a| a.holds("no"));
            leaf.look_at(sign, self.knowledge, facts);
        } else if let CriterionKind::Composite { any, .. } = &c.kind {
            leaf.any_of = true;
            for part in any.iter().filter_map(|key| self.criterion(key)) {
                leaf.take(witness::part(part, self.knowledge, facts));
            }
        } else {
            leaf.take(witness::criterion(c, self.knowledge, facts));
        }
        leaf.cites.sort();
        leaf.cites.dedup();
        Some(leaf)
    }

    /// Looks at everything the rules name, the adult schemes first and then as the folder has it.
    pub fn look_at_all(&self, keys: &BTreeSet<&'k str>, facts: &Facts<'_>) -> Vec<Leaf<'k>> {
        let mut used: Vec<&Criterion> = self
            .knowledge
            .criteria()
            .iter()
            .filter(|c| keys.contains(c.key.as_str()))
            .collect();
        used.sort_by_key(|c| c.scheme);
        used.iter()
            .filter_map(|c| self.look(&c.key, facts))
            .collect()
    }

    /// Every criterion that a key leads to: the parts of composites and the witnesses of signs.
    fn reached(&self, key: &str, seen: &mut BTreeSet<&'k str>) {
        let Some(c) = self.criterion(key) else {
            return;
        };
        if !seen.insert(&c.key) {
            return;
        }
        if let CriterionKind::Composite { all, any, none } = &c.kind {
            for part in all.iter().chain(any).chain(none) {
                self.reached(part, seen);
            }
        }
        for part in sign_of(c).into_iter().flat_map(Sign::criteria) {
            self.reached(part, seen);
        }
    }
}

impl<'k> Leaf<'k> {
    /// A criterion that is a sign and nothing more.
    pub(crate) fn of_sign(
        sign: &'static Sign,
        knowledge: &'k Knowledge,
        facts: &Facts<'_>,
    ) -> Self {
        let mut leaf = Leaf {
            key: sign.key,
            words: sign.key,
            any_of: false,
            negated: false,
            witnesses: Vec::new(),
            open: Vec::new(),
            cites: Vec::new(),
        };
        leaf.look_at(sign, knowledge, facts);
        leaf
    }

    fn look_at(&mut self, sign: &'static Sign, knowledge: &'k Knowledge, facts: &Facts<'_>) {
        self.any_of = sign.any_of;
        for ask in sign.asks {
            self.take(witness::ask(sign.key, ask, knowledge, facts));
        }
    }

    fn take(&mut self, looked: witness::Looked<'k>) {
        self.witnesses.extend(looked.witness);
        self.open.extend(looked.open);
        self.cites.extend(looked.cites);
    }
}

fn is_finding(c: &Criterion) -> bool {
    matches!(c.kind, CriterionKind::Finding { .. })
}

/// The sign that a criterion takes in by its name.
fn sign_of(c: &Criterion) -> Option<&'static Sign> {
    match &c.kind {
        CriterionKind::Finding { finding, .. } => sign_named(finding).filter(|s| !is_plain(s.key)),
        _ => None,
    }
}

/// A name that is a question or a total means that.
fn is_plain(name: &str) -> bool {
    exam::question(name).is_some() || TOTALS.contains(&name)
}

/// Each source with the weaker of what was read of it and what was read of this.
pub(crate) fn cites(c: &Criterion, knowledge: &Knowledge) -> Vec<Cite> {
    c.sources
        .iter()
        .map(|key| {
            let read = knowledge
                .source(key)
                .map_or(c.provenance, |s| s.provenance.max(c.provenance));
            Cite::new(key.as_str(), read.letter())
        })
        .collect()
}

/// Criteria that a folder ought to have and has not: stages, classes and witnesses of signs.
pub(crate) fn lacking(knowledge: &Knowledge) -> Vec<&'static str> {
    let witnesses = SIGNS.iter().flat_map(Sign::criteria);
    scheme::keys()
        .into_iter()
        .chain(witnesses)
        .filter(|key| knowledge.criterion(key).is_none())
        .collect()
}

/// Criteria of a folder that no scheme leads to: editing one changes nothing.
pub fn read_by_nothing(knowledge: &Knowledge) -> Vec<&str> {
    let book = Book::of(knowledge);
    let mut seen = BTreeSet::new();
    for key in scheme::keys() {
        book.reached(key, &mut seen);
    }
    let keys = knowledge.criteria().iter().map(|c| c.key.as_str());
    keys.filter(|key| !seen.contains(key)).collect()
}

/// Criteria of a folder that can never speak, each with the reason in one sentence.
pub fn never_speaking(knowledge: &Knowledge) -> Vec<String> {
    knowledge
        .criteria()
        .iter()
        .filter_map(|c| match &c.kind {
            CriterionKind::Finding {
                finding,
                answer,
                open,
            } => unheard(c, finding, answer, open.as_deref()),
            _ => None,
        })
        .collect()
}

fn unheard(c: &Criterion, finding: &str, answer: &str, open: Option<&str>) -> Option<String> {
    let told = |found: String, expected: &str| {
        Some(format!(
            "The criterion {} {found}; expected {expected}; correct it in the knowledge folder.",
            c.key
        ))
    };
    let parsed: Vec<Answer> = [Some(answer), open]
        .into_iter()
        .flatten()
        .filter_map(|text| Answer::parse(text).ok())
        .collect();
    let keys = || parsed.iter().flat_map(Answer::keys);
    let stranger = |choices: &[&str]| {
        let found = keys().find(|key| !choices.contains(key))?;
        told(
            format!("waits for the answer '{found}' to {finding}"),
            &format!("one of {}", choices.join(", ")),
        )
    };
    match exam::question(finding).map(|q| &q.kind) {
        Some(exam::Kind::Choice { choices }) => {
            if parsed.iter().any(|a| a.keys().next().is_none()) {
                return told(
                    format!("compares the answer to {finding} with a number"),
                    "one of its choices",
                );
            }
            stranger(&choices.iter().map(|c| c.key).collect::<Vec<_>>())
        }
        Some(exam::Kind::Number { .. }) => {
            keys()
                .find(|key| key.parse::<f64>().is_err())
                .and_then(|found| {
                    told(
                        format!("waits for the answer '{found}' to {finding}"),
                        "a number",
                    )
                })
        }
        Some(exam::Kind::Text { .. }) => told(
            format!("waits for an answer to {finding}, which is free text"),
            "a question with choices or a number",
        ),
        None if TOTALS.contains(&finding) => {
            let plain = Answer::parse(answer).is_ok_and(|a| a.comparison().is_some());
            (!plain)
                .then(|| {
                    told(
                        format!("waits for the total '{answer}'"),
                        "one comparison such as >=10",
                    )
                })
                .flatten()
        }
        None if sign_named(finding).is_some() => stranger(&["yes", "no"]),
        None => told(
            format!("asks for '{finding}'"),
            "a question of the examination, a total or a sign",
        ),
    }
}

//! A stage as a sentence over criteria.

use crate::truth::Truth;
use std::collections::BTreeSet;

/// `and`, `or`, `not` over criterion keys.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rule {
    Is(&'static str),
    Not(Box<Rule>),
    All(Vec<Rule>),
    Any(Vec<Rule>),
}

impl Rule {
    pub fn eval(&self, truth: &dyn Fn(&str) -> Truth) -> Truth {
        match self {
            Rule::Is(key) => truth(key),
            Rule::Not(rule) => !rule.eval(truth),
            Rule::All(rules) => rules.iter().fold(Truth::True, |t, r| t.and(r.eval(truth))),
            Rule::Any(rules) => rules.iter().fold(Truth::False, |t, r| t.or(r.eval(truth))),
        }
    }

    /// Every criterion the rule names.
    pub fn keys(&self) -> BTreeSet<&'static str> {
        match self {
            Rule::Is(key) => BTreeSet::from([*key]),
            Rule::Not(rule) => rule.keys(),
            Rule::All(rules) | Rule::Any(rules) => rules.iter().flat_map(Rule::keys).collect(),
        }
    }
}

pub fn is(key: &'static str) -> Rule {
    Rule::Is(key)
}

pub fn not(rule: Rule) -> Rule {
    Rule::Not(Box::new(rule))
}

pub fn all(rules: impl IntoIterator<Item = Rule>) -> Rule {
    Rule::All(rules.into_iter().collect())
}

pub fn any(rules: impl IntoIterator<Item = Rule>) -> Rule {
    Rule::Any(rules.into_iter().collect())
}

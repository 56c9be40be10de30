//! A stage as a sentence over criteria.

use crate::truth::Truth;
use std::collections::BTreeSet;

/// `and`, `or`, `not` over criterion keys.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rule<'k> {
    Is(&'k str),
    Not(Box<Rule<'k>>),
    All(Vec<Rule<'k>>),
    Any(Vec<Rule<'k>>),
    /// Known from memory: where only what is confirmed counts, its yes or its no is taken for unknown.
    Recalled {
        rule: Box<Rule<'k>>,
        yes_counts: bool,
        no_counts: bool,
    },
    /// Said nowhere, so always unknown.
    Open,
}

impl<'k> Rule<'k> {
    /// The truth of the sentence, `truth` giving that of each criterion; from confirmed definitions only,
    /// or with recalled ones let in.
    pub fn eval(&self, confirmed_only: bool, truth: &dyn Fn(&str) -> Truth) -> Truth {
        let of = |rule: &Rule<'k>| rule.eval(confirmed_only, truth);
        match self {
            Rule::Is(key) => truth(key),
            Rule::Not(rule) => !of(rule),
            Rule::All(rules) => rules.iter().fold(Truth::True, |t, r| t.and(of(r))),
            Rule::Any(rules) => rules.iter().fold(Truth::False, |t, r| t.or(of(r))),
            Rule::Recalled {
                rule,
                yes_counts,
                no_counts,
            } => match of(rule) {
                Truth::True if confirmed_only && !yes_counts => Truth::Unknown,
                Truth::False if confirmed_only && !no_counts => Truth::Unknown,
                truth => truth,
            },
            Rule::Open => Truth::Unknown,
        }
    }

    /// Every criterion the rule names.
    pub fn keys(&self) -> BTreeSet<&'k str> {
        match self {
            Rule::Is(key) => BTreeSet::from([*key]),
            Rule::Not(rule) | Rule::Recalled { rule, .. } => rule.keys(),
            Rule::All(rules) | Rule::Any(rules) => rules.iter().flat_map(Rule::keys).collect(),
            Rule::Open => BTreeSet::new(),
        }
    }
}

pub fn is(key: &str) -> Rule<'_> {
    Rule::Is(key)
}

pub fn not(rule: Rule<'_>) -> Rule<'_> {
    Rule::Not(Box::new(rule))
}

pub fn all<'k>(rules: impl IntoIterator<Item = Rule<'k>>) -> Rule<'k> {
    Rule::All(rules.into_iter().collect())
}

pub fn any<'k>(rules: impl IntoIterator<Item = Rule<'k>>) -> Rule<'k> {
    Rule::Any(rules.into_iter().collect())
}

/// A composite of the knowledge folder: every one of `all`, at least one of `any` where there are some,
/// none of `none`.
pub fn composite<'k>(
    all_of: Vec<Rule<'k>>,
    any_of: Vec<Rule<'k>>,
    none_of: Vec<Rule<'k>>,
) -> Rule<'k> {
    let one = (!any_of.is_empty()).then(|| any(any_of));
    all(all_of
        .into_iter()
        .chain(one)
        .chain(none_of.into_iter().map(not)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use Truth::{False, True, Unknown};

    /// The three keys and every way of giving each a truth.
    const KEYS: [&str; 3] = ["a", "b", "c"];

    fn worlds() -> Vec<[Truth; 3]> {
        let each = [True, False, Unknown];
        each.iter()
            .flat_map(|&a| each.map(|b| (a, b)))
            .flat_map(|(a, b)| each.map(|c| [a, b, c]))
            .collect()
    }

    fn at(rule: &Rule<'_>, world: [Truth; 3]) -> Truth {
        rule.eval(true, &|key| {
            world[KEYS.iter().position(|k| *k == key).unwrap()]
        })
    }

    fn rules(keys: &[&'static str]) -> Vec<Rule<'static>> {
        keys.iter().map(|k| is(k)).collect()
    }

    /// The tables of strong Kleene logic for two, written out.
    #[test]
    fn all_any_and_none_of_two_follow_kleenes_tables() {
        let table = [
            // a, b, all, any, none
            (True, True, True, True, False),
            (True, False, False, True, False),
            (True, Unknown, Unknown, True, False),
            (False, True, False, True, False),
            (False, False, False, False, True),
            (False, Unknown, False, Unknown, Unknown),
            (Unknown, True, Unknown, True, False),
            (Unknown, False, False, Unknown, Unknown),
            (Unknown, Unknown, Unknown, Unknown, Unknown),
        ];
        for (a, b, all_of, any_of, none_of) in table {
            let two = || rules(&["a", "b"]);
            let world = [a, b, Unknown];
            assert_eq!(
                at(&composite(two(), vec![], vec![]), world),
                all_of,
                "{a:?} {b:?}"
            );
            assert_eq!(
                at(&composite(vec![], two(), vec![]), world),
                any_of,
                "{a:?} {b:?}"
            );
            assert_eq!(
                at(&composite(vec![], vec![], two()), world),
                none_of,
                "{a:?} {b:?}"
            );
        }
    }

    /// Every way of putting three keys into `all`, `any`, `none` or nowhere, at every truth of each: what is
    /// unknown is answered both ways in plain logic, and where the answers differ nothing is known. As each
    /// key stands once, that is Kleene's logic, worked out in another way.
    #[test]
    fn every_composite_of_three_is_unknown_exactly_where_an_answer_would_matter() {
        let mut tried = 0;
        for places in 0..64usize {
            let place = |i: usize| places >> (2 * i) & 3;
            let of = |wanted: usize| -> Vec<&'static str> {
                (0..3)
                    .filter(|&i| place(i) == wanted)
                    .map(|i| KEYS[i])
                    .collect()
            };
            let rule = composite(rules(&of(0)), rules(&of(1)), rules(&of(2)));
            let plain = |known: [bool; 3]| {
                let holds =
                    |i: usize, wanted: usize, value: bool| place(i) == wanted && known[i] == value;
                (0..3).all(|i| !holds(i, 0, false) && !holds(i, 2, true))
                    && (of(1).is_empty() || (0..3).any(|i| holds(i, 1, true)))
            };
            for world in worlds() {
                let answers: BTreeSet<bool> = (0..8usize)
                    .map(|bits| [bits & 1 == 1, bits & 2 == 2, bits & 4 == 4])
                    .filter(|known| {
                        (0..3).all(|i| world[i].is_unknown() || world[i] == known[i].into())
                    })
                    .map(plain)
                    .collect();
                let expected = match (answers.contains(&true), answers.contains(&false)) {
                    (true, false) => True,
                    (false, true) => False,
                    _ => Unknown,
                };
                assert_eq!(at(&rule, world), expected, "{rule:?} in {world:?}");
                tried += 1;
            }
        }
        assert_eq!(tried, 64 * 27);
    }

    #[test]
    fn a_recalled_rule_says_what_may_count_and_all_where_recalled_ones_are_let_in() {
        for (yes_counts, no_counts) in [(false, false), (false, true), (true, false)] {
            let rule = Rule::Recalled {
                rule: Box::new(is("a")),
                yes_counts,
                no_counts,
            };
            for (truth, counts) in [(True, yes_counts), (False, no_counts), (Unknown, true)] {
                let confirmed = if counts { truth } else { Unknown };
                assert_eq!(rule.eval(true, &|_| truth), confirmed);
                assert_eq!(rule.eval(false, &|_| truth), truth);
            }
        }
    }
}

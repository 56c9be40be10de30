//! Classes A to E of the 2020 consensus, each flexible (1) or rigid (2), and the string they make.
//!
//! Which findings make a class, and which make it flexible, stands in the knowledge folder. That a class
//! which is present takes its own digit, and how letters and digits are written, is no criterion and stands
//! here.
//!
//! # Sources
//! Naming: Myerson2020 (abstract). Mixed strings such as `1AC2B` are written as recalled (unconfirmed
//! notation).

use super::{Scheme, stages};
use crate::book::Book;
use crate::chance;
use crate::evidence::Leaf;
use crate::report::Chance;
use crate::rule::Rule;
use crate::truth::Truth;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// The criteria that make the classes A to E flexible, in order.
pub(crate) const FLEXIBLE: [&str; 5] = [
    "co_A_flexible",
    "co_B_flexible",
    "co_C_flexible",
    "co_D_flexible",
    "co_E_flexible",
];

pub(crate) struct Class<'k> {
    letter: &'static str,
    words: &'k str,
    present: Rule<'k>,
    flexible: Rule<'k>,
}

impl<'k> Class<'k> {
    pub fn keys(&self) -> BTreeSet<&'k str> {
        &self.present.keys() | &self.flexible.keys()
    }

    fn at(&self, truth: &chance::TruthOf<'_>) -> (char, Truth, Truth) {
        (
            self.letter(),
            self.present.eval(true, truth),
            self.flexible.eval(true, truth),
        )
    }

    fn letter(&self) -> char {
        self.letter.chars().next().unwrap_or('?')
    }
}

pub(crate) fn classes<'k>(book: &Book<'k>) -> Vec<Class<'k>> {
    stages(Scheme::Consensus, book)
        .into_iter()
        .zip(FLEXIBLE)
        .map(|(stage, flexible)| Class {
            letter: stage.key,
            words: stage.words,
            present: stage.rule,
            flexible: book.level(flexible),
        })
        .collect()
}

/// One class of the five.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClassFound {
    pub letter: char,
    pub words: String,
    pub present: Truth,
    pub flexible: Truth,
    /// From the readings' error only.
    pub chance: Option<Chance>,
}

/// The whole answer of the consensus scheme.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Consensus {
    /// `1ABC`, `1AC2B`, or `no class`; `None` while a class, or a present class's flexibility, is open.
    pub string: Option<String>,
    /// What is known so far, in words.
    pub so_far: String,
    pub classes: Vec<ClassFound>,
    /// Chance of each string that can be written, from the readings' error only; empty without one.
    pub strings: BTreeMap<String, f64>,
}

pub(crate) fn consensus(classes: &[Class<'_>], leaves: &[Leaf<'_>]) -> Consensus {
    let truth = |key: &str| {
        leaves
            .iter()
            .find(|l| l.key == key)
            .map_or(Truth::Unknown, Leaf::truth)
    };
    let triples = |truth: &chance::TruthOf<'_>| -> Vec<(char, Truth, Truth)> {
        classes.iter().map(|c| c.at(truth)).collect()
    };
    let rules: Vec<&Rule<'_>> = classes.iter().map(|c| &c.present).collect();
    let chances = chance::of_rules(&rules, leaves, true);
    let now = triples(&truth);
    let found = classes
        .iter()
        .zip(&now)
        .enumerate()
        .map(|(at, (c, (letter, present, flexible)))| ClassFound {
            letter: *letter,
            words: c.words.to_owned(),
            present: *present,
            flexible: *flexible,
            chance: chances.as_ref().and_then(|all| all.get(at)).copied(),
        })
        .collect();
    let keys: BTreeSet<&str> = classes.iter().flat_map(Class::keys).collect();
    Consensus {
        string: string_of(&now),
        so_far: so_far(&now),
        classes: found,
        strings: chance::of_labels(leaves, &keys, &|at| string_of(&triples(at))),
    }
}

/// What is known so far, without chances.
pub(crate) fn so_far_of(classes: &[Class<'_>], truth: &chance::TruthOf<'_>) -> String {
    so_far(&classes.iter().map(|c| c.at(truth)).collect::<Vec<_>>())
}

/// Letters of the flexible classes behind a 1, of the rigid ones behind a 2.
fn string_of(classes: &[(char, Truth, Truth)]) -> Option<String> {
    let open = classes
        .iter()
        .any(|(_, p, f)| p.is_unknown() || (p.is_true() && f.is_unknown()));
    if open {
        return None;
    }
    let written = written(classes);
    Some(if written.is_empty() {
        "no class".to_owned()
    } else {
        written
    })
}

fn written(classes: &[(char, Truth, Truth)]) -> String {
    let group = |digit: &str, flexible: Truth| {
        let letters: String = classes
            .iter()
            .filter(|(_, p, f)| p.is_true() && *f == flexible)
            .map(|(l, _, _)| *l)
            .collect();
        if letters.is_empty() {
            letters
        } else {
            format!("{digit}{letters}")
        }
    };
    format!("{}{}", group("1", Truth::True), group("2", Truth::False))
}

fn so_far(classes: &[(char, Truth, Truth)]) -> String {
    let letters = |keep: &dyn Fn(Truth, Truth) -> bool| -> Vec<String> {
        classes
            .iter()
            .filter(|(_, p, f)| keep(*p, *f))
            .map(|(l, _, _)| l.to_string())
            .collect()
    };
    let mut parts = Vec::new();
    let done = written(classes);
    if !done.is_empty() {
        parts.push(done);
    }
    let half = letters(&|p, f| p.is_true() && f.is_unknown());
    if !half.is_empty() {
        parts.push(format!(
            "{} present, flexible or rigid not known",
            half.join(", ")
        ));
    }
    let open = letters(&|p, _| p.is_unknown());
    if !open.is_empty() {
        parts.push(format!("{} not known", open.join(", ")));
    }
    if parts.is_empty() {
        "no class".to_owned()
    } else {
        parts.join("; ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Truth::{False, True, Unknown};

    #[test]
    fn flexible_letters_come_behind_a_one_and_rigid_ones_behind_a_two() {
        for (classes, string, words) in [
            (
                vec![('A', True, True), ('B', True, False), ('C', True, True)],
                Some("1AC2B"),
                "1AC2B",
            ),
            (
                vec![('A', True, False), ('B', True, False)],
                Some("2AB"),
                "2AB",
            ),
            (vec![('A', False, Unknown)], Some("no class"), "no class"),
            (
                vec![('A', True, True), ('B', Unknown, True)],
                None,
                "1A; B not known",
            ),
            (
                vec![('A', True, True), ('B', True, Unknown)],
                None,
                "1A; B present, flexible or rigid not known",
            ),
        ] {
            assert_eq!(string_of(&classes).as_deref(), string);
            assert_eq!(so_far(&classes), words);
        }
    }
}

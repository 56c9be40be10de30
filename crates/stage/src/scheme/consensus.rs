//! Classes A to E of the 2020 consensus, each flexible (1) or rigid (2), and the string they make.
//!
//! # Sources
//! Classes: HMP2024 (read), PCFDreliab2022 (abstract); naming: Myerson2020 (abstract). No class has a
//! number of its own in the consensus: numbers are held against published norms, and where these differ
//! the class stays open. Mixed strings such as `1AC2B` are written as recalled (unconfirmed notation).

use super::Stage;
use crate::chance;
use crate::evidence::Leaf;
use crate::report::Chance;
use crate::rule::{Rule, any, is, not};
use crate::truth::Truth;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

const CITE: &[(&str, char)] = &[
    ("HMP2024", 'r'),
    ("PCFDreliab2022", 'a'),
    ("Myerson2020", 'a'),
];

struct Class {
    letter: char,
    words: &'static str,
    present: Rule,
    flexible: Rule,
}

fn classes() -> [Class; 5] {
    [
        Class {
            letter: 'A',
            words: "heel outwards",
            present: is("heel_valgus"),
            flexible: is("heel_flexible"),
        },
        Class {
            letter: 'B',
            words: "forefoot drifts outwards",
            present: is("forefoot_abducted"),
            flexible: is("abduction_flexible"),
        },
        Class {
            letter: 'C',
            words: "forefoot turned up or inner column unstable",
            present: any([
                is("forefoot_varus"),
                is("medial_column_unstable"),
                is("arch_line_broken"),
            ]),
            flexible: not(is("forefoot_varus_fixed")),
        },
        Class {
            letter: 'D',
            words: "talus slides off the heel bone",
            present: any([is("subtalar_subluxed"), is("fibula_impinges")]),
            flexible: is("heel_flexible"),
        },
        Class {
            letter: 'E',
            words: "ankle tilts outwards",
            present: is("ankle_valgus"),
            flexible: is("ankle_flexible"),
        },
    ]
}

pub(super) fn stages() -> Vec<Stage> {
    let keys = ["A", "B", "C", "D", "E"];
    classes()
        .into_iter()
        .zip(keys)
        .map(|(class, key)| Stage {
            key,
            words: class.words,
            rule: class.present,
            confirmed: true,
            cites: CITE,
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

pub(crate) fn consensus(leaves: &[Leaf]) -> Consensus {
    let all = classes();
    let truth = |key: &str| {
        leaves
            .iter()
            .find(|l| l.key == key)
            .map_or(Truth::Unknown, Leaf::truth)
    };
    let rules: Vec<&Rule> = all.iter().map(|c| &c.present).collect();
    let chances = chance::of_rules(&rules, leaves, true);
    let found: Vec<ClassFound> = all
        .iter()
        .enumerate()
        .map(|(at, c)| ClassFound {
            letter: c.letter,
            words: c.words.to_owned(),
            present: c.present.eval(&truth),
            flexible: c.flexible.eval(&truth),
            chance: chances.as_ref().and_then(|all| all.get(at)).copied(),
        })
        .collect();
    let keys: Vec<&str> = all
        .iter()
        .flat_map(|c| c.present.keys().into_iter().chain(c.flexible.keys()))
        .collect();
    let label = |at: &chance::TruthOf<'_>| {
        string_of(
            &all.iter()
                .map(|c| (c.letter, c.present.eval(at), c.flexible.eval(at)))
                .collect::<Vec<_>>(),
        )
    };
    let strings = chance::of_labels(leaves, &keys, &label);
    let triples: Vec<_> = found
        .iter()
        .map(|c| (c.letter, c.present, c.flexible))
        .collect();
    Consensus {
        string: string_of(&triples),
        so_far: so_far(&triples),
        classes: found,
        strings,
    }
}

/// What is known so far, without chances.
pub(crate) fn so_far_of(truth: &chance::TruthOf<'_>) -> String {
    let triples: Vec<_> = classes()
        .iter()
        .map(|c| (c.letter, c.present.eval(truth), c.flexible.eval(truth)))
        .collect();
    so_far(&triples)
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

//! What is missing, and what each answer would change.
//!
//! Every open criterion is tried both ways, everything else left as it is, and the stages that remain
//! possible are compared. An open criterion that changes nothing is not asked for.

use crate::evidence::{Leaf, Witness};
use crate::report::{Missing, Outcome};
use crate::scheme::{Scheme, consensus, stages};
use crate::truth::Truth;

/// The stages of each scheme that are not ruled out.
fn possible(schemes: &[Scheme], leaves: &[Leaf]) -> Vec<Outcome> {
    let truth = |key: &str| {
        leaves
            .iter()
            .find(|l| l.key == key)
            .map_or(Truth::Unknown, Leaf::truth)
    };
    let would_be = |key: &str| {
        leaves
            .iter()
            .find(|l| l.key == key)
            .map_or(Truth::Unknown, Leaf::would_be)
    };
    schemes
        .iter()
        .map(|&scheme| {
            let candidates = match scheme {
                Scheme::Consensus => vec![consensus::so_far_of(leaves)],
                _ => stages(scheme)
                    .iter()
                    .filter(|s| {
                        !if s.confirmed {
                            s.rule.eval(&truth)
                        } else {
                            s.rule.eval(&would_be)
                        }
                        .is_false()
                    })
                    .map(|s| s.key.to_owned())
                    .collect(),
            };
            Outcome { scheme, candidates }
        })
        .collect()
}

fn answered(leaves: &[Leaf], at: usize, truth: Truth) -> Vec<Leaf> {
    let mut tried = leaves.to_vec();
    if let Some(leaf) = tried.get_mut(at) {
        leaf.witnesses = vec![Witness {
            truth,
            would_be: truth,
            says: String::new(),
            film: None,
        }];
        leaf.open.clear();
    }
    tried
}

pub(crate) fn missing(schemes: &[Scheme], leaves: &[Leaf]) -> Vec<Missing> {
    let now = possible(schemes, leaves);
    let changed = |then: Vec<Outcome>| -> Vec<Outcome> {
        then.into_iter()
            .zip(&now)
            .filter(|(t, n)| t != *n)
            .map(|(t, _)| t)
            .collect()
    };
    let mut out: Vec<(usize, Missing)> = Vec::new();
    for (at, leaf) in leaves
        .iter()
        .enumerate()
        .filter(|(_, l)| l.truth().is_unknown())
    {
        let yes = possible(schemes, &answered(leaves, at, Truth::True));
        let no = possible(schemes, &answered(leaves, at, Truth::False));
        let (if_yes, if_no) = (changed(yes.clone()), changed(no.clone()));
        if if_yes.is_empty() && if_no.is_empty() {
            continue;
        }
        let left: usize = yes.iter().chain(&no).map(|o| o.candidates.len()).sum();
        let mut ask: Vec<String> = leaf.open.iter().map(|k| (*k).to_owned()).collect();
        ask.dedup();
        out.push((
            left,
            Missing {
                criterion: leaf.key.to_owned(),
                words: leaf.words.to_owned(),
                why: why(leaf),
                ask,
                if_yes,
                if_no,
            },
        ));
    }
    out.sort_by_key(|(left, _)| *left);
    out.into_iter().map(|(_, m)| m).collect()
}

fn why(leaf: &Leaf) -> String {
    if leaf.witnesses.is_empty() {
        "not looked at".to_owned()
    } else if leaf.disagree() {
        "answers and readings disagree".to_owned()
    } else if leaf.would_be() != leaf.truth() {
        "cannot tell from confirmed sources".to_owned()
    } else if leaf.films().next().is_some() {
        "the reading with its error lies between the cuts or across one".to_owned()
    } else if leaf.any_of && !leaf.open.is_empty() {
        "only in part looked at".to_owned()
    } else {
        "what was found settles neither".to_owned()
    }
}

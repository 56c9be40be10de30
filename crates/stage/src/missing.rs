//! What is missing, and what each answer would change.
//!
//! Every open criterion is tried both ways, everything else left as it is, and the stages that remain
//! possible are compared. An open criterion that changes nothing is not asked for.

use crate::evidence::Leaf;
use crate::report::{Missing, Outcome};
use crate::scheme::consensus::{Class, so_far_of};
use crate::scheme::{Scheme, Stage};
use crate::truth::Truth;
use std::collections::BTreeMap;

/// Truth from confirmed cuts, and with unconfirmed ones let in.
type Truths<'k> = BTreeMap<&'k str, (Truth, Truth)>;

/// The stages of each scheme that are not ruled out.
fn possible(
    schemes: &[(Scheme, Vec<Stage<'_>>)],
    classes: &[Class<'_>],
    truths: &Truths<'_>,
) -> Vec<Outcome> {
    let truth = |key: &str| truths.get(key).map_or(Truth::Unknown, |t| t.0);
    let would_be = |key: &str| truths.get(key).map_or(Truth::Unknown, |t| t.1);
    schemes
        .iter()
        .map(|(scheme, stages)| {
            let holds = |s: &Stage<'_>| {
                if s.confirmed {
                    s.rule.eval(true, &truth)
                } else {
                    s.rule.eval(false, &would_be)
                }
            };
            let candidates = match scheme {
                Scheme::Consensus => vec![so_far_of(classes, &truth)],
                _ => stages
                    .iter()
                    .filter(|s| !holds(s).is_false())
                    .map(|s| s.key.to_owned())
                    .collect(),
            };
            Outcome {
                scheme: *scheme,
                candidates,
                ruled_out: Vec::new(),
            }
        })
        .collect()
}

/// How many stages with a confirmed definition are left.
fn confirmed_left(schemes: &[(Scheme, Vec<Stage<'_>>)], outcomes: &[Outcome]) -> usize {
    let confirmed = |scheme: Scheme, key: &str| {
        scheme != Scheme::Consensus
            && schemes.iter().any(|(s, stages)| {
                *s == scheme && stages.iter().any(|st| st.confirmed && st.key == key)
            })
    };
    outcomes
        .iter()
        .map(|o| {
            o.candidates
                .iter()
                .filter(|c| confirmed(o.scheme, c))
                .count()
        })
        .sum()
}

/// What each open criterion would change, the one that rules out most confirmed stages first.
pub(crate) fn missing(
    schemes: &[(Scheme, Vec<Stage<'_>>)],
    classes: &[Class<'_>],
    leaves: &[Leaf<'_>],
) -> Vec<Missing> {
    let mut truths: Truths<'_> = leaves
        .iter()
        .map(|l| (l.key, (l.truth(), l.would_be())))
        .collect();
    let now = possible(schemes, classes, &truths);
    let changed = |then: &[Outcome]| -> Vec<Outcome> {
        let pairs = then.iter().zip(&now).filter(|(t, n)| t != n);
        pairs
            .map(|(t, n)| {
                let gone = n
                    .candidates
                    .iter()
                    .filter(|c| t.scheme != Scheme::Consensus && !t.candidates.contains(c));
                Outcome {
                    ruled_out: gone.cloned().collect(),
                    ..t.clone()
                }
            })
            .collect()
    };
    let mut out: Vec<((usize, bool, usize), Missing)> = Vec::new();
    for leaf in leaves.iter().filter(|l| l.truth().is_unknown()) {
        let was = truths.insert(leaf.key, (Truth::True, Truth::True));
        let yes = possible(schemes, classes, &truths);
        truths.insert(leaf.key, (Truth::False, Truth::False));
        let no = possible(schemes, classes, &truths);
        truths.insert(leaf.key, was.unwrap_or((Truth::Unknown, Truth::Unknown)));
        let (if_yes, if_no) = (changed(&yes), changed(&no));
        if if_yes.is_empty() && if_no.is_empty() {
            continue;
        }
        let names_a_class = if_yes
            .iter()
            .chain(&if_no)
            .any(|o| o.scheme == Scheme::Consensus);
        let all: usize = yes.iter().chain(&no).map(|o| o.candidates.len()).sum();
        let rank = (
            confirmed_left(schemes, &yes) + confirmed_left(schemes, &no),
            !names_a_class,
            all,
        );
        let mut ask: Vec<String> = leaf.open.iter().map(|k| (*k).to_owned()).collect();
        ask.dedup();
        out.push((
            rank,
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
    out.sort_by_key(|(rank, _)| *rank);
    out.into_iter().map(|(_, m)| m).collect()
}

fn why(leaf: &Leaf<'_>) -> String {
    if leaf.witnesses.is_empty() {
        "not looked at".to_owned()
    } else if leaf.disagree() {
        "answers and readings disagree".to_owned()
    } else if leaf.would_be() != leaf.truth() {
        "no yardstick of it may decide".to_owned()
    } else if leaf.films().next().is_some() {
        "the reading is too close to a limit; place the points again or take a better film"
            .to_owned()
    } else if leaf.any_of && !leaf.open.is_empty() {
        "only in part looked at".to_owned()
    } else {
        "what was found settles neither".to_owned()
    }
}

//! Alarm signs: what they are, how they are recognised, and what they ask for.
//!
//! They err on the safe side. Cuts known from memory count here, because overlooking is worse than asking
//! twice; the report says which they are. A sign that has one clue and an open question is told as 'not
//! cleared', with the question.
//!
//! Their rules stand here and not in the folder, and what they share with a scheme is read from the
//! folder inside the program: a practice may move a stage in its own copy, and cannot silence an alarm.

use crate::alarm_criteria::ALARM_CRITERIA;
use crate::book::Book;
use crate::evidence::Leaf;
use crate::facts::Facts;
use crate::report::{Cite, RaisedFlag};
use crate::rule::{Rule, all, any, is, not};
use crate::truth::Truth;
use knowledge::Knowledge;

struct Flag {
    /// Key in the knowledge folder, which holds words, action and urgency.
    key: &'static str,
    rule: Rule<'static>,
    /// Any of these being there makes an open flag worth telling.
    clues: &'static [&'static str],
    /// A plan may not rest on a stage while it is raised.
    holds_plan: bool,
}

/// Most urgent first.
fn flags() -> Vec<Flag> {
    let flag = |key, rule, clues| Flag {
        key,
        rule,
        clues,
        holds_plan: true,
    };
    vec![
        flag(
            "ischaemia",
            any([
                is("pressure_critical"),
                all([
                    is("pulses_absent"),
                    is("pulse_tibial_absent"),
                    any([is("pale_or_cold"), is("rest_pain")]),
                ]),
            ]),
            &[
                "pressure_critical",
                "pulses_absent",
                "pulse_tibial_absent",
                "rest_pain",
            ],
        ),
        flag(
            "septic_joint",
            any([
                all([is("hot_red"), any([is("fever"), is("cannot_bear_weight")])]),
                all([
                    is("child"),
                    any([
                        is("severe_local_pain"),
                        all([is("fever"), any([is("painful"), is("cannot_bear_weight")])]),
                    ]),
                ]),
            ]),
            &["hot_red", "fever"],
        ),
        flag(
            "charcot",
            all([is("numb"), any([is("warm_swollen"), is("warmer_by_2")])]),
            &["numb", "warm_swollen", "warmer_by_2"],
        ),
        flag("clot", is("clot_likely"), &["clot_likely"]),
        flag("acute_rupture", is("sudden_collapse"), &[]),
        flag(
            "tumour",
            any([is("mass"), is("weight_loss"), is("night_pain")]),
            &[],
        ),
        flag(
            "cord_or_nerve",
            any([is("new_weakness"), is("spasticity"), is("foot_drop")]),
            &[],
        ),
        flag(
            "open_or_infected_skin",
            any([is("skin_ulcer"), is("skin_infection")]),
            &[],
        ),
        flag(
            "child_nerve_or_muscle",
            all([
                is("child"),
                any([
                    is("skills_lost"),
                    is("reflexes_changed"),
                    is("spasticity"),
                    is("was_high_arched"),
                ]),
            ]),
            &["skills_lost", "reflexes_changed", "was_high_arched"],
        ),
        flag(
            "crps",
            all([
                is("crps_disproportionate"),
                is("crps_symptoms"),
                is("crps_signs"),
                is("crps_nothing_better"),
            ]),
            &["crps_disproportionate", "crps_symptoms", "crps_signs"],
        ),
        flag(
            "inflammatory",
            all([
                not(is("inflammatory")),
                any([
                    all([
                        is("morning_stiffness"),
                        any([is("several_joints"), is("psoriasis")]),
                    ]),
                    is("both_tendons_swollen"),
                ]),
            ]),
            &[
                "morning_stiffness",
                "several_joints",
                "both_tendons_swollen",
            ],
        ),
        flag(
            "rigid_child",
            all([is("child"), is("foot_flat"), not(is("arch_comes_back"))]),
            &[],
        ),
        flag(
            "rocker_sole",
            all([is("child"), is("rocker_at_birth")]),
            &["rocker_at_birth"],
        ),
        Flag {
            key: "foot_at_risk",
            rule: any([
                is("numb"),
                all([is("diabetes"), is("poor_flow")]),
                is("earlier_foot_ulcer"),
                is("end_stage_kidney"),
            ]),
            clues: &["diabetes"],
            holds_plan: false,
        },
    ]
}

/// Raised flags, flags that one clue speaks for and nobody has cleared, and flags nobody asked about.
pub(crate) struct Alarm {
    pub raised: Vec<RaisedFlag>,
    pub not_cleared: Vec<RaisedFlag>,
    pub not_asked: Vec<String>,
    pub holds_plan: bool,
}

/// Everything the alarm rules name, looked at once.
fn look(flags: &[Flag], facts: &Facts<'_>) -> Vec<Leaf<'static>> {
    let built_in = Knowledge::built_in();
    let book = Book::of(built_in);
    let own: Vec<&str> = ALARM_CRITERIA.iter().map(|c| c.key).collect();
    let mut shared: Vec<&str> = flags.iter().flat_map(|f| f.rule.keys()).collect();
    shared.retain(|key| !own.contains(key));
    shared.sort_unstable();
    shared.dedup();
    let own = ALARM_CRITERIA
        .iter()
        .map(|c| Leaf::of_sign(c, built_in, facts));
    own.chain(shared.iter().filter_map(|key| book.look(key, facts)))
        .collect()
}

pub(crate) fn alarm(facts: &Facts<'_>) -> Alarm {
    let (knowledge, flags) = (facts.knowledge, flags());
    let leaves = look(&flags, facts);
    let leaves = leaves.as_slice();
    let truth = |key: &str| {
        leaves
            .iter()
            .find(|l| l.key == key)
            .map_or(Truth::Unknown, Leaf::would_be)
    };
    let adult = truth("child").is_false();
    let mut out = Alarm {
        raised: Vec::new(),
        not_cleared: Vec::new(),
        not_asked: Vec::new(),
        holds_plan: false,
    };
    for flag in flags {
        // A missing answer about a disease already known must not keep the flag down.
        let held = flag.rule.eval(false, &|key| match (key, truth(key)) {
            ("inflammatory", Truth::Unknown) => Truth::False,
            (_, t) => t,
        });
        let clue = flag.clues.iter().any(|c| truth(c).is_true());
        match held {
            Truth::True => {
                out.holds_plan |= flag.holds_plan;
                out.raised.push(told(knowledge, &flag, leaves, held));
            }
            Truth::Unknown if clue => out.not_cleared.push(told(knowledge, &flag, leaves, held)),
            Truth::Unknown
                if adult && flag.rule.keys().contains("child") && flag.key != "septic_joint" => {}
            Truth::Unknown => out
                .not_asked
                .push(told(knowledge, &flag, leaves, held).words),
            Truth::False => {}
        }
    }
    out
}

fn told(knowledge: &Knowledge, flag: &Flag, leaves: &[Leaf<'_>], truth: Truth) -> RaisedFlag {
    let keys = flag.rule.keys();
    let used = || {
        leaves
            .iter()
            .filter(|l| keys.contains(l.key) && l.key != "child")
    };
    let spoken = |l: &&Leaf<'_>| truth.is_true() || flag.clues.contains(&l.key);
    let reasons = used()
        .filter(spoken)
        .filter(|l| l.would_be().is_true())
        .flat_map(|l| {
            l.witnesses
                .iter()
                .filter(|w| w.would_be.is_true())
                .map(|w| w.says_as_alarm.as_ref().unwrap_or(&w.says).clone())
        });
    let open = used()
        .filter(|l| l.would_be().is_unknown())
        .flat_map(|l| l.open.iter().map(|k| (*k).to_owned()));
    let mut reasons: Vec<String> = reasons.collect();
    reasons.dedup();
    let mut ask: Vec<String> = open.collect();
    ask.sort();
    ask.dedup();
    // A folder that lost a flag must not silence it.
    let entry = knowledge
        .flag(flag.key)
        .or_else(|| Knowledge::built_in().flag(flag.key));
    let (words, action, urgency, sources) = match entry {
        Some(e) => {
            let cites = e
                .sources
                .iter()
                .map(|s| Cite::new(s.as_str(), e.provenance.letter()))
                .collect();
            (
                e.words.clone(),
                e.action.clone(),
                e.urgency.words().to_owned(),
                cites,
            )
        }
        None => (
            flag.key.to_owned(),
            "Stop and have it looked at.".to_owned(),
            "urgent".to_owned(),
            Vec::new(),
        ),
    };
    RaisedFlag {
        key: flag.key.to_owned(),
        words,
        action,
        holds_plan: flag.holds_plan,
        urgency,
        truth,
        reasons,
        ask,
        sources,
    }
}

/// Keys of all alarm signs, most urgent first.
pub fn keys() -> Vec<&'static str> {
    flags().into_iter().map(|f| f.key).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_criterion_of_an_alarm_rule_is_looked_at_and_no_other() {
        let (exam, story, asked) = Default::default();
        let facts = Facts::new(terms::Side::Left, &story, &exam, &asked);
        let flags = flags();
        let looked = look(&flags, &facts);
        let named: Vec<&str> = flags
            .iter()
            .flat_map(|f| f.rule.keys().into_iter().chain(f.clues.iter().copied()))
            .collect();
        for key in &named {
            let leaf = looked.iter().find(|l| l.key == *key).unwrap();
            assert!(!leaf.open.is_empty(), "{key} asks nothing");
        }
        for leaf in &looked {
            assert!(named.contains(&leaf.key), "{} is dead", leaf.key);
        }
    }
}

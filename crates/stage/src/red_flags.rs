//! Alarm signs: what they are, how they are recognised, and what they ask for.
//!
//! They err on the safe side. Cuts known from memory count here, because overlooking is worse than asking
//! twice; the report says which they are. A sign that has one clue and an open question is told as 'not
//! cleared', with the question.

use crate::evidence::Leaf;
use crate::report::{Cite, RaisedFlag};
use crate::rule::{Rule, all, any, is, not};
use crate::truth::Truth;

struct Flag {
    key: &'static str,
    words: &'static str,
    action: &'static str,
    urgency: &'static str,
    rule: Rule,
    /// Any of these being there makes an open flag worth telling.
    clues: &'static [&'static str],
    cites: &'static [(&'static str, char)],
}

fn flags() -> Vec<Flag> {
    let flag = |key, words, action, urgency, rule, clues, cites| Flag {
        key,
        words,
        action,
        urgency,
        rule,
        clues,
        cites,
    };
    vec![
        flag(
            "ischaemia",
            "Leg short of blood",
            "Emergency: vascular team now; no compression, no cast",
            "emergency",
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
            &[("common_practice", 'u')],
        ),
        flag(
            "septic",
            "Infected joint or bone",
            "Same day: blood tests, joint tap, imaging; no injection",
            "same-day",
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
            &["hot_red", "fever", "severe_local_pain"],
            &[("SepticReview", 'a'), ("QldLimp", 'r'), ("RCHswollen", 'r')],
        ),
        flag(
            "charcot",
            "Charcot foot",
            "Take the weight off now and call the foot team; no brace, no exercise. Often first taken for infection, gout, clot or sprain",
            "same-day",
            all([is("numb"), any([is("warm_swollen"), is("warmer_by_2")])]),
            &["numb", "warm_swollen", "warmer_by_2"],
            &[("CharcotAFP", 'r'), ("TCC2021", 'a'), ("IWGDFCharcot", 'a')],
        ),
        flag(
            "clot",
            "Clot in the leg",
            "Same day: clot pathway; no compression until it is ruled out",
            "same-day",
            is("clot_likely"),
            &["clot_likely"],
            &[("Wells", 'r')],
        ),
        flag(
            "acute-injury",
            "Fresh rupture, cut, fracture or midfoot dislocation",
            "Urgent: standing films if they can stand, otherwise CT; surgical opinion",
            "urgent",
            is("sudden_collapse"),
            &["sudden_collapse"],
            &[("common_practice", 'u')],
        ),
        flag(
            "tumour",
            "Tumour",
            "Urgent imaging",
            "urgent",
            any([is("mass"), is("weight_loss"), is("night_pain")]),
            &["mass", "weight_loss", "night_pain"],
            &[("RCHswollen", 'r')],
        ),
        flag(
            "cord-or-nerve",
            "Spinal cord or nerve",
            "Urgent neurological opinion",
            "urgent",
            any([
                is("new_weakness"),
                is("spasticity"),
                is("foot_drop"),
                all([
                    is("child"),
                    any([is("skills_lost"), is("reflexes_changed")]),
                ]),
            ]),
            &[
                "new_weakness",
                "spasticity",
                "foot_drop",
                "skills_lost",
                "reflexes_changed",
            ],
            &[("common_practice", 'u'), ("Evans2009", 'u')],
        ),
        flag(
            "crps",
            "Complex regional pain",
            "Early pain service; no cast",
            "soon",
            all([
                is("crps_disproportionate"),
                is("crps_symptoms"),
                is("crps_signs"),
                is("crps_nothing_better"),
            ]),
            &["crps_disproportionate", "crps_symptoms", "crps_signs"],
            &[("Budapest", 'r')],
        ),
        flag(
            "inflammatory",
            "Inflammatory or crystal disease, not yet known",
            "Rheumatology; blood tests",
            "soon",
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
            &[("common_practice", 'u')],
        ),
    ]
}

/// Raised flags, flags that one clue speaks for and nobody has cleared, and flags nobody asked about.
pub(crate) struct Alarm {
    pub raised: Vec<RaisedFlag>,
    pub not_cleared: Vec<RaisedFlag>,
    pub not_asked: Vec<String>,
}

pub(crate) fn alarm(leaves: &[Leaf]) -> Alarm {
    let truth = |key: &str| {
        leaves
            .iter()
            .find(|l| l.key == key)
            .map_or(Truth::Unknown, Leaf::would_be)
    };
    let mut out = Alarm {
        raised: Vec::new(),
        not_cleared: Vec::new(),
        not_asked: Vec::new(),
    };
    for flag in flags() {
        // A missing answer about a disease already known must not keep the flag down.
        let held = flag.rule.eval(&|key| match (key, truth(key)) {
            ("inflammatory", Truth::Unknown) => Truth::False,
            (_, t) => t,
        });
        let clue = flag.clues.iter().any(|c| truth(c).is_true());
        match held {
            Truth::True => out.raised.push(told(&flag, leaves, held)),
            Truth::Unknown if clue => out.not_cleared.push(told(&flag, leaves, held)),
            Truth::Unknown => out.not_asked.push(flag.words.to_owned()),
            Truth::False => {}
        }
    }
    out
}

fn told(flag: &Flag, leaves: &[Leaf], truth: Truth) -> RaisedFlag {
    let keys = flag.rule.keys();
    let used = || {
        leaves
            .iter()
            .filter(|l| keys.contains(l.key) && l.key != "child")
    };
    let reasons = used().filter(|l| l.would_be().is_true()).flat_map(|l| {
        l.witnesses
            .iter()
            .filter(|w| w.would_be.is_true())
            .map(|w| w.says.clone())
    });
    let open = used()
        .filter(|l| l.would_be().is_unknown())
        .flat_map(|l| l.open.iter().map(|k| (*k).to_owned()));
    let mut reasons: Vec<String> = reasons.collect();
    reasons.dedup();
    let mut ask: Vec<String> = open.collect();
    ask.sort();
    ask.dedup();
    RaisedFlag {
        key: flag.key.to_owned(),
        words: flag.words.to_owned(),
        action: flag.action.to_owned(),
        urgency: flag.urgency.to_owned(),
        truth,
        reasons,
        ask,
        sources: flag.cites.iter().map(|&(k, l)| Cite::new(k, l)).collect(),
    }
}

/// Keys of all alarm signs, most urgent first.
pub fn keys() -> Vec<&'static str> {
    flags().into_iter().map(|f| f.key).collect()
}

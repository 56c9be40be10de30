//! Stages I to IV of the failing tendon and their substages.
//!
//! # Sources
//! Stages I to III: JohnsonStrom1989; IV: Myerson1997; both in outline from Bluman2007 and Healio2021
//! (read). Substages: Bluman2007 (its tables from memory, so never more than 'would be'). The four stages
//! were never validated (Myerson2020).

use super::Stage;
use crate::rule::{Rule, all, any, is, not};

const OUTLINE: &[(&str, char)] = &[
    ("Bluman2007", 'r'),
    ("Healio2021", 'r'),
    ("JohnsonStrom1989", 'u'),
];
const FOURTH: &[(&str, char)] = &[
    ("Bluman2007", 'r'),
    ("Healio2021", 'r'),
    ("Myerson1997", 'u'),
];
const SUB: &[(&str, char)] = &[("Bluman2007", 'u')];

fn tendon_speaks() -> Rule {
    any([
        is("pain_medial"),
        is("swelling_medial"),
        is("heel_rise_fails"),
        is("tendon_weak"),
    ])
}

fn one() -> Rule {
    all([
        any([is("pain_medial"), is("swelling_medial")]),
        not(is("heel_valgus")),
        not(is("forefoot_abducted")),
        not(is("ankle_valgus")),
    ])
}

fn two() -> Rule {
    all([
        tendon_speaks(),
        is("heel_valgus"),
        is("heel_flexible"),
        not(is("ankle_valgus")),
    ])
}

fn three() -> Rule {
    all([
        any([tendon_speaks(), is("sinus_tarsi_pain")]),
        is("heel_valgus"),
        not(is("heel_flexible")),
        not(is("ankle_valgus")),
    ])
}

fn four() -> Rule {
    all([
        any([tendon_speaks(), is("heel_valgus")]),
        is("ankle_valgus"),
    ])
}

/// Worn out, or will not correct.
fn ankle_gone() -> Rule {
    any([not(is("ankle_flexible")), is("wear_ankle")])
}

pub(super) fn stages() -> Vec<Stage> {
    let main = |key, words, rule, cites| Stage {
        key,
        words,
        rule,
        confirmed: true,
        cites,
    };
    let sub = |key, words, rule| Stage {
        key,
        words,
        rule,
        confirmed: false,
        cites: SUB,
    };
    let fixed = || is("forefoot_varus_fixed");
    let drift = || is("forefoot_abducted");
    vec![
        main("I", "sore tendon, heel in line", one(), OUTLINE),
        main("II", "heel outwards, still corrects", two(), OUTLINE),
        main("III", "heel outwards, stiff", three(), OUTLINE),
        main("IV", "talus tilts outwards in the ankle", four(), FOURTH),
        sub(
            "IA",
            "inflammatory disease, normal shape",
            all([one(), is("inflammatory"), not(is("tendon_torn"))]),
        ),
        sub(
            "IB",
            "partial tear, normal line",
            all([one(), is("tendon_torn"), not(is("heel_slight"))]),
        ),
        sub(
            "IC",
            "partial tear, heel a little outwards",
            all([one(), is("tendon_torn"), is("heel_slight")]),
        ),
        sub(
            "IIA1",
            "heel corrects, forefoot turned up and flexible",
            all([two(), not(fixed()), not(drift())]),
        ),
        sub(
            "IIA2",
            "heel corrects, forefoot fixed turned up",
            all([two(), fixed(), not(is("medial_column_unstable"))]),
        ),
        sub(
            "IIB",
            "heel corrects, forefoot drifts outwards",
            all([two(), drift()]),
        ),
        sub(
            "IIC",
            "heel corrects, forefoot fixed turned up, inner column unstable",
            all([two(), fixed(), is("medial_column_unstable")]),
        ),
        sub(
            "IIIA",
            "heel stiff, forefoot in line",
            all([three(), not(drift())]),
        ),
        sub(
            "IIIB",
            "heel stiff, forefoot drifts outwards",
            all([three(), drift()]),
        ),
        sub(
            "IVA",
            "ankle tilt corrects, little wear",
            all([four(), not(ankle_gone())]),
        ),
        sub(
            "IVB",
            "ankle tilt stiff or ankle worn",
            all([four(), ankle_gone()]),
        ),
    ]
}

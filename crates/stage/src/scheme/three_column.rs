//! Hindfoot, ankle and midfoot staged side by side.
//!
//! # Sources
//! Raikin2012, from memory: every cell is 'would be' and none decides.

use super::Stage;
use crate::rule::{Rule, all, any, is, not};

const CITE: &[(&str, char)] = &[("Raikin2012", 'u')];

fn sore() -> Rule {
    any([is("pain_medial"), is("swelling_medial")])
}

fn far_gone() -> Rule {
    any([
        is("uncovered_over_40"),
        is("arch_line_over_30"),
        is("incongruent_over_45"),
    ])
}

fn stiff() -> Rule {
    any([not(is("heel_flexible")), is("wear_subtalar")])
}

pub(super) fn stages() -> Vec<Stage> {
    let cell = |key, words, rule| Stage {
        key,
        words,
        rule,
        confirmed: false,
        cites: CITE,
    };
    let valgus = || is("heel_valgus");
    let varus = || is("forefoot_varus");
    let gap = || is("medial_column_unstable");
    let medial = || is("wear_medial_column");
    let middle = || is("wear_middle_column");
    let loss = || is("plafond_loss");
    vec![
        cell(
            "R-Ia",
            "hindfoot: sheath inflamed, in line",
            all([sore(), not(valgus()), is("tendon_inflamed")]),
        ),
        cell(
            "R-Ib",
            "hindfoot: tendon changed, in line",
            all([sore(), not(valgus()), is("tendon_torn")]),
        ),
        cell(
            "R-IIa",
            "hindfoot: flexible, less far gone",
            all([valgus(), not(stiff()), not(far_gone())]),
        ),
        cell(
            "R-IIb",
            "hindfoot: flexible, far gone",
            all([valgus(), not(stiff()), far_gone()]),
        ),
        cell(
            "R-IIIa",
            "hindfoot: stiff or worn, less far gone",
            all([valgus(), stiff(), not(far_gone())]),
        ),
        cell(
            "R-IIIb",
            "hindfoot: stiff or worn, far gone",
            all([valgus(), stiff(), far_gone()]),
        ),
        cell(
            "A-Ia",
            "ankle: neutral",
            all([not(is("ankle_tilted")), not(loss())]),
        ),
        cell(
            "A-Ib",
            "ankle: tilts less than 5°",
            all([
                is("ankle_tilted"),
                not(is("ankle_tilt_over_5")),
                not(is("deltoid_lax")),
                not(loss()),
            ]),
        ),
        cell(
            "A-IIa",
            "ankle: ligament lax, no wear",
            all([is("deltoid_lax"), not(is("wear_ankle")), not(loss())]),
        ),
        cell(
            "A-IIb",
            "ankle: ligament lax, worn",
            all([is("deltoid_lax"), is("wear_ankle"), not(loss())]),
        ),
        cell(
            "A-IIIa",
            "ankle: bone lost, ligament holds",
            all([loss(), not(is("deltoid_lax"))]),
        ),
        cell(
            "A-IIIb",
            "ankle: bone lost, ligament lax",
            all([loss(), is("deltoid_lax")]),
        ),
        cell(
            "M-Ia",
            "midfoot: neutral",
            all([not(varus()), not(medial())]),
        ),
        cell(
            "M-Ib",
            "midfoot: turned up, flexible",
            all([
                varus(),
                not(is("forefoot_varus_fixed")),
                not(gap()),
                not(medial()),
            ]),
        ),
        cell(
            "M-IIa",
            "midfoot: turned up, stays, stable",
            all([
                varus(),
                is("forefoot_varus_fixed"),
                not(gap()),
                not(medial()),
            ]),
        ),
        cell(
            "M-IIb",
            "midfoot: turned up, unstable",
            all([varus(), gap(), not(medial())]),
        ),
        cell(
            "M-IIIa",
            "midfoot: inner column worn",
            all([medial(), not(middle())]),
        ),
        cell(
            "M-IIIb",
            "midfoot: inner and middle column worn",
            all([medial(), middle()]),
        ),
    ]
}

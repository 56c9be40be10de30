//! The alarm questions, once a visit; signs of one foot stand on that foot's sheet.

use super::{Block, COMMON, Q, ask, whole, yes_no};
use crate::form::Sheet;

const fn block(section: &'static str, questions: &'static [Q]) -> Block {
    Block {
        sheet: Sheet::Flags,
        section,
        questions,
    }
}

pub(super) const BLOCKS: &[Block] = &[
    block("Infection, injury, circulation", ACUTE),
    block("Clot in the leg", CLOT),
    block("Tumour, nerve, joints", SLOW),
    block("Pain out of proportion", CRPS),
    block("Child", CHILD),
];

const SEPTIC: &[&str] = &["SepticReview", "QldLimp", "RCHswollen"];

const ACUTE: &[Q] = &[
    yes_no("fever", "Fever or shivering", "", SEPTIC),
    yes_no("cannot_bear_weight", "Cannot put weight on it", "", SEPTIC),
    yes_no(
        "hot_red_swollen",
        "Foot or ankle hot, red and swollen",
        "",
        SEPTIC,
    ),
    yes_no(
        "severe_local_pain",
        "Severe pain at one spot",
        "In a child this alone is enough for a look the same day.",
        SEPTIC,
    ),
    yes_no(
        "sudden_collapse",
        "A pop, a cut, or the arch gone from one day to the next",
        "Torn or cut tendon, fracture, midfoot dislocation.",
        COMMON,
    ),
    yes_no(
        "rest_pain",
        "Foot pain at rest, eased by hanging the leg down",
        "",
        COMMON,
    ),
];

const WELLS: &[&str] = &["Wells"];
const CLOT: &[Q] = &[
    yes_no(
        "dvt_cancer",
        "Cancer, active or treated within six months",
        "",
        WELLS,
    ),
    yes_no(
        "dvt_cast",
        "Leg paralysed or lately in a cast or boot",
        "",
        WELLS,
    ),
    yes_no(
        "dvt_bed",
        "In bed more than three days, or major surgery lately",
        "Four weeks in the older form of the rule, twelve in the newer.",
        WELLS,
    ),
    yes_no("dvt_tender", "Tender along the deep veins", "", WELLS),
    yes_no("dvt_whole_leg", "Whole leg swollen", "", WELLS),
    yes_no(
        "dvt_calf",
        "Calf more than 3 cm thicker than the other",
        "10 cm below the tibial tuberosity.",
        WELLS,
    ),
    yes_no(
        "dvt_pitting",
        "Dent stays after pressing, worse on this leg",
        "",
        WELLS,
    ),
    yes_no(
        "dvt_collateral",
        "Veins of the surface stand out, not varicose",
        "",
        WELLS,
    ),
    yes_no("dvt_before", "Earlier clot in a leg", "", WELLS),
    yes_no(
        "dvt_other_likely",
        "Something else explains it as well",
        "Takes two points off.",
        WELLS,
    ),
];

const SLOW: &[Q] = &[
    yes_no(
        "night_pain",
        "Pain that wakes them at night whatever they did by day",
        "",
        &["RCHswollen"],
    ),
    yes_no("mass", "A lump", "", &["RCHswollen"]),
    yes_no(
        "weight_loss",
        "Losing weight without trying",
        "",
        &["RCHswollen"],
    ),
    yes_no("new_weakness", "New weakness in both legs", "", COMMON),
    yes_no("spasticity", "Stiff, jerky or scissoring legs", "", COMMON),
    yes_no("foot_drop", "Foot drops, toes catch", "", COMMON),
    yes_no(
        "morning_stiffness",
        "Stiff for half an hour or more in the morning",
        "",
        COMMON,
    ),
    yes_no("several_joints", "Several joints hurt or swell", "", COMMON),
    yes_no(
        "both_tendons_swollen",
        "Tendon sheaths swollen on both sides, younger person",
        "",
        COMMON,
    ),
];

const CRPS: &[Q] = &[
    yes_no(
        "crps_disproportionate",
        "Pain far beyond what the foot explains",
        "",
        &["Budapest"],
    ),
    ask(
        "crps_symptom_groups",
        "Of four groups, how many complained of",
        whole("of 4", 0.0, 4.0),
        "Touch hurts; colour or warmth differs; swelling or sweating; weakness, tremor, hair or nails.",
        &["Budapest"],
    ),
    ask(
        "crps_sign_groups",
        "Of the same four groups, how many seen",
        whole("of 4", 0.0, 4.0),
        "Warmth counts from 1 °C of difference.",
        &["Budapest"],
    ),
    yes_no(
        "crps_nothing_better",
        "Nothing else explains it better",
        "",
        &["Budapest"],
    ),
];

const CHILD: &[Q] = &[
    yes_no(
        "skills_lost",
        "Skills or strength once had are lost",
        "",
        &["Evans2009"],
    )
    .children(),
    yes_no(
        "reflexes_changed",
        "Reflexes brisk or absent",
        "",
        &["Evans2009"],
    )
    .children(),
    yes_no(
        "was_high_arched",
        "Used to have a high arch",
        "",
        &["Evans2009"],
    )
    .children(),
    yes_no(
        "rocker_at_birth",
        "Sole rounded like a rocker since birth",
        "",
        &["Evans2009"],
    )
    .children(),
    yes_no(
        "new_on_one_side",
        "New, or on one side only",
        "",
        &["RCHflat"],
    )
    .children(),
];

//! What the alarm signs alone look at. What they share with a scheme stands in the knowledge folder.
//!
//! Cuts for numbers stand in `thresholds`, words and sources of each sign in the folder's flags.

use crate::evidence::Ask::{self, Child, Choice, Number, Total};
use crate::signs::Sign;

const fn one(key: &'static str, asks: &'static [Ask]) -> Sign {
    Sign {
        key,
        any_of: false,
        asks,
    }
}

/// One yes is enough; a no needs them all.
const fn any_of(key: &'static str, asks: &'static [Ask]) -> Sign {
    Sign {
        key,
        any_of: true,
        asks,
    }
}

const YES: &[&str] = &["yes"];
const NO: &[&str] = &["no"];

/// A yes-or-no question as its own criterion.
macro_rules! asked {
    ($key:literal) => {
        one($key, &[Choice($key, YES, NO)])
    };
}

pub(crate) const ALARM_CRITERIA: &[Sign] = &[
    one("child", &[Child]),
    asked!("skin_ulcer"),
    asked!("skin_infection"),
    asked!("diabetes"),
    asked!("earlier_foot_ulcer"),
    asked!("end_stage_kidney"),
    any_of(
        "poor_flow",
        &[
            Choice("pulse_dorsal", &["weak", "absent"], &["strong"]),
            Choice("pulse_tibial", &["weak", "absent"], &["strong"]),
        ],
    ),
    asked!("cannot_bear_weight"),
    any_of(
        "hot_red",
        &[
            Choice("hot_red_swollen", YES, NO),
            Choice("skin_infection", YES, NO),
        ],
    ),
    any_of(
        "warm_swollen",
        &[
            Choice("hot_red_swollen", YES, NO),
            Choice("foot_warmth", &["warmer"], &["same", "colder"]),
        ],
    ),
    one("warmer_by_2", &[Number("temperature_difference_c")]),
    any_of(
        "numb",
        &[
            Choice("filament_great_toe", &["not_felt"], &["felt"]),
            Choice("filament_mt1", &["not_felt"], &["felt"]),
            Choice("filament_mt5", &["not_felt"], &["felt"]),
            Choice("known_neuropathy", YES, NO),
        ],
    ),
    asked!("sudden_collapse"),
    one(
        "pulses_absent",
        &[Choice("pulse_dorsal", &["absent"], &["strong", "weak"])],
    ),
    one(
        "pulse_tibial_absent",
        &[Choice("pulse_tibial", &["absent"], &["strong", "weak"])],
    ),
    any_of(
        "pale_or_cold",
        &[
            Choice("foot_colour", &["pale", "dusky"], &["usual", "red"]),
            Choice("foot_warmth", &["colder"], &["same", "warmer"]),
        ],
    ),
    asked!("rest_pain"),
    one("pressure_critical", &[Number("ankle_brachial_index")]),
    one("clot_likely", &[Total("clot_total")]),
    asked!("crps_disproportionate"),
    asked!("crps_nothing_better"),
    one("crps_symptoms", &[Number("crps_symptom_groups")]),
    one("crps_signs", &[Number("crps_sign_groups")]),
    asked!("mass"),
    asked!("weight_loss"),
    asked!("new_weakness"),
    asked!("foot_drop"),
    asked!("morning_stiffness"),
    asked!("several_joints"),
    asked!("psoriasis"),
    asked!("both_tendons_swollen"),
];

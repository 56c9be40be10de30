//! The criteria of every scheme and of the alarm rules: words, witnesses, sources.
//!
//! Cuts for numbers stand in `thresholds`; which stage needs which criterion stands in `scheme`.

use crate::evidence::Ask::{Child, Choice, Film, HeelRise, Laxity, Number, Total};
use crate::evidence::Mode::{Agree, AnyOf};
use crate::evidence::{Ask, Leaf, Mode, Spec, look};
use crate::facts::Facts;

const fn spec(
    key: &'static str,
    words: &'static str,
    mode: Mode,
    asks: &'static [Ask],
    cites: &'static [(&'static str, char)],
) -> Spec {
    Spec {
        key,
        words,
        mode,
        asks,
        cites,
    }
}

const YES: &[&str] = &["yes"];
const NO: &[&str] = &["no"];
const FOUND: &[&str] = &["pressed", "itself"];
const SWOLLEN: &[&str] = &["slight", "marked"];
const NONE: &[&str] = &["none"];

/// A yes-or-no question as its own criterion.
macro_rules! asked {
    ($key:literal, $words:literal, $($cite:expr),+) => {
        spec($key, $words, Agree, &[Choice($key, YES, NO)], &[$($cite),+])
    };
}

pub(crate) const SPECS: &[Spec] = &[
    spec(
        "child",
        "Under 18",
        Agree,
        &[Child],
        &[("common-practice", 'c')],
    ),
    // Tendon
    spec(
        "pain_medial",
        "Pain along the tendon",
        AnyOf,
        &[
            Choice("pain_inner_ankle", FOUND, NO),
            Choice("pain_navicular", FOUND, NO),
        ],
        &[("Wheeless", 'r'), ("JohnsonStrom1989", 'u')],
    ),
    spec(
        "swelling_medial",
        "Swelling along the tendon",
        Agree,
        &[Choice("swelling_inner", SWOLLEN, NONE)],
        &[("Wheeless", 'r')],
    ),
    spec(
        "heel_rise_fails",
        "Single heel rise fails or the heel does not turn in",
        Agree,
        &[HeelRise],
        &[("Wheeless", 'r')],
    ),
    spec(
        "tendon_weak",
        "Tibialis posterior weak",
        Agree,
        &[Number("tp_strength")],
        &[("Wheeless", 'r')],
    ),
    spec(
        "tendon_torn",
        "Tendon torn, in part or through",
        Agree,
        &[Choice(
            "tendon_image",
            &["partial_tear", "full_tear"],
            &["sound", "inflamed"],
        )],
        &[("Bluman2007", 'u')],
    ),
    spec(
        "tendon_inflamed",
        "Sheath inflamed, no tear",
        Agree,
        &[Choice(
            "tendon_image",
            &["inflamed"],
            &["sound", "partial_tear", "full_tear"],
        )],
        &[("Raikin2012", 'u')],
    ),
    spec(
        "inflammatory",
        "Known inflammatory joint disease",
        Agree,
        &[Choice("inflammatory_disease", YES, NO)],
        &[("Bluman2007", 'u')],
    ),
    // Hindfoot
    spec(
        "heel_valgus",
        "Heel clearly outwards",
        Agree,
        &[
            Choice("heel_line", &["clear"], &["inwards", "usual", "slight"]),
            Number("heel_angle_deg"),
            Film("hma"),
            Film("haa"),
        ],
        &[("HMP2024", 'r'), ("HindfootByEye2016", 'a')],
    ),
    spec(
        "heel_slight",
        "Heel a little outwards",
        Agree,
        &[Choice(
            "heel_line",
            &["slight"],
            &["inwards", "usual", "clear"],
        )],
        &[("Bluman2007", 'u')],
    ),
    spec(
        "heel_flexible",
        "Heel corrects by hand",
        Agree,
        &[
            Choice("heel_corrects", &["fully"], &["not"]),
            Choice("subtalar_motion", &[], NONE),
        ],
        &[("Wheeless", 'r')],
    ),
    spec(
        "arch_line_broken",
        "Line of talus and first metatarsal broken",
        Agree,
        &[Film("meary_lat")],
        &[("HMP2024", 'r')],
    ),
    spec(
        "sinus_tarsi_pain",
        "Pain at the outer side",
        AnyOf,
        &[
            Choice("pain_outer", FOUND, NO),
            Choice("impinges_sinus_tarsi", YES, NO),
        ],
        &[("Bluman2007", 'u'), ("HMP2024", 'r')],
    ),
    // Forefoot
    spec(
        "forefoot_varus",
        "Forefoot turned up with the heel neutral",
        Agree,
        &[Choice("forefoot_varus", YES, NO)],
        &[("Wheeless", 'r'), ("HMP2024", 'r')],
    ),
    spec(
        "forefoot_varus_fixed",
        "The turned-up forefoot does not come down",
        Agree,
        &[
            Choice("forefoot_varus_corrects", &["not"], &["fully"]),
            Choice("forefoot_varus", &[], NO),
        ],
        &[("Wheeless", 'r')],
    ),
    spec(
        "forefoot_abducted",
        "Forefoot drifts outwards",
        Agree,
        &[
            Choice("forefoot_drifts_out", YES, NO),
            Number("toes_seen"),
            Film("tnca"),
            Film("tn_uncov"),
            Film("t1mt_dp"),
        ],
        &[("HMP2024", 'r')],
    ),
    spec(
        "abduction_flexible",
        "Forefoot can be brought back in line",
        Agree,
        &[Choice("forefoot_drift_corrects", &["fully"], &["not"])],
        &[("common-practice", 'c')],
    ),
    spec(
        "medial_column_unstable",
        "Inner column unstable",
        AnyOf,
        &[
            Choice("first_ray", &["loose"], &["usual", "stiff"]),
            Choice("tmt_gap", YES, NO),
        ],
        &[("HMP2024", 'r'), ("Bluman2007", 'u')],
    ),
    spec(
        "subtalar_subluxed",
        "Talus slides off the heel bone",
        Agree,
        &[Choice("subtalar_subluxed", YES, NO)],
        &[("HMP2024", 'r')],
    ),
    spec(
        "fibula_impinges",
        "Pinching under the fibula",
        AnyOf,
        &[
            Choice("impinges_under_fibula", YES, NO),
            Choice("pain_under_fibula", FOUND, NO),
        ],
        &[("HMP2024", 'r')],
    ),
    // Ankle
    spec(
        "ankle_valgus",
        "Talus tilts outwards in the ankle",
        Agree,
        &[Choice("ankle_tilt_seen", YES, NO), Film("talar_tilt")],
        &[("HMP2024", 'r'), ("Bluman2007", 'r')],
    ),
    spec(
        "ankle_tilted",
        "Talus tilts more than a healthy one",
        Agree,
        &[Film("talar_tilt")],
        &[("TalarTiltPage", 'r')],
    ),
    spec(
        "ankle_tilt_over_5",
        "Talus tilts more than 5°",
        Agree,
        &[Film("talar_tilt")],
        &[],
    ),
    spec(
        "ankle_flexible",
        "Ankle tilt corrects by hand",
        Agree,
        &[Choice("ankle_tilt_corrects", &["fully"], &["not"])],
        &[("Bluman2007", 'u')],
    ),
    spec(
        "deltoid_lax",
        "Inner ankle ligament gives way",
        Agree,
        &[Choice("deltoid_lax", YES, NO)],
        &[("Raikin2012", 'u')],
    ),
    spec(
        "plafond_loss",
        "Outer tibial joint surface lost",
        Agree,
        &[Choice("plafond_loss", YES, NO)],
        &[("Raikin2012", 'u')],
    ),
    spec(
        "wear_ankle",
        "Ankle worn",
        Agree,
        &[Number("wear_ankle")],
        &[("common-practice", 'c')],
    ),
    spec(
        "wear_subtalar",
        "Subtalar joint worn",
        Agree,
        &[Number("wear_subtalar")],
        &[("common-practice", 'c')],
    ),
    spec(
        "wear_medial_column",
        "Inner column worn",
        AnyOf,
        &[
            Number("wear_naviculocuneiform"),
            Number("wear_first_tarsometatarsal"),
        ],
        &[("common-practice", 'c')],
    ),
    spec(
        "wear_middle_column",
        "Middle column worn",
        Agree,
        &[Number("wear_lesser_tarsometatarsal")],
        &[("common-practice", 'c')],
    ),
    spec(
        "uncovered_over_40",
        "Talar head uncovered by more than 40 %",
        Agree,
        &[Film("tn_uncov")],
        &[],
    ),
    spec(
        "arch_line_over_30",
        "Line broken by more than 30°",
        Agree,
        &[Film("meary_lat")],
        &[],
    ),
    spec(
        "incongruent_over_45",
        "Outer talonavicular edge off by more than 45°",
        Agree,
        &[Film("lia")],
        &[],
    ),
    // Child
    spec(
        "foot_flat",
        "Flat when standing",
        Agree,
        &[Choice("arch_standing", &["flat", "lowered"], &["normal"])],
        &[("RCHflat", 'r')],
    ),
    spec(
        "arch_comes_back",
        "Arch appears on tiptoe or sitting",
        AnyOf,
        &[
            Choice("arch_on_tiptoe", &["appears"], &["stays_flat"]),
            Choice("arch_sitting", &["appears"], &["stays_flat"]),
        ],
        &[("RCHflat", 'r')],
    ),
    spec(
        "painful",
        "Painful",
        AnyOf,
        &[
            Number("pain_level"),
            Choice("pain_inner_ankle", FOUND, NO),
            Choice("pain_navicular", FOUND, NO),
            Choice("pain_sole", FOUND, NO),
            Choice("pain_outer", FOUND, NO),
        ],
        &[("RCHflat", 'r')],
    ),
    asked!("tires_early", "Tires early", ("Evans2008", 'u')),
    asked!("poor_skills", "Clumsy for the age", ("Evans2008", 'u')),
    asked!(
        "weight_high_for_age",
        "Weight well above the range for age",
        ("Evans2008", 'u')
    ),
    spec(
        "slow_at_play",
        "Cannot run and jump as others of that age",
        Agree,
        &[Choice("plays_like_others", NO, YES)],
        &[("RCHflat", 'r')],
    ),
    spec(
        "cord_tight",
        "Achilles cord tight",
        Agree,
        &[Number("dorsiflexion_straight_deg")],
        &[("BouchardMosca2014", 'a')],
    ),
    spec(
        "posture_pronated",
        "Posture total over +6",
        Agree,
        &[Total("posture_total")],
        &[],
    ),
    spec(
        "posture_beyond_age",
        "Posture total beyond what 96 in 100 children have",
        Agree,
        &[Total("posture_total")],
        &[],
    ),
    spec(
        "loose_joints",
        "Loose joints",
        Agree,
        &[Laxity],
        &[("FPNotebookBeighton", 'r'), ("Malek2021", 'a')],
    ),
    spec(
        "one_sided",
        "On one side, or new",
        AnyOf,
        &[
            Choice("sides_differ", YES, NO),
            Choice("new_on_one_side", YES, NO),
        ],
        &[("RCHflat", 'r')],
    ),
    asked!("skills_lost", "Skills or strength lost", ("Evans2009", 'u')),
    asked!(
        "reflexes_changed",
        "Reflexes brisk or absent",
        ("Evans2009", 'u')
    ),
    asked!(
        "was_high_arched",
        "Used to have a high arch",
        ("Evans2009", 'u')
    ),
    asked!(
        "rocker_at_birth",
        "Rocker sole since birth",
        ("Evans2009", 'u')
    ),
    asked!(
        "coalition_seen",
        "A bridge between bones seen or suspected",
        ("Ford2022", 'a'),
        ("OrthoVellum", 'r')
    ),
    // Alarm signs
    asked!("skin_ulcer", "Ulcer or open wound", ("IWGDF", 'r')),
    asked!("skin_infection", "Skin infected", ("common-practice", 'c')),
    asked!("diabetes", "Diabetes", ("IWGDF", 'r')),
    asked!(
        "earlier_foot_ulcer",
        "Earlier foot ulcer or amputation",
        ("IWGDF", 'r')
    ),
    asked!(
        "end_stage_kidney",
        "End-stage kidney disease",
        ("IWGDF", 'r')
    ),
    spec(
        "poor_flow",
        "A pulse weak or missing",
        AnyOf,
        &[
            Choice("pulse_dorsal", &["weak", "absent"], &["strong"]),
            Choice("pulse_tibial", &["weak", "absent"], &["strong"]),
        ],
        &[("IWGDF", 'r')],
    ),
    spec(
        "fever",
        "Fever",
        Agree,
        &[Choice("fever", YES, NO)],
        &[("RCHswollen", 'r')],
    ),
    asked!(
        "cannot_bear_weight",
        "Cannot put weight on it",
        ("RCHswollen", 'r')
    ),
    asked!(
        "severe_local_pain",
        "Severe pain at one spot",
        ("RCHswollen", 'r')
    ),
    spec(
        "hot_red",
        "Hot, red, swollen",
        AnyOf,
        &[
            Choice("hot_red_swollen", YES, NO),
            Choice("skin_infection", YES, NO),
        ],
        &[("SepticReview", 'r')],
    ),
    spec(
        "warm_swollen",
        "Warm and swollen",
        AnyOf,
        &[
            Choice("hot_red_swollen", YES, NO),
            Choice("foot_warmth", &["warmer"], &["same", "colder"]),
        ],
        &[("CharcotAFP", 'r')],
    ),
    spec(
        "warmer_by_2",
        "Skin warmer by 2 °C",
        Agree,
        &[Number("temperature_difference_c")],
        &[],
    ),
    spec(
        "numb",
        "Protective feeling lost",
        AnyOf,
        &[
            Choice("filament_great_toe", &["not_felt"], &["felt"]),
            Choice("filament_mt1", &["not_felt"], &["felt"]),
            Choice("filament_mt5", &["not_felt"], &["felt"]),
            Choice("known_neuropathy", YES, NO),
        ],
        &[("NHSfoot", 'r'), ("IWGDF", 'r')],
    ),
    asked!(
        "sudden_collapse",
        "A pop, a cut, or a sudden collapse",
        ("common-practice", 'u')
    ),
    spec(
        "pulses_absent",
        "No pulse felt in the foot",
        Agree,
        &[Choice("pulse_dorsal", &["absent"], &["strong", "weak"])],
        &[("common-practice", 'u')],
    ),
    spec(
        "pulse_tibial_absent",
        "No pulse felt behind the inner ankle",
        Agree,
        &[Choice("pulse_tibial", &["absent"], &["strong", "weak"])],
        &[("common-practice", 'u')],
    ),
    spec(
        "pale_or_cold",
        "Pale, dusky or cold",
        AnyOf,
        &[
            Choice("foot_colour", &["pale", "dusky"], &["usual", "red"]),
            Choice("foot_warmth", &["colder"], &["same", "warmer"]),
        ],
        &[("common-practice", 'u')],
    ),
    asked!(
        "rest_pain",
        "Pain at rest, eased by hanging down",
        ("common-practice", 'u')
    ),
    spec(
        "pressure_critical",
        "Ankle-brachial index below 0.5",
        Agree,
        &[Number("ankle_brachial_index")],
        &[("common-practice", 'u')],
    ),
    spec(
        "clot_likely",
        "Clot rule at two points or more",
        Agree,
        &[Total("clot_total")],
        &[("Wells", 'r')],
    ),
    asked!(
        "crps_disproportionate",
        "Pain far beyond what the foot explains",
        ("Budapest", 'r')
    ),
    asked!(
        "crps_nothing_better",
        "Nothing explains it better",
        ("Budapest", 'r')
    ),
    spec(
        "crps_symptoms",
        "Three of four groups complained of",
        Agree,
        &[Number("crps_symptom_groups")],
        &[],
    ),
    spec(
        "crps_signs",
        "Two of four groups seen",
        Agree,
        &[Number("crps_sign_groups")],
        &[],
    ),
    asked!(
        "night_pain",
        "Pain that wakes at night",
        ("RCHswollen", 'r')
    ),
    asked!("mass", "A lump", ("RCHswollen", 'r')),
    asked!(
        "weight_loss",
        "Losing weight without trying",
        ("RCHswollen", 'r')
    ),
    asked!(
        "new_weakness",
        "New weakness in both legs",
        ("common-practice", 'u')
    ),
    asked!(
        "spasticity",
        "Stiff or jerky legs",
        ("common-practice", 'u')
    ),
    asked!("foot_drop", "Foot drops", ("common-practice", 'u')),
    asked!(
        "morning_stiffness",
        "Stiff for half an hour in the morning",
        ("common-practice", 'u')
    ),
    asked!("several_joints", "Several joints", ("common-practice", 'u')),
    asked!("psoriasis", "Psoriasis", ("common-practice", 'u')),
    asked!(
        "both_tendons_swollen",
        "Tendon sheaths swollen on both sides",
        ("common-practice", 'u')
    ),
];

/// Looks at every criterion once.
pub(crate) fn look_at_all(facts: &Facts<'_>) -> Vec<Leaf> {
    SPECS.iter().map(|s| look(s, facts)).collect()
}

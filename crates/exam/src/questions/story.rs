//! The person: who they are, how it began, what else they have and take.

use super::{Block, COMMON, Q, ask, c, number, one_of, text, whole, yes_no};
use crate::form::{Choice, Sheet};

const fn block(section: &'static str, questions: &'static [Q]) -> Block {
    Block {
        sheet: Sheet::Person,
        section,
        questions,
    }
}

pub(super) const BLOCKS: &[Block] = &[
    block("Person", PERSON),
    block("Story", STORY),
    block("Child's story", CHILD),
    block("What it allows", FUNCTION),
    block("Illnesses", ILLNESSES),
    block("Medicines", MEDICINES),
    block("Loose joints", LAXITY),
];

const SEX: &[Choice] = &[c("female", "female"), c("male", "male")];
const PREGNANCY: &[Choice] = &[
    c("no", "not pregnant"),
    c("before_20", "before week 20"),
    c("from_20", "week 20 to 28"),
    c("after_28", "after week 28"),
];

const PERSON: &[Q] = &[
    ask(
        "age_years",
        "Age",
        number("years", 0.0, 120.0),
        "In years; part years for a child, such as 7.5. Without it no yardstick that depends on age is used.",
        COMMON,
    ),
    ask(
        "sex",
        "Sex as the yardsticks use it",
        one_of(SEX),
        "",
        COMMON,
    ),
    ask("weight_kg", "Weight", number("kg", 2.0, 350.0), "", COMMON),
    ask("height_cm", "Height", number("cm", 40.0, 250.0), "", COMMON),
    yes_no(
        "puberty_done",
        "Past puberty",
        "Puberty, not a birthday, moves the limit of the loose-joint score.",
        &["FPNotebookBeighton"],
    ),
    ask(
        "pregnancy",
        "Pregnancy",
        one_of(PREGNANCY),
        "Anti-inflammatory tablets: avoid from week 20, never after week 28.",
        &["GGCNSAID", "NIformulary"],
    ),
];

const ONSET: &[Choice] = &[
    c("gradual", "crept in"),
    c("sudden", "from one day to the next"),
    c("after_injury", "after an injury"),
    c("always", "as long as anybody remembers"),
];
const COURSE: &[Choice] = &[
    c("better", "getting better"),
    c("same", "much the same"),
    c("worse", "getting worse"),
];

const STORY: &[Q] = &[
    ask(
        "complaint",
        "What troubles them most",
        text(2000),
        "In the person's own words.",
        COMMON,
    ),
    ask(
        "duration_weeks",
        "For how long",
        number("weeks", 0.0, 5000.0),
        "",
        COMMON,
    ),
    ask("onset", "How it began", one_of(ONSET), "", COMMON),
    ask(
        "course",
        "Where it is going",
        one_of(COURSE),
        "Over the last three months.",
        COMMON,
    ),
    yes_no(
        "trauma",
        "Injury to this foot or ankle before it began",
        "",
        &["Geideman2000"],
    ),
    yes_no(
        "medial_surgery",
        "Earlier surgery at the inner ankle",
        "",
        &["Geideman2000"],
    ),
    ask(
        "tried",
        "What has been tried, how long, with what result",
        text(2000),
        "Rest, boot, therapy, supports, tablets, injections.",
        COMMON,
    ),
    ask(
        "tried_weeks",
        "Weeks of steady treatment so far",
        number("weeks", 0.0, 520.0),
        "Time in which a support was worn and exercises were done, not time since the first visit.",
        COMMON,
    ),
    ask("goal", "What they want to do again", text(1000), "", COMMON),
];

const CHILD: &[Q] = &[
    yes_no(
        "plays_like_others",
        "Runs and jumps as others of that age do",
        "",
        &["RCHflat"],
    )
    .children(),
    yes_no(
        "tires_early",
        "Tires early or asks to be carried",
        "",
        &["Evans2008"],
    )
    .children(),
    yes_no(
        "poor_skills",
        "Clumsy for the age",
        "Hopping, stairs, balance on one leg.",
        &["Evans2008"],
    )
    .children(),
    yes_no(
        "weight_high_for_age",
        "Weight well above the range for age and height",
        "By the growth chart in use.",
        &["Evans2008"],
    )
    .children(),
    yes_no("family_flat", "Flat feet in the family", "", COMMON).children(),
    ask(
        "accompanied_by",
        "Who came with the child",
        one_of(COMPANION),
        "",
        COMMON,
    )
    .children(),
    ask(
        "consent_by",
        "Who agreed to examination and treatment",
        one_of(CONSENT),
        "By the law and the rules of the place.",
        COMMON,
    )
    .children(),
];

const COMPANION: &[Choice] = &[
    c("parent", "a parent"),
    c("guardian", "a guardian"),
    c("other", "somebody else, named in the note"),
    c("alone", "nobody"),
];
const CONSENT: &[Choice] = &[
    c("parent", "a parent"),
    c("guardian", "a guardian"),
    c("child", "the young person, able to decide"),
    c("not_yet", "nobody yet"),
];

const DOING: &[Choice] = &[
    c("as_before", "as before"),
    c("with_effort", "with effort"),
    c("not", "not at all"),
];

const fn doing(key: &'static str, words: &'static str) -> Q {
    ask(key, words, one_of(DOING), "", COMMON)
}

const fn promis(key: &'static str, words: &'static str, help: &'static str) -> Q {
    ask(
        key,
        words,
        number("T", 10.0, 90.0),
        help,
        &["PROMIShealthy"],
    )
}

const fn ffi_sum(key: &'static str, words: &'static str) -> Q {
    ask(
        key,
        words,
        number("points", 0.0, 230.0),
        "The sum of the answers, counted on the practice's own licensed sheet.",
        &["FFIrehab"],
    )
}

const fn ffi_items(key: &'static str, words: &'static str) -> Q {
    ask(
        key,
        words,
        whole("items", 1.0, 9.0),
        "Skipped items leave the denominator.",
        &["FFIrehab"],
    )
}

const FUNCTION: &[Q] = &[
    doing("does_walk_ten", "Walking ten minutes"),
    doing("does_stairs", "Stairs"),
    doing("does_uneven", "Uneven ground"),
    doing("does_stand", "Standing half an hour"),
    doing("does_work", "Work or school"),
    doing("does_sport", "Sport or play"),
    promis(
        "promis_function",
        "Physical function, T-score",
        "Entered as a number from the practice's own form; more is better. 50 is the mean of the reference people, 10 their SD (recalled, unconfirmed).",
    ),
    promis(
        "promis_interference",
        "Pain interference, T-score",
        "Entered as a number; more is worse.",
    ),
    ffi_sum("ffi_pain_sum", "Foot Function Index, pain: sum"),
    ffi_items("ffi_pain_items", "Items answered of 9"),
    ffi_sum("ffi_disability_sum", "Foot Function Index, disability: sum"),
    ffi_items("ffi_disability_items", "Items answered of 9, disability"),
    ffi_sum("ffi_limitation_sum", "Foot Function Index, limitation: sum"),
    ask(
        "ffi_limitation_items",
        "Items answered of 5, limitation",
        whole("items", 1.0, 5.0),
        "Skipped items leave the denominator.",
        &["FFIrehab"],
    ),
    ask(
        "ffi_item_most",
        "Highest value one item can have",
        whole("points", 4.0, 10.0),
        "As printed on the sheet that was used, such as 9 or 10.",
        &["FFIrehab"],
    ),
];

const ILLNESSES: &[Q] = &[
    yes_no(
        "inflammatory_disease",
        "Inflammatory joint disease, already known",
        "",
        &["Bluman2007"],
    ),
    yes_no("psoriasis", "Psoriasis", "", COMMON),
    yes_no("diabetes", "Diabetes", "", &["Geideman2000"]),
    yes_no(
        "diabetes_uncontrolled",
        "Sugar badly controlled at present",
        "Matters before any steroid injection and before surgery.",
        COMMON,
    ),
    yes_no(
        "known_neuropathy",
        "Known loss of feeling in the feet",
        "",
        &["IWGDF"],
    ),
    yes_no(
        "earlier_foot_ulcer",
        "Earlier foot ulcer or amputation",
        "",
        &["IWGDF"],
    ),
    yes_no(
        "end_stage_kidney",
        "End-stage kidney disease",
        "",
        &["IWGDF"],
    ),
    yes_no(
        "high_blood_pressure",
        "High blood pressure",
        "",
        &["Geideman2000"],
    ),
    yes_no(
        "heart_failure",
        "Heart failure",
        "",
        &["GGCNSAID", "ZincNurse"],
    ),
    yes_no("liver_failure", "Severe liver disease", "", &["GGCNSAID"]),
    yes_no(
        "kidney_disease",
        "Kidney disease, moderate or severe",
        "",
        &["GGCNSAID"],
    ),
    yes_no(
        "stomach_ulcer_now",
        "Stomach or gut ulcer, active",
        "",
        &["GGCNSAID"],
    ),
    yes_no(
        "stomach_ulcer_before",
        "Stomach or gut ulcer or bleeding, earlier",
        "",
        &["GGCNSAID"],
    ),
    yes_no(
        "asthma",
        "Asthma made worse by anti-inflammatory tablets",
        "",
        &["GGCNSAID"],
    ),
    yes_no(
        "infection_now",
        "An infection anywhere at present",
        "Hold any injection.",
        COMMON,
    ),
    yes_no(
        "paste_allergy",
        "Allergy to zinc paste, wool fat or preservatives",
        "",
        &["ZincNurse"],
    ),
    yes_no(
        "allergy_steroid",
        "Allergy to an injected corticosteroid",
        "",
        COMMON,
    ),
    yes_no(
        "allergy_anaesthetic",
        "Allergy to a local anaesthetic",
        "",
        COMMON,
    ),
    yes_no(
        "allergy_latex_plaster",
        "Allergy to latex or plaster",
        "",
        COMMON,
    ),
    yes_no("nicotine", "Nicotine", "", COMMON),
    yes_no(
        "hands_weak",
        "Hands too weak or stiff for laces and straps",
        "",
        COMMON,
    ),
];

const MEDICINES: &[Q] = &[
    yes_no(
        "takes_steroid",
        "Steroid tablets",
        "",
        &["Geideman2000", "GGCNSAID"],
    ),
    ask(
        "steroid_injections_here",
        "Steroid injections at this ankle so far",
        whole("injections", 0.0, 20.0),
        "",
        &["Geideman2000"],
    ),
    yes_no("takes_anticoagulant", "Blood thinner", "", &["GGCNSAID"]),
    yes_no("takes_aspirin", "Aspirin", "", &["GGCNSAID"]),
    yes_no(
        "takes_ssri",
        "Antidepressant of the serotonin kind",
        "",
        &["GGCNSAID"],
    ),
    yes_no(
        "takes_ace_or_arb",
        "ACE inhibitor or angiotensin blocker",
        "",
        &["GGCNSAID"],
    ),
    yes_no("takes_diuretic", "Water tablets", "", &["GGCNSAID"]),
    yes_no(
        "takes_nsaid",
        "Anti-inflammatory tablets now",
        "",
        &["GGCNSAID"],
    ),
    ask("medicines_other", "Other medicines", text(2000), "", COMMON),
];

const BEND: &[&str] = &["BMJBeighton"];
const LAXITY: &[Q] = &[
    yes_no(
        "laxity_little_finger_left",
        "Left little finger bends back to 90° or more",
        "Forearm flat on the table.",
        BEND,
    ),
    yes_no(
        "laxity_little_finger_right",
        "Right little finger bends back to 90° or more",
        "",
        BEND,
    ),
    yes_no(
        "laxity_thumb_left",
        "Left thumb reaches the forearm",
        "",
        BEND,
    ),
    yes_no(
        "laxity_thumb_right",
        "Right thumb reaches the forearm",
        "",
        BEND,
    ),
    yes_no(
        "laxity_elbow_left",
        "Left elbow straightens past 10°",
        "",
        BEND,
    ),
    yes_no(
        "laxity_elbow_right",
        "Right elbow straightens past 10°",
        "",
        BEND,
    ),
    yes_no(
        "laxity_knee_left",
        "Left knee straightens past 10°",
        "",
        BEND,
    ),
    yes_no(
        "laxity_knee_right",
        "Right knee straightens past 10°",
        "",
        BEND,
    ),
    yes_no(
        "laxity_palms",
        "Palms flat on the floor, knees straight",
        "",
        BEND,
    ),
    ask(
        "laxity_history",
        "Of five questions about earlier looseness, how many yes",
        whole("of 5", 0.0, 5.0),
        "Could put palms on the floor; could bend the thumb to the forearm; did contortions or the splits as a child; put a shoulder or kneecap out more than once; thinks of themselves as double-jointed.",
        &["FPNotebookBeighton"],
    ),
];

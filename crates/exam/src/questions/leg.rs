//! A leg measured for an ankle-foot orthosis or a lace-up gauntlet.

use super::{Block, COMMON, Q, ask, c, number, one_of, text, yes_no};
use crate::form::{Choice, Sheet};

const fn block(section: &'static str, questions: &'static [Q]) -> Block {
    Block {
        sheet: Sheet::Leg,
        section,
        questions,
    }
}

pub(super) const BLOCKS: &[Block] = &[
    block("How it was measured", HOW),
    block("Girths", GIRTHS),
    block("Heights above the floor", HEIGHTS),
    block("Lengths and widths", WIDTHS),
    block("Bone to leave free", RELIEF),
    block("Skin and swelling", SKIN),
];

const POSTURE: &[Choice] = &[
    c("standing", "standing"),
    c("sitting", "sitting, foot on the floor"),
    c("hanging", "foot hanging free"),
];
const HELD: &[Choice] = &[
    c("as_it_is", "as the foot is"),
    c("corrected", "held as far in line as it goes without force"),
];
const TIME: &[Choice] = &[
    c("morning", "in the morning"),
    c("midday", "about midday"),
    c("evening", "in the evening"),
];

const HOW: &[Q] = &[
    ask("leg_posture", "Measured", one_of(POSTURE), "", COMMON),
    ask(
        "leg_held",
        "Heel held",
        one_of(HELD),
        "A stiff foot is measured as it is and never forced.",
        COMMON,
    ),
    ask(
        "leg_time",
        "Time of day",
        one_of(TIME),
        "A leg that swells is larger in the evening; say when.",
        COMMON,
    ),
];

const fn girth(key: &'static str, words: &'static str, help: &'static str) -> Q {
    ask(key, words, number("mm", 60.0, 900.0), help, COMMON)
}

const GIRTHS: &[Q] = &[
    girth("girth_heads", "Round the metatarsal heads", ""),
    girth("girth_instep", "Round the instep", "Over the navicular."),
    girth(
        "girth_heel",
        "Round heel and instep",
        "Over the point of the heel.",
    ),
    girth(
        "girth_ankle",
        "Round the ankle",
        "Just above the malleoli, where it is thinnest.",
    ),
    girth("girth_calf", "Round the calf", "Where it is largest."),
    girth(
        "girth_below_knee",
        "Below the knee",
        "Two fingers below the head of the fibula.",
    ),
];

const fn height(key: &'static str, words: &'static str, help: &'static str) -> Q {
    ask(key, words, number("mm", 0.0, 700.0), help, COMMON)
}

const HEIGHTS: &[Q] = &[
    height("height_navicular", "Navicular", ""),
    height("height_medial_malleolus", "Tip of the inner ankle", ""),
    height("height_lateral_malleolus", "Tip of the outer ankle", ""),
    height("height_ankle", "Where the ankle's girth was taken", ""),
    height("height_calf", "Where the calf's girth was taken", ""),
    height(
        "height_below_knee",
        "Where the girth below the knee was taken",
        "",
    ),
];

const WIDTHS: &[Q] = &[
    ask(
        "leg_foot_length",
        "Foot, heel to longest toe",
        number("mm", 80.0, 400.0),
        "",
        COMMON,
    ),
    ask(
        "width_heads",
        "Width at the metatarsal heads",
        number("mm", 30.0, 180.0),
        "",
        COMMON,
    ),
    ask(
        "width_heel",
        "Width of the heel",
        number("mm", 20.0, 130.0),
        "",
        COMMON,
    ),
    ask(
        "width_malleoli",
        "Width over the malleoli",
        number("mm", 25.0, 150.0),
        "",
        COMMON,
    ),
];

const RELIEF: &[Q] = &[
    ask(
        "relief_from_heel",
        "Its middle, from the back of the heel",
        number("mm", 0.0, 350.0),
        "Where the talar head or the navicular pushes out on the inner side.",
        COMMON,
    ),
    ask(
        "relief_above_floor",
        "Its middle, above the floor",
        number("mm", 0.0, 200.0),
        "",
        COMMON,
    ),
    ask(
        "relief_length",
        "How long",
        number("mm", 1.0, 150.0),
        "",
        COMMON,
    ),
    ask(
        "relief_height",
        "How high",
        number("mm", 1.0, 150.0),
        "",
        COMMON,
    ),
    ask(
        "relief_out",
        "How far it stands out",
        number("mm", 0.0, 60.0),
        "",
        COMMON,
    ),
    yes_no("relief_tender", "Tender there", "", COMMON),
];

const LEG_SKIN: &[Choice] = &[
    c("sound", "sound"),
    c("thin", "thin or fragile"),
    c("callus", "callus or redness at the bone"),
    c("broken", "broken"),
];
const LACES: &[Choice] = &[
    c("alone", "laces alone"),
    c("help", "with somebody's help"),
    c("straps", "straps only"),
    c("neither", "neither"),
];

const SKIN: &[Q] = &[
    ask("leg_skin", "Skin", one_of(LEG_SKIN), "", COMMON),
    ask(
        "leg_swelling_mm",
        "Ankle girth, evening more than morning by",
        number("mm", 0.0, 150.0),
        "A rigid shell does not follow swelling; a lacer does, within limits.",
        COMMON,
    ),
    ask("leg_laces", "Closing it", one_of(LACES), "", COMMON),
    ask(
        "leg_words",
        "For the lab, in your words",
        text(1000),
        "",
        COMMON,
    ),
];

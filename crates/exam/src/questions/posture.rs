//! Six looks at the standing foot, each −2 to +2, in our own words.
//!
//! The six things looked at and their scoring range are published; the words here are ours and the
//! published manual is not reproduced.

use super::{Block, Q, ask, c, one_of};
use crate::form::{Choice, Sheet};

pub(super) const BLOCKS: &[Block] = &[Block {
    sheet: Sheet::Foot,
    section: "Posture, six items",
    questions: ITEMS,
}];

const SRC: &[&str] = &["Redmond2008", "Redmond2006"];

const HEAD: &[Choice] = &[
    c("-2", "only on the outer side"),
    c("-1", "more on the outer side"),
    c("0", "the same on both sides"),
    c("+1", "more on the inner side"),
    c("+2", "only on the inner side"),
];
const CURVES: &[Choice] = &[
    c("-2", "lower curve straight or bulging out"),
    c("-1", "lower curve the flatter one"),
    c("0", "both curves alike"),
    c("+1", "lower curve the deeper one"),
    c("+2", "lower curve much the deeper one"),
];
const HEEL: &[Choice] = &[
    c("-2", "clearly turned in"),
    c("-1", "a little turned in"),
    c("0", "upright"),
    c("+1", "a little turned out"),
    c("+2", "clearly turned out"),
];
const BULGE: &[Choice] = &[
    c("-2", "clearly hollow"),
    c("-1", "slightly hollow"),
    c("0", "level"),
    c("+1", "slightly bulging"),
    c("+2", "clearly bulging"),
];
const ARCH: &[Choice] = &[
    c("-2", "high, peak towards the heel"),
    c("-1", "rather high"),
    c("0", "even, of usual height"),
    c("+1", "lowered, flat in the middle"),
    c("+2", "very low, touching or nearly so"),
];
const TOES: &[Choice] = &[
    c("-2", "only toes of the inner side"),
    c("-1", "more toes of the inner side"),
    c("0", "as many on either side"),
    c("+1", "more toes of the outer side"),
    c("+2", "only toes of the outer side"),
];

const ITEMS: &[Q] = &[
    ask(
        "posture_talar_head",
        "Head of the talus, felt from both sides",
        one_of(HEAD),
        "Standing relaxed; thumb and finger just in front of the ankle.",
        SRC,
    ),
    ask(
        "posture_malleolar_curves",
        "Curve above the outer malleolus against the curve below it",
        one_of(CURVES),
        "From behind.",
        SRC,
    ),
    ask("posture_heel", "Heel", one_of(HEEL), "From behind.", SRC),
    ask(
        "posture_bulge",
        "Skin over the talonavicular joint",
        one_of(BULGE),
        "From the inner side.",
        SRC,
    ),
    ask(
        "posture_arch",
        "Shape of the inner arch",
        one_of(ARCH),
        "From the inner side: height and evenness.",
        SRC,
    ),
    ask(
        "posture_forefoot",
        "Forefoot seen from behind the heel",
        one_of(TOES),
        "In line with the heel.",
        SRC,
    ),
];

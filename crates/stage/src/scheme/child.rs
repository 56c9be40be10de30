//! Children: flexible or rigid, painful or painless, and a traffic light.
//!
//! # Sources
//! RCHflat (read), Ford2022 and BouchardMosca2014 (abstracts); the traffic light is put together here
//! from these and from Evans2008 and Evans2009 (memory). It errs towards a second look.

use super::Stage;
use crate::rule::{Rule, all, any, is, not};

const RCH: &[(&str, char)] = &[("RCHflat", 'r')];
const LIGHT: &[(&str, char)] = &[
    ("RCHflat", 'r'),
    ("Ford2022", 'a'),
    ("BouchardMosca2014", 'a'),
];

pub(super) fn kinds() -> Vec<Stage> {
    let kind = |key, words, rule| Stage {
        key,
        words,
        rule,
        confirmed: true,
        cites: RCH,
    };
    let (flat, back, pain) = (
        || is("foot_flat"),
        || is("arch_comes_back"),
        || is("painful"),
    );
    vec![
        kind("not-flat", "not flat when standing", not(flat())),
        kind(
            "flexible-painless",
            "flexible and painless",
            all([flat(), back(), not(pain())]),
        ),
        kind(
            "flexible-painful",
            "flexible and painful",
            all([flat(), back(), pain()]),
        ),
        kind(
            "rigid-painless",
            "rigid and painless",
            all([flat(), not(back()), not(pain())]),
        ),
        kind(
            "rigid-painful",
            "rigid and painful",
            all([flat(), not(back()), pain()]),
        ),
    ]
}

fn red() -> Rule {
    any([
        all([is("foot_flat"), not(is("arch_comes_back"))]),
        is("one_sided"),
        is("severe_local_pain"),
        is("slow_at_play"),
        is("coalition_seen"),
        is("night_pain"),
        is("swelling_medial"),
        is("fever"),
        is("skills_lost"),
        is("reflexes_changed"),
        is("spasticity"),
        is("was_high_arched"),
        is("rocker_at_birth"),
    ])
}

fn amber() -> Rule {
    any([
        is("painful"),
        is("tires_early"),
        is("cord_tight"),
        all([is("posture_pronated"), is("loose_joints")]),
        is("posture_beyond_age"),
        is("weight_high_for_age"),
        is("poor_skills"),
    ])
}

pub(super) fn lights() -> Vec<Stage> {
    let light = |key, words, rule| Stage {
        key,
        words,
        rule,
        confirmed: true,
        cites: LIGHT,
    };
    vec![
        light(
            "green",
            "flexible, painless, as usual for the age: reassure",
            all([not(red()), not(amber())]),
        ),
        light(
            "amber",
            "flexible with pain, fatigue, tight cord or the like: treat what hurts, review in 3 to 6 months",
            all([not(red()), amber()]),
        ),
        light(
            "red",
            "rigid, one-sided, new or with a warning sign: image or refer",
            red(),
        ),
    ]
}

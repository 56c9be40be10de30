//! What was found on a foot, in the words of a colleague; the whole table stands in the record.
//!
//! Only recorded answers make a phrase. A question of the form that has no phrase here is in the record.

use super::measured::{self, Place};
use super::{Foot, LetterFacts, findings, words};
use crate::document::Block;
use crate::words::{Words, say};
use exam::score::posture_total;
use terms::Side;

/// One paragraph for each foot, and one on what nobody looked at.
pub fn blocks(facts: &LetterFacts<'_>, child: bool) -> Vec<Block> {
    let w = facts.words;
    let open = findings::not_looked_at(w, &facts.feet, child);
    let told: Vec<(Side, String)> = findings::in_order(&facts.feet)
        .into_iter()
        .map(|foot| {
            let said = sentences(w, foot);
            let mut text = if said.is_empty() {
                say!(w, "brief-none")
            } else {
                said.join(" ")
            };
            if let Some((_, open)) = open.iter().find(|(s, _)| *s == foot.side) {
                text.push(' ');
                text.push_str(&say!(w, "brief-open", asks = open.join("; ")));
            }
            (foot.side, text)
        })
        .collect();
    match told.as_slice() {
        [(_, one), (_, other)] if one == other => vec![Block::Paragraph {
            text: say!(w, "brief-alike", said = one),
        }],
        all => all
            .iter()
            .map(|(side, text)| Block::Paragraph {
                text: say!(
                    w,
                    "of-foot",
                    foot = words::capital(&words::foot(w, *side)),
                    said = text
                ),
            })
            .collect(),
    }
}

/// Pain, standing, rise, correction, strength, circulation, feeling, skin: a sentence each.
pub fn sentences(w: &Words, foot: &Foot<'_>) -> Vec<String> {
    [
        pain(w, foot),
        standing(w, foot),
        rise(w, foot),
        correction(w, foot),
        strength(w, foot),
        safety(w, foot),
        imaging(w, foot),
    ]
    .into_iter()
    .filter(|phrases| !phrases.is_empty())
    .map(|phrases| words::sentence(&words::capital(&phrases.join("; "))))
    .collect()
}

fn said(w: &Words, foot: &Foot<'_>, key: &str, place: Place) -> Option<String> {
    measured::answer(w, foot, exam::question(key)?, place)
}

fn is(foot: &Foot<'_>, key: &str) -> Option<&'static str> {
    // The form's own keys live as long as the program.
    let choice = foot.exam.choice(key).value()?;
    match exam::question(key)?.kind {
        exam::Kind::Choice { choices } => choices.iter().find(|c| c.key == choice).map(|c| c.key),
        _ => None,
    }
}

/// The phrase of a question (`brief-first_ray`) with whatever was answered.
fn with(w: &Words, foot: &Foot<'_>, key: &str) -> Option<String> {
    let answer = said(w, foot, key, Place::Alone)?;
    Some(w.with(&format!("brief-{key}"), &[("answer", answer.into())]))
}

/// The phrase of an answer (`brief-tmt_gap-yes`); an answer without one is in the record.
fn either(w: &Words, foot: &Foot<'_>, key: &str) -> Option<String> {
    let phrase = w.find(&format!("brief-{key}-{}", is(foot, key)?))?;
    Some(match measured::aside(w, foot, exam::question(key)?) {
        Some(how) => say!(w, "aside", what = phrase, aside = how),
        None => phrase,
    })
}

/// Where pain is asked for, each with a phrase `brief-at-…`.
const PLACES: [&str; 7] = [
    "pain_inner_ankle",
    "pain_navicular",
    "pain_sole",
    "pain_outer",
    "pain_under_fibula",
    "pain_ankle_joint",
    "pain_midfoot_joints",
];

fn pain(w: &Words, foot: &Foot<'_>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    out.extend(with(w, foot, "pain_level"));
    let at = |state: &str| -> Vec<String> {
        PLACES
            .iter()
            .filter(|key| is(foot, key) == Some(state))
            .map(|key| w.plain(&format!("brief-at-{key}")))
            .collect()
    };
    for (state, key) in [
        ("itself", "brief-pain"),
        ("pressed", "brief-pain-pressed"),
        ("no", "brief-pain-none"),
    ] {
        let places = at(state);
        if !places.is_empty() {
            out.push(say!(w, key, places = w.listed(&places)));
        }
    }
    out.extend(either(w, foot, "swelling_inner").or_else(|| with(w, foot, "swelling_inner")));
    if is(foot, "swelling_leg") != Some("none") {
        out.extend(with(w, foot, "swelling_leg"));
    }
    out
}

fn standing(w: &Words, foot: &Foot<'_>) -> Vec<String> {
    let mut heel: Vec<String> = Vec::new();
    heel.extend(with(w, foot, "heel_line"));
    match (heel.pop(), said(w, foot, "heel_angle_deg", Place::Within)) {
        (Some(line), Some(angle)) => heel.push(say!(w, "aside", what = line, aside = angle)),
        (line, _) => heel.extend(line.or_else(|| with(w, foot, "heel_angle_deg"))),
    }
    let mut out = heel;
    out.extend(with(w, foot, "toes_seen"));
    out.extend(with(w, foot, "arch_standing"));
    out.extend(with(w, foot, "arch_sitting"));
    out.extend(with(w, foot, "arch_on_tiptoe"));
    out.extend(either(w, foot, "forefoot_drifts_out"));
    out.extend(either(w, foot, "sides_differ"));
    out.extend(with(w, foot, "navicular_drop_mm"));
    let posture = posture_total(foot.exam);
    if posture.answered > 0 {
        let total = quantity::with_minus_signs(&posture.words());
        out.push(say!(w, "brief-posture", total = w.said(&total)));
    }
    out
}

fn rise(w: &Words, foot: &Foot<'_>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    out.extend(with(w, foot, "heel_rise_single"));
    let mut aside: Vec<String> = Vec::new();
    aside.extend(said(w, foot, "heel_rise_count", Place::Within));
    aside.extend(with(w, foot, "heel_rise_pain"));
    aside.extend(with(w, foot, "heel_rise_stopped_by"));
    if !aside.is_empty() {
        let aside = aside.join(", ");
        out = vec![match out.pop() {
            Some(first) => say!(w, "aside", what = first, aside = aside),
            None => say!(w, "brief-heel_rise_single", answer = aside),
        }];
    }
    out.extend(either(w, foot, "heel_rise_turns_in"));
    out.extend(with(w, foot, "heel_rise_double"));
    out.extend(with(w, foot, "first_metatarsal_rise"));
    out
}

fn correction(w: &Words, foot: &Foot<'_>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    out.extend(with(w, foot, "heel_corrects"));
    out.extend(either(w, foot, "forefoot_varus"));
    out.extend(with(w, foot, "forefoot_varus_corrects"));
    out.extend(with(w, foot, "forefoot_varus_left_deg"));
    out.extend(with(w, foot, "forefoot_drift_corrects"));
    out.extend(with(w, foot, "subtalar_motion"));
    out.extend(with(w, foot, "first_ray"));
    for key in [
        "tmt_gap",
        "ankle_tilt_seen",
        "deltoid_lax",
        "impinges_sinus_tarsi",
        "impinges_under_fibula",
        "subtalar_subluxed",
    ] {
        out.extend(either(w, foot, key));
    }
    out.extend(with(w, foot, "ankle_tilt_corrects"));
    out
}

fn strength(w: &Words, foot: &Foot<'_>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    out.extend(with(w, foot, "tp_strength"));
    let (straight, bent) = (
        with(w, foot, "dorsiflexion_straight_deg"),
        with(w, foot, "dorsiflexion_bent_deg"),
    );
    let lift: Vec<String> = [straight, bent].into_iter().flatten().collect();
    if !lift.is_empty() {
        out.push(say!(w, "brief-lift", lifts = lift.join(", ")));
    }
    out
}

const FILAMENTS: [&str; 3] = ["filament_great_toe", "filament_mt1", "filament_mt5"];

fn safety(w: &Words, foot: &Foot<'_>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    match (is(foot, "pulse_dorsal"), is(foot, "pulse_tibial")) {
        (Some("strong"), Some("strong")) => out.push(say!(w, "brief-both-pulses")),
        _ => {
            out.extend(with(w, foot, "pulse_dorsal"));
            out.extend(with(w, foot, "pulse_tibial"));
        }
    }
    out.extend(with(w, foot, "ankle_brachial_index"));
    let felt: Vec<bool> = FILAMENTS
        .iter()
        .filter_map(|k| is(foot, k))
        .map(|c| c == "felt")
        .collect();
    if !felt.is_empty() {
        let yes = felt.iter().filter(|f| **f).count();
        out.push(say!(w, "brief-filament", felt = yes, of = felt.len()));
    }
    for key in [
        "skin_ulcer",
        "skin_infection",
        "skin_weeping",
        "skin_fragile",
    ] {
        out.extend(either(w, foot, key));
    }
    out.extend(with(w, foot, "temperature_difference_c"));
    out
}

fn imaging(w: &Words, foot: &Foot<'_>) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    out.extend(with(w, foot, "tendon_image"));
    out.extend(either(w, foot, "coalition_seen"));
    out.extend(either(w, foot, "accessory_navicular"));
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use exam::Examination;

    fn only(exam: &Examination) -> Foot<'_> {
        Foot {
            side: Side::Left,
            exam,
            stage: None,
            decided: None,
            proposal: None,
            chosen: &[],
            measured_on: &[],
        }
    }

    #[test]
    fn a_foot_nobody_looked_at_has_no_sentence() {
        assert!(sentences(Words::english(), &only(&Examination::new())).is_empty());
    }

    #[test]
    fn findings_read_as_sentences() {
        let mut exam = Examination::new();
        for (key, text) in [
            ("pain_level", "4"),
            ("pain_inner_ankle", "pressed"),
            ("pain_outer", "no"),
            ("heel_line", "clear"),
            ("heel_angle_deg", "about 12"),
            ("heel_rise_single", "partly"),
            ("heel_rise_count", "4"),
            ("dorsiflexion_straight_deg", "-2"),
        ] {
            exam.set(key, text).unwrap();
        }
        assert_eq!(
            sentences(Words::english(), &only(&exam)),
            [
                "Pain 4 of 10 at its worst this week; pain on pressure behind the inner ankle; none at the sinus tarsi.",
                "Standing, the heel is clearly outwards (about 12°).",
                "Single heel rise: partly (4 rises).",
                "Ankle lift knee straight −2°.",
            ]
        );
    }
}

//! What was found on a foot, in the words of a colleague; the whole table stands in the record.
//!
//! Only recorded answers make a phrase. A question of the form that has no phrase here is in the record.

use super::{Foot, LetterFacts, findings, words};
use crate::document::Block;
use exam::Examination;
use exam::score::posture_total;
use terms::Side;

/// One paragraph for each foot, and one on what nobody looked at.
pub fn blocks(facts: &LetterFacts<'_>, child: bool) -> Vec<Block> {
    let open = findings::not_looked_at(&facts.feet, child);
    let told: Vec<(Side, String)> = findings::in_order(&facts.feet)
        .into_iter()
        .map(|foot| {
            let said = sentences(foot);
            let mut text = if said.is_empty() {
                "No finding is recorded.".to_owned()
            } else {
                said.join(" ")
            };
            if let Some((_, open)) = open.iter().find(|(s, _)| *s == foot.side) {
                text.push_str(&format!(" Not looked at: {}.", open.join("; ")));
            }
            (foot.side, text)
        })
        .collect();
    match told.as_slice() {
        [(_, one), (_, other)] if one == other => vec![Block::Paragraph {
            text: format!("Both feet alike. {one}"),
        }],
        all => all
            .iter()
            .map(|(side, text)| Block::Paragraph {
                text: format!("{}. {text}", words::capital(&words::foot(*side))),
            })
            .collect(),
    }
}

/// Pain, standing, rise, correction, strength, circulation, feeling, skin: a sentence each.
fn sentences(foot: &Foot<'_>) -> Vec<String> {
    let e = foot.exam;
    [
        pain(e),
        standing(e),
        rise(e),
        correction(e),
        strength(e),
        safety(e),
        imaging(e),
    ]
    .into_iter()
    .filter(|phrases| !phrases.is_empty())
    .map(|phrases| words::sentence(&words::capital(&phrases.join("; "))))
    .collect()
}

fn said(e: &Examination, key: &str) -> Option<String> {
    let question = exam::question(key)?;
    e.get(key).map(|a| words::answer(question, a))
}

fn is(e: &Examination, key: &str) -> Option<&'static str> {
    // The form's own keys live as long as the program.
    let choice = e.choice(key).value()?;
    match exam::question(key)?.kind {
        exam::Kind::Choice { choices } => choices.iter().find(|c| c.key == choice).map(|c| c.key),
        _ => None,
    }
}

/// `before {answer}` for whatever was answered.
fn with(e: &Examination, before: &str, key: &str) -> Option<String> {
    said(e, key).map(|a| format!("{before} {a}"))
}

/// A phrase for yes and one for no.
fn either(e: &Examination, key: &str, yes: &str, no: &str) -> Option<String> {
    match is(e, key)? {
        "yes" => Some(yes.to_owned()),
        "no" if !no.is_empty() => Some(no.to_owned()),
        _ => None,
    }
}

const PLACES: [(&str, &str); 7] = [
    ("pain_inner_ankle", "behind the inner ankle"),
    ("pain_navicular", "at the navicular"),
    ("pain_sole", "in the sole"),
    ("pain_outer", "at the sinus tarsi"),
    ("pain_under_fibula", "under the outer malleolus"),
    ("pain_ankle_joint", "in the ankle joint line"),
    ("pain_midfoot_joints", "in the joints of the midfoot"),
];

fn pain(e: &Examination) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    out.extend(said(e, "pain_level").map(|p| format!("pain {p} at its worst this week")));
    let at = |state: &str| -> Vec<String> {
        PLACES
            .iter()
            .filter(|(key, _)| is(e, key) == Some(state))
            .map(|(_, place)| (*place).to_owned())
            .collect()
    };
    for (state, before) in [
        ("itself", "pain"),
        ("pressed", "pain on pressure"),
        ("no", "none"),
    ] {
        let places = at(state);
        if !places.is_empty() {
            out.push(format!("{before} {}", terms::listed(&places)));
        }
    }
    out.extend(match is(e, "swelling_inner") {
        Some("none") => Some("no swelling along the tendon".into()),
        Some(_) => said(e, "swelling_inner").map(|s| format!("{s} swelling along the tendon")),
        None => None,
    });
    out.extend(match is(e, "swelling_leg") {
        Some("none") | None => None,
        Some(_) => said(e, "swelling_leg").map(|s| format!("{s} swelling of foot and leg")),
    });
    out
}

fn standing(e: &Examination) -> Vec<String> {
    let mut heel: Vec<String> = Vec::new();
    heel.extend(with(e, "standing, the heel is", "heel_line"));
    if let Some(angle) = said(e, "heel_angle_deg") {
        match heel.first_mut() {
            Some(line) => line.push_str(&format!(" ({angle})")),
            None => heel.push(format!("standing heel angle {angle}")),
        }
    }
    let mut out = heel;
    out.extend(said(e, "toes_seen").map(|t| format!("{t} seen from behind")));
    out.extend(with(e, "arch standing", "arch_standing"));
    out.extend(with(e, "sitting it", "arch_sitting"));
    out.extend(with(e, "on tiptoe it", "arch_on_tiptoe"));
    out.extend(either(
        e,
        "forefoot_drifts_out",
        "the forefoot drifts outwards",
        "no drift of the forefoot",
    ));
    out.extend(either(
        e,
        "sides_differ",
        "clearly flatter than the other foot",
        "",
    ));
    out.extend(with(e, "navicular drop", "navicular_drop_mm"));
    let posture = posture_total(e);
    if posture.answered > 0 {
        let total = quantity::with_minus_signs(&posture.words());
        out.push(format!("six-item posture total {total}"));
    }
    out
}

fn rise(e: &Examination) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    out.extend(with(e, "single heel rise:", "heel_rise_single"));
    let mut aside: Vec<String> = Vec::new();
    aside.extend(said(e, "heel_rise_count"));
    aside.extend(with(e, "pain", "heel_rise_pain"));
    aside.extend(with(e, "ended by", "heel_rise_stopped_by"));
    if !aside.is_empty() {
        let aside = aside.join(", ");
        match out.first_mut() {
            Some(first) => first.push_str(&format!(" ({aside})")),
            None => out.push(format!("single heel rise: {aside}")),
        }
    }
    out.extend(either(
        e,
        "heel_rise_turns_in",
        "the heel turns in as it rises",
        "the heel does not turn in as it rises",
    ));
    out.extend(with(e, "double heel rise:", "heel_rise_double"));
    out.extend(with(e, "first metatarsal head", "first_metatarsal_rise"));
    out
}

fn correction(e: &Examination) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    out.extend(with(e, "heel to neutral by hand:", "heel_corrects"));
    out.extend(either(
        e,
        "forefoot_varus",
        "the forefoot is then turned up",
        "the forefoot then lies flat",
    ));
    out.extend(with(
        e,
        "turned-up forefoot comes down:",
        "forefoot_varus_corrects",
    ));
    out.extend(said(e, "forefoot_varus_left_deg").map(|d| format!("{d} of it is left")));
    out.extend(with(
        e,
        "drift of the forefoot corrects:",
        "forefoot_drift_corrects",
    ));
    out.extend(with(e, "subtalar motion", "subtalar_motion"));
    out.extend(with(e, "first ray", "first_ray"));
    for (key, yes) in [
        ("tmt_gap", "the inner column gaps at the sole"),
        ("ankle_tilt_seen", "the ankle itself tilts outwards"),
        ("deltoid_lax", "the deltoid gives way"),
        ("impinges_sinus_tarsi", "pinching at the sinus tarsi"),
        ("impinges_under_fibula", "pinching under the fibula"),
        ("subtalar_subluxed", "the talus slides off the heel bone"),
    ] {
        out.extend(either(e, key, yes, ""));
    }
    out.extend(with(
        e,
        "ankle tilt corrects by hand:",
        "ankle_tilt_corrects",
    ));
    out
}

fn strength(e: &Examination) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    out.extend(with(e, "tibialis posterior", "tp_strength"));
    let (straight, bent) = (
        with(e, "knee straight", "dorsiflexion_straight_deg"),
        with(e, "knee bent", "dorsiflexion_bent_deg"),
    );
    let lift: Vec<String> = [straight, bent].into_iter().flatten().collect();
    if !lift.is_empty() {
        out.push(format!("ankle lift {}", lift.join(", ")));
    }
    out
}

const FILAMENTS: [&str; 3] = ["filament_great_toe", "filament_mt1", "filament_mt5"];

fn safety(e: &Examination) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    match (is(e, "pulse_dorsal"), is(e, "pulse_tibial")) {
        (Some("strong"), Some("strong")) => out.push("both pulses easily felt".into()),
        _ => {
            out.extend(with(e, "dorsal pulse", "pulse_dorsal"));
            out.extend(with(e, "posterior tibial pulse", "pulse_tibial"));
        }
    }
    out.extend(with(e, "ankle-brachial index", "ankle_brachial_index"));
    let felt: Vec<bool> = FILAMENTS
        .iter()
        .filter_map(|k| is(e, k))
        .map(|c| c == "felt")
        .collect();
    if !felt.is_empty() {
        let yes = felt.iter().filter(|f| **f).count();
        out.push(format!("10 g filament felt at {yes} of {}", felt.len()));
    }
    for (key, yes, no) in [
        ("skin_ulcer", "an ulcer or open wound", "no open wound"),
        (
            "skin_infection",
            "infected skin",
            "no infection of the skin",
        ),
        ("skin_weeping", "weeping eczema", ""),
        ("skin_fragile", "thin or fragile skin", ""),
    ] {
        out.extend(either(e, key, yes, no));
    }
    out.extend(
        said(e, "temperature_difference_c").map(|t| format!("skin {t} against the other foot")),
    );
    out
}

fn imaging(e: &Examination) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    out.extend(with(e, "tendon on ultrasound or MRI:", "tendon_image"));
    out.extend(either(
        e,
        "coalition_seen",
        "a bridge between bones is seen or suspected",
        "",
    ));
    out.extend(either(
        e,
        "accessory_navicular",
        "an extra bone at the navicular",
        "",
    ));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn only(exam: &Examination) -> Foot<'_> {
        Foot {
            side: Side::Left,
            exam,
            stage: None,
            decided: None,
            proposal: None,
            chosen: &[],
        }
    }

    #[test]
    fn a_foot_nobody_looked_at_has_no_sentence() {
        assert!(sentences(&only(&Examination::new())).is_empty());
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
            sentences(&only(&exam)),
            [
                "Pain 4 of 10 at its worst this week; pain on pressure behind the inner ankle; none at the sinus tarsi.",
                "Standing, the heel is clearly outwards (about 12°).",
                "Single heel rise: partly (4 rises).",
                "Ankle lift knee straight −2°.",
            ]
        );
    }
}

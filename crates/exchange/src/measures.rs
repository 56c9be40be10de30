//! Which measures can occur, in which unit, and what are they held against?
//!
//! Measures of films stand in the knowledge folder; those of prints, photographs and heel rises belong to the crates
//! that read them, and are listed here by the keys under which they are kept.

use knowledge::{Knowledge, Measure, Yardstick};
use quantity::Unit;
use record::{CaptureKind, Doing};
use terms::{MeasureKey, View};

/// One measure, wherever it is read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MeasureFacts {
    pub key: String,
    pub name: String,
    pub unit: Unit,
    /// How it is made and what plus means.
    pub words: String,
    /// Keys of the sources file; empty where the construction names none.
    pub sources: Vec<String>,
    /// Read on films, not on captures.
    pub of_film: bool,
}

/// Key, name, unit and words of what is read on captures.
const OF_CAPTURES: &[(&str, &str, Unit, &str)] = &[
    (
        "arch_index",
        "Arch index",
        Unit::Ratio,
        "Area of the middle third of the toeless print over its whole area.",
    ),
    (
        "chippaux_smirak",
        "Chippaux-Smirak index",
        Unit::Percent,
        "Narrowest breadth of the midfoot over the broadest ball, times 100.",
    ),
    (
        "staheli_index",
        "Staheli index",
        Unit::Ratio,
        "Narrowest breadth of the midfoot over the broadest heel.",
    ),
    (
        "clarke_angle",
        "Clarke angle",
        Unit::Degree,
        "Between the inner tangent and the line to the deepest point of the inner border.",
    ),
    (
        "truncated_length",
        "Length without toes",
        Unit::Millimetre,
        "From the heel to the front of the toeless foot, along the axis.",
    ),
    (
        "foot_length",
        "Foot length",
        Unit::Millimetre,
        "From the heel to the longest toe, along the axis.",
    ),
    (
        "ball_width",
        "Breadth of the ball",
        Unit::Millimetre,
        "Across the axis.",
    ),
    (
        "heel_width",
        "Breadth of the heel",
        Unit::Millimetre,
        "Across the axis.",
    ),
    (
        "midfoot_width",
        "Narrowest breadth of the midfoot",
        Unit::Millimetre,
        "Across the axis.",
    ),
    (
        "contact_area",
        "Printed area",
        Unit::SquareCentimetre,
        "Of the whole print with toes.",
    ),
    (
        "excursion_index",
        "Excursion of the path of pressure",
        Unit::Percent,
        "Greatest distance of the path from its chord in the front third, over the ball's breadth, times 100.",
    ),
    (
        "rear_load",
        "Load on the rear half",
        Unit::Percent,
        "Share of the foot's load behind the middle of its length.",
    ),
    (
        "heel_to_upright",
        "Heel against the upright",
        Unit::Degree,
        "Seen from behind; outward (valgus) is plus.",
    ),
    (
        "heel_to_leg",
        "Heel against the leg",
        Unit::Degree,
        "Seen from behind; outward is plus.",
    ),
    (
        "leg_to_upright",
        "Leg against the upright",
        Unit::Degree,
        "Seen from behind.",
    ),
    (
        "navicular_height",
        "Navicular height",
        Unit::Millimetre,
        "Above the ground, seen from the inner side.",
    ),
    (
        "navicular_truncated",
        "Navicular over truncated length",
        Unit::Ratio,
        "Height over the length without toes.",
    ),
    (
        "navicular_foot",
        "Navicular over foot length",
        Unit::Ratio,
        "Height over the length with toes.",
    ),
    (
        "dorsum_height",
        "Height of the top of the foot",
        Unit::Millimetre,
        "At half of the foot's length.",
    ),
    (
        "arch_height_index",
        "Arch height index",
        Unit::Ratio,
        "Height of the top of the foot over the truncated length.",
    ),
    (
        "heel_rise_best_height",
        "Height of the best heel rise",
        Unit::Millimetre,
        "Kept as a ratio where no length is known in the picture.",
    ),
    (
        "heel_rise_mean_height",
        "Mean height of the heel rises",
        Unit::Millimetre,
        "Kept as a ratio where no length is known in the picture.",
    ),
    (
        "heel_rise_travel",
        "Travel of the heel over all rises",
        Unit::Millimetre,
        "Kept as a ratio where no length is known in the picture.",
    ),
    (
        "heel_rise_decay",
        "Loss of height with each rise",
        Unit::Percent,
        "Of the height of the first, from a line through all.",
    ),
    (
        "heel_to_leg_standing",
        "Heel against the leg, standing before rising",
        Unit::Degree,
        "Outward is plus.",
    ),
    (
        "heel_rise_turn",
        "Change of the heel at the top of the rise",
        Unit::Degree,
        "Minus is inward.",
    ),
];

impl From<&Measure> for MeasureFacts {
    fn from(m: &Measure) -> Self {
        MeasureFacts {
            key: m.key.to_string(),
            name: m.name.clone(),
            unit: m.unit,
            words: format!("{} {}.", m.construction_words, m.sign_words),
            sources: m.sources.iter().map(ToString::to_string).collect(),
            of_film: true,
        }
    }
}

/// Every measure: films first, in the order of the views and of weight, then captures.
pub fn measures(knowledge: &Knowledge) -> Vec<MeasureFacts> {
    let films = View::ALL.into_iter().flat_map(|v| knowledge.measures(v));
    let captures = OF_CAPTURES
        .iter()
        .map(|(key, name, unit, words)| MeasureFacts {
            key: (*key).into(),
            name: (*name).into(),
            unit: *unit,
            words: (*words).into(),
            sources: Vec::new(),
            of_film: false,
        });
    films.map(MeasureFacts::from).chain(captures).collect()
}

/// The measure under its key; `None` where an older or newer program kept another.
pub fn measure(knowledge: &Knowledge, key: &str) -> Option<MeasureFacts> {
    if let Some(of_film) = MeasureKey::new(key)
        .ok()
        .and_then(|k| knowledge.measure(&k))
    {
        return Some(of_film.into());
    }
    measures(knowledge)
        .into_iter()
        .find(|m| !m.of_film && m.key == key)
}

/// Yardsticks of the examination item that a capture's measure answers; none where what the person did while it was
/// taken is not said or is not what the published people did.
pub fn yardsticks_of_capture<'k>(
    knowledge: &'k Knowledge,
    key: &str,
    unit: Unit,
    kind: CaptureKind,
    doing: Option<Doing>,
) -> Vec<&'k Yardstick> {
    use Doing::{OneLeg, Standing, Walking};
    let item = match (key, doing) {
        ("arch_index", Some(Standing)) => "arch_index_standing",
        ("arch_index", Some(Walking)) => "arch_index_walking",
        ("chippaux_smirak", Some(Standing)) => "chippaux_smirak_standing",
        ("staheli_index", Some(Standing)) => "staheli_index_standing",
        ("clarke_angle", Some(Standing)) => "clarke_angle_standing",
        ("excursion_index", Some(Walking)) => "excursion_index_walking",
        ("heel_to_upright", _) if kind == CaptureKind::FromBehind => "heel_angle_deg",
        ("navicular_height", _) => "navicular_height_mm",
        ("navicular_truncated", _) => "navicular_height_truncated",
        ("navicular_foot", _) => "navicular_height_foot",
        ("arch_height_index", _) => "arch_height_index_standing",
        ("heel_rise_best_height", Some(OneLeg)) if unit == Unit::Millimetre => {
            "heel_rise_height_mm"
        }
        ("heel_rise_travel", Some(OneLeg)) if unit == Unit::Millimetre => "heel_rise_travel_mm",
        _ => return Vec::new(),
    };
    knowledge.item_yardsticks(item)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_index_of_a_print_is_listed_with_its_unit_and_no_key_twice() {
        let knowledge = Knowledge::built_in();
        for index in print::Index::ALL {
            let found = measure(knowledge, index.key()).expect("a measure of every index");
            assert_eq!(found.unit, index.unit(), "{}", found.key);
        }
        let all = measures(knowledge);
        let keys: BTreeSet<&str> = all.iter().map(|m| m.key.as_str()).collect();
        assert_eq!(keys.len(), all.len());
    }

    #[test]
    fn every_measure_that_photographs_and_rises_keep_is_listed() {
        let knowledge = Knowledge::built_in();
        for file in ["work/mod.rs", "work/photo.rs"] {
            let path = format!("{}/../motion/src/{file}", env!("CARGO_MANIFEST_DIR"));
            let text = std::fs::read_to_string(path).unwrap();
            let (_, kept) = text.split_once("json!({ \"readings\": list").unwrap();
            let before = &text[..text.len() - kept.len()];
            let list = before.rsplit_once("let mut list").unwrap().1;
            let mut seen = 0;
            for key in list.split('"').skip(1).step_by(2) {
                if key.contains('_') && key.bytes().all(|b| b.is_ascii_lowercase() || b == b'_') {
                    assert!(measure(knowledge, key).is_some(), "{file}: {key}");
                    seen += 1;
                }
            }
            assert!(seen >= 5, "{file}: {seen}");
        }
    }

    #[test]
    fn a_print_of_which_nobody_said_standing_or_walking_is_held_against_nothing() {
        let knowledge = Knowledge::built_in();
        let of = |doing| {
            yardsticks_of_capture(
                knowledge,
                "arch_index",
                Unit::Ratio,
                CaptureKind::Print,
                doing,
            )
        };
        assert!(of(None).is_empty());
        assert!(!of(Some(Doing::Standing)).is_empty());
    }
}

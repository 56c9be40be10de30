//! View, side and stance: from codes where the file has them, from words as a proposal.
//!
//! Codes: DICOM PS3.16 CID 4010 (DX View), 4011 (DX View Modifier), 19 and 20 (orientation), 91
//! (weight bearing), in their SNOMED CT and older SNOMED RT forms.

use super::value;
use crate::Told;
use dicom_core::Tag;
use dicom_dictionary_std::tags;
use dicom_object::InMemDicomObject;
use terms::{Side, Stance, View};

const LATERAL: &[&str] = &[
    "399067008",
    "R-102CD",
    "399260004",
    "R-10224",
    "399352003",
    "R-10228",
    "399173006",
    "R-10236",
    "399198007",
    "R-10232",
];
const DORSOPLANTAR: &[&str] = &["399335002", "R-102C4", "399071006", "R-102C3"];
const FRONT_OR_BACK: &[&str] = &["399348003", "R-10206", "272479007", "R-10214", "R-40888"];
const ANKLE: &[&str] = &["70258002", "T-15750"];
const FOOT: &[&str] = &["56459004", "T-D9700"];
const HEEL: &[&str] = &["80144004", "T-12770"];
const STANDING: &[&str] = &[
    "87731000",
    "F-12300",
    "10904000",
    "F-10320",
    "C86043",
    "F-10440",
    "249699006",
];
const NOT_STANDING: &[&str] = &[
    "102538003",
    "F-10450",
    "40199007",
    "F-10340",
    "33586001",
    "F-103A0",
];
const LEFT: &[&str] = &["7771000", "G-A101"];
const RIGHT: &[&str] = &["24028007", "G-A100"];

/// An answer and where it comes from.
pub(super) type Answer<T> = Option<(T, Told)>;

fn coded<T>(answer: T, attribute: &str) -> Answer<T> {
    Some((
        answer,
        Told::Coded {
            attribute: attribute.to_owned(),
        },
    ))
}

pub(super) fn view(object: &InMemDicomObject) -> Answer<View> {
    let region = codes(object, &[tags::ANATOMIC_REGION_SEQUENCE]);
    let part = value::text(object, tags::BODY_PART_EXAMINED)
        .unwrap_or_default()
        .to_uppercase();
    let ankle = any(&region, ANKLE) || part.contains("ANKLE");
    let foot = any(&region, FOOT) || part.contains("FOOT");
    let heel = any(&region, HEEL) || part.contains("CALCAN") || part.contains("HEEL");
    let from_region = |attribute| {
        if ankle {
            coded(View::AnkleFront, attribute)
        } else if heel {
            coded(View::HindfootAlignment, attribute)
        } else if foot {
            coded(View::Dorsoplantar, attribute)
        } else {
            None
        }
    };
    let codes = codes(object, &[tags::VIEW_CODE_SEQUENCE]);
    let by_code = if any(&codes, LATERAL) {
        coded(View::Lateral, "ViewCodeSequence")
    } else if any(&codes, DORSOPLANTAR) {
        coded(View::Dorsoplantar, "ViewCodeSequence")
    } else if any(&codes, FRONT_OR_BACK) {
        from_region("ViewCodeSequence and the body part")
    } else {
        None
    };
    let position = value::text(object, tags::VIEW_POSITION)
        .unwrap_or_default()
        .to_uppercase();
    let by_position = || match position.as_str() {
        "LL" | "RL" | "LAT" | "LATERAL" | "ML" | "LM" => coded(View::Lateral, "ViewPosition"),
        "DP" | "PD" => coded(View::Dorsoplantar, "ViewPosition"),
        "AP" | "PA" => from_region("ViewPosition and the body part"),
        _ => None,
    };
    by_code
        .or_else(by_position)
        .or_else(|| described(object, view_in_words))
}

pub(super) fn side(object: &InMemDicomObject, notes: &mut Vec<String>) -> Answer<Side> {
    let by_letter = |tag: Tag, attribute: &str| match value::text(object, tag)?.as_str() {
        "L" => coded(Side::Left, attribute),
        "R" => coded(Side::Right, attribute),
        _ => None,
    };
    let by_code = || {
        let codes = codes(object, &[tags::ANATOMIC_REGION_SEQUENCE]);
        match (any(&codes, LEFT), any(&codes, RIGHT)) {
            (true, false) => coded(Side::Left, "AnatomicRegionModifierSequence"),
            (false, true) => coded(Side::Right, "AnatomicRegionModifierSequence"),
            _ => None,
        }
    };
    let by_header = by_letter(tags::IMAGE_LATERALITY, "ImageLaterality")
        .or_else(|| by_letter(tags::LATERALITY, "Laterality"))
        .or_else(by_code);
    let by_words = described(object, side_in_words);
    if let (Some((one, told)), Some((other, _))) = (&by_header, &by_words)
        && one != other
    {
        notes.push(format!(
            "the side is {} {} but its description says {}; confirm the side on the film's marker",
            one.word(),
            told.words(),
            other.word()
        ));
    }
    by_header.or(by_words)
}

pub(super) fn stance(object: &InMemDicomObject, notes: &mut Vec<String>) -> Answer<Stance> {
    let codes = codes(
        object,
        &[
            tags::VIEW_CODE_SEQUENCE,
            tags::VIEW_MODIFIER_CODE_SEQUENCE,
            tags::PATIENT_ORIENTATION_CODE_SEQUENCE,
            tags::PATIENT_ORIENTATION_MODIFIER_CODE_SEQUENCE,
            tags::ACQUISITION_CONTEXT_SEQUENCE,
        ],
    );
    let by_code = match (any(&codes, STANDING), any(&codes, NOT_STANDING)) {
        (true, false) => coded(Stance::Standing, "the coded view and position"),
        (false, true) => coded(Stance::NotStanding, "the coded view and position"),
        _ => None,
    };
    let by_words = described(object, stance_in_words);
    if let (Some((one, _)), Some((other, _))) = (&by_code, &by_words)
        && one != other
    {
        notes.push(format!(
            "the film is coded '{}' but its description says '{}'; ask how it was taken",
            one.words(),
            other.words()
        ));
    }
    by_code.or(by_words)
}

/// Code values of the sequences, and of the modifiers and concepts one level below them.
fn codes(object: &InMemDicomObject, sequences: &[Tag]) -> Vec<String> {
    const BELOW: [Tag; 4] = [
        tags::VIEW_MODIFIER_CODE_SEQUENCE,
        tags::ANATOMIC_REGION_MODIFIER_SEQUENCE,
        tags::PATIENT_ORIENTATION_MODIFIER_CODE_SEQUENCE,
        tags::CONCEPT_CODE_SEQUENCE,
    ];
    let mut found = Vec::new();
    for item in sequences.iter().flat_map(|tag| value::items(object, *tag)) {
        found.extend(value::text(item, tags::CODE_VALUE));
        for below in BELOW.iter().flat_map(|tag| value::items(item, *tag)) {
            found.extend(value::text(below, tags::CODE_VALUE));
        }
    }
    found
}

fn any(found: &[String], known: &[&str]) -> bool {
    found.iter().any(|code| known.contains(&code.as_str()))
}

/// The first description whose words answer.
fn described<T>(object: &InMemDicomObject, answer: fn(&[&str]) -> Option<T>) -> Answer<T> {
    let attributes = [
        (tags::SERIES_DESCRIPTION, "SeriesDescription"),
        (tags::PROTOCOL_NAME, "ProtocolName"),
        (
            tags::ACQUISITION_DEVICE_PROCESSING_DESCRIPTION,
            "AcquisitionDeviceProcessingDescription",
        ),
        (tags::IMAGE_COMMENTS, "ImageComments"),
        (tags::STUDY_DESCRIPTION, "StudyDescription"),
    ];
    attributes.iter().find_map(|(tag, attribute)| {
        let text = value::text(object, *tag)?;
        let lower = text.to_lowercase();
        let words: Vec<&str> = lower
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty())
            .collect();
        let words_shown = text.chars().filter(|c| !c.is_control()).take(64).collect();
        let told = Told::Description {
            attribute: (*attribute).to_owned(),
            words: words_shown,
        };
        Some((answer(&words)?, told))
    })
}

fn has(words: &[&str], known: &[&str]) -> bool {
    words.iter().any(|word| known.contains(word))
}

fn pair(words: &[&str], first: &[&str], second: &[&str]) -> bool {
    words
        .windows(2)
        .any(|w| first.contains(&w[0]) && second.contains(&w[1]))
}

fn view_in_words(words: &[&str]) -> Option<View> {
    if has(words, &["obl", "oblique", "schräg"]) {
        return None;
    }
    if has(words, &["lat", "lateral", "seitlich", "profil"]) {
        return Some(View::Lateral);
    }
    if has(words, &["alignment"]) && has(words, &["hindfoot", "rearfoot", "heel", "calcaneus"]) {
        return Some(View::HindfootAlignment);
    }
    if has(words, &["dp", "dorsoplantar"]) || pair(words, &["dorso"], &["plantar"]) {
        return Some(View::Dorsoplantar);
    }
    let front = has(words, &["ap", "front", "frontal", "mortise"]);
    match (
        front,
        has(words, &["ankle", "osg"]),
        has(words, &["foot", "feet", "fuss", "fuß"]),
    ) {
        (true, true, _) => Some(View::AnkleFront),
        (true, false, true) => Some(View::Dorsoplantar),
        _ => None,
    }
}

fn side_in_words(words: &[&str]) -> Option<Side> {
    let left = has(words, &["left", "lt", "l", "links", "li"]);
    let right = has(words, &["right", "rt", "r", "rechts", "re"]);
    match (left, right) {
        (true, false) => Some(Side::Left),
        (false, true) => Some(Side::Right),
        _ => None,
    }
}

fn stance_in_words(words: &[&str]) -> Option<Stance> {
    let bearing = pair(words, &["weight", "wt"], &["bearing", "bear", "brg"])
        || has(words, &["weightbearing", "wb"]);
    let refused = has(words, &["non", "no", "not", "without"]);
    let lying = has(
        words,
        &[
            "nwb",
            "nonweightbearing",
            "supine",
            "recumbent",
            "lying",
            "liegend",
            "unbelastet",
            "sitting",
        ],
    );
    if lying || (bearing && refused) {
        return Some(Stance::NotStanding);
    }
    let standing = bearing
        || has(
            words,
            &["standing", "stand", "erect", "stehend", "belastet", "stg"],
        );
    standing.then_some(Stance::Standing)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<&str> {
        text.split(' ').collect()
    }

    #[test]
    fn words_for_standing_are_told_from_their_denial() {
        for (text, stance) in [
            ("foot lat wb", Some(Stance::Standing)),
            ("foot lat weight bearing", Some(Stance::Standing)),
            ("foot lat non weight bearing", Some(Stance::NotStanding)),
            ("foot nwb", Some(Stance::NotStanding)),
            ("standing ankle", Some(Stance::Standing)),
            ("foot lateral", None),
        ] {
            assert_eq!(stance_in_words(&words(text)), stance, "{text}");
        }
    }

    #[test]
    fn words_for_the_view_need_the_body_part_where_they_are_ambiguous() {
        for (text, view) in [
            ("foot ap", Some(View::Dorsoplantar)),
            ("ankle ap", Some(View::AnkleFront)),
            ("ap", None),
            ("hindfoot alignment", Some(View::HindfootAlignment)),
            ("foot oblique lat", None),
        ] {
            assert_eq!(view_in_words(&words(text)), view, "{text}");
        }
    }

    #[test]
    fn both_sides_named_is_no_side() {
        assert_eq!(side_in_words(&words("left and right foot")), None);
        assert_eq!(side_in_words(&words("foot lt lat")), Some(Side::Left));
    }
}

//! Under which systems are our own words coded, and which open ones are used?
//!
//! Measures, questions, stages, rungs and acts have no open code that a source of ours prints, so they stand under
//! systems of our own (`urn:tiebeam:…`). Units are UCUM; the foot and its joints carry SNOMED CT ids as DICOM PS3.16
//! prints them; statuses and categories are the standard's own.

use crate::types::{CodeableConcept, Coding, Extension, ExtensionValue, Quantity};
use quantity::Unit;
use terms::Side;

pub const UCUM: &str = "http://unitsofmeasure.org";
pub const SNOMED: &str = "http://snomed.info/sct";
pub const HL7: &str = "http://terminology.hl7.org/CodeSystem/";

/// A system of our own: `measure`, `question`, `stage`, …
pub fn own_system(name: &str) -> String {
    format!("urn:tiebeam:{name}")
}

/// The address of an extension of our own.
pub fn extension_url(name: &str) -> String {
    format!("urn:tiebeam:extension:{name}")
}

pub fn coding(system: impl Into<String>, code: impl Into<String>, display: &str) -> Coding {
    Coding {
        system: system.into(),
        code: code.into(),
        display: (!display.is_empty()).then(|| display.to_owned()),
    }
}

pub fn concept(coding: Coding) -> CodeableConcept {
    CodeableConcept {
        text: coding.display.clone(),
        coding: vec![coding],
        ..CodeableConcept::default()
    }
}

pub fn own(system: &str, code: impl Into<String>, words: &str) -> CodeableConcept {
    concept(coding(own_system(system), code, words))
}

/// A code of HL7's terminology, such as `observation-category`.
pub fn hl7(system: &str, code: &str, display: &str) -> CodeableConcept {
    concept(coding(format!("{HL7}{system}"), code, display))
}

pub fn text(words: impl Into<String>) -> CodeableConcept {
    CodeableConcept {
        text: Some(words.into()),
        ..CodeableConcept::default()
    }
}

/// Why a value that was asked for is not there.
pub fn absent(code: &str, words: impl Into<String>) -> CodeableConcept {
    CodeableConcept {
        coding: vec![coding(format!("{HL7}data-absent-reason"), code, "")],
        text: Some(words.into()),
        ..CodeableConcept::default()
    }
}

/// `left foot`, `right leg`; the laterality stands beside it under a code of its own.
pub fn body_site(part: &str, side: Option<Side>) -> CodeableConcept {
    let words = match side {
        Some(side) => format!("{} {part}", side.word()),
        None => part.to_owned(),
    };
    let mut site = CodeableConcept {
        text: Some(words.clone()),
        ..CodeableConcept::default()
    };
    if part == "foot" {
        site.coding.push(coding(SNOMED, "56459004", "Foot"));
    }
    let own_code = words.replace(' ', "-");
    site.coding
        .push(coding(own_system("body-site"), own_code, &words));
    if let Some(side) = side {
        site.extension.push(Extension {
            url: extension_url("laterality"),
            value: Some(ExtensionValue::Coding(coding(
                own_system("laterality"),
                side.word(),
                side.word(),
            ))),
            ..Extension::default()
        });
    }
    site
}

/// UCUM's code of a unit.
pub fn ucum(unit: Unit) -> &'static str {
    match unit {
        Unit::Degree => "deg",
        Unit::Millimetre => "mm",
        Unit::Percent => "%",
        Unit::Ratio => "1",
        Unit::Points => "{score}",
        Unit::Count => "{count}",
        Unit::SquareCentimetre => "cm2",
        Unit::Kilopascal => "kPa",
    }
}

/// A number in one of our units; `None` where it is not finite.
pub fn quantity(value: f64, unit: Unit) -> Option<Quantity> {
    in_ucum(value, unit.key(), ucum(unit))
}

fn in_ucum(value: f64, unit: &str, code: &str) -> Option<Quantity> {
    value.is_finite().then(|| Quantity {
        value,
        unit: Some(unit.to_owned()),
        system: Some(UCUM.to_owned()),
        code: Some(code.to_owned()),
    })
}

/// A number in the unit of a question; a unit that UCUM does not know stands as words alone.
pub fn quantity_of_question(value: f64, unit: &str) -> Option<Quantity> {
    let code = match unit {
        "" => "1",
        "deg" | "°" => "deg",
        "mm" => "mm",
        "cm" => "cm",
        "m" => "m",
        "kg" => "kg",
        "ml" => "mL",
        "%" => "%",
        "cm2" => "cm2",
        "years" => "a",
        "months" => "mo",
        "weeks" => "wk",
        "days" => "d",
        "hours" => "h",
        "minutes" => "min",
        "seconds" => "s",
        "N" => "N",
        "of 10" | "of 100" | "points" => "{score}",
        _ => {
            return value.is_finite().then(|| Quantity {
                value,
                unit: Some(unit.to_owned()),
                ..Quantity::default()
            });
        }
    };
    in_ucum(value, if unit.is_empty() { "1" } else { unit }, code)
}

//! The order sheet of what was made, for whoever makes it up.

use crate::files::{Files, Product};
use crate::foot::OpenFoot;
use crate::strength::Computed;
use figure::device::{DeviceModel, sheets};
use knowledge::{Knowledge, Material};
use letter::compose::{self, BodyLine, FileLine, OrderFacts, drawing_room_mm};
use letter::{LetterError, Pdf, Words};
use record::ContentHash;
use surface::Origin;
use terms::Side;

/// What an order sheet says beside the device itself. No name stands on it: there is no place for one.
#[derive(Debug, Clone)]
pub struct Heading {
    /// The language of the sheet.
    pub words: &'static Words,
    /// Name of the practice, then its lines.
    pub practice: Vec<String>,
    pub invented: bool,
    /// The day of the order, in words.
    pub date: String,
    /// The practice's code for the patient.
    pub patient_code: Option<String>,
    pub side: Side,
    pub other_foot_length_mm: Option<f64>,
    pub cautions: Vec<String>,
    pub clinician: String,
    /// When it was signed, in words; `None` for a draft.
    pub signed: Option<String>,
}

/// # Errors
/// Our own fault in setting it.
pub fn order_sheet(
    heading: &Heading,
    open: &OpenFoot,
    files: &Files,
    strength: Option<&Computed>,
    knowledge: &Knowledge,
) -> Result<Pdf, LetterError> {
    let wanted = &files.wish.sheet.prescription;
    let drawings = sheets(
        &DeviceModel {
            device: &files.device,
            wanted,
            found: &files.dimensions,
            section_mm: None,
            spoken: Some(heading.words),
        },
        drawing_room_mm(),
    );
    let hashes: Vec<String> = files
        .files
        .iter()
        .map(|f| ContentHash::of(&f.bytes).to_string())
        .collect();
    let mut cautions = heading.cautions.clone();
    cautions.extend(files.cautions.iter().cloned());
    let surface = surface_words(open);
    letter::order_sheet(&OrderFacts {
        words: heading.words,
        practice: &heading.practice,
        invented: heading.invented,
        date: &heading.date,
        patient_code: heading.patient_code.as_deref(),
        order_code: &wanted.order_code,
        side: heading.side,
        foot_length_mm: Some(open.foot.points.foot_length_mm()),
        other_foot_length_mm: heading.other_foot_length_mm,
        surface: Some(&surface),
        product: match files.product {
            Product::Shell => compose::Product::PrintableShell,
            Product::Positive => compose::Product::CorrectedPositive,
        },
        material: named(knowledge.material(&wanted.shell.material)),
        post_material: None,
        wanted,
        found: &files.dimensions,
        bodies: bodies(files, knowledge),
        strength: strength.map(Computed::table),
        cautions: &cautions,
        files: files
            .files
            .iter()
            .zip(&hashes)
            .map(|(f, hash)| FileLine {
                name: &f.name,
                bytes: f.bytes.len() as u64,
                hash,
            })
            .collect(),
        clinician: &heading.clinician,
        signed: heading.signed.as_deref(),
        drawings: &drawings,
    })
}

fn named(material: Option<&Material>) -> compose::Material<'_> {
    compose::Material {
        name: material.map_or("not in the knowledge folder", |m| m.name.as_str()),
        process: material.map_or("not known", |m| m.process.words()),
    }
}

/// Solids of the product; what is only shown beside it has no mass of its own.
fn bodies<'f>(files: &'f Files, knowledge: &'f Knowledge) -> Vec<BodyLine<'f>> {
    let material = knowledge.material(&files.wish.sheet.prescription.shell.material);
    let density = material
        .and_then(|m| m.density.as_ref())
        .and_then(|d| d.usual());
    files
        .bodies
        .iter()
        .map(|b| {
            let positive = b.name == shell::Part::Positive.words();
            BodyLine {
                name: b.name,
                material: if positive {
                    MILLED
                } else {
                    material.map_or("not known", |m| m.name.as_str())
                },
                volume_cm3: b.volume_cm3,
                mass_g: density.filter(|_| !positive).map(|d| d * b.volume_cm3),
            }
        })
        .collect()
}

/// Where the surface comes from.
pub fn surface_words(open: &OpenFoot) -> String {
    match open.foot.origin {
        Origin::Scanned { load } => format!("scanned {}", load.words()),
        Origin::Built { with_print: false } => BUILT.to_owned(),
        Origin::Built { with_print: true } => BUILT_WITH_PRINT.to_owned(),
    }
}

const BUILT: &str = "built from measurements, not scanned";
const BUILT_WITH_PRINT: &str = "built from measurements and a print, not scanned";
const MILLED: &str = "to be milled; any block that bears the heat";

#[cfg(test)]
mod tests {
    use super::*;
    use letter::Language;
    use terms::Load;

    /// What an order says of materials, solids, loads and strength comes from a closed set. `MISSING_WORDS=FILE`
    /// writes what is missing.
    #[test]
    fn what_any_order_says_of_materials_solids_and_strength_is_there_in_every_language() {
        let knowledge = Knowledge::built_in();
        for language in Language::ALL {
            let watched = Words::watched(language);
            let mut said: Vec<String> = [BUILT, BUILT_WITH_PRINT, MILLED, "not known"]
                .map(str::to_owned)
                .to_vec();
            said.extend(
                [Load::None, Load::Partial, Load::Full].map(|l| format!("scanned {}", l.words())),
            );
            for material in knowledge.materials() {
                said.push(material.name.clone());
                said.push(material.process.words().to_owned());
                said.push(crate::strength::stiffness_words(material));
            }
            for part in [
                shell::Part::Shell,
                shell::Part::RearfootPost,
                shell::Part::ForefootPost,
                shell::Part::Positive,
            ] {
                said.push(part.words().to_owned());
            }
            said.extend(knowledge.load_cases().iter().map(|c| c.title.clone()));
            said.push(strength::left_out().join(" "));
            assert!(said.len() > 30, "{}", said.len());
            for words in &said {
                watched.said(words);
            }
            let missing = watched.missed();
            if let Some(path) = std::env::var_os("MISSING_WORDS") {
                let lines: Vec<String> = missing
                    .iter()
                    .map(|(key, text)| format!("{key} =\n    .en = {text}\n"))
                    .collect();
                std::fs::write(path, lines.concat()).unwrap();
            }
            assert!(missing.is_empty(), "{}: {missing:#?}", language.tag());
        }
    }
}

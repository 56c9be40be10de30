//! What does `care` say to an order: proposals beside each value, limits at their fields?
//!
//! Nothing is decided here. A proposal carries its reasons and the letter of the firmest; a limit carries
//! the field it belongs to.

use super::fields::Field;
use crate::visit::gather::Gathered;
use ::shell::Device;
use care::orthosis::{
    self, Draft, EdgeAtBone, LimitFacts, OrthosisInput, OrthosisProposal, Reason, Severity,
    ShoeRoom,
};
use serde::Serialize;
use terms::Side;
use workshop::facts::{foot_size, navicular_to_edge};
use workshop::{OpenFoot, Sheet};

/// A reason as the page shows it.
#[derive(Debug, Clone, Serialize)]
pub struct Why {
    pub words: String,
    pub sources: Vec<String>,
    pub letter: char,
    pub opinion: bool,
}

impl Why {
    pub fn of(reason: &Reason) -> Why {
        Why {
            words: reason.words.clone(),
            sources: reason.sources.clone(),
            letter: reason.provenance.letter(),
            opinion: reason.opinion,
        }
    }
}

/// The proposal beside one value.
pub struct Proposed {
    /// As its field would show it; empty where nothing is proposed.
    pub text: String,
    /// `4°`, or `none`.
    pub value: String,
    pub footing: &'static str,
    pub why: Vec<Why>,
    pub cautions: Vec<Why>,
    pub alternatives: Vec<(String, Why)>,
}

/// A limit at its field.
#[derive(Debug, Clone, Serialize)]
pub struct LimitShown {
    pub key: String,
    pub field: &'static str,
    /// `holds back`, `look first` or `caution`.
    pub severity: &'static str,
    pub class: &'static str,
    pub words: String,
    pub why: Vec<Why>,
}

pub fn severity_words(severity: Severity) -> (&'static str, &'static str) {
    match severity {
        Severity::HoldsBack => ("holds back", "alarm"),
        Severity::LookFirst => ("look first", "attention"),
        Severity::Caution => ("caution", "attention"),
    }
}

pub fn input<'a>(
    gathered: &'a Gathered,
    side: Side,
    open: &OpenFoot,
    sheet: Option<&Sheet>,
) -> OrthosisInput<'a> {
    let foot = gathered.foot(side);
    OrthosisInput {
        report: &foot.report,
        person: &gathered.sheet.story,
        exam: &foot.exam,
        flags: &gathered.sheet.flags,
        foot: foot_size(open),
        shoe: ShoeRoom {
            inside: sheet.and_then(|s| s.prescription.shoe),
            short_of_room: sheet.and_then(|s| s.short_of_room),
        },
        asked: sheet.map(|s| s.asked).unwrap_or_default(),
    }
}

pub fn propose(
    gathered: &Gathered,
    side: Side,
    open: &OpenFoot,
    sheet: Option<&Sheet>,
) -> OrthosisProposal {
    orthosis::propose(&input(gathered, side, open, sheet))
}

/// What stands against a prescription, at its fields; the weightiest first.
pub fn limits(
    gathered: &Gathered,
    side: Side,
    open: &OpenFoot,
    sheet: &Sheet,
    device: Option<&Device>,
) -> Vec<LimitShown> {
    let edges: Vec<EdgeAtBone> = device.and_then(navicular_to_edge).into_iter().collect();
    let facts = LimitFacts {
        edges: &edges,
        ..LimitFacts::of(&input(gathered, side, open, Some(sheet)))
    };
    orthosis::limits(&sheet.prescription, &facts)
        .iter()
        .map(|l| {
            let (severity, class) = severity_words(l.severity);
            LimitShown {
                field: field_of(&l.key, sheet),
                key: l.key.clone(),
                severity,
                class,
                words: l.words.clone(),
                why: l.why.iter().map(Why::of).collect(),
            }
        })
        .collect()
}

fn field_of(limit: &str, sheet: &Sheet) -> &'static str {
    match limit {
        "fixed-deformity" | "post-beyond-range" => {
            if sheet.prescription.rearfoot_post.is_some() {
                "post"
            } else {
                "inversion"
            }
        }
        "range-not-measured" => "passive_inversion",
        "numb-foot" | "feeling-not-recorded" => "pressure_checked",
        "unknown-material" => "material",
        "weight-not-recorded" | "thickness-by-strength" | "too-thin-for-weight" => "thickness",
        "skive-without-cup" | "cup-shallow" => "heel_cup",
        "skive-sore-heel" => "skive_depth",
        "bone-under-edge" => "medial_flange",
        _ => "",
    }
}

/// The proposal for a field; `None` for fields that nobody proposes.
pub fn proposed(draft: &Draft, order_code: &str, field: &Field) -> Option<Proposed> {
    let sheet = Sheet::of(draft.prescription(None, order_code));
    let line_name = match field.key {
        "material" => "Shell material",
        "thickness" => "Shell thickness",
        "post" => "Rearfoot post",
        "inversion" => "Inversion of the positive",
        "skive_depth" => "Medial heel skive",
        "arch_fill" => "Arch fill",
        "heel_cup" => "Heel cup depth",
        "heel_expansion" => "Heel expansion",
        "behind_heads" => "Front edge behind the heads",
        "medial_flange" => "Inner flange, rim above the ground",
        "lateral_flange" => "Outer flange, rim above the ground",
        "relief_depth" => "Navicular relief",
        "groove_depth" => "Groove for the fascia",
        "cut_out" => "First-ray cut-out",
        "forefoot_balance" => "Forefoot balance",
        "forepost" => "Forefoot post",
        "edge_radius" => "Rounding of the edges",
        _ => return None,
    };
    let line = draft.lines().into_iter().find(|l| l.name == line_name)?;
    Some(Proposed {
        text: field.text(&sheet),
        value: line.value,
        footing: line.footing.words(),
        why: line.why.iter().map(Why::of).collect(),
        cautions: line.cautions.iter().map(Why::of).collect(),
        alternatives: line
            .alternatives
            .iter()
            .map(|(value, why)| (value.clone(), Why::of(why)))
            .collect(),
    })
}

/// The fields that belong to a proposal, with their proposed texts.
pub fn proposed_texts(draft: &Draft, order_code: &str, field: &str) -> Vec<(&'static str, String)> {
    let parts: &[&str] = match field {
        "thickness" => &["thickness", "thickness_arch"],
        "post" => &["post", "post_length", "post_bevel", "post_lift", "post_own"],
        "inversion" => &["inversion", "inversion_rise", "inversion_inward"],
        "skive_depth" => &["skive_depth", "skive_angle", "skive_clipped"],
        "relief_depth" => &[
            "relief_depth",
            "relief_radius",
            "relief_forward",
            "relief_upward",
        ],
        "groove_depth" => &["groove_depth", "groove_width"],
        "forepost" => &["forepost", "forepost_length", "forepost_own"],
        _ => &[],
    };
    let sheet = Sheet::of(draft.prescription(None, order_code));
    let alone = [field];
    let keys: &[&str] = if parts.is_empty() { &alone } else { parts };
    keys.iter()
        .filter_map(|k| Field::of(k))
        .map(|f| (f.key, f.text(&sheet)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_a_draft_has_a_field_that_shows_it() {
        // The names are matched as words; a line renamed in `care` would silently lose its place.
        let names = [
            "material",
            "thickness",
            "post",
            "inversion",
            "skive_depth",
            "arch_fill",
            "heel_cup",
            "heel_expansion",
            "behind_heads",
            "medial_flange",
            "lateral_flange",
            "relief_depth",
            "groove_depth",
            "cut_out",
            "forefoot_balance",
            "forepost",
            "edge_radius",
        ];
        let draft = draft();
        assert_eq!(draft.lines().len(), names.len());
        for key in names {
            let field = Field::of(key).unwrap();
            assert!(proposed(&draft, "X1", field).is_some(), "{key}");
        }
    }

    fn draft() -> Draft {
        let mut story = exam::Story::default();
        for (key, text) in [("age_years", "58"), ("weight_kg", "82")] {
            story.set(key, text).unwrap();
        }
        let mut exam = exam::Examination::new();
        for (key, text) in [
            ("heel_corrects", "fully"),
            ("heel_angle_deg", "9"),
            ("filament_great_toe", "felt"),
            ("arch_standing", "flat"),
            ("tp_strength", "3"),
            ("heel_rise_single", "unable"),
            ("pain_inner_ankle", "pressed"),
            ("swelling_inner", "marked"),
        ] {
            exam.set(key, text).unwrap();
        }
        let flags = exam::RedFlags::default();
        let knowledge = knowledge::Knowledge::built_in();
        let report = stage::stage(&stage::StageInput {
            knowledge,
            person: &story,
            side: Side::Right,
            exam: &exam,
            sheets: &[],
            flags: &flags,
        });
        let proposal = orthosis::propose(&OrthosisInput {
            report: &report,
            person: &story,
            exam: &exam,
            flags: &flags,
            foot: orthosis::FootSize::default(),
            shoe: ShoeRoom::default(),
            asked: Default::default(),
        });
        proposal.draft.expect("a device is proposed")
    }
}

//! Which limits does a prescription overstep that only knowledge of the person can tell?
//!
//! Each finding is a sentence with its reasons. Geometry and making are judged in `shell`. One surprise:
//! several of these limits are recalled and unconfirmed. They hold back and never let through; the
//! clinician may go past them, and the sentence says what would have to be true.

use super::input::{Corrects, Facts, OrthosisInput, corrects, tuberosity_tender};
use super::reason::{About, Reason};
use super::row;
use super::thickness::{Change, by_rule, equally_stiff_mm};
use super::values::{advice, setting};
use crate::checks::CheckState;
use exam::Examination;
use knowledge::orthosis::ThicknessRule;
use knowledge::{Knowledge, Provenance};
use quantity::{Angle, Length, written_short};
use serde::{Deserialize, Serialize};
use shell::prescription::Prescription;

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// To know about.
    Caution,
    /// Something was not recorded that it would be judged by.
    LookFirst,
    /// Not to be made like this.
    HoldsBack,
}

/// One limit that a prescription meets.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Limit {
    /// Fixed word for tests and pages (`post-beyond-range`).
    pub key: String,
    pub severity: Severity,
    /// What was found, what was expected, what to do.
    pub words: String,
    pub why: Vec<Reason>,
}

/// What is known of the person and the made surface; what is not known is `None`.
#[derive(Debug, Clone, Copy, Default)]
pub struct LimitFacts<'a> {
    pub exam: Option<&'a Examination>,
    pub weight_kg: Option<f64>,
    pub age_years: Option<f64>,
    /// How far the heel turns in by hand from where it stands.
    pub passive_inversion: Option<Angle>,
    /// Protective feeling, as the examination's filaments or a known loss give it.
    pub feels: Option<bool>,
    /// Pressure under the device is going to be measured, the device lined, the skin looked at daily.
    pub pressure_checked: Option<bool>,
    /// How near the made edge runs to bone, from the finished layout.
    pub edges: &'a [EdgeAtBone],
}

impl<'a> LimitFacts<'a> {
    /// What the examination and the order form tell; the made edges are added by whoever made them.
    pub fn of(input: &OrthosisInput<'a>) -> LimitFacts<'a> {
        let facts = Facts::of(input);
        LimitFacts {
            exam: Some(input.exam),
            weight_kg: facts.weight_kg,
            age_years: facts.person.age_years,
            passive_inversion: facts.passive_inversion_deg().map(Angle::degrees),
            feels: match facts.feeling.state {
                CheckState::Clear => Some(true),
                CheckState::NotRecorded => None,
                CheckState::Caution | CheckState::Against => Some(false),
            },
            pressure_checked: facts.asked.pressure_checked,
            edges: &[],
        }
    }
}

/// Bone that an edge must not end on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bone {
    Navicular,
    FifthBase,
}

impl Bone {
    pub fn words(self) -> &'static str {
        match self {
            Bone::Navicular => "navicular tuberosity",
            Bone::FifthBase => "base of the fifth metatarsal",
        }
    }
}

/// The nearest place of the rim to a bone's highest point, along the skin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeAtBone {
    pub bone: Bone,
    pub distance: Length,
}

/// Every limit that the prescription meets, the weightiest first.
pub fn limits(prescription: &Prescription, facts: &LimitFacts<'_>) -> Vec<Limit> {
    let mut out: Vec<Limit> = [
        fixed_deformity(prescription, facts),
        post_beyond_range(prescription, facts),
        numb_foot(facts),
        too_thin(prescription, facts),
        skive_without_cup(prescription),
        shallow_for_skive_and_inversion(prescription),
        skive_on_sore_heel(prescription, facts),
    ]
    .into_iter()
    .flatten()
    .chain(facts.edges.iter().filter_map(|e| bone_under_edge(e, facts)))
    .collect();
    out.sort_by_key(|l| std::cmp::Reverse(l.severity));
    out
}

fn limit(key: &str, severity: Severity, words: String, why: Vec<Reason>) -> Option<Limit> {
    Some(Limit {
        key: key.to_owned(),
        severity,
        words,
        why,
    })
}

fn number(value: f64) -> String {
    written_short(value, 1)
}

/// Degrees by which the device turns the heel in: the positive's inversion and the post.
fn tilt_deg(p: &Prescription) -> f64 {
    let inversion = p
        .corrections
        .inversion
        .map_or(0.0, |i| i.angle.to_degrees());
    let post = p.rearfoot_post.map_or(0.0, |r| r.angle.to_degrees());
    inversion + post
}

fn corrects_anything(p: &Prescription) -> bool {
    tilt_deg(p) > 0.0 || p.corrections.skive.is_some()
}

/// A fixed deformity is never pressed straight.
pub fn fixed_deformity(p: &Prescription, facts: &LimitFacts<'_>) -> Option<Limit> {
    let exam = facts.exam?;
    let fixed = corrects(exam) == Some(Corrects::Not)
        || exam.choice("subtalar_motion").value() == Some("none");
    if !fixed || !corrects_anything(p) {
        return None;
    }
    limit(
        "fixed-deformity",
        Severity::HoldsBack,
        "The heel does not come back by hand and the device would turn it in: a fixed deformity is held as it is; take post, inversion and skive out, or order an accommodative device elsewhere.".to_owned(),
        vec![advice("fixed")],
    )
}

/// Post and inversion together never go beyond what the heel passively does.
pub fn post_beyond_range(p: &Prescription, facts: &LimitFacts<'_>) -> Option<Limit> {
    let tilt = tilt_deg(p);
    if tilt.is_nan() || tilt <= 0.0 {
        return None;
    }
    let rule = Reason::cited(
        "The device never turns the heel further than the hand does.",
        About::Value,
        "Recalled",
        Provenance::Unconfirmed,
    );
    let range = facts
        .passive_inversion
        .map(Angle::to_degrees)
        .filter(|r| r.is_finite());
    match range {
        Some(range) if tilt > range => limit(
            "post-beyond-range",
            Severity::HoldsBack,
            format!(
                "Post and inversion turn the heel in by {}°, by hand it goes {}°: take {}° or less together.",
                number(tilt),
                number(range),
                number(range.max(0.0))
            ),
            vec![rule],
        ),
        Some(_) => None,
        None => limit(
            "range-not-measured",
            Severity::LookFirst,
            format!(
                "Post and inversion turn the heel in by {}°, and how far it goes by hand is not recorded: measure it before ordering.",
                number(tilt)
            ),
            vec![rule],
        ),
    }
}

/// A numb foot gets no rigid shell unless pressure is checked.
pub fn numb_foot(facts: &LimitFacts<'_>) -> Option<Limit> {
    match facts.feels {
        Some(true) => None,
        Some(false) if facts.pressure_checked == Some(true) => limit(
            "numb-foot",
            Severity::Caution,
            "Protective feeling is lost: pressure measured, device lined, skin looked at daily, as agreed.".to_owned(),
            vec![advice("numb"), advice("numb-never-barefoot")],
        ),
        Some(false) => limit(
            "numb-foot",
            Severity::HoldsBack,
            "Protective feeling is lost and no pressure check is planned: no rigid shell; plan the check, full lining and daily looks, or choose a soft device.".to_owned(),
            vec![advice("numb"), advice("numb-never-barefoot")],
        ),
        None => limit(
            "feeling-not-recorded",
            Severity::LookFirst,
            "Protective feeling is not recorded: test it with the 10 g filament before a rigid shell.".to_owned(),
            vec![advice("numb")],
        ),
    }
}

/// From this age on the rules for adults hold.
const GROWN_UP_YEARS: f64 = 18.0;

/// Thinner than the weight asks for, in the thickness of polypropylene that bends alike.
pub fn too_thin(p: &Prescription, facts: &LimitFacts<'_>) -> Option<Limit> {
    let thin = p.shell.thickness.thinnest().to_mm();
    let known = Knowledge::built_in();
    let Some(material) = known.material(&p.shell.material) else {
        return limit(
            "unknown-material",
            Severity::HoldsBack,
            format!(
                "The material '{}' is not in the knowledge folder: choose one that is, or add its figures.",
                p.shell.material.chars().take(40).collect::<String>()
            ),
            vec![Reason::own(
                "Stiffness, strength and walls come from its figures.",
            )],
        );
    };
    let Some(weight) = facts.weight_kg.filter(|w| w.is_finite() && *w > 0.0) else {
        return limit(
            "weight-not-recorded",
            Severity::LookFirst,
            "The weight is not recorded: the thickness cannot be held against it; weigh before ordering.".to_owned(),
            vec![Reason::own("Every thickness rule goes by weight.")],
        );
    };
    let trial = by_rule(ThicknessRule::Trial, weight)?;
    let workshop = by_rule(ThicknessRule::Workshop, weight)?;
    let modulus = |key: &str| known.material(key)?.bending_modulus()?.usual();
    let (Some(own), Some(theirs)) = (modulus(&material.key), modulus(&trial.material)) else {
        return limit(
            "thickness-by-strength",
            Severity::Caution,
            format!(
                "{}: no thickness rule speaks of it; let its strength be computed and look at the result.",
                material.name
            ),
            vec![Reason::own("Rules by weight are for polypropylene.")],
        );
    };
    let alike = equally_stiff_mm(
        thin,
        Change {
            modulus: theirs / own,
            ..Change::default()
        },
    )?;
    let asked = [trial.thickness.usual()?, workshop.thickness.usual()?];
    // Half of the tenth that is made.
    let [trial_thin, workshop_thin] = asked.map(|a| alike < a - 0.05);
    // The trial was of adults; the workshop's rule is recalled, and of adults too.
    let child = facts.age_years.is_some_and(|a| a < GROWN_UP_YEARS);
    let severity = match (trial_thin, workshop_thin) {
        (_, false) if child => return None,
        (_, true) if child => Severity::Caution,
        (true, true) => Severity::HoldsBack,
        (false, false) => return None,
        _ => Severity::Caution,
    };
    let same = material.key == trial.material;
    let found = if same {
        format!("{} mm", number(thin))
    } else {
        format!(
            "{} mm, which bends like {} mm of polypropylene",
            number(thin),
            number(alike)
        )
    };
    let hint = if severity == Severity::HoldsBack {
        "take it thicker"
    } else if child {
        "neither was made for children; look at the computed sag and strength"
    } else {
        "the rules do not agree; look at the computed sag and strength"
    };
    limit(
        "too-thin-for-weight",
        severity,
        format!(
            "The thinnest place is {found}; at {} kg one trial took {} mm and the workshop takes {} mm: {hint}.",
            number(weight),
            number(asked[0]),
            number(asked[1])
        ),
        vec![
            Reason::value(
                "One trial's protocol, the only rule published.",
                &trial.thickness,
            ),
            Reason::value("Workshop convention, recalled.", &workshop.thickness),
        ],
    )
}

/// A skive needs a cup that holds the heel on it.
pub fn skive_without_cup(p: &Prescription) -> Option<Limit> {
    p.corrections.skive?;
    let cup = p.shell.heel_cup_depth.to_mm();
    let least = row::usual("cup-with-skive");
    // NaN is shallower than anything.
    if cup >= least {
        return None;
    }
    limit(
        "skive-without-cup",
        Severity::HoldsBack,
        format!(
            "The heel cup is {} mm deep beside a skive: take {} mm or more, or leave the skive out.",
            number(cup),
            number(least)
        ),
        vec![
            setting("With a skive at least", "cup-with-skive"),
            advice("skive-cup"),
        ],
    )
}

/// Much turning in asks for a deep cup.
pub fn shallow_for_skive_and_inversion(p: &Prescription) -> Option<Limit> {
    let skive = p.corrections.skive?.depth.to_mm();
    let inversion = p
        .corrections
        .inversion
        .map_or(0.0, |i| i.angle.to_degrees());
    let cup = p.shell.heel_cup_depth.to_mm();
    let [low, high] = row::band("cup-deep");
    let least = row::usual("cup-with-skive");
    if skive + inversion <= 5.0 || cup >= low || cup < least {
        return None;
    }
    limit(
        "cup-shallow",
        Severity::Caution,
        format!(
            "Skive and inversion add up to {} (mm and degrees) with a cup of {} mm: {} to {} mm is usual then.",
            number(skive + inversion),
            number(cup),
            number(low),
            number(high)
        ),
        vec![setting("Usual then", "cup-deep")],
    )
}

/// A sore heel may not bear a skive.
pub fn skive_on_sore_heel(p: &Prescription, facts: &LimitFacts<'_>) -> Option<Limit> {
    p.corrections.skive?;
    let sole = facts.exam?.choice("pain_sole").value()?;
    if sole == "no" {
        return None;
    }
    limit(
        "skive-sore-heel",
        Severity::Caution,
        "The sole hurts and a skive presses under the inner heel: find out where it hurts first."
            .to_owned(),
        vec![advice("skive-heel")],
    )
}

/// No edge ends on a prominence.
pub fn bone_under_edge(edge: &EdgeAtBone, facts: &LimitFacts<'_>) -> Option<Limit> {
    let least = row::usual("edge-to-bone");
    let distance = edge.distance.to_mm();
    if distance >= least {
        return None;
    }
    let tender = edge.bone == Bone::Navicular && facts.exam.is_some_and(tuberosity_tender);
    let severity = if tender {
        Severity::HoldsBack
    } else {
        Severity::Caution
    };
    let state = if tender { ", which is tender," } else { "" };
    limit(
        "bone-under-edge",
        severity,
        format!(
            "The edge runs {} mm from the {}{state} where {} mm or more is expected: end it clearly above or below, or make room.",
            number(distance),
            edge.bone.words(),
            number(least)
        ),
        vec![
            advice("bone"),
            setting("The distance is ours", "edge-to-bone"),
        ],
    )
}

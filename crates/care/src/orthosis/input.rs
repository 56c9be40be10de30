//! What a device is proposed from, and what of it is known.

use crate::checks::{Check, CheckState, Known, run};
use crate::propose::possible;
use exam::{Examination, RedFlags, Story};
use knowledge::Person;
use quantity::{Angle, Length};
use serde::{Deserialize, Serialize};
use shell::prescription::Shoe;
use stage::StageReport;
use terms::Sex;

/// Everything that a proposal looks at.
#[derive(Debug, Clone, Copy)]
pub struct OrthosisInput<'a> {
    pub report: &'a StageReport,
    pub person: &'a Story,
    pub exam: &'a Examination,
    pub flags: &'a RedFlags,
    pub foot: FootSize,
    pub shoe: ShoeRoom,
    pub asked: Asked,
}

/// Sizes of the foot as scanned or taken by hand; what was not taken stays open.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct FootSize {
    pub length: Option<Length>,
    pub ball_breadth: Option<Length>,
    pub heel_breadth: Option<Length>,
    /// Tuberosity above the ground, on the surface that the shell is made on.
    pub navicular_height: Option<Length>,
    /// The foot bore all its weight while it was captured.
    pub captured_with_weight: Option<bool>,
}

/// The shoe that the device has to go into.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct ShoeRoom {
    pub inside: Option<Shoe>,
    /// There is no room for a post under the heel.
    pub short_of_room: Option<bool>,
}

/// How the device is going to be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Making {
    /// Sheet drawn over a positive.
    Formed,
    Printed,
}

/// What the order form asks beyond the examination. Nothing here is guessed.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Asked {
    /// How far the heel can be turned in by hand from where it stands.
    pub passive_inversion: Option<Angle>,
    pub more_control: Option<bool>,
    /// The foot resists being turned in by hand.
    pub resists_turning_in: Option<bool>,
    /// The subtalar axis was found far to the inner side.
    pub axis_far_inward: Option<bool>,
    pub turning_in_tolerated: Option<bool>,
    /// The inner cuneiform stands on the floor.
    pub cuneiform_on_floor: Option<bool>,
    pub thin_heel_pad: Option<bool>,
    /// Pressure under the device is going to be measured, the device lined, the skin looked at daily.
    pub pressure_checked: Option<bool>,
    pub making: Option<Making>,
}

/// Does the heel come back to neutral by hand?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Corrects {
    Fully,
    Partly,
    Not,
}

/// The input, read out once.
pub(crate) struct Facts<'a> {
    pub exam: &'a Examination,
    pub person: Person,
    pub weight_kg: Option<f64>,
    pub stages: Vec<String>,
    pub corrects: Option<Corrects>,
    pub feeling: Check,
    pub skin: Check,
    pub oedema: Check,
    pub foot: FootSize,
    pub shoe: ShoeRoom,
    pub asked: Asked,
}

impl<'a> Facts<'a> {
    pub fn of(input: &OrthosisInput<'a>) -> Facts<'a> {
        let known = Known {
            person: input.person,
            exam: input.exam,
            flags: input.flags,
            report: input.report,
        };
        let sex = match input.person.choice("sex").value() {
            Some("female") => Some(Sex::Female),
            Some("male") => Some(Sex::Male),
            _ => None,
        };
        Facts {
            exam: input.exam,
            person: Person {
                age_years: input.person.number("age_years").value(),
                sex,
            },
            weight_kg: input.person.number("weight_kg").value(),
            stages: possible(input.report),
            corrects: corrects(input.exam),
            feeling: run("feeling", &known),
            skin: run("skin", &known),
            oedema: run("oedema", &known),
            foot: input.foot,
            shoe: input.shoe,
            asked: input.asked,
        }
    }

    pub fn feeling_lost(&self) -> bool {
        self.feeling.state == CheckState::Caution
    }

    pub fn is(&self, question: &str, choice: &str) -> bool {
        self.exam.choice(question).value() == Some(choice)
    }

    /// The tuberosity hurts, has an extra bone, or has hard skin over it.
    pub fn tuberosity_tender(&self) -> bool {
        tuberosity_tender(self.exam)
    }

    /// How far the heel turns in by hand, in degrees: asked for, or at least as far as it stands outwards
    /// where all of that comes back.
    ///
    /// # Assumptions
    /// A heel that comes fully to neutral goes at least through its own standing angle.
    pub fn passive_inversion_deg(&self) -> Option<f64> {
        let told = self.asked.passive_inversion.map(Angle::to_degrees);
        told.filter(|d| d.is_finite()).or_else(|| {
            let stands = self.exam.number("heel_angle_deg").value()?;
            (self.corrects == Some(Corrects::Fully) && stands > 0.0).then_some(stands)
        })
    }
}

pub(crate) fn corrects(exam: &Examination) -> Option<Corrects> {
    match exam.choice("heel_corrects").value()? {
        "fully" => Some(Corrects::Fully),
        "partly" => Some(Corrects::Partly),
        _ => Some(Corrects::Not),
    }
}

pub(crate) fn tuberosity_tender(exam: &Examination) -> bool {
    let hurts = exam
        .choice("pain_navicular")
        .value()
        .is_some_and(|c| c != "no");
    hurts
        || exam.yes("accessory_navicular") == Some(true)
        || exam.yes("skin_callus_medial") == Some(true)
}
